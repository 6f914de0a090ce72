"""``kiosk numbers``: bench arithmetic alone."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from typing import TYPE_CHECKING

from kiosk.commands.command import OK, Command, Misused
from kiosk.shop.faults import nearest

if TYPE_CHECKING:
    from kiosk.numbers.result import Result


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", nargs="?", help="the calculator, or a subject")
    parser.add_argument("inputs", nargs="*", metavar="input=value", help="such as thickness=.025")
    parser.add_argument("--json", action="store_true", help="print the whole result as JSON")


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.numbers.catalogue import CALCULATORS
    from kiosk.numbers.result import OutOfRange
    from kiosk.views.text import calculators_text, result_text

    subjects = {calculator.subject for calculator in CALCULATORS.values()}
    if arguments.name is None or arguments.name in subjects:
        print(calculators_text(arguments.name))
        return OK
    calculator = CALCULATORS.get(arguments.name)
    if calculator is None:
        raise Misused(f"there is no calculator {arguments.name!r}", nearest(arguments.name, CALCULATORS))
    try:
        result = calculator.work_out(_written(arguments.inputs))
    except OutOfRange as error:
        raise Misused(error.wrong, error.mend) from None
    print(_as_json(result) if arguments.json else result_text(result))
    return OK


def _written(inputs: Sequence[str]) -> dict[str, str]:
    """The inputs by name. Raises Misused for one that is not written as ``name=value``."""
    written: dict[str, str] = {}
    for text in inputs:
        name, equals, value = text.partition("=")
        if not equals:
            raise Misused(f"{text!r} is no input", "write it like thickness=.025")
        if name in written:
            raise Misused(f"{name} is given twice", "give each input once")
        written[name] = value
    return written


def _as_json(result: Result) -> str:
    return json.dumps(result.as_data(), indent=2, allow_nan=False)


COMMAND = Command(
    "numbers",
    "bench arithmetic alone, each figure with its working and source",
    _run,
    _add_arguments,
    "Bench arithmetic alone. Without a name: the list of what it can work out.",
)
