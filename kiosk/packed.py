"""Data of the kiosk's own classes, packed to be read again by the same code: quick, and never the only copy.

It is pickled: pydantic would first build the schema of every class that may occur, which takes longer than to
read what is there. An unpickler calls whatever the bytes name, so this one knows nothing but dates and the
kiosk's own dataclasses, models and named tuples (docs.python.org/3/library/pickle.html, "Restricting
Globals"): foreign bytes can hold wrong data, as a foreign file can, and run nothing. Nothing else is checked
here: who keeps such bytes keeps a check sum and a mark of the code with them, and can do without them.
"""

import io
import pickle
from typing import Any

from pydantic import VERSION, BaseModel

_PROTOCOL = 5  # of Python 3.8
_MADE_BY = VERSION.encode()  # another pydantic may keep something else in a model
_DATES = {("datetime", name) for name in ("date", "datetime", "time", "timedelta", "timezone")}
_ZONE = ("pydantic_core._pydantic_core", "TzInfo")  # of a moment that pydantic read
_PACKAGES = ("kiosk.shop.", "kiosk.record.")


class NotData(pickle.UnpicklingError):
    """The bytes name something that is no plain data of the kiosk's."""


class _OnlyData(pickle.Unpickler):
    def find_class(self, module: str, name: str) -> Any:
        if (module, name) in _DATES or (module, name) == _ZONE:
            return super().find_class(module, name)
        if module.startswith(_PACKAGES) and name.isidentifier():
            found = super().find_class(module, name)
            if isinstance(found, type) and _is_data(found):
                return found
        raise NotData(f"{module}.{name} is no data")


def _is_data(cls: type) -> bool:
    return "__dataclass_fields__" in vars(cls) or issubclass(cls, BaseModel | tuple)


def pack(what: object) -> bytes:
    """The bytes of it; whatever is in it must be data as well."""
    return _MADE_BY + b"\n" + pickle.dumps(what, _PROTOCOL)


def unpack(packed: bytes) -> Any:
    """What was packed. Raises NotData, and for damaged bytes nearly any other exception."""
    made_by, _, pickled = packed.partition(b"\n")
    if made_by != _MADE_BY:
        raise NotData("it was packed with another version of pydantic")
    return _OnlyData(io.BytesIO(pickled)).load()
