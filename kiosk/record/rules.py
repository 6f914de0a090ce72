"""What a tap means: each function decides, on the newest state, which events to record, or refuses.

These are the rules that no screen may bend: cautions before the action, nothing done without what was to be
seen or measured, a stale tap refused, an undo only of what nothing later stands on.
"""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from kiosk.errors import KioskError
from kiosk.record import events as e
from kiosk.record.apply import active_seconds
from kiosk.record.position import position, skipped_steps
from kiosk.record.readiness import blocks
from kiosk.record.state import Piece, State, Undoable, Work
from kiosk.shop.figures import read_number
from kiosk.shop.procedure import Check, CountCheck, LotCheck, Procedure, Step, StepRef, Wait, YesNoCheck
from kiosk.shop.shop import Person, Shop

LONGEST_STRETCH = timedelta(hours=3)  # on one piece without a pause: the clock ran on unattended


class Refused(KioskError):
    """The tap is not recorded; says why and what to do instead."""


@dataclass(frozen=True)
class Context:
    """Who is asking, when, and on which clock; what every rule needs besides the state."""

    shop: Shop
    now: datetime
    monotonic_s: float
    run: str
    people: Sequence[Person]
    doer: Person


Bodies = list[e.AnyBody]


def open_sitting(state: State, people: Sequence[str]) -> Bodies:
    """Take up the place. A second screen joins the sitting that is open."""
    if state.sitting is not None:
        return [e.PersonCame(person=person) for person in people if person not in state.sitting.people]
    return [e.SittingOpened(people=tuple(people))]


def start_work(
    context: Context, state: State, marks: Sequence[str], procedure_id: str, step_id: str
) -> Bodies:
    """Begin one step on one part or a batch that stands at the same step."""
    if not marks:
        raise Refused("no part is chosen", "choose one on the board")
    procedure, step = context.shop.find_step(procedure_id, step_id)
    if procedure is None or step is None:
        raise Refused(f"{StepRef(procedure_id, step_id)} is no longer in the procedures", "choose again")
    if len(marks) > 1 and step.batch == "no":
        raise Refused("this step takes one part at a time", "choose one part")
    for mark in marks:
        where = position(context.shop, state, mark)
        if where.procedure is not procedure or where.step is None or where.step.id != step_id:
            raise Refused(f"{mark} is not at this step any more", "look at the board")
        stops = blocks(
            context.shop,
            state,
            mark,
            procedure,
            step,
            now=context.now,
            people=context.people,
            doer=context.doer,
        )
        if stops:
            raise Refused(stops[0].text, "choose something else or clear this first")
    return [
        e.WorkStarted(
            work=uuid.uuid4().hex[:12],
            marks=tuple(marks),
            procedure=procedure_id,
            revision=procedure.revision,
            step=step_id,
        )
    ]


def _work(state: State, work_id: str) -> Work:
    work = state.works.get(work_id)
    if work is None:
        raise Refused("this step was finished or put back on another screen", "look at the place card")
    return work


def _live(state: State, work_id: str) -> Work:
    work = _work(state, work_id)
    if work.status == "unknown":
        raise Refused("this step was cut short", "look at the part and say how it stands")
    return work


def _piece(work: Work, mark: str) -> Piece:
    piece = work.piece(mark)
    if piece is None:
        raise Refused(f"{mark} is already done at this step", "take the next piece")
    return piece


def step_of(shop: Shop, work: Work) -> tuple[Procedure, Step]:
    """The procedure and step of a work. Raises Refused when the procedure no longer has it."""
    procedure, step = shop.find_step(work.procedure, work.step, work.turned_to)
    if procedure is None or step is None:
        raise Refused(
            f"step {work.step!r} is no longer in {work.procedure!r}",
            "put the work back and say where to go on",
        )
    return procedure, step


def cautions_of(shop: Shop, step: Step) -> list[tuple[str, str]]:
    """Signal word and text of every caution of a step, the gravest first."""
    found = [(shop.hazards[tag].signal, shop.hazards[tag].caution) for tag in step.hazards]
    found += [("CAUTION", text) for text in step.cautions]
    return sorted(found, key=lambda pair: pair[0] != "WARNING")


def cautions_to_read(shop: Shop, state: State, step: Step) -> list[tuple[str, str]]:
    """The cautions of a step not yet acknowledged in this sitting."""
    read = state.sitting.acknowledged if state.sitting else ()
    return [pair for pair in cautions_of(shop, step) if pair[1] not in read]


def acknowledge(context: Context, state: State, work_id: str) -> Bodies:
    """The cautions on the screen were read."""
    work = _live(state, work_id)
    _, step = step_of(context.shop, work)
    texts = tuple(text for _, text in cautions_to_read(context.shop, state, step))
    if not texts:
        return []
    return [e.CautionAcknowledged(work=work_id, cautions=texts)]


def turn_to(state: State, work_id: str, mark: str) -> Bodies:
    """Take another piece of the batch in hand."""
    work = _live(state, work_id)
    _piece(work, mark)
    return [] if work.turned_to == mark else [e.TurnedTo(work=work_id, mark=mark)]


def count(context: Context, state: State, work_id: str, mark: str, to: int) -> Bodies:
    """The sub-count of a piece is now ``to``."""
    work = _live(state, work_id)
    piece = _piece(work, mark)
    _, step = step_of(context.shop, work)
    _require_read(context, state, step)
    if step.repeat is None:
        raise Refused("nothing is counted on this step", "press done when it is done")
    most = context.shop.figures.count(context.shop.kind_of(mark), step.repeat)
    if not 0 <= to <= most:
        raise Refused(f"the count is {piece.count} of {most}", "it cannot go further")
    return [] if piece.count == to else [e.Counted(work=work_id, mark=mark, count=to)]


def type_draft(state: State, work_id: str, mark: str, check_id: str, text: str) -> Bodies:
    """A figure is half typed."""
    work = _live(state, work_id)
    piece = _piece(work, mark)
    if piece.drafts.get(check_id, "") == text:
        return []
    return [e.DraftTyped(work=work_id, mark=mark, check=check_id, text=text[:40])]


def check_of(step: Step, check_id: str) -> Check:
    """The check with this id. Raises Refused when the step has none."""
    found = next((check for check in step.checks if check.id == check_id), None)
    if found is None:
        raise Refused("this check is no longer on the step", "look at the step again")
    return found


def judge(shop: Shop, check: Check, mark: str, text: str) -> tuple[float | None, bool]:
    """The number in an answer, if it is one, and whether it passes. Raises KioskError when unreadable."""
    kind = shop.kind_of(mark)
    text = text.strip()
    if isinstance(check, YesNoCheck):
        if text not in ("yes", "no"):
            raise Refused("the answer is yes or no", "press one of the two")
        return None, text == check.want
    if isinstance(check, LotCheck):
        lot = shop.lots.get(text.upper())
        if lot is None or lot.of != check.of:
            known = [mark for mark, lot in shop.lots.items() if lot.of == check.of]
            raise Refused(f"no {check.of} is marked {text!r}", f"use one of {', '.join(known) or 'none'}")
        material = kind.material
        fits = (
            check.of != "sheet"
            or material.alloy is None
            or (
                lot.alloy == material.alloy
                and lot.thickness is not None
                and material.thickness is not None
                and abs(lot.thickness - material.thickness) < 0.0015
            )
        )
        return None, fits
    if not text:
        raise Refused("nothing is typed yet", "type the figure")
    if isinstance(check, CountCheck):
        value = read_number(text, "count")
        return value, value == shop.figures.count(kind, check)
    value = read_number(text, check.unit)
    return value, shop.figures.limits(kind, check).within(value)


def answer(context: Context, state: State, work_id: str, mark: str, check_id: str, text: str) -> Bodies:
    """A check was answered. An answer outside its limits is recorded too: it then needs a snag or a redo."""
    work = _live(state, work_id)
    _piece(work, mark)
    _, step = step_of(context.shop, work)
    _require_read(context, state, step)
    check = check_of(step, check_id)
    value, passed = judge(context.shop, check, mark, text)
    shown = text.strip().upper() if isinstance(check, LotCheck) else text.strip()
    return [e.Answered(work=work_id, mark=mark, check=check_id, text=shown, value=value, passed=passed)]


def _require_read(context: Context, state: State, step: Step) -> None:
    if cautions_to_read(context.shop, state, step):
        raise Refused("the cautions come first", "read them and acknowledge")


def open_on_piece(shop: Shop, step: Step, piece: Piece) -> list[str]:
    """What is still to be seen, counted or measured on a piece before the step can be done."""
    found: list[str] = []
    if step.repeat is not None:
        wanted = shop.figures.count(shop.kind_of(piece.mark), step.repeat)
        if piece.count < wanted:
            found.append(f"{piece.count} of {wanted} {step.repeat.of}")
    for check in step.checks:
        given = piece.answers.get(check.id)
        if given is None:
            found.append(check.ask)
        elif not given.passed:
            found.append(f"{check.ask} {given.text}: not as wanted. Measure again or raise a snag")
    return found


def finish_step(context: Context, state: State, work_id: str, mark: str) -> Bodies:
    """The step is done on this piece, or on all when the batch goes through together."""
    work = _live(state, work_id)
    piece = _piece(work, mark)
    procedure, step = step_of(context.shop, work)
    _require_read(context, state, step)
    together = step.batch == "together"
    judged = work.pieces[0] if together else piece
    still_open = open_on_piece(context.shop, step, judged)
    if still_open:
        raise Refused(f"still open: {still_open[0]}", "answer it first")
    held = state.open_snags(mark)
    if held:
        raise Refused(f"{mark} is held: {held[0].text}", "decide the snag first")
    marks = work.marks if together else (mark,)
    bodies: Bodies = [
        e.StepFinished(
            work=work_id,
            marks=marks,
            procedure=work.procedure,
            revision=procedure.revision,
            step=work.step,
            active_s=active_seconds(work, context.monotonic_s, context.run),
            exact=_timed_exactly(context, work),
            family=str(procedure.family_of(step)),
            set_up_minutes=step.minutes.set_up,
            each_minutes=step.minutes.each,
            day=context.now.astimezone().date().isoformat(),
            wants_look=context.doer.role != "builder",
            clocks=_clocks(context, state, work, step, judged),
        )
    ]
    return bodies


def _timed_exactly(context: Context, work: Work) -> bool:
    """True when the time can be learnt from: no power cut, no hours unattended, no midnight in it."""
    if not work.exact or (work.running_since_s is not None and work.run != context.run):
        return False
    since = (work.piece_since or work.started_at).astimezone()
    now = context.now.astimezone()
    return since.date() == now.date() and now - since <= LONGEST_STRETCH


def look_over(context: Context, state: State, mark: str, ref: StepRef, *, good: bool) -> Bodies:
    """The builder looks over what a helper did; what is not good is to do again."""
    if context.doer.role != "builder":
        raise Refused("only the builder looks it over", "hand the screen over")
    if ref not in state.part(mark).wants_look:
        raise Refused(f"{mark} waits for no look at {ref.step}", "go on")
    if not good:
        return reopen_step(state, mark, ref, "not good when looked over")
    return [e.LookedOver(mark=mark, procedure=ref.procedure, step=ref.step)]


def _clocks(context: Context, state: State, work: Work, step: Step, piece: Piece) -> tuple[e.ClockSet, ...]:
    found = []
    for wait in step.waits:
        minutes = wait_minutes(state, work.procedure, step, wait, piece)
        found.append(
            e.ClockSet(
                what=wait.what,
                kind="must_pass" if wait.must_pass is not None else "within",
                minutes=minutes,
                until=context.now + timedelta(minutes=minutes),
                procedure=work.procedure,
                step=wait.before or wait.begin or "",
                if_missed=wait.if_missed or "",
                set_by=step.id,
            )
        )
    return tuple(found)


def wait_minutes(state: State, procedure: str, step: Step, wait: Wait, piece: Piece) -> float:
    """Minutes of a wait: the answer it takes them from, else what is written."""
    if wait.from_check is None:
        return wait.minutes
    told = wait.from_check
    given = piece.answers.get(told.check) if told.step == step.id else None
    if given is not None and given.value is not None:
        return given.value
    measured = state.part(piece.mark).measured.get(StepRef(procedure, told.step), {})
    return measured.get(told.check, wait.minutes)


def pause(state: State, work_id: str) -> Bodies:
    """Stop the step's clock."""
    work = _live(state, work_id)
    return [e.WorkPaused(work=work_id)] if work.status == "running" else []


def resume(state: State, work_id: str) -> Bodies:
    """Let the step's clock run again."""
    work = _live(state, work_id)
    return [e.WorkResumed(work=work_id)] if work.status == "paused" else []


def put_back(state: State, work_id: str) -> Bodies:
    """Take the unfinished parts out of hand, as not started. Refused once something was done on them."""
    work = _work(state, work_id)
    if any(piece.touched for piece in work.pieces):
        raise Refused("something is already counted or measured", "undo it first, or keep the place")
    return [e.WorkDropped(work=work_id)]


def set_aside(shop: Shop, state: State, work_id: str) -> Bodies:
    """Take parts out of a step that its procedure no longer has; what was recorded on them stays recorded."""
    work = _work(state, work_id)
    procedure = shop.procedures.get(work.procedure)
    if procedure is not None and procedure.step(work.step) is not None:
        return put_back(state, work_id)
    return [e.WorkDropped(work=work_id)]


def looked(state: State, work_id: str, *, as_shown: bool) -> Bodies:
    """A person looked at what the power cut left, and says whether it stands as the screen shows."""
    work = _work(state, work_id)
    if work.status != "unknown":
        return []
    return [e.Looked(work=work_id, verdict="as shown" if as_shown else "not started")]


def skip_step(context: Context, state: State, mark: str, reason: str) -> Bodies:
    """Leave out the part's next step, with a reason; it stays open to the end."""
    if not reason.strip():
        raise Refused("a skipped step needs a reason", "type why")
    where = position(context.shop, state, mark)
    if where.procedure is None or where.step is None:
        raise Refused(f"{mark} has no next step", "look at the board")
    work = state.works.get(state.part(mark).work or "")
    bodies: Bodies = []
    if work is not None:
        bodies += put_back(state, work.id)
    bodies.append(
        e.StepSkipped(
            mark=mark,
            procedure=where.procedure.id,
            revision=where.procedure.revision,
            step=where.step.id,
            reason=reason.strip(),
        )
    )
    return bodies


def reopen_step(state: State, mark: str, ref: StepRef, reason: str) -> Bodies:
    """A look showed that a recorded step is not done: it and all after it are to do."""
    part = state.part(mark)
    if ref.step not in part.passes.get(ref.procedure, {}):
        raise Refused(f"{mark} has no record of {ref.step}", "look at the board")
    bodies: Bodies = []
    if part.work in state.works:
        bodies += put_back(state, part.work or "")
    reopened = e.StepReopened(mark=mark, procedure=ref.procedure, step=ref.step, reason=reason)
    return [*bodies, reopened]


def answer_place(context: Context, state: State, mark: str, step_id: str) -> Bodies:
    """Where to go on, when the step the part stood on has vanished from its procedure."""
    where = position(context.shop, state, mark)
    if not where.vanished or where.procedure is None:
        raise Refused(f"{mark} has no open question", "look at the board")
    if where.procedure.step(step_id) is None:
        raise Refused(f"{step_id!r} is not in the procedure", "choose one of its steps")
    return [
        e.PlaceAnswered(
            mark=mark, procedure=where.procedure.id, revision=where.procedure.revision, step=step_id
        )
    ]


def answer_clock(context: Context, state: State, mark: str) -> Bodies:
    """A time limit was missed and the builder did what the procedure says for that case."""
    where = position(context.shop, state, mark)
    if where.procedure is None or where.step is None:
        raise Refused(f"{mark} has no next step", "look at the board")
    for clock in state.part(mark).clocks:
        late = clock.kind == "within" and context.now > clock.until
        if late and (clock.procedure, clock.step) == (where.procedure.id, where.step.id):
            return [
                e.ClockAnswered(mark=mark, procedure=clock.procedure, step=clock.step, did=clock.if_missed)
            ]
    raise Refused(f"no time limit was missed on {mark}", "go on")


def complete_part(context: Context, state: State, mark: str) -> Bodies:
    """Declare a part finished. What was skipped on it is listed in the event."""
    where = position(context.shop, state, mark)
    if where.completed:
        raise Refused(f"{mark} is already complete", "choose another part")
    if not where.all_done:
        raise Refused(f"{mark} still has steps to do", "finish them first")
    if context.doer.role != "builder":
        raise Refused("only the builder completes a part", "ask the builder")
    held = state.open_snags(mark)
    if held:
        raise Refused(f"{mark} is held: {held[0].text}", "decide the snag first")
    if state.part(mark).wants_look:
        raise Refused(f"{mark} waits for the builder's look", "look it over on its page")
    still_open = tuple(f"{step} skipped: {reason}" for step, reason in skipped_steps(state, mark))
    return [e.PartCompleted(mark=mark, open_items=still_open)]


def raise_snag(context: Context, state: State, mark: str, text: str) -> Bodies:
    """Something is not right on a part: it is held."""
    if not text.strip():
        raise Refused("a snag needs a few words", "say what is not right")
    if mark not in context.shop.parts:
        raise Refused(f"no part is marked {mark!r}", "choose one on the board")
    work = state.works.get(state.part(mark).work or "")
    where = position(context.shop, state, mark)
    procedure = work.procedure if work else (where.procedure.id if where.procedure else "")
    step = work.step if work else (where.step.id if where.step else "")
    return [
        e.SnagRaised(snag=uuid.uuid4().hex[:12], mark=mark, text=text.strip(), procedure=procedure, step=step)
    ]


def decide_snag(
    context: Context,
    state: State,
    snag_id: str,
    decision: str,
    reason: str,
    back_to: StepRef | None = None,
) -> Bodies:
    """Use as is (with the reason), rework from a step recorded on the part, or scrap and remake."""
    snag = state.snags.get(snag_id)
    if snag is None or snag.decision:
        raise Refused("this snag is already decided", "look at the board")
    if context.doer.role != "builder":
        raise Refused("only the builder decides a snag", "ask the builder")
    if not reason.strip():
        raise Refused("a decision needs its reason", "say why")
    if decision not in ("use as is", "rework", "scrap and remake"):
        raise Refused(f"{decision!r} is no decision", "use as is, rework, or scrap and remake")
    again = StepRef("", "")
    if decision == "rework":
        again = back_to or StepRef(snag.procedure, snag.step)
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


def hold_look(context: Context, state: State, marks: Sequence[str], looker_id: str, finding: str) -> Bodies:
    """A second person looked before a step that cannot be undone."""
    looker = context.shop.people.get(looker_id)
    if looker is None:
        raise Refused("nobody by that name is on the list", "add them to shop.yaml")
    if looker.id == context.doer.id:
        raise Refused("the same person cannot give both", "a second person looks")
    where = position(context.shop, state, marks[0])
    if where.procedure is None or where.step is None or not where.step.hold_point:
        raise Refused("no second look is asked for here", "go on")
    if not finding.strip():
        raise Refused("a look ends in what was seen", "say what was seen")
    return [
        e.HoldLooked(
            marks=tuple(marks),
            procedure=where.procedure.id,
            step=where.step.id,
            looker=looker_id,
            finding=finding.strip(),
        )
    ]


def latest_undoable(state: State) -> Undoable | None:
    """The last event that can be taken back, for the screen's undo key."""
    return state.undoables[-1] if state.undoables else None


def undo(state: State, event_id: str) -> Bodies:
    """Take back one event, unless something later stands on it."""
    ids = [entry.event for entry in state.undoables]
    if event_id not in ids:
        raise Refused("this cannot be taken back any more", "raise a snag or reopen the step")
    index = ids.index(event_id)
    entry = state.undoables[index]
    touched = {*entry.parts, *entry.works, *entry.snags}
    for later in state.undoables[index + 1 :]:
        if touched & {*later.parts, *later.works, *later.snags}:
            raise Refused(f"{later.label!r} came after it", "undo that first")
    return [e.Undone(event=event_id)]
