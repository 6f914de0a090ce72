"""Acts on a batch: take it to its next step, let parts walk together, split one off."""

from collections.abc import Sequence
from dataclasses import replace

from kiosk.record import events as e
from kiosk.record.batch import members, one_by_one, same_step
from kiosk.record.context import Context
from kiosk.record.position import position
from kiosk.record.rules.door import Bodies, Refused, act, require_parts
from kiosk.record.rules.steps import begin
from kiosk.shop.procedure import StepRef


@act("as the rule says")
def begin_batch(
    context: Context,
    marks: Sequence[str],
    ref: StepRef,
    *,
    in_quiet_hours: bool = False,
    apart: Sequence[str] = (),
) -> Bodies:
    """Begin a step on parts that walk together from now on: on all of them, or on the first alone where the
    step takes one part after another. Those ``apart`` go their own way first, if it is begun at all: a batch
    that is shared out between people."""
    require_parts(context, marks)
    procedure, step = context.shop.find_step(ref.procedure, ref.step, marks[0])
    leave = split(context, apart) if apart else []
    if len(marks) < 2 or procedure is None or step is None:
        return [*leave, *begin(context, marks, ref, in_quiet_hours=in_quiet_hours)]
    if not one_by_one(context.shop, marks[0], procedure, step):
        return [*leave, *begin(context, marks, ref, in_quiet_hours=in_quiet_hours)]
    joins = bool(apart or _joined(context, marks))
    begun = [
        replace(body, walks_with=tuple(marks[1:])) if joins and isinstance(body, e.WorkStarted) else body
        for body in begin(context, marks[:1], ref, in_quiet_hours=in_quiet_hours)
    ]
    return [*leave, *begun]


@act("whoever is here")
def join(context: Context, marks: Sequence[str]) -> Bodies:
    """Let parts that stand at one step walk together from now on, with the whole batch of the first."""
    require_parts(context, marks)
    if len(marks) < 2:
        raise Refused("one part alone is no batch", "choose two or more at one step")
    others = [one for one in members(context.shop, context.state, marks[0]) if one not in marks]
    return _joined(context, marks, others)


def _joined(context: Context, marks: Sequence[str], others: Sequence[str] = ()) -> Bodies:
    """These at one step walk together from now on, with the ``others`` of a batch, wherever those stand."""
    shop, state = context.shop, context.state
    first = position(shop, state, marks[0])
    for mark in marks:
        if not same_step(position(shop, state, mark), first):
            raise Refused(f"{mark} is not at this step", "take along what stands at the same step")
        if state.open_snags(mark):
            raise Refused(f"{mark} is held: {state.open_snags(mark)[0].text}", "decide the snag first")
    batches = {state.part(mark).batch for mark in marks}
    if len(batches) == 1 and "" not in batches:
        return []
    return [e.BatchJoined(marks=(*marks, *others))]


@act("whoever is here")
def split(context: Context, marks: Sequence[str]) -> Bodies:
    """Let parts go their own way from now on; the others of their batch stay together.

    One that is in hand and untouched is put back. One that is half done keeps its place in hand.
    """
    require_parts(context, marks)
    put_back = []
    for mark in marks:
        work = context.state.works.get(context.state.part(mark).work or "")
        shares = work is not None and len(work.pieces) > 1  # a snag may have taken it out of the batch before
        if not shares and not members(context.shop, context.state, mark):
            raise Refused(f"{mark} walks alone", "nothing is to be split")
        if work is None:
            continue
        _, step = context.shop.find_step(work.procedure, work.step, mark)
        if len(work.pieces) == 1:
            continue
        piece = work.piece(mark)
        together = step is not None and step.batch == "together"
        if together or (piece is not None and not piece.touched):
            put_back.append(mark)
    if put_back and len(put_back) == len(
        context.state.works[context.state.part(put_back[0]).work or ""].pieces
    ):
        raise Refused("nothing would be left in hand", "put the step back instead")
    return [e.BatchSplit(marks=tuple(marks), put_back=tuple(put_back))]
