"""The table behind the slot chooser: the best worth for every number of minutes, and the way back to it.

A multiple-choice knapsack in which candidates that begin alike share one set-up, and at most one of all
options that wait is taken. Two rows are kept for that, without a wait and with at most one; the second only
from the first set-up on that has one.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

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

    usual: tuple[ChargedOption, ...]
    waiting: tuple[ChargedOption, ...] = ()


@dataclass(frozen=True)
class SharedSetUp:
    """Candidates that begin with one family, and the minutes and worth that setting it up costs."""

    minutes: int
    fee: int
    candidates: Sequence[Alternatives]


@dataclass(frozen=True)
class Rows:
    """Best worth by minutes: without a wait, and with one at most (None while nothing has waited)."""

    without: Row
    with_one: Row | None = None

    @property
    def best(self) -> Row:
        """The row that an answer is read from."""
        return self.without if self.with_one is None else self.with_one

    def each(self, change: Callable[[Row], Row]) -> "Rows":
        """Both rows changed alike."""
        return Rows(change(self.without), None if self.with_one is None else change(self.with_one))


@dataclass(frozen=True)
class _Turn:
    """One set-up as it was taken into the rows: the rows before it, and before each of its candidates."""

    set_up: SharedSetUp
    before: Rows
    steps: tuple[tuple[Alternatives, Rows], ...]


@dataclass(frozen=True)
class Table:
    """The rows after some set-ups, with the way back through them."""

    rows: Rows
    turns: tuple[_Turn, ...]


def fill(rows: Rows, set_ups: Iterable[SharedSetUp]) -> Table:
    """Take every set-up into the rows, each paid for once or left out; those with a wait last."""
    turns: list[_Turn] = []
    size = len(rows.without)
    for set_up in sorted(set_ups, key=lambda one: any(of_one.waiting for of_one in one.candidates)):
        if set_up.minutes >= size:
            continue
        if rows.with_one is None and any(of_one.waiting for of_one in set_up.candidates):
            rows = Rows(rows.without, rows.without)
        before = rows
        inside = rows.each(lambda row, set_up=set_up: _opened(row, set_up))  # type: ignore[misc]
        steps: list[tuple[Alternatives, Rows]] = []
        for of_one in set_up.candidates:
            steps.append((of_one, inside))
            inside = _with_candidate(inside, of_one)
        turns.append(_Turn(set_up, before, tuple(steps)))
        if set_up.minutes or set_up.fee:
            rows = Rows(
                greatest(before.without, [inside.without]),
                None
                if before.with_one is None or inside.with_one is None
                else greatest(before.with_one, [inside.with_one]),
            )
        else:
            rows = inside
    return Table(rows, tuple(turns))


def _with_candidate(rows: Rows, of_one: Alternatives) -> Rows:
    """The rows with at most one of a candidate's options taken."""
    with_one = rows.with_one
    if with_one is not None:
        with_one = _taken(with_one, of_one.usual)
        if of_one.waiting:
            with_one = greatest(with_one, [_shifted(rows.without, option) for option in of_one.waiting])
    return Rows(_taken(rows.without, of_one.usual), with_one)


def way_back(
    table: Table, at: int, value: int, one: bool, picked: list[tuple[int, int]]
) -> tuple[int, int, bool]:
    """Walk back from a place in the rows, noting what was taken.

    ``one`` says that a wait may be among it; gives the place, value and flag where the table began.
    """
    for turn in reversed(table.turns):
        set_up = turn.set_up
        if (set_up.minutes or set_up.fee) and _row(turn.before, one)[at] == value:
            continue  # left out
        for of_one, earlier in reversed(turn.steps):
            if _row(earlier, one)[at] == value:
                continue
            option, waited = _which(of_one, earlier, at, value, one)
            picked.append(option.pair)
            at, value, one = at - option.minutes, value - option.worth, one and not waited
        at, value = at - set_up.minutes, value + set_up.fee
    return at, value, one


def _row(rows: Rows, one: bool) -> Row:
    return rows.with_one if one and rows.with_one is not None else rows.without


def _which(of_one: Alternatives, earlier: Rows, at: int, value: int, one: bool) -> tuple[ChargedOption, bool]:
    row = _row(earlier, one)
    for option in of_one.usual:
        if option.minutes <= at and row[at - option.minutes] + option.worth == value:
            return option, False
    for option in of_one.waiting if one else ():
        if option.minutes <= at and earlier.without[at - option.minutes] + option.worth == value:
            return option, True
    raise AssertionError("the table has no way back")


def _opened(row: Row, set_up: SharedSetUp) -> Row:
    if not set_up.minutes and not set_up.fee:
        return row
    return [NEVER] * set_up.minutes + [value - set_up.fee for value in row[: len(row) - set_up.minutes]]


def _taken(row: Row, options: Sequence[ChargedOption]) -> Row:
    """The row with at most one of the options taken."""
    size = len(row)
    return greatest(row, [_shifted(row, option) for option in options if option.minutes < size])


def greatest(row: Row, others: Sequence[Row]) -> Row:
    """The greatest of several rows, place by place."""
    if len(others) <= FEW:
        for other in others:
            row = [a if a > b else b for a, b in zip(row, other, strict=True)]
        return row
    return list(map(max, row, *others))


def _shifted(row: Row, option: ChargedOption) -> Row:
    """The row with an option taken."""
    size, minutes = len(row), option.minutes
    if minutes >= size:
        return [NEVER] * size
    worth = option.worth
    return [NEVER] * minutes + [value + worth for value in row[: size - minutes]]


def taken_in_time(row: Row, option: ChargedOption, end: int) -> Row:
    """The row with an option taken that is over by ``end``; later places hold what it is worth by then."""
    begun = end - option.minutes
    if begun < 0:
        return [NEVER] * len(row)
    kept = [value + option.worth for value in row[: begun + 1]]
    late = [kept[-1]] * max(0, len(row) - option.minutes - len(kept))
    return ([NEVER] * option.minutes + kept + late)[: len(row)]
