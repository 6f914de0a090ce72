"""Which hand a rib is, in one place: the drawings, the screen and the steps all go by it.

A rib is drawn with its flanges away from the eye and up upward. Seen so with its nose to the left, the eye
looks to the aeroplane's right, and so do the flanges: that is a right-hand rib. A left-hand rib is its mirror
image, its nose to the right. Left and right are those of somebody who sits in the aeroplane.
"""

from kiosk.shop.parts import Hand


def is_mirrored(hand: Hand) -> bool:
    """True where the layout, whose nose is to the left, has to be turned round for this hand."""
    return hand == "left"


def way_of_flanges(hand: Hand) -> str:
    """Where the flanges of a rib of this hand point once it stands in the aeroplane."""
    if hand == "none":
        return "Serves either hand: turned over, top to bottom, its flanges point the other way."
    return f"{hand.capitalize()} hand: upright, nose forward, its flanges point to the aeroplane's {hand}."
