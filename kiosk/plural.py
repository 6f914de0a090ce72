"""A number with its word, in the one form or the other: 1 step, 5 steps.

A language may have more forms than English, so the choice is made by gettext, from the catalogue of the
domain ``kiosk`` where one is installed for the language of the environment, and else by the English rule.
"""

import gettext
from functools import cache
from pathlib import Path

DOMAIN = "kiosk"
CATALOGUES = Path(__file__).parent / "catalogues"


@cache
def _translations() -> gettext.NullTranslations:
    return gettext.translation(DOMAIN, CATALOGUES, fallback=True)


def so_many(number: int, one: str, many: str) -> str:
    """``number`` and its word: ``so_many(1, "step", "steps")`` is 1 step."""
    return f"{number} {word_for(number, one, many)}"


def word_for(number: int, one: str, many: str) -> str:
    """The word alone, where the number does not stand before it."""
    return _translations().ngettext(one, many, number)
