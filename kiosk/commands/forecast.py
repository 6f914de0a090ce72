"""``kiosk forecast``: hours left and the finish date."""

import argparse

from kiosk.commands.command import OK, Command, Misused
from kiosk.commands.read_shop import read_shop
from kiosk.commands.shop_argument import add_shop_or_demo, known_kind, shop_or_demo

MOST_HALF_HOURS = 40  # a week
MOST_SCRAP_PERCENT = 80


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    add_shop_or_demo(parser)
    parser.add_argument("--kind", help="one part kind with all it needs (default: the aeroplane)")
    parser.add_argument("--half-hours", type=int, metavar="N", help="what if: N more half hours a week")
    parser.add_argument("--helper-saturdays", action="store_true", help="what if: a helper on Saturdays")
    parser.add_argument("--scrap", type=float, metavar="PERCENT", help="what if: so many parts made again")


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.drawing.plot import forecast_plot
    from kiosk.planning.forecast.simulation import WhatIf
    from kiosk.views.forecast_text import back_test_lines, forecast_lines, kind_lines, what_if_lines

    half_hours, scrap = arguments.half_hours or 0, arguments.scrap
    if not 0 <= half_hours <= MOST_HALF_HOURS:
        raise Misused(
            f"{half_hours} half hours a week are outside 0 to {MOST_HALF_HOURS}", "give a number in between"
        )
    if scrap is not None and not 0 <= scrap <= MOST_SCRAP_PERCENT:
        raise Misused(
            f"{scrap:g} % of parts made again is outside 0 to {MOST_SCRAP_PERCENT}",
            "give a number in between",
        )
    with read_shop(shop_or_demo(arguments.shop)) as bench:
        if arguments.kind is not None:
            known_kind(bench.shop, arguments.kind)
        if half_hours or arguments.helper_saturdays or scrap is not None:
            what_if = WhatIf(half_hours, arguments.helper_saturdays, scrap)
            table = [("as asked", bench.forecast(arguments.kind, what_if))]
        else:
            table = bench.forecasts(arguments.kind)
        past = bench.back_test()
        names = {kind.id: kind.name for kind in bench.shop.kinds.values()}
    print("\n".join(forecast_lines(table[0][1])))
    if table[0][1].days is not None:
        print("\n".join(["", "What if", *what_if_lines(table)] if len(table) > 1 else []))
        if table[0][1].whole:
            print("\n".join(["", "Each kind", *kind_lines(table[0][1], names), ""]))
        print(forecast_plot(table))
    print("\n".join(["Past forecasts", *back_test_lines(past)]))
    return OK


COMMAND = Command(
    "forecast",
    "hours left and finish dates, what holds them up, what could change them, and how past forecasts did",
    _run,
    _add_arguments,
)
