"""What a person means who typed a mark, or some of one: what they expect, written down line by line."""

import pytest

from kiosk.shop.meant import marks_like, marks_meant

NOSE = tuple(f"NR-{number:02d}" for number in range(1, 21))
MAIN = ("MR-01", "MR-02", "MR-10")
TOOLS = ("FB-NR", "FB-TR", "FB-TP", "BR-01")
MARKS = (*TOOLS, *NOSE, *MAIN)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("NR-04", ("NR-04",)),
        ("nr-04", ("NR-04",)),
        (" NR 04 ", ("NR-04",)),
        ("nr04", ("NR-04",)),
        ("NR-4", ("NR-04",)),
        ("nr4", ("NR-04",)),
        ("NR-004", ("NR-04",)),
        ("NR-1", ("NR-01",)),  # number one, and neither ten nor nineteen
        ("NR-2", ("NR-02",)),
        ("NR-20", ("NR-20",)),
        ("NR-0", NOSE[:9]),
        ("NR-", NOSE),
        ("nr", NOSE),
        ("M", MAIN),
        ("FB", TOOLS[:3]),
        ("FB-T", ("FB-TR", "FB-TP")),
        ("FB-N", ("FB-NR",)),
        ("BR", ("BR-01",)),
        ("10", ("NR-10", "MR-10")),
        ("1", ("BR-01", "NR-01", "MR-01")),
        ("NR-99", ()),
        ("NR-21", ()),
        ("FB-NRX", ()),
        ("R-04", ()),  # a mark is typed from its beginning
        ("99", ()),
        ("", ()),
        ("-", ()),
        ("?", ()),
    ],
)
def test_what_is_meant(typed: str, meant: tuple[str, ...]) -> None:
    assert marks_meant(typed, MARKS) == meant


def test_the_mark_itself_comes_before_what_is_like_it() -> None:
    assert marks_meant("A-1", ("A-01", "A-1", "A-11")) == ("A-1",)
    assert marks_meant("a1", ("A-01", "A-1", "A-11")) == ("A-1",)
    assert marks_meant("A-001", ("A-01", "A-1", "A-11")) == ("A-01", "A-1")
    assert marks_meant("a11", ("A1-1", "A-11")) == ("A1-1", "A-11")
    assert marks_meant("A-1", ("A-10", "A-11", "A-12")) == ("A-10", "A-11", "A-12"), "there is no number one"


@pytest.mark.parametrize(
    ("typed", "marks", "meant"),
    [
        ("NR-1", ("NR-02", "NR-10"), ()),
        ("A-1", ("A-10", "B-1"), ()),
        ("NR-01", ("NR-010", "NR-02"), ()),
        ("A-11", ("A1-1", "A-12"), ()),
        ("1", ("12-A", "NR-01"), ("12-A", "NR-01")),
        ("3", ("3F-02", "NR-03", "FS-03"), ("3F-02", "NR-03", "FS-03")),
        ("1", ("10", "21-1", "NR-1"), ("10", "21-1", "NR-1")),
        ("9" * 5000, ("NR-01",), ()),
    ],
)
def test_no_part_is_opened_unasked_whose_number_only_begins_so(
    typed: str, marks: tuple[str, ...], meant: tuple[str, ...]
) -> None:
    assert marks_meant(typed, marks) == meant


def test_of_a_mark_that_is_none_those_are_like_it_that_differ_in_the_number() -> None:
    assert marks_like("nr-99", MARKS) == NOSE
    assert marks_like("NR99", MARKS) == NOSE
    assert marks_like("XX-01", MARKS) == ()
    assert marks_like("99", MARKS) == ()
