"""Benchmark, run by hand: whole builds by the kiosk's advice and by simple ways of choosing, in three worlds.

    python -m tests.benchmarks.policies --worlds b --builds 4 --policies kiosk,thumb --jobs 2

All see the same evenings and true times. ``whole_builds/`` simulates; the worlds are frozen in ``worlds/``.
"""

import argparse
import json
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.whole_builds.before import builds_before
from tests.benchmarks.whole_builds.build import Build
from tests.benchmarks.whole_builds.figures import Figures, from_plain
from tests.benchmarks.whole_builds.policies import POLICIES, policy
from tests.benchmarks.whole_builds.table import chance_table, policy_table, use_table
from tests.benchmarks.whole_builds.watching import Moments
from tests.benchmarks.whole_builds.worlds import WORLDS, shop_folder_of


@dataclass(frozen=True)
class Task:
    """One build to simulate; ``moments`` is the file that every choice is written to."""

    world: str
    policy: str
    seed: int
    moments: Path | None = None


def simulate(task: Task) -> Figures:
    """Simulate one build."""
    world = WORLDS[task.world]
    moments = Moments(task.moments) if task.moments is not None else None
    with shop_folder_of(world) as folder:
        build = Build(folder, world, task.seed, task.policy, policy(task.policy, task.seed), moments)
        return build.run()


def simulated(tasks: Sequence[Task], jobs: int) -> Iterator[Figures]:
    """The builds as they are done."""
    if jobs == 1:
        yield from map(simulate, tasks)
        return
    with ProcessPoolExecutor(jobs) as pool:
        for done in as_completed([pool.submit(simulate, task) for task in tasks]):
            yield done.result()


def report(builds: Sequence[Figures]) -> Iterator[str]:
    """Everything in Markdown, a world at a time."""
    for world in dict.fromkeys(one.world for one in builds):
        order = list(POLICIES)
        here = sorted(
            (one for one in builds if one.world == world), key=lambda one: (order.index(one.policy), one.seed)
        )
        yield from (f"## World {world.upper()}", "", *policy_table(here, builds_before(world)), "")
        yield from ("Use of slots in which something could be begun:", "", *use_table(here), "")
        chances = list(chance_table([one for one in here if one.policy == "kiosk"]))
        if chances:
            yield from ("The first plan of each sitting, stated against came:", "", *chances, "")


def _names(text: str, known: Sequence[str]) -> list[str]:
    names = list(known) if text == "all" else text.split(",")
    for name in names:
        if name not in known:
            raise SystemExit(f"no {name!r}: use some of {','.join(known)}, or all")
    return names


def main() -> None:
    """Simulate, print the tables, and keep the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--worlds", default="all", help="a, b and c")
    parser.add_argument("--policies", default="all", help=",".join(POLICIES))
    parser.add_argument("--builds", type=int, default=4, help="how many, each with a seed of its own")
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1, help="processes at once")
    parser.add_argument("--json", type=Path, help="keep the figures here, and take up those that are there")
    parser.add_argument("--table", type=Path, help="write the tables here too")
    parser.add_argument("--moments", type=Path, help="a folder for what was chosen at every moment")
    asked = parser.parse_args()
    builds: list[Figures] = []
    if asked.json is not None and asked.json.exists():
        builds = [from_plain(json.loads(line)) for line in asked.json.read_text().splitlines()]
    known = {(one.world, one.policy, one.seed) for one in builds}
    tasks = [
        Task(world, name, seed, asked.moments and asked.moments / f"{world}-{name}-{seed}.jsonl")
        for seed in range(asked.first_seed, asked.first_seed + asked.builds)
        for world in _names(asked.worlds, list(WORLDS))
        for name in _names(asked.policies, list(POLICIES))
        if (world, name, seed) not in known
    ]
    for figures in simulated(tasks, asked.jobs):
        builds.append(figures)
        if asked.json is not None:
            with asked.json.open("a", encoding="utf-8") as file:
                file.write(json.dumps(figures.plain()) + "\n")
        if asked.table is not None:
            asked.table.write_text("\n".join(report(builds)) + "\n", encoding="utf-8")
    print("\n".join(report(builds)))


if __name__ == "__main__":
    main()
