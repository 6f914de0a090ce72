"""The cautions of a step on as many pages as they need: none is ever dropped or cut."""

from collections.abc import Sequence

from kiosk.dataclass import dataclass
from kiosk.screens.page_text import ACCENT, BOLD, Lines

Row = tuple[str, str]  # a line and its style


@dataclass(frozen=True)
class CautionPage:
    """Some rows of cautions, and the cautions of which the last row stands here."""

    rows: tuple[Row, ...]
    ends: tuple[str, ...]


def caution_pages(cautions: Sequence[tuple[str, str]], width: int, rows: int) -> list[CautionPage]:
    """Signal words and texts on pages of at most so many rows, a blank row between two of them.

    A caution stands on one page where it can; one that is longer than a page goes on over the next.
    """
    pages: list[CautionPage] = []
    here: list[Row] = []
    ends: list[str] = []
    for signal, text in cautions:
        lines = Lines(width)
        lines.add(f"{signal}: {text}", BOLD if signal == "CAUTION" else ACCENT)
        left = [run for paragraph in lines.paragraphs for row in paragraph.lines for run in row]
        if here and len(here) + 1 + len(left) > rows:
            pages.append(CautionPage(tuple(here), tuple(ends)))
            here, ends = [], []
        if here:
            here.append(("", BOLD))
        while len(left) > rows:
            pages.append(CautionPage(tuple(left[:rows]), tuple(ends)))
            left, ends = left[rows:], []
        here += left
        ends.append(text)
    return [*pages, CautionPage(tuple(here), tuple(ends))]
