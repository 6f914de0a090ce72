"""What a step in hand is worked out with: how many parts go through at once, and the room as it was read."""

from datetime import timedelta
from typing import Any

import pytest

from kiosk.record.at_hand import at_hand
from kiosk.record.room import READING_GOOD_FOR
from kiosk.record.state import Piece, State, Work
from kiosk.shop.at_hand import PARTS_IN_HAND, ROOM_HUMIDITY, ROOM_TEMPERATURE
from tests.record.moments import NOW, builder, moment, step


def worked_with(*marks: str, batch: str = "together", **room: Any) -> dict[str, str]:
    pieces = tuple(Piece(mark) for mark in marks)
    work = Work("w", "form-block", "1", "try", "wren", pieces, marks[0], NOW)
    now = moment(builder(), state=State(works={"w": work}, **room))
    return dict(at_hand(now, work, step(batch=batch)))


@pytest.mark.parametrize(
    ("marks", "batch", "parts"),
    [
        (("NR-01",), "together", "1"),
        (("NR-01", "NR-02", "NR-03"), "together", "3"),
        (("NR-01", "NR-02", "FB-NR"), "together", "2"),  # of the first one's kind
        (("FB-NR", "NR-01", "NR-02"), "together", "1"),
        (("NR-01", "NR-02"), "in turn", "1"),
        (("NR-01", "NO-SUCH"), "together", "1"),
        (("NO-SUCH",), "together", "1"),  # no longer in the file: as for one, until its place is asked for
    ],
)
def test_as_many_parts_are_in_hand_as_go_through_at_once(
    marks: tuple[str, ...], batch: str, parts: str
) -> None:
    assert worked_with(*marks, batch=batch)[PARTS_IN_HAND] == parts


def test_the_room_is_what_was_read_within_four_hours() -> None:
    assert timedelta(hours=4) == READING_GOOD_FOR
    read = {"temperature_f": 68.0, "humidity_percent": 55.0}
    names = {ROOM_TEMPERATURE: "68", ROOM_HUMIDITY: "55"}

    def room(minutes_ago: float, **fields: Any) -> dict[str, str]:
        then = NOW - timedelta(minutes=minutes_ago)
        found = worked_with("NR-01", conditions_at=then, **{**read, **fields})
        return {name: value for name, value in found.items() if name in names}

    assert room(0) == room(240) == names
    assert room(240.1) == {}
    assert room(0, humidity_percent=None) == {ROOM_TEMPERATURE: "68"}
