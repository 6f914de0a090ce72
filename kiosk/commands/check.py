"""``kiosk check``: every fault in procedures and a shop."""

import argparse
from pathlib import Path

from kiosk.commands.command import FAILED, OK, Command
from kiosk.commands.shop_argument import existing_shop


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "shop",
        type=Path,
        metavar="SHOP",
        nargs="?",
        help="the shop folder (default: only the procedures that came with the kiosk)",
    )
    parser.add_argument("--strict", action="store_true", help="count warnings as faults")


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.shop.load import check_shipped_procedures, load

    faults = check_shipped_procedures()
    if arguments.shop is not None:
        faults = sorted({*faults, *load(existing_shop(arguments.shop), lint=True).faults})
    for fault in faults:
        print(fault)
    errors = sum(1 for fault in faults if fault.severity == "error")
    warnings = len(faults) - errors
    print(f"{errors} fault{'s' * (errors != 1)}, {warnings} warning{'s' * (warnings != 1)}")
    return FAILED if errors or (arguments.strict and warnings) else OK


COMMAND = Command("check", "check procedures and a shop: file, line and how to mend it", _run, _add_arguments)
