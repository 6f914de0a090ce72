"""A part in one line: its mark, what it is, its hand and its drawing."""

from kiosk.catalogue import said
from kiosk.shop.shop import Shop


def part_words(shop: Shop, mark: str) -> str:
    """Mark, name, hand and drawing."""
    kind, hand = shop.kind_of(mark), shop.parts[mark].hand
    return said(
        "{mark}  {name}{side}   drawing {drawing}",
        mark=mark,
        name=kind.name,
        side=said(", {hand} hand", hand=hand) if hand != "none" else "",
        drawing=kind.drawing,
    )
