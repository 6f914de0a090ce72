"""The step in hand, ready to be shown."""

from collections.abc import Iterator
from typing import Literal

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.record.at_hand import at_hand
from kiosk.record.batch import Follows, InBatch, follows, pieces_to_do, place_in_batch
from kiosk.record.context import Context
from kiosk.record.half_typed import half_typed_elsewhere, half_typed_here
from kiosk.record.made_before import made_otherwise
from kiosk.record.position import steps_left
from kiosk.record.readiness import lacking_in_hand
from kiosk.record.rules.steps import (
    cautions_to_read,
    enough_on_piece,
    open_on_piece,
    still_passes,
    wanted_words,
)
from kiosk.record.state import Piece, State, Work
from kiosk.record.worked import seconds_worked
from kiosk.shop.at_hand import READ_FIRST, ROOM_TEMPERATURE, AtHand
from kiosk.shop.figures import FigureFault, StepNumber
from kiosk.shop.lots import lots_for
from kiosk.shop.parts import Hand, PartKind
from kiosk.shop.procedure import Check, LotCheck, MeasureCheck, Procedure, Step, StepRef
from kiosk.shop.shop import Shop
from kiosk.views.barred import barred
from kiosk.views.clocks import RunningClock, told_clocks
from kiosk.views.strips_by_lot import lots_line, trials_wanted
from kiosk.views.trial import strip_thickness_line, trial_line
from kiosk.views.wording import capital, count_caption, count_words, kinds_in_words, stay_words, stop_words


@dataclass(frozen=True)
class CheckView:
    """One check: what is asked, what is wanted, and what has been given or half typed."""

    id: str
    kind: str
    ask: str
    wanted: str
    answer: str
    passed: bool
    draft: str
    choices: tuple[str, ...] = ()
    unit: str = ""  # of a figure that is measured
    elsewhere: str = ""  # half typed at another screen, and nobody else's to record
    reads_room: bool = False  # what is wanted hangs on the room's air, which nobody has read lately

    @property
    def none_in_stock(self) -> bool:
        """True when it asks which lot was taken, and no lot of the shop is what it asks for."""
        return self.kind == "lot" and not self.choices and not self.passed

    @property
    def answered(self) -> bool:
        """True when an answer stands, passed or not."""
        return bool(self.answer)

    @property
    def state_word(self) -> Literal["OPEN", "TYPING", "GOOD", "OUT"]:
        """The state in one word, so that it never hangs on colour."""
        if not self.answered:
            return "TYPING" if self.draft else "OPEN"
        return "GOOD" if self.passed else "OUT"


@dataclass(frozen=True)
class StepView:
    """Everything the walk shows of one piece at one step."""

    work: str
    mark: str
    batch_left: int  # parts in hand; of those that go through in turn, which nothing holds
    batch_marks: tuple[str, ...]
    together: bool
    kind_name: str
    procedure_title: str
    number: int
    of: int
    cautions: tuple[tuple[str, str], ...]
    do: str
    why: str
    note: str
    numbers: tuple[StepNumber, ...]
    trial: str
    count: int
    count_wanted: int
    count_of: str
    checks: tuple[CheckView, ...]
    still_open: tuple[str, ...]
    tools: tuple[str, ...]
    consumables: tuple[str, ...]
    stop: str
    elapsed_s: float
    estimate_minutes: float
    next_do: str
    held: str
    lacking: str  # a tool or stock that it asks for and is not there
    barred: str  # why it may not go on as people stand now
    limits: tuple[str, ...] = ()  # what runs out on the parts in hand
    too_late: str = ""  # the mark on which it ran out
    sources: tuple[str, ...] = ()  # where the procedure's facts come from
    drawing: bool = False  # there is one to be asked for
    trial_of: str = ""  # what is tried on this step; empty: it is no trial
    trials_wanted: int = 0  # after the one in hand, until they say more than the formula
    strip_lots: str = ""  # of which lots of sheet the strips are, where not all are of this one
    strip_thickness: str = ""  # at which a strip counts, where the sheet measured another
    outdated: tuple[str, ...] = ()  # what was measured on steps before, and is now wanted otherwise
    revision: str = ""  # of the procedure, and why it was revised
    revision_reason: str = ""
    hand: Hand = "none"  # of the part
    enough_when: str = ""  # what makes the count enough before its end; empty where nothing does
    enough: str = ""  # what is so, and no more is wanted
    strips: int = 0  # trial strips recorded at it before the one that is asked about
    in_batch: InBatch | None = None  # which of its batch it is; None for a part alone
    then: Follows = ""  # what comes when it is done on this part
    then_mark: str = ""  # and on which part
    held_marks: tuple[str, ...] = ()  # parts in hand that a snag holds
    other_pieces: tuple[str, ...] = ()  # the others in hand, which nothing holds
    may_put_back: bool = False  # nothing was done yet on the part that is shown
    first_limit: RunningClock | None = None  # the first of the limits, to be shown large
    near: RunningClock | None = None  # the limit that runs out soon on parts elsewhere, to be shown large
    other_clocks: tuple[str, ...] = ()  # that run on parts elsewhere, that one not among them
    changes: tuple[str, ...] = ()  # files that are not as they were read
    no_longer_asked: tuple[str, ...] = ()  # answers to checks that the step has no more, or not so

    @property
    def has_figures(self) -> bool:
        """True when it shows numbers or limits, which the plans may give otherwise."""
        return bool(self.numbers) or any(check.kind in ("measure", "count") for check in self.checks)

    @property
    def counting(self) -> bool:
        """True while some of what is done several times is still to be done."""
        return self.count < self.count_wanted and not self.enough

    @property
    def count_words(self) -> str:
        """How far the count is."""
        at_most = bool(self.enough_when)
        return count_words(self.count, self.count_wanted, self.count_of, at_most=at_most, enough=self.enough)

    @property
    def count_caption(self) -> str:
        """The same beside the number, which stands in large digits."""
        at_most = bool(self.enough_when)
        return count_caption(
            self.count, self.count_wanted, self.count_of, at_most=at_most, enough=self.enough
        )

    @property
    def can_finish(self) -> bool:
        """True when everything that was to be seen, counted and measured is given."""
        return not self.cautions and not self.still_open and not self.held

    @property
    def active_check(self) -> CheckView | None:
        """The first check that still wants an answer.

        A trial is measured to its end before what came out otherwise is asked again: it tells all the same.
        """
        first_open = next((check for check in self.checks if not check.answered), None)
        if self.trial_of and first_open is not None:
            return first_open
        return next((check for check in self.checks if not check.answered or not check.passed), None)

    @property
    def can_try_again(self) -> bool:
        """True when all is measured that makes one trial, good or not, so that another may follow."""
        return bool(self.trial_of) and not self.cautions and all(one.answered for one in self.checks)


def piece_in_hand(step: Step, work: Work) -> Piece:
    """The piece that is shown: the first of those that go through together, else the one turned to."""
    return (work.pieces[0] if step.batch == "together" else work.piece(work.turned_to)) or work.pieces[0]


def step_view(context: Context, work: Work) -> StepView:
    """The view of a work. Raises KeyError when its procedure or step is gone: the place card asks then."""
    shop, state = context.shop, context.state
    procedure, step = shop.find_step(work.procedure, work.step, work.turned_to)
    if procedure is None or step is None:
        raise KeyError(work.step)
    together = step.batch == "together"
    piece = piece_in_hand(step, work)
    kind = shop.kind_of(piece.mark)
    ids = [one.id for one in shop.steps_for(kind, procedure)]
    after = [one for _, one in steps_left(shop, state, piece.mark)]
    following = after[1] if len(after) > 1 else None
    wanted = shop.figures.count(kind, step.repeat) if step.repeat else 0
    held_marks = tuple(mark for mark in work.marks if state.open_snags(mark))
    to_do = pieces_to_do(state, work)
    holding = held_marks if together else tuple(mark for mark in held_marks if mark == piece.mark)
    then, then_mark = follows(context, work, piece.mark)
    helper = context.doer.role != "builder"
    things = at_hand(context, work, step)
    running = sorted(told_clocks(context), key=lambda one: one.need)
    limits = [one for one in running if one.is_limit and not set(one.marks).isdisjoint(work.marks)]
    named = (work.procedure, work.step)
    near = next((one for one in running if one.is_near and one not in limits), None)
    late = [one for one in limits if one.rank[0] == 0 and (one.clock.procedure, one.clock.step) == named]
    trial = trial_line(shop, kind, step)
    return StepView(
        work=work.id,
        mark=piece.mark,
        batch_left=len(work.pieces) if together else len(to_do),
        batch_marks=work.marks,
        together=together,
        kind_name=kinds_in_words(shop, work.marks if together else (piece.mark,)),
        procedure_title=procedure.title,
        number=ids.index(step.id) + 1 if step.id in ids else 0,
        of=len(ids),
        cautions=tuple(cautions_to_read(context, step)),
        do=(step.plain or step.do) if helper else step.do,
        why=step.why or "",
        note=step.note or "",
        numbers=_numbers(shop, piece.mark, step, things),
        trial=trial,
        strip_lots=lots_line(context, piece.mark, procedure, step) if trial else "",
        count=piece.count,
        count_wanted=wanted,
        count_of=step.repeat.of if step.repeat else "",
        checks=tuple(_checks(context, step, piece.mark, work, things)),
        still_open=tuple(open_on_piece(shop, step, piece, things)),
        tools=shop.tool_names(step),
        consumables=shop.consumable_names(step),
        stop=_stop_words(step),
        elapsed_s=seconds_worked(context, work),
        estimate_minutes=usual_minutes(context, work, procedure, step),
        next_do=following.do if following else "",
        held="; ".join(_held_words(state, mark, piece.mark) for mark in holding),
        lacking=capital(next((stop.text for stop in lacking_in_hand(context, work)), "")),
        barred=barred(context, work, step).text,
        limits=tuple(one.words for one in limits),
        first_limit=limits[0] if limits else None,
        near=near,
        other_clocks=tuple(one.words for one in running if one not in limits and one is not near),
        too_late=next((mark for one in late for mark in one.marks if mark in work.marks), ""),
        sources=procedure.sources,
        drawing=step.drawing is not None,
        trial_of=step.trial.of if step.trial is not None else "",
        trials_wanted=trials_wanted(context, piece.mark, procedure, step),
        strip_thickness=strip_thickness_line(shop, kind, state.part(piece.mark), procedure, step),
        outdated=tuple(_changed(context, procedure, step, piece.mark)),
        revision=procedure.revision,
        revision_reason=procedure.reason,
        hand=shop.parts[piece.mark].hand,
        enough_when=(step.repeat.enough or "") if step.repeat else "",
        enough=enough_on_piece(step, piece),
        strips=piece.strips,
        in_batch=place_in_batch(context, piece.mark),
        then=then,
        then_mark=then_mark,
        held_marks=held_marks,
        other_pieces=tuple(mark for mark in to_do if mark != piece.mark),
        may_put_back=not piece.touched,
        no_longer_asked=tuple(_no_longer_asked(step, piece)),
    )


def usual_minutes(context: Context, work: Work, procedure: Procedure, step: Step) -> float:
    """What is in hand at once takes these hands as often as not: what Minutes and the call to put away go
    by."""
    from kiosk.planning.times.predictor import Predictor  # a start does without

    kind = context.shop.kind_of(piece_in_hand(step, work).mark)
    at_once = len(work.pieces) if step.batch == "together" else 1
    return Predictor(context).piece(procedure, step, kind.id).median_minutes * at_once


def _held_words(state: State, mark: str, shown: str) -> str:
    """Why a part is held; which one, where it is not the one that is shown."""
    text = state.open_snags(mark)[0].text
    return text if mark == shown else f"{mark}, {text}"


def _changed(context: Context, procedure: Procedure, step: Step, mark: str) -> Iterator[str]:
    """What the part was made by and is another figure now: to be done again, or told where it is cut."""
    outdated = list(_outdated(context, procedure, step, mark))
    yield from (words for _, words in outdated)
    told = {ref for ref, _ in outdated} | {procedure.ref(step)}
    for one in made_otherwise(context.shop, context.state, mark):
        if one.ref not in told:
            yield said("{words}. Stop and let the builder decide.", words=one.words)


def _outdated(context: Context, procedure: Procedure, step: Step, mark: str) -> Iterator[tuple[StepRef, str]]:
    """What was measured since metal was last cut, and would not pass now: a figure is another one meanwhile.

    The record keeps what was wanted when it was measured; a new trial strip, or a corrected dimension,
    changes only what is wanted from then on.
    """
    shop, kind, part = context.shop, context.shop.kind_of(mark), context.state.part(mark)
    steps = shop.steps_for(kind, procedure)
    before = steps[: next((at for at, one in enumerate(steps) if one.id == step.id), 0)]
    for earlier in reversed(before):
        if earlier.irreversible:
            return  # it is cut or bent: nothing can be marked again
        measured = part.measured.get(procedure.ref(earlier), {})
        for check in earlier.checks:
            if not isinstance(check, MeasureCheck) or check.id not in measured:
                continue
            try:
                limits = shop.figures.limits(kind, check)
            except KioskError:
                continue  # `kiosk check` names it
            if not limits.within(measured[check.id]):
                words = said(
                    "{ask}: {measured}, now wanted {words}.",
                    ask=check.ask,
                    measured=f"{measured[check.id]:.3f}",
                    words=limits.words(check.unit),
                )
                yield procedure.ref(earlier), said("{words} Do that step again first.", words=words)


def _no_longer_asked(step: Step, piece: Piece) -> Iterator[str]:
    """What was answered on a piece to a check that the files had then, or in its words of then: it counts
    for none of today's."""
    asked = {check.id for check in step.checks}
    for check_id, answer in piece.answers.items():
        if check_id not in asked:
            yield said(
                "{answer} was answered to a check that is asked no more: {ask}",
                answer=answer.text.upper(),  # as on its key, and a lot's mark
                ask=answer.ask or check_id,
            )
    for answer in piece.asked_otherwise(step):
        yield said(
            "{answer} was answered to a check that is asked otherwise now: {ask}",
            answer=f"{answer.text.upper()} {answer.unit if answer.unit != 'count' else ''}".strip(),
            ask=answer.ask,
        )


def _stop_words(step: Step) -> str:
    """Where it may be left; one that starts a wait is not gone straight on from."""
    waits = any(wait.must_pass for wait in step.waits)
    return stay_words() if waits and step.stop == "go straight on" else stop_words(step.stop)


def _numbers(shop: Shop, mark: str, step: Step, things: AtHand) -> tuple[StepNumber, ...]:
    found = []
    for wanted in step.numbers:
        try:
            found.append(shop.figures.step_number(shop.kind_of(mark), wanted, things))
        except KioskError:
            continue  # `kiosk check` reports it with its line; the step is still walked
    return tuple(found)


def _wanted(shop: Shop, kind: PartKind, check: Check, things: AtHand) -> str:
    """What is wanted; where it hangs on a reading that nobody has taken, what to do first."""
    try:
        return wanted_words(shop, kind, check, things)
    except FigureFault as fault:
        return fault.mend


def _checks(context: Context, step: Step, mark: str, work: Work, things: AtHand) -> list[CheckView]:
    shop = context.shop
    kind = shop.kind_of(mark)
    piece = work.piece(mark)
    assert piece is not None
    found = []
    for check in step.checks:
        answer = piece.answer_to(check)
        choices = lots_for(shop, check, kind) if isinstance(check, LotCheck) else ()
        wanted = _wanted(shop, kind, check, things)
        found.append(
            CheckView(
                id=check.id,
                kind=check.kind,
                ask=check.ask,
                wanted=wanted,
                answer=answer.text if answer else "",
                passed=answer is not None and still_passes(shop, check, mark, answer, things),
                draft=half_typed_here(context, piece, check.id),
                elsewhere=half_typed_elsewhere(context, piece, check.id),
                choices=choices,
                unit=check.unit if isinstance(check, MeasureCheck) else "",
                reads_room=wanted == READ_FIRST[ROOM_TEMPERATURE],
            )
        )
    return found
