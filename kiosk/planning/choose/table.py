"""The table behind the slot chooser: the best worth for every number of minutes, and the way back to it.

A multiple-choice knapsack in which candidates that begin alike share one set-up, and those of them that need
more share that within it.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from kiosk.dataclass import dataclass
from kiosk.planning.choose.rows import Lanes, Row


class ChargedOption(NamedTuple):
    """An option as the table sees it: which one, its minutes and its worth, both with what it is charged."""

    pair: tuple[int, int]
    minutes: int
    worth: int


@dataclass(frozen=True)
class Alternatives:
    """A candidate's options under one set-up, of which at most one is taken."""

    options: tuple[ChargedOption, ...]


@dataclass(frozen=True)
class SharedSetUp:
    """Candidates that begin with one set-up, the minutes and worth that it costs, and what needs more."""

    minutes: int
    fee: int
    candidates: Sequence[Alternatives]
    within: Sequence["SharedSetUp"] = ()  # set-ups that only what begins with this one needs


@dataclass(frozen=True)
class _Turn:
    """One set-up as it was taken into the row: the row before it, and before each of its candidates, those
    from the end of the set-up on; then what is within it."""

    set_up: SharedSetUp
    before: Row
    steps: tuple[tuple[Alternatives, Row], ...]
    within: tuple["_Turn", ...]
    after: Row


@dataclass(frozen=True)
class Table:
    """The best worth by minutes after some set-ups, with the way back through them."""

    row: Row
    turns: tuple[_Turn, ...]


class Rows:
    """The rows of one search, each worked out once: most of a branch is as in the branch before it.

    A row or a candidate's options are told by what they are, not by what is in them; both are kept, so that
    an id stays its own. Nothing here may be changed once it was given.
    """

    def __init__(self, lanes: Lanes) -> None:
        self.lanes = lanes
        self._first: dict[Row, Row] = {}
        self._opened: dict[tuple[int, int, int], tuple[Row, Row]] = {}
        self._taken: dict[tuple[int, int], tuple[Row, Alternatives, Row]] = {}
        self._better: dict[tuple[int, int, int], tuple[Row, Row, Row]] = {}

    def first(self, row: Row) -> Row:
        """The same row for the same numbers: what a branch begins with."""
        return self._first.setdefault(row, row)

    def opened(self, row: Row, size: int, set_up: SharedSetUp) -> Row:
        """What is left of a row of so many lanes once a set-up is paid for."""
        if not set_up.minutes and not set_up.fee:
            return row
        key = (id(row), set_up.minutes, set_up.fee)
        if key not in self._opened:
            self._opened[key] = (row, self.lanes.paid(row, size - set_up.minutes, set_up.fee))
        return self._opened[key][1]

    def taken(self, row: Row, size: int, of_one: Alternatives) -> Row:
        """The row with at most one of a candidate's options taken."""
        key = (id(row), id(of_one))
        found = self._taken.get(key)
        if found is None:
            best, with_more, greater = row, self.lanes.with_more, self.lanes.greater
            for _, minutes, worth in of_one.options:
                if minutes < size and worth > 0:  # what is worth nothing is never better than leaving it
                    best = greater(best, with_more(row, size, minutes, worth))
            found = self._taken[key] = (row, of_one, best)
        return found[2]

    def better(self, row: Row, inside: Row, minutes: int) -> Row:
        """The greater of the row and of what there is after a set-up of so many minutes, place by place."""
        key = (id(row), id(inside), minutes)
        found = self._better.get(key)
        if found is None:
            best = self.lanes.greater(row, self.lanes.later(inside, minutes))
            found = self._better[key] = (row, inside, best)
        return found[2]


def fill(row: Row, size: int, set_ups: Iterable[SharedSetUp], rows: Rows) -> Table:
    """Take every set-up into a row of so many lanes, each paid for once or left out."""
    turns: list[_Turn] = []
    for set_up in set_ups:
        if set_up.minutes < size:
            turns.append(_taken(row, size, set_up, rows))
            row = turns[-1].after
    return Table(row, tuple(turns))


def _taken(row: Row, size: int, set_up: SharedSetUp, rows: Rows) -> _Turn:
    left = size - set_up.minutes
    inside = rows.opened(row, size, set_up)
    steps: list[tuple[Alternatives, Row]] = []
    for of_one in set_up.candidates:
        steps.append((of_one, inside))
        inside = rows.taken(inside, left, of_one)
    within: tuple[_Turn, ...] = ()
    if set_up.within:
        table = fill(inside, left, set_up.within, rows)
        inside, within = table.row, table.turns
    after = rows.better(row, inside, set_up.minutes) if set_up.minutes or set_up.fee else inside
    return _Turn(set_up, row, tuple(steps), within, after)


def way_back(
    table: Table, lanes: Lanes, at: int, value: int, picked: list[tuple[int, int]]
) -> tuple[int, int]:
    """Walk back from a place in the row, noting what was taken; gives the place and value before it all."""
    return _before(table.turns, lanes, at, value, picked)


def _before(
    turns: Sequence[_Turn], lanes: Lanes, at: int, value: int, picked: list[tuple[int, int]]
) -> tuple[int, int]:
    for turn in reversed(turns):
        set_up = turn.set_up
        if (set_up.minutes or set_up.fee) and lanes.at(turn.before, at) == value:
            continue  # left out
        at, value = _before(turn.within, lanes, at - set_up.minutes, value, picked)
        for of_one, earlier in reversed(turn.steps):
            if lanes.at(earlier, at) == value:
                continue
            option = _which(of_one, lanes, earlier, at, value)
            picked.append(option.pair)
            at, value = at - option.minutes, value - option.worth
        value += set_up.fee
    return at, value


def _which(of_one: Alternatives, lanes: Lanes, earlier: Row, at: int, value: int) -> ChargedOption:
    for option in of_one.options:
        if option.minutes <= at and lanes.at(earlier, at - option.minutes) + option.worth == value:
            return option
    raise AssertionError("the table has no way back")


def taken_in_time(row: Row, lanes: Lanes, option: ChargedOption, end: int) -> Row:
    """The row with an option taken that is over by ``end``; later places hold what it is worth by then."""
    begun = end - option.minutes
    if begun < 0 or option.worth <= 0:
        return 0
    size = min(end + 1, lanes.size)
    kept = lanes.with_more(lanes.first(row, begun + 1), size, option.minutes, option.worth)
    return lanes.on_from(kept, size, lanes.size)
