"""``kiosk flat``: the flat pattern of a channel or an angle, full size."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from kiosk.commands.command import OK, Command, Misused
from kiosk.commands.drawing_files import add_drawing_files, write_drawing
from kiosk.commands.read_shop import read_shop
from kiosk.commands.shop_argument import add_shop_or_demo, known_kind, shop_or_demo

if TYPE_CHECKING:
    from kiosk.drawing.leg_names import LegsCalled
    from kiosk.shop.parts import PartKind

_WORKED_BY = "flat_width"


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("kind", metavar="KIND", help="the part kind, such as front-spar")
    add_shop_or_demo(parser)
    add_drawing_files(parser)


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.drawing.flat_drawing import draw_flat
    from kiosk.numbers.bends import FlatWidth

    # With the record, for a width that trial strips found is the one to cut by.
    with read_shop(shop_or_demo(arguments.shop)) as bench:
        shop = bench.shop
    kind = known_kind(shop, arguments.kind)
    found = shop.figures.dimension(kind, _WORKED_BY).result if kind.written(_WORKED_BY) is not None else None
    if not isinstance(found, FlatWidth):
        raise Misused(
            f"{kind.id} has no {_WORKED_BY} that is worked out",
            "give a kind whose flat_width names the calculator of that name",
        )
    given = {one.name: one.value for one in found.inputs}
    legs, angles = ([float(one) for one in str(given[name]).split(",")] for name in ("legs", "bend angles"))
    length = (
        shop.figures.number(kind, "blank_length", "in") if kind.written("blank_length") is not None else None
    )
    drawing = draw_flat(
        found,
        legs,
        angles,
        float(given["inside radius"]),
        length,
        f"{shop.file.aeroplane.name} {kind.name} {kind.drawing}, flat",
        _legs_called(kind, len(legs)),
        shop.figures.text(kind, "grain"),
    )
    print("\n".join([drawing.title, *drawing.notes]))
    write_drawing(drawing, arguments)
    return OK


def _legs_called(kind: PartKind, legs: int) -> LegsCalled:
    """What the legs go by: a kind with an upper bend is a channel, one with a leg an angle."""
    if kind.written("upper_bend") is not None:
        return "channel"
    return "angle" if legs == 2 else "by number"


COMMAND = Command("flat", "lay out a channel or an angle flat: PDF, SVG, DXF", _run, _add_arguments)
