"""Days at the bench at random: what is asked, chosen, finished and left; and each offer put to the door."""

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from kiosk.planning.spare import SpareAnswer, spare
from kiosk.record.rules import Refused, steps
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Shop
from tests.benchmarks.whole_builds.build import Build, Choice
from tests.benchmarks.whole_builds.evenings import START, Slot
from tests.benchmarks.whole_builds.worlds import World
from tests.planning.test_random_shops import random_state

ANY_SHOP = World("any", (), ())
SITTING_MINUTES, SITTINGS_A_DAY = 75.0, 3  # one after the other, into the quiet hours
FIRST_HOUR = 18
LEFT_HALF_WAY = 0.2  # of what is chosen


def offers_refused(
    folder: Path, seed: int, speed: float, sittings: int, helpers: Sequence[str] = ()
) -> list[str]:
    """What the door said to offers, over some sittings of somebody who takes ``speed`` times the minutes."""
    walk = _Walk(folder, seed, helpers)
    walk.build.truth.bias = math.log(speed)
    walk.build.run(sittings)
    assert walk.offers > 10 * sittings
    return walk.refused


class _Walk:
    """Days of a build by a way of choosing that takes any offer."""

    def __init__(self, folder: Path, seed: int, helpers: Sequence[str]) -> None:
        self.numbers = random.Random(seed)
        self.helpers = helpers
        self.refused: list[str] = []
        self.offers = 0
        self.build = Build(folder, ANY_SHOP, seed, "any", self._choose, evenings=self._days)
        some = random_state(self.build.shop, self.numbers, START + timedelta(days=1, hours=FIRST_HOUR))
        for part in some.parts.values():
            clocks = tuple(replace(one, if_missed="look at it") for one in part.clocks)
            self.build.bench.state.parts[part.mark] = replace(part, clocks=clocks)
            self.build.begun[part.mark] = START

    def _days(self, _seed: int) -> Iterator[Slot]:
        begins: datetime = START + timedelta(days=1, hours=FIRST_HOUR)
        while True:
            for number in range(SITTINGS_A_DAY):
                yield Slot(begins + timedelta(minutes=number * SITTING_MINUTES), SITTING_MINUTES)
            begins += timedelta(days=1)

    def _choose(self, build: Build, left: float) -> Choice | None:
        """Any of what is offered for any minutes, to the end or half way."""
        bench, numbers = build.bench, self.numbers
        for one in self.helpers:
            if one not in {person.id for person in bench.people}:
                bench.come(one)
            times = bench.state.times  # a helper is as quick, as far as anybody knows
            times |= {replace(of, person=one): seen for of, seen in times.items() if of.person == "wren"}
        answer = spare(bench.context, numbers.randint(5, 120))
        self._put_to_the_door(answer, bench.shop)
        offers = [one for one in (*answer.suggestions, *answer.instead) if not one.ready_in]
        offers = [
            one for one in offers if one.work is not None or build.can_take(one.marks, one.stretch.steps)
        ]
        if not offers or numbers.random() < 0.1:
            return Choice((), (), sat_out=numbers.uniform(1, 20))
        chosen = numbers.choice(offers)
        keep_back = max(0.0, left - numbers.uniform(1, 15)) if numbers.random() < LEFT_HALF_WAY else 0.0
        stretch = chosen.stretch
        return Choice(
            chosen.marks,
            stretch.steps,
            chosen.work,
            told=True,
            gap_after=stretch.gap_after,
            must=stretch.in_a_run,
            keep_back=keep_back,
        )

    def _put_to_the_door(self, answer: SpareAnswer, shop: Shop) -> None:
        context = self.build.bench.context
        for one in (*answer.suggestions, *answer.instead, *answer.helper_does):
            if one.ready_in or one.work is not None:
                continue
            self.offers += 1
            try:
                steps.begin(context.seen_by(shop.people[one.by]), one.marks, StepRef(one.procedure, one.step))
            except Refused as error:
                self.refused.append(f"{context.now:%a %H:%M} {one.by} {one.marks} {one.step}: {error}")
