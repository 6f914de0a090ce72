"""The cutting list of a shop's roster: every blank still to cut, by alloy and thickness."""

from dataclasses import dataclass

from kiosk.numbers.cutting import Blank, CuttingPlan, Grain, Sheet, plan_cuts
from kiosk.numbers.result import OutOfRange
from kiosk.record.state import State
from kiosk.shop.shop import Shop


@dataclass(frozen=True)
class MaterialPlan:
    """The plan for one material."""

    alloy: str
    thickness_in: float
    plan: CuttingPlan


def cutting_plans(
    shop: Shop, state: State, sheet: Sheet, kerf_in: float, *, whole_roster: bool = False
) -> list[MaterialPlan]:
    """A plan for each alloy and thickness. A part whose route is begun counts as cut, unless all are asked.

    Kinds that give ``blank_length`` and ``blank_width`` are cut from sheet; ``grain`` is along, across or
    any. Raises OutOfRange when a blank does not fit.
    """
    wanted: dict[tuple[str, float], list[Blank]] = {}
    for kind in shop.kinds.values():
        if kind.written("blank_length") is None or kind.written("blank_width") is None:
            continue
        if kind.material.alloy is None or kind.material.thickness is None:
            continue
        count = sum(1 for mark in shop.marks_of(kind.id) if whole_roster or not state.part(mark).passes)
        if count:
            blank = Blank(
                kind.id,
                shop.figures.number(kind, "blank_length", "in"),
                shop.figures.number(kind, "blank_width", "in"),
                count,
                _grain(shop.figures.text(kind, "grain", "any"), kind.id),
            )
            wanted.setdefault((kind.material.alloy, kind.material.thickness), []).append(blank)
    return [
        MaterialPlan(alloy, thickness, plan_cuts(blanks, sheet, kerf_in))
        for (alloy, thickness), blanks in sorted(wanted.items())
    ]


def _grain(text: str, kind: str) -> Grain:
    if text == "along":
        return "along"
    if text == "across":
        return "across"
    if text == "any":
        return "any"
    raise OutOfRange(f"grain {text!r} of {kind!r} is not known", "write along, across or any")
