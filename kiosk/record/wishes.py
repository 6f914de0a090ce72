"""What people at the bench asked for: this part or kind first, or not today; and which of it counts now."""

from collections.abc import Sequence
from typing import Literal

from kiosk.record.context import Context
from kiosk.record.state import Wish
from kiosk.shop.shop import Shop

Asked = Literal["first", "not today", ""]


def wishes_now(context: Context) -> tuple[Wish, ...]:
    """Every wish that counts now, whoever's it is, the newest last.

    One for a day ends with it, by the house's clock; one for a part ends with the part, one for a kind with
    the last of its parts. What the shop no longer has counts no more.
    """
    today = context.today.isoformat()
    found: list[Wish] = []
    for one in context.state.wishes:
        if (not one.day or one.day == today) and open_marks(context, one.mark, one.part_kind):
            # Put off for today, what lasts says nothing until tomorrow.
            found = [*(earlier for earlier in found if not earlier.is_same_thing(one)), one]
    return tuple(found)


def wishes_for_doer(context: Context) -> tuple[Wish, ...]:
    """Those that steer the advice to whoever has the screen: the builder's, and their own."""
    return tuple(
        one for one in wishes_now(context) if one.by == context.doer.id or _is_builder(context.shop, one.by)
    )


def asked_of(context: Context, wishes: Sequence[Wish], mark: str) -> Asked:
    """What these wishes ask of a part.

    What is said of the part itself comes before what is said of its kind, and what the builder says before
    what a helper does: nobody is given what the builder put off.
    """
    kind = context.shop.parts[mark].kind
    found: list[Wish] = [one for one in wishes if one.mark == mark]
    of_kind = [one for one in wishes if one.part_kind == kind]
    by_builder = _of_builder(context.shop, found) or _of_builder(context.shop, of_kind)
    if by_builder:
        return by_builder[-1].wish
    others = found or of_kind
    return others[-1].wish if others else ""


def open_marks(context: Context, mark: str, part_kind: str) -> tuple[str, ...]:
    """The parts that a wish is about and that are not complete."""
    shop, state = context.shop, context.state
    if mark:
        marks: Sequence[str] = (mark,) if mark in shop.parts else ()
    else:
        marks = shop.marks_of(part_kind) if part_kind in shop.kinds else ()
    return tuple(one for one in marks if state.part(one).completed_at is None)


def _of_builder(shop: Shop, wishes: Sequence[Wish]) -> list[Wish]:
    return [one for one in wishes if _is_builder(shop, one.by)]


def _is_builder(shop: Shop, person: str) -> bool:
    found = shop.people.get(person)
    return found is not None and found.role == "builder"
