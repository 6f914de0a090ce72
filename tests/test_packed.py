"""What is packed comes back as it was, and bytes from elsewhere run nothing."""

import os
import pickle
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from kiosk import packed
from kiosk.packed import NotData, pack, unpack
from kiosk.record.journal import Journal
from kiosk.record.state import ClockReading, Times
from kiosk.shop.procedure import StepRef, StepTimes
from kiosk.shop.shop import Lot, Person


def test_data_comes_back_as_it_was() -> None:
    people = (Person(id="odile", name="Odile", role="builder", born=date(2000, 5, 8)),)
    keys = {StepRef("rib", "flute"): Times(2, 1.5)}
    moment = ClockReading("boot", datetime(2027, 5, 8, 12, tzinfo=UTC), 3.5)
    times = StepTimes(1.0, 2.0, 3.0)
    data = (people, keys, moment, times, frozenset({"a"}))
    held: Any = tuple[tuple[Person, ...], dict[StepRef, Times], ClockReading, StepTimes, frozenset[str]]
    again: Any = unpack(pack(data), held)
    assert again == data
    assert type(again[3]) is StepTimes and again[0][0].fields_written == {"id", "name", "role", "born"}


class _Calls:
    """Bytes that call something when they are read, as anybody could write them."""

    def __init__(self, what: Any, *arguments: object) -> None:
        self.what, self.arguments = what, arguments

    def __reduce__(self) -> tuple[Any, tuple[object, ...]]:
        return self.what, self.arguments


@pytest.mark.parametrize(
    "what",
    [os.system, eval, getattr, Path, Journal, pickle.loads, packed.unpack, pytest.raises],
    ids=lambda what: str(getattr(what, "__name__", what)),
)
def test_foreign_bytes_call_nothing(what: Any, tmp_path: Path) -> None:
    made = tmp_path / "made"
    with pytest.raises(NotData, match="is no data"):
        unpack(pack(_Calls(what, f"touch {made}")), str)
    assert not made.exists()


def test_a_way_round_by_dots_is_refused() -> None:
    """``kiosk.shop.kept`` has ``os`` in it: protocol 4 would look a dotted name up."""
    name, module = b"os.system", b"kiosk.shop.kept"
    by_dots = b"\x80\x04\x8c" + bytes([len(module)]) + module + b"\x8c" + bytes([len(name)]) + name + b"\x93."
    assert pickle.loads(by_dots) is not None
    with pytest.raises(NotData):
        unpack(pack(None).partition(b"\n")[0] + b"\n" + by_dots, str)


def test_what_another_pydantic_packed_is_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    old = pack(Lot(mark="S-1", of="sheet", name="sheet"))
    monkeypatch.setattr(packed, "_MADE_BY", b"3.0")
    with pytest.raises(NotData, match="another version of pydantic"):
        unpack(old, Lot)
