"""What is typed of the spar at a rib's end is held to the rib: how its flanges bend, and how far off it is.

The bends themselves are held to the section in ``test_dies_and_spars.py``.
"""

from pathlib import Path

import pytest

from kiosk.shop.load import load
from tests.shop.test_other_homes import folder, put, told

__all__ = ["folder"]

NOSE_REAR = "(the bend of a spar at the rear end of 'nose-rib')"
# Stations are shares of a chord of 50 in: the spars' backs at .2 and .7, their flanges 3/4 wide, 1/16 clear.
FRONT, REAR = 0.2 + (3 / 4 + 1 / 16) / 50, 0.7 - (3 / 4 + 1 / 16) / 50


@pytest.mark.parametrize(
    ("kind", "name", "typed", "wrong"),
    [
        ("nose-rib", "upper_spar_bend", "82", f"84.04 deg {NOSE_REAR}"),
        ("nose-rib", "lower_spar_bend", "84", f"89.43 deg {NOSE_REAR}"),
        ("front-spar", "upper_bend", "82", f"84.04 deg {NOSE_REAR}"),
        ("trailing-rib", "upper_spar_bend", "84",
         "82.58 deg (the bend of a spar at the front end of 'trailing-rib')"),
        ("tailplane-rib", "lower_rear_spar_bend", "90",
         "93.53 deg (the bend of a spar at the rear end of 'tailplane-rib')"),
        ("front-spar", "web_height", "5.932",
         "5.6941 in (the height of 'nose-rib' at its rear end, which gives both bends)"),
        ("rear-spar", "web_height", "5",
         "3.6157 in (the height of 'trailing-rib' at its front end, which gives both bends)"),
        ("main-rib", "front_station", ".2", f"{FRONT:.4f} (as its rear station is worked out)"),
        ("main-rib", "rear_station", ".7", f"{REAR:.4f} (as its front station is worked out)"),
    ],
)  # fmt: skip
def test_it_is_told_with_what_the_rib_gives(
    folder: Path, kind: str, name: str, typed: str, wrong: str
) -> None:
    put(folder, kind, name, typed)
    (fault,) = told(folder, name)
    assert fault.severity == "warning"
    assert fault.wrong == f"{name} {typed} is not what is worked out, {wrong}"


@pytest.mark.parametrize(
    ("kind", "name", "typed"),
    [
        ("nose-rib", "upper_spar_bend", "84"),
        ("nose-rib", "upper_spar_bend", "84.0"),
        ("main-rib", "front_station", ".216"),
        ("main-rib", "rear_station", f"{REAR:.5f}"),
    ],
)
def test_as_closely_as_it_is_printed_it_is_told_nothing(
    folder: Path, kind: str, name: str, typed: str
) -> None:
    put(folder, kind, name, typed)
    assert load(folder, lint=True).faults == []


def test_with_neither_bend_worked_out_it_may_point_either_way(folder: Path) -> None:
    put(folder, "nose-rib", "lower_spar_bend", "90.6")
    put(folder, "nose-rib", "upper_spar_bend", "95.96")
    assert load(folder, lint=True).faults == []
    put(folder, "nose-rib", "upper_spar_bend", "80")
    (fault,) = told(folder, "upper_spar_bend")
    assert f"84.04 deg or 95.96 deg {NOSE_REAR}" in fault.wrong


def test_with_both_ends_typed_each_is_held_to_the_spar_that_the_kind_gives(folder: Path) -> None:
    put(folder, "main-rib", "front_station", ".2")
    put(folder, "main-rib", "rear_station", ".7")
    for name, share in (("front_station", FRONT), ("rear_station", REAR)):
        (fault,) = told(folder, name)
        assert f"{share:.4f} (clear of the spar that it gives)" in fault.wrong


def test_a_rib_that_stands_on_the_spar_keeps_its_station(folder: Path) -> None:
    """A nose rib ends at the spar's back, and gives no spar to be clear of."""
    put(folder, "trailing-rib", "rear_station", ".9")
    assert not any("_station" in fault.wrong for fault in load(folder, lint=True).faults)


@pytest.mark.parametrize(
    ("kind", "end", "wide"), [("nose-rib", "rear", "0.625"), ("tailplane-rib", "front", "0.500")]
)
def test_an_end_flange_that_no_step_measures_any_more_is_told(
    folder: Path, kind: str, end: str, wide: str
) -> None:
    path = folder / "shop.yaml"
    text = path.read_text(encoding="utf-8")
    line = f"      {end}_flange_width: flange_width\n"
    at = text.index(line, text.index(f"  - id: {kind}\n"))
    path.write_text(text[:at] + text[at + len(line) :], encoding="utf-8")
    (fault,) = load(folder, lint=True).faults
    assert text.splitlines()[fault.line - 1].strip().startswith(f"- id: {kind}")
    assert fault.severity == "warning"
    assert f"{kind}: its {end} flange is laid out {wide} in wide" in fault.wrong
    assert f"no dimension '{end}_flange_width'" in fault.wrong


def test_a_rib_without_that_flange_needs_no_width_of_it(folder: Path) -> None:
    assert (
        "front_flange_width"
        not in (folder / "shop.yaml").read_text().split("- id: main-rib")[1].split("route:")[0]
    )
    assert load(folder, lint=True).faults == []
