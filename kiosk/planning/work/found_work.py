"""What was found to do, for one person and one slot, with what cannot be begun and why."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from kiosk.dataclass import dataclass
from kiosk.planning.choose.option import Option, SetUp, in_order, set_up_of
from kiosk.planning.times.chance import PredictedPieces
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.candidate import Candidate
from kiosk.planning.work.in_reserve import InReserve
from kiosk.record.context import Context
from kiosk.record.out_on_bench import MinutesOut
from kiosk.record.readiness import Block
from kiosk.shop.procedure import Family, Procedure, Step


@dataclass(frozen=True)
class NotNow:
    """Parts whose next step cannot begin now, with the reason."""

    marks: tuple[str, ...]
    procedure: Procedure
    step: Step
    block: Block


@dataclass(frozen=True)
class FoundWork:
    """Everything to choose from: what can be done, what cannot, and the cost of each set-up."""

    context: Context  # whose hands it is for
    predictor: Predictor
    candidates: tuple[Candidate, ...]
    not_now: tuple[NotNow, ...]
    set_up: Mapping[SetUp, int]  # and to put it away
    away: Mapping[SetUp, int]  # of those minutes, what comes when the bench is left
    free: frozenset[SetUp]
    out: Mapping[Family, MinutesOut]  # whose set-ups are free
    minutes: int  # the window they were looked for in
    leaving: tuple[PredictedPieces, ...] = ()  # closing up, and putting away what is out already
    leaving_minutes: int = 0  # kept back for that beside the window
    places: tuple[int, ...] = ()  # of the candidates among all, where some of them are in reserve
    reserve: tuple[InReserve, ...] = ()  # what has no options yet, in order
    families: tuple[Family, ...] = ()  # that something begins with, by the first of all that does

    def minutes_alone(self, option: Option) -> int:
        """Minutes of an option that nothing else is done beside, set-ups included."""
        return option.minutes + set_up_of(option.families, self.set_up, self.free)

    def too_long(self, option: Option) -> Option:
        """The same option, too long for any plan in the window: what is left out so leaves the others their
        places."""
        return option._replace(minutes=self.minutes + 1)

    def fits_alone(self, option: Option, minutes: int) -> bool:
        """True when an option fits in the minutes by itself, without a wait to fill."""
        fits = not option.waits and self.minutes_alone(option) <= minutes
        return fits and in_order([(0, option)], self.set_up, minutes, self.free)

    @property
    def options(self) -> list[Sequence[Option]]:
        """Of each candidate."""
        return [candidate.options for candidate in self.candidates]

    def with_made(self, more: Sequence[InReserve]) -> "FoundWork":
        """The same with the options of some of the reserve made; those that have none are left out."""
        if not more:
            return self
        made = dict(zip(self.places, self.candidates, strict=True))
        made |= {one.place: candidate for one in more if (candidate := one.make()) is not None}
        gone = {one.place for one in more}
        return replace(
            self,
            candidates=tuple(made[place] for place in sorted(made)),
            places=tuple(sorted(made)),
            reserve=tuple(one for one in self.reserve if one.place not in gone),
        )

    def without(self, taken: frozenset[str], *, from_end: bool = False) -> "FoundWork":
        """The same with only those options that hold nothing of what is taken."""
        if not taken:
            return self
        left = []
        for candidate in self.candidates:
            kept = tuple(
                option
                for place, option in enumerate(candidate.options)
                if not candidate.stretch(place, from_end=from_end).holds(self.context.shop) & taken
            )
            left.append(replace(candidate, options=kept))
        return replace(self, candidates=tuple(left))
