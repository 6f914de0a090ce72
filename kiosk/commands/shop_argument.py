"""The SHOP argument that most commands take, and the part kinds named on the command line."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.command import Misused
from kiosk.shop.faults import nearest

if TYPE_CHECKING:  # a shop is loaded by the command that runs, not by the help
    from kiosk.shop.parts import PartKind
    from kiosk.shop.shop import Shop


def add_shop(parser: argparse.ArgumentParser) -> None:
    """Take the shop folder; it must be given."""
    parser.add_argument("shop", type=Path, metavar="SHOP", help="the shop folder")


def add_shop_or_demo(parser: argparse.ArgumentParser) -> None:
    """Take the shop folder, or the demo when none is given."""
    parser.add_argument(
        "shop", type=Path, metavar="SHOP", nargs="?", help="the shop folder (default: the demo)"
    )


def existing_shop(folder: Path) -> Path:
    """The folder given, if it is a shop. Raises Misused when it is none."""
    try:
        there = (folder / "shop.yaml").exists()
    except OSError:  # a name longer than a file can have
        there = False
    if not there:
        raise Misused(f"{folder} is no shop folder: it has no shop.yaml", "make one with: kiosk new SHOP")
    return folder


def shop_or_demo(folder: Path | None) -> Path:
    """The folder given, if it is a shop, or the demo, made when it is wanted for the first time."""
    if folder is not None:
        return existing_shop(folder)
    from kiosk.commands.demo_folder import demo_folder, make_demo

    demo = demo_folder()
    make_demo(demo)
    return demo


def known_kind(shop: Shop, kind: str) -> PartKind:
    """The part kind of this id. Raises Misused with the nearest one."""
    if kind not in shop.kinds:
        raise Misused(f"there is no part kind {kind!r}", nearest(kind, shop.kinds))
    return shop.kinds[kind]
