"""Why a stretch is worth doing now. Each is a fact; ``views/suggestion.py`` puts it in words."""

from datetime import datetime, timedelta

from kiosk.dataclass import dataclass
from kiosk.planning.choose.option import SetUp
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.asked import named_first, walks_with
from kiosk.planning.work.candidate import Stretch
from kiosk.record.context import Context
from kiosk.record.last_moment import at_moment, begin_step_by, in_hand_by, matters_to
from kiosk.record.readiness import in_hand_could_not_follow, told_first
from kiosk.shop.procedure import Family

FEWEST_SEEN = 3  # pieces, before a usual time is told


@dataclass(frozen=True)
class Spoils:
    """It goes to waste if it is not begun by then."""

    at: datetime


@dataclass(frozen=True)
class QuietAfter:
    """Quiet hours come before its end if it is begun, or gone on with, later than that; of what is in hand,
    if that is ended later."""

    at: datetime
    in_hand: bool = False


@dataclass(frozen=True)
class QuietComesFirst:
    """Quiet hours come before its end even at the soonest: it goes to waste then, or is left as it may not
    be."""

    until: datetime
    spoils_at: datetime | None


@dataclass(frozen=True)
class MayNotBeLeft:
    """Its parts may not be left as they are."""


@dataclass(frozen=True)
class AskedFor:
    """Somebody asked for these first; for all of it where none is named."""

    marks: tuple[str, ...] = ()


@dataclass(frozen=True)
class GoesWithAsked:
    """It is of one batch with these, which somebody asked for first."""

    marks: tuple[str, ...]


@dataclass(frozen=True)
class OpensAsked:
    """What somebody asked for first waits for it."""


@dataclass(frozen=True)
class InHand:
    """It is the step in hand."""


@dataclass(frozen=True)
class Opens:
    """So many unfinished parts wait for it."""

    parts: int


@dataclass(frozen=True)
class EndsPart:
    """Nothing is left to do on these parts after it."""

    marks: tuple[str, ...]


@dataclass(frozen=True)
class SetUpOut:
    """Its set-up is out on the bench already."""

    family: Family


@dataclass(frozen=True)
class OneSetUp:
    """So many parts go through for one set-up."""

    parts: int


@dataclass(frozen=True)
class Usual:
    """It takes about so long, by the last pieces that were timed."""

    minutes: float
    pieces: int


@dataclass(frozen=True)
class StepsBefore:
    """So many steps still lie before the part."""

    steps: int


@dataclass(frozen=True)
class LastStep:
    """It is the part's last step."""


Plain = (
    Spoils
    | QuietAfter
    | QuietComesFirst
    | MayNotBeLeft
    | AskedFor
    | GoesWithAsked
    | OpensAsked
    | InHand
    | Opens
    | EndsPart
    | SetUpOut
    | OneSetUp
    | Usual
    | StepsBefore
    | LastStep
)


@dataclass(frozen=True)
class AllTheSame:
    """It was asked not to be done today, and comes all the same: for this reason."""

    why: Plain


Reason = Plain | AllTheSame


def reason_for(context: Context, stretch: Stretch, free: frozenset[SetUp], predictor: Predictor) -> Reason:
    """The reason that weighs most. ``free`` families are out on the bench already."""
    why = _plain_reason(context, stretch, free, predictor)
    return AllTheSame(why) if stretch.wanted == "not today" else why


def _plain_reason(context: Context, stretch: Stretch, free: frozenset[SetUp], predictor: Predictor) -> Plain:
    before_quiet = _before_quiet_hours(context, stretch)
    if before_quiet is not None:
        return before_quiet
    if stretch.spoils_at is not None:
        return Spoils(stretch.spoils_at)
    if stretch.in_a_run:
        return MayNotBeLeft()
    if stretch.wanted == "first":
        named = named_first(context, stretch.marks)
        if not named and (asked := walks_with(context, stretch.marks)):
            return GoesWithAsked(asked)
        return AskedFor(named if len(named) < len(stretch.marks) else ())
    if stretch.wanted == "opens":
        return OpensAsked()
    if stretch.work is not None:
        return InHand()
    if stretch.opens:
        return Opens(stretch.opens)
    if stretch.ends_part:
        return EndsPart(stretch.marks)
    if stretch.family in free:
        return SetUpOut(stretch.family)
    if len(stretch.marks) > 1:
        return OneSetUp(len(stretch.marks))
    duration = predictor.piece(*stretch.steps[0], stretch.kind)
    if duration.observed >= FEWEST_SEEN:
        return Usual(duration.median_minutes, duration.observed)
    return StepsBefore(stretch.steps_left) if stretch.steps_left > 1 else LastStep()


def _before_quiet_hours(context: Context, stretch: Stretch) -> QuietAfter | QuietComesFirst | None:
    """Of what stands, spoils or is in hand, that quiet hours leave it less time than its own limit; else
    None."""
    work = context.state.works.get(stretch.work or "")
    stands = stretch.in_a_run or stretch.spoils_at is not None or work is not None
    if not stands or not matters_to(context, *stretch.steps[0]):
        return None
    at = context, stretch.marks, *stretch.steps[0]
    if work is not None:
        stops = in_hand_could_not_follow(context, work)
    else:
        ready = at_moment(context, context.now + timedelta(minutes=stretch.ready_in))
        stops = told_first(ready, *at[1:])
    if stops:
        until = stops[0].until if stops[0].kind == "quiet" else None
        return QuietComesFirst(until, stretch.spoils_at) if until is not None else None
    by = in_hand_by(context, work) if work is not None else begin_step_by(*at)
    if by is None or (stretch.spoils_at is not None and by >= stretch.spoils_at):
        return None
    return QuietAfter(by, in_hand=work is not None and work.status == "running")
