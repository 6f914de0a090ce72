"""A rib's outlines against shapely, and the limits of a straight edge."""

import math
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import ezdxf
import pytest
import shapely

from kiosk.drawing.dxf import save_dxf
from kiosk.drawing.marks import SCALE_BAR_IN, along, draw_rib
from kiosk.drawing.plot import rib_plot
from kiosk.drawing.svg import to_svg
from kiosk.errors import KioskError
from kiosk.numbers.aerofoil import Section, naca
from kiosk.numbers.cut_outs import CutOut
from kiosk.numbers.flanges import flute_uptake_in
from kiosk.numbers.result import OutOfRange
from kiosk.numbers.rib import Rib, RibInputs, developed_flange_in, lay_out, offset, turning_deg
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.rib_of_kind import read_cut_outs, rib_of_kind

SCENARIO = data_folder("scenarios") / "brambling"


def inputs(**changes: Any) -> RibInputs:
    given: dict[str, Any] = {
        "chord_in": 50.0,
        "front_station": 0.025,
        "rear_station": 0.2,
        "skin_in": 0.025,
        "thickness_in": 0.025,
        "bend_radius_in": 0.125,
        "flange_width_in": 0.625,
    }
    return RibInputs(**{**given, **changes})


@pytest.fixture
def nose() -> Rib:
    return lay_out(naca("2412", points=2000), inputs())


def test_the_heights_are_the_sections_less_the_skins(nose: Rib) -> None:
    # NACA 2412 at 20 %: 7.2607 and -4.2278 percent (published lofting table), chord 50, two skins of
    # .025; they are taken square to the surface, which at this slope adds under .001.
    assert nose.rear_height_in == pytest.approx((7.2607 + 4.2278) / 2 - 0.05, abs=0.001)


def test_outlines_stand_where_shapely_puts_them(nose: Rib) -> None:
    for side, sign in ((nose.upper, 1), (nose.lower, -1)):
        web = shapely.LineString(side.outline)
        inner = shapely.LineString(side.block)
        outer = shapely.LineString(side.blank)
        for line, away in ((inner, 0.025), (outer, developed_flange_in(nose.inputs))):
            for share in (0.1, 0.3, 0.5, 0.7, 0.9):
                assert web.distance(line.interpolate(share, normalized=True)) == pytest.approx(away, abs=5e-4)
        middle = side.outline[len(side.outline) // 2]
        assert sign * (outer.interpolate(0.5, normalized=True).y - middle[1]) > 0
        assert sign * (inner.interpolate(0.5, normalized=True).y - middle[1]) < 0
    assert shapely.Polygon(nose.web).is_valid and shapely.Polygon(nose.blank).is_valid


def test_the_edge_is_longer_by_flange_times_turning() -> None:
    """On a circle the excess of the flat edge is exactly width x angle (derived: plain geometry)."""
    arc = [(20 * math.sin(a), 20 * math.cos(a)) for a in [n * 0.3 / 200 for n in range(201)]]
    flat_edge = offset(arc, 0.625)

    def length(points: list[tuple[float, float]]) -> float:
        return sum(math.dist(a, b) for a, b in pairwise(points))

    assert length(flat_edge) - length(arc) == pytest.approx(0.625 * 0.3, abs=2e-3)
    assert turning_deg(arc) == pytest.approx(math.degrees(0.3), abs=0.1)


def test_flutes_take_up_the_edge_and_miss_every_rivet(nose: Rib) -> None:
    for side in (nose.upper, nose.lower):
        taken = sum(flute_uptake_in(nose.inputs.flute_width_in, depth) for depth in side.flute_depths_in)
        assert taken == pytest.approx(side.shrink_in, abs=1e-6)
        for flute in side.flutes_in:
            gap = min(abs(flute - rivet) for rivet in side.rivets_in) - nose.inputs.flute_width_in / 2
            assert gap >= nose.inputs.rivet_clear_in - 1e-9


MIDDLE = CutOut(0.11, 1.5, 2.0, "middle")
TOP = CutOut(0.12, 0.75, 0.6, "top")
BOTTOM = CutOut(0.09, 1.0, 0.5, "bottom")


@pytest.mark.parametrize(
    ("front", "rear", "cut_outs"),
    [
        (0.025, 0.2, (MIDDLE, TOP, BOTTOM)),  # the nose, where the outline still opens
        (
            0.3,
            0.8,
            (
                CutOut(0.5, 1.5, 2.0, "middle"),
                CutOut(0.65, 2.0, 0.6, "top"),
                CutOut(0.6, 2.0, 0.5, "bottom"),
            ),
        ),
    ],
)
def test_cut_outs_take_away_what_shapely_takes_away(
    front: float, rear: float, cut_outs: tuple[CutOut, ...]
) -> None:
    """Web and blank with cut-outs against shapely's difference of the plain outline and boxes."""
    section = naca("2412", points=2000)
    stations = {"front_station": front, "rear_station": rear, "rivet_pitch_in": 1.25}
    whole = lay_out(section, inputs(**stations))
    cut = lay_out(section, inputs(**stations, cut_outs=cut_outs))
    for plain, made in ((whole.web, cut.web), (whole.blank, cut.blank), (whole.block, cut.block)):
        wanted = shapely.Polygon(plain)
        for notch in cut_outs[1:]:
            side, sign = (whole.upper, 1) if notch.edge == "top" else (whole.lower, -1)
            left, right = 50 * notch.station - notch.width_in / 2, 50 * notch.station + notch.width_in / 2
            heights = shapely.LineString(side.outline).intersection(shapely.box(left, -9, right, 9))
            innermost = heights.bounds[1] if sign > 0 else heights.bounds[3]
            floor = innermost - sign * notch.depth_in
            wanted = wanted.difference(shapely.box(left, min(floor, sign * 9), right, max(floor, sign * 9)))
        found = shapely.Polygon(made)
        assert found.is_valid
        assert found.symmetric_difference(wanted).area == pytest.approx(0, abs=1e-6)
    (opening,) = cut.openings
    assert shapely.Polygon(opening).area == pytest.approx(1.5 * 2.0)
    assert shapely.Polygon(cut.web).contains(shapely.Polygon(opening))


def test_rivets_and_flutes_stay_clear_of_cut_outs() -> None:
    cut = lay_out(naca("2412", points=2000), inputs(cut_outs=(TOP, BOTTOM), rivet_pitch_in=1.25))
    for side, sign, notch in ((cut.upper, 1, TOP), (cut.lower, -1, BOTTOM)):
        front, rear = 50 * notch.station - notch.width_in / 2, 50 * notch.station + notch.width_in / 2
        assert side.rivets_in and side.flutes_in
        for at in side.rivets_in:
            x = along(side.uncut, at, sign)[0][0]
            assert x < front - 0.4 or x > rear + 0.4  # the end distance is .5 along the flange
        for at in side.flutes_in:
            x = along(side.uncut, at, sign)[0][0]
            assert x < front - 0.25 or x > rear + 0.25
        taken = sum(flute_uptake_in(0.5, depth) for depth in side.flute_depths_in)
        assert taken == pytest.approx(side.shrink_in, abs=1e-6)


@pytest.mark.parametrize(
    "cut_outs",
    [
        (CutOut(0.03, 1.0, 0.5, "top"),),  # reaches beyond the front
        (CutOut(0.11, 1.5, 6.0, "middle"),),  # higher than the web
        (CutOut(0.11, 1.0, 0.5, "top"), CutOut(0.12, 1.0, 0.5, "top")),  # overlap
        (CutOut(0.075, 1.0, 0.5, "top"), CutOut(0.11, 1.0, 0.5, "top")),  # too little flange between
        (CutOut(0.1, 0.0, 0.5, "top"),),
        (CutOut(0.11, 1.0, 8.0, "top"),),  # through the whole rib
    ],
)
def test_cut_outs_that_cannot_be_are_refused(cut_outs: tuple[CutOut, ...]) -> None:
    with pytest.raises(OutOfRange):
        lay_out(naca("2412"), inputs(cut_outs=cut_outs))


def test_cut_outs_are_read_as_written() -> None:
    assert read_cut_outs(".35 5/8 x 7/8 middle; .5 1-1/4 x 3/4 top") == (
        CutOut(0.35, 0.625, 0.875, "middle"),
        CutOut(0.5, 1.25, 0.75, "top"),
    )
    assert read_cut_outs("") == ()
    for text in (".35 5/8 middle", "half 1 x 1 top", ".5 1 x 1 side", ".5 wide x 1 top"):
        with pytest.raises(KioskError):
            read_cut_outs(text)


def test_a_straight_edge_has_no_flutes_and_no_stretch() -> None:
    wedge = Section(
        "wedge", tuple((n / 50, 0.06) for n in range(51)), tuple((n / 50, -0.06) for n in range(51))
    )
    rib = lay_out(wedge, inputs(front_station=0.1, rear_station=0.6))
    for side in (rib.upper, rib.lower):
        assert side.flutes_in == () and side.shrink_in == pytest.approx(0, abs=1e-9)
        assert side.stretch_percent == 0


def test_a_hollow_edge_is_stretched(nose: Rib) -> None:
    hollow = Section(
        "hollow",
        tuple((n / 100, 0.2 + 0.5 * (n / 100 - 0.5) ** 2) for n in range(101)),
        tuple((n / 100, -0.1) for n in range(101)),
    )
    rib = lay_out(hollow, inputs(front_station=0.2, rear_station=0.8))
    assert rib.upper.turning_deg < 0 and rib.upper.stretch_percent > 0


@pytest.mark.parametrize("kind", ["nose-rib", "main-rib", "trailing-rib", "tailplane-rib"])
def test_the_scenarios_ribs_are_laid_out_from_their_dimensions(kind: str) -> None:
    shop = load_shop(SCENARIO)
    rib = shop.figures.rib(shop.kinds[kind])
    asked: dict[str, object] = {}

    def ask(name: str) -> str | float | None:
        asked[name] = shop.kinds[kind].written(name)
        return str(asked[name]) if asked[name] is not None else None

    assert rib_of_kind(kind, ask, SCENARIO) == rib
    assert {"section", "chord", "skin", "thickness", "rivet_pitch"} <= set(asked)


def test_a_dxf_opens_again_at_full_size(nose: Rib, tmp_path: Path) -> None:
    save_dxf(draw_rib(nose, "test"), tmp_path / "rib.dxf")
    document = ezdxf.readfile(tmp_path / "rib.dxf")
    assert document.units == ezdxf.units.IN
    space = document.modelspace()
    lines = {line.dxf.layer: line for line in space.query("LWPOLYLINE") if line.closed}
    web = [point[:2] for point in lines["WEB"].get_points()]
    assert max(x for x, _ in web) - min(x for x, _ in web) == pytest.approx(50 * 0.175, abs=0.02)
    assert shapely.Polygon(web).area == pytest.approx(shapely.Polygon(nose.web).area, rel=1e-9)
    bar = next(line for line in space.query("LWPOLYLINE[layer=='SCALE']"))
    ends = bar.get_points()
    assert math.dist(ends[0][:2], ends[1][:2]) == pytest.approx(SCALE_BAR_IN)
    assert len(space.query("CIRCLE[layer=='HOLES']")) == len(nose.tooling_holes)
    flutes = len(nose.upper.flutes_in) + len(nose.lower.flutes_in)
    assert len(space.query("LWPOLYLINE[layer=='FLUTES']")) == flutes


def test_the_svg_is_full_size(nose: Rib) -> None:
    root = ElementTree.fromstring(to_svg(draw_rib(nose, "a [b] & <c>")))
    width = float(root.attrib["width"].removesuffix("in"))
    assert float(root.attrib["viewBox"].split()[2]) == pytest.approx(width)
    web = next(one for one in root.iter() if one.attrib.get("class") == "WEB")
    xs = [float(pair.split(",")[0]) for pair in web.attrib["points"].split()]
    assert max(xs) - min(xs) == pytest.approx(8.75, abs=0.02)


def test_the_plot_shows_flutes(nose: Rib) -> None:
    text = rib_plot(nose)
    assert "\x1b" not in text
    flutes = len(nose.upper.flutes_in) + len(nose.lower.flutes_in)
    assert text.count("x") == flutes + 2 and "xx flute" in text  # two stand in the key


@pytest.mark.parametrize(
    "changes",
    [
        {"chord_in": 0.5},
        {"front_station": 0.3},
        {"flange_width_in": 0.1},
        {"rear_station": 1.2},
        {"rivet_pitch_in": 0.4},
    ],
)
def test_what_makes_no_rib_is_refused(changes: dict[str, float]) -> None:
    with pytest.raises(OutOfRange):
        lay_out(naca("2412"), inputs(**changes))
