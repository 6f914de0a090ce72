"""Acts on a step: begin it, read its cautions, count, answer, finish, pause, put it back.

Cautions come before the action, and nothing is done without what was to be seen or measured.
"""

import uuid
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from datetime import timedelta

from kiosk.errors import KioskError
from kiosk.record import events as e
from kiosk.record.at_hand import at_hand
from kiosk.record.authority import is_adult
from kiosk.record.context import Context
from kiosk.record.holding import least_free
from kiosk.record.lessons import times_follow_kind
from kiosk.record.out_on_bench import done_at_bench, out_on_bench, set_up_left
from kiosk.record.position import position
from kiosk.record.readiness import blocks, ran_out, run_blocks, too_loud_but
from kiosk.record.rules.door import (
    Bodies,
    NotAllowed,
    Refused,
    act,
    ask_for_step,
    no_longer_in_hand,
    require_parts,
)
from kiosk.record.rules.words import kept
from kiosk.record.state import Answer, Piece, Work
from kiosk.record.strips import trial_of_step
from kiosk.record.together import go_together
from kiosk.record.waits import TYPICAL, is_late, limit_taken_back, told_minutes
from kiosk.record.worked import seconds_worked
from kiosk.shop.at_hand import NOTHING_AT_HAND, AtHand
from kiosk.shop.figures import FigureFault
from kiosk.shop.finish import NOT_ENTERED
from kiosk.shop.lots import lot_fits, lot_words, lots_for, wanted_lot_words
from kiosk.shop.measures import read_number
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import (
    Check,
    CountCheck,
    LotCheck,
    NumberWanted,
    Procedure,
    Step,
    StepRef,
    YesNoCheck,
    unit_of,
)
from kiosk.shop.shop import Shop
from kiosk.shop.stock_use import all_used, same_unit

LONGEST_STRETCH = timedelta(hours=3)  # on one piece without a pause: the clock ran on unattended


@act("as the rule says")
def begin(context: Context, marks: Sequence[str], ref: StepRef, *, in_quiet_hours: bool = False) -> Bodies:
    """Begin one step on one part or a batch that stands at the same step.

    ``in_quiet_hours`` says that it was agreed to be loud for what may not be left: see ``too_loud_but``.
    """
    require_parts(context, marks)
    procedure, step = context.shop.find_step(ref.procedure, ref.step)
    if procedure is None or step is None:
        raise Refused(f"{ref} is no longer in the procedures", "choose again")
    if len(marks) > 1 and step.batch == "no":
        raise Refused("this step takes one part at a time", "choose one part")
    if step.batch == "together" and not go_together(context.shop, marks, ref):
        raise Refused("these kinds of parts do not go through together", "choose parts of one kind")
    least = least_free(context, procedure, step)
    if least is not None and 0 < least.free < len(marks):
        tool = context.shop.tool_name(least.tool)
        raise Refused(f"{tool}: {least.free} free, and each part keeps one", f"choose {least.free}")
    agreed = too_loud_but(context, marks, procedure, step) if in_quiet_hours else ""
    for mark in marks:
        where = position(context.shop, context.state, mark)
        if where.procedure is not procedure or where.step is None or where.step.id != step.id:
            raise Refused(f"{mark} is not at this step any more", "look at the board")
        stops = blocks(context, mark, procedure, where.step)
        barred = next((stop for stop in stops if stop.kind in ("person", "room")), None)
        if barred is not None:
            raise NotAllowed(barred.text, "choose something else or clear this first")
        if stops and not agreed:
            raise Refused(stops[0].text, "choose something else or clear this first")
    # Of each by itself it was asked with the rest; several together come later to what follows.
    for stop in run_blocks(context, marks, procedure, step) if len(marks) > 1 else ():
        raise Refused(stop.text, "choose something else or clear this first")
    text, first = kept(context, procedure)
    started = e.WorkStarted(
        work=uuid.uuid4().hex[:12],
        marks=tuple(marks),
        procedure=procedure.id,
        revision=procedure.revision,
        step=step.id,
        text=text,
        in_spite_of=agreed,
    )
    return [*first, *others_paused(context, context.doer.id), started]


@act("as the rule says")
def set_up(context: Context, mark: str, ref: StepRef) -> Bodies:
    """What a part's next step is set up with is out on the bench, though the step itself still waits."""
    require_parts(context, [mark])
    where = position(context.shop, context.state, mark)
    procedure, step = where.procedure, where.step
    if procedure is None or step is None or procedure.ref(step) != ref:
        raise Refused(f"{mark} is not at this step any more", "look at the board")
    ask_for_step(context, step)
    if not set_up_left(out_on_bench(context), procedure, step):
        raise Refused("nothing is to be set up for it", "go on at the part")
    return [
        e.FamilySetUp(
            mark=mark,
            procedure=procedure.id,
            step=step.id,
            family=str(procedure.family_of(step)),
            put_away_minutes=step.minutes.put_away,
        )
    ]


def others_paused(context: Context, person: str, but: str = "") -> Bodies:
    """What somebody has in hand, but for one step, stands still once they go on with that, or go: nobody's
    minute is worked at two steps. What runs on by itself is a wait, and no step in hand."""
    return [
        e.WorkPaused(work=work.id)
        for work in context.state.works.values()
        if work.status == "running" and work.worker == person and work.id != but
    ]


def _work(context: Context, work_id: str) -> Work:
    work = context.state.works.get(work_id)
    if work is None:
        raise no_longer_in_hand()
    return work


def live_work(context: Context, work_id: str) -> Work:
    """The work with this id, not cut short. Raises Refused when there is none."""
    work = _work(context, work_id)
    if work.status == "unknown":
        raise Refused("this step was cut short", "look at the part and say how it stands")
    return work


def piece_in_hand(work: Work, mark: str) -> Piece:
    """The piece of a work with this mark. Raises Refused when it is not in hand any more."""
    piece = work.piece(mark)
    if piece is None:
        raise Refused(f"{mark} is not in hand at this step: finished or put back", "take the next piece")
    return piece


def _require_free(context: Context, mark: str) -> None:
    """Refuse to go on with a piece that a snag holds, also one that was held while it was chosen."""
    for snag in context.state.open_snags(mark):
        raise Refused(f"{mark} is held: {snag.text}", "take another piece; the builder decides on this one")


def require_in_time(context: Context, work: Work, marks: Sequence[str]) -> None:
    """Refuse what goes on at a step that came to nothing before a limit ran out. Raises Refused."""
    stops = ran_out(context, work, marks)
    if stops:
        raise Refused(stops[0].text, "say on the part's page what was done")


def require_in_shop(shop: Shop, work: Work) -> None:
    """Refuse a work whose parts left the shop's file. Raises Refused."""
    gone = [mark for mark in work.marks if mark not in shop.parts]
    if gone:
        raise Refused(f"{', '.join(gone)} is no longer in shop.yaml", "the place card asks what is so")


def step_of(shop: Shop, work: Work, mark: str = "") -> tuple[Procedure, Step]:
    """The procedure and step of a work, as it is for a part of it, the one turned to where none is named.
    Raises Refused when the files have it, or its parts, no longer."""
    require_in_shop(shop, work)
    procedure, step = shop.find_step(work.procedure, work.step, mark or work.turned_to)
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


def cautions_to_read(context: Context, step: Step) -> list[tuple[str, str]]:
    """The cautions of a step that the one with the screen has not read in this sitting."""
    sitting = context.state.sitting
    read = sitting.read_by(context.doer.id) if sitting is not None else frozenset()
    return [pair for pair in cautions_of(context.shop, step) if pair[1] not in read]


@act("whoever may do the step")
def read_cautions(context: Context, work_id: str, shown: Sequence[str]) -> Bodies:
    """Cautions were read: all that this person has to read here, each of which was ``shown`` whole."""
    work = live_work(context, work_id)
    _, step = step_of(context.shop, work)
    texts = tuple(text for _, text in cautions_to_read(context, step))
    if not texts:
        return []
    missing = [text for text in texts if text not in shown]
    if missing:
        raise Refused(f"{len(missing)} of {len(texts)} cautions were not shown", "read every page")
    return [e.CautionAcknowledged(work=work_id, cautions=texts)]


@act("whoever may do it on that part")
def turn_to(context: Context, work_id: str, mark: str) -> Bodies:
    """Take another piece of the batch in hand."""
    work = live_work(context, work_id)
    piece_in_hand(work, mark)
    return [] if work.turned_to == mark else [e.TurnedTo(work=work_id, mark=mark)]


@act("whoever may do it on that part")
def count(
    context: Context,
    work_id: str,
    mark: str,
    to: int,
    *,
    in_place_of: tuple[int, str] | None = None,
    press: str = "",
) -> Bodies:
    """The sub-count of a piece is now ``to``. What was said to be enough is taken back by it.

    ``in_place_of`` is the count that stood there as this one was begun, and what was enough of it, as with
    the answers. None asks nothing. ``press`` is one that says it of several parts at once.
    """
    work = live_work(context, work_id)
    piece = piece_in_hand(work, mark)
    _, step = step_of(context.shop, work, mark)
    if in_place_of is not None and in_place_of != (piece.count, enough_on_piece(step, piece)):
        raise _counted_meanwhile(step, piece)
    require_read(context, step)
    require_in_time(context, work, [mark])
    if step.repeat is None:
        raise Refused("nothing is counted on this step", "press done when it is done")
    most = context.shop.figures.count(context.shop.kind_of(mark), step.repeat)
    if not 0 <= to <= max(most, piece.count - 1):  # one that was lowered meanwhile can still be counted down
        raise Refused(f"the count is {piece.count} of {most}", "it cannot go further")
    if to > piece.count:
        _require_free(context, mark)
    if piece.count == to and not piece.enough:
        return []
    return [e.Counted(work=work_id, mark=mark, count=to, press=press)]


@act("whoever may do it on that part")
def say_enough(context: Context, work_id: str, mark: str, at: int) -> Bodies:
    """No more is wanted on a piece: what its procedure names is so at the count ``at``.

    Only where the procedure's number is the most that there can be. A count that went on meanwhile, on
    another screen, is refused: the one who said so looked at a piece with ``at`` of them.
    """
    work = live_work(context, work_id)
    piece = piece_in_hand(work, mark)
    _, step = step_of(context.shop, work, mark)
    require_read(context, step)
    require_in_time(context, work, [mark])
    if step.repeat is None or step.repeat.enough is None:
        raise Refused("this count has no sooner end", "count on, or raise a snag")
    _require_free(context, mark)
    if piece.count != at:
        raise _counted_meanwhile(step, piece)
    most = context.shop.figures.count(context.shop.kind_of(mark), step.repeat)
    if at >= most or piece.enough == step.repeat.enough:
        return []
    return [e.Counted(work=work_id, mark=mark, count=at, enough=step.repeat.enough)]


def _counted_meanwhile(step: Step, piece: Piece) -> Refused:
    enough = enough_on_piece(step, piece)
    newer = f"{piece.count}, enough: {enough}," if enough else f"{piece.count}"
    return Refused(f"a count of {newer} was recorded at another screen meanwhile", "look at the part again")


def enough_on_piece(step: Step, piece: Piece) -> str:
    """What is so on a piece, and no more of it is wanted; empty where the step knows no sooner end."""
    return piece.enough if step.repeat is not None and step.repeat.enough else ""


def counting_left(shop: Shop, step: Step, piece: Piece) -> int:
    """How many are still to be done on a piece: none where it was said that there are enough."""
    if step.repeat is None or enough_on_piece(step, piece):
        return 0
    return max(0, shop.figures.count(shop.kind_of(piece.mark), step.repeat) - piece.count)


@act("whoever may do it on that part")
def type_draft(
    context: Context, work_id: str, mark: str, check_id: str, text: str, *, strip: int | None = None
) -> Bodies:
    """A figure is half typed, of the trial strip that :func:`answer` names."""
    from kiosk.record.half_typed import half_typed_here, left_half_typed  # a start does without

    work = live_work(context, work_id)
    piece = piece_in_hand(work, mark)
    _, step = step_of(context.shop, work, mark)
    _require_strip(step, piece, strip)
    require_read(context, step)
    check_of(step, check_id)
    if half_typed_here(context, piece, check_id) == text:
        return []
    before = left_half_typed(context, piece, check_id)
    over = tuple(draft.run for draft in before)
    return [e.DraftTyped(work=work_id, mark=mark, check=check_id, text=text[:40], goes_on_with=over)]


def check_of(step: Step, check_id: str) -> Check:
    """The check with this id. Raises Refused when the step has none."""
    found = next((check for check in step.checks if check.id == check_id), None)
    if found is None:
        raise Refused("this check is no longer on the step", "look at the step again")
    return found


def wanted_words(shop: Shop, kind: PartKind, check: Check, things: AtHand = NOTHING_AT_HAND) -> str:
    """What an answer has to be on a part of this kind, with its unit; that it is typical, where it is."""
    if isinstance(check, YesNoCheck):
        return check.want
    if isinstance(check, CountCheck):
        return f"{shop.figures.count(kind, check)}"
    if isinstance(check, LotCheck):
        return f"a {wanted_lot_words(check, kind)}"
    words = shop.figures.limits(kind, check, things).words(check.unit)
    ends = (check.low, check.high, check.nominal, check.plus, check.minus)
    return f"{words}, {NOT_ENTERED}" if shop.figures.is_typical(kind, *ends) else words


def judge(
    shop: Shop, check: Check, mark: str, text: str, things: AtHand = NOTHING_AT_HAND
) -> tuple[float | None, bool]:
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
            known = lots_for(shop, check, kind)
            wanted = wanted_lot_words(check, kind)
            mend = f"use one of {', '.join(known)}" if known else f"add the {wanted} to the lots in shop.yaml"
            raise Refused(f"no {check.of} is marked {text!r}", mend)
        return None, lot_fits(lot, check, kind)
    if not text:
        raise Refused("nothing is typed yet", "type the figure")
    if isinstance(check, CountCheck):
        value = read_number(text, "count")
        return value, value == shop.figures.count(kind, check)
    value = read_number(text, check.unit)
    return value, shop.figures.limits(kind, check, things).within(value)


def limits_of(
    shop: Shop, kind: PartKind, check: Check, things: AtHand = NOTHING_AT_HAND
) -> tuple[str, float | None, float | None]:
    """Unit, least and greatest of what is wanted of a figure; no unit where none is asked for."""
    if isinstance(check, CountCheck):
        count = float(shop.figures.count(kind, check))
        return unit_of(check), count, count
    if isinstance(check, YesNoCheck | LotCheck):
        return unit_of(check), None, None
    limits = shop.figures.limits(kind, check, things)
    return unit_of(check), limits.low, limits.high


@act("whoever may do it on that part")
def answer(
    context: Context,
    work_id: str,
    mark: str,
    check_id: str,
    text: str,
    *,
    in_place_of: str | None = None,
    strip: int | None = None,
    press: str = "",
) -> Bodies:
    """A check was answered. An answer outside its limits is recorded too: it then needs a snag or a redo.

    ``in_place_of`` is the answer that stood there as this one was begun, empty where there was none: one that
    came meanwhile, from another screen, is not replaced by who has not seen it. ``strip`` is how many trial
    strips had been recorded at the step then: a figure of one is no answer to the next. None asks nothing.
    ``press`` is one that says it of several parts at once.
    """
    work = live_work(context, work_id)
    piece = piece_in_hand(work, mark)
    _, step = step_of(context.shop, work, mark)
    _require_strip(step, piece, strip)
    stands = piece.answer_on(step, check_id)
    now = stands.text if stands is not None else ""
    if in_place_of is not None and now != in_place_of:
        newer = f"{now} was recorded" if now else f"{in_place_of} was taken back"
        raise Refused(f"{newer} at another screen meanwhile", "look at the part again")
    require_read(context, step)
    require_in_time(context, work, [mark])
    check = check_of(step, check_id)
    things = at_hand(context, work, step)
    value, passed = judge(context.shop, check, mark, text, things)
    shown = text.strip().upper() if isinstance(check, LotCheck) else text.strip()
    unit, low, high = limits_of(context.shop, context.shop.kind_of(mark), check, things)
    return [
        e.Answered(
            work=work_id,
            mark=mark,
            check=check_id,
            text=shown,
            value=value,
            passed=passed,
            ask=check.ask,
            wanted=wanted_words(context.shop, context.shop.kind_of(mark), check, things),
            lot=lot_words(context.shop, shown) if isinstance(check, LotCheck) else "",
            unit=unit,
            low=low,
            high=high,
            press=press,
        )
    ]


def _require_strip(step: Step, piece: Piece, strip: int | None) -> None:
    """Refuse what was asked of a trial strip that is not the one in hand. Raises Refused."""
    if strip is None or strip == piece.strips:
        return
    of = step.trial.of if step.trial is not None else "trial strip"
    became = "was recorded" if piece.strips > strip else "was taken back"
    raise Refused(
        f"the {of} that this was asked of {became} at another screen meanwhile", "look at the part again"
    )


def require_read(context: Context, step: Step) -> None:
    """Refuse while cautions of the step are unread by the one with the screen. Raises Refused."""
    if cautions_to_read(context, step):
        raise Refused("the cautions come first", "read them and acknowledge")


def open_on_piece(shop: Shop, step: Step, piece: Piece, things: AtHand = NOTHING_AT_HAND) -> list[str]:
    """What is still to be seen, counted or measured on a piece before the step can be done."""
    found: list[str] = []
    if step.repeat is not None:
        wanted = shop.figures.count(shop.kind_of(piece.mark), step.repeat)
        if counting_left(shop, step, piece):
            found.append(step.repeat.so_far(piece.count, wanted))
    for check in step.checks:
        given = piece.answer_to(check)
        if given is None:
            found.append(check.ask)
        elif not still_passes(shop, check, piece.mark, given, things):
            found.append(_not_as_wanted(check, given))
    return found


def _not_as_wanted(check: Check, given: Answer) -> str:
    return f"{check.ask} {given.text}: not as wanted. Measure again or raise a snag"


def still_passes(
    shop: Shop, check: Check, mark: str, given: Answer, things: AtHand = NOTHING_AT_HAND
) -> bool:
    """True when an answer was as wanted when it was given and still is: figures are corrected meanwhile."""
    try:
        return given.passed and judge(shop, check, mark, given.text, things)[1]
    except KioskError:
        return False  # the lot is no longer on the list, or the figure can no longer be worked out


@act("whoever may do it on that part")
def finish(context: Context, work_id: str, mark: str, others: Sequence[str] = ()) -> Bodies:
    """The step is done on this piece, or on all when the batch goes through together.

    ``others`` are pieces of a step done in turn that were worked meanwhile and are done with it: what was
    worked since the last end is the time of all of them.
    """
    work = live_work(context, work_id)
    piece = piece_in_hand(work, mark)
    procedure, step = step_of(context.shop, work, mark)
    require_read(context, step)
    together = step.batch == "together"
    judged = work.pieces[0] if together else piece
    things = at_hand(context, work, step)
    still_open = open_on_piece(context.shop, step, judged, things)
    if together:  # one answer holds for all, but a wrong one on any of them stands
        still_open += [
            _not_as_wanted(check, given)
            for other in work.pieces[1:]
            for check in step.checks
            if (given := other.answer_to(check)) is not None
            and not still_passes(context.shop, check, other.mark, given, things)
        ]
    counted = [judged] if together else [piece, *(piece_in_hand(work, other) for other in others)]
    marks = work.marks if together else (mark, *others)
    clocks = _clocks(context, work, step, judged, marks)
    for its in counted[1:]:
        still_open += open_on_piece(context.shop, step, its, things)
        of_another = context.shop.parts[its.mark].kind != context.shop.parts[mark].kind
        if of_another or clocks != _clocks(context, work, step, its, marks):  # one entry is for all
            raise Refused(f"{its.mark} does not end as {mark} does", "finish each by itself")
    if still_open:
        raise Refused(f"still open: {still_open[0]}", "answer it first")
    if len(set(marks)) < len(marks) or (others and step.trial is not None):
        raise Refused("these do not end at once", "finish each by itself")
    if together and not go_together(context.shop, work.marks, work.ref):  # a file was changed meanwhile
        raise Refused(
            "these kinds of parts no longer go together",
            "split one kind off on a part's page, or set the file back",
        )
    require_in_time(context, work, marks)
    for one in marks:
        held = context.state.open_snags(one)
        if held:
            raise Refused(f"{one} is held: {held[0].text}", "decide the snag first")
        for clock in context.state.part(one).clocks:
            if is_late(context, clock) and StepRef(clock.procedure, clock.step) == work.ref:
                raise Refused(f"{clock.what} ran out on {one}", "say on the part's page what was done")
    text, first = kept(context, procedure)
    if step.trial is not None:
        first = [*first, trial_of_step(context, work, judged.mark, procedure, step)]
    finished = e.StepFinished(
        work=work_id,
        marks=marks,
        procedure=work.procedure,
        revision=procedure.revision,
        step=work.step,
        active_s=seconds_worked(context, work),
        exact=_timed_exactly(context, work),
        family=str(procedure.family_of(step)),
        set_up_minutes=step.minutes.set_up,
        set_up_left_minutes=set_up_left(done_at_bench(context), procedure, step),
        put_away_minutes=step.minutes.put_away,
        each_minutes=step.minutes.each,
        day=context.day,
        wants_look=context.doer.role != "builder",
        clocks=clocks,
        text=text,
        of_kind=_learnt_for(context.shop, procedure, step, marks),
        supervised_by=_supervisor(context),
        counts=tuple(_counts(context.shop, step, counted)),
        used=tuple(_used(context.shop, step, marks)),
        figures=tuple(_figures(context.shop, step, judged.mark, things)),
    )
    return [*first, finished, *turned_from_held(context, work, marks)]


def turned_from_held(context: Context, work: Work, gone: Sequence[str]) -> Bodies:
    """What becomes of a step in hand without these parts: the next one that nothing holds is taken up. Where
    a snag holds all that are left the clock stops, so that the others of the batch can go on."""
    left = [piece.mark for piece in work.pieces if piece.mark not in gone]
    free = [mark for mark in left if not context.state.open_snags(mark)]
    if not left or left[0] in free:
        return []
    if free:
        return [e.TurnedTo(work=work.id, mark=free[0])]
    return [e.WorkPaused(work=work.id)] if work.status == "running" else []


def _used(shop: Shop, step: Step, marks: Sequence[str]) -> Iterator[e.Used]:
    """What parts took from the stock; nothing where it cannot be told, which `kiosk check` says."""
    kinds = [shop.kind_of(mark) for mark in marks]
    for uses in step.uses:
        item = shop.consumables.get(uses.of)
        if item is None or not same_unit(uses.unit, item.unit):
            continue
        with suppress(FigureFault):
            amount = all_used(shop.figures, kinds, uses)
            yield e.Used(consumable=uses.of, amount=amount, unit=item.unit)


def _figures(shop: Shop, step: Step, mark: str, things: AtHand) -> Iterator[e.FigureShown]:
    """What calculators gave for a step. A figure that cannot be worked out was not shown, and is not kept."""
    for wanted in step.numbers:
        if isinstance(wanted, NumberWanted):
            with suppress(KioskError):
                number = shop.figures.step_number(shop.kind_of(mark), wanted, things)
                yield e.FigureShown(name=number.title, shown=number.shown)


def _counts(shop: Shop, step: Step, pieces: Iterable[Piece]) -> Iterator[e.CountDone]:
    """How counts ended whose number was the most; any other ended at its number."""
    if step.repeat is None or step.repeat.enough is None:
        return
    for piece in pieces:
        most = shop.figures.count(shop.kind_of(piece.mark), step.repeat)
        yield e.CountDone(
            mark=piece.mark, count=piece.count, most=most, of=step.repeat.of, enough=piece.enough
        )


def _supervisor(context: Context) -> str:
    """Who answers for a doer under age: the builder at the bench, else another adult; empty for an adult."""
    if is_adult(context, context.doer):
        return ""
    adults = [person for person in context.people if is_adult(context, person)]
    adults.sort(key=lambda person: person.role != "builder")
    return adults[0].id if adults else ""


def _learnt_for(shop: Shop, procedure: Procedure, step: Step, marks: Sequence[str]) -> str:
    """The part kind that a step's time is learnt for; empty where its times do not follow from one."""
    kinds = {shop.parts[mark].kind for mark in marks}
    return kinds.pop() if times_follow_kind(procedure, step) and len(kinds) == 1 else ""


def _timed_exactly(context: Context, work: Work) -> bool:
    """True when the time can be learnt from: no power cut, no hours unattended, no midnight in it,
    and a wall clock that is believed to tell so."""
    if not work.exact or (work.running_since_s is not None and work.run != context.run):
        return False
    if context.doubt is not None:
        return False
    since = (work.piece_since or work.started_at).astimezone()
    now = context.now.astimezone()
    return since.date() == now.date() and timedelta() <= now - since <= LONGEST_STRETCH


def _clocks(
    context: Context, work: Work, step: Step, piece: Piece, marks: Sequence[str]
) -> tuple[e.ClockSet, ...]:
    """What waits and runs from now on. A limit goes on where it ran before this end was taken back."""
    found = []
    for number, wait in enumerate(step.waits, 1):
        told = told_minutes(context.state, work.procedure, step, wait, piece)
        minutes = wait.minutes if told is None else told
        ran = limit_taken_back(context, work, step, wait, marks) if wait.within is not None else None
        since = context.now if ran is None else ran.until - timedelta(minutes=ran.minutes)
        found.append(
            e.ClockSet(
                what=wait.what + TYPICAL if wait.is_typical and told is None else wait.what,
                kind="must_pass" if wait.must_pass is not None else "within",
                minutes=minutes,
                until=since + timedelta(minutes=minutes),
                procedure=work.procedure,
                step=wait.step,
                if_missed=wait.if_missed or "",
                set_by=step.id,
                ends="finish" if wait.finish is not None else "begin",
                boot=context.boot if ran is None else ran.boot,
                set_s=context.monotonic_s if ran is None else ran.set_s,
                believed=context.doubt is None if ran is None else ran.believed,
                back_to=wait.back_to or "",
                number=number,
            )
        )
    return tuple(found)


@act("whoever is here")
def pause(context: Context, work_id: str) -> Bodies:
    """Stop the step's clock. Anybody here may: it makes things safe."""
    work = live_work(context, work_id)
    return [e.WorkPaused(work=work_id)] if work.status == "running" else []


@act("whoever may do the step")
def take_up(context: Context, work_id: str) -> Bodies:
    """Carry on with a step in hand: its clock runs again."""
    work = live_work(context, work_id)
    require_in_time(context, work, work.marks)
    if work.status != "paused":
        return []
    return [*others_paused(context, context.doer.id), e.WorkResumed(work=work_id)]


def dropped(
    context: Context, work_id: str, marks: Sequence[str] = (), *, still_together: bool = False
) -> Bodies:
    """Unfinished parts out of hand, as not started; all of them where none is named. Refused once something
    was done on them. ``still_together``: they stay with the batch that beginning the step made."""
    work = _work(context, work_id)
    leave = tuple(dict.fromkeys(marks))
    if any(piece_in_hand(work, mark).is_begun for mark in leave or work.marks):
        raise Refused("something is already counted or measured", "undo it first, or keep the place")
    if not leave or len(leave) == len(work.pieces):
        still_together = still_together or _is_done_on_others(context, work)
        return [e.WorkDropped(work=work_id, still_together=still_together)]
    _, step = step_of(context.shop, work)
    if step.batch == "together" and any(piece.is_begun for piece in work.pieces):
        raise Refused("what is counted or measured is so of all of them", "split it off on its page")
    left = e.WorkDropped(work=work_id, marks=leave, still_together=still_together)
    return [left, *turned_from_held(context, work, leave)]


def _is_done_on_others(context: Context, work: Work) -> bool:
    """True where others of the batch that beginning a step made are done with it: the batch is no mistake."""
    others = {one.mark for one in work.walked} - set(work.marks)
    return any(context.state.part(mark).batch == work.made for mark in others)


@act("whoever may do the step")
def put_back(
    context: Context, work_id: str, marks: Sequence[str] = (), *, still_together: bool = False
) -> Bodies:
    """Take unfinished parts out of hand, as not started, all of them where none is named; the others go on.

    Refused once something was done on them. ``still_together``: they walk on with their batch.
    """
    return dropped(context, work_id, marks, still_together=still_together)


@act("the builder")
def set_aside(context: Context, work_id: str) -> Bodies:
    """Take parts out of a step that its procedure no longer has, or that are gone from the shop file.

    What was recorded on them stays recorded.
    """
    work = _work(context, work_id)
    procedure = context.shop.procedures.get(work.procedure)
    gone = any(mark not in context.shop.parts for mark in work.marks)
    if not gone and procedure is not None and procedure.step(work.step) is not None:
        return dropped(context, work_id)
    return [e.WorkDropped(work=work_id)]


@act("whoever may do the step")
def say_how_it_stands(context: Context, work_id: str, *, as_shown: bool) -> Bodies:
    """A person looked at what the power cut left, and says whether it stands as the screen shows."""
    work = _work(context, work_id)
    if work.status != "unknown":
        if not as_shown:
            raise Refused("somebody said meanwhile how it stands", "look at the place again")
        return []
    others: Bodies = []
    if as_shown:
        require_in_time(context, work, work.marks)
        others = others_paused(context, context.doer.id)
    touched = any(piece.touched for piece in work.pieces)
    if not as_shown and touched and context.doer.role != "builder" and work.by != context.doer.id:
        raise NotAllowed("something was counted or measured before it was left", "ask the builder")
    return [*others, e.Looked(work=work_id, verdict="as shown" if as_shown else "not started")]
