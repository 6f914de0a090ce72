"""What was asked for at the bench, in words: this first, that not today, by whom."""

from collections.abc import Sequence

from kiosk.catalogue import said
from kiosk.record.context import Context
from kiosk.record.state import Wish
from kiosk.shop.shop import Shop


def wish_words(shop: Shop, one: Wish) -> str:
    """One wish: ``NR-04 first``, ``every main rib not today``."""
    kind = shop.kinds.get(one.part_kind)
    every = said("every {kind}", kind=kind.name if kind is not None else one.part_kind)
    what = one.mark or every
    return said("{what} first", what=what) if one.wish == "first" else said("{what} not today", what=what)


def asked_line(context: Context, wishes: Sequence[Wish]) -> str:
    """All that was asked for and counts now, in one line, and by whom; empty where nothing was."""
    shop = context.shop
    by_person: dict[str, list[str]] = {}
    for one in wishes:
        by_person.setdefault(one.by, []).append(wish_words(shop, one))
    found = []
    for person, asked in by_person.items():
        name = shop.people[person].name if person in shop.people else person
        things = ", ".join(asked)
        yours = person == context.doer.id
        found.append(
            said("You asked: {things}.", things=things)
            if yours
            else said("{name} asked: {things}.", name=name, things=things)
        )
    return " ".join(found)
