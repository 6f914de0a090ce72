"""The procedures and the scenario that come with the kiosk."""

import json
import math
from pathlib import Path

import jsonschema
import pytest
import yaml

from kiosk.numbers.catalogue import CALCULATORS
from kiosk.shop.data import data_folder
from kiosk.shop.load import check_shipped_procedures, load, load_shop
from kiosk.shop.schema import json_schema

SCENARIO = data_folder("scenarios") / "brambling"
PROCEDURES = sorted(data_folder("procedures").rglob("*.yaml"))


def test_shipped_procedures_have_no_fault_and_no_warning() -> None:
    assert [str(fault) for fault in check_shipped_procedures()] == []


def test_the_scenario_has_no_fault_and_no_warning() -> None:
    assert [str(fault) for fault in load(SCENARIO, lint=True).faults] == []


def test_the_scenario_is_large_enough() -> None:
    shop = load_shop(SCENARIO)
    assert len(shop.parts) >= 60
    assert len(shop.kinds) >= 8
    assert {person.role for person in shop.people.values()} == {"builder", "helper"}


@pytest.mark.parametrize("path", PROCEDURES, ids=lambda path: path.stem)
def test_procedures_fit_the_schema_that_editors_use(path: Path) -> None:
    data = json.loads(json.dumps(yaml.safe_load(path.read_text()), default=str))
    jsonschema.validate(data, json_schema("procedure"))


def test_the_scenario_fits_the_schema_that_editors_use() -> None:
    data = json.loads(json.dumps(yaml.safe_load((SCENARIO / "shop.yaml").read_text()), default=str))
    jsonschema.validate(data, json_schema("shop"))


def _half_thickness(x: float, t: float) -> float:
    """NACA four-digit thickness (NACA Report 460), as a fraction of the chord."""
    root = 0.2969 * math.sqrt(x)
    return t / 0.20 * (root - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)


# NACA 2412 ordinates in percent chord, upper and lower, as published (four-decimal lofting table).
NACA_2412 = {20: (7.2607, -4.2278), 70: (5.1778, -2.154)}


def test_rib_heights_agree_with_the_published_section_and_with_the_spars() -> None:
    shop = load_shop(SCENARIO)
    height = {at: (up - low) / 100 * 50 - 2 * 0.025 for at, (up, low) in NACA_2412.items()}
    values = {kind: shop.kinds[kind].values for kind in shop.kinds}
    for kind, name, at in (
        ("nose-rib", "rear_height", 20),
        ("main-rib", "front_height", 20),
        ("front-spar", "web_height", 20),
        ("main-rib", "rear_height", 70),
        ("trailing-rib", "front_height", 70),
        ("rear-spar", "web_height", 70),
    ):
        assert float(values[kind][name]) == pytest.approx(height[at], abs=0.001), (kind, name)
    for name, x in (("front_height", 0.05), ("rear_height", 0.60)):
        wanted = 2 * _half_thickness(x, 0.09) * 28 - 2 * 0.020
        assert float(values["tailplane-rib"][name]) == pytest.approx(wanted, abs=0.001)


def test_flat_widths_and_flutes_agree_with_the_calculators() -> None:
    shop = load_shop(SCENARIO)
    for kind_id in ("front-spar", "rear-spar"):
        values = shop.kinds[kind_id].values
        taken = CALCULATORS["bend_deduction"].work_out(
            {"thickness": values["thickness"], "inside_radius": values["bend_radius"]}
        )
        flat = 2 * 0.75 + float(values["web_height"]) - 2 * float(taken.value)
        assert float(values["flat_width"]) == pytest.approx(flat, abs=0.001)
        sight = 0.75 - float(taken.other("setback")) + 0.125
        assert float(values["sight_line"]) == pytest.approx(sight, abs=0.001)
    for kind_id in ("nose-rib", "main-rib", "trailing-rib", "tailplane-rib"):
        values = shop.kinds[kind_id].values
        worked = CALCULATORS["flutes"].work_out(
            {"flange_width": values["flange_width"], "turning_angle": values["turning_angle"]}
        )
        assert int(values["flutes"]) == worked.value, kind_id
