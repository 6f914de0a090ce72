"""The procedures and the scenario that come with the kiosk."""

import json
import math
from pathlib import Path

import jsonschema
import pytest
import yaml

from kiosk.numbers.bends import bend_deduction
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

    def of(kind: str, name: str) -> float:
        return shop.figures.number(shop.kinds[kind], name, "in")

    for kind, name, at in (
        ("nose-rib", "rear_height", 20),
        ("front-spar", "web_height", 20),
        ("trailing-rib", "front_height", 70),
        ("rear-spar", "web_height", 70),
    ):
        assert of(kind, name) == pytest.approx(height[at], abs=0.001), (kind, name)
    for name, x in (("front_height", 0.05), ("rear_height", 0.60)):
        # The skin lies square to the surface: at a station it takes its thickness over the slope's cosine.
        slope = (_half_thickness(x + 1e-6, 0.09) - _half_thickness(x - 1e-6, 0.09)) / 2e-6
        wanted = 2 * _half_thickness(x, 0.09) * 28 - 2 * 0.020 * math.hypot(1, slope)
        assert of("tailplane-rib", name) == pytest.approx(wanted, abs=0.001)


def test_flat_widths_agree_with_the_handbooks_bend_deduction() -> None:
    """FAA-H-8083-31 ch. 4: flat width = outside legs - deductions; sight line one radius from the tangent."""
    shop = load_shop(SCENARIO)
    for kind_id in ("front-spar", "rear-spar"):
        kind = shop.kinds[kind_id]
        web = shop.figures.number(kind, "web_height", "in")
        flat = 2 * 0.75 + web
        for bend, line in (("upper_bend", "sight_line"), ("lower_bend", "lower_sight_line")):
            taken = bend_deduction(0.032, 0.125, shop.figures.number(kind, bend, "deg"))
            flat -= taken.deduction_in
            sight = 0.75 - taken.setback_in + 0.125
            assert shop.figures.number(kind, line, "in") == pytest.approx(sight, abs=1e-9)
        assert shop.figures.number(kind, "flat_width", "in") == pytest.approx(flat, abs=1e-9)
