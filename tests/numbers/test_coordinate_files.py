"""Coordinate files as they are found: what can't be a section is refused in a line, and never a crash."""

import random

import pytest

from kiosk.numbers.aerofoil import naca, read_coordinates
from kiosk.numbers.result import OutOfRange
from kiosk.numbers.rib import lay_out
from tests.numbers.ribs import inputs

SHARES = [0.0, 0.01, 0.05, 0.1, 0.2, 0.3, 0.45, 0.6, 0.8, 1.0]
UPPER = [(x, 0.3 * x**0.5 * (1 - x)) for x in SHARES]
LOWER = [(x, -y) for x, y in UPPER]


def text_of(points: list[tuple[float, float]]) -> str:
    return "wing\n" + "\n".join(f"{x:.5f} {y:.5f}" for x, y in points)


ROUND = [*reversed(UPPER), *LOWER[1:]]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (text_of(UPPER), "one of its two surfaces has no points"),
        (text_of(UPPER[::-1]), "one of its two surfaces has 1 point"),
        (text_of([(x / 2, y) for x, y in ROUND]), "one of its two surfaces has 1 point"),  # of half the chord
        (text_of([(0.5, 0.0)] * 12), "one of its two surfaces has no points"),
        (text_of(ROUND).replace(".", ","), "line 2 has decimal commas"),
        (text_of(ROUND).replace(".", ",").replace(" ", ";"), "line 2 has decimal commas"),
    ],
)
def test_what_is_no_whole_section_is_refused_where_it_is_read(text: str, words: str) -> None:
    with pytest.raises(OutOfRange, match=words) as caught:
        read_coordinates(text)
    assert caught.value.argument == "section" and caught.value.mend


@pytest.mark.parametrize("between", [" ", ", ", ",", "\t"])
def test_columns_may_be_parted_by_commas(between: str) -> None:
    read = read_coordinates(text_of(ROUND).replace(" ", between))
    for found, given in ((read.upper, UPPER), (read.lower, LOWER)):
        for one, point in zip(found, given, strict=True):
            assert one == pytest.approx(point, abs=1e-5)


def test_no_spoilt_file_stops_more_than_its_rib() -> None:
    rng = random.Random(7)
    whole = naca("2412", 30)
    lines = [f"{x:.4f} {y:.4f}" for x, y in [*reversed(whole.upper), *whole.lower[1:]]]
    refused = 0
    for _ in range(40):
        spoilt = list(lines)
        for _ in range(rng.randint(1, 3)):
            place = rng.randrange(len(spoilt))
            match rng.randrange(5):
                case 0:
                    del spoilt[place : place + rng.randint(1, 45)]
                case 1:
                    spoilt[place:place] = [""]
                case 2:
                    spoilt = spoilt[::-1]
                case 3:
                    spoilt[place] = spoilt[rng.randrange(len(spoilt))]
                case _:
                    spoilt = spoilt[place:] + spoilt[:place]
            if len(spoilt) < 2:
                break
        try:
            lay_out(read_coordinates("\n".join(["wing", *spoilt])), inputs())
        except OutOfRange:
            refused += 1
    assert refused > 8


def test_a_remark_after_the_last_point_is_none() -> None:
    """Many files that are handed on end in one; a slip in the last point is no remark."""
    whole = read_coordinates(text_of(ROUND))
    assert read_coordinates(text_of(ROUND) + "\n\nsmoothed by hand\nand again") == whole
    lines = text_of(ROUND).splitlines()
    with pytest.raises(OutOfRange, match="line 21 is no pair of numbers"):
        read_coordinates("\n".join([*lines, "1.0 o.001"]))
    with pytest.raises(OutOfRange, match="line 8 is no pair of numbers, and points go on after it"):
        read_coordinates("\n".join([*lines[:7], "lower side", *lines[7:]]))
