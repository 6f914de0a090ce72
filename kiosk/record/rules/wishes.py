"""Acts that ask for something: a part or a kind first, or not today; and take it back."""

from kiosk.record import events as e
from kiosk.record.context import Context
from kiosk.record.rules.door import Bodies, NotAllowed, Refused, act, require_parts
from kiosk.record.state import Wish
from kiosk.record.wishes import open_marks, wishes_now


# A helper says what they would like to do themselves today: it moves only their own share of the work, and
# what they may do is asked at each step as ever. It ends with the day, because a helper of last month must
# not steer anything.
@act("whoever is here")
def ask_first(context: Context, mark: str = "", part_kind: str = "") -> Bodies:
    """This part, or this kind of part, first: the builder's until it is taken back, a helper's for today."""
    day = "" if context.doer.role == "builder" else _today(context)
    return _asked(context, e.Wished(wish="first", mark=mark, part_kind=part_kind, day=day))


# "Not today" takes work out of the advice. That hides it, so it is for whoever the work belongs to.
@act("the builder")
def ask_not_today(context: Context, mark: str = "", part_kind: str = "") -> Bodies:
    """This part, or this kind of part, not today: it ends by itself with the day."""
    day = _today(context)
    return _asked(context, e.Wished(wish="not today", mark=mark, part_kind=part_kind, day=day))


@act("whoever is here")
def take_back_wish(context: Context, wish: Wish) -> Bodies:
    """What somebody asked for no longer counts: whoever asked takes it back, or the builder."""
    doer = context.doer
    if doer.role != "builder" and wish.by != doer.id:
        raise NotAllowed("it was not you who asked for it", "ask the builder")
    if wish not in context.state.wishes:
        raise Refused("this was taken back on another screen", "look at it again")
    return [e.WishTakenBack(person=wish.by, wish=wish.wish, mark=wish.mark, part_kind=wish.part_kind)]


def _today(context: Context) -> str:
    if not context.day:
        raise Refused(
            "the clock is not believed: nobody knows when today ends",
            "look at the clock first: F1, then Enter",
        )
    return context.day


def _asked(context: Context, body: e.Wished) -> Bodies:
    shop = context.shop
    if body.mark:
        require_parts(context, [body.mark])
    elif body.part_kind not in shop.kinds:
        raise Refused(f"no kind of part is called {body.part_kind!r}", "choose one on the board")
    if not open_marks(context, body.mark, body.part_kind):
        name = body.mark or shop.kinds[body.part_kind].name
        raise Refused(f"nothing is left to do on {name}", "choose another")
    new = Wish(context.doer.id, body.wish, body.mark, body.part_kind, body.day)
    return [] if new in wishes_now(context) else [body]
