"""How many hours are left, and when it will be finished: the road ahead walked from today, trial by trial.

Each trial draws what is not known once (how far the estimates are out, how fast things go, what is made
again, the slots that this builder's rhythm brings, their breaks), then walks the road ahead sitting by
sitting as the kiosk's advice would (``walk.py``). What weighs most is drawn evenly spread over the trials
(Latin hypercube sampling: McKay, Beckman & Conover 1979, Technometrics 21), so that some tens of walks tell
what hundreds would.
"""

import math
import random
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from datetime import date, datetime, time, timedelta
from statistics import NormalDist

from kiosk.dataclass import dataclass
from kiosk.planning.forecast.pace import Pace
from kiosk.planning.forecast.remaining import remaining, scope_of, steps_to_do, timed_pieces
from kiosk.planning.forecast.rhythm import (
    SHORTEST_SLOT,
    Ahead,
    Break,
    Luck,
    Rhythm,
    able_to_lift,
    rhythm_of,
    sittings_of,
)
from kiosk.planning.forecast.road import held_up, road_of
from kiosk.planning.forecast.walk import DAY, Slot, Walk, Walked
from kiosk.planning.times.predictor import Predictor
from kiosk.record.authority import may_not_do, takes_two
from kiosk.record.context import Context
from kiosk.record.state import SittingSeen, State
from kiosk.record.usual_times import HELPER_BIAS
from kiosk.shop.procedure import Step

TRIALS = 32
SEED = 5
WEEK = 7
FEWEST_WEEKS = 4
FEWEST_PIECES = 10
LONGEST_AWAY_DAYS = 365
LONGEST_DAYS = 365 * 60
SCRAP_SEEN, SCRAP_SOUND = 0.5, 20.0  # parts scrapped and sound that the usual rate counts for
HELPER_MINUTES = 90.0  # of a helper's Saturday
LOOK_OVER_SHARE = 0.1  # of the helper's minutes that the builder spends looking over
USUAL_PARTS = 250  # a road of more is walked fewer times
FEWEST_TRIALS = 12
HOURS_TRIALS = 8  # where no date can be given
NIGHT_MINUTES = 240.0  # what is held so long is held until another day


Stop = Callable[[], bool]  # True once nobody waits for it any more: asked before each sitting of each walk


class Stopped(Exception):
    """A forecast that nobody waits for any more was given up."""


def never() -> bool:
    """For a forecast that is waited for to its end."""
    return False


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
class ShortSittings:
    """No sitting on record is long enough to do anything in."""


@dataclass(frozen=True)
class ClockDoubted:
    """The wall clock is not believed, so nothing is counted from today."""


TooShort = FewWeeks | FewPieces | NothingDone | ShortSittings | ClockDoubted


@dataclass(frozen=True)
class HeldUp:
    """A tool of which there are few, held over night by one piece after another."""

    tool: str
    have: int
    times: int  # one after the other
    days: int  # each time


@dataclass(frozen=True)
class LongWait:
    """A wait on the road of a day or more."""

    what: str
    days: float


@dataclass(frozen=True)
class TooLong:
    """Work that fitted into none of the sittings to come, and has to all the same."""

    kind: str
    step: str
    minutes: float


@dataclass(frozen=True)
class ToOrder:
    """What is used up or past its date before a new one can come, and how long that takes once it is
    ordered."""

    name: str
    days: int


@dataclass(frozen=True)
class TakesTwo:
    """Work that one pair of hands is not enough for."""

    pieces: int
    kind: str  # one with such work
    anybody: bool  # listed who may lend a hand; else somebody is taken to come
    with_another: float  # share of the sittings on record with such a person there


@dataclass(frozen=True)
class AsWeeks:
    """How the hours left become the weeks until the date that is as likely as not: the builder's hours at the
    bench, used or not, are spread over the weeks without those of breaks."""

    at_bench_hours: float
    weeks: float
    away_weeks: float  # of them

    @property
    def hours_a_week(self) -> float:
        """At the bench, in weeks without a break, as they are expected."""
        return self.at_bench_hours / max(1 / WEEK, self.weeks - self.away_weeks)


@dataclass(frozen=True)
class Largest:
    """The kind with most hours left, by its share of the estimates."""

    kind: str
    hours: float


@dataclass(frozen=True)
class Forecast:
    """Hours left and finish date for a scope. ``days`` is None when the record is too short to say.

    For one kind with what it needs, ``days`` are those when nothing else is worked on, and ``along`` those
    when it is worked along with all the rest. ``kinds`` has the latter of each kind, for the whole.
    """

    scope: str
    whole: bool  # the aeroplane; else one kind with what it needs
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
    minutes_a_week: float  # at the bench, in season, as it goes now
    scrap_percent: float
    helped_share: float  # of the work, 0 to 1, that a helper may do: 0 unless the what-if asks
    too_short: TooShort | None = None
    along: Spread | None = None
    kinds: Mapping[str, Spread] = field(default_factory=dict)
    breaks: tuple[Break, ...] = ()  # on record
    away_since: date | None = None  # of the break that holds now
    idle_sittings: float = 0.0  # to come, in the mean, in which there is nothing to do but to wait
    held_up: tuple[HeldUp, ...] = ()
    long_wait: LongWait | None = None
    too_long: TooLong | None = None
    to_order: tuple[ToOrder, ...] = ()
    takes_two: TakesTwo | None = None
    as_weeks: AsWeeks | None = None  # with a date only
    largest: Largest | None = None  # of several kinds
    minutes_a_week_with_breaks: float = 0.0  # at the bench, over all weeks on record

    @property
    def nearly_last_day(self) -> int:
        """The days by which all but two trials in a hundred are done: where a plot may end."""
        return self.days_drawn[int(0.98 * (len(self.days_drawn) - 1))]

    def date_at(self, days: float) -> date:
        """The day so many days after the newest on record."""
        return self.counted_from + timedelta(days=round(days))


def forecast(
    context: Context,
    *,
    kind_id: str | None = None,
    what_if: WhatIf | None = None,
    trials: int = TRIALS,
    stopped: Stop = never,
) -> Forecast:
    """The forecast for a part kind with all it needs, or for the aeroplane when ``kind_id`` is None.

    It is for the hands of the context's doer. Raises Stopped once ``stopped`` says so.
    """
    asked = (("", what_if or WhatIf()),)
    return forecast_table(context, asked, kind_id=kind_id, trials=trials, stopped=stopped)[0][1]


def forecast_table(
    context: Context,
    what_ifs: Sequence[tuple[str, WhatIf]],
    *,
    kind_id: str | None = None,
    trials: int = TRIALS,
    stopped: Stop = never,
) -> list[tuple[str, Forecast]]:
    """One forecast for each what-if, all with the same draws, so that they differ by the what-if alone.

    All but the first are walked half as often, and set by what the first comes to on that half. Raises
    Stopped once ``stopped`` says so.
    """
    ahead = _Ahead(context, kind_id, trials, stopped)
    table = [(name, ahead.forecast(what_if)) for name, what_if in what_ifs[:1]]
    if what_ifs[1:]:
        on_half = ahead.half_of(table[0][1])
        table += [(name, ahead.forecast(what_if, on_half)) for name, what_if in what_ifs[1:]]
    if kind_id is not None and table[0][1].days is not None:
        name, first = table[0]
        rest = _Ahead(context, None, trials, stopped).forecast(first.what_if)
        table[0] = (name, replace(first, along=rest.kinds.get(kind_id)))
    return table


class _Ahead:
    """What lies ahead for one scope, and the walks along it."""

    def __init__(self, context: Context, kind_id: str | None, trials: int, stopped: Stop) -> None:
        self.context, self.kind_id, self.stopped = context, kind_id, stopped
        shop, state = context.shop, context.state
        self.newest = newest_day(state, context.today)
        begins = self.newest + timedelta(days=1)
        self.left = remaining(context, scope_of(shop, kind_id))
        midnight = datetime.combine(begins, time()).astimezone()
        self.road = road_of(context, self.left, (context.now - midnight).total_seconds() / 60)
        self.pace = Pace(self.road, Predictor(context, forgetting=False))
        self.rhythm = rhythm_of(sittings_of(state, begins), begins)
        self.too_short = self._too_short() if self.left.steps else None
        self.trials = trials
        if self.left.open_parts > USUAL_PARTS:
            few = min(trials, FEWEST_TRIALS)
            self.trials = max(few, trials * USUAL_PARTS // self.left.open_parts)
        if self.too_short is not None:
            self.trials = min(max(4, trials // 4), HOURS_TRIALS)
        self._days_of_first: list[int] = []
        self._without_dates: dict[float | None, list[Walked]] = {}
        self.scrap = _scrap(state)

    @property
    def weeks(self) -> int:
        """Whole weeks of the record."""
        return 0 if self.rhythm is None else ((self.newest - self.rhythm.first).days + 1) // WEEK

    def _too_short(self) -> TooShort | None:
        if self.context.doubt is not None:
            return ClockDoubted()
        if self.rhythm is None or self.weeks < FEWEST_WEEKS:
            return FewWeeks(self.weeks)
        seen = timed_pieces(self.context.state.times)
        if seen < FEWEST_PIECES:
            return FewPieces(seen)
        if all(one.minutes < SHORTEST_SLOT for _, of, _ in self.rhythm.days for one in of):
            return ShortSittings()
        away = self.rhythm.days_away
        return NothingDone(away // WEEK) if away > LONGEST_AWAY_DAYS else None

    def half_of(self, first: Forecast) -> float:
        """How many times as many days the first forecast says as half of its trials do."""
        half = self._days_of_first[: (self.trials + 1) // 2]
        return first.days.p50 / spread(half).p50 if first.days is not None and half else 1.0

    def forecast(self, what_if: WhatIf, on_half: float | None = None) -> Forecast:
        """The forecast under one assumption; where ``on_half`` is given, from half of the trials, its days so
        many times as many."""
        shop = self.context.shop
        share, helps = self._helper() if what_if.helper_saturdays else (0.0, [False] * len(self.road.points))
        walks = []
        if self.left.steps and self.too_short is None:
            walks = self._walks(what_if, helps, self.trials if on_half is None else (self.trials + 1) // 2)
        elif self.left.steps:  # the hours follow from the scrap rate alone
            scrap = what_if.scrap_percent
            if scrap not in self._without_dates:
                self._without_dates[scrap] = self._walks(WhatIf(scrap_percent=scrap), helps)
            walks = self._without_dates[scrap]
        dated = self.too_short is None and bool(walks)
        days = [_day_of(walk.finished) for walk in walks] if dated else []
        if on_half is None:
            self._days_of_first = days
        days = sorted(round(one * (on_half or 1.0)) for one in days)
        seen, sound = self.scrap
        scrap = what_if.scrap_percent
        rhythm = self.rhythm
        hours = spread([walk.minutes / 60 for walk in walks])
        likely = spread(days) if days else None
        return Forecast(
            scope=shop.file.aeroplane.name if self.kind_id is None else shop.kinds[self.kind_id].name,
            whole=self.kind_id is None,
            what_if=what_if,
            made_on=self.context.today,
            counted_from=self.newest,
            parts=self.left.parts,
            open_parts=self.left.open_parts,
            steps_left=self.left.steps,
            hours=hours,
            days=likely,
            days_drawn=tuple(days),
            weeks_seen=self.weeks,
            minutes_a_week=rhythm.minutes_a_week if rhythm is not None else 0.0,
            scrap_percent=100 * seen / (seen + sound) if scrap is None else scrap,
            helped_share=share,
            too_short=self.too_short,
            kinds=self._kinds(walks) if dated else {},
            breaks=rhythm.breaks if rhythm is not None else (),
            away_since=rhythm.away_since if rhythm is not None else None,
            idle_sittings=sum(walk.idle for walk in walks) / max(1, len(walks)),
            held_up=self._held_up(),
            long_wait=self._long_wait(),
            too_long=self._too_long(walks),
            to_order=self._to_order(),
            takes_two=self._takes_two(),
            as_weeks=_as_weeks(walks, hours, likely) if likely is not None else None,
            largest=self._largest(hours),
            minutes_a_week_with_breaks=rhythm.minutes_a_week_with_breaks if rhythm is not None else 0.0,
        )

    def _kinds(self, walks: Sequence[Walked]) -> dict[str, Spread]:
        return {
            kind: spread([_day_of(walk.kinds_finished[place]) for walk in walks])
            for place, kind in enumerate(self.road.kinds)
        }

    # The walks

    def _walks(self, what_if: WhatIf, helps: Sequence[bool], trials: int | None = None) -> list[Walked]:
        rhythm = self.rhythm if self.rhythm is not None else usual_rhythm(self.newest + timedelta(days=1))
        ahead = Ahead(rhythm, self.context.shop)
        helper = HELPER_MINUTES / math.exp(HELPER_BIAS) * (1 - LOOK_OVER_SHARE) if any(helps) else 0.0
        draws = list(_evenly(3, self.trials))[:trials]
        walks = []
        for number, (shared, level, trend) in enumerate(draws):
            of_pace = random.Random(f"{SEED} pace {number}")
            minutes = self.pace.drawn(shared, of_pace)
            rate = of_pace.betavariate(*self.scrap)
            if what_if.scrap_percent is not None:
                rate = what_if.scrap_percent / 100
            of_scrap = random.Random(f"{SEED} scrap {number}")
            again = [_scrapped(count, rate, of_scrap) for count in self.road.wanted]
            slots = ahead.slots(
                Luck(level, trend),
                random.Random(f"{SEED} rhythm {number}"),
                what_if.half_hours_a_week,
                helper,
            )
            walks.append(
                Walk(self.road, minutes, again, helps, number).along(_until_never(slots, self.stopped))
            )
        return walks

    # What holds it up

    def _held_up(self) -> tuple[HeldUp, ...]:
        return tuple(
            HeldUp(tool.name, tool.have, tool.rounds, max(1, math.ceil(tool.held_minutes / DAY)))
            for tool in held_up(self.road)
            if tool.held_minutes >= NIGHT_MINUTES
        )

    def _long_wait(self) -> LongWait | None:
        longest = max(
            (
                (wait.minutes, wait.what)
                for work in steps_to_do(self.context.shop, self.left)
                for wait in work.step.waits
                if wait.must_pass is not None and not isinstance(wait.written, str)
            ),
            default=(0.0, ""),
        )
        return LongWait(longest[1], longest[0] / DAY) if longest[0] >= DAY else None

    def _to_order(self) -> tuple[ToOrder, ...]:
        to_do = {
            (work.kind, work.procedure.ref(work.step)) for work in steps_to_do(self.context.shop, self.left)
        }
        used = {
            place
            for point in self.road.points
            if (point.kind_id, point.procedure.ref(point.step)) in to_do
            for place, _ in point.supplies
        }
        short = (self.road.supplies[place] for place in sorted(used))
        return tuple(ToOrder(one.name, round(one.lead_minutes / DAY)) for one in short if one.is_short)

    def _takes_two(self) -> TakesTwo | None:
        shop = self.context.shop
        found = [one for one in steps_to_do(shop, self.left) if takes_two(self.context, one.step)]
        if not found:
            return None
        able = able_to_lift(shop, self.context.today)
        days = self.rhythm.days if self.rhythm is not None else ()
        seen = [not able.isdisjoint(one.people) for _, of, _ in days for one in of]
        share = sum(seen) / len(seen) if seen else 0.0
        return TakesTwo(sum(one.pieces for one in found), shop.kinds[found[0].kind].name, bool(able), share)

    def _largest(self, hours: Spread) -> Largest | None:
        minutes: dict[str, float] = defaultdict(float)
        for work in steps_to_do(self.context.shop, self.left):
            minutes[work.kind] += work.pieces * work.step.minutes.each
        total = sum(minutes.values())
        if len(minutes) < 2 or total <= 0:
            return None
        kind = max(minutes, key=lambda one: minutes[one])
        return Largest(self.context.shop.kinds[kind].name, hours.p50 * minutes[kind] / total)

    def _too_long(self, walks: Sequence[Walked]) -> TooLong | None:
        found = [walk.too_long for walk in walks if walk.too_long is not None]
        if len(found) * 2 < len(walks) or not found:
            return None
        point = self.road.points[max(set(found), key=found.count)]
        stretch = self.road.points[point.number : point.last + 1]
        minutes = sum(one.step.minutes.each for one in stretch) + point.sat_out
        return TooLong(self.context.shop.kinds[point.kind_id].name, point.step.do, minutes)

    def _helper(self) -> tuple[float, list[bool]]:
        """The largest share of the minutes left that one of the shop's helpers may do beside the builder, and
        which stretches these are."""
        context = self.context
        works = steps_to_do(context.shop, self.left)
        total = sum(work.pieces * work.step.minutes.each for work in works)
        best = 0.0, [False] * len(self.road.points)
        for helper in context.shop.file.people:
            if helper.role != "helper" or total <= 0:
                continue
            beside = replace(context, people=(context.doer, helper), doer=helper)

            def may(step: Step, beside: Context = beside) -> bool:
                return not may_not_do(beside, step)

            share = sum(work.pieces * work.step.minutes.each for work in works if may(work.step)) / total
            if share > best[0]:
                able = [may(point.step) for point in self.road.points]
                best = (
                    share,
                    [all(able[point.number : point.last + 1]) for point in self.road.points],
                )
        return best


def _as_weeks(walks: Sequence[Walked], hours: Spread, days: Spread) -> AsWeeks:
    """In the mean of all walks, set by what is as likely as not, so that the figures shown add up."""
    worked = sum(walk.minutes for walk in walks)
    over = sum(walk.finished for walk in walks) / DAY
    return AsWeeks(
        at_bench_hours=hours.p50 * sum(walk.at_bench for walk in walks) / max(1.0, worked),
        weeks=days.p50 / WEEK,
        away_weeks=days.p50 / WEEK * min(1.0, sum(walk.away_days for walk in walks) / max(1.0, over)),
    )


def usual_rhythm(begins: date) -> Rhythm:
    """Three evenings of three quarters of an hour a week, where nothing is known: for the hours alone."""
    evening = (0, (SittingSeen(19 * 60.0, 45.0, True, said=True),), 1.0)
    return Rhythm(begins, begins, (evening,), (3 / 7,) * WEEK, 0.0, 0.0, 0.0, 0.0, 1.0, (), None, 1.0)


def _until_never(slots: Iterator[Slot], stopped: Stop) -> Iterator[Slot]:
    """Slots of sixty years. Raises Stopped as soon as nobody waits for the walk along them."""
    for slot in slots:
        if stopped():
            raise Stopped
        yield slot
        if slot.begins > LONGEST_DAYS * DAY:
            return


def _day_of(minutes: float) -> int:
    """Days from the newest day on record to the one on which so many minutes have passed since its end."""
    return min(LONGEST_DAYS, math.floor(minutes / DAY) + 1)


def _evenly(draws: int, trials: int) -> Iterator[tuple[float, ...]]:
    """Standard normal draws, each spread evenly over both halves of the trials and put in an order of its
    own."""
    random_numbers = random.Random(SEED)
    normal = NormalDist()
    first = (trials + 1) // 2
    for half in (first, trials - first):
        columns = []
        for _ in range(draws):
            places = ((place + random_numbers.uniform(0.1, 0.9)) / half for place in range(half))
            column = [normal.inv_cdf(place) for place in places]
            random_numbers.shuffle(column)
            columns.append(column)
        yield from zip(*columns, strict=True)


def _scrap(state: State) -> tuple[float, float]:
    """Parts made again and parts found sound, the usual rate counted in: the shape of a beta distribution."""
    remade = sum(part.remade for part in state.parts.values())
    sound = sum(1 for part in state.parts.values() if part.completed_at is not None)
    return SCRAP_SEEN + remade, SCRAP_SOUND + sound


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


def newest_day(state: State, today: date) -> date:
    """The newest day that is over: today when something was done today, else yesterday."""
    day = today.isoformat()
    done = state.minutes_by_day.get(day, 0.0) > 0 or day in state.sittings_by_day
    return today if done else today - timedelta(days=1)


def spread(values: Sequence[float]) -> Spread:
    """Quantiles of simulated values; of none, nothing."""
    ordered = sorted(values) or [0.0]
    return Spread(*(quantile_of(ordered, share) for share in (0.1, 0.5, 0.8, 0.9, 0.95)))


def quantile_of(ordered: Sequence[float], share: float) -> float:
    """The value that so large a share does not pass, between those drawn: of n, the k-th lies at k/(n+1)."""
    at = share * (len(ordered) + 1) - 1
    low = max(0, min(len(ordered) - 1, math.floor(at)))
    high = min(len(ordered) - 1, low + 1)
    between = min(1.0, max(0.0, at - low))
    return float(ordered[low] + (ordered[high] - ordered[low]) * between)
