"""``kiosk open``: the wall screen."""

import argparse

from kiosk.commands.command import Command
from kiosk.commands.open_shop import open_shop
from kiosk.commands.shop_argument import add_shop, existing_shop


def _run(arguments: argparse.Namespace) -> int:
    return open_shop(existing_shop(arguments.shop))


COMMAND = Command("open", "fill the screen with the place where you left off", _run, add_shop)
