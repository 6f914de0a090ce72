"""How many hours are left, and when it will be finished: simulated from this person's own times and rhythm.

Each trial draws what is shared once (how far the estimates are out, how fast the weeks go), then every step,
then whole weeks of the past until the work is done. Without the shared draws the interval is far too narrow
(planning fallacy: Buehler, Griffin & Ross 1994; dependent activities: Trietsch et al. 2012). The weeks are a
block bootstrap that keeps the days of the week; the rate carries a Student t for so few weeks.
"""

import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from kiosk.planning.forecast.remaining import Remaining, remaining, scope_of, timed_pieces
from kiosk.planning.times.durations import Duration
from kiosk.planning.times.predictor import BIAS_WEIGHT, HELPER_BIAS, Predictor, learnt_weight
from kiosk.record.authority import may_not_do
from kiosk.record.context import Context
from kiosk.record.learning import PRIOR_WEIGHT
from kiosk.record.state import State
from kiosk.shop.procedure import StepRef

TRIALS = 1000
SEED = 5
WEEK = 7
MOST_WEEKS = 12  # of the past; what lies further back tells little of now
FEWEST_WEEKS = 4
FEWEST_PIECES = 10
BIAS_SPREAD = 0.3  # between shops, of the log ratio of real to estimated minutes
LONGEST_DAYS = 365 * 60
WIDEST = 6.0  # a Student t draw is held within this
SCRAP_SEEN, SCRAP_SOUND = 0.5, 20.0  # parts scrapped and sound that the usual rate counts for
HALF_HOUR = 30.0
TAKE_UP_MINUTES = 2.0  # of a sitting goes to finding the place
HELPER_MINUTES = 90.0  # of a helper's Saturday
LOOK_OVER_SHARE = 0.1  # of the helper's minutes that the builder spends looking over
SATURDAY = 5


@dataclass(frozen=True)
class WhatIf:
    """What might be changed: sittings of half an hour more a week, a helper on Saturdays, the scrap rate."""

    half_hours_a_week: int = 0
    helper_saturdays: bool = False
    scrap_percent: float | None = None  # None: as the record says


@dataclass(frozen=True)
class Spread:
    """Quantiles of a simulated figure."""

    p10: float
    p50: float
    p80: float
    p90: float
    p95: float


@dataclass(frozen=True)
class FewWeeks:
    """Too few whole weeks are on record for a date."""

    weeks: int


@dataclass(frozen=True)
class FewPieces:
    """Too few pieces are timed for a date."""

    pieces: int


@dataclass(frozen=True)
class NothingDone:
    """Nothing was done in the weeks that a date would rest on."""

    weeks: int


@dataclass(frozen=True)
class ClockDoubted:
    """The wall clock is not believed, so nothing is counted from today."""


TooShort = FewWeeks | FewPieces | NothingDone | ClockDoubted


@dataclass(frozen=True)
class Forecast:
    """Hours left and finish date for a scope. ``days`` is None when the record is too short to say."""

    scope: str
    whole: bool  # the aeroplane; else one kind with what it needs, and nothing else is worked on
    what_if: WhatIf
    made_on: date
    counted_from: date  # the newest day on record: today or yesterday
    parts: int
    open_parts: int
    steps_left: int
    hours: Spread
    days: Spread | None
    days_drawn: tuple[int, ...]  # sorted, one a trial, for the plot
    weeks_seen: int
    minutes_a_week: float
    scrap_percent: float
    helped_share: float  # of the work, 0 to 1, that a helper may do: 0 unless the what-if asks
    too_short: TooShort | None = None

    @property
    def nearly_last_day(self) -> int:
        """The days by which all but two trials in a hundred are done: where a plot may end."""
        return self.days_drawn[int(0.98 * (len(self.days_drawn) - 1))]

    def date_at(self, days: float) -> date:
        """The day so many days after the newest on record."""
        return self.counted_from + timedelta(days=round(days))


def forecast(
    context: Context, *, kind_id: str | None = None, what_if: WhatIf | None = None, trials: int = TRIALS
) -> Forecast:
    """The forecast for a part kind with all it needs, or for the aeroplane when ``kind_id`` is None.

    It is for the hands of the context's doer.
    """
    asked = (("", what_if or WhatIf()),)
    return forecast_table(context, asked, kind_id=kind_id, trials=trials)[0][1]


def forecast_table(
    context: Context,
    what_ifs: Sequence[tuple[str, WhatIf]],
    *,
    kind_id: str | None = None,
    trials: int = TRIALS,
) -> list[tuple[str, Forecast]]:
    """One forecast for each what-if, all with the same draws, so that they differ by the what-if alone."""
    shop, state = context.shop, context.state
    left = remaining(shop, state, scope_of(shop, kind_id))
    predictor = Predictor(context, forgetting=False)
    weeks = past_weeks(state.minutes_by_day, context.today)
    newest = newest_day(state.minutes_by_day, context.today)
    too_short = _too_short(state, weeks) if left.steps else None
    if left.steps and context.doubt is not None:
        too_short = ClockDoubted()
    longer = max(0.0, HALF_HOUR - TAKE_UP_MINUTES - predictor.closing(shop.file.put_away))
    seen, sound = _scrap(state)
    # The work depends on the scrap rate alone; what is drawn after it goes on from the same place.
    drawn: dict[float | None, tuple[list[float], object]] = {}
    table = []
    for name, what_if in what_ifs:
        random_numbers = random.Random(SEED)
        scrap = what_if.scrap_percent
        if scrap not in drawn:
            work = work_minutes(left, predictor, scrap, random_numbers, trials)
            drawn[scrap] = work, random_numbers.getstate()
        work, place = drawn[scrap]
        random_numbers.setstate(place)  # type: ignore[arg-type]
        helped = _helped_share(context, left) if what_if.helper_saturdays else 0.0
        days: list[int] = []
        if too_short is None and left.steps:
            extra = what_if.half_hours_a_week * longer
            days = days_to_finish(
                work, weeks, newest, random_numbers, extra_a_week=extra, helped_share=helped
            )
        made = Forecast(
            scope=shop.file.aeroplane.name if kind_id is None else shop.kinds[kind_id].name,
            whole=kind_id is None,
            what_if=what_if,
            made_on=context.today,
            counted_from=newest,
            parts=left.parts,
            open_parts=left.open_parts,
            steps_left=sum(one.pieces for one in left.steps),
            hours=spread([minutes / 60 for minutes in work]),
            days=spread(days) if days else None,
            days_drawn=tuple(sorted(days)),
            weeks_seen=len(weeks),
            minutes_a_week=sum(map(sum, weeks)) / len(weeks) if weeks else 0.0,
            scrap_percent=100 * seen / (seen + sound) if scrap is None else scrap,
            helped_share=helped,
            too_short=too_short,
        )
        table.append((name, made))
    return table


def _too_short(state: State, weeks: Sequence[Sequence[float]]) -> TooShort | None:
    if len(weeks) < FEWEST_WEEKS:
        return FewWeeks(len(weeks))
    seen = timed_pieces(state.times)
    if seen < FEWEST_PIECES:
        return FewPieces(seen)
    return None if any(map(sum, weeks)) else NothingDone(len(weeks))


# The work


def _scrap(state: State) -> tuple[float, float]:
    """Parts made again and parts found sound, the usual rate counted in: the shape of a beta distribution."""
    remade = sum(part.remade for part in state.parts.values())
    sound = sum(1 for part in state.parts.values() if part.completed_at is not None)
    return SCRAP_SEEN + remade, SCRAP_SOUND + sound


def work_minutes(
    left: Remaining,
    predictor: Predictor,
    scrap_percent: float | None,
    random_numbers: random.Random,
    trials: int,
) -> list[float]:
    """Simulated minutes of all the work left, one for each trial; None takes the record's own scrap rate."""
    # How far a step's estimate is out is one thing for all its kinds: their times go up and down together.
    by_step: dict[StepRef, list[tuple[Duration, int]]] = {}
    for work in left.steps:
        duration = predictor.piece(work.procedure, work.step, work.kind)
        by_step.setdefault(work.procedure.ref(work.step), []).append((duration, work.pieces))
    together = list(by_step.values())
    for again in left.set_ups:
        set_up = predictor.set_up(again.procedure, again.step)
        if set_up is not None:
            together.append([(set_up, again.times)])
    fixed = sum(again.times * again.step.minutes.put_away for again in left.set_ups)
    routes = [
        (
            open_parts,
            sum(predictor.piece(work.procedure, work.step, work.kind).median_minutes for work in route),
        )
        for open_parts, route in left.routes
    ]
    shop, state = predictor.context.shop, predictor.context.state
    bias_spread = BIAS_SPREAD / math.sqrt(BIAS_WEIGHT + learnt_weight(shop, state))
    scrap = _scrap(state)
    totals = []
    for _ in range(trials):
        shared = random_numbers.gauss(0.0, bias_spread)
        total = fixed
        for of_step in together:
            unknown = random_numbers.gauss(0.0, 1.0)
            total += sum(
                _draw(duration, count, shared, unknown, random_numbers) for duration, count in of_step
            )
        rate = random_numbers.betavariate(*scrap) if scrap_percent is None else scrap_percent / 100
        for open_parts, route_minutes in routes:
            total += _scrapped(open_parts, rate, random_numbers) * route_minutes * math.exp(shared)
        totals.append(total)
    return totals


def _draw(
    duration: Duration, pieces: int, shared: float, of_step: float, random_numbers: random.Random
) -> float:
    """Minutes of so many pieces: their unknown mean once, then their sum as that of lognormals.

    ``of_step`` is a normal draw for the step's own unknown mean, the same for all its kinds.
    """
    widening = math.sqrt(duration.degrees / random_numbers.gammavariate(duration.degrees / 2, 2.0))
    unknown = max(-WIDEST, min(WIDEST, of_step * widening))
    share = PRIOR_WEIGHT / (PRIOR_WEIGHT + duration.observed)  # what the shop's own bias still counts for
    mean = duration.location + share * shared + duration.scale * math.sqrt(duration.common) * unknown
    square = min(1.0, duration.scale**2 * (1 - duration.common) * widening**2)
    one = math.exp(mean + square / 2)
    wide = one * math.sqrt((math.exp(square) - 1) * pieces)
    if pieces < 3:
        return sum(math.exp(mean + math.sqrt(square) * random_numbers.gauss(0.0, 1.0)) for _ in range(pieces))
    return max(0.2 * one * pieces, one * pieces + wide * random_numbers.gauss(0.0, 1.0))


def _scrapped(parts: int, rate: float, random_numbers: random.Random) -> int:
    """How many parts have to be made again, remade ones of remade ones included."""
    if rate <= 0:
        return 0
    rate = min(rate, 0.9)
    found = 0
    for _ in range(parts):
        while random_numbers.random() < rate:
            found += 1
    return found


# The weeks


def newest_day(minutes_by_day: Mapping[str, float], today: date) -> date:
    """The day that the newest week ends on: today when something was done today, else yesterday."""
    return today if minutes_by_day.get(today.isoformat(), 0.0) > 0 else today - timedelta(days=1)


def past_weeks(minutes_by_day: Mapping[str, float], today: date) -> list[tuple[float, ...]]:
    """Active minutes of the last whole weeks, newest first, each as seven days in order.

    Weeks with nothing in them count, and the one in which the record begins does not unless it is whole.
    """
    last = newest_day(minutes_by_day, today)
    return weeks_to(minutes_by_day, last, whole_weeks(minutes_by_day, last))


def whole_weeks(minutes_by_day: Mapping[str, float], last: date) -> int:
    """How many whole weeks of the record end on ``last``, as many as tell something of now at most."""
    days = [date.fromisoformat(day) for day, minutes in minutes_by_day.items() if minutes > 0]
    first = min((day for day in days if day <= last), default=None)
    return 0 if first is None else min(MOST_WEEKS, ((last - first).days + 1) // WEEK)


def weeks_to(by_day: Mapping[str, float], last: date, count: int) -> list[tuple[float, ...]]:
    """So many weeks that end on ``last``, newest first, each as seven days in order."""
    ends = [last - timedelta(days=WEEK * number) for number in range(count)]
    return [
        tuple(by_day.get((end - timedelta(days=back)).isoformat(), 0.0) for back in range(WEEK - 1, -1, -1))
        for end in ends
    ]


class Rate:
    """How far the weeks to come may run faster or slower than those seen, all of them alike."""

    def __init__(self, minutes_by_week: Sequence[float]) -> None:
        count = len(minutes_by_week)
        mean = sum(minutes_by_week) / count
        square = sum((minutes - mean) ** 2 for minutes in minutes_by_week)
        self.degrees = max(1, count - 1)
        self.spread = math.sqrt(square / self.degrees / count) / mean if mean else 0.0

    def drawn(self, random_numbers: random.Random) -> float:
        """One draw: the exponential of a Student t for so few weeks."""
        normal = random_numbers.gauss(0.0, 1.0)
        draw = normal / math.sqrt(random_numbers.gammavariate(self.degrees / 2, 2.0) / self.degrees)
        return math.exp(max(-WIDEST, min(WIDEST, draw)) * self.spread)


def days_to_finish(
    work: Sequence[float],
    weeks: Sequence[Sequence[float]],
    newest: date,
    random_numbers: random.Random,
    *,
    extra_a_week: float = 0.0,
    helped_share: float = 0.0,
) -> list[int]:
    """Days from the newest day on record until each trial's minutes are done, 60 years at most.

    ``extra_a_week`` minutes are added to every week on its middle day. ``helped_share`` of the work may be
    done by a helper on Saturdays.
    """
    count = len(weeks)
    rate = Rate([sum(week) for week in weeks])
    # All weeks end on the same day of the week as the newest, so a week to come begins on the day after it.
    saturday = (SATURDAY - (newest + timedelta(days=1)).weekday()) % WEEK
    days = []
    for minutes in work:
        faster = rate.drawn(random_numbers)
        left, to_help, day = minutes, helped_share * minutes, 0
        while left > 0 and day < LONGEST_DAYS:
            week = weeks[random_numbers.randrange(count)]
            for place, of_day in enumerate(week):
                done = of_day * faster
                if place == WEEK // 2:
                    done += extra_a_week
                if to_help > 0 and place == saturday:
                    helped = min(to_help, HELPER_MINUTES / math.exp(HELPER_BIAS))
                    to_help -= helped
                    done += helped * (1 - LOOK_OVER_SHARE)
                left -= done
                day += 1
                if left <= 0:
                    break
        days.append(day)
    return days


def _helped_share(context: Context, left: Remaining) -> float:
    """The largest share of the minutes left that one of the shop's helpers may do beside the builder."""
    total = sum(work.pieces * work.step.minutes.each for work in left.steps)
    shares = [
        sum(work.pieces * work.step.minutes.each for work in left.steps if not may_not_do(beside, work.step))
        / total
        for helper in context.shop.file.people
        if helper.role == "helper" and total > 0
        for beside in [replace(context, people=(context.doer, helper), doer=helper)]
    ]
    return max(shares, default=0.0)


def spread(values: Sequence[float]) -> Spread:
    """Quantiles of simulated values; of none, nothing."""
    ordered = sorted(values) or [0.0]
    return Spread(*(quantile_of(ordered, share) for share in (0.1, 0.5, 0.8, 0.9, 0.95)))


def quantile_of(ordered: Sequence[float], share: float) -> float:
    """The value that so large a share of the ordered values does not pass."""
    return float(ordered[max(0, math.ceil(share * len(ordered)) - 1)])
