"""Every line of text on a printed page is read back out of the PDF, and lies within the printer's margins."""

from itertools import pairwise
from pathlib import Path

import pypdfium2
import pytest

from kiosk.drawing.block_drawing import draw_block
from kiosk.drawing.marks import Drawing, Words
from kiosk.drawing.pages import MARGIN_IN, Page, one_sheet, tiles
from kiosk.drawing.pdf import save_pdf
from kiosk.drawing.rib_drawing import draw_rib
from kiosk.numbers.aerofoil import naca
from kiosk.numbers.rib import lay_out
from tests.numbers.ribs import inputs

RIB = lay_out(naca("2412"), inputs(front_station=0.2, rear_station=0.7))
LONG = lay_out(naca("4512"), inputs(chord_in=120.0, front_station=0.05, rear_station=0.9))
TITLE = "Main rib 102 of the left wing, form block, left hand"


def furthest_right_in(page: Page, path: Path) -> float:
    """The right edge of the rightmost letter on a page, as pdfium sets it."""
    save_pdf([page], path)
    text = pypdfium2.PdfDocument(path)[0].get_textpage()
    boxes = [text.get_charbox(number) for number in range(text.count_chars())]
    return float(max(right for _, _, right, _ in boxes)) / 72


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize(
    "drawing",
    [
        draw_block(RIB, TITLE, "left", 101.0),
        draw_rib(RIB, TITLE, "left"),
        draw_rib(LONG, TITLE, "left"),
        Drawing(TITLE, draw_rib(RIB, TITLE).marks, ("WWWW MMMM " * 40, "illi " * 200)),
    ],
    ids=["block", "rib", "long rib", "wide letters"],
)
def test_no_line_of_the_first_page_or_of_the_sheet_runs_out(
    drawing: Drawing, paper: str, tmp_path: Path
) -> None:
    for page in (tiles(drawing, paper)[0], one_sheet(drawing)):
        assert furthest_right_in(page, tmp_path / "a.pdf") <= page.width_in - MARGIN_IN + 0.01


def test_the_names_on_a_map_of_many_pages_do_not_touch() -> None:
    first = tiles(draw_rib(LONG, TITLE, "left"), "letter")[0]
    names = [
        mark
        for mark in first.beside
        if isinstance(mark, Words)
        and mark.align == "middle"
        and mark.text[:1] == "A"
        and mark.text[1:].isdigit()
    ]
    assert len(names) >= 11
    middles = sorted(mark.at[0] for mark in names)
    pitch = min(b - a for a, b in pairwise(middles))
    # Adobe Font Metrics of Helvetica: A 667, digits 556 thousandths of the size, 1.35 of a capital's height.
    widest = max(1.35 * mark.height_in * (667 + 556 * (len(mark.text) - 1)) / 1000 for mark in names)
    assert widest < pitch and names[0].height_in > 0.05
