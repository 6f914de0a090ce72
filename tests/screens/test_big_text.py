"""Solid letters: five dots by seven, no two alike, in characters that a plain console has too."""

from itertools import combinations

import pytest

from kiosk.screens.big_text import (
    _DOTS,
    _LOW_DOTS,
    DOTS_UP,
    LOW_ROWS,
    ROWS,
    columns_of,
    low_rows,
    solid_lines,
    solid_rows,
)
from kiosk.screens.page_text import Lines
from kiosk.screens.walk import DEGREES, FIGURE_BEGINS, FIGURE_GOES_ON

# Block characters in the Linux console's own font: drivers/tty/vt/cp437.uni, 0xdb, 0xdc and 0xdf.
CONSOLE = set(" \u2588\u2584\u2580")
WANTED = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,:;'\"-+*/()=%!?#&° …"


def test_every_letter_and_figure_is_drawn_and_none_like_another() -> None:
    assert set(WANTED) <= set(_DOTS)
    for dots in _DOTS.values():
        assert len(dots) == DOTS_UP and len({len(row) for row in dots}) == 1
    drawn = {one: dots for one, dots in _DOTS.items() if one != " "}
    assert not [(one, other) for one, other in combinations(drawn, 2) if drawn[one] == drawn[other]]


def test_capitals_and_figures_are_five_dots_by_seven_but_for_the_i() -> None:
    """ISO 9241-3 as quoted: a matrix of 5 by 7 is the least for figures and capitals alone."""
    assert {one for one in WANTED if one.isalnum() and len(_DOTS[one][0]) != 5} == {"I"}
    for one in WANTED:
        if one.isalnum():  # from the first row to the last
            assert "#" in _DOTS[one][0] and "#" in _DOTS[one][-1], one


@pytest.mark.parametrize("scale", [1, 2])
def test_they_take_the_rows_that_are_said_in_characters_of_any_console(scale: int) -> None:
    rows = solid_rows(WANTED, scale)
    assert rows is not None and len(rows) == ROWS[scale]
    assert set("".join(rows)) <= CONSOLE
    assert {len(row) for row in rows} == {columns_of(WANTED, scale)}


def test_figures_where_there_are_three_rows_are_as_solid_and_none_like_another() -> None:
    figures = "0123456789"
    assert set(figures) <= set(_LOW_DOTS)
    for one, dots in _LOW_DOTS.items():
        assert len(dots) == 2 * LOW_ROWS and len({len(row) for row in dots}) == 1
        if one in figures:
            assert len(dots[0]) == 5 and "#" in dots[0] and "#" in dots[-1], one
    drawn = {one: dots for one, dots in _LOW_DOTS.items() if one != " "}
    assert not [(one, other) for one, other in combinations(drawn, 2) if drawn[one] == drawn[other]]
    rows = low_rows("".join(drawn))
    assert rows is not None and len(rows) == LOW_ROWS and set("".join(rows)) <= CONSOLE
    assert low_rows("12 mm") == low_rows("12 MM") is not None
    assert low_rows("12 km") is None


def test_all_that_a_figure_is_typed_with_is_solid_where_there_are_three_rows() -> None:
    """A unit typed with a figure drew the whole of it with lines a pixel thin."""
    for one in FIGURE_BEGINS | FIGURE_GOES_ON | DEGREES:
        assert low_rows(one) is not None, one
    for text in ("6.5 mm", "0.505 in", "20 C", "#30", "8 ft 2-1/4"):
        lines = Lines(71)
        lines.big(text, caption="▌ half typed")
        rows = ["".join(run for run, _ in row) for row in lines.whole_rows(3)]
        assert [row.startswith(low) for row, low in zip(rows, low_rows(text) or (), strict=True)] == [
            True
        ] * 3
        assert rows[1].endswith("▌ half typed")


def test_where_there_is_less_room_the_words_in_a_figure_are_plain_and_nothing_is_lost() -> None:
    lines = Lines(71)
    lines.big("8 ft 2-1/16 in", caption="▌ half typed")
    rows = ["".join(run for run, _ in row) for row in lines.whole_rows(3)]
    first, second = low_rows("8"), low_rows("2-1/16")
    assert first is not None and second is not None
    assert rows[1] == f"{first[1]}  ft  {second[1]}  in  ▌ half typed"
    assert rows[0].split() == f"{first[0]}{second[0]}".split() or rows[0].startswith(first[0])


def test_a_figure_too_wide_for_solid_characters_is_drawn_with_lines_and_loses_none() -> None:
    def shown(text: str, caption: str) -> list[str]:
        lines = Lines(64)
        lines.big(text, caption=caption)
        return ["".join(run for run, _ in row) for row in lines.whole_rows(3)]

    assert shown("0.505", "in ▌")[0].startswith((low_rows("0.505") or ("",))[0])
    long = shown("12345678901", "▌")
    assert not set("".join(long)) & CONSOLE - {" "} and long[1].endswith("▌")


def test_small_letters_are_capitals_and_accents_are_left_off() -> None:
    assert solid_rows("Büche") == solid_rows("BUCHE")
    assert solid_rows("25 min") == solid_rows("25 MIN")


def test_what_has_no_solid_form_has_none() -> None:
    assert solid_rows("鋼") is None
    assert solid_lines("鋼 sheet", 100, 3) is None


def test_an_action_breaks_between_words_and_says_what_is_left_out() -> None:
    text = "Squeeze the flutes inward, away from the skin, every second line first."
    assert solid_lines(text, 156, 3) == (
        ["SQUEEZE THE FLUTES INWARD,", "AWAY FROM THE SKIN, EVERY", "SECOND LINE FIRST."],
        True,
    )
    assert solid_lines(text, 116, 2) == (["SQUEEZE THE FLUTES", "INWARD …"], False)
    assert solid_lines(text, 96, 1) == (["SQUEEZE THE …"], False)
    assert solid_lines(text, 30, 3) is None  # not even its first word
    for columns in range(60, 200, 7):
        for most in (1, 2, 3):
            found = solid_lines(text, columns, most)
            assert found is None or all(columns_of(line) <= columns for line in found[0])
