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
    however many noughts stand before it: ``NR-1`` is ``NR-01``. Else it is the beginning of each that begins
    so, and a number alone is also that of each that ends with it. One whose number only begins with what was
    typed is never opened unasked: ``NR-1`` is not ``NR-10``, though it may be chosen among several.
    """
    known = list(marks)
    whole, wanted, tokens = text.strip().upper(), _squeezed(text), _tokens(text)
    if not wanted:
        return ()
    is_in_one = wanted == whole  # else its hyphens and blanks say where a number begins

    parted = _TOKENS.findall(whole)

    def begins_so(mark: str) -> bool:
        if is_in_one:
            return _squeezed(mark).startswith(wanted)
        there = _TOKENS.findall(mark.upper())[: len(parted)]
        return there[:-1] == parted[:-1] and there[-1:] != [] and there[-1].startswith(parted[-1])

    ways: tuple[Callable[[str], bool], ...] = (
        lambda mark: mark == whole,
        lambda mark: is_in_one and _squeezed(mark) == wanted,
        lambda mark: _tokens(mark) == tokens,
        lambda mark: begins_so(mark) or (wanted.isdecimal() and _tokens(mark)[-1:] == tokens),
    )
    for way in ways:
        if found := tuple(filter(way, known)):
            return found if len(found) > 1 or not _runs_on(wanted, found[0]) else ()
    return ()


def mark_written_out(text: str, marks: Iterable[str]) -> str | None:
    """The one mark that a whole text is, whatever noughts stand before its number: where somebody's own words
    are asked for, ``nr7`` is NR-07 and none of them. None where it is no mark, or its beginning alone."""
    tokens = _tokens(text)
    found = [one for one in marks if len(tokens) > 1 and _tokens(one) == tokens]
    return found[0] if len(found) == 1 else None


def _runs_on(wanted: str, mark: str) -> bool:
    """True when the mark's number only begins with the one that was typed."""
    rest = _squeezed(mark).removeprefix(wanted)
    return wanted[-1].isdecimal() and rest != _squeezed(mark) and rest[:1].isdecimal()


def marks_like(text: str, marks: Iterable[str]) -> tuple[str, ...]:
    """The marks that differ from a typed one in their number alone."""
    series = _tokens(text)[:-1]
    return tuple(one for one in marks if series and _tokens(one)[:-1] == series)


@lru_cache(_KEPT)
def _squeezed(text: str) -> str:
    return text.upper().replace("-", "").replace(" ", "")


@lru_cache(_KEPT)
def _tokens(text: str) -> tuple[str, ...]:
    """Words, and numbers without the noughts before them."""
    return tuple(one.lstrip("0") or "0" if one.isdecimal() else one for one in _TOKENS.findall(text.upper()))
