"""``kiosk logbook``: the record as others may read it."""

import argparse
from pathlib import Path

from kiosk.commands.command import OK, Command
from kiosk.commands.read_shop import read_shop
from kiosk.commands.shop_argument import add_shop, existing_shop


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    add_shop(parser)
    parser.add_argument(
        "--into", type=Path, metavar="FOLDER", help="folder (default: logbook/ in the shop folder)"
    )


def _run(arguments: argparse.Namespace) -> int:

    with read_shop(existing_shop(arguments.shop)) as bench:
        for path in bench.write_logbook(arguments.into):
            print(path)
    return OK


COMMAND = Command(
    "logbook",
    "print the record: a page that stands alone, and a table for a spreadsheet",
    _run,
    _add_arguments,
)
