"""``kiosk spare``: what fits in a few minutes."""

import argparse

from kiosk.commands.command import OK, Command, Misused
from kiosk.commands.read_shop import read_shop
from kiosk.commands.shop_argument import add_shop_or_demo, shop_or_demo


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("minutes", type=int, metavar="N", help="minutes to spare, 3 to 120")
    add_shop_or_demo(parser)


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.planning.spare import LONGEST_MINUTES, SHORTEST_MINUTES
    from kiosk.views.text import spare_text

    if not SHORTEST_MINUTES <= arguments.minutes <= LONGEST_MINUTES:
        raise Misused(
            f"{arguments.minutes} minutes is outside {SHORTEST_MINUTES} to {LONGEST_MINUTES}",
            "give a number in between",
        )
    with read_shop(shop_or_demo(arguments.shop)) as bench:
        # Nobody has a screen here, and the builder may have a PIN: it is their aeroplane.
        print(spare_text(bench.spare(arguments.minutes, bench.builder)))
    return OK


COMMAND = Command("spare", "print what fits in a few minutes, and why", _run, _add_arguments)
