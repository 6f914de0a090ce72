"""Cutting plans: everything cut, nothing overlapping, cuttable right across, and never below the bound."""

import random
from collections.abc import Mapping

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from kiosk.numbers.cutting import Blank, CuttingPlan, Sheet, cutting_list, least_sheets, plan_cuts
from kiosk.numbers.result import OutOfRange

SHEET = Sheet(144, 48)

# A variable of the exact model: its letter and the blanks it is about.
Variable = tuple[str, int] | tuple[str, int, int]


def random_job(random_numbers: random.Random, kinds: int, most: int, grain: str = "mixed") -> list[Blank]:
    grains = ["along", "across", "any"] if grain == "mixed" else [grain]
    return [
        Blank(
            f"blank {number}",
            round(random_numbers.uniform(3, 40), 2),
            round(random_numbers.uniform(1, 16), 2),
            random_numbers.randint(1, most),
            random_numbers.choice(grains),  # type: ignore[arg-type]
        )
        for number in range(kinds)
    ]


def check(plan: CuttingPlan, blanks: list[Blank]) -> None:
    """Every blank is there, in its sheet, a kerf from its neighbours, the right way round."""
    across = plan.strips_run == "across the sheet"
    stack = plan.sheet.length_in if across else plan.sheet.width_in
    strip_length = plan.sheet.width_in if across else plan.sheet.length_in
    found: dict[str, int] = {}
    by_name = {blank.name: blank for blank in blanks}
    for sheet in plan.sheets:
        end = plan.sheet.trim_in - plan.kerf_in
        for strip in sheet.strips:
            assert strip.at_in >= end + plan.kerf_in - 1e-6
            end = strip.at_in + strip.height_in
            assert end <= stack - plan.sheet.trim_in + 1e-6
            reach = plan.sheet.trim_in - plan.kerf_in
            for placed in strip.blanks:
                assert placed.at_in >= reach + plan.kerf_in - 1e-6
                reach = placed.at_in + placed.along_in
                assert reach <= strip_length - plan.sheet.trim_in + 1e-6
                assert placed.across_in <= strip.height_in + 1e-6
                blank = by_name[placed.name]
                found[placed.name] = found.get(placed.name, 0) + 1
                along_sheet, across_sheet = (
                    (placed.across_in, placed.along_in) if across else (placed.along_in, placed.across_in)
                )
                ways = {
                    "along": [(blank.length_in, blank.width_in)],
                    "across": [(blank.width_in, blank.length_in)],
                }
                ways["any"] = ways["along"] + ways["across"]
                assert any(
                    (along_sheet, across_sheet) == pytest.approx(way, abs=1e-6) for way in ways[blank.grain]
                )
    assert found == {blank.name: blank.count for blank in blanks}
    assert len(plan.sheets) >= plan.least_sheets


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("kerf", [0.0, 0.25])
def test_random_jobs_are_cut_whole(seed: int, kerf: float) -> None:
    blanks = random_job(random.Random(seed), 10, 8)
    sheet = Sheet(144, 48, trim_in=0.25 if seed % 2 else 0.0)
    plan = plan_cuts(blanks, sheet, kerf)
    check(plan, blanks)
    assert len(plan.sheets) <= plan.least_sheets + 1
    assert sum(": blank" in line for line in cutting_list(plan)) == sum(blank.count for blank in blanks)


# Identical blanks from 48 x 144 in (1219.2 x 3657.6 mm): floor((W+k)/(w+k)) x floor((L+k)/(l+k)).
@pytest.mark.parametrize(
    ("length_mm", "width_mm", "kerf_mm", "one_sheet"), [(300, 100, 0, 144), (300, 100, 3.2, 132)]
)
def test_identical_blanks_fill_a_sheet(
    length_mm: float, width_mm: float, kerf_mm: float, one_sheet: int
) -> None:
    def job(count: int) -> list[Blank]:
        return [Blank("same", length_mm / 25.4, width_mm / 25.4, count, "along")]

    assert len(plan_cuts(job(one_sheet), SHEET, kerf_mm / 25.4).sheets) == 1
    assert len(plan_cuts(job(one_sheet + 1), SHEET, kerf_mm / 25.4).sheets) == 2


def level_packing(blanks: list[Blank], strip_length: float, stack: float) -> int:
    """Fewest sheets for blanks of fixed way round, strips of one direction (Lodi, Martello & Vigo 2004)."""
    items = sorted(
        ((b.length_in, b.width_in) for b in blanks for _ in range(b.count)), key=lambda one: -one[1]
    )
    n = len(items)
    names: list[Variable] = [(letter, i) for letter in ("y", "q") for i in range(n)]
    names += [(letter, i, j) for letter in ("x", "z") for i in range(n) for j in range(i + 1, n)]
    place = {name: number for number, name in enumerate(names)}
    rows, low, high = [], [], []

    def add(terms: Mapping[Variable, float], at_least: float, at_most: float) -> None:
        row = np.zeros(len(names))
        for name, factor in terms.items():
            row[place[name]] += factor
        rows.append(row)
        low.append(at_least)
        high.append(at_most)

    for j in range(n):
        add({("y", j): 1, **{("x", i, j): 1 for i in range(j)}}, 1, 1)
        add({("q", j): 1, ("y", j): -1, **{("z", k, j): 1 for k in range(j)}}, 0, 0)
    for i in range(n):
        fill: dict[Variable, float] = {("x", i, j): items[j][0] for j in range(i + 1, n)}
        add({**fill, ("y", i): -(strip_length - items[i][0])}, -np.inf, 0)
        pile: dict[Variable, float] = {("z", i, j): items[j][1] for j in range(i + 1, n)}
        add({**pile, ("q", i): -(stack - items[i][1])}, -np.inf, 0)
    cost = np.zeros(len(names))
    for k in range(n):
        cost[place[("q", k)]] = 1
    result = milp(
        cost,
        constraints=LinearConstraint(np.array(rows), low, high),
        integrality=np.ones(len(names)),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0, "time_limit": 20},
    )
    assert result.success
    return round(float(result.fun))


@pytest.mark.parametrize("seed", range(12))
def test_equals_an_exact_solver_on_small_jobs(seed: int) -> None:
    """The best of both strip directions by scipy's milp, blanks of fixed way round."""
    blanks = random_job(random.Random(100 + seed), 4, 3, grain="along")
    small = Sheet(60, 24)
    plan = plan_cuts(blanks, small, 0.0)
    turned = [Blank(b.name, b.width_in, b.length_in, b.count) for b in blanks]
    exact = min(level_packing(blanks, 60, 24), level_packing(turned, 24, 60))
    assert plan.least_sheets <= exact
    assert len(plan.sheets) == exact


@pytest.mark.parametrize("seed", range(10))
def test_the_bound_does_not_depend_on_order_or_scale(seed: int) -> None:
    random_numbers = random.Random(seed)
    blanks = random_job(random_numbers, 8, 6)
    bound = least_sheets(blanks, SHEET)
    shuffled = random_numbers.sample(blanks, len(blanks))
    assert least_sheets(shuffled, SHEET) == bound
    doubled = [Blank(b.name, 2 * b.length_in, 2 * b.width_in, b.count, b.grain) for b in blanks]
    assert least_sheets(doubled, Sheet(288, 96)) == bound


def test_what_does_not_fit_is_refused_by_name() -> None:
    with pytest.raises(OutOfRange, match="spar of 150"):
        plan_cuts([Blank("spar", 150, 7, 1, "along")], SHEET)
    with pytest.raises(OutOfRange, match="across the grain"):
        plan_cuts([Blank("rib", 60, 7, 1, "across")], SHEET)
