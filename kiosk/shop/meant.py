"""Which parts somebody means who typed a mark, or the beginning of one."""

import re
from collections.abc import Callable, Iterable
from functools import lru_cache

_TOKENS = re.compile(r"\d+|[^\W\d_]+")  # what a blank, a hyphen or nothing at all may stand between
_KEPT = 4096  # marks are asked for again at each letter


def marks_meant(text: str, marks: Iterable[str]) -> tuple[str, ...]:
    """The marks that are meant, in the order in which ``marks`` has them: one where it is sure, several to
    choose from, none where no mark is like it.

    The mark itself comes first, whatever its case, blanks and hyphens; then the one with the same number,
    however many noughts stand before it: ``NR-1`` is ``NR-01`` and never ``NR-10``. Else it is the beginning
    of each that begins so, and a number alone is the number of each that ends with it.
    """
    known = list(marks)
    whole, wanted, tokens = text.strip().upper(), _squeezed(text), _tokens(text)
    if not wanted:
        return ()
    ways: tuple[Callable[[str], bool], ...] = (
        lambda mark: mark == whole,
        lambda mark: _squeezed(mark) == wanted,
        lambda mark: _tokens(mark) == tokens,
        lambda mark: _squeezed(mark).startswith(wanted),
        lambda mark: wanted.isdecimal() and _tokens(mark)[-1:] == tokens,
    )
    for way in ways:
        if found := tuple(filter(way, known)):
            return found
    return ()


def marks_like(text: str, marks: Iterable[str]) -> tuple[str, ...]:
    """The marks that differ from a typed one in their number alone."""
    series = _tokens(text)[:-1]
    return tuple(one for one in marks if series and _tokens(one)[:-1] == series)


@lru_cache(_KEPT)
def _squeezed(text: str) -> str:
    return text.upper().replace("-", "").replace(" ", "")


@lru_cache(_KEPT)
def _tokens(text: str) -> tuple[int | str, ...]:
    return tuple(int(one) if one.isdecimal() else one for one in _TOKENS.findall(text.upper()))
