"""``kiosk where``: where every part stands."""

import argparse

from kiosk.commands.command import OK, Command, Misused
from kiosk.commands.read_shop import read_shop
from kiosk.commands.shop_argument import add_shop, existing_shop, known_kind
from kiosk.shop.faults import nearest


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    add_shop(parser)
    parser.add_argument("--kind", help="one part kind only")
    parser.add_argument("--mark", help="one part only")


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.shop.parts import marks_from_to
    from kiosk.views.text import board_text, part_text

    with read_shop(existing_shop(arguments.shop)) as bench:
        if arguments.mark is not None:
            found = bench.shop.parts_meant(arguments.mark)
            if len(found) > 1:
                raise Misused(f"{arguments.mark!r} may be {marks_from_to(found)}", "write the whole mark")
            if not found:
                raise Misused(
                    f"no part is marked {arguments.mark!r}", nearest(arguments.mark.upper(), bench.shop.parts)
                )
            row = next(row for row in bench.board() if row.mark == found[0])
            print(part_text(bench.context, row))
            return OK
        if arguments.kind is not None:
            known_kind(bench.shop, arguments.kind)
        print(board_text(bench.board(arguments.kind), bench.kind_counts()))
    return OK


COMMAND = Command("where", "print where every part stands", _run, _add_arguments)
