"""Words in one row: what has no room is left out between words, and told by an ellipsis."""

import textwrap
from collections.abc import Iterable
from functools import partial
from itertools import takewhile

from kiosk.shop.characters import visible

CUT = " …"  # after the last whole word of what has no room: half a figure is another figure


def one_row(text: str, width: int, end: str = "") -> str:
    """A text in one row of so many columns, cut between words with an ellipsis where it is longer; the
    ``end`` stands whole after it."""
    from rich.cells import cell_len  # no command that prints nothing in rows waits for it

    shown, end = " ".join(visible(text).splitlines()), visible(end)
    room = max(1, width - cell_len(end))
    if cell_len(shown) <= room:
        return f"{shown}{end}"
    for letters in range(room, 0, -1):  # a letter may be two columns wide
        cut = next(iter(textwrap.wrap(shown, letters, max_lines=1, placeholder=CUT)), "")
        if cell_len(cut) <= room:
            return f"{cut}{end}"
    return end


def told_apart(name: str, width: int, others: Iterable[str]) -> str:
    """A name in so many columns; of a longer one the words stay that tell it from the most alike of others.

    What is left out lies between its beginning and those, as ``Nose rib … RH``: a left hand is no right hand.
    """
    from rich.cells import cell_len

    if cell_len(name) <= width:
        return name
    words = name.split()
    closest = max((one.split() for one in others if one != name), key=partial(_common, words), default=[])
    alike = _common(words, closest)
    same_end = _common(words[alike:][::-1], closest[alike:][::-1])
    telling = " ".join(words[alike : max(alike + 1, len(words) - same_end)])
    if not alike or cell_len(telling) >= width // 2:
        return one_row(name, width)
    after = CUT if len(words) > alike + len(telling.split()) else ""
    return one_row(" ".join(words[:alike]), width, f" {telling}{after}")


def _common(words: Iterable[str], others: Iterable[str]) -> int:
    return len(list(takewhile(lambda pair: pair[0] == pair[1], zip(words, others, strict=False))))
