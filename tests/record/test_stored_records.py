"""Records of earlier formats open for ever, and say what they said when they were kept.

``stored/`` holds one record of each released format with every kind of event of its time, made by
``make_stored_record.py``. A file in it is never changed: a record of ten years ago does not change either.
"""

import json
import shutil
import sqlite3
from collections.abc import Iterable
from pathlib import Path

import pytest

from kiosk.record.apply import fold
from kiosk.record.journal import Record
from tests.record.make_stored_record import every_kind
from tests.record.plain_facts import plain_facts


def in_order(paths: Iterable[Path]) -> list[Path]:
    """By the number of the format: as text, format 10 comes before format 2."""
    return sorted(paths, key=lambda path: int(path.stem.removeprefix("format-")))


STORED = in_order((Path(__file__).parent / "stored").glob("*.db"))


def test_the_tenth_format_comes_after_the_second() -> None:
    named = [Path(f"format-{number}.db") for number in (10, 2, 1)]
    assert [path.stem for path in in_order(named)] == ["format-1", "format-2", "format-10"]


@pytest.mark.parametrize("path", STORED, ids=lambda path: path.stem)
def test_a_stored_record_still_says_what_it_said(path: Path, tmp_path: Path) -> None:
    wanted = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    copy = tmp_path / "record.db"
    shutil.copy(path, copy)
    record = Record(copy)
    events = record.journal.after(0)
    said = json.loads(json.dumps(plain_facts(record.state, events)))
    record.close()
    assert len(wanted) > 15
    for about, facts in wanted.items():
        assert said[about] == facts, about
    assert fold(events) == record.state
    # And once more, from the snapshot that this kiosk kept.
    again = Record(copy)
    assert plain_facts(again.state, events) == plain_facts(record.state, events)
    assert again.journal.first_bad_event() is None
    again.close()


def test_the_newest_stored_record_holds_every_kind_of_event() -> None:
    """A kind that was added is kept in a stored record before it is released."""
    newest = sqlite3.connect(f"file:{STORED[-1]}?mode=ro&immutable=1", uri=True)
    kinds = {kind for (kind,) in newest.execute("SELECT DISTINCT kind FROM event")}
    newest.close()
    assert kinds == every_kind()
