"""Opens a shop: the wall screen on a terminal, the place card and the minutes as text without one."""

import codecs
import os
import sys
from pathlib import Path

from kiosk.commands.command import OK, SET_UTF_8, Misused
from kiosk.commands.read_shop import ReadingWords, read_shop

PRINTED_MINUTES = 15


def open_shop(folder: Path, *, wall: bool = False, came_back: bool = False, pipe: int | None = None) -> int:
    """Open the shop in this folder; gives the exit code. Raises Misused on a terminal without UTF-8.

    On the ``wall`` nothing leaves it by accident; ``came_back`` says that it stopped by itself before, and on
    ``pipe`` its keeper hears that it still answers.
    """
    on_terminal = sys.stdin.isatty() and sys.stdout.isatty()
    if not on_terminal and "TEXTUAL_DRIVER" not in os.environ:
        from kiosk.views.text import place_card_text, spare_text

        with read_shop(folder) as bench:
            print(place_card_text(bench.place_card()))
            print()
            print(spare_text(bench.spare(PRINTED_MINUTES), bench.shop.people))
        return OK
    # The screen is drawn on standard error, which would show marks such as · and → as their numbers.
    if on_terminal and codecs.lookup(sys.stderr.encoding).name != "utf-8":
        raise Misused(f"the screen cannot be drawn in {sys.stderr.encoding}", SET_UTF_8)
    from kiosk.screens.app import run

    return run(folder, ReadingWords(), wall=wall, came_back=came_back, pipe=pipe)
