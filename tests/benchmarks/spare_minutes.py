"""Benchmark, run by hand: how long the spare-minutes answer takes as the shop grows."""

import random
import shutil
import statistics
import tempfile
import time
from pathlib import Path

import yaml

from kiosk.bench import Bench
from kiosk.planning.choose.exact import choose
from kiosk.planning.choose.option import Option
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.procedure import Family


def grown_shop(folder: Path, parts: int) -> None:
    """The example shop grown to so many parts, in small kinds of twenty that keep them unlike."""
    shutil.copytree(data_folder("scenarios") / "brambling", folder)
    (folder / "procedures").mkdir(exist_ok=True)
    path = folder / "shop.yaml"
    shop = yaml.safe_load(path.read_text().replace("yes", '"yes"'))
    ribs = [kind for kind in shop["part_kinds"] if kind["id"].endswith("rib")]
    made = sum(1 for _ in load_shop(data_folder("scenarios") / "brambling").parts)
    for number in range(parts):
        rib = dict(ribs[number % len(ribs)])
        take = min(20, parts - made)  # a file holds 50,000 values
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


def main() -> None:
    print("whole answer on a grown shop, 120 minutes, median and worst of 15 (ms)")
    for parts in (217, 500, 5000):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name) / "shop"
            grown_shop(folder, parts)
            bench = Bench(folder)
            taken = []
            for _ in range(15):
                began = time.perf_counter()
                answer = bench.spare(120)
                taken.append((time.perf_counter() - began) * 1e3)
            assert answer.suggestions
            print(f"{len(bench.shop.parts):5d} parts: {statistics.median(taken):7.1f} {max(taken):7.1f}")
            bench.close()
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
            set_up: dict[Family, int] = {family: random_numbers.randint(2, 15) for family in families}
            began = time.perf_counter()
            choose(candidates, set_up, 120)
            taken.append((time.perf_counter() - began) * 1e3)
        print(f"{count:5d} candidates: {statistics.median(taken):7.1f} {max(taken):7.1f}")


if __name__ == "__main__":
    main()
