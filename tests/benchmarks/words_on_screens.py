"""What is never right on a screen, over all scenes at any sizes: ``words_on_screens 73x20 100x26 160x50``.

The suite reads the kept pictures, which are of three sizes; this runs the scenes. Ends with 1 where something
is wrong. ``--rows`` lists the rows besides that reach the last column, to see whether one is cut.
"""

import asyncio
import shutil
import sys
import tempfile
from pathlib import Path

from tests.screens.moment import fixed_zone, make_played_shop
from tests.screens.scenes import SCENES, rows_of
from tests.screens.test_words_of_the_pictures import never_right


def main(arguments: list[str]) -> int:
    """Run every scene at the sizes; print what is wrong."""
    sizes = [
        (int(columns), int(rows)) for columns, rows in (one.split("x") for one in arguments if "x" in one)
    ]
    wrong = 0
    with fixed_zone(), tempfile.TemporaryDirectory() as folder:
        played = Path(folder) / "played"
        make_played_shop(played)
        for scene in SCENES:
            for run in [(size,) for size in sizes] if scene.plotted else [tuple(sizes)]:
                shop = Path(folder) / "shop"
                shutil.copytree(played, shop)
                for size, rows in zip(run, asyncio.run(rows_of(scene, shop, run)), strict=True):
                    for how, words in never_right("\n".join(rows)):
                        wrong += 1
                        print(f"{scene.name} {size[0]}x{size[1]}: {how}: {words}")
                    if "--rows" in arguments:
                        full = [
                            row for row in rows if len(row.rstrip()) >= size[0] - 1 and row[-3:-1].isalnum()
                        ]
                        for row in full:
                            print(f"{scene.name} {size[0]}x{size[1]}| {row}")
                shutil.rmtree(shop)
    print(f"{len(SCENES)} scenes at {len(sizes)} sizes: {wrong} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
