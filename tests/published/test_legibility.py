"""The heights that README gives for two metres, against the published least height of characters.

Source: NUREG-0700 rev. 2 (U.S. NRC, Human-System Interface Design Review Guidelines), guideline 1.3.1-4: at
least 16 minutes of arc, 20 to 22 preferred, with height = 6.283 D (MA) / 21600. An excerpt of it was seen.
ISO 9241-3 asks for the same as quoted by a maker of displays; the standard was not seen. The capitals of
words are 1493 of 2384 units of a cell in DejaVu Sans Mono (its own tables, read with fontTools).
"""

import math
import re
from pathlib import Path

import pytest
from textual.geometry import Size

from kiosk.screens.big_text import low_rows, solid_rows
from kiosk.screens.large import scale_of

README = Path(__file__).parents[2] / "README.md"
DISTANCE_MM = 2000.0
LEAST_ARCMIN = 16.0
CAPITAL = 1493 / 2384  # of a cell's height
ROW = re.compile(
    r"^\| ([\d.]+) in, (\d+)x(\d+) \| (\d+)x(\d+) \| (\d+)x(\d+) "
    r"\| ([\d.]+) \| ([\d.]+) \| (\S+) \| ([\d.]+) \|$",
    re.MULTILINE,
)
TABLE = ROW.findall(README.read_text(encoding="utf-8"))


def arcmin(height_mm: float) -> float:
    """The guideline's equation, turned round."""
    return height_mm * 21600 / (6.283 * DISTANCE_MM)


def ink_rows(scale: int) -> float:
    """How many rows of cells a solid figure is high, half rows counted by halves."""
    rows = solid_rows("8", scale) if scale else low_rows("8")
    assert rows is not None
    inked = [
        half for number, row in enumerate(rows) for half in (2 * number, 2 * number + 1) if _ink(row, half)
    ]
    return (inked[-1] - inked[0] + 1) / 2


def _ink(row: str, half: int) -> bool:
    return any(one in row for one in ("█▄" if half % 2 else "█▀"))


def test_both_screens_stand_in_readme_at_four_sizes() -> None:
    assert len(TABLE) == 8


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row[0]}in-{row[5]}x{row[6]}")
def test_heights_follow_from_the_screen_and_the_font(row: tuple[str, ...]) -> None:
    diagonal_in, *pixels, cell_mm, words, letters, figures = row
    across, up, wide, high, columns, rows = map(int, pixels)
    assert (across // wide, up // high) == (columns, rows) and high == 2 * wide
    cell = high * float(diagonal_in) * 25.4 / math.hypot(across, up)
    assert float(cell_mm) == pytest.approx(cell, abs=0.005)
    assert float(words) == pytest.approx(arcmin(CAPITAL * cell), abs=0.06)
    scale = scale_of(Size(columns, rows))
    if not scale:
        assert letters == "none"
    else:
        assert float(letters) == pytest.approx(arcmin(ink_rows(1) * cell), abs=0.06)
        assert float(letters) >= LEAST_ARCMIN
    assert float(figures) == pytest.approx(arcmin(ink_rows(scale) * cell), abs=0.06)
    assert float(figures) >= LEAST_ARCMIN


def test_the_equation_is_the_angle() -> None:
    for height_mm in (2.0, 9.31, 40.0):
        exact = math.degrees(2 * math.atan(height_mm / 2 / DISTANCE_MM)) * 60
        assert arcmin(height_mm) == pytest.approx(exact, rel=2e-4)
