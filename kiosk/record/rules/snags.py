"""Acts on a snag: raise it, which holds the part; decide it, which is the builder's alone."""

import uuid
from collections.abc import Sequence
from typing import Literal, cast

from kiosk.dataclass import dataclass
from kiosk.record import events as e
from kiosk.record.authority import is_adult
from kiosk.record.batch import members
from kiosk.record.context import Context
from kiosk.record.position import position, repair_of
from kiosk.record.rules.door import Bodies, Refused, act, require_parts
from kiosk.record.rules.own_words import are_words, is_a_mark, is_a_name
from kiosk.record.rules.words import kept
from kiosk.record.strips import retracted_by_reopening
from kiosk.shop.procedure import StepRef

Decided = Literal["use as is", "rework", "scrap and remake"]
DECISIONS: tuple[Decided, ...] = ("use as is", "rework", "scrap and remake")
OUTSIDE_ROLES = ("designer", "inspector")


@act("whoever is here")
def raise_snag(context: Context, mark: str, text: str, *, made: int | None = None) -> Bodies:
    """Something is not right on a part: it is held. ``made`` is how many times it had been made anew when it
    was looked at; None where nobody says."""
    if not text.strip() or is_a_mark(context.shop, text):
        raise Refused("a snag needs a few words", "say what is not right")
    require_parts(context, [mark])
    if made not in (None, context.state.part(mark).remade):
        raise Refused(f"{mark} is to be made anew by now", "look at it again")
    work = context.state.works.get(context.state.part(mark).work or "")
    where = position(context.shop, context.state, mark)
    procedure = work.procedure if work else (where.procedure.id if where.procedure else "")
    step = work.step if work else (where.step.id if where.step else "")
    read_by = context.shop.procedures.get(procedure)
    # To be read where it was raised: nobody may have begun the procedure yet.
    words, first = kept(context, read_by) if read_by is not None else ("", [])
    raised = e.SnagRaised(
        snag=uuid.uuid4().hex[:12],
        mark=mark,
        text=text.strip(),
        procedure=procedure,
        step=step,
        words_kept=words,
    )
    return [*first, raised, *others_go_on(context, [mark])]


def others_go_on(context: Context, held: Sequence[str]) -> Bodies:
    """The others of a batch that are in hand with parts which are held from now on, each done in its turn,
    are taken up now; where there are none the clock stops."""
    found: Bodies = []
    for work in context.state.works.values():
        mark = work.turned_to
        if mark not in held or not members(context.shop, context.state, mark):
            continue
        _, doing = context.shop.find_step(work.procedure, work.step, mark)
        if doing is None or doing.batch == "together":
            continue
        free = [one for one in work.marks if one not in held and not context.state.open_snags(one)]
        if free:
            found.append(e.TurnedTo(work=work.id, mark=free[0]))
        elif work.status == "running":
            found.append(e.WorkPaused(work=work.id))
    return found


def _require_there(context: Context, mark: str, ref: StepRef) -> None:
    """Refuse a step that the part neither has on record nor in hand: there is nothing to work again.

    The first step of a repair on its route is always there.
    """
    if mark not in context.shop.parts or repair_of(context.shop, context.shop.kind_of(mark), ref):
        return
    part = context.state.part(mark)
    work = context.state.works.get(part.work or "")
    where = position(context.shop, context.state, mark)
    here = [work.ref] if work is not None else []
    if where.procedure is not None and where.step is not None and not any(part.passes.values()):
        here.append(where.procedure.ref(where.step))  # nothing is done on it yet
    if ref.step not in part.passes.get(ref.procedure, {}) and ref not in here:
        raise Refused(f"{mark} has no record of {ref.step or 'that step'}", "choose the step to go back to")


def begin_of_run(context: Context, mark: str, ref: StepRef) -> StepRef:
    """The step with which work again really begins: what a step follows at once, such as a pinning or a wash,
    does not stand any more by the time a snag is decided."""
    procedure = context.shop.procedures.get(ref.procedure)
    if procedure is None or mark not in context.shop.parts:
        return ref
    steps = context.shop.steps_for(context.shop.kind_of(mark), procedure)
    done = context.state.part(mark).passes.get(ref.procedure, {})
    at = next((number for number, one in enumerate(steps) if one.id == ref.step), 0)
    while at > 0 and steps[at - 1].stop == "go straight on" and steps[at - 1].id in done:
        at -= 1
        ref = procedure.ref(steps[at])
    return ref


@dataclass(frozen=True)
class Accepted:
    """Who stands behind a decision: who accepted it, and what the designer or an inspector answered.

    ``by`` is the builder's id, or the name of the designer or inspector. ``plans_allow`` says whether a
    rework is within the plans; what they do not allow needs the answer, and so does every use as is.
    """

    by: str = ""
    role: str = ""
    plans_allow: bool | None = None
    answer: str = ""
    answered_by: str = ""
    answered_role: str = ""


NOT_SAID = Accepted()

Wanted = Literal["decision", "reason", "plans_allow", "answer", "answered_by", "answered_role", "by", "role"]


@dataclass(frozen=True)
class Wanting:
    """The first thing that a decision still wants, and why what was said so far is not enough."""

    what: Wanted
    wrong: str
    mend: str


def needs_answer(decision: str, accepted: Accepted) -> bool:
    """True when the designer or an inspector has to have answered before the builder decides so."""
    return decision == "use as is" or (decision == "rework" and accepted.plans_allow is False)


def wanting(context: Context, decision: str, reason: str, accepted: Accepted) -> Wanting | None:
    """What a decision still wants; None when it can be recorded. The screen asks for one after another."""
    if decision not in DECISIONS:
        return Wanting("decision", f"{decision!r} is no decision", "use as is, rework, or scrap and remake")
    if not are_words(context.shop, reason):
        return Wanting("reason", "a decision needs its reason", "say why, in words")
    if decision == "rework" and accepted.plans_allow is None:
        return Wanting("plans_allow", "a rework is within the plans, or it is not", "look into the plans")
    if needs_answer(decision, accepted):
        if not are_words(context.shop, accepted.answer):
            return Wanting("answer", "the designer or an inspector has to answer", "write what they said")
        wrong = _no_name(context, accepted.answered_by)
        if wrong:
            return Wanting("answered_by", wrong, "give the name of who answered")
        if accepted.answered_role not in OUTSIDE_ROLES:
            return Wanting("answered_role", "the one who answered is designer or inspector", "say which")
    if accepted.by == context.doer.id:
        right = accepted.role == "builder"
        return None if right else Wanting("role", f"{context.doer.name} is the builder", "say so")
    wrong = _no_name(context, accepted.by)
    if wrong:
        return Wanting("by", wrong, "say who accepts it")
    if accepted.role not in OUTSIDE_ROLES:
        return Wanting("role", "the one who accepts it is designer or inspector", "say which")
    return None


def _no_name(context: Context, name: str) -> str:
    """Why this is not the name of a designer or an inspector; empty when it can be."""
    if not is_a_name(context.shop, name):
        return "somebody's name stands under it"
    wanted = name.strip().casefold()
    for person in context.shop.people.values():
        is_inspector = person.share == "inspector" and is_adult(context, person)
        if wanted in (person.id.casefold(), person.name.casefold()) and not is_inspector:
            return f"{person.name} is neither the designer nor an inspector"
    return ""


@act("the builder")
def decide_snag(
    context: Context,
    snag_id: str,
    decision: str,
    reason: str,
    back_to: StepRef | None = None,
    accepted: Accepted = NOT_SAID,
) -> Bodies:
    """Use as is, rework from a recorded step or by a repair, or scrap and remake: with all that it wants."""
    snag = context.state.snags.get(snag_id)
    if snag is None or snag.decision:
        raise Refused("this snag is already decided", "look at the board")
    missing = wanting(context, decision, reason, accepted)
    if missing is not None:
        raise Refused(missing.wrong, missing.mend)
    again = StepRef("", "")
    strips: list[e.TrialRetracted] = []
    if decision == "rework":
        again = back_to or StepRef(snag.procedure, snag.step)
        _require_there(context, snag.mark, again)
        again = begin_of_run(context, snag.mark, again)
        strips = retracted_by_reopening(context.shop, context.state, snag.mark, again)
    return [
        *strips,
        e.SnagDecided(
            snag=snag_id,
            decision=cast(Decided, decision),
            reason=reason.strip(),
            accepted_by=accepted.by.strip(),
            accepted_role=accepted.role,
            answer=accepted.answer.strip(),
            answered_by=accepted.answered_by.strip(),
            answered_role=accepted.answered_role,
            back_to_procedure=again.procedure,
            back_to_step=again.step,
            limits_go_on=decision == "rework",
        ),
    ]
