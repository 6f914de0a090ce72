"""``kiosk demo``: the example shop."""

import argparse
from pathlib import Path

from kiosk.commands.command import Command
from kiosk.commands.demo_folder import clear_demo, demo_does_not_fit, demo_folder, make_demo
from kiosk.commands.open_shop import open_shop
from kiosk.shop.faults import ShopFaults


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--folder", type=Path, help="where to keep it (default: your data folder)")
    parser.add_argument(
        "--fresh",
        action="store_true",
        help="throw the last demo away and begin again; never a shop of your own",
    )


def _run(arguments: argparse.Namespace) -> int:
    folder: Path = arguments.folder or demo_folder()
    if arguments.fresh:
        clear_demo(folder)
    make_demo(folder)
    try:
        return open_shop(folder)
    except ShopFaults:
        raise demo_does_not_fit(folder) from None


COMMAND = Command(
    "demo",
    "open the example shop, in the middle of its work; it is kept between runs",
    _run,
    _add_arguments,
)
