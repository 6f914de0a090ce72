"""``kiosk schema``: JSON Schema of the files a builder writes."""

import argparse
import json

from kiosk.commands.command import OK, Command


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "name",
        choices=["procedure", "shop"],
        nargs="?",
        default="procedure",
        help="which file (default: procedure)",
    )


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.shop.schema import json_schema

    print(json.dumps(json_schema(arguments.name), indent=2))
    return OK


COMMAND = Command("schema", "print the JSON Schema of a file, for your editor", _run, _add_arguments)
