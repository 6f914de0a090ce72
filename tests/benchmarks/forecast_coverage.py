"""Benchmark, run by hand: how often finish dates and hours came as forecast, in whole simulated builds.

    python -m tests.benchmarks.forecast_coverage --builds 30 --keep ../recorded
    python -m tests.benchmarks.forecast_coverage --road --policies kiosk --builds 6 --keep ../recorded

Builds are simulated once, by the real bench with one way of choosing (``whole_builds/``), and kept in a
folder with the states in their middle. From each state the forecast is made as on that day. ``fifths`` are
how many came in each fifth of the days drawn: alike where spread and middle are right (probability integral
transform: Dawid 1984, Journal of the Royal Statistical Society A 147). ``held as advised`` is for the day on
which the same builder would have been done by the advice, in the same evenings: the forecast's own road, so
that what parts it from ``date held`` is the way of choosing. ``--road`` holds the road alone against them:
the same evenings and the same true times on average, so that only the order, the waits and what fits are
tested. Beside that road nothing of the truth is the forecast's own code.
"""

import argparse
import math
import statistics
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from kiosk.planning.forecast.pace import TrialMinutes
from kiosk.planning.forecast.remaining import remaining, scope_of
from kiosk.planning.forecast.rhythm import quiet_minutes
from kiosk.planning.forecast.road import Road, road_of
from kiosk.planning.forecast.simulation import Forecast, forecast
from kiosk.planning.forecast.walk import Slot, Walk, Walked
from kiosk.record.context import Context
from kiosk.record.state import State
from kiosk.shop.load import load_shop
from kiosk.shop.shop import Shop
from tests.benchmarks.whole_builds.evenings import START
from tests.benchmarks.whole_builds.random_numbers import random_of
from tests.benchmarks.whole_builds.recorded import SHARES, Moment, RecordedBuild, recorded
from tests.benchmarks.whole_builds.rhythms import RHYTHMS
from tests.benchmarks.whole_builds.truth import (
    CLOSING_MINUTES,
    LEARNING_SLOPE,
    MOST_REPEATS,
    PIECE_SPREAD,
    STEP_SPREAD,
    Truth,
)
from tests.benchmarks.whole_builds.worlds import WORLDS, shop_folder_of

DAY = timedelta(days=1)


@dataclass
class Tally:
    """What came of the forecasts of one rhythm at one share."""

    asked: int = 0
    held: list[bool] = field(default_factory=list)
    early: list[bool] = field(default_factory=list)  # finished before the interval
    middle: list[float] = field(default_factory=list)  # days said as likely as not, over those that it took
    width: list[float] = field(default_factory=list)
    hours_held: list[bool] = field(default_factory=list)
    kinds_held: list[bool] = field(default_factory=list)
    fifths: list[int] = field(default_factory=lambda: [0] * 5)
    as_advised: list[bool] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)

    def add(self, build: RecordedBuild, moment: Moment, one: Forecast, advised: Walked) -> None:
        """Hold one forecast against what came, and against the way that the advice would have gone."""
        self.asked += 1
        if one.days is None:
            return
        took = _days(one, build.finished)
        low, high = math.floor(one.days.p10), math.ceil(one.days.p90)
        self.held.append(low <= took <= high)
        below = sum(days < took for days in one.days_drawn) + sum(days <= took for days in one.days_drawn)
        self.fifths[min(4, 5 * below // (2 * len(one.days_drawn)))] += 1
        end = START + timedelta(minutes=advised.finished)
        self.as_advised.append(low <= _days(one, end) <= high)
        self.early.append(took < low)
        self.middle.append(one.days.p50 / max(1, took))
        self.width.append((high - low) / max(1, took))
        hours = (build.minutes - moment.minutes) / 60
        self.hours_held.append(one.hours.p10 <= hours <= one.hours.p90)
        for kind, spread in one.kinds.items():
            if kind in build.kinds_finished:
                came = _days(one, build.kinds_finished[kind])
                self.kinds_held.append(math.floor(spread.p10) <= came <= math.ceil(spread.p90))

    def row(self) -> str:
        """One row of the table."""
        if not self.held:
            return f"0 of {self.asked} | – | – | – | – | – | – | – | – | –"
        mean = statistics.fmean
        return " | ".join(
            [
                f"{len(self.held)} of {self.asked}",
                f"{mean(self.held):.2f}",
                f"{mean(self.as_advised):.2f}",
                f"{mean(self.early):.2f}",
                " ".join(map(str, self.fifths)),
                f"{math.exp(mean(math.log(one) for one in self.middle)):.2f}",
                f"{statistics.median(self.width):.2f}",
                f"{mean(self.hours_held):.2f}",
                f"{mean(self.kinds_held):.2f}" if self.kinds_held else "–",
                f"{mean(self.seconds):.2f}",
            ]
        )


def _days(one: Forecast, end: datetime) -> int:
    return (end.astimezone().date() - one.counted_from).days


def at_the_bench(shop: Shop, state: State, at: datetime) -> Context:
    """The builder alone at that moment."""
    builder = next(one for one in shop.file.people if one.role == "builder")
    return Context(shop, state, at, 0.0, "", [builder], builder)


def coverage(builds: Sequence[RecordedBuild], shops: Callable[[str], Shop], trials: int) -> Iterator[str]:
    """The table of how many came as said."""
    tallies: dict[tuple[str, str, str], Tally] = {}
    for build in builds:
        for moment in build.moments:
            tally = tallies.setdefault((build.policy, build.rhythm, moment.name), Tally())
            began = time.process_time()
            one = forecast(at_the_bench(shops(build.world), moment.unpacked(), moment.at), trials=trials)
            tally.seconds.append(time.process_time() - began)
            tally.add(build, moment, one, walked_as_advised(build, moment, shops(build.world)))
    yield (
        "| builds by | rhythm | at | dated | date held | held as advised | sooner than said | fifths"
        " | middle over true | width over true | hours held | kinds held | CPU s |"
    )
    yield "|---|---|---|---|---|---|---|---|---|---|---|---|---|"
    for (policy_name, rhythm, name), tally in sorted(tallies.items()):
        yield f"| {policy_name} | {rhythm} | {name} | {tally.row()} |"


# The road alone


def true_minutes(road: Road, shop: Shop, seed: int, done: Counter[str]) -> TrialMinutes:
    """What everything takes in the mean in a build, as :class:`Truth` has it; ``done`` are pieces done."""
    truth = Truth(seed)
    pieces: Counter[str] = Counter()
    standing = 0
    for point in road.points:
        standing = 0 if point.number == road.first[point.kind] else standing
        standing += road.ready[point.number] + sum(1 for _, at in road.waits if at == point.number)
        pieces[f"{point.procedure.id}/{point.step.id}"] += standing
    each = []
    of_piece = math.exp(PIECE_SPREAD**2 / 2)
    for point in road.points:
        key = f"{point.procedure.id}/{point.step.id}"
        own = random_of("step", seed, key).gauss(0, STEP_SPREAD)
        repeats = range(done[key] + 1, done[key] + pieces[key] + 1)
        practice = sum(min(MOST_REPEATS, one) ** LEARNING_SLOPE for one in repeats) / max(1, len(repeats))
        each.append(point.step.minutes.each * math.exp(truth.bias + own) * of_piece * practice)
    slower = math.exp(truth.bias) * of_piece
    return TrialMinutes(
        each,
        [point.step.minutes.set_up * slower for point in road.points],
        [point.step.minutes.put_away * slower for point in road.points],
        CLOSING_MINUTES * slower,
    )


def pieces_done(shop: Shop, state: State) -> Counter[str]:
    """How many pieces of each step are done."""
    found: Counter[str] = Counter()
    for part in state.parts.values():
        for procedure, steps in part.passes.items():
            found.update(f"{procedure}/{step}" for step in steps)
    return found


def slots_of(shop: Shop, rhythm: str, seed: int, after: datetime) -> Iterator[Slot]:
    """The evenings of a build, as the walk takes them: in minutes from the start."""
    quiet = quiet_minutes(shop)
    for slot in RHYTHMS[rhythm](seed):
        if slot.start <= after:
            continue
        at = slot.start.astimezone()
        of_day = at.hour * 60 + at.minute
        starts = [start - of_day for start, _ in quiet[at.weekday()] if start > of_day]
        now = any(start <= of_day < end for start, end in quiet[at.weekday()])
        yield Slot(_minutes(slot.start), slot.minutes, 0.0 if now else min(starts, default=math.inf))


def _minutes(at: datetime) -> float:
    return (at - START).total_seconds() / 60


def walked_as_advised(build: RecordedBuild, moment: Moment, shop: Shop) -> Walked:
    """The road from a moment in the build's own evenings, each thing as long as it takes in the mean."""
    state = moment.unpacked() if moment.state else State()
    context = at_the_bench(shop, state, moment.at)
    road = road_of(context, remaining(context, scope_of(shop, None)), _minutes(moment.at))
    minutes = true_minutes(road, shop, build.seed, pieces_done(shop, state))
    walk = Walk(road, minutes, [0] * len(road.kinds), [False] * len(road.points), build.seed)
    return walk.along(slots_of(shop, build.rhythm, build.seed, moment.at))


def road_table(builds: Sequence[RecordedBuild], shops: Callable[[str], Shop]) -> Iterator[str]:
    """Days and hours that the walk took, over those of the build: by share done."""
    found: dict[tuple[str, str, str], list[tuple[float, float]]] = {}
    for build in builds:
        shop = shops(build.world)
        start = Moment("0", START, 0.0, b"")
        for moment in (start, *(one for one in build.moments if one.name in {f"{s:g}" for s in SHARES})):
            walked = walked_as_advised(build, moment, shop)
            ratios = (
                (walked.finished - _minutes(moment.at)) / ((build.finished - moment.at) / DAY * 1440),
                walked.minutes / (build.minutes - moment.minutes),
            )
            found.setdefault((build.policy, build.rhythm, moment.name), []).append(ratios)
    yield "| builds by | rhythm | at | builds | days over true | hours over true |"
    yield "|---|---|---|---|---|---|"
    for (policy_name, rhythm, name), rows in sorted(found.items()):
        cells = [_mean_and_spread(column) for column in zip(*rows, strict=True)]
        yield f"| {policy_name} | {rhythm} | {name} | {len(rows)} | {' | '.join(cells)} |"


def _mean_and_spread(values: Sequence[float]) -> str:
    spread = f" ± {statistics.stdev(values):.2f}" if len(values) > 1 else ""
    return f"{statistics.fmean(values):.2f}{spread}"


def main() -> None:
    """Simulate or read the builds, and print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--world", default="b", choices=list(WORLDS))
    parser.add_argument("--policies", default="thumb", help="who chose: kiosk, thumb")
    parser.add_argument("--rhythms", default="all", help=",".join(RHYTHMS))
    parser.add_argument("--builds", type=int, default=10, help="how many of each rhythm")
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--trials", type=int, default=40)
    parser.add_argument("--keep", type=Path, help="a folder for the builds, and to take up those there")
    parser.add_argument("--road", action="store_true", help="hold the road alone against the builds")
    asked = parser.parse_args()
    rhythms = list(RHYTHMS) if asked.rhythms == "all" else asked.rhythms.split(",")
    known: dict[str, Shop] = {}

    def shop_of(world: str) -> Shop:
        if world not in known:
            with shop_folder_of(WORLDS[world]) as folder:
                known[world] = load_shop(folder)
        return known[world]

    with tempfile.TemporaryDirectory() as own:
        builds = [
            build
            for policy_name in asked.policies.split(",")
            for rhythm in rhythms
            for seed in range(asked.first_seed, asked.first_seed + asked.builds)
            if (build := recorded(asked.keep or Path(own), asked.world, policy_name, rhythm, seed))
        ]
    lines = road_table(builds, shop_of) if asked.road else coverage(builds, shop_of, asked.trials)
    for line in lines:
        print(line, flush=True)


if __name__ == "__main__":
    main()
