"""``kiosk open``: the wall screen."""

import argparse
import sys

from kiosk.commands.command import Command, Misused
from kiosk.commands.open_shop import open_shop
from kiosk.commands.shop_argument import add_shop, existing_shop
from kiosk.errors import KioskError
from kiosk.shop.faults import ShopFaults


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    add_shop(parser)
    parser.add_argument(
        "--wall", action="store_true", help="hang it on the wall: it stays, rests and comes back by itself"
    )


def _run(arguments: argparse.Namespace) -> int:
    folder = existing_shop(arguments.shop)
    if not arguments.wall:
        return open_shop(folder)
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise Misused("a wall screen needs a terminal of its own", "leave out --wall")
    from kiosk.commands.keeper import CANNOT_OPEN, keep_up

    begun = keep_up(folder)
    try:
        return open_shop(folder, wall=True, came_back=begun.fell > 0, pipe=begun.pipe)
    except KioskError as error:  # no crash: the keeper leaves what is said here in sight
        for line in error.faults if isinstance(error, ShopFaults) else [f"kiosk: {error}"]:
            print(line, file=sys.stderr)
        return CANNOT_OPEN


COMMAND = Command("open", "fill the screen with the place where you left off", _run, _add_arguments)
