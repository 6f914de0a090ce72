"""The files that a full-size drawing is written into, and the options that ask for them."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.command import Misused

if TYPE_CHECKING:
    from kiosk.drawing.marks import Drawing


def add_drawing_files(parser: argparse.ArgumentParser) -> None:
    """The options of a command that draws."""
    parser.add_argument("--pdf", type=Path, metavar="FILE", help="write full-size pages for a printer")
    parser.add_argument("--svg", type=Path, metavar="FILE", help="write one full-size sheet")
    parser.add_argument("--svg-pages", type=Path, metavar="FOLDER", help="write each page as SVG")
    parser.add_argument("--dxf", type=Path, metavar="FILE", help="write a DXF in inches")
    parser.add_argument("--paper", choices=["letter", "a4"], default="letter", help="the pages' size")


def write_drawing(drawing: Drawing, arguments: argparse.Namespace) -> None:
    """Write each file that is asked for, and say so. Raises Misused when one cannot be written."""
    for ending in ("pdf", "svg", "dxf"):
        path: Path | None = getattr(arguments, ending)
        # Otherwise a slip of the finger would write a drawing over a record or a shop file.
        if path is not None and path.suffix.lower() != f".{ending}":
            raise Misused(f"{path} does not end in .{ending}, so nothing was written", "name it so")
    try:
        _write(drawing, arguments)
    except OSError as error:
        raise Misused(f"cannot write ({error})", "choose another folder") from None


def _write(drawing: Drawing, arguments: argparse.Namespace) -> None:
    from kiosk.drawing.pages import one_sheet, tiles
    from kiosk.drawing.svg import to_svg

    bars = "Print it at 100 % and measure both bars"
    if arguments.pdf:
        from kiosk.drawing.pdf import save_pdf

        pages = tiles(drawing, arguments.paper)
        save_pdf(pages, arguments.pdf)
        print(f"Wrote {arguments.pdf}, {len(pages)} pages. {bars} on each.")
    if arguments.svg_pages:
        arguments.svg_pages.mkdir(parents=True, exist_ok=True)
        pages = tiles(drawing, arguments.paper)
        for number, page in enumerate(pages):
            path = arguments.svg_pages / f"page-{number:02d}.svg"
            path.write_text(to_svg(page), encoding="utf-8")
        print(f"Wrote {len(pages)} pages in {arguments.svg_pages}. {bars} on each.")
    if arguments.svg:
        arguments.svg.write_text(to_svg(one_sheet(drawing)), encoding="utf-8")
        print(f"Wrote {arguments.svg}, one sheet. Print it at 100 % and measure the 10 in bar.")
    if arguments.dxf:
        from kiosk.drawing.dxf import save_dxf

        save_dxf(drawing, arguments.dxf)
        print(f"Wrote {arguments.dxf}, in inches.")
