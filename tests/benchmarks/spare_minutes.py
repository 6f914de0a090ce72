"""Benchmark, run by hand: how long the spare-minutes answer takes in the middle of a build.

The moments are made by legal acts (:mod:`tests.benchmarks.mid_build`); place card and board stand beside it,
and the same choice as a mixed-integer program, whose time tells one machine from another.
"""

import gc
import random
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import ParamSpec

import numpy
import yaml
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from kiosk.planning.choose.exact import choose
from kiosk.planning.choose.option import Option, SetUp
from kiosk.planning.spare import spare
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.found_work import FoundWork
from kiosk.record.positions import Positions
from kiosk.screens.app import OBJECTS_OF_A_SCREEN
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.views.board import board, kind_counts
from kiosk.views.place_card import place_card
from tests.benchmarks.mid_build import MidBuild, at_the_bench, middles_of_build, share_done
from tests.conftest import local_time

BEGUN = local_time(2026, 12, 1, 18)
P = ParamSpec("P")

SLOTS = (15, 30, 60, 90, 120)
MOMENTS = 9


def grown_shop(folder: Path, parts: int) -> None:
    """The example shop grown to so many parts, in small kinds of twenty or more that keep them unlike."""
    shutil.copytree(data_folder("scenarios") / "brambling", folder)
    (folder / "procedures").mkdir(exist_ok=True)
    path = folder / "shop.yaml"
    shop = yaml.safe_load(path.read_text().replace("yes", '"yes"'))
    ribs = [kind for kind in shop["part_kinds"] if kind["id"].endswith("rib")]
    made = sum(1 for _ in load_shop(data_folder("scenarios") / "brambling").parts)
    of_kind = max(20, parts // 200)  # a file holds 50,000 values
    for number in range(parts):
        rib = dict(ribs[number % len(ribs)])
        take = min(of_kind, parts - made)
        if take <= 0:
            break
        rib["id"] = f"{rib['id']}-{number}"
        rib["marks"] = [{"first": f"X{number}-01", "last": f"X{number}-{take:02d}"}]
        shop["part_kinds"].append(rib)
        made += take

    class Plain(yaml.SafeDumper):
        def ignore_aliases(self, data: object) -> bool:
            return True

    path.write_text(yaml.dump(shop, Dumper=Plain, sort_keys=False))


def milp_worth(found: FoundWork, options: list[list[Option]], minutes: int) -> float:
    """The greatest worth of the same problem as a mixed-integer program (scipy's HiGHS): the measure."""
    chosen = [(number, one) for number, of in enumerate(options) for one in of]
    families = sorted({name for _, one in chosen for name in one.families if name not in found.free}, key=str)
    column = {name: len(chosen) + number for number, name in enumerate(families)}
    rows: list[int] = []
    columns: list[int] = []
    values: list[float] = []
    upper: list[float] = []

    def at_most(entries: list[tuple[int, float]], limit: float) -> None:
        rows.extend([len(upper)] * len(entries))
        columns.extend(place for place, _ in entries)
        values.extend(value for _, value in entries)
        upper.append(limit)

    takes = [(place, float(one.minutes)) for place, (_, one) in enumerate(chosen)]
    at_most(takes + [(column[name], float(found.set_up.get(name, 0))) for name in families], minutes)
    for number in range(len(options)):
        at_most([(place, 1.0) for place, (of, _) in enumerate(chosen) if of == number], 1)
    for place, (_, one) in enumerate(chosen):
        for name in one.families:
            if name in column:
                at_most([(place, 1.0), (column[name], -1.0)], 0)
    size = len(chosen) + len(families)
    worth = numpy.array([-float(one.worth) for _, one in chosen] + [1.0] * len(families))
    matrix = csr_array((values, (rows, columns)), shape=(len(upper), size))
    limits = LinearConstraint(matrix, -numpy.inf, numpy.array(upper))
    solved = milp(
        worth,
        constraints=limits,
        integrality=numpy.ones(size),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0},
    )
    return float(-solved.fun)


def cpu_ms(work: Callable[P, object], *args: P.args, **more: P.kwargs) -> float:
    """Processor time of one call in milliseconds: what a busy machine does meanwhile is not in it."""
    began = time.process_time()
    work(*args, **more)
    return (time.process_time() - began) * 1e3


def row(name: str, taken: list[float], more: str = "") -> None:
    """One line of the table."""
    print(f"{name:42s} {statistics.median(taken):8.1f} {max(taken):8.1f}  {more}", flush=True)


def look(build: MidBuild) -> None:
    """Work out where all parts stand, with nothing kept yet."""
    Positions().follow(build.shop, build.state)


def mid_build(parts: int) -> None:
    """Rows for one size of shop, at a quarter and at half of the build; an act lies between two moments."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "shop"
        grown_shop(folder, parts)
        shop = load_shop(folder)
        for build in middles_of_build(shop, BEGUN, 3, (0.25, 0.5)):
            print(f"{len(shop.parts)} parts, {share_done(shop, build.state):.0%} of all steps done")
            at_the_bench(build, 18)
            gc.freeze()  # as the screen does after its start
            gc.set_threshold(OBJECTS_OF_A_SCREEN)
            row("  the first look after opening", [cpu_ms(look, build)])
            for minutes in SLOTS:
                taken, finding, milps, choosing = [], [], [], []
                for _ in range(MOMENTS):
                    build.act()
                    build.go(1)
                    context = build.alone()
                    taken.append(cpu_ms(spare, context, minutes))
                    finding.append(cpu_ms(find_work, context, minutes))
                found = find_work(context, minutes)
                usual = [[one for one in of.options if one.usual] for of in found.candidates]
                for _ in range(3):
                    choosing.append(cpu_ms(choose, usual, found.set_up, minutes, found.free))
                milps.append(cpu_ms(milp_worth, found, usual, minutes))
                exact = choose(usual, found.set_up, minutes, found.free)
                assert not exact.exact or abs(exact.worth - milp_worth(found, usual, minutes)) < 0.5
                more = f"find {statistics.median(finding):.1f}, {len(usual)} candidates;"
                more += f" MILP {milps[0]:.0f} = {milps[0] / statistics.median(taken):.1f} whole answers"
                more += f" = {milps[0] / statistics.median(choosing):.0f} choices"
                row(f"  whole answer, {minutes} minutes", taken, more)
            cards, boards = [], []
            for _ in range(MOMENTS):
                build.act()
                build.go(1)
                context = build.alone()
                cards.append(cpu_ms(place_card, context))
                boards.append(cpu_ms(board, context) + cpu_ms(kind_counts, shop, context.state))
            row("  place card", cards)
            row("  board", boards)


def main() -> None:
    print(f"{'in the middle of a build, CPU ms':42s} {'median':>8s} {'worst':>8s}")
    for parts in [int(one) for one in sys.argv[1:]] or [500, 5000]:
        mid_build(parts)
    chooser_alone()


def chooser_alone() -> None:
    print("chooser alone, every part a candidate of its own, 12 families, median and worst of 20 (ms)")
    for count in (100, 500, 5000):
        taken = []
        for seed in range(20):
            random_numbers = random.Random(seed)
            families = [f"family {number}" for number in range(12)]
            candidates = []
            for _ in range(count):
                minutes = random_numbers.randint(2, 30)
                candidates.append(
                    [
                        Option(
                            minutes,
                            minutes * random_numbers.randint(100, 150),
                            (random_numbers.choice(families),),
                        )
                    ]
                )
            set_up: dict[SetUp, int] = {family: random_numbers.randint(2, 15) for family in families}
            began = time.perf_counter()
            choose(candidates, set_up, 120)
            taken.append((time.perf_counter() - began) * 1e3)
        print(f"{count:5d} candidates: {statistics.median(taken):7.1f} {max(taken):7.1f}")


if __name__ == "__main__":
    main()
