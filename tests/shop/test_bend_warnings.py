"""A bend radius is compared with AC 43.13-1B Table 4-6, by the direction of the grain."""

from pathlib import Path

import pytest

from kiosk.shop.load import load

# AC 43.13-1B Table 4-6, 2024-T3: .032 sheet 2 to 4 times its thickness, .016 sheet 1.5 to 3.
LOWEST_IN, SAFE_IN = 2 * 0.032, 4 * 0.032
CLIP_LOWEST_IN = 2 * 0.025


def told(new_shop: Path, kind: str, radius: str) -> list[str]:
    path = new_shop / "shop.yaml"
    text = path.read_text(encoding="utf-8")
    at = text.index(f"  - id: {kind}")
    path.write_text(
        text[:at] + text[at:].replace("bend_radius: 1/8", f"bend_radius: {radius}", 1), encoding="utf-8"
    )
    return [str(fault) for fault in load(new_shop, lint=True).faults if "Table 4-6" in str(fault)]


@pytest.mark.parametrize("radius", ["1/64", "1/32", "3/32"])
def test_a_bend_along_the_grain_is_held_to_the_upper_end(new_shop: Path, radius: str) -> None:
    (warning,) = told(new_shop, "front-spar", radius)
    assert f"is less than {SAFE_IN:.3f} in, bent along the grain" in warning
    assert f"Table 4-6: {LOWEST_IN:.3f} to {SAFE_IN:.3f}" in warning and "shop.yaml" in warning


def test_a_bend_across_the_grain_is_held_to_the_lower_end(new_shop: Path) -> None:
    assert told(new_shop, "rib-clip", "3/32") == []


def test_a_bend_across_the_grain_under_the_table_is_told(new_shop: Path) -> None:
    (warning,) = told(new_shop, "rib-clip", "3/64")
    assert f"bend_radius 0.047 in of 'rib-clip' is less than {CLIP_LOWEST_IN:.3f} in (" in warning


def test_an_eighth_is_as_near_as_its_bar_to_the_tables_128_thousandths(new_shop: Path) -> None:
    assert told(new_shop, "front-spar", "1/8") == []


@pytest.mark.parametrize(
    ("old", "new", "wrong"),
    [
        (
            "blank_length: 3\n",
            "blank_length: 999\n",
            "blank_length is 999 in, which no sheet is long enough for",
        ),
        ("front_height: {rib: front_height}\n", "front_height: -1\n", "front_height is -1, which is no size"),
        ("grain: across\n", "grain: Across\n", "grain 'Across' of 'rib-clip' is not known"),
        ("grain: across\n", "bend_grain: sideways\n      grain: across\n", "bend_grain 'sideways'"),
        ("grain: across\n", "\n", "part kind 'rib-clip' has no dimension 'grain'"),
    ],
)
def test_what_no_blank_can_be_is_refused_with_its_line(
    new_shop: Path, old: str, new: str, wrong: str
) -> None:
    path = new_shop / "shop.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    errors = [str(fault) for fault in load(new_shop, lint=True).errors]
    assert any(wrong in error and "shop.yaml:" in error for error in errors), errors
