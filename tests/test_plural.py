"""Numbers with their words: one is never many."""

import re
from pathlib import Path

import pytest

import kiosk
from kiosk.plural import so_many, word_for


@pytest.mark.parametrize(
    ("number", "words"),
    [(0, "0 steps"), (1, "1 step"), (2, "2 steps"), (21, "21 steps"), (1000, "1000 steps")],
)
def test_only_one_is_one(number: int, words: str) -> None:
    assert so_many(number, "step", "steps") == words
    assert f"{number} {word_for(number, 'step', 'steps')}" == words


def test_no_other_module_makes_plurals_by_itself() -> None:
    by_hand = re.compile(r"""(["'])s\1 (if|\*)|\1\1 if .* == 1 else \1s\1""")
    for path in Path(kiosk.__file__).parent.rglob("*.py"):
        assert not by_hand.search(path.read_text(encoding="utf-8")), path
