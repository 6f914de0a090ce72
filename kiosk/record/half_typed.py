"""Whose a half-typed figure is: that of the screen it is typed at, for as long as that lives.

What a power cut left half typed is whoever's comes next. What somebody types at another screen at the same
step is theirs: nobody records it for them, nor goes on typing in it.
"""

from kiosk.record.context import Context
from kiosk.record.state import Draft, Piece


def half_typed_here(context: Context, piece: Piece, check: str) -> str:
    """What is half typed for a check at this screen, or was left so by the last that lives no more."""
    drafts = piece.drafts.get(check, ())
    own = [draft for draft in drafts if draft.run == context.run]
    left = own or left_half_typed(context, piece, check)
    return left[-1].text if left else ""


def left_half_typed(context: Context, piece: Piece, check: str) -> tuple[Draft, ...]:
    """What screens that live no more left half typed for a check, the newest last."""
    drafts = piece.drafts.get(check, ())
    return tuple(draft for draft in drafts if draft.run != context.run and not _lives(context, draft.run))


def half_typed_elsewhere(context: Context, piece: Piece, check: str) -> str:
    """What is half typed for a check at another screen, the newest; empty where nothing is."""
    drafts = reversed(piece.drafts.get(check, ()))
    return next((one.text for one in drafts if one.run != context.run and _lives(context, one.run)), "")


def _lives(context: Context, run: str) -> bool:
    return context.lives is not None and context.lives(run)
