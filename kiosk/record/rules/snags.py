"""Acts on a snag: raise it, which holds the part; decide it, which is the builder's alone."""

import uuid

from kiosk.record import events as e
from kiosk.record.context import Context
from kiosk.record.position import position
from kiosk.record.rules.door import Bodies, Refused, act, require_parts
from kiosk.shop.procedure import StepRef

DECISIONS = ("use as is", "rework", "scrap and remake")


@act("whoever is here")
def raise_snag(context: Context, mark: str, text: str) -> Bodies:
    """Something is not right on a part: it is held."""
    if not text.strip():
        raise Refused("a snag needs a few words", "say what is not right")
    require_parts(context, [mark])
    work = context.state.works.get(context.state.part(mark).work or "")
    where = position(context.shop, context.state, mark)
    procedure = work.procedure if work else (where.procedure.id if where.procedure else "")
    step = work.step if work else (where.step.id if where.step else "")
    return [
        e.SnagRaised(snag=uuid.uuid4().hex[:12], mark=mark, text=text.strip(), procedure=procedure, step=step)
    ]


def _require_there(context: Context, mark: str, ref: StepRef) -> None:
    """Refuse a step that the part neither has on record nor stands at: there is nothing to work again."""
    if mark not in context.shop.parts:
        return
    part = context.state.part(mark)
    work = context.state.works.get(part.work or "")
    where = position(context.shop, context.state, mark)
    here = [work.ref] if work is not None else []
    if where.procedure is not None and where.step is not None:
        here.append(where.procedure.ref(where.step))
    if ref.step not in part.passes.get(ref.procedure, {}) and ref not in here:
        raise Refused(f"{mark} has no record of {ref.step or 'that step'}", "choose the step to go back to")


@act("the builder")
def decide_snag(
    context: Context, snag_id: str, decision: str, reason: str, back_to: StepRef | None = None
) -> Bodies:
    """Use as is (with the reason), rework from a step recorded on the part, or scrap and remake."""
    snag = context.state.snags.get(snag_id)
    if snag is None or snag.decision:
        raise Refused("this snag is already decided", "look at the board")
    if not reason.strip():
        raise Refused("a decision needs its reason", "say why")
    if decision not in DECISIONS:
        raise Refused(f"{decision!r} is no decision", "use as is, rework, or scrap and remake")
    again = StepRef("", "")
    if decision == "rework":
        again = back_to or StepRef(snag.procedure, snag.step)
        _require_there(context, snag.mark, again)
    return [
        e.SnagDecided(
            snag=snag_id,
            decision=decision,
            reason=reason.strip(),
            accepted_by=context.doer.id,
            back_to_procedure=again.procedure,
            back_to_step=again.step,
        )
    ]
