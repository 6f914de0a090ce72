"""``kiosk backup``: a whole copy of the record."""

import argparse
import sys
from datetime import datetime
from pathlib import Path

from kiosk.commands.command import OK, Command, Misused
from kiosk.commands.shop_argument import add_shop_or_demo, shop_or_demo


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    add_shop_or_demo(parser)
    parser.add_argument(
        "--to",
        type=Path,
        metavar="DEST",
        help="a folder, such as a memory stick, or a new .db file (default: copies/ in the shop folder)",
    )


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.bench import RECORD_FILE
    from kiosk.record.copies import is_the_shops, keep_copy, make_copy, note_elsewhere
    from kiosk.record.opening import holds_something
    from kiosk.record.witness import require_fitting

    record = shop_or_demo(arguments.shop) / RECORD_FILE
    require_fitting(record)
    if not holds_something(record):
        raise Misused(f"{record.parent} has no record yet", "a copy is made once something is recorded")
    now = datetime.now().astimezone()
    to: Path | None = arguments.to
    if to is not None and is_the_shops(record, to):
        to = None  # one of the ring, as where nothing is said
    if to is not None and not to.is_dir():
        if to.suffix != ".db":  # a stick that is not plugged in must not become a file on this disk
            raise Misused(f"there is no folder {to}", "plug it in or make it first, or name a file.db")
        if not to.parent.is_dir():
            raise Misused(f"there is no folder {to.parent}", "make it first")
    copy = keep_copy(record, now) if to is None else make_copy(record, to, now)
    if to is not None and not note_elsewhere(record, copy):
        print(f"kiosk: that it was made is not kept: {record.parent} cannot be written", file=sys.stderr)
    print(f"Kept {copy.seq} entries in {copy.path}. The copy was opened and is whole.")
    return OK


COMMAND = Command("backup", "make a whole copy of the record, and check it", _run, _add_arguments)
