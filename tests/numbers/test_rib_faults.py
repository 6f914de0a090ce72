"""What makes no rib is refused, with the input to blame and a mend."""

from dataclasses import fields
from typing import Any

import pytest

from kiosk.numbers.aerofoil import Section, naca
from kiosk.numbers.cut_outs import CutOut, Edge
from kiosk.numbers.result import OutOfRange
from kiosk.numbers.rib import lay_out
from kiosk.numbers.rib_inputs import LighteningHole, RibInputs
from tests.numbers.ribs import inputs

MAIN = {"front_station": 0.2, "rear_station": 0.7, "rivet_pitch_in": 1.5}


@pytest.mark.parametrize(
    ("changes", "argument", "words"),
    [
        ({"chord_in": 0.5}, "chord_in", "chord"),
        ({"front_station": -0.1}, "front_station", "before the nose"),
        ({"front_station": 0.3}, "front_station", "begins at 0.3"),
        ({"rear_station": 1.2}, "rear_station", "behind the tail"),
        ({"front_station": 0.5, "rear_station": 1.0}, "rear_station", "too thin"),  # the tail has no height
        ({"skin_in": -0.1}, "skin_in", "below nothing"),
        ({"skin_in": 3.0}, "front_station", "too thin"),
        ({"thickness_in": 0.0}, "thickness_in", "nothing"),
        (
            {"thickness_in": 0.2, "flange_width_in": 2.0, "rear_flange": "down"},
            "thickness_in",
            "beyond the rule",
        ),
        ({"flange_width_in": 0.1}, "flange_width_in", "no wider than its bend"),
        ({"rear_flange": "down", "rear_flange_width_in": 0.1}, "rear_flange_width_in", "no wider"),
        ({"rivet_edge_in": 0.5}, "rivet_edge_in", "into the bend"),
        (
            {"rear_flange": "down", "rear_flange_width_in": 0.2, "rear_rivets": 3},
            "rear_flange_width_in",
            "falls into its bend",
        ),
        ({"flange_width_in": 0.28}, "flange_width_in", "into the bend"),
        ({"rivet_pitch_in": 0.4}, "rivet_pitch_in", "no room for a flute"),
        ({"rivet_pitch_in": 0.0}, "rivet_pitch_in", "nothing"),
        ({"rivet_end_in": 6.0}, "rivet_end_in", "end distances"),
        ({"rivet_clear_in": -1.0}, "rivet_clear_in", "below nothing"),
        ({"flute_width_in": 0.0}, "flute_width_in", "nothing"),
        ({"flute_depth_in": 0.3}, "flute_depth_in", "half its width"),
        ({"rear_flange": "down", "rear_rivets": -1}, "rear_rivets", "no such count"),
        ({"front_station": 0.0, "front_flange": "down"}, "front_flange", "no front end"),
        ({"front_station": 0.0, "nose_relief_in": 20.0}, "nose_relief_in", "longer than the rib"),
        ({"cut_outs": (CutOut(0.1, 0.0, 0.5, "top"),)}, "cut_outs", "no size"),
        ({"cut_outs": (CutOut(0.03, 1.0, 0.5, "top"),)}, "cut_outs", "beyond the rib"),
        ({"cut_outs": (CutOut(0.1, 1.0, 0.1, "top"),)}, "cut_outs", "within the bend"),
        ({"cut_outs": (CutOut(0.11, 1.0, 8.0, "top"),)}, "cut_outs", "through the whole rib"),
        ({"cut_outs": (CutOut(0.11, 1.5, 6.0, "middle"),)}, "cut_outs", "into a bend or out of the web"),
        (
            {"cut_outs": (CutOut(0.11, 1.0, 0.5, "top"), CutOut(0.12, 1.0, 0.5, "top"))},
            "cut_outs",
            "run into each other",
        ),
        (
            {
                "cut_outs": (CutOut(0.075, 1.0, 0.5, "top"), CutOut(0.1, 1.0, 0.5, "top")),
                "rivet_pitch_in": 1.25,
            },
            "cut_outs",
            "less than its two end distances",
        ),
        ({"rear_flange": "down", "cut_outs": (CutOut(0.19, 0.8, 0.5, "top"),)}, "cut_outs", "relief"),
        ({"tooling_hole_stations": (0.3,)}, "tooling_hole_stations", "beyond the rib"),
        ({"tooling_hole_stations": (0.027,)}, "tooling_hole_stations", "to a bend or an end"),
        ({"tooling_hole_in": 3.0}, "tooling_hole_in", "no room for 3"),
        ({"lightening_holes": (LighteningHole(0.1, 2.0, 6.0),)}, "lightening_holes", "to a bend"),
        ({"lightening_holes": (LighteningHole(0.1, 0.0, 0.0),)}, "lightening_holes", "no size"),
        (
            {"lightening_holes": (LighteningHole(0.1, 1.0, 1.5), LighteningHole(0.12, 1.0, 1.5))},
            "lightening_holes",
            "to the lightening hole at 0.1",
        ),
        (
            {"lightening_holes": (LighteningHole(0.1, 1.0, 1.5),), "tooling_hole_stations": (0.1,)},
            "tooling_hole_stations",
            "to the lightening hole at 0.1",
        ),
        (
            {
                "cut_outs": (CutOut(0.1, 1.0, 1.0, "middle"),),
                "lightening_holes": (LighteningHole(0.1, 1, 1.5),),
            },
            "lightening_holes",
            "to the cut-out at 0.1",
        ),
        (
            {"cut_outs": (CutOut(0.1, 1.0, 1.0, "middle"), CutOut(0.11, 1.0, 1.0, "middle"))},
            "cut_outs",
            "run into each other",
        ),
        (
            {"front_station": 0.0, "nose_relief_in": 0.01},
            "rivet_pitch_in",
            "cannot take up",
        ),
    ],
)
def test_a_rib_names_the_guilty_input(changes: dict[str, Any], argument: str, words: str) -> None:
    with pytest.raises(OutOfRange, match=words) as caught:
        lay_out(naca("2412"), inputs(**changes))
    assert caught.value.argument == argument and caught.value.mend
    assert argument in {one.name for one in fields(RibInputs)}


@pytest.mark.parametrize(
    "cut_outs",
    [
        # Once passed with an outline that crosses itself: the two meet in the middle and sever the web.
        (CutOut(0.4, 1.0, 3.2, "top"), CutOut(0.4, 1.0, 3.2, "bottom")),
        (CutOut(0.4, 1.0, 2.0, "middle"), CutOut(0.41, 1.0, 2.0, "middle")),
        (CutOut(0.4, 1.0, 3.0, "top"), CutOut(0.4, 1.0, 2.0, "middle")),
    ],
)
def test_cut_outs_that_meet_are_refused(cut_outs: tuple[CutOut, ...]) -> None:
    with pytest.raises(OutOfRange, match="run into each other") as caught:
        lay_out(naca("2412"), inputs(**MAIN, cut_outs=cut_outs))
    assert caught.value.argument == "cut_outs"


@pytest.mark.parametrize("edge", ["middle", "top"])
def test_cut_outs_keep_an_eighth_of_metal_between_them(edge: Edge) -> None:
    """Once a strip .025 wide and 2 in high stood between two openings."""
    for between_in, refused in ((0.025, True), (0.12, True), (0.13, False)):
        second = 0.45 + (1 + between_in) / 50
        cut_outs = (CutOut(0.45, 1.0, 2.0, "middle"), CutOut(second, 1.0, 2.0, edge))
        if not refused:
            lay_out(naca("2412"), inputs(**MAIN, cut_outs=cut_outs))
            continue
        with pytest.raises(OutOfRange, match=r"leave 0\.\d\d\d in between them, under 0\.125") as caught:
            lay_out(naca("2412"), inputs(**MAIN, cut_outs=cut_outs))
        assert caught.value.argument == "cut_outs"


def test_a_head_of_an_end_flange_on_its_bend_is_told() -> None:
    """A driven head is 1.5 diameters wide (FAA-H-8083-31 ch. 4); the long flanges alone were looked at."""
    for wide, flat in ((0.45, 0.075), (0.5, 0.1)):
        rib = lay_out(naca("2412"), inputs(rear_flange="down", rear_rivets=3, rear_flange_width_in=wide))
        heads = [one for one in rib.warnings if "driven head" in one.wrong]
        assert bool(heads) == (flat < 0.75 * 0.125)
        for one in heads:
            assert one.argument == "rear_flange_width_in" and f"and has {flat:.3f}" in one.wrong


def test_a_section_that_crosses_itself_is_refused() -> None:
    good = naca("2412", points=40)
    crossed = Section("crossed", good.upper, tuple((x, -y + 0.02) for x, y in good.lower))
    swapped = list(good.upper)
    swapped[20], swapped[24] = swapped[24], swapped[20]
    for section in (crossed, Section("swapped", tuple(swapped), good.lower)):
        with pytest.raises(OutOfRange) as caught:
            lay_out(section, inputs(rear_station=0.9))
        assert caught.value.argument in ("section", "front_station", "rear_station")
    with pytest.raises(OutOfRange, match="open in front") as caught:
        blunt = Section("blunt", ((0, 0.05), (0.5, 0.06), (1, 0.05)), ((0, -0.05), (0.5, -0.06), (1, -0.05)))
        lay_out(blunt, inputs(front_station=0.0))
    assert caught.value.argument == "section"


def test_a_hollow_sharper_than_the_flange_is_refused() -> None:
    xs = [n / 200 for n in range(201)]
    dip = [(x, 0.06 - 0.012 * 2.718 ** (-(((x - 0.5) / 0.008) ** 2))) for x in xs]
    section = Section("dip", tuple(dip), tuple((x, -0.06) for x in xs))
    with pytest.raises(OutOfRange) as caught:
        lay_out(section, inputs(front_station=0.3, rear_station=0.7))
    assert caught.value.argument == "flange_width_in"
