"""Acts on a part: skip, reopen, go on, look, look over, complete, undo."""

from collections.abc import Sequence

from kiosk.record import events as e
from kiosk.record.authority import is_adult
from kiosk.record.context import Context
from kiosk.record.position import never_done, position, procedures_gone, skipped_steps, steps_after_done
from kiosk.record.rules.door import (
    Bodies,
    NotAllowed,
    Refused,
    act,
    ask_for_step,
    require_parts,
    why_not_at_step,
)
from kiosk.record.rules.own_words import are_words, is_a_mark, is_a_name
from kiosk.record.rules.pin import ask_pin, has_pin
from kiosk.record.rules.steps import dropped
from kiosk.record.rules.words import kept
from kiosk.record.state import State, Undoable
from kiosk.record.strips import retracted_by_reopening
from kiosk.record.waits import is_late, seconds_left
from kiosk.shop.procedure import Standing, StepRef
from kiosk.shop.shop import Person

# Of a limit, how much of its time an undo of what began it may give anew. Common practice, no source.
LEAST_UNDONE_S = 60.0  # a press by mistake is noticed by then
UNDONE_SHARE = 0.1


@act("the builder")
def skip(context: Context, mark: str, reason: str) -> Bodies:
    """Leave out the part's next step, with a reason; it stays open to the end."""
    if not are_words(context.shop, reason):
        raise Refused("a skipped step needs a reason", "say why, in words")
    require_parts(context, [mark])
    where = position(context.shop, context.state, mark)
    if where.procedure is None or where.step is None:
        raise Refused(f"{mark} has no next step", "look at the board")
    work = context.state.works.get(context.state.part(mark).work or "")
    text, bodies = kept(context, where.procedure)
    if work is not None:
        bodies += dropped(context, work.id)
    skipped = e.StepSkipped(
        mark=mark,
        procedure=where.procedure.id,
        revision=where.procedure.revision,
        step=where.step.id,
        reason=reason.strip(),
        text=text,
    )
    return [*bodies, skipped]


@act("the builder")
def reopen(context: Context, mark: str, ref: StepRef, reason: str) -> Bodies:
    """A look showed that a recorded step is not done: it and all after it are to do."""
    return _reopened(context, mark, ref, reason)


def _reopened(context: Context, mark: str, ref: StepRef, reason: str) -> Bodies:
    part = context.state.part(mark)
    if ref.step not in part.passes.get(ref.procedure, {}):
        raise Refused(f"{mark} has no record of {ref.step}", "look at the board")
    text, bodies = _kept_by_id(context, ref.procedure)
    if part.work is not None and part.work in context.state.works:
        bodies += dropped(context, part.work)
    # Before it, so that the undo key takes back the opening first.
    bodies += retracted_by_reopening(context.shop, context.state, mark, ref)
    reopened = e.StepReopened(mark=mark, procedure=ref.procedure, step=ref.step, reason=reason, text=text)
    return [*bodies, reopened]


def _kept_by_id(context: Context, procedure_id: str) -> tuple[str, Bodies]:
    """As :func:`kept`, for a procedure that may be there no more."""
    procedure = context.shop.procedures.get(procedure_id)
    return kept(context, procedure) if procedure is not None else ("", [])


@act("the builder")
def go_on_at(context: Context, mark: str, ref: StepRef) -> Bodies:
    """Where the part goes on, when what is recorded on it has no place in the files.

    Steps of the procedures before that one which are not done are skipped, and stay open to the end.
    """
    require_parts(context, [mark])
    shop, part = context.shop, context.state.part(mark)
    where = position(shop, context.state, mark)
    question = where.question
    if question is None:
        raise Refused(f"{mark} has no open question", "look at the board")
    kind = shop.kind_of(mark)
    if ref.procedure not in kind.procedures:
        raise Refused(f"{ref.procedure!r} is not in the route of {mark}", "choose one of its steps")
    procedure = shop.procedures[ref.procedure]
    if not any(step.id == ref.step for step in shop.steps_for(kind, procedure)):
        raise Refused(f"{ref.step!r} is not in the procedure", "choose one of its steps")
    bodies: Bodies = []
    for name in kind.procedures[: kind.procedures.index(ref.procedure)]:
        if name in kind.repairs and name not in part.passes:
            continue
        earlier = shop.procedures[name]
        text, first = kept(context, earlier)
        skipped = [
            e.StepSkipped(
                mark=mark,
                procedure=name,
                revision=earlier.revision,
                step=step.id,
                reason=f"not asked for: it goes on at {procedure.title}",
                text=text,
            )
            for step in steps_after_done(shop, part, kind, earlier)
        ]
        bodies += [*first, *skipped] if skipped else []
    gone_step = question.asks in ("step gone", "wait gone") and where.procedure is procedure
    answered = e.PlaceAnswered(
        mark=mark,
        procedure=procedure.id,
        revision=procedure.revision,
        step=ref.step,
        instead_of=question.about if gone_step else "",
        gone=procedures_gone(kind.procedures, part),
    )
    return [*bodies, answered]


@act("the builder")
def complete(context: Context, mark: str) -> Bodies:
    """Declare a part finished. What was skipped on it, or put in since and never done, is in the event."""
    require_parts(context, [mark])
    where = position(context.shop, context.state, mark)
    if where.completed:
        raise Refused(f"{mark} is already complete", "choose another part")
    if not where.all_done:
        raise Refused(f"{mark} still has steps to do", "finish them first")
    held = context.state.open_snags(mark)
    if held:
        raise Refused(f"{mark} is held: {held[0].text}", "decide the snag first")
    if context.state.part(mark).wants_look:
        raise Refused(f"{mark} waits for the builder's look", "look it over on its page")
    still_open = [f"{step} skipped: {reason}" for step, reason in skipped_steps(context.state, mark)]
    still_open += [
        f"{step} never done: put in since" for step in never_done(context.shop, context.state, mark)
    ]
    return [e.PartCompleted(mark=mark, open_items=tuple(still_open))]


@act("the builder")
def look_over(context: Context, mark: str, ref: StepRef, *, good: bool) -> Bodies:
    """The builder looks over what a helper did; what is not good is to do again."""
    if ref not in context.state.part(mark).wants_look:
        raise Refused(f"{mark} waits for no look at {ref.step}", "go on")
    if not good:
        return _reopened(context, mark, ref, "not good when looked over")
    text, first = _kept_by_id(context, ref.procedure)
    return [*first, e.LookedOver(mark=mark, procedure=ref.procedure, step=ref.step, text=text)]


def who_may_look(context: Context, mark: str) -> list[Person]:
    """Those at the bench who could give the second look that a part waits for."""
    where = position(context.shop, context.state, mark)
    hold = where.step.hold_point if where.step is not None else None
    if hold is None:
        return []
    return [one for one in context.people if not _may_not_look(context, one, hold.by, [mark])]


def _may_not_look(context: Context, looker: Person, standing: Standing, marks: Sequence[str]) -> str:
    """Why somebody may not give a second look, in plain words; empty when they may."""
    if looker.id == context.doer.id:
        return "the same person cannot give both"
    if looker not in context.people:
        return f"{looker.name} is not at the bench"
    if not is_adult(context, looker):
        return f"{looker.name} is too young to look for two"
    if standing == "builder" and looker.role != "builder":
        return f"{looker.name} is not the builder, who is to look here"
    if standing == "inspector" and looker.share != "inspector":
        return f"{looker.name} is no inspector, who is to look here"
    for mark in marks:
        if _did_last(context.state, mark) == looker.id:
            return f"{looker.name} did the step before on {mark}: another looks"
    return ""


def _did_last(state: State, mark: str) -> str:
    """Who did the newest step on a part, in the order of the record: what is looked at is their work."""
    for done in reversed(state.part(mark).passes.values()):
        for one in reversed(done.values()):
            if not one.skipped:
                return one.by
    return ""


@act("as the rule says")
def second_look(
    context: Context,
    marks: Sequence[str],
    looker_id: str,
    finding: str,
    pin: str = "",
    *,
    name: str = "",
    number: str = "",
) -> Bodies:
    """A second person looked before a step that cannot be undone: of the standing that the step asks for.

    An inspector from outside has no ``looker_id``: their ``name`` and ``number`` are recorded as entered.
    """
    require_parts(context, marks)
    where = position(context.shop, context.state, marks[0])
    if where.procedure is None or where.step is None or not where.step.hold_point:
        raise Refused("no second look is asked for here", "go on")
    for mark in marks[1:]:
        other = position(context.shop, context.state, mark)
        if (other.procedure, other.step) != (where.procedure, where.step):
            # Its look would be on record before anybody could have seen it there.
            raise Refused(f"{mark} is not at this step", "look at it when it is")
    ask_for_step(context, where.step)
    standing = where.step.hold_point.by
    looker = context.shop.people.get(looker_id)
    if looker is not None:
        bar = _may_not_look(context, looker, standing, marks)
        if bar:
            raise NotAllowed(bar, "another person looks")
        if not has_pin(context, looker) and not is_adult(context, context.doer):
            raise NotAllowed(f"an adult has the screen when {looker.name} looks", "hand the screen over")
    elif looker_id:
        raise Refused("nobody by that name is on the list", "add them to shop.yaml")
    else:
        _require_inspector(context, standing, name, number)
        standing = "inspector"
    if not are_words(context.shop, finding):
        raise Refused("a look ends in what was seen", "say it in words")
    tried = ask_pin(context, looker, pin) if looker is not None else []
    text, first = kept(context, where.procedure)
    looked = e.HoldLooked(
        marks=tuple(marks),
        procedure=where.procedure.id,
        step=where.step.id,
        looker=looker_id,
        finding=finding.strip(),
        text=text,
        standing=standing,
        looker_name=name.strip(),
        looker_number=number.strip(),
    )
    return [*tried, *first, looked]


def _require_inspector(context: Context, standing: Standing, name: str, number: str) -> None:
    """Refuse an inspector from outside who is not named, or who is somebody of the shop."""
    if standing == "builder":
        raise NotAllowed("the builder is to look here", "an inspector does not stand in")
    if not is_adult(context, context.doer):
        raise NotAllowed("an adult enters an inspector", "hand the screen over")
    if not is_a_name(context.shop, name):
        raise Refused("an inspector is entered by name", "type it")
    if any(name.strip().casefold() == one.name.casefold() for one in context.shop.people.values()):
        raise Refused(f"{name.strip()} is on the shop's list", "choose them there")
    if not any(character.isdigit() for character in number) or is_a_mark(context.shop, number):
        raise Refused("an inspector is entered with a number", "of the licence or the appointment")


def latest_undoable(state: State) -> Undoable | None:
    """The last event that can be taken back, for the screen's undo key."""
    return state.undoables[-1] if state.undoables else None


def latest_undoable_by(state: State, person: str) -> Undoable | None:
    """The last event of somebody that can be taken back, or that something later leans on."""
    return next((entry for entry in reversed(state.undoables) if entry.by == person), None)


def said_at_once(state: State, entry: Undoable) -> tuple[Undoable, ...]:
    """What one press said of several parts, in the order in which it was recorded; else the entry alone."""
    if not entry.press:
        return (entry,)
    return tuple(one for one in state.undoables if one.press == entry.press)


def leans_on(state: State, entry: Undoable) -> Undoable | None:
    """What has to be taken back before an event can be: the newest that touches what it touched, or touches
    what that touched; None where it can be taken back, by itself or with what the same press said."""
    at_once = said_at_once(state, entry)
    after = state.undoables[state.undoables.index(at_once[0]) + 1 :]
    touched = set().union(*map(_touched, at_once))
    newest = next((one for one in reversed(after) if one not in at_once and _touched(one) & touched), None)
    return None if newest is None else leans_on(state, newest) or newest


def _touched(entry: Undoable) -> set[str]:
    stock = () if entry.counted is None else (f"stock of {entry.counted.consumable}",)
    ends = (f"end {finished}" for finished in entry.finishes)
    return {*entry.parts, *entry.works, *entry.snags, *stock, *ends}


@act("whoever did it, or the builder")
def undo(context: Context, event_id: str) -> Bodies:
    """Take back one event, and what the same press said of other parts, unless something later stands on
    it."""
    undoables = context.state.undoables
    ids = [entry.event for entry in undoables]
    if event_id not in ids:
        raise Refused("this cannot be taken back any more", "raise a snag or reopen the step")
    entry = undoables[ids.index(event_id)]
    later = leans_on(context.state, entry)
    if later is not None:
        raise Refused(f"{later.label!r} came after it", "undo that first")
    at_once = said_at_once(context.state, entry)
    for one in at_once:
        _refuse_to_undo(context, one)
    undone = [e.Undone(event=one.event, marks=_given_back(context.state, one)) for one in reversed(at_once)]
    return [*undone, *(e.WorkPaused(work=one) for one in _given_back_paused(context, at_once[0]))]


def _refuse_to_undo(context: Context, entry: Undoable) -> None:
    """Refuse where time or a correction went over it. Raises Refused."""
    for strip in context.state.trials:
        if strip.event == entry.event and strip.retracted_by:  # else the one before and the one after count
            raise Refused(f"strip {strip.number} was corrected or taken back since", "undo that first")
    _refuse_a_limit_anew(context, entry)
    for work in entry.works.values():
        for mark, clock in work.stopped if work is not None and work.status == "running" else ():
            if clock in context.state.part(mark).clocks and is_late(context, clock):
                raise Refused(f"{clock.what} ran out on {mark} since", "say on the part's page what was done")


def _given_back(state: State, entry: Undoable) -> tuple[str, ...]:
    """The parts that an undo is about: what it touched, what was in hand, and what its snags hold."""
    in_hand = (mark for work in entry.works.values() if work is not None for mark in work.marks)
    held = (state.snags[one].mark for one in entry.snags if one in state.snags)
    return tuple(dict.fromkeys((*entry.parts, *in_hand, *held)))


def _refuse_a_limit_anew(context: Context, entry: Undoable) -> None:
    """A limit that ran for a while is not taken back with the end of its step: done once more, the same step
    would give it all its time again. What is really done again is reopened, with a reason. One that a step in
    hand had ended, which was put back, is given no time: it is ended again as it was."""
    ended = {one for work in entry.works.values() if work is not None for one in work.stopped}
    for mark, before in entry.parts.items():
        for clock in context.state.part(mark).clocks:
            left_s = seconds_left(context, clock)
            if clock.kind != "within" or (mark, clock) in ended:
                continue
            if before is not None and clock in before.clocks:
                continue
            if left_s is not None and left_s < 0:
                raise Refused(f"{clock.what} ran out on {mark} since", "say on the part's page what was done")
            whole_s = clock.minutes * 60
            if left_s is None or whole_s - left_s > max(LEAST_UNDONE_S, UNDONE_SHARE * whole_s):
                raise Refused(
                    f"{clock.what} runs on {mark}", "open the step again on the part's page: Other…"
                )


def _given_back_paused(context: Context, entry: Undoable) -> list[str]:
    """The steps that an undo gives back and that do not go on by it: what somebody else did, for they may be
    at something else by now, or gone; one's own while another runs in the same hands, for what may not be
    left is not stopped by taking back something else; and what one may not do with those who are here now."""
    running = {work.id for work in context.state.works.values() if work.status == "running"}
    barred = [
        work.id
        for work in entry.works.values()
        if work is not None and work.id in running and why_not_at_step(context, work)
    ]
    again = [
        work
        for work in entry.works.values()
        if work is not None and work.status == "running" and work.id not in context.state.works
    ]
    runs = any(
        work.status == "running" and work.worker == context.doer.id for work in context.state.works.values()
    )
    mine = (work for work in again if work.worker == context.doer.id and not runs)
    goes_on = next((work for work in mine if not why_not_at_step(context, work)), None)
    return barred + [work.id for work in again if work is not goes_on]
