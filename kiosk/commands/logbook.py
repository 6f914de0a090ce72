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
    from kiosk.bench import LOGBOOK_FOLDER, RECORD_FILE
    from kiosk.record.stopped import RecordingStopped

    folder = existing_shop(arguments.shop)
    try:
        opened = read_shop(folder)
    except RecordingStopped as stopped:
        # How things stand cannot be worked out; what was done can be printed up to where it cannot be read.
        from kiosk.logbook.print_record import print_what_can_be_read

        for path in print_what_can_be_read(
            folder, folder / RECORD_FILE, arguments.into or folder / LOGBOOK_FOLDER
        ):
            print(path)
        raise stopped
    with opened as bench:
        for path in bench.write_logbook(arguments.into):
            print(path)
    return OK


COMMAND = Command(
    "logbook",
    "print the record: a page that stands alone, and tables for a spreadsheet",
    _run,
    _add_arguments,
)
