"""A rib on paper: pages printed and measured in pixels, SVG and DXF opened again, lines told apart."""

import math
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pypdfium2
import pytest
import shapely

from kiosk.drawing.dxf import save_dxf
from kiosk.drawing.layers import LAYERS
from kiosk.drawing.marks import Circle, Drawing, Line, Words, bounds_of
from kiosk.drawing.pages import OVERLAP_IN, PAPER_IN, Page, one_sheet, tiles
from kiosk.drawing.pdf import save_pdf
from kiosk.drawing.plot import rib_plot
from kiosk.drawing.rib_drawing import draw_rib
from kiosk.drawing.scale_bar import SCALE_BAR_IN, SHORT_BAR_IN
from kiosk.drawing.svg import to_svg
from kiosk.numbers.aerofoil import naca
from kiosk.numbers.rib import Rib, lay_out
from kiosk.numbers.rib_inputs import LighteningHole
from tests.numbers.ribs import inputs

DOTS = 300  # to the inch


@pytest.fixture(scope="module")
def main_rib() -> Rib:
    holes = tuple(LighteningHole(station, 2.854, 3.354) for station in (0.3, 0.43, 0.56))
    return lay_out(
        naca("2412"),
        inputs(
            front_station=0.2,
            rear_station=0.7,
            rivet_pitch_in=1.5,
            front_flange="down",
            rear_flange="down",
            front_rivets=4,
            lightening_holes=holes,
        ),
    )


@pytest.fixture(scope="module")
def drawing(main_rib: Rib) -> Drawing:
    return draw_rib(main_rib, "main rib", "right")


def printed(path: Path, number: int) -> np.ndarray:
    """A page as dark and light dots, as a printer of 300 dots to the inch would set it."""
    page = pypdfium2.PdfDocument(path)[number]
    return np.asarray(page.render(scale=DOTS / 72, grayscale=True).to_numpy()).squeeze() < 128


def longest_run(dots: np.ndarray) -> float:
    """The longest unbroken dark run of the rows, in inches."""
    best = 0
    for row in dots:
        edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
        best = max(best, int((edges[1::2] - edges[::2]).max(initial=0)))
    return best / DOTS


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_bars_of_a_printed_page_are_as_long_as_they_say(
    drawing: Drawing, paper: str, tmp_path: Path
) -> None:
    pages = tiles(drawing, paper)
    save_pdf(pages, tmp_path / "rib.pdf")
    document = pypdfium2.PdfDocument(tmp_path / "rib.pdf")
    assert len(document) == len(pages) > 2
    short, long = PAPER_IN[paper]
    for number in range(len(pages)):
        size = [one / 72 for one in document[number].get_size()]
        assert sorted(size) == pytest.approx([short, long], abs=1e-3)
        dots = printed(tmp_path / "rib.pdf", number)
        strip = int(0.7 * DOTS)
        along, across = dots[-strip:, :], dots[:, :strip].T
        lengths = (SCALE_BAR_IN, SHORT_BAR_IN) if size[0] > size[1] else (SHORT_BAR_IN, SCALE_BAR_IN)
        # A dot at each end, and half a line's width.
        assert longest_run(along) == pytest.approx(lengths[0], abs=0.02)
        assert longest_run(across) == pytest.approx(lengths[1], abs=0.02)


def test_a_printed_lightening_hole_is_as_wide_as_it_is_cut(drawing: Drawing, tmp_path: Path) -> None:
    """The picture itself, not the bar alone: the first hole's circle measured in dots."""
    pages = tiles(drawing, "letter")
    save_pdf(pages, tmp_path / "rib.pdf")
    number, circle = next(
        (n, mark)
        for n, page in enumerate(pages)
        for mark in page.picture
        if isinstance(mark, Circle) and mark.layer == "HOLES" and mark.radius_in > 1
    )
    dots = printed(tmp_path / "rib.pdf", number)
    x, y = circle.centre[0] * DOTS, dots.shape[0] - circle.centre[1] * DOTS
    row = dots[round(y + 0.3 * DOTS)]  # below the centre's cross
    dark = np.flatnonzero(row)
    right = dark[dark > x + 1.2 * DOTS][0]
    left = dark[dark < x - 1.2 * DOTS][-1]
    chord = 2 * math.sqrt(1.427**2 - 0.3**2)
    assert (right - left) / DOTS == pytest.approx(chord, abs=0.02)


def _within_window(page: Page) -> shapely.Polygon:
    assert page.window is not None
    box = page.window
    return shapely.box(box.left, box.bottom, box.right, box.top)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_tiles_show_everything_and_meet_at_register_marks(drawing: Drawing, paper: str) -> None:
    _, *pages = tiles(drawing, paper)
    blanks = {}
    marks: dict[str, list[tuple[Page, tuple[float, float]]]] = {}
    for page in pages:
        (blank,) = [mark for mark in page.picture if isinstance(mark, Line) and mark.layer == "BLANK"]
        blanks[page.name] = blank.points[0]
        for mark in page.picture:
            if not isinstance(mark, Words) or mark.layer != "REGISTER":
                continue
            if _within_window(page).contains(shapely.Point(mark.at)):
                marks.setdefault(mark.text, []).append((page, mark.at))
    seen = []
    for page in pages:
        window = _within_window(page)
        shift = (-blanks[page.name][0], -blanks[page.name][1])  # back to one place for all
        seen.append(shapely.transform(window, lambda at, shift=shift: at + shift))
    whole = bounds_of(drawing.marks)
    first = next(mark for mark in drawing.marks if isinstance(mark, Line) and mark.layer == "BLANK").points[0]
    box = shapely.box(
        whole.left - first[0], whole.bottom - first[1], whole.right - first[0], whole.top - first[1]
    )
    assert shapely.union_all(seen).buffer(1e-9).covers(box)
    for one, two in combinations(seen, 2):
        shared = one.intersection(two)
        if not shared.is_empty:
            left, bottom, right, top = shared.bounds
            assert min(right - left, top - bottom) == pytest.approx(OVERLAP_IN)
    assert len(pages) == 1 or marks
    for number, places in marks.items():
        assert len(places) >= 2, number  # on both pages, the same distance from the drawing
        ats = {
            (round(at[0] - blanks[page.name][0], 6), round(at[1] - blanks[page.name][1], 6))
            for page, at in places
        }
        assert len(ats) == 1


def test_nothing_of_a_page_lies_where_printers_leave_white(drawing: Drawing) -> None:
    for paper in PAPER_IN:
        for page in tiles(drawing, paper):
            box = bounds_of(page.beside)
            assert min(box.left, box.bottom) >= 0.25
            assert box.right <= page.width_in - 0.25 and box.top <= page.height_in - 0.25
            if page.window:
                assert page.window.right <= page.width_in - 0.25 and page.window.top <= page.height_in - 0.25


def test_lines_are_told_apart_without_colour(drawing: Drawing) -> None:
    lines = {mark.layer for mark in drawing.marks if isinstance(mark, Line)}
    looks = {}
    for name in ("BLANK", "WEB", "BLOCK", "BENDS", "FLUTES"):
        assert name in lines
        looks[name] = (LAYERS[name].width_in, LAYERS[name].dash_in)
    assert len(set(looks.values())) == len(looks)
    words = [mark.text for mark in tiles(drawing, "letter")[0].beside if isinstance(mark, Words)]
    for name in {mark.layer for mark in drawing.marks} - {"NOTES"}:
        assert LAYERS[name].key in words


def test_forward_and_hand_stand_on_the_drawing(main_rib: Rib) -> None:
    def words(drawing: Drawing) -> list[Words]:
        return [mark for mark in drawing.marks if isinstance(mark, Words)]

    left, right = (draw_rib(main_rib, "rib", hand) for hand in ("left", "right"))
    assert [one.text for one in words(left)] == ["FORWARD", "UP", "LEFT", "flanges DOWN"]
    assert [one.text for one in words(right)] == ["FORWARD", "UP", "RIGHT", "flanges DOWN"]

    def outline(drawing: Drawing, layer: str) -> shapely.Polygon:
        return shapely.Polygon(
            next(mark for mark in drawing.marks if isinstance(mark, Line) and mark.layer == layer).points
        )

    turned = shapely.transform(outline(right, "BLANK"), lambda at: at * (-1, 1))
    assert turned.symmetric_difference(outline(left, "BLANK")).area == pytest.approx(0, abs=1e-9)

    def arrow(drawing: Drawing) -> float:
        (x, _), (tip, _) = next(
            mark for mark in drawing.marks if isinstance(mark, Line) and mark.layer == "NOTES" and _long(mark)
        ).points
        return tip - x

    # The aeroplane's left is up x forward, with x to the right of the page, y up it and z toward the eye.
    # Flanges that go away from the eye point to -z: on a left hand up x forward does too.
    for hand, drawn in (("left", left), ("right", right)):
        forward = (math.copysign(1, arrow(drawn)), 0.0, 0.0)
        to_the_left = np.cross((0.0, 1.0, 0.0), forward)
        flanges = np.array((0.0, 0.0, -1.0))
        assert (float(to_the_left @ flanges) > 0) == (hand == "left"), hand


def _long(mark: Line) -> bool:
    return len(mark.points) == 2 and abs(mark.points[0][0] - mark.points[1][0]) > 0.5


def test_a_dxf_opens_again_at_full_size(drawing: Drawing, main_rib: Rib, tmp_path: Path) -> None:
    save_dxf(drawing, tmp_path / "rib.dxf")
    document = ezdxf.readfile(tmp_path / "rib.dxf")
    assert document.units == ezdxf.units.IN
    assert document.header["$MEASUREMENT"] == 0
    assert not document.audit().has_errors
    space = document.modelspace()
    low, high = document.header["$EXTMIN"], document.header["$EXTMAX"]
    box = bounds_of(drawing.marks)
    assert (low[0], high[0], high[1]) == pytest.approx((box.left, box.right, box.top), abs=1e-6)
    assert low[1] < box.bottom  # the scale bar is below
    lines = {line.dxf.layer: line for line in space.query("LWPOLYLINE") if line.closed}
    blank = [point[:2] for point in lines["BLANK"].get_points()]
    assert shapely.Polygon(blank).area == pytest.approx(shapely.Polygon(main_rib.blank).area, rel=1e-9)
    bar = next(iter(space.query("LWPOLYLINE[layer=='SCALE']")))
    ends = bar.get_points()
    assert math.dist(ends[0][:2], ends[1][:2]) == pytest.approx(SCALE_BAR_IN)
    holes = len(main_rib.tooling_holes) + len(main_rib.lightening_holes)
    assert len(space.query("CIRCLE[layer=='HOLES']")) == holes
    assert len(space.query("CIRCLE[layer=='RIVETS']")) == len(main_rib.flat_rivets)
    flutes = len(main_rib.upper.flutes) + len(main_rib.lower.flutes)
    assert len(space.query("LWPOLYLINE[layer=='FLUTES']")) == flutes
    assert document.layers.get("WEB").dxf.linetype != document.layers.get("BLANK").dxf.linetype


def test_one_sheet_is_full_size(main_rib: Rib) -> None:
    root = ElementTree.fromstring(to_svg(one_sheet(draw_rib(main_rib, "a [b] & <c>"))))
    width = float(root.attrib["width"].removesuffix("in"))
    assert float(root.attrib["viewBox"].split()[2]) == pytest.approx(width)
    blank = next(
        one for one in root.iter() if one.tag.endswith("polygon") and one.attrib.get("class") == "BLANK"
    )
    xs = [float(pair.split(",")[0]) for pair in blank.attrib["points"].split()]
    assert max(xs) - min(xs) == pytest.approx(main_rib.blank_length_in, abs=1e-4)
    assert max(xs) < width


def test_a_tile_as_svg_is_cut_to_its_window(drawing: Drawing) -> None:
    page = tiles(drawing, "a4")[1]
    root = ElementTree.fromstring(to_svg(page))
    space = "{http://www.w3.org/2000/svg}"
    rectangle = root.find(f"{space}clipPath/{space}rect")
    assert rectangle is not None and page.window is not None
    assert float(rectangle.attrib["width"]) == pytest.approx(page.window.width_in)
    assert any(one.attrib.get("clip-path") == "url(#window)" for one in root)


def test_the_plot_shows_flutes(main_rib: Rib) -> None:
    text = rib_plot(main_rib)
    assert "\x1b" not in text
    flutes = len(main_rib.upper.flutes) + len(main_rib.lower.flutes)
    assert "xx flute" in text
    assert flutes // 2 <= text.count("x") - 2 <= flutes  # two stand in the key; two may share a place
