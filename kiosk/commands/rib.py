"""``kiosk rib``: a rib, its form block or its flanging dies, laid out full size."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from kiosk.commands.command import OK, Command, Misused
from kiosk.commands.drawing_files import add_drawing_files, write_drawing
from kiosk.commands.read_shop import read_shop
from kiosk.commands.shop_argument import add_shop_or_demo, known_kind, shop_or_demo

if TYPE_CHECKING:
    from kiosk.drawing.marks import Drawing
    from kiosk.shop.parts import Hand, PartKind
    from kiosk.shop.shop import Shop


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("kind", metavar="KIND", help="the part kind, such as nose-rib")
    add_shop_or_demo(parser)
    parser.add_argument(
        "--draw", choices=["rib", "block", "dies"], default="rib", help="the rib, its form block or its dies"
    )
    parser.add_argument("--hand", choices=["left", "right"], help="which hand of a pair; left if not given")
    add_drawing_files(parser)


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.drawing.plot import rib_plot
    from kiosk.views.text import rib_text

    # With the record, for the angle that trial strips found is the one to plane a block to.
    with read_shop(shop_or_demo(arguments.shop)) as bench:
        shop = bench.shop
    kind = known_kind(shop, arguments.kind)
    rib = shop.figures.rib(kind)
    print(rib_plot(rib))
    print(rib_text(rib))
    said = shop.figures.said_of_blank(kind)
    if said:
        print(said)
    write_drawing(_drawing(shop, kind, arguments), arguments)
    return OK


def _drawing(shop: Shop, kind: PartKind, arguments: argparse.Namespace) -> Drawing:
    from kiosk.drawing.block_drawing import draw_block
    from kiosk.drawing.rib_drawing import draw_rib

    hand = _hand_of(kind, arguments.hand)
    title = f"{shop.file.aeroplane.name} {kind.name} {kind.drawing}"
    if arguments.draw == "dies":
        return _dies(shop, kind, title + ", flanging dies")
    if arguments.draw == "block":
        title += ", form block"
    if hand != "none":
        title += f", {hand} hand"
    rib = shop.figures.rib(kind)
    if arguments.draw == "block":
        return draw_block(rib, title, hand, _side_angle_deg(shop, kind))
    return draw_rib(rib, title, hand)


def _hand_of(kind: PartKind, wanted: Hand | None) -> Hand:
    """The hand to draw: the one that is asked for, or the left one of a pair."""
    hands = {marks.hand for marks in kind.marks} - {"none"}
    if wanted is not None and hands and wanted not in hands:
        has = " or ".join(sorted(hands))
        raise Misused(f"no {kind.id} is {wanted} hand", f"leave --hand out, or give {has}")
    if wanted is not None:
        return wanted
    return "left" if "left" in hands else "right" if "right" in hands else "none"


def _side_angle_deg(shop: Shop, kind: PartKind) -> float | None:
    """How far the flange is driven, as the step at the block has it, where the sheet's alloy is known."""
    from kiosk.shop.figures import FigureFault
    from kiosk.shop.procedure import NumberWanted

    inputs = {"thickness": "thickness", "inside_radius": "bend_radius", "alloy": "alloy"}
    try:
        return shop.figures.step_number(kind, NumberWanted(calculator="overbend", inputs=inputs)).value
    except FigureFault:
        return None


def _dies(shop: Shop, kind: PartKind, title: str) -> Drawing:
    from kiosk.drawing.die_drawing import draw_dies
    from kiosk.numbers.holes import flanged_hole, flanging_dies

    missing = [name for name in ("finished_hole", "flange_slant") if kind.written(name) is None]
    if missing:
        raise Misused(f"{kind.id} has no {' and no '.join(missing)}", "give a kind with flanged holes")
    finished, slant = (shop.figures.number(kind, name, "in") for name in ("finished_hole", "flange_slant"))
    hole = flanged_hole(finished, slant, shop.figures.text(kind, "alloy"))
    thickness = shop.figures.rib(kind).inputs.thickness_in
    return draw_dies(hole, flanging_dies(hole.cut_out_in, slant, thickness), title)


COMMAND = Command("rib", "lay out a rib full size: plot, PDF, SVG, DXF", _run, _add_arguments)
