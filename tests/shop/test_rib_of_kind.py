"""The rib of a part kind: dimensions as they are written, and what cannot be read."""

from pathlib import Path

import pytest

from kiosk.errors import KioskError
from kiosk.numbers.aerofoil import naca
from kiosk.numbers.cut_outs import CutOut
from kiosk.numbers.rib import Rib
from kiosk.shop.data import data_folder
from kiosk.shop.files import ReadOnce
from kiosk.shop.load import load, load_shop
from kiosk.shop.rib_of_kind import RIB_FIGURES, RibFault, read_cut_outs, rib_figure, rib_of_kind

SCENARIO = data_folder("scenarios") / "brambling"
NOSE = {
    "section": "2412",
    "chord": "50",
    "front_station": ".025",
    "rear_station": ".2",
    "skin": ".025",
    "thickness": ".025",
    "bend_radius": "1/8",
    "flange_width": "5/8",
}
MAIN = {"front_station": ".2", "rear_station": ".7", "rivet_pitch": "1-1/2"}


def made(**written: str) -> Rib:
    dimensions: dict[str, str] = {**NOSE, **written}
    return rib_of_kind("nose-rib", dimensions.get, ReadOnce(SCENARIO))


def test_every_dimension_reaches_the_rib() -> None:
    rib = made(
        **MAIN,
        front_flange="down",
        rear_flange="Up",
        rear_flange_width="3/4",
        front_rivets="4",
        rivet_end=".6",
        rivet_diameter="3/32",
        rivet_edge=".3",
        rivet_clear=".2",
        flute_width=".4",
        flute_depth="1/16",
        cut_out_radius="3/16",
        tooling_hole="1/4",
        tooling_hole_stations=".25, .5",
        spar_cut_outs=".35 5/8 x 7/8 middle; .6 1 x 3/4 top",
        lightening_hole_stations=".28, .43",
        cut_out="1.5",
        flange_slant="1/8",
    )
    given = rib.inputs
    assert (given.front_flange, given.rear_flange, given.end_width_in("rear")) == ("down", "up", 0.75)
    assert (given.front_rivets, given.rear_rivets, given.rivet_end_in) == (4, 0, 0.6)
    assert (given.rivet_diameter_in, given.rivet_line_in, given.rivet_clearance_in) == (0.09375, 0.3, 0.2)
    assert (given.flute_width_in, given.flute_depth_in, given.cut_out_radius_in) == (0.4, 0.0625, 0.1875)
    assert [hole.diameter_in for hole in rib.tooling_holes] == [0.25, 0.25]
    assert [(one.diameter_in, one.rim_in) for one in rib.lightening_holes] == [(1.5, 1.75)] * 2
    assert [one.edge for one in given.cut_outs] == ["middle", "top"]


def test_what_is_left_out_means_what_it_meant() -> None:
    rib = made()
    assert rib.ends == () and rib.lightening_holes == () and len(rib.tooling_holes) == 3
    assert made(tooling_hole_stations="none").tooling_holes == ()
    assert made(front_flange="none").ends == ()


def test_a_rib_begins_at_the_nose() -> None:
    for written in ("nose", "Nose", "0"):
        rib = made(front_station=written)
        assert rib.inputs.front_station == 0 and rib.front_height_in == 0


@pytest.mark.parametrize(
    ("written", "dimension", "words"),
    [
        ({"front_flange": "inward"}, "front_flange", "write none, down, up"),
        ({"rear_rivets": "some"}, "rear_rivets", "no whole number"),
        ({"rear_rivets": "inf"}, "rear_rivets", "no whole number"),
        ({"front_station": "half"}, "front_station", "no share of the chord"),
        ({"rear_station": "nan"}, "rear_station", "not a number"),
        ({"tooling_hole_stations": ".05, x"}, "tooling_hole_stations", "no share"),
        ({"tooling_hole_stations": ".05, .3"}, "tooling_hole_stations", "beyond the rib"),
        ({"lightening_hole_stations": ".1"}, "lightening_hole_stations", "without the holes' size"),
        ({"lightening_hole_stations": ".1", "finished_hole": "9"}, "lightening_hole_stations", "to a bend"),
        ({"flute_width": "wide"}, "flute_width", "not a length"),
        ({"rivet_pitch": ".4"}, "rivet_pitch", "make rivet_pitch 0.5"),
        ({"rivet_pitch": "3/4", "flute_width": "1/2"}, "flute_width", "write flute_width"),
        ({"flange_width": "1/8"}, "flange_width", "no wider than its bend"),
        ({"tooling_hole": "3"}, "tooling_hole", "write tooling_hole smaller"),
        (
            {
                **MAIN,
                "spar_cut_outs": ".4 1 x 3.2 top; .4 1 x 3.2 bottom",
            },  # once passed, and severed the web
            "spar_cut_outs",
            "run into each other",
        ),
    ],
)
def test_what_makes_no_rib_names_the_dimension(written: dict[str, str], dimension: str, words: str) -> None:
    with pytest.raises(RibFault, match=words) as caught:
        made(**written)
    assert caught.value.dimension == dimension


def test_cut_outs_are_read_as_written() -> None:
    assert read_cut_outs(".35 5/8 x 7/8 middle; .5 1-1/4 x 3/4 top") == (
        CutOut(0.35, 0.625, 0.875, "middle"),
        CutOut(0.5, 1.25, 0.75, "top"),
    )
    assert read_cut_outs("") == ()
    for text in (".35 5/8 middle", "half 1 x 1 top", ".5 1 x 1 side", ".5 wide x 1 top"):
        with pytest.raises(KioskError):
            read_cut_outs(text)


def test_every_figure_is_read_off_the_rib() -> None:
    rib = made(**MAIN, rear_flange="down", lightening_hole_stations=".3", finished_hole="2")
    found = {name: rib_figure(rib, name).found for name in RIB_FIGURES}
    assert found["front_height"].value == rib.front_height_in
    assert found["blank_width"].value == rib.blank_width_in
    assert found["rear_flange_length"].value == rib.ends[0].length_in
    assert found["front_flange_length"].value == 0
    assert (found["lightening_holes"].value, found["tooling_holes"].value, found["reliefs"].value) == (
        1,
        3,
        2,
    )
    assert found["edge_stretch"].value == 0
    # NACA 2412 at 20 %, upper: rising; at 70 % falling, by the slope of the published formulas.
    assert 5.5 < float(found["front_upper_bevel"].value) < 6.5
    assert -8 < float(found["rear_upper_bevel"].value) < -7
    assert abs(float(found["front_lower_bevel"].value)) < 1 < float(found["rear_lower_bevel"].value) < 4.5


@pytest.mark.parametrize("kind", ["nose-rib", "main-rib", "trailing-rib", "tailplane-rib"])
def test_the_scenarios_ribs_are_what_their_dimensions_say(kind: str) -> None:
    """Blank, rivets, flutes and holes are read off the layout: nothing is typed twice."""
    shop = load_shop(SCENARIO)
    own = shop.kinds[kind]
    rib = shop.figures.rib(own)
    for name, value in {
        "blank_length": rib.blank_length_in,
        "blank_width": rib.blank_width_in,
        "front_height": rib.front_height_in,
        "rear_height": rib.rear_height_in,
        "flange_rivets": len(rib.upper.rivets) + len(rib.lower.rivets),
        "flutes": len(rib.upper.flutes) + len(rib.lower.flutes),
        "tooling_holes": len(rib.tooling_holes),
        **({"reliefs": len(rib.reliefs), "relief_hole": rib.reliefs[0].diameter_in} if rib.reliefs else {}),
    }.items():
        assert not isinstance(own.written(name), str), name
        unit = "in" if isinstance(value, float) else "count"
        assert shop.figures.number(own, name, unit) == pytest.approx(value)
    # Clips hold the main ribs.
    ends = {"nose-rib": 1, "main-rib": 0, "trailing-rib": 1, "tailplane-rib": 2}
    assert len(rib.ends) == ends[kind] and not rib.warnings
    if kind in ("main-rib", "tailplane-rib"):
        assert shop.figures.number(own, "lightening_holes", "count") == len(rib.lightening_holes) > 1


def test_check_warns_of_what_is_under_a_published_minimum(tmp_path: Path) -> None:
    text = (SCENARIO / "shop.yaml").read_text(encoding="utf-8")
    (tmp_path / "shop.yaml").write_text(
        text.replace("flange_width: 1/2", "flange_width: .45"), encoding="utf-8"
    )
    (tmp_path / "procedures").mkdir()
    warned = [one for one in load(tmp_path, lint=True).faults if "2 diameters" in one.wrong]
    assert {one.severity for one in warned} == {"warning"} and len(warned) == 3  # and both end flanges
    lines = text.replace("flange_width: 1/2", "flange_width: .45").splitlines()
    assert "flange_width: .45" in [lines[one.line - 1].strip() for one in warned]


def test_check_warns_of_steps_left_out_that_the_layout_needs(tmp_path: Path) -> None:
    """A rib kind that does not name its reliefs would be made without them (FAA-H-8083-31 ch. 4)."""
    text = (SCENARIO / "shop.yaml").read_text(encoding="utf-8")
    for line in ("      reliefs: {rib: reliefs}\n", "      cut_outs: {rib: cut_outs}\n"):
        assert line in text
        text = text.replace(line, "").replace("      relief_hole: {rib: relief_hole}\n", "")
    (tmp_path / "shop.yaml").write_text(text, encoding="utf-8")
    warned = [one for one in load(tmp_path, lint=True).faults if "steps that make them" in one.wrong]
    assert {one.severity for one in warned} == {"warning"}
    assert [one.wrong.split(":")[0] for one in warned] == [
        "nose-rib", "trailing-rib", "tailplane-rib", "tailplane-rib",
    ]  # fmt: skip
    (cut_outs,) = [one for one in warned if "1 cut outs" in one.wrong]
    assert "add cut_outs: {rib: cut_outs}" in cut_outs.mend


def test_a_file_of_coordinates_lies_in_the_shop(tmp_path: Path) -> None:
    section = naca("2412", points=40)
    rows = [*reversed(section.upper), *section.lower[1:]]
    (tmp_path / "wing.dat").write_text("wing\n" + "\n".join(f"{x:.6f} {y:.6f}" for x, y in rows))
    written = {**NOSE, "section": "wing.dat"}
    rib = rib_of_kind("nose-rib", written.get, ReadOnce(tmp_path))
    assert rib.rear_height_in == pytest.approx(made().rear_height_in, abs=1e-3)
    with pytest.raises(RibFault, match="cannot be read") as caught:
        rib_of_kind("nose-rib", {**NOSE, "section": "none.dat"}.get, ReadOnce(tmp_path))
    assert caught.value.dimension == "section"
