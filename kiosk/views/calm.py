"""The calm card of a wall screen that nobody works at: what still runs, and where the place is."""

from collections.abc import Sequence

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.shop.parts import marks_in_full
from kiosk.views.clocks import RunningClock, every_clock, gathered, time_left, time_words
from kiosk.views.place_card import PlaceCard

FAR_S = 18 * 3600  # from here on the day is said too


@dataclass(frozen=True)
class CalmCard:
    """Few words, and one figure in the largest digits; nothing of anybody's but the place."""

    heading: str  # what the figure is of: ``USE WITHIN: NR-07, degreased face``
    figure: str  # digits, a point or a colon: what is left of the next clock, else the time of day
    unit: str
    until: str
    others: tuple[str, ...]  # the other clocks, the most pressing first
    place: str
    running: str  # that the clock of a step runs meanwhile


def calm_card(context: Context, card: PlaceCard | None, *, left_alone: bool = False) -> CalmCard:
    """The card at this moment; ``card`` is None where the place cannot be shown.

    The digits are those of the clock that runs out next; what was missed stands first among the others.
    ``left_alone`` says that the sitting has ended by itself, so the time of a step in hand counts no more.
    """
    clocks = sorted(gathered(context, every_clock(context)), key=_rank)
    place = " ".join(filter(None, (card.standing, _step_words(card)))) if card is not None else ""
    work = next(
        (one for one in context.state.works.values() if one.status == "running" and context.run in one.runs),
        None,
    )
    runs = work is not None and not left_alone
    running = (
        said("The clock of this step runs: {parts}.", parts=marks_in_full(work.marks))
        if work is not None and runs
        else ""
    )
    counted = next((one for one in clocks if (one.left_s or 0) > 0), None)
    if counted is None:
        figure = "" if context.doubt is not None else time_words(context.now, up=False)
        return CalmCard("", figure, "", "", _lines(clocks), place, running)
    up, far = not counted.is_limit, (counted.left_s or 0.0) >= FAR_S
    left = time_left(counted.left_s or 0.0, up=up)
    until = (
        said("until {time}", time=time_words(counted.ends_at, up=up, day=far))
        if counted.ends_at is not None
        else ""
    )
    about = f"{marks_in_full(counted.marks)}, {counted.clock.what}"
    others = _lines([one for one in clocks if one is not counted])
    return CalmCard(f"{_verb(counted)}: {about}", left.figure, left.unit_words, until, others, place, running)


def _step_words(card: PlaceCard) -> str:
    step = said("step {number} of {of}", number=card.number, of=card.of) if card.number else ""
    return ", ".join(filter(None, (card.title, step)))


def _rank(one: RunningClock) -> tuple[int, float]:
    """What was missed or is not known first, then whatever ends next; what is over comes last."""
    left = one.left_s
    if left is None or (one.is_limit and left <= 0):
        return 0, left or 0.0
    return (1, left) if left > 0 else (2, -left)


def _verb(one: RunningClock) -> str:
    if not one.is_limit:
        return said("WAIT")
    return said("FINISH WITHIN") if one.clock.ends == "finish" else said("USE WITHIN")


def _lines(clocks: Sequence[RunningClock]) -> tuple[str, ...]:
    return tuple(
        said("OVER: {parts}, {what}", parts=marks_in_full(one.marks), what=one.clock.what)
        if one.left_s is not None and one.left_s <= 0 and not one.is_limit
        else one.words
        for one in clocks
    )
