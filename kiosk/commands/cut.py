"""``kiosk cut``: the cutting list of the roster."""

import argparse

from kiosk.commands.command import OK, Command
from kiosk.commands.read_shop import read_shop
from kiosk.commands.shop_argument import add_shop_or_demo, shop_or_demo


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    add_shop_or_demo(parser)
    parser.add_argument(
        "--sheet", default="144x48", metavar="SIZE", help="length x width in inches (default 144x48)"
    )
    parser.add_argument("--kerf", default="0", help="what each cut loses: 0 for a shear, a router its bit")
    parser.add_argument("--trim", default="0", help="lost at each edge of the sheet")
    parser.add_argument("--all", action="store_true", help="the whole roster, parts already begun too")


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.numbers.cutting import Sheet
    from kiosk.numbers.units import parse_length_in
    from kiosk.views.cutting import cutting_plans
    from kiosk.views.text import cutting_text

    length, _, width = arguments.sheet.partition("x")
    sheet = Sheet(parse_length_in(length), parse_length_in(width), parse_length_in(arguments.trim))
    kerf_in = parse_length_in(arguments.kerf)
    with read_shop(shop_or_demo(arguments.shop)) as bench:
        plans = cutting_plans(bench.shop, bench.state, sheet, kerf_in, whole_roster=arguments.all)
    print(cutting_text(plans))
    return OK


COMMAND = Command(
    "cut", "the cutting list of the roster, with the least sheets possible beside it", _run, _add_arguments
)
