"""The cutting list of a shop's roster: every blank still to cut, by alloy and thickness."""

from dataclasses import dataclass

from kiosk.numbers.cutting import Blank, CuttingPlan, Sheet, plan_cuts
from kiosk.record.state import State
from kiosk.shop.blanks import blank_of, is_cut_from_sheet
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
    any. Raises FigureFault when a blank cannot be worked out and OutOfRange when one does not fit.
    """
    wanted: dict[tuple[str, float], list[Blank]] = {}
    for kind in shop.kinds.values():
        if not is_cut_from_sheet(kind):
            continue
        count = sum(1 for mark in shop.marks_of(kind.id) if whole_roster or not state.part(mark).passes)
        if count:
            found = blank_of(shop.figures, kind)
            blank = Blank(kind.id, found.length_in, found.width_in, count, found.grain)
            wanted.setdefault((found.alloy, found.thickness_in), []).append(blank)
    return [
        MaterialPlan(alloy, thickness, plan_cuts(blanks, sheet, kerf_in))
        for (alloy, thickness), blanks in sorted(wanted.items())
    ]
