"""How far everybody's times lie over the estimates: what each time says is kept while it is the same object.

As a part's state (``positions.py``), a :class:`Times` never changes: the fold puts another in its place. So a
finished step leaves one or two to work out, and the rest is added up anew in the same order, which gives the
same figure to the last bit.
"""

import math
from collections.abc import Collection
from itertools import compress, count
from operator import is_not

from kiosk.dataclass import dataclass
from kiosk.record.learning import USUAL_SLOPE, of_sums
from kiosk.record.lessons import times_follow_kind
from kiosk.record.state import PieceTime, State, Timed, Times
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Shop


@dataclass(frozen=True)
class Pace:
    """How far log minutes lie over the estimates', added up over kinds of step, and how many kinds."""

    over: float = 0.0
    weight: float = 0.0

    def drawn_towards(self, usual: float, weight: float) -> float:
        """The mean, where what is usual counts for so many kinds of step."""
        return (weight * usual + self.over) / (weight + self.weight)


@dataclass(frozen=True)
class _Said:
    """What the times of one step say of somebody's pace."""

    step: int  # which of all steps, by number
    person: str
    weight: float
    over: float


class Paces:
    """What all times on record say of the pace of everybody, and who did what."""

    def __init__(self) -> None:
        self.changes = 0  # that were followed so far: while it is the same number, nothing is another
        self._begin([])

    def _begin(self, files: list[object]) -> None:
        """Other files, or times that are no longer there: everything is worked out anew."""
        self.changes += 1
        self._files = files
        self._of: list[Timed] = []
        self._times: list[Times] = []
        self._said: list[_Said | None] = []
        self._steps: dict[StepRef, int] = {}
        self._people: dict[tuple[object, ...], set[str]] = {}
        self._kinds: dict[tuple[str, str], set[str | None]] = {}
        self._known: dict[str | None, Pace] = {}  # of those asked for since anything changed

    def follow(self, shop: Shop, state: State) -> "Paces":
        """Work out what changed since it was last asked for; gives itself."""
        times = state.times
        files: list[object] = [*shop.procedures.values(), *shop.kinds.values()]
        other_files = len(files) != len(self._files) or any(map(is_not, files, self._files))
        if other_files or len(times) < len(self._of) or any(map(is_not, times, self._of)):
            self._begin(files)
        changed = list(compress(count(), map(is_not, times.values(), self._times)))
        for of in list(times)[len(self._of) :]:
            changed.append(len(self._of))
            self._of.append(of)
            self._times.append(times[of])
            self._said.append(None)
            self._people.setdefault(_anybodys(of), set()).add(of.person)
            if isinstance(of, PieceTime):
                self._kinds.setdefault((of.step.procedure, of.step.step), set()).add(of.of_kind)
        if changed:
            self.changes += 1
            self._known = {}
        for number in changed:
            of = self._of[number]
            self._times[number] = times[of]
            self._said[number] = self._says(shop, of, times[of])
        return self

    def of(self, person: str | None) -> Pace:
        """A person's pace over the steps that the record holds times of; everybody's for None."""
        if person not in self._known:
            self._known[person] = self._added_up(person)
        return self._known[person]

    def _added_up(self, person: str | None) -> Pace:
        sums: dict[int, tuple[float, float]] = {}
        for said in self._said:
            if said is not None and (person is None or said.person == person):
                weight, over = sums.get(said.step, (0.0, 0.0))
                sums[said.step] = weight + said.weight, over + said.over
        shares = [(weight / (weight + 2.0), over / weight) for weight, over in sums.values()]
        return Pace(sum(share * over for share, over in shares), sum(share for share, _ in shares))

    def who_did(self, of: Timed) -> Collection[str]:
        """Who the record holds times of it of, in a sum or alone."""
        return self._people.get(_anybodys(of), ())

    def kinds_done(self, procedure: str, step: str) -> Collection[str | None]:
        """The kinds on which the record holds times of a step, whoever did it."""
        return self._kinds.get((procedure, step), ())

    def _says(self, shop: Shop, of: Timed, times: Times) -> _Said | None:
        """What the times of a step say; None where they say nothing of a pace."""
        if not isinstance(of, PieceTime):
            return None
        estimate = _estimate(shop, of)
        counted = of_sums(times) if of.in_sum else times
        if estimate <= 0 or counted.weight <= 0:
            return None
        of_first = counted.sum_y - USUAL_SLOPE * counted.sum_x  # practice is no pace
        number = self._steps.setdefault(of.step, len(self._steps))
        return _Said(number, of.person, counted.weight, of_first - counted.weight * math.log(estimate))


def _estimate(shop: Shop, of: PieceTime) -> float:
    """Minutes of a piece as the shop's files say now; 0 where they no longer have it."""
    procedure = shop.procedures.get(of.step.procedure)
    step = procedure.step(of.step.step) if procedure is not None else None
    if procedure is None or step is None or times_follow_kind(procedure, step) != (of.of_kind is not None):
        return 0.0
    if of.of_kind is None:
        return step.minutes.each
    kind = shop.kinds.get(of.of_kind)
    return (shop.route_of(kind).estimate(of.step) or 0.0) if kind is not None else 0.0


def _anybodys(of: Timed) -> tuple[object, ...]:
    """What a time is of, whoever it is of and however it was timed."""
    if isinstance(of, PieceTime):
        return PieceTime, of.step, of.of_kind
    return type(of), getattr(of, "family", None)
