"""What is never right on any screen, looked for in the kept pictures of all scenes."""

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from kiosk.shop.hazards import HAZARDS
from tests.record.moments import brambling
from tests.screens.scenes import SCENES
from tests.screens.test_pictures import kept

KIOSK = Path(__file__).parents[2] / "kiosk"
CALL = re.compile(r"""(?:so_many|word_for)\((?:[^"']*,)\s*["']([^"']+)["'],\s*["']([^"']+)["']\)""")
# A row that begins with words: not one of a drawing, nor one in which a longer sentence goes on. Two offers
# of one page may want the same things fetched.
BEGINS = re.compile(r"^\W*(?!Fetch:)[A-Z][A-Za-z]{2,} [A-Za-z]{3,}")
TAG_LIKE = re.compile(r"\b[A-Z][A-Z0-9_]+\b")
MARK_TWICE = re.compile(r"\b([A-Z]{2}-\d\d): \1 ")
NOUGHT = re.compile(r"\b0 (min|h|s|minutes|parts|steps|flutes) (over|left|more)\b")
RAW_TIME = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d|[+-]\d\d:\d\d|Z)")
MARK_LIKE = re.compile(r"\b[A-Z]{2}-[A-Z0-9]{2}\b")
ID_LIKE = re.compile(r"(?<![\w/-])[a-z]+(?:-[a-z0-9]+)+(?![\w/-])")
# Ids that are the trade's own words too, and are read as such.
ALSO_WORDS = {"cut-outs", "form-block"}
ALSO_IN_DRAWINGS = {"PRESS"}  # a hazard whose tag is a word on a drawing
UNKNOWN_ON_PURPOSE = {"NR-99"}  # the scene types a mark that is none


@cache
def pairs_of_words() -> frozenset[tuple[str, str]]:
    """Each word with its plural, as the kiosk's own code has them."""
    found = set()
    for path in KIOSK.rglob("*.py"):
        found |= {(one, many) for one, many in CALL.findall(path.read_text(encoding="utf-8"))}
    assert len(found) > 20
    return frozenset(found)


@cache
def blocks(name: str) -> tuple[tuple[str, str], ...]:
    """The picture of a scene: its size and its text, size by size."""
    parts = re.split(r"^== (\d+x\d+) ==$", kept(name).read_text(encoding="utf-8"), flags=re.MULTILINE)
    return tuple(zip(parts[1::2], parts[2::2], strict=True))


def wrong_plurals(text: str) -> Iterator[str]:
    for one, many in pairs_of_words():
        if one != many:
            yield from re.findall(rf"(?<![\w.,/:-])1 {re.escape(many)}\b", text)
            yield from re.findall(rf"(?<![\w.,/:-])(?:[02-9]|\d\d+) {re.escape(one)}\b(?! \w+ed\b)", text)


@cache
def ids() -> frozenset[str]:
    shop = brambling()
    steps = {step.id for procedure in shop.procedures.values() for step in procedure.steps}
    things = {*shop.procedures, *shop.kinds, *shop.tools, *shop.consumables, *shop.people}
    return frozenset(one for one in steps | things if "-" in one) - ALSO_WORDS


def never_right(text: str) -> list[tuple[str, str]]:
    """What is wrong in the text of a screen: in which way, and the words."""
    shop = brambling()
    known = {*shop.parts, *shop.lots} | UNKNOWN_ON_PURPOSE
    rows = Counter(row.strip(" »") for row in text.splitlines() if BEGINS.search(row))
    return [
        *(("plural", one) for one in wrong_plurals(text)),
        *(("nought", one[0]) for one in NOUGHT.finditer(text)),
        *(("a raw time", one[0]) for one in RAW_TIME.finditer(text)),
        *(("no mark", one) for one in MARK_LIKE.findall(text) if one not in known),
        *(
            ("a hazard's tag", one)
            for one in TAG_LIKE.findall(text)
            if one in HAZARDS.keys() - ALSO_IN_DRAWINGS
        ),
        *(("an id", one) for one in ID_LIKE.findall(text) if one in ids()),
        *(("a mark twice", one[0]) for one in MARK_TWICE.finditer(text)),
        *(("twice", row) for row, times in rows.items() if times > 1),
    ]


@pytest.mark.parametrize("name", [scene.name for scene in SCENES])
def test_no_screen_says_what_is_never_right(name: str) -> None:
    wrong = [(size, *one) for size, text in blocks(name) for one in never_right(text)]
    assert not wrong


@pytest.mark.parametrize(
    ("text", "how"),
    [
        ("NR-01   1 parts wait for it", "plural"),
        ("and 3 more step", "plural"),
        ("4:00, 0 min over the usual", "nought"),
        ("until 2027-03-29 17:59+00:00", "a raw time"),
        ("Next is QQ-77: drill it", "no mark"),
        ("Step choose-sheet of it", "an id"),
        ("Not now: LIFT takes 2 people", "a hazard's tag"),
        ("Not now: NR-06: NR-06 is held", "a mark twice"),
        ("RECORDING STOPPED\nRECORDING STOPPED", "twice"),
    ],
)
def test_what_is_never_right_is_found(text: str, how: str) -> None:
    assert {one for one, _ in never_right(text)} == {how}


@pytest.mark.parametrize("name", [scene.name for scene in SCENES])
def test_no_foot_parts_a_key_from_its_words_nor_says_what_the_page_says(name: str) -> None:
    for size, text in blocks(name):
        *page, above, foot = [row.strip() for row in text.rstrip("\n").splitlines()]
        assert not re.search(r"(^|  )(F\d+|TAB|[←→↑↓ ]+)$", above), (size, above)
        assert "…." not in foot + above, (size, foot)
        if any("tap this text, or Tab" in row for row in page):
            assert "TAB" not in above + foot, (size, foot)
        if any("local rules come" in row for row in page):
            assert "come before" not in above + foot, (size, foot)
