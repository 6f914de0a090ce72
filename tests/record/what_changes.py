"""What each kind of event changes in the state, field by field, as text: a picture of the fold.

    .venv/bin/python -m tests.record.what_changes     # renew it, then read the difference

Made from the newest stored record, which holds every kind of event: of each kind the first few are told in
full, and of the end every field by a digest. A change that was not meant shows as lines that nobody expected.
"""

import hashlib
import sqlite3
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import datetime
from os import environ
from pathlib import Path
from textwrap import shorten
from typing import Any

from kiosk.record.apply import apply, copied
from kiosk.record.events import Event
from kiosk.record.rows import COLUMNS, event_of
from kiosk.record.state import State

TOLD_OF_A_KIND = 4
LONGEST = 220  # characters of a value; of a longer one its digest stands after its beginning
KEPT = Path(__file__).parent / "stored" / "what_changes.txt"
ZONE = "Europe/Berlin"  # whose days the minutes count to


def what_changes(events: list[Event]) -> str:
    """The text."""
    state, told = State(), Counter[str]()
    lines: list[str] = []
    for event in events:
        before = copied(state)
        apply(state, event)
        told[event.body.kind] += 1
        if told[event.body.kind] <= TOLD_OF_A_KIND:
            lines.append(f"{event.seq} {event.body.kind}")
            lines += [f"    {line}" for line in _changed("", before, state)]
    lines.append("at the end")
    lines += [f"    {one.name} {digest(whole(getattr(state, one.name)))}" for one in fields(State)]
    return "\n".join(lines) + "\n"


def _changed(where: str, old: Any, new: Any) -> Iterator[str]:
    """A line for each value that is another."""
    if where in (".seq", ".last_at", ".last_tap.clocks.at", ".last_tap.clocks.monotonic_s", ".believed_at"):
        return  # with every event
    if old is new or old == new:
        return
    if isinstance(old, dict) and isinstance(new, dict):
        for key in {**old, **new}:
            if key not in new:
                yield f"{where}[{whole(key)}] gone, was {_said(old[key])}"
            elif key not in old:
                yield f"{where}[{whole(key)}] = {_said(new[key])}"
            else:
                yield from _changed(f"{where}[{whole(key)}]", old[key], new[key])
    elif is_dataclass(old) and type(old) is type(new):
        for one in fields(old):
            yield from _changed(f"{where}.{one.name}", getattr(old, one.name), getattr(new, one.name))
    elif isinstance(old, tuple) and isinstance(new, tuple) and not hasattr(new, "_fields"):
        gone = [one for one in old if one not in new]
        yield from (f"{where} loses {_said(one)}" for one in gone)
        yield from (f"{where} gains {_said(one)}" for one in new if one not in old)
        if not gone and len(new) <= len(old):
            yield f"{where} = {_said(new)}"
    else:
        yield f"{where} = {_said(new)}, was {_said(old)}"


def _said(value: Any) -> str:
    text = whole(value)
    return text if len(text) <= LONGEST else f"{shorten(text, LONGEST)} {digest(text)}"


def whole(value: Any) -> str:
    """A value as text: of a thing the fields with something in them, so that a new one changes nothing."""
    if is_dataclass(value):
        named = vars(value).items()
        return f"{type(value).__name__}({', '.join(f'{name}={whole(one)}' for name, one in named if one)})"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{whole(key)}: {whole(one)}' for key, one in value.items())}}}"
    if isinstance(value, tuple | frozenset):
        found = [whole(one) for one in value]
        return f"({', '.join(sorted(found) if isinstance(value, frozenset) else found)})"
    if isinstance(value, float):
        return f"{value:.9g}"  # no more digits than every machine's logarithm has alike
    return value.isoformat() if isinstance(value, datetime) else repr(value)


def digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def events_of(path: Path) -> list[Event]:
    """The events of a stored record, which is not touched."""
    with sqlite3.connect(f"file:{path}?mode=ro&immutable=1", uri=True) as connection:
        return [event_of(row) for row in connection.execute(f"SELECT {COLUMNS} FROM event ORDER BY seq")]


def main() -> None:
    """Write it anew."""
    from tests.record.test_stored_records import STORED

    environ["TZ"] = ZONE
    time.tzset()
    KEPT.write_text(what_changes(events_of(STORED[-1])), encoding="utf-8")


if __name__ == "__main__":
    main()
