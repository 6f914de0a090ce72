"""Words that every screen uses."""

from pathlib import Path

import pytest

from kiosk.views.place_card import Count
from kiosk.views.wording import chance_in_words, clock_line
from tests.translated import in_language


def test_chances_are_said_plainly() -> None:
    assert [chance_in_words(value) for value in (0.0, 0.5, 0.9, 0.999)] == [
        "hardly ever",
        "5 times in 10",
        "9 times in 10",
        "nearly always",
    ]


def test_no_clock_says_nought_minutes() -> None:
    found = [clock_line(seconds, 4.0) for seconds in (0, 200, 220, 239, 241, 265, 280, 600)]
    assert found == [
        "about 4 min left",
        "about 1 min left",
        "under a minute left",
        "under a minute left",
        "the usual time is up",
        "the usual time is up",
        "1 min over the usual",
        "6 min over the usual",
    ]
    assert clock_line(0, 0.3) == "under a minute left"


@pytest.mark.parametrize(
    ("count", "caption"),
    [
        (Count(5, 11, "flutes"), "of 11 flutes"),
        (Count(0, 1, "cut-outs"), "of 1: cut-outs"),
        (Count(0, 1, "rivet holes"), "of 1: rivet holes"),
        (Count(0, 1, "rivet holes", at_most=True), "of at most 1: rivet holes"),
        (Count(3, 9, "flutes", at_most=True), "of at most 9 flutes"),
        (
            Count(7, 9, "flutes", at_most=True, enough="it lies flat"),
            "of at most 9 flutes, enough: it lies flat",
        ),
        (Count(7, 5, "rivet holes"), "rivet holes counted, and 5 are wanted now"),
    ],
)
def test_what_stands_beside_a_large_number_done_names_what_is_counted(count: Count, caption: str) -> None:
    assert count.caption == caption


def test_it_does_so_whatever_a_catalogue_makes_of_the_words(tmp_path: Path) -> None:
    words = {
        "{done} {of} counted, and {wanted} are wanted now": "jetzt {wanted} statt {done} {of}",
        "{of} counted, and {wanted} are wanted now": "{of}, jetzt {wanted}",
    }
    with in_language("de", tmp_path, lambda text: words.get(text, text), lambda text, _: text):
        count = Count(7, 5, "rivet holes")
        assert (count.words, count.caption) == ("jetzt 5 statt 7 rivet holes", "rivet holes, jetzt 5")
