"""One stretch as it is offered to one person. ``views/suggestion.py`` puts it in words."""

from collections.abc import Sequence
from dataclasses import replace

from kiosk.dataclass import dataclass
from kiosk.planning.plan import Plan
from kiosk.planning.reasons import Reason, reason_for
from kiosk.planning.work.candidate import Stretch
from kiosk.record.authority import lends_a_hand
from kiosk.record.context import Context
from kiosk.record.holding import least_free
from kiosk.record.readiness import run_blocks
from kiosk.record.together import go_together
from kiosk.shop.shop import Shop


@dataclass(frozen=True)
class Suggestion:
    """One thing to do in the slot, by one person, with the reason."""

    stretch: Stretch
    by: str
    for_helper: bool  # to be told in a helper's words
    reason: Reason
    fetch: tuple[str, ...]  # the names of its tools, then of what it uses up
    chance: float  # that it fits: of a set, that the whole set does
    beside: str = ""  # who else is in it, where it takes two

    @property
    def marks(self) -> tuple[str, ...]:
        """The parts, in order."""
        return self.stretch.marks

    @property
    def procedure(self) -> str:
        """The id of the procedure that it begins in."""
        return self.stretch.steps[0][0].id

    @property
    def step(self) -> str:
        """The id of the step that it begins with."""
        return self.stretch.steps[0][1].id

    @property
    def work(self) -> str | None:
        """The work in hand that it goes on with."""
        return self.stretch.work

    @property
    def minutes(self) -> int:
        """Without set-ups."""
        return self.stretch.minutes

    @property
    def ready_in(self) -> int:
        """Minutes until it can begin, where its wait still runs."""
        return self.stretch.ready_in


def _by_hand(shop: Shop, stretch: Stretch) -> list[Stretch]:
    """A stretch as one for each hand of its parts: a template turned over in a batch is a wrong rib.

    What goes through all at once, such as parts that are primed, has no template, and stays together; so does
    what is in hand, and what holds a wait.
    """
    hands: dict[str, list[str]] = {}
    for mark in stretch.marks:
        hands.setdefault(shop.parts[mark].hand, []).append(mark)
    at_once = any(step.batch == "together" for _, step in stretch.steps)
    if len(hands) < 2 or at_once or stretch.work is not None or stretch.gap_minutes or stretch.in_a_run:
        return [stretch]
    found, done, minutes = [], 0, 0
    for marks in hands.values():
        done += len(marks)
        until = round(stretch.minutes * done / len(stretch.marks))  # their sum is the whole
        found.append(replace(stretch, marks=tuple(marks), minutes=until - minutes))
        minutes = until
    return found


def _together(context: Context, stretches: Sequence[Stretch]) -> list[Stretch]:
    """The stretches, those in one that are begun together: ribs and clips that one mixture is for.

    Only in a run that can't be left. Elsewhere two kinds that began together would walk as one batch for
    nothing from then on. What keeps the only rack through a wait gives it to the other afterwards.
    """
    found: list[Stretch] = []
    for stretch in stretches:
        at = next((place for place, one in enumerate(found) if _go_together(context, one, stretch)), None)
        if at is None:
            found.append(stretch)
        else:
            found[at] = _both(found[at], stretch)
    return found


def _go_together(context: Context, one: Stretch, other: Stretch) -> bool:
    shop = context.shop
    procedure, step = one.steps[0]
    return (
        step.batch == "together"
        and (step.stop == "go straight on" or (one.in_a_run and other.in_a_run))
        and one.work is None
        and other.work is None
        and one.wanted == other.wanted
        and (one.gap_after, bool(one.ready_in)) == (other.gap_after, bool(other.ready_in))
        and [of.ref(each) for of, each in one.steps] == [of.ref(each) for of, each in other.steps]
        and go_together(shop, (*one.marks, *other.marks), procedure.ref(step))
        and (one.ready_in > 0 or not run_blocks(context, (*one.marks, *other.marks), procedure, step))
        and (
            (least := least_free(context, procedure, step)) is None
            or len(one.marks) + len(other.marks) <= least.free
        )
    )


def _both(one: Stretch, other: Stretch) -> Stretch:
    """Two stretches as one; its minutes are the sum, so that what is shown adds up."""
    return replace(
        one,
        marks=(*one.marks, *other.marks),
        minutes=one.minutes + other.minutes,
        waiting_minutes=one.waiting_minutes + other.waiting_minutes,
        gap_minutes=max(one.gap_minutes, other.gap_minutes),
        last_minutes=one.last_minutes + other.last_minutes,
        limit=min((limit for limit in (one.limit, other.limit) if limit is not None), default=None),
        spoils_at=min((at for at in (one.spoils_at, other.spoils_at) if at is not None), default=None),
        opens=max(one.opens, other.opens),
        steps_left=max(one.steps_left, other.steps_left),
        in_a_run=one.in_a_run or other.in_a_run,
    )


def suggestions(plan: Plan, chance: float) -> tuple[Suggestion, ...]:
    """Everything in a plan, in order, as it is offered to the one whose plan it is."""
    shop, person = plan.found.context.shop, plan.found.context.doer
    found = []
    for stretch in (
        one for whole in _together(plan.found.context, plan.stretches) for one in _by_hand(shop, whole)
    ):
        tools = dict.fromkeys(name for _, step in stretch.steps for name in shop.tool_names(step))
        used = dict.fromkeys(name for _, step in stretch.steps for name in shop.consumable_names(step))
        other = lends_a_hand(plan.found.context, [step for _, step in stretch.steps])
        found.append(
            Suggestion(
                stretch=stretch,
                by=person.id,
                for_helper=person.role == "helper",
                reason=reason_for(plan.found.context, stretch, plan.found.free, plan.found.predictor),
                fetch=(*tools, *used),
                chance=chance,
                beside=other.id if other is not None else "",
            )
        )
    return tuple(found)
