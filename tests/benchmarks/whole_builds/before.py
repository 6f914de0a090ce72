"""The kiosk of revision e4a1dcc, and the rule of thumb as it was then, on the same evenings and true times.

``worlds/e4a1dcc.json`` was made on a checkout of e4a1dcc, on its own example with what is told at the head
of ``worlds/a/shop.yaml`` (LIFT still on: it took one person then), TZ=UTC, seeds 1 to 20, by the first form
of this simulation, which called that revision's rules:

    python sim.py kiosk,batch-road,batch-road-strict 1 21 out.jsonl B
    python sim.py kiosk 1 21 out.jsonl A

``first_proud_day`` was read off the same runs. While the planner was still that revision's, the simulation
here gave the same figures for the kiosk. The rule of thumb is a little better here, because it guesses for
itself (``guess.py``): the kiosk of then had it reckon putting away twice.
"""

import json

from tests.benchmarks.whole_builds.figures import Figures, from_plain
from tests.benchmarks.whole_builds.worlds import WORLDS_FOLDER

FILE = WORLDS_FOLDER / "e4a1dcc.json"


def builds_before(world: str) -> list[Figures]:
    """The builds of that time in a world; none in a world that was not there."""
    rows = json.loads(FILE.read_text(encoding="utf-8"))["builds"]
    return [from_plain(row) for row in rows if row["world"] == world]
