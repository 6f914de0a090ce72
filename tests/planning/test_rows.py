"""Rows in one whole number against rows as lists, worked out minute by minute."""

from hypothesis import given
from hypothesis import strategies as st

from kiosk.planning.choose.rows import NOTHING_DONE, Lanes, Row
from kiosk.planning.choose.table import Alternatives, ChargedOption, Rows, SharedSetUp, fill, taken_in_time

MINUTES = 40
NEVER = -(10**15)

worths = st.integers(-50, 10**9)
options = st.lists(st.tuples(st.integers(1, MINUTES + 5), worths), min_size=1, max_size=4)
set_ups = st.lists(
    st.tuples(st.integers(0, MINUTES + 5), st.integers(0, 1), st.lists(options, max_size=4)), max_size=4
)


def _charged(number: int, of_one: list[tuple[int, int]]) -> Alternatives:
    return Alternatives(tuple(ChargedOption((number, place), *option) for place, option in enumerate(of_one)))


def _greatest(of_all: list[tuple[int, int, list[list[tuple[int, int]]]]]) -> int:
    return sum(max(0, *(worth for _, worth in of_one)) for _, _, of in of_all for of_one in of)


def _as_lists(of_all: list[tuple[int, int, list[list[tuple[int, int]]]]]) -> list[int]:
    """The same, a minute at a time."""
    row = [0] * (MINUTES + 1)
    for minutes, fee, candidates in of_all:
        inside = [row[at - minutes] - fee if at >= minutes else NEVER for at in range(MINUTES + 1)]
        for of_one in candidates:
            inside = [
                max([inside[at], *(inside[at - takes] + worth for takes, worth in of_one if takes <= at)])
                for at in range(MINUTES + 1)
            ]
        row = [max(one, other) for one, other in zip(row, inside, strict=True)]
    return row


@given(set_ups)
def test_a_table_is_what_it_is_minute_by_minute(
    of_all: list[tuple[int, int, list[list[tuple[int, int]]]]],
) -> None:
    lanes = Lanes(MINUTES, _greatest(of_all))
    charged = [
        SharedSetUp(minutes, fee, [_charged(number, of_one) for number, of_one in enumerate(candidates)])
        for minutes, fee, candidates in of_all
    ]
    table = fill(lanes.empty(lanes.size), lanes.size, charged, Rows(lanes))
    assert lanes.worths(table.row) == _as_lists(of_all)


@given(st.lists(st.integers(0, 10**9), min_size=2, max_size=30), st.integers(1, 35), worths, st.data())
def test_what_is_over_in_time_is_worth_the_same_from_then_on(
    row: list[int], takes: int, worth: int, data: st.DataObject
) -> None:
    row = sorted(row)
    end = data.draw(st.integers(0, len(row) - 1))
    lanes = Lanes(len(row) - 1, row[-1] + max(0, worth))
    taken = taken_in_time(_row(lanes, row), lanes, ChargedOption((0, 0), takes, worth), end)
    begun = end - takes
    by_hand = [
        row[min(at, end) - takes] + worth if begun >= 0 and at >= takes else NEVER for at in range(len(row))
    ]
    best = lanes.worths(lanes.greater(_row(lanes, row), taken))
    assert best == [max(one, other) for one, other in zip(row, by_hand, strict=True)]


def _row(lanes: Lanes, worths: list[int]) -> Row:
    row = 0
    for minutes, worth in enumerate(worths):
        row |= lanes.later(worth + NOTHING_DONE, minutes)
    return row
