"""Whose a half-typed figure is, and half-typed words: of the screen they are typed at, for as long as that
lives.

What a power cut left half typed is whoever's comes next. What somebody types at another screen, at the same
step or question, is theirs: nobody records it for them, nor goes on typing in it, nor drops it.
"""

from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.state import Draft, Piece


@dataclass(frozen=True)
class HalfTypedWords:
    """What is half typed in one dialog: at this screen itself; else what the last that lives no more left so;
    and the newest at a screen that lives."""

    own: str
    left: Draft | None
    elsewhere: str

    @property
    def text(self) -> str:
        """What is offered here."""
        return self.own or (self.left.text if self.left is not None else "")

    @property
    def left_by(self) -> tuple[str, ...]:
        """The run whose words these are, where they are not this screen's."""
        return (self.left.run,) if self.left is not None else ()


def half_typed_here(context: Context, piece: Piece, check: str) -> str:
    """What is half typed for a check at this screen, or was left so by the last that lives no more."""
    return _here(context, piece.drafts.get(check, ()))


def left_half_typed(context: Context, piece: Piece, check: str) -> tuple[Draft, ...]:
    """What screens that live no more left half typed for a check, the newest last."""
    return _left(context, piece.drafts.get(check, ()))


def half_typed_elsewhere(context: Context, piece: Piece, check: str) -> str:
    """What is half typed for a check at another screen, the newest; empty where nothing is."""
    return _elsewhere(context, piece.drafts.get(check, ()))


def half_typed_words(context: Context, where: str) -> HalfTypedWords:
    """What is half typed in the dialog with this key."""
    drafts = context.state.words.get(where, ())
    own = next((draft.text for draft in drafts if draft.run == context.run), "")
    left = () if own else _left(context, drafts)
    return HalfTypedWords(own, left[-1] if left else None, _elsewhere(context, drafts))


def _here(context: Context, drafts: tuple[Draft, ...]) -> str:
    own = [draft for draft in drafts if draft.run == context.run]
    left = own or _left(context, drafts)
    return left[-1].text if left else ""


def _left(context: Context, drafts: tuple[Draft, ...]) -> tuple[Draft, ...]:
    return tuple(draft for draft in drafts if draft.run != context.run and not _lives(context, draft.run))


def _elsewhere(context: Context, drafts: tuple[Draft, ...]) -> str:
    others = (draft for draft in reversed(drafts) if draft.run != context.run)
    return next((one.text for one in others if _lives(context, one.run)), "")


def _lives(context: Context, run: str) -> bool:
    return context.lives is not None and context.lives(run)
