"""``kiosk cut``: the cutting list of the roster."""

import argparse
import re
import sys

from kiosk.commands.command import FAILED, OK, Command, Misused
from kiosk.commands.read_shop import read_shop
from kiosk.commands.shop_argument import add_shop_or_demo, shop_or_demo


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    add_shop_or_demo(parser)
    parser.add_argument(
        "--sheet",
        default="144x48",
        metavar="SIZE",
        help="both sides in inches, grain along the longer (default 144x48)",
    )
    parser.add_argument("--kerf", default="0", help="what each cut loses: 0 for a shear, a router its bit")
    parser.add_argument("--trim", default="0", help="lost at each edge of the sheet")
    parser.add_argument("--all", action="store_true", help="the whole roster, parts already begun too")


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.numbers.cutting import Sheet
    from kiosk.numbers.units import parse_length_in
    from kiosk.views.cutting import cutting_plans
    from kiosk.views.text import cutting_text

    sides = re.split("[xX×]", arguments.sheet)
    if len(sides) != 2:
        raise Misused(f"{arguments.sheet!r} is not the size of a sheet", "write it like 144x48")
    one_side, other_side = (parse_length_in(side) for side in sides)
    sheet = Sheet.rolled(one_side, other_side, parse_length_in(arguments.trim))
    kerf_in = parse_length_in(arguments.kerf)
    with read_shop(shop_or_demo(arguments.shop)) as bench:
        found = cutting_plans(bench.shop, bench.state, sheet, kerf_in, whole_roster=arguments.all)
    if found.plans or not found.not_cut:
        print(cutting_text(found.plans))
    for why in found.not_cut:
        print(f"kiosk: {why}", file=sys.stderr)
    return FAILED if found.not_cut else OK


COMMAND = Command(
    "cut", "the cutting list of the roster, with the least sheets possible beside it", _run, _add_arguments
)
