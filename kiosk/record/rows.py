"""How an event stands in a row of the journal, and how it is read back.

What cannot be read is told apart: a newer kiosk's kind, version or field is refused by its name and never
dropped; anything else that does not fit is damage. The journal, which knows the hashes, has the last word:
a row whose hash does not fit is damaged whatever it seems to say.

Pydantic holds bodies to their classes. It is imported, and how a kind is read is worked out, when the first
body of that kind is read or written: a start from a current snapshot reads none.
"""

import json
import math
from collections.abc import Mapping, Sequence
from datetime import datetime
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar

from kiosk.record.events import KINDS, AnyBody, Body, Event
from kiosk.record.stopped import RESTORE, DamagedRecord, NewerRecord, NotRecordable, RecordingStopped
from kiosk.record.upcasters import lift, today

if TYPE_CHECKING:
    from pydantic import TypeAdapter, ValidationError

Row = tuple[int, str, str, float, str, str, int, str, str]
SomeBody = TypeVar("SomeBody", bound=Body)
COLUMNS = "seq,id,at,monotonic_s,run,by,clock_ran_back,kind,body"
_UNKNOWN = "unexpected_keyword_argument"  # pydantic's name for a field that a class has not
_SAYS_ITS_VERSION = '{"version":'  # as each body begins that was written


def row_of(event: Event) -> Row:
    """The row to write. Raises NotRecordable when the event could not be read back from it."""
    return (
        event.seq,
        event.id,
        event.at.isoformat(),
        event.monotonic_s,
        event.run,
        event.by,
        int(event.clock_ran_back),
        event.body.kind,
        _text_of(event.seq, event.body),
    )


def _text_of(seq: int, body: AnyBody) -> str:
    """The body as JSON. Nothing has looked yet at what it was made of: an int counts as the float that it
    stands for, and nothing else is made into what it is not."""
    from pydantic import ValidationError
    from pydantic_core import PydanticSerializationError

    adapter = _adapter(type(body).kind)
    try:
        checked = adapter.validate_python(body, strict=True)
        text = adapter.dump_json(checked, warnings="error").decode()
        again = read_body(seq, body.kind, text)
    except ValidationError as error:
        raise _not_made(body.kind, error) from None
    except PydanticSerializationError:
        raise _not_recordable(body.kind, "it holds something that is no text or number") from None
    except RecordingStopped as error:
        raise _not_recordable(body.kind, str(error)) from None
    if again != body:
        raise _not_recordable(body.kind, "it reads back as something else")
    return text


def made(kind: type[SomeBody], fields: Mapping[str, object]) -> SomeBody:
    """A body of figures that a person typed. Raises NotRecordable when one of them cannot be recorded."""
    from pydantic import ValidationError

    try:
        body: SomeBody = _adapter(kind.kind).validate_python(fields)
    except ValidationError as error:
        raise _not_made(kind.kind, error) from None
    return body


def _not_made(kind: str, error: "ValidationError") -> NotRecordable:
    return _not_recordable(kind, "; ".join(_complaint(detail) for detail in error.errors()))


def _not_recordable(kind: str, why: str) -> NotRecordable:
    return NotRecordable(f"{kind.replace('_', ' ')} cannot be recorded ({why})", "type it again")


@cache
def _adapter(kind: str) -> "TypeAdapter[Any]":
    """What reads, checks and writes the bodies of a kind. Raises KeyError where there is no such kind."""
    from pydantic import TypeAdapter

    return TypeAdapter(KINDS[kind])


def get_ready() -> None:
    """Work out how each kind is read and written, so that the first tap that records one need not."""
    for kind in KINDS:
        _adapter(kind)


_TYPES = (int, str, str, int | float, str, str, int, str, str)  # of the columns, as Python reads them


def event_of(row: Sequence[Any]) -> Event:
    """The event in a row of ``COLUMNS``. Raises NewerRecord or DamagedRecord, which name the event."""
    seq, event_id, at, monotonic_s, run, by, ran_back, kind, body = row
    for name, value, wanted in zip(COLUMNS.split(","), row, _TYPES, strict=True):
        if not isinstance(
            value, wanted
        ):  # SQLite keeps what a column is not declared for, and damage makes it
            raise damaged(seq, str(kind), f"its {name} is {value!r:.40}")
    if not math.isfinite(monotonic_s):
        raise damaged(seq, kind, f"its clock reads {monotonic_s}")
    return Event(
        seq=seq,
        id=event_id,
        at=_time(seq, kind, at),
        monotonic_s=monotonic_s,
        run=run,
        by=by,
        body=read_body(seq, kind, body),
        clock_ran_back=bool(ran_back),
    )


def _time(seq: int, kind: str, text: str) -> datetime:
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise damaged(seq, kind, f"its time {text!r} cannot be read") from None
    if at.tzinfo is None:
        raise damaged(seq, kind, f"its time {text!r} has no time zone")
    return at


def read_body(seq: int, kind: str, text: str) -> AnyBody:
    """A stored body in the fields of today. Raises NewerRecord or DamagedRecord."""
    from pydantic import ValidationError

    try:
        body = _validated(kind, text)
    except (KeyError, ValidationError):
        return _lifted(seq, kind, text)
    # The version of one that does not say it is the first, whatever today's is.
    if body.version == today(kind) and text.startswith(_SAYS_ITS_VERSION):
        return body
    return _lifted(seq, kind, text)


def _lifted(seq: int, kind: str, text: str) -> AnyBody:
    """The body by the long way: told by its kind, lifted from its version, or said what is wrong with it."""
    from pydantic import ValidationError

    fields = _fields(seq, kind, text)
    if fields.get("kind") != kind:
        raise damaged(seq, kind, f"its body is of kind {fields.get('kind')!r}")
    if kind not in KINDS:
        raise _newer(seq, kind, "is of a kind this kiosk does not know")
    version = fields.get("version", 1)
    if type(version) is not int or version < 1:  # true is a number to Python, and was never written
        raise damaged(seq, kind, f"its version is {version!r}")
    if version > today(kind):
        raise _newer(seq, kind, f"is version {version} of its kind and this kiosk knows {today(kind)}")
    try:
        lifted = lift(kind, version, fields)
        return _validated(kind, json.dumps(lifted))
    except ValidationError as error:
        raise _refused(seq, kind, error) from None
    except Exception as error:  # an upcaster met fields that no kiosk of that version wrote
        raise damaged(seq, kind, f"its fields are not those of version {version} ({error})") from None


def _validated(kind: str, text: str) -> AnyBody:
    """A body by the class of its kind alone. Raises KeyError or ValidationError."""
    body: AnyBody = _adapter(kind).validate_json(text)
    return body


def _fields(seq: int, kind: str, text: str) -> dict[str, Any]:
    try:
        fields = json.loads(text)
    except (ValueError, RecursionError):
        raise damaged(seq, kind, "its body is not JSON") from None
    if not isinstance(fields, dict):
        raise damaged(seq, kind, "its body is not a set of fields")
    return fields


def _refused(seq: int, kind: str, error: "ValidationError") -> RecordingStopped:
    details = error.errors()
    unknown = [str(detail["loc"][-1]) for detail in details if detail["type"] == _UNKNOWN]
    if unknown:
        return _newer(seq, kind, f"has a field {unknown[0]!r} this kiosk does not know")
    return damaged(seq, kind, _complaint(details[0]))


def _complaint(detail: Any) -> str:
    """One complaint of pydantic's, with the field it is about; the first place of a union is its kind."""
    where = [str(part) for part in detail["loc"] if part not in KINDS]
    message = detail["msg"][:1].lower() + detail["msg"][1:]
    return f"{'.'.join(where)}: {message}" if where else message


def _newer(seq: int, kind: str, what: str) -> NewerRecord:
    return NewerRecord(f"event {seq}, {kind}, {what}: it was written by a newer kiosk", "update this one")


def damaged(seq: int, kind: str, what: str) -> DamagedRecord:
    """An event that is not what was written."""
    return DamagedRecord(f"event {seq} of the record, {kind}, is damaged: {what}", RESTORE)
