"""Opens a shop: the wall screen on a terminal, the place card and the minutes as text without one."""

import os
import sys
from contextlib import closing
from pathlib import Path

from kiosk.commands.command import OK

PRINTED_MINUTES = 15


def open_shop(folder: Path) -> int:
    """Open the shop in this folder; gives the exit code."""
    on_terminal = sys.stdin.isatty() and sys.stdout.isatty()
    if not on_terminal and "TEXTUAL_DRIVER" not in os.environ:
        from kiosk.bench import Bench
        from kiosk.views.text import place_card_text, spare_text

        with closing(Bench(folder)) as bench:
            print(place_card_text(bench.place_card()))
            print()
            print(spare_text(bench.spare(PRINTED_MINUTES)))
        return OK
    from kiosk.screens.app import run

    return run(folder)
