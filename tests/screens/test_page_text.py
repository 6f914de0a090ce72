"""Text that has no room is cut between words, and says so."""

import pytest

from kiosk.screens.page_text import Lines

TEXT = "Drill a pilot of about 1/16 inch through each mark, where this comes from."


@pytest.mark.parametrize("width", range(20, 73))
@pytest.mark.parametrize("most", [1, 2])
def test_no_word_and_no_figure_is_cut_in_two(width: int, most: int) -> None:
    lines = Lines(width)
    lines.add(TEXT, most=most)
    rows = ["".join(run for run, _ in row) for row in lines.paragraphs[0].lines]
    assert len(rows) <= most and all(len(row) <= width for row in rows)
    shown = " ".join(rows)
    whole = shown.removesuffix(" …")
    assert TEXT.startswith(whole) and (shown == TEXT or shown.endswith(" …"))
    assert TEXT[len(whole) : len(whole) + 1] in ("", " ")
