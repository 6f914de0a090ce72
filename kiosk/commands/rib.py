"""``kiosk rib``: a rib laid out full size."""

import argparse
from pathlib import Path

from kiosk.commands.command import OK, Command, Misused
from kiosk.commands.shop_argument import add_shop_or_demo, known_kind, shop_or_demo


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("kind", metavar="KIND", help="the part kind, such as nose-rib")
    add_shop_or_demo(parser)
    parser.add_argument("--svg", type=Path, metavar="FILE", help="write a full-size SVG")
    parser.add_argument("--dxf", type=Path, metavar="FILE", help="write a DXF in inches")


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.drawing.dxf import save_dxf
    from kiosk.drawing.marks import draw_rib
    from kiosk.drawing.plot import rib_plot
    from kiosk.drawing.svg import to_svg
    from kiosk.shop.load import load_shop
    from kiosk.views.text import rib_text

    folder = shop_or_demo(arguments.shop)
    shop = load_shop(folder)
    kind = known_kind(shop, arguments.kind)
    rib = shop.figures.rib(kind)
    print(rib_plot(rib))
    print(rib_text(rib))
    drawing = draw_rib(rib, f"{shop.file.aeroplane.name} {kind.name} {kind.drawing}")
    try:
        if arguments.svg:
            arguments.svg.write_text(to_svg(drawing), encoding="utf-8")
            print(f"Wrote {arguments.svg}. Print it at 100 % and measure the 10 in bar.")
        if arguments.dxf:
            save_dxf(drawing, arguments.dxf)
            print(f"Wrote {arguments.dxf}, in inches.")
    except OSError as error:
        raise Misused(f"cannot write ({error})", "choose another folder") from None
    return OK


COMMAND = Command("rib", "lay out a rib full size: plot, SVG, DXF", _run, _add_arguments)
