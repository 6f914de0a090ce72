"""``kiosk picture``: pictures of the screens."""

import argparse
import re
from pathlib import Path

from kiosk.commands.command import OK, Command, Misused
from kiosk.commands.shop_argument import add_shop_or_demo, shop_or_demo


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    add_shop_or_demo(parser)
    parser.add_argument(
        "--into",
        type=Path,
        metavar="FOLDER",
        default=Path(".pictures"),
        help="folder for the pictures (default: .pictures)",
    )
    parser.add_argument("--size", default="80x24", help="columns x rows (default 80x24)")


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.screens.pictures import save_pictures

    size = re.fullmatch(r"([0-9]{2,3})x([0-9]{2,3})", arguments.size)
    if size is None:
        raise Misused(f"{arguments.size!r} is no size", "write it like 80x24, each from 10 to 999")
    columns, rows = size.groups()
    if arguments.into.exists() and not arguments.into.is_dir():
        raise Misused(f"{arguments.into} is no folder, so nothing was written", "name a folder after --into")
    for path in save_pictures(shop_or_demo(arguments.shop), arguments.into, int(columns), int(rows)):
        print(path)
    return OK


COMMAND = Command("picture", "save pictures of the screens as SVG", _run, _add_arguments)
