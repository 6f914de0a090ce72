"""Whether a text is somebody's own words: what stands in the record as a reason, an answer or a name."""

from kiosk.shop.shop import Shop

FEWEST_LETTERS = 3
FEWEST_OF_A_NAME = 2


def is_a_mark(shop: Shop, text: str) -> bool:
    """True when it is the mark of a part or a lot, which says nothing of either."""
    return shop.part_written_out(text) is not None or text.strip().upper() in shop.lots


def are_words(shop: Shop, text: str) -> bool:
    """True for at least three letters that are no mark."""
    return _letters(text) >= FEWEST_LETTERS and not is_a_mark(shop, text)


def is_a_name(shop: Shop, text: str) -> bool:
    """True for at least two letters that are no mark."""
    return _letters(text) >= FEWEST_OF_A_NAME and not is_a_mark(shop, text)


def _letters(text: str) -> int:
    return sum(character.isalpha() for character in text)
