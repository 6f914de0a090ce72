"""A shop in which some kinds of parts are primed and nothing else."""

from collections.abc import Sequence
from dataclasses import replace

from kiosk.bench import Bench
from kiosk.shop.parts import PartKind, RouteStage


def primed_alone(bench: Bench, marks: Sequence[str]) -> None:
    """Let the kinds of these parts be cleaned and primed, and nothing else."""
    primed = RouteStage(procedure="clean-and-prime")
    kinds: dict[str, PartKind] = {}
    for name, kind in bench.shop.kinds.items():
        kinds[name] = kind
        if name in {bench.shop.parts[mark].kind for mark in marks}:
            kinds[name] = kind.model_copy(update={"route": (primed,)})
            kinds[name].gets(kind.its_finish)
    bench.shop = replace(bench.shop, kinds=kinds, _steps={})
