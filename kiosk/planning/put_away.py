"""When to begin putting away: what closing takes, what is set up, and how far the work must still go."""

import math
from collections.abc import Iterator, Sequence
from contextlib import suppress

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.times.sum_of_pieces import TimeOfPiece
from kiosk.planning.work.chain import running_within, waits_along
from kiosk.planning.work.reaches import STEADY_CHANCE
from kiosk.planning.work.to_put_away import closing_and_away, times_to_put_away
from kiosk.record.context import Context
from kiosk.record.out_on_bench import NOTHING_OUT, minutes_out, out_on_bench
from kiosk.record.position import in_run, stands_unended
from kiosk.record.readiness import could_not_follow, part_blocks, step_blocks, stops_in_hand
from kiosk.record.state import PartState, Work
from kiosk.record.waits import clocks_on
from kiosk.record.worked import seconds_worked
from kiosk.shop.procedure import Procedure, Step, StepRef, last_of_run

FORGOTTEN_AFTER = 30  # minutes after its end, a slot is not spoken of any more


@dataclass(frozen=True)
class PutAway:
    """Whole minutes for each thing to do before the bench can be left, and how many are left of the slot."""

    closing: int
    families: int  # putting away what is set up
    to_leave: int  # of the work in hand, to where it can be left
    left: int  # of the slot, the one that runs included; 0 and less once it is over
    begun: bool = True  # something was done in the slot, or is out or in hand: else there is nothing to close

    @property
    def needed(self) -> int:
        """All of it."""
        return self.closing + self.families + self.to_leave

    @property
    def over(self) -> bool:
        """True when the slot is."""
        return self.left <= 0

    @property
    def now(self) -> bool:
        """True when it is time."""
        return self.left <= (self.needed if self.begun else 0)


@dataclass(frozen=True)
class TooLong:
    """Whole minutes of a step that may not be left, with leaving the bench after it, and of the slot."""

    takes: int
    left: int


def left_of_slot(context: Context) -> int | None:
    """Whole minutes that are left to whoever has the screen, the one that runs included, 0 and less once they
    are over; None when no slot of theirs runs, or nobody knows how much of it is left."""
    slot = context.state.slots.get(context.doer.id)
    since = context.since(slot.began) if slot is not None else None
    if slot is None or since is None:
        return None
    left = math.ceil(slot.minutes - since.total_seconds() / 60 - 1e-9)
    return left if left >= -FORGOTTEN_AFTER else None


def put_away(context: Context) -> PutAway | None:
    """What leaving the bench takes whoever has the screen; None when no slot of theirs runs, or nobody knows
    how much of it is left."""
    left = left_of_slot(context)
    return _put_away(context, Predictor(context), left) if left is not None else None


def _put_away(context: Context, predictor: Predictor, left: int) -> PutAway:
    closing, families = closing_and_away(context, predictor, times_to_put_away(context, predictor))
    to_leave = _to_leave(context, predictor)
    begun = bool(families or to_leave) or _something_done(context)
    return PutAway(closing=closing, families=families, to_leave=to_leave, left=left, begun=begun)


def _something_done(context: Context) -> bool:
    """True once a step was in hand or done since the minutes were given."""
    state = context.state
    slot = state.slots[context.doer.id]
    if any(work.status == "running" for work in state.works.values()):
        return True
    touched = (work.touched_at or work.started_at for work in state.works.values())
    return any(at >= slot.began.at for at in (*touched, *(one.at for one in state.confirmations[-1:])))


def too_long_to_end(
    context: Context, marks: Sequence[str], procedure: Procedure, step: Step
) -> TooLong | None:
    """By how much a step that may not be left half way is too long for what is left of the slot, were it
    begun now; of one that is left between pieces, its first piece.

    None where it fits, where it may be left or no slot runs; and where a limit for it runs already or it
    follows at once on what was done, for then to wait is worse.
    """
    if not (step.has_to_end or step.stop == "between pieces"):
        return None
    left = left_of_slot(context)
    if left is None or any(_has_a_limit(context, mark, procedure, step) for mark in marks):
        return None
    if any(in_run(context.shop, context.state, mark) for mark in marks):
        return None
    predictor = Predictor(context)
    slot = _put_away(context, predictor, left)
    pieces = len(marks) if step.batch == "together" else 1
    ends = minutes_to_leave(context, predictor, procedure, step, marks[0], pieces)
    of_family = minutes_out(out_on_bench(context)).get(procedure.family_of(step), NOTHING_OUT)
    ends += predictor.set_up_and_away(procedure, step, of_family)
    takes = math.ceil(ends) + slot.closing + slot.families
    return TooLong(takes, max(0, slot.left)) if takes > slot.left else None


def _has_a_limit(context: Context, mark: str, procedure: Procedure, step: Step) -> bool:
    limits = (clock for clock in clocks_on(context.shop, context.state, mark) if clock.kind == "within")
    return any((clock.procedure, clock.step) == (procedure.id, step.id) for clock in limits)


def _to_leave(context: Context, predictor: Predictor) -> int:
    """Minutes until the last of the steps that run, what was paused in this sitting and may not be left so,
    and all that only stands, can be left. What a power cut or a dead screen left unknown may be running."""
    longest = paused = 0.0
    here = {person.id for person in context.people} - {context.doer.id}
    for work in context.state.works.values():
        if work.worker in here:
            continue  # others end theirs
        with suppress(KioskError):  # a figure that cannot be worked out: `kiosk check` names it
            if work.status != "paused":
                longest = max(longest, _minutes_to_leave(context, predictor, work))
            elif stands_unended(context.shop, context.state, work) and not stops_in_hand(context, work):
                paused += _minutes_to_leave(context, predictor, work)
    minutes = longest + paused
    for ready_in, takes in sorted(_of_what_stands(context, predictor)):
        minutes = max(minutes, ready_in) + takes  # several stand side by side, and the work in hand goes on
    return math.ceil(minutes)


def _of_what_stands(context: Context, predictor: Predictor) -> Iterator[tuple[float, float]]:
    """Of what follows at once where nothing is in hand, in how many minutes it can, and how many it takes:
    after a wait in which the work can't be left, such as mixed primer that stands, and what was done so far
    in this sitting, such as a clip in the brake. Not what cannot go on now, as a coat in quiet hours: no
    leaving waits for that.
    """
    positions = context.positions
    alike: dict[tuple[str, StepRef], list[str]] = {}
    for mark in positions.in_runs:
        part = context.state.part(mark)
        if part.work not in context.state.works and (part.clocks or _was_done_here(context, part)):
            where = positions.of(mark)
            if where.procedure is not None and where.step is not None:
                key = (context.shop.parts[mark].kind, where.procedure.ref(where.step))
                alike.setdefault(key, []).append(mark)
    for (_, ref), marks in alike.items():
        procedure, step = context.shop.find_step(ref.procedure, ref.step, marks[0])
        if procedure is not None and step is not None:
            stops = part_blocks(context, marks[0], procedure, step)
            waits = [one for one in stops if one.kind == "wait"]
            ends = [one.until for one in waits if one.until is not None]
            hinders = [one for one in step_blocks(context, step) if one.kind in ("quiet", "tool", "stock")]
            if len(waits) < len(stops) or hinders or could_not_follow(context, marks, procedure, step):
                continue
            ready_in = max([0.0, *((end - context.now).total_seconds() / 60 for end in ends)])
            yield ready_in, minutes_to_leave(context, predictor, procedure, step, marks[0], len(marks))


def _was_done_here(context: Context, part: PartState) -> bool:
    """True where the newest step of a part was done since the sitting began: who left it so before knows."""
    sitting = context.state.sitting
    newest = [one.at for done in part.passes.values() for one in done.values() if not one.skipped]
    return sitting is not None and bool(newest) and max(newest) >= sitting.opened_at


def _minutes_to_leave(context: Context, predictor: Predictor, work: Work) -> float:
    shop, mark = context.shop, work.turned_to
    procedure, step = shop.find_step(work.procedure, work.step, mark)
    if procedure is None or step is None or mark not in shop.parts or step.stop == "anywhere":
        return 0.0
    pieces = len(work.pieces) if step.batch == "together" else 1
    spent = seconds_worked(context, work) / 60
    return minutes_to_leave(context, predictor, procedure, step, mark, pieces, spent)


def minutes_to_leave(
    context: Context,
    predictor: Predictor,
    procedure: Procedure,
    step: Step,
    mark: str,
    pieces: int = 1,
    spent_minutes: float = 0.0,
) -> float:
    """Minutes from a step on to where it can be left, as nine times in ten they are enough.

    What has to pass between steps that follow at once counts too: a mixed primer's standing is not left.
    Another piece is not begun with less. ``spent_minutes`` of the step are over already.
    """
    if step.stop == "anywhere":
        return 0.0
    kind = context.shop.kind_of(mark)
    here = TimeOfPiece().then(predictor.piece(procedure, step, kind.id))
    left = max(0.0, here.quantile_minutes(STEADY_CHANCE, pieces) - spent_minutes)
    following = _straight_on(context.shop.steps_for(kind, procedure), step)
    after = TimeOfPiece()
    for one in following:
        after = after.then(predictor.piece(procedure, one, kind.id))
    chain = [(procedure, one) for one in (step, *following)]
    waited = sum(waits_along(context.state, mark, chain, running_within(context, [mark], chain)))
    return left + waited + after.quantile_minutes(STEADY_CHANCE, pieces)


def _straight_on(steps: Sequence[Step], step: Step) -> Sequence[Step]:
    """The steps that have to follow one at once."""
    at = next((number for number, one in enumerate(steps) if one.id == step.id), len(steps))
    return steps[at + 1 : last_of_run(steps, at) + 1]
