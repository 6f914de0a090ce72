"""Every choice written down: how things stood, and what the rule of thumb would have done."""

import json
from collections import Counter
from functools import partial
from pathlib import Path
from typing import Any

from tests.benchmarks.whole_builds.build import Build, Choice
from tests.benchmarks.whole_builds.policies import Thumb, best_batch, need


class Moments:
    """A line for each choice of one build, in a file."""

    def __init__(self, path: Path) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.unlink(missing_ok=True)
        self.path = path
        self.thumb = partial(best_batch, Thumb())

    def __call__(self, build: Build, left: float, choice: Choice | None) -> None:
        """Write down one moment."""
        moment: dict[str, Any] = {
            "sitting": build.figures.sittings + 1,
            "at": build.clocks.now().astimezone().strftime("%a %d %b %Y %H:%M"),
            "left": round(left, 1),
            "slot": round(build.slot_minutes, 1),
            "set_up": sorted(str(family) for family in build.families),
            "parts_done": build.figures.parts_done,
            "chosen": _shown(build, choice),
            "thumb": _shown(build, self.thumb(build, left)),
        }
        if build.answer is not None:
            blocked: Counter[str] = Counter()
            for one in build.answer.not_now:
                blocked[f"{one.block.kind}: {one.procedure.id}/{one.step.id}"] += len(one.marks)
            moment["not_now"] = dict(blocked.most_common(8))
            moment["chance"] = round(build.answer.chance, 3)
            moment["stated_minutes"] = build.answer.total_minutes
            moment["offered"] = [
                f"{one.procedure}/{one.step} x{len(one.marks)} {one.minutes} min"
                + (f" ready in {one.ready_in}" if one.ready_in else "")
                for one in build.answer.suggestions
            ]
        moment["standing"] = _standing(build)
        moment["in_hand"] = [
            f"{work.procedure}/{work.step} {','.join(work.marks)}"
            for work in build.bench.state.works.values()
        ]
        with self.path.open("a", encoding="utf-8") as file:
            file.write(json.dumps(moment) + "\n")


def _shown(build: Build, choice: Choice | None) -> dict[str, Any] | None:
    if choice is None:
        return None
    if choice.sat_out:
        return {"sat_out": round(choice.sat_out)}
    return {
        "marks": list(choice.marks),
        "steps": [f"{procedure.id}/{step.id}" for procedure, step in choice.chain],
        "in_hand": choice.work is not None,
        "stop": choice.chain[0][1].stop,
        "needs": round(min(9999.0, need(build, choice.chain, len(choice.marks)))),
    }


def _standing(build: Build) -> dict[str, int]:
    """How many parts could begin which step now."""
    ready: Counter[str] = Counter()
    for mark, procedure, step in build.ready():
        ready[f"{build.shop.parts[mark].kind} {procedure.id}/{step.id}"] += 1
    return dict(ready.most_common(12))
