"""The cutting list of a shop's roster: every blank still to cut, by alloy and thickness."""

from kiosk.dataclass import dataclass
from kiosk.numbers.cutting import Blank, CuttingPlan, Sheet, plan_cuts, why_not_cut
from kiosk.record.state import State
from kiosk.shop.blanks import blank_of, is_cut_from_sheet
from kiosk.shop.shop import Shop


@dataclass(frozen=True)
class MaterialPlan:
    """The plan for one material."""

    alloy: str
    thickness_in: float
    plan: CuttingPlan


@dataclass(frozen=True)
class CuttingPlans:
    """The plan of each material, and what no such sheet holds, in words."""

    plans: list[MaterialPlan]
    not_cut: tuple[str, ...]


def cutting_plans(
    shop: Shop, state: State, sheet: Sheet, kerf_in: float, *, whole_roster: bool = False
) -> CuttingPlans:
    """A plan for each alloy and thickness. A part whose route is begun counts as cut, unless all are asked.

    Kinds that give ``blank_length`` and ``blank_width`` are cut from sheet; ``grain`` is along, across or
    any. One that does not fit is named, and the others are planned. Raises FigureFault when a blank cannot be
    worked out and OutOfRange when sheet or kerf cannot be.
    """
    wanted: dict[tuple[str, float], list[Blank]] = {}
    not_cut: list[str] = []
    for kind in shop.kinds.values():
        if not is_cut_from_sheet(kind):
            continue
        count = sum(1 for mark in shop.marks_of(kind.id) if whole_roster or not state.part(mark).passes)
        if count:
            found = blank_of(shop.figures, kind)
            blank = Blank(kind.id, found.length_in, found.width_in, count, found.grain)
            error = why_not_cut(blank, sheet, kerf_in)
            if error is None:
                wanted.setdefault((found.alloy, found.thickness_in), []).append(blank)
            else:
                not_cut.append(str(error))
    plans = [
        MaterialPlan(alloy, thickness, plan_cuts(blanks, sheet, kerf_in))
        for (alloy, thickness), blanks in sorted(wanted.items())
    ]
    return CuttingPlans(plans, tuple(not_cut))
