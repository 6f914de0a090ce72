"""Begin a step, carry on with one that was paused, pause it or put it back: what speaks against it is told
first.

That is a tool or stock that a step in hand lacks, what could not follow it in time, the quiet hours in which
it would be begun on parts that may not be left without it, too little time left for what may not be left,
what would be left for it and may not be, and the time that was worked at what is put back as not begun.
Nobody is led into any of these by a key that was pressed for something else; whoever was told goes on all the
same, or does not.
"""

from collections.abc import Callable, Sequence
from functools import partial

from kiosk.catalogue import said
from kiosk.record.batch import GoesOn
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.kiosk import Kiosk
from kiosk.shop.parts import marks_in_full
from kiosk.views.wording import capital


def carry_on(
    kiosk: Kiosk,
    work: str,
    then: Callable[[], object],
    take_up: Callable[[], object] | None = None,
    *,
    mark: str = "",
) -> None:
    """Take a step in hand up again, if need be in a way of its own, and go on with ``then``, at the piece
    ``mark`` where one is named."""

    def taken_up() -> None:
        if take_up is None:
            kiosk.bench.take_up(work, tap=kiosk.taps.id)
        else:
            take_up()
        then()

    bench, now = kiosk.bench, kiosk.bench.work(work)
    # What was worked at already is gone on with.
    is_begun = (mark or now.turned_to) == now.turned_to and (now.status == "running" or bench.worked_on(work))
    too_long = "" if is_begun else bench.too_long_for_piece(work, mark)
    ahead = bench.could_not_follow(work)
    lacking = bench.lacking(work)
    lost = bench.runs_out_first(now.marks, now.procedure, now.step) if ahead else ()
    stops = [lacking, ahead, too_long, bench.left_for_another(now.marks, work), *lost]
    parts = marks_in_full(now.marks)
    title = said("Carry on with {parts} all the same?", parts=parts)
    answers = said("Carry on with {parts}", parts=parts), said("Do not carry on with {parts}", parts=parts)
    _told_first(kiosk, title, stops, answers, taken_up)


def pause(kiosk: Kiosk, work: str, then: Callable[[], object]) -> None:
    """Stop the clock of a step in hand, and go on with ``then``."""

    def paused() -> None:
        kiosk.bench.pause(work)
        then()

    on = said("Pause it all the same")
    stops = [kiosk.bench.not_to_be_left(work)]
    _told_first(kiosk, said("Pause it as it is?"), stops, (on, said("Go on with it")), paused)


def put_back(kiosk: Kiosk, work: str, then: Callable[[], object]) -> None:
    """Put a step in hand back as not begun, and go on with ``then``; whoever worked at it is told what is
    lost."""
    parts = marks_in_full(kiosk.bench.work(work).marks)
    title = said("Was nothing done on {parts}?", parts=parts)
    answers = said("Nothing was done: put it back"), said("Leave it in hand")
    _told_first(kiosk, title, [kiosk.bench.worked_on(work)], answers, partial(_back, kiosk, work, then))


def _back(kiosk: Kiosk, work: str, then: Callable[[], object], *, still_together: bool = False) -> None:
    kiosk.bench.put_back(work, tap=kiosk.taps.id, still_together=still_together)
    kiosk.say(said("Put back as not begun."))
    then()


def begin(
    kiosk: Kiosk,
    marks: Sequence[str],
    procedure: str,
    step: str,
    then: Callable[[str], object] | None = None,
    *,
    together: bool = False,
    apart: Sequence[str] = (),
) -> None:
    """Begin a step on parts, which walk ``together`` from then on, and those ``apart`` with their batch no
    more; go on with ``then``, or at the step."""
    bench = kiosk.bench
    loud = bench.too_loud_but(marks, procedure, step)

    def begun() -> None:
        begin_on = partial(bench.begin_batch, apart=apart) if together or apart else bench.start
        (then or kiosk.walk)(begin_on(marks, procedure, step, tap=kiosk.taps.id, in_quiet_hours=bool(loud)))

    # The same hours are agreed to once.
    ahead = bench.begun_could_not_follow(marks, procedure, step, agreed=bool(loud))
    too_long = bench.too_long_to_end(marks, procedure, step)
    left = bench.left_for_another(marks)
    stops = [loud, said("It may not be left half way")] if loud else []
    stops += [ahead, too_long, left]
    stops += bench.runs_out_first(marks, procedure, step) if loud or ahead else ()
    parts = marks_in_full(marks)
    title = said("Begin {parts} all the same?", parts=parts)
    title = said("It may not be left half way. Begin {mark}?", mark=parts) if ahead or too_long else title
    title = said("It is loud. Is that agreed?") if loud else title
    answers = said("Begin {mark} all the same", mark=parts), said("Do not begin {mark}", mark=parts)
    _told_first(kiosk, title, stops, answers, begun)


def next_piece(kiosk: Kiosk, work: str, then: Callable[[], object]) -> None:
    """A step in hand was turned to its next piece: where too little time is left for that, who is told so
    begins it all the same, or puts what is not begun back, and ``then`` where nothing is left in hand. Who
    goes away without an answer begins nothing."""
    pieces, mark = kiosk.bench.work(work).pieces, kiosk.bench.work(work).turned_to
    goes_back = [piece.mark for piece in pieces if not piece.is_begun]

    def does_not() -> None:
        if len(goes_back) == len(pieces):
            _back(kiosk, work, then, still_together=True)
            return
        kiosk.bench.put_back(work, goes_back, tap=kiosk.taps.id, still_together=True)
        parts = marks_in_full(goes_back)
        kiosk.say(said("Put back {mark} as not begun; the others go on.", mark=parts))

    _piece_told_first(kiosk, work, mark, lambda: None, does_not, esc=said("Do not begin"))


def turn_to(kiosk: Kiosk, work: str, mark: str) -> None:
    """Take another piece of a step in hand; where too little time is left for that, who is told so takes it
    all the same, or stays at the one in hand."""
    _piece_told_first(kiosk, work, mark, partial(kiosk.bench.turn_to, work, mark))


def _piece_told_first(
    kiosk: Kiosk,
    work: str,
    mark: str,
    goes_on: Callable[[], object],
    does_not: Callable[[], object] = lambda: None,
    *,
    esc: str = "",
) -> None:
    """That a piece of a step in hand does not fit the time that is left is told before it is begun."""
    answers = said("Begin {mark} all the same", mark=mark), said("Do not begin {mark}", mark=mark)
    title = said("It may not be left half way. Begin {mark}?", mark=mark)
    stops = [kiosk.bench.too_long_for_piece(work, mark)]
    _told_first(kiosk, title, stops, answers, goes_on, does_not, esc=esc)


def goes_on_unasked(kiosk: Kiosk, going: GoesOn) -> bool:
    """True where the next step of a run may begin by itself: nothing about it is to be told first."""
    bench, step = kiosk.bench, (going.procedure.id, going.step.id)
    told = (
        bench.begun_could_not_follow(going.marks, *step)
        or bench.too_long_to_end(going.marks, *step)
        or bench.left_for_another(going.marks)
    )
    return going.at_once and not going.stops and not told


def _told_first(
    kiosk: Kiosk,
    title: str,
    stops: Sequence[str],
    answers: tuple[str, str],
    goes_on: Callable[[], object],
    does_not: Callable[[], object] = lambda: None,
    *,
    esc: str = "",
) -> None:
    """The ``answers`` are the one that goes on and the one that does not. ``esc`` is what going away is
    called where that means not to go on; else nothing comes of it."""
    told = [f"{capital(stop).rstrip('.')}." for stop in stops if stop]
    if not told:
        goes_on()
        return
    on, off = answers
    choices = [Choice(off, False), Choice(on, True)]
    dialog = ChoiceScreen[bool](title, choices, detail=told, back=esc or "Leave")
    or_else = does_not if esc else None
    kiosk.ask(dialog, lambda chosen: goes_on() if chosen else does_not(), or_else=or_else)
