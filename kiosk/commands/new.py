"""``kiosk new``: a shop folder of one's own."""

import argparse
from pathlib import Path

from kiosk.commands.command import OK, Command
from kiosk.commands.demo_folder import DEMO
from kiosk.commands.make_shop import make_shop


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("shop", type=Path, metavar="SHOP", help="the folder to make")
    parser.add_argument(
        "--from",
        dest="scenario",
        default=DEMO,
        metavar="SCENARIO",
        help=f"the scenario to begin with (default: {DEMO})",
    )
    parser.add_argument("--with-history", action="store_true", help="take the scenario's example history too")


def _run(arguments: argparse.Namespace) -> int:
    make_shop(arguments.shop, arguments.scenario, with_history=arguments.with_history)
    print(f"Made {arguments.shop}. Change shop.yaml to your aeroplane, then: kiosk open {arguments.shop}")
    return OK


COMMAND = Command("new", "make a shop folder of your own, begun from the example", _run, _add_arguments)
