"""Run by hand in two trees: what the advice says at hundreds of moments in the middle of builds, a line each.

    python -m tests.benchmarks.same_answers make ../moments 400        # once
    python -m tests.benchmarks.same_answers tell ../moments before.txt # in one tree; then in the other
    python -m tests.benchmarks.same_answers compare before.txt after.txt

Quiet hours lie ahead and within the slot, people are there and not, things are asked for and put off, limits
run. A difference counts by what the plans are worth.
"""

import json
import pickle
import random
import shutil
import sys
from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from unittest.mock import patch

from kiosk.planning.likely_plan import likely_plan
from kiosk.planning.plan import Plan
from kiosk.planning.spare import SpareAnswer, spare
from kiosk.planning.suggestion import Suggestion
from kiosk.planning.with_helpers import Shared, share
from kiosk.record.context import Context, Kept
from kiosk.record.rules import wishes
from kiosk.record.state import State
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.shop import Shop
from tests.benchmarks.mid_build import BUILDER, HELPER, MidBuild, at_the_bench, middles_of_build
from tests.benchmarks.spare_minutes import BEGUN, grown_shop

MINUTES = (3, 6, 10, 15, 20, 30, 45, 60, 75, 90, 105, 120)
PEOPLE = ((BUILDER,), (BUILDER,), (BUILDER, HELPER), (BUILDER, "pip"), (BUILDER, HELPER, "pip"))
SHOPS = ((0, 3), (0, 8), (500, 3))  # parts, 0: the example as it is; and a seed
SHARES = (0.06, 0.2, 0.4)


@dataclass(frozen=True)
class Moment:
    """What is asked, and all that the answer follows from beside the shop."""

    shop: str
    state: State
    at: datetime
    monotonic_s: float
    people: tuple[str, ...]
    minutes: int

    def context(self, shop: Shop, kept: Kept) -> Context:
        """The first of the people has the screen."""
        here = [shop.people[one] for one in self.people]
        return Context(shop, self.state, self.at, self.monotonic_s, "run", here, here[0], "boot", kept=kept)


def make(folder: Path, count: int) -> None:
    """Write down so many moments of some builds, and their shops."""
    for parts, seed in SHOPS:
        name = f"shop-{parts}-{seed}"
        if parts:
            grown_shop(folder / name, parts)
        else:
            shutil.copytree(data_folder("scenarios") / "brambling", folder / name)
        luck = random.Random(seed)
        number = 0
        for build in middles_of_build(load_shop(folder / name), BEGUN, seed, SHARES):
            for _ in range(count // len(SHOPS) // len(SHARES)):
                _live(build, luck)
                number += 1
                people, minutes = luck.choice(PEOPLE), luck.choice(MINUTES)
                moment = Moment(name, build.state, build.at, build.monotonic_s, people, minutes)
                (folder / f"{name}-{number:04d}.moment").write_bytes(pickle.dumps(moment))


def _live(build: MidBuild, luck: random.Random) -> None:
    if luck.random() < 0.3:
        at_the_bench(build, luck.choice((9, 17, 18, 19, 20)))
        build.go(luck.uniform(0, 55))
    if luck.random() < 0.2:
        _ask(build, luck)
    for _ in range(3):
        build.act()
    build.go(1)


def _ask(build: MidBuild, luck: random.Random) -> None:
    rule = luck.choice((wishes.ask_first, wishes.ask_not_today))
    if luck.random() < 0.5:
        build.do(rule, mark=luck.choice(list(build.shop.parts)))
    else:
        build.do(rule, part_kind=luck.choice(list(build.shop.kinds)))
    for wish in list(build.state.wishes)[:-3]:
        build.do(wishes.take_back_wish, wish)


def told(answer: SpareAnswer) -> dict[str, Any]:
    """All that an answer says."""

    def of(one: Suggestion) -> list[Any]:
        stretch = one.stretch
        steps = [f"{procedure.id}/{step.id}" for procedure, step in stretch.steps]
        more = (stretch.minutes, stretch.gap_minutes, stretch.limit, stretch.minutes_left, stretch.work)
        return [
            one.by,
            one.beside,
            list(one.marks),
            steps,
            *more,
            repr(one.reason)[:80],
            one.fetch,
            one.chance,
        ]

    blocked = [(one.marks, one.step.id, one.block.text) for one in answer.not_now]
    return {
        "does": [of(one) for one in answer.suggestions],
        "helpers": [of(one) for one in answer.helper_does],
        "instead": [of(one) for one in answer.instead],
        "sums": [answer.total_minutes, answer.set_up_minutes, answer.chance],
        "exact": answer.exact,
        "not now": blocked,
        "others": repr((answer.prepare, answer.read_room is not None))[:400],
    }


def tell(folder: Path, path: Path) -> None:
    """Write down what is said at each of the moments, and what it is worth."""
    worth: list[int] = []

    def seen_shared(*args: Any) -> Shared:
        shared = share(*args)
        plans = [plan for plan in (shared.builder, *(one.plan for one in shared.helpers)) if plan is not None]
        worth[:] = [plan.chosen.worth for plan in plans]
        return shared

    def seen_plan(*args: Any) -> Plan:
        plan = likely_plan(*args)
        worth[:] = [plan.chosen.worth]
        return plan

    shops: dict[str, tuple[Shop, Kept]] = {}
    with (
        patch("kiosk.planning.spare.share", seen_shared),  # the plans pass by there alone
        patch("kiosk.planning.spare.likely_plan", seen_plan),
        path.open("w", encoding="utf-8") as file,
    ):
        for one in sorted(folder.glob("*.moment")):
            moment: Moment = pickle.loads(one.read_bytes())
            if moment.shop not in shops:
                shops[moment.shop] = (load_shop(folder / moment.shop), Kept())
            answer = spare(moment.context(*shops[moment.shop]), moment.minutes)
            at = [one.name, moment.minutes, moment.at.astimezone().strftime("%a %H:%M"), moment.people]
            file.write(json.dumps({"at": at, "worth": sum(worth), **told(answer)}, default=str) + "\n")


def compare(before: Path, after: Path) -> int:
    """Print how many answers differ, and how; 1 where any is worth less."""
    kinds: Counter[str] = Counter()
    for one, other in zip(before.open(encoding="utf-8"), after.open(encoding="utf-8"), strict=True):
        old, new = json.loads(one), json.loads(other)
        assert old["at"] == new["at"], (old["at"], new["at"])
        kinds["all"] += 1
        kinds["not exact before"] += not old["exact"]
        kinds["not exact now"] += not new["exact"]
        if old == new:
            kinds["the same"] += 1
            continue
        different = [name for name in old if old[name] != new[name]]
        more = "equal" if old["worth"] == new["worth"] else "more" if new["worth"] > old["worth"] else "less"
        kinds[f"worth {more}: {', '.join(different)}"] += 1
        print(new["at"], old["worth"], new["worth"], "exact" if old["exact"] else "not exact", different)
    for name, count in sorted(kinds.items()):
        print(f"{count:6d}  {name}")
    return int(any(name.startswith("worth less") for name in kinds))


def main() -> None:
    act, one, other = sys.argv[1:4]
    if act == "make":
        make(Path(one), int(other))
    elif act == "tell":
        tell(Path(one), Path(other))
    else:
        raise SystemExit(compare(Path(one), Path(other)))


if __name__ == "__main__":
    main()
