"""Begin a step, or carry on with one that was paused: what could not follow it in time is told first.

So are the quiet hours in which it would be begun on parts that may not be left without it. Nobody is led into
either by a key that was pressed for something else; whoever was told goes on all the same, or leaves it.
"""

from collections.abc import Callable, Sequence

from kiosk.catalogue import said
from kiosk.record.batch import GoesOn
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.kiosk import Kiosk
from kiosk.views.wording import capital


def carry_on(
    kiosk: Kiosk, work: str, then: Callable[[], object], take_up: Callable[[], object] | None = None
) -> None:
    """Take a step in hand up again, if need be in a way of its own, and go on with ``then``."""

    def taken_up() -> None:
        if take_up is None:
            kiosk.bench.take_up(work, tap=kiosk.taps.id)
        else:
            take_up()
        then()

    stop = kiosk.bench.could_not_follow(work)
    on = said("Carry on all the same")
    _told_first(kiosk, said("Carry on all the same?"), [stop], on, taken_up)


def begin(
    kiosk: Kiosk,
    marks: Sequence[str],
    procedure: str,
    step: str,
    then: Callable[[str], object] | None = None,
    *,
    together: bool = False,
) -> None:
    """Begin a step on parts, which walk ``together`` from then on; go on with ``then``, or at the step."""
    bench = kiosk.bench
    loud = bench.too_loud_but(marks, procedure, step)

    def begun() -> None:
        begin_on = bench.begin_batch if together else bench.start
        (then or kiosk.walk)(begin_on(marks, procedure, step, tap=kiosk.taps.id, in_quiet_hours=bool(loud)))

    ahead = bench.begun_could_not_follow(marks, procedure, step)
    stops = [loud, said("It may not be left half way")] if loud else []
    stops += [] if loud and ahead.startswith(loud) else [ahead]  # the same hours are agreed to once
    title = said("It is loud. Is that agreed?") if loud else said("It may not be left half way. Begin?")
    _told_first(kiosk, title, stops, said("Begin all the same"), begun)


def goes_on_unasked(kiosk: Kiosk, going: GoesOn) -> bool:
    """True where the next step of a run may begin by itself: nothing about it is to be told first."""
    step = going.procedure.id, going.step.id
    return going.at_once and not going.stops and not kiosk.bench.begun_could_not_follow(going.marks, *step)


def _told_first(
    kiosk: Kiosk, title: str, stops: Sequence[str], on: str, goes_on: Callable[[], object]
) -> None:
    told = [f"{capital(stop)}." for stop in stops if stop]
    if not told:
        goes_on()
        return
    choices = [Choice(on, True), Choice(said("Leave it as it is"), False)]
    kiosk.ask(ChoiceScreen[bool](title, choices, detail=told), lambda chosen: goes_on() if chosen else None)
