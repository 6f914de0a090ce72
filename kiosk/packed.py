"""Data of the kiosk's own classes, packed to be read again by the same code: quick, and never the only copy.

It is pickled: pydantic would first build the schema of every class that may occur, which takes longer than to
read what is there. An unpickler calls whatever the bytes name, so this one knows nothing but dates and the
kiosk's own dataclasses and named tuples (docs.python.org/3/library/pickle.html, "Restricting
Globals"): foreign bytes can hold wrong data, as a foreign file can, and run nothing. They are held to the
annotations of the classes that are wanted (:mod:`kiosk.typed`). Who keeps such bytes keeps a check sum and
:func:`code_mark` with them, and can do without them.
"""

import hashlib
import io
import pickle
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any, TypeVar

from kiosk.typed import require_type

T = TypeVar("T")


def _version_of_pydantic() -> bytes:
    """A digest of the file that says it: to import pydantic, or to ask the installer, takes longer."""
    found = find_spec("pydantic")
    assert found is not None and found.origin is not None, "the kiosk is installed without pydantic"
    return hashlib.sha256(Path(found.origin).with_name("version.py").read_bytes()).hexdigest().encode()


_PROTOCOL = 5  # of Python 3.8
_MADE_BY = _version_of_pydantic()  # another may read something else from the same file
_DATES = {("datetime", name) for name in ("date", "datetime", "time", "timedelta", "timezone")}
_PACKAGES = ("kiosk.shop.", "kiosk.record.")
_CODE = Path(__file__).parent
_BESIDE = ""  # the modules that stand beside the packages


class NotData(pickle.UnpicklingError):
    """The bytes name something that is no plain data of the kiosk's."""


class _OnlyData(pickle.Unpickler):
    def find_class(self, module: str, name: str) -> Any:
        if (module, name) in _DATES:
            return super().find_class(module, name)
        if module.startswith(_PACKAGES) and name.isidentifier():
            found = super().find_class(module, name)
            if isinstance(found, type) and _is_data(found):
                return found
        raise NotData(f"{module}.{name} is no data")


def _is_data(cls: type) -> bool:
    return "__dataclass_fields__" in vars(cls) or issubclass(cls, tuple)


def pack(what: object) -> bytes:
    """The bytes of it; whatever is in it must be data as well."""
    return _MADE_BY + b"\n" + pickle.dumps(what, _PROTOCOL)


def unpack(packed: bytes, wanted: type[T]) -> T:
    """What was packed: something of the class that is wanted, and all in it as the annotations say.

    Raises NotData, WrongType, and for damaged bytes nearly any other exception.
    """
    made_by, _, pickled = packed.partition(b"\n")
    if made_by != _MADE_BY:
        raise NotData("it was packed with another version of pydantic")
    found: T = _OnlyData(io.BytesIO(pickled)).load()
    require_type(wanted, found)
    return found


def code_mark(*packages: str) -> str:
    """A mark of all the code of some packages, and of the modules beside them that any of them may import.

    What was worked out and packed is known by it: other code might work out something else.
    """
    marks = "".join(map(_mark_of, (_BESIDE, *packages)))
    return hashlib.sha256(_MADE_BY + marks.encode()).hexdigest()


def code_of(*packages: str) -> list[Path]:
    """The modules that :func:`code_mark` is of."""
    return [path for package in (_BESIDE, *packages) for path in _modules_of(package)]


def _modules_of(package: str) -> list[Path]:
    return sorted(_CODE.glob("*.py") if package == _BESIDE else (_CODE / package).rglob("*.py"))


@cache  # the code that runs is that which was there when it was first asked for
def _mark_of(package: str) -> str:
    digest = hashlib.sha256()
    for path in _modules_of(package):
        with path.open("rb", buffering=0) as file:  # a hundred of them at each start
            content = hashlib.sha256(file.read()).hexdigest()
        digest.update(f"{path.relative_to(_CODE).as_posix()} {content}\n".encode())
    return digest.hexdigest()
