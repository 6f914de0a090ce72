"""The table behind the slot chooser: the best worth for every number of minutes, and the way back to it.

A multiple-choice knapsack in which candidates that begin alike share one set-up.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from kiosk.dataclass import dataclass

NEVER = -(10**15)  # the worth of what cannot be
Row = list[int]
FEW = 5  # rows that are compared two at a time; of more, all at once is quicker


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
    """Candidates that begin with one family, and the minutes and worth that setting it up costs."""

    minutes: int
    fee: int
    candidates: Sequence[Alternatives]


@dataclass(frozen=True)
class _Turn:
    """One set-up as it was taken into the row: the row before it, and before each of its candidates."""

    set_up: SharedSetUp
    before: Row
    steps: tuple[tuple[Alternatives, Row], ...]


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

    def __init__(self) -> None:
        self._first: dict[tuple[int, ...], Row] = {}
        self._opened: dict[tuple[int, int, int], tuple[Row, Row]] = {}
        self._taken: dict[tuple[int, int], tuple[Row, Alternatives, Row]] = {}
        self._better: dict[tuple[int, int], tuple[Row, Row, Row]] = {}

    def first(self, row: Row) -> Row:
        """The same row for the same numbers: what a branch begins with."""
        return self._first.setdefault(tuple(row), row)

    def opened(self, row: Row, set_up: SharedSetUp) -> Row:
        """The row with a set-up paid for."""
        key = (id(row), set_up.minutes, set_up.fee)
        if key not in self._opened:
            self._opened[key] = (row, _opened(row, set_up))
        return self._opened[key][1]

    def taken(self, row: Row, of_one: Alternatives) -> Row:
        """The row with at most one of a candidate's options taken."""
        key = (id(row), id(of_one))
        found = self._taken.get(key)
        if found is None:
            found = self._taken[key] = (row, of_one, _taken(row, of_one.options))
        return found[2]

    def better(self, row: Row, other: Row) -> Row:
        """The greater of two, place by place."""
        key = (id(row), id(other))
        found = self._better.get(key)
        if found is None:
            found = self._better[key] = (row, other, greatest(row, [other]))
        return found[2]


def fill(row: Row, set_ups: Iterable[SharedSetUp], rows: Rows) -> Table:
    """Take every set-up into the row, each paid for once or left out."""
    turns: list[_Turn] = []
    for set_up in set_ups:
        if set_up.minutes >= len(row):
            continue
        before = row
        inside = rows.opened(row, set_up)
        steps: list[tuple[Alternatives, Row]] = []
        for of_one in set_up.candidates:
            steps.append((of_one, inside))
            inside = rows.taken(inside, of_one)
        turns.append(_Turn(set_up, before, tuple(steps)))
        row = rows.better(before, inside) if set_up.minutes or set_up.fee else inside
    return Table(row, tuple(turns))


def way_back(table: Table, at: int, value: int, picked: list[tuple[int, int]]) -> tuple[int, int]:
    """Walk back from a place in the row, noting what was taken; gives the place and value before it all."""
    for turn in reversed(table.turns):
        set_up = turn.set_up
        if (set_up.minutes or set_up.fee) and turn.before[at] == value:
            continue  # left out
        for of_one, earlier in reversed(turn.steps):
            if earlier[at] == value:
                continue
            option = _which(of_one, earlier, at, value)
            picked.append(option.pair)
            at, value = at - option.minutes, value - option.worth
        at, value = at - set_up.minutes, value + set_up.fee
    return at, value


def _which(of_one: Alternatives, earlier: Row, at: int, value: int) -> ChargedOption:
    for option in of_one.options:
        if option.minutes <= at and earlier[at - option.minutes] + option.worth == value:
            return option
    raise AssertionError("the table has no way back")


def _opened(row: Row, set_up: SharedSetUp) -> Row:
    if not set_up.minutes and not set_up.fee:
        return row
    return [NEVER] * set_up.minutes + [value - set_up.fee for value in row[: len(row) - set_up.minutes]]


def _taken(row: Row, options: Sequence[ChargedOption]) -> Row:
    """The row with at most one of the options taken."""
    size, best = len(row), row
    for _, minutes, worth in options:
        if minutes < size:
            later = zip(best[minutes:] if minutes else best, row)  # noqa: B905 (row is longer)
            best = best[:minutes] + [one if one > (other := value + worth) else other for one, value in later]
    return best


def greatest(row: Row, others: Sequence[Row]) -> Row:
    """The greatest of several rows, place by place."""
    if len(others) <= FEW:
        for other in others:
            row = [a if a > b else b for a, b in zip(row, other, strict=True)]
        return row
    return list(map(max, row, *others))


def taken_in_time(row: Row, option: ChargedOption, end: int) -> Row:
    """The row with an option taken that is over by ``end``; later places hold what it is worth by then."""
    begun = end - option.minutes
    if begun < 0:
        return [NEVER] * len(row)
    kept = [value + option.worth for value in row[: begun + 1]]
    late = [kept[-1]] * max(0, len(row) - option.minutes - len(kept))
    return ([NEVER] * option.minutes + kept + late)[: len(row)]
