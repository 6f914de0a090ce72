"""How far the count of a step is on one piece, in words."""

from kiosk.record.state import Piece
from kiosk.shop.figures import FigureFault
from kiosk.shop.procedure import Repeat
from kiosk.shop.shop import Shop
from kiosk.views.wording import count_words


def piece_count(shop: Shop, piece: Piece, repeat: Repeat) -> str:
    """How far the count is; of how many only where the shop's files can tell."""
    if piece.mark not in shop.parts:
        return f"{piece.count} {repeat.of}"
    try:
        wanted = shop.figures.count(shop.kind_of(piece.mark), repeat)
        at_most = repeat.enough is not None
        return count_words(piece.count, wanted, repeat.of, at_most=at_most, enough=piece.enough)
    except FigureFault:
        return f"{piece.count} {repeat.of}"
