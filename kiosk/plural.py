"""A number with its word, in the one form or the other: 1 step, 5 steps.

A language may have more forms than English, so gettext chooses, by the rule in that language's catalogue.
"""

from kiosk.catalogue import spoken


def so_many(number: int, one: str, many: str) -> str:
    """``number`` and its word: ``so_many(1, "step", "steps")`` is 1 step."""
    return f"{number} {word_for(number, one, many)}"


def word_for(number: int, one: str, many: str) -> str:
    """The word alone, where the number does not stand before it."""
    return spoken().ngettext(one, many, number)
