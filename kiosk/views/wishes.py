"""What was asked for at the bench, in words: this first, that not today, by whom."""

from collections.abc import Sequence

from kiosk.record.context import Context
from kiosk.record.state import Wish
from kiosk.shop.shop import Shop


def wish_words(shop: Shop, one: Wish) -> str:
    """One wish: ``NR-04 first``, ``every main rib not today``."""
    kind = shop.kinds.get(one.part_kind)
    return f"{one.mark or f'every {kind.name if kind is not None else one.part_kind}'} {one.wish}"


def asked_line(context: Context, wishes: Sequence[Wish]) -> str:
    """All that was asked for and counts now, in one line, and by whom; empty where nothing was."""
    shop = context.shop
    by_person: dict[str, list[str]] = {}
    for one in wishes:
        by_person.setdefault(one.by, []).append(wish_words(shop, one))
    found = []
    for person, said in by_person.items():
        name = shop.people[person].name if person in shop.people else person
        found.append(f"{'You' if person == context.doer.id else name} asked: {', '.join(said)}.")
    return " ".join(found)
