"""The table behind the slot chooser: the best worth for every number of minutes, and the way back to it.

A multiple-choice knapsack in which the members of a group share one set-up, and at most one of all entries
that wait is taken. Two rows are kept for that, without a wait and with at most one; the second only from the
first group on that has one.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

NEVER = -(10**15)  # the worth of what cannot be
Row = list[int]
FEW = 5  # rows that are compared two at a time; of more, all at once is quicker


@dataclass(frozen=True)
class Entry:
    """An option as the table sees it: which one, its minutes and its worth, both with what it is charged."""

    pair: tuple[int, int]
    minutes: int
    worth: int


@dataclass(frozen=True)
class Member:
    """A candidate's options in one group, of which at most one is taken."""

    usual: tuple[Entry, ...]
    waiting: tuple[Entry, ...] = ()


@dataclass(frozen=True)
class Group:
    """Candidates that begin with one family, and the minutes and worth that opening it costs."""

    cost: int
    fee: int
    members: Sequence[Member]


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
class _Filled:
    group: Group
    before: Rows
    steps: tuple[tuple[Member, Rows], ...]


@dataclass(frozen=True)
class Filled:
    """The rows after some groups, with the way back through them."""

    rows: Rows
    trace: tuple[_Filled, ...]


def fill(rows: Rows, groups: Iterable[Group]) -> Filled:
    """Take every group into the rows, each paid for once or not opened; those that wait last."""
    trace: list[_Filled] = []
    size = len(rows.without)
    for group in sorted(groups, key=lambda one: any(member.waiting for member in one.members)):
        if group.cost >= size:
            continue
        if rows.with_one is None and any(member.waiting for member in group.members):
            rows = Rows(rows.without, rows.without)
        before = rows
        inside = rows.each(lambda row, group=group: _opened(row, group))  # type: ignore[misc]
        steps: list[tuple[Member, Rows]] = []
        for member in group.members:
            steps.append((member, inside))
            without = _taken(inside.without, member.usual)
            with_one = inside.with_one
            if with_one is not None:
                with_one = _taken(with_one, member.usual)
                if member.waiting:
                    shifted = [_shifted(inside.without, entry) for entry in member.waiting]
                    with_one = greatest(with_one, shifted)
            inside = Rows(without, with_one)
        trace.append(_Filled(group, before, tuple(steps)))
        if group.cost or group.fee:
            rows = Rows(
                greatest(before.without, [inside.without]),
                None
                if before.with_one is None or inside.with_one is None
                else greatest(before.with_one, [inside.with_one]),
            )
        else:
            rows = inside
    return Filled(rows, tuple(trace))


def way_back(
    filled: Filled, at: int, value: int, one: bool, picked: list[tuple[int, int]]
) -> tuple[int, int, bool]:
    """Walk back from a place in the rows, noting what was taken.

    ``one`` says that a wait may be among it; gives the place, value and flag where the groups began.
    """
    for done in reversed(filled.trace):
        group = done.group
        if (group.cost or group.fee) and _row(done.before, one)[at] == value:
            continue  # not opened
        for member, earlier in reversed(done.steps):
            if _row(earlier, one)[at] == value:
                continue
            entry, waited = _which(member, earlier, at, value, one)
            picked.append(entry.pair)
            at, value, one = at - entry.minutes, value - entry.worth, one and not waited
        at, value = at - group.cost, value + group.fee
    return at, value, one


def _row(rows: Rows, one: bool) -> Row:
    return rows.with_one if one and rows.with_one is not None else rows.without


def _which(member: Member, earlier: Rows, at: int, value: int, one: bool) -> tuple[Entry, bool]:
    row = _row(earlier, one)
    for entry in member.usual:
        if entry.minutes <= at and row[at - entry.minutes] + entry.worth == value:
            return entry, False
    for entry in member.waiting if one else ():
        if entry.minutes <= at and earlier.without[at - entry.minutes] + entry.worth == value:
            return entry, True
    raise AssertionError("the table has no way back")


def _opened(row: Row, group: Group) -> Row:
    if not group.cost and not group.fee:
        return row
    return [NEVER] * group.cost + [value - group.fee for value in row[: len(row) - group.cost]]


def _taken(row: Row, entries: Sequence[Entry]) -> Row:
    """The row with at most one of the entries taken."""
    size = len(row)
    shifted = [_shifted(row, entry) for entry in entries if entry.minutes < size]
    return greatest(row, shifted)


def greatest(row: Row, others: Sequence[Row]) -> Row:
    """The greatest of several rows, place by place."""
    if len(others) <= FEW:
        for other in others:
            row = [a if a > b else b for a, b in zip(row, other, strict=True)]
        return row
    return list(map(max, row, *others))


def _shifted(row: Row, entry: Entry) -> Row:
    """The row with an entry taken."""
    size, minutes = len(row), entry.minutes
    if minutes >= size:
        return [NEVER] * size
    worth = entry.worth
    return [NEVER] * minutes + [value + worth for value in row[: size - minutes]]


def taken_in_time(row: Row, entry: Entry, end: int) -> Row:
    """The row with an entry taken that is over by ``end``; later places hold what it is worth by then."""
    begun = end - entry.minutes
    if begun < 0:
        return [NEVER] * len(row)
    kept = [value + entry.worth for value in row[: begun + 1]]
    late = [kept[-1]] * max(0, len(row) - entry.minutes - len(kept))
    return ([NEVER] * entry.minutes + kept + late)[: len(row)]
