"""Simulated builders whose true times are known: what was predicted of each time before it was seen.

The world is that of the trial the advice is measured in: a builder's times lie 15 % over the estimates in
the middle, spread .2 between builders and .2 between steps on the log scale, with .3 from piece to piece, .1
from evening to evening and a learning curve of 95 %. No published data; the numbers are our own.
"""

import functools
import math
import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from statistics import NormalDist

from kiosk.planning.times.durations import Duration
from kiosk.planning.times.predictor import Predictor
from kiosk.record import events as e
from kiosk.record.apply import apply
from kiosk.record.state import State
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.shop import Shop
from tests.record.moments import brambling, builder, helper, moment, step, with_steps

STATED = (0.1, 0.5, 0.8, 0.9)
FIRST = datetime(2027, 1, 4, 18, tzinfo=UTC)
CLOSING = 2.0
PACES = NormalDist(math.log(1.15), 0.2)
# Steps with minutes to set up, each, to put away; two to a family.
STEPS = (
    ("saw", "saws", 5, 12, 5),
    ("trim", "saws", 5, 4, 5),
    ("drill", "press", 3, 6, 2),
    ("ream", "press", 3, 2, 2),
    ("form", "blocks", 4, 9, 3),
    ("flute", "blocks", 4, 5, 3),
)


@functools.cache
def life_shop() -> Shop:
    """A shop whose one procedure has the steps above."""
    shop, _ = with_steps(
        brambling(),
        "form-block",
        *(
            step(
                id=name,
                family=family,
                minutes={"set_up": str(set_up), "each": str(each), "put_away": str(away)},
            )
            for name, family, set_up, each, away in STEPS
        ),
    )
    return shop


@dataclass(frozen=True)
class Habits:
    """How somebody works: pieces a sitting, how often a timer is forgotten, and a bench left open."""

    pieces: tuple[int, ...] = (1, 2, 3, 4)
    forgotten: float = 0.0
    left_open: float = 0.0
    steps_a_sitting: tuple[int, ...] = (1, 2)


@dataclass(frozen=True)
class Seen:
    """A time that came, what was predicted of it, and how many such had been seen."""

    what: str
    person: str
    predicted: Duration
    minutes: float
    before: int

    @property
    def rank(self) -> float:
        """Where it lies in what was predicted: even over 0 to 1 when stated chances come true."""
        return self.predicted.chance_within(self.minutes)


class Life:
    """One builder, with or without a helper, through some sittings."""

    def __init__(
        self, seed: int, over: float = 0.0, *, helper_factor: float | None = None, noise: float = 0.3
    ) -> None:
        """``over`` is how far the builder's times lie over the estimates, on the log scale."""
        self.random_numbers = random.Random(seed)
        self.shop = life_shop()
        self.procedure: Procedure = self.shop.procedures["form-block"]
        self.state = State()
        self.noise = noise
        self.helper_factor = helper_factor
        self.over = over
        names = [one.id for one in self.procedure.steps]
        families = sorted({str(self.procedure.family_of(one)) for one in self.procedure.steps})
        self.own = {name: self.random_numbers.gauss(0, 0.2) for name in (*names, *families)}
        self.done: Counter[tuple[str, str]] = Counter()
        self.evening = 0.0
        self.now = FIRST
        self.count_s = 100.0

    def drawn(self, estimate: float, own: float, person: str) -> float:
        """A true time."""
        slower = self.helper_factor if person == "pip" and self.helper_factor else 1.0
        noise = self.random_numbers.gauss(0, self.noise)
        return estimate * slower * math.exp(self.over + own + self.evening + noise)

    def predictor(self, person: str) -> Predictor:
        """What is predicted for somebody now."""
        both = (builder(), helper())
        doer = both[0] if person == "wren" else both[1]
        context = moment(*both, state=self.state, now=self.now, shop=self.shop)
        return Predictor(replace(context, doer=doer))

    def happens(self, body: e.AnyBody, person: str) -> None:
        """The record takes it in."""
        number = self.state.seq + 1
        apply(self.state, e.Event(number, f"e{number}", self.now, self.count_s, "run", person, body))

    def go(self, minutes: float) -> None:
        """Time passes."""
        self.now += timedelta(minutes=minutes)
        self.count_s += minutes * 60

    def step(self, name: str) -> Step:
        """One of the steps."""
        return next(one for one in self.procedure.steps if one.id == name)

    def piece(self, name: str, person: str = "wren") -> Duration:
        """What is predicted of the next piece at a step."""
        return self.predictor(person).piece(self.procedure, self.step(name), "block-nose")

    def do(self, name: str, minutes: float, person: str = "wren", *, family: str = "") -> None:
        """One piece at a step; with its family, it is set up for the first."""
        one = self.step(name)
        self.go(minutes)
        self.happens(
            e.StepFinished(
                work="w",
                marks=("FB-NR",),
                procedure="form-block",
                revision="1",
                step=one.id,
                active_s=minutes * 60,
                family=family,
                set_up_minutes=one.minutes.set_up if family else 0.0,
                each_minutes=one.minutes.each,
                put_away_minutes=one.minutes.put_away if family else 0.0,
                day=self.now.date().isoformat(),
            ),
            person,
        )

    def sitting(self, habits: Habits, person: str = "wren") -> Iterator[Seen]:
        """A sitting, and each time in it with what was predicted before it."""
        numbers = self.random_numbers
        self.evening = numbers.gauss(0, 0.1)
        self.happens(e.SittingOpened(people=("wren", "pip")), person)
        predictor = self.predictor(person)
        out: dict[str, Step] = {}
        for one in numbers.sample(self.procedure.steps, numbers.choice(habits.steps_a_sitting)):
            for _ in range(numbers.choice(habits.pieces)):
                minutes = 0.0
                family = str(self.procedure.family_of(one))
                if family not in out:
                    out[family] = one
                    predicted = predictor.set_up(self.procedure, one)
                    assert predicted is not None
                    took = self.drawn(one.minutes.set_up, 0.0, person)
                    yield Seen("set-up", person, predicted, took, predicted.observed)
                    minutes += took
                yield self._piece(one, person)
                minutes += self._took
                if numbers.random() < habits.forgotten:
                    minutes += 150
                self.do(one.id, minutes, person, family=family)
        yield from self._closed(habits, out, person)
        self.go(60 * 24 * 2)

    def _piece(self, one: Step, person: str) -> Seen:
        key = (one.id, person)
        self.done[key] += 1
        curve = min(10, self.done[key]) ** (math.log(0.95) / math.log(2))
        self._took = curve * self.drawn(one.minutes.each, self.own[one.id], person)
        predicted = self.predictor(person).piece(self.procedure, one, "block-nose")
        return Seen("piece", person, predicted, self._took, predicted.observed)

    def _closed(self, habits: Habits, out: dict[str, Step], person: str) -> Iterator[Seen]:
        predictor = self.predictor(person)
        total = 0.0
        for one in out.values():
            predicted = predictor.put_away(self.procedure, one)
            assert predicted is not None
            took = self.drawn(one.minutes.put_away, 0.0, person)
            yield Seen("put-away", person, predicted, took, predicted.observed)
            total += took
        closing = predictor.closing_time(CLOSING)
        assert closing is not None
        took = self.drawn(CLOSING, 0.0, person)
        yield Seen("closing", person, closing, took, closing.observed)
        if self.random_numbers.random() < habits.left_open:
            total += self.random_numbers.uniform(15, 60)
        self.go(total + took)
        self.happens(e.SittingClosed(closing_minutes=CLOSING), person)


def lives(builders: int, sittings: int, habits: Habits, *, helped: float = 0.0, seed: int = 1) -> list[Seen]:
    """Every time in the lives of so many builders; ``helped`` of the sittings are a helper's, 1.6 slower.

    How far the builders lie over the estimates is evenly spaced in its distribution, for fewer builders.
    """
    found: list[Seen] = []
    for number in range(builders):
        over = PACES.inv_cdf((number + 0.5) / builders)
        life = Life(seed * 10_000 + number, over, helper_factor=1.6 if helped else None)
        for _ in range(sittings):
            person = "pip" if life.random_numbers.random() < helped else "wren"
            found += life.sitting(habits, person)
    return found


def held(seen: list[Seen]) -> tuple[float, ...]:
    """Of these times, the share that came within what was stated at each of ``STATED``."""
    return tuple(sum(one.rank <= stated for one in seen) / len(seen) for stated in STATED)
