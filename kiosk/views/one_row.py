"""Words in one row: what has no room is left out between words, and told by an ellipsis."""

import textwrap

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
