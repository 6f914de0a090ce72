"""``kiosk spare``: what fits in a few minutes."""

import argparse

from kiosk.commands.command import OK, Command, Misused
from kiosk.commands.read_shop import read_shop
from kiosk.commands.shop_argument import add_shop_or_demo, shop_or_demo
from kiosk.errors import KioskError


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("minutes", type=_minutes, metavar="N", help="minutes to spare, 3 to 120")
    add_shop_or_demo(parser)


def _minutes(text: str) -> int:
    """As the screen takes them."""
    from kiosk.record.rules.things import slot_minutes

    try:
        return slot_minutes(text)
    except KioskError as error:
        raise Misused(error.wrong, error.mend) from None


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.views.text import spare_text

    with read_shop(shop_or_demo(arguments.shop)) as bench:
        # Nobody has a screen here, and the builder may have a PIN: it is their aeroplane.
        print(spare_text(bench.spare(arguments.minutes, bench.builder), bench.shop.people))
    return OK


COMMAND = Command("spare", "print what fits in a few minutes, and why", _run, _add_arguments)
