"""The relaxed choice of one branch: loud things first, then what spoils, then everything else.

Each option pays for the set-up of its first step only, and but for these three stages no order is looked at.
So the worth it gives is never less than that of any plan the branch holds.
"""

from collections.abc import Mapping, Sequence
from functools import reduce

from kiosk.dataclass import dataclass
from kiosk.planning.choose.option import SetUp
from kiosk.planning.choose.rows import Lanes, Row
from kiosk.planning.choose.table import (
    Alternatives,
    ChargedOption,
    Rows,
    SharedSetUp,
    fill,
    taken_in_time,
    way_back,
)

# By the set-ups that it is charged, each within the one before it: none where it is charged nothing.
BySetUps = Mapping[tuple[SetUp, ...], Sequence[Alternatives]]


@dataclass(frozen=True)
class Spoiling:
    """A candidate's options that spoil, with the latest end of any of them."""

    latest_end: int
    number: int
    options: Sequence[ChargedOption]


@dataclass(frozen=True)
class Stages:
    """What one branch may take, by the stage of the table that it belongs to."""

    loud: BySetUps
    spoiling: Sequence[Spoiling]
    others: BySetUps

    def best(
        self, left: int, early: int, set_up: Mapping[SetUp, int], rows: Rows
    ) -> tuple[Row, list[tuple[int, int]]]:
        """The best worth by minutes, with what is loud in the first ``early``; and what gives that of
        ``left`` minutes.

        The row is as long as the slot, whatever a branch has left of it, so that branches share what they
        have alike: a place of a row follows from the places before it alone. What spoils is not taken to
        begin later for the loud things before it.
        """
        early, lanes = max(0, early), rows.lanes
        loud = fill(rows.first(lanes.empty(early + 1)), early + 1, _set_ups(self.loud, set_up), rows)
        row = rows.first(lanes.on_from(loud.row, early + 1, lanes.size))
        turns = self._turns(row, lanes)
        before = rows.first(turns[-1].after) if turns else row
        last = fill(before, lanes.size, _set_ups(self.others, set_up), rows)
        picked: list[tuple[int, int]] = []
        at, value = way_back(last, lanes, left, lanes.at(last.row, left), picked)
        for turn in reversed(turns):
            at, value = turn.way_back(lanes, at, value, picked)
        way_back(loud, lanes, min(at, early), value, picked)
        return last.row, picked

    def _turns(self, row: Row, lanes: Lanes) -> list["_Turn"]:
        """What spoils, taken into the row in the order of the candidates' latest ends.

        Everything up to one must be over by its end: that much is true of every plan, whichever of the
        options are taken.
        """
        turns: list[_Turn] = []
        minutes = lanes.size - 1
        for one in sorted(self.spoiling, key=lambda one: (one.latest_end, one.number)):
            end = minutes if self.loud else min(one.latest_end, minutes)
            taken = [taken_in_time(row, lanes, option, end) for option in one.options]
            turns.append(_Turn(row, end, one.options, taken, reduce(lanes.greater, taken, row)))
            row = turns[-1].after
        return turns


@dataclass(frozen=True)
class _Turn:
    """One candidate that spoils, as it was taken into the row."""

    before: Row
    end: int
    options: Sequence[ChargedOption]
    taken: Sequence[Row]
    after: Row

    def way_back(self, lanes: Lanes, at: int, value: int, picked: list[tuple[int, int]]) -> tuple[int, int]:
        """The place and value before it, with what was taken noted."""
        if lanes.at(self.before, at) == value:
            return at, value
        option = next(
            option for option, row in zip(self.options, self.taken, strict=True) if lanes.at(row, at) == value
        )
        picked.append(option.pair)
        return min(at, self.end) - option.minutes, value - option.worth


def _set_ups(by_set_ups: BySetUps, set_up: Mapping[SetUp, int], depth: int = 0) -> list[SharedSetUp]:
    """Each set-up at so deep a place, with what needs no more and what is within it."""
    by_name: dict[SetUp | None, dict[tuple[SetUp, ...], Sequence[Alternatives]]] = {}
    for names, of_them in by_set_ups.items():
        by_name.setdefault(names[depth] if names else None, {})[names] = of_them
    found: list[SharedSetUp] = []
    for name, of in by_name.items():
        if name is None:
            found.append(SharedSetUp(0, 0, of[()]))
            continue
        own = [one for names, of_them in of.items() if len(names) == depth + 1 for one in of_them]
        more = {names: of_them for names, of_them in of.items() if len(names) > depth + 1}
        within = _set_ups(more, set_up, depth + 1) if more else ()
        found.append(SharedSetUp(set_up.get(name, 0), 1, own, within))
    return found
