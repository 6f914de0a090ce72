"""Which parts somebody means who typed a mark, or the beginning of one."""

import re
from collections.abc import Iterable

_TOKENS = re.compile(r"\d+|[^\W\d_]+")  # what a blank, a hyphen or nothing at all may stand between


def marks_meant(text: str, marks: Iterable[str]) -> tuple[str, ...]:
    """The marks that are meant, in the order in which ``marks`` has them: one where it is sure, several to
    choose from, none where no mark is like it.

    The mark itself comes first, whatever its case, blanks and hyphens; then the one with the same number,
    however many noughts stand before it: ``NR-1`` is ``NR-01`` and never ``NR-10``. Else it is the beginning
    of each that begins so, and a number alone is the number of each that ends with it.
    """
    known = list(marks)
    wanted = _squeezed(text)
    if not wanted:
        return ()
    number = (int(wanted),) if wanted.isdecimal() else ()
    alike = (
        [one for one in known if one == text.strip().upper()],
        [one for one in known if _squeezed(one) == wanted],
        [one for one in known if _tokens(one) == _tokens(text)],
        [one for one in known if _squeezed(one).startswith(wanted)],
        [one for one in known if number and _tokens(one)[-1:] == number],
    )
    return tuple(next(filter(None, alike), ()))


def marks_like(text: str, marks: Iterable[str]) -> tuple[str, ...]:
    """The marks that differ from a typed one in their number alone."""
    series = _tokens(text)[:-1]
    return tuple(one for one in marks if series and _tokens(one)[:-1] == series)


def _squeezed(text: str) -> str:
    return text.upper().replace("-", "").replace(" ", "")


def _tokens(text: str) -> tuple[int | str, ...]:
    return tuple(int(one) if one.isdecimal() else one for one in _TOKENS.findall(text.upper()))
