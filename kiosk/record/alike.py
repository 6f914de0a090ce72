"""What may be said of several parts of a batch at once: what each is asked alike, and nobody said yet.

Parts that go through a step in turn are looked at one by one. Who looked at all of them and then comes to the
screen says it once; each part has its own entry in the record all the same, made by the same rules.
"""

from collections.abc import Callable

from kiosk.dataclass import dataclass
from kiosk.record.at_hand import at_hand
from kiosk.record.batch import pieces_to_do
from kiosk.record.context import Context
from kiosk.record.rules.door import Refused
from kiosk.record.rules.steps import counting_left, open_on_piece
from kiosk.record.state import Piece, Work
from kiosk.shop.procedure import Step, YesNoCheck


@dataclass(frozen=True)
class Alike:
    """The parts that one answer may speak for, the one in hand first; ``ends`` where each is done with it.

    ``counts`` are those that stand on them: two looks that differ are of two moments.
    """

    marks: tuple[str, ...]
    ends: bool
    counts: tuple[int, ...] = ()


def require_as_seen(seen: Alike, now: Alike | None) -> None:
    """Refuse what is said of parts of which another screen changed something meanwhile. Raises Refused."""
    if now != seen:
        raise Refused("another screen changed what is asked of these parts", "look at them again")


def answered_alike(context: Context, work: Work, check_id: str) -> Alike | None:
    """The parts in hand that wait for the same answer to the same question; None for fewer than two.

    Only what is answered by looking: a figure is read off each part by itself.
    """

    def asked(step: Step, piece: Piece) -> tuple[str, str] | None:
        if piece.answer_on(step, check_id) is not None or counting_left(context.shop, step, piece):
            return None
        wanted = (one for one in step.checks if one.id == check_id and isinstance(one, YesNoCheck))
        return next(((one.ask, one.want) for one in wanted), None)

    return _alike(context, work, asked)


def counted_alike(context: Context, work: Work) -> Alike | None:
    """The parts in hand on which as many of the same are to be counted, and are not yet; None for fewer than
    two, and where the number is only the most that there can be."""

    def asked(step: Step, piece: Piece) -> tuple[str, int] | None:
        if step.repeat is None or step.repeat.enough or not counting_left(context.shop, step, piece):
            return None
        return step.repeat.of, context.shop.figures.count(context.shop.kind_of(piece.mark), step.repeat)

    return _alike(context, work, asked)


def _alike(context: Context, work: Work, asked: Callable[[Step, Piece], object]) -> Alike | None:
    """The pieces of the same kind that are asked the same as the one in hand.

    One that a snag holds is looked at by itself, as is a trial. What goes straight on, such as a blank that
    is pinned to the one block, goes on with one part before the next is begun.
    """
    free = pieces_to_do(context.state, work)
    here, ends = None, True
    marks, counts = [], []
    kind = context.shop.parts[work.turned_to].kind
    for piece in sorted(work.pieces, key=lambda one: one.mark != work.turned_to):
        _, step = context.shop.find_step(work.procedure, work.step, piece.mark)
        if step is None or step.batch == "together" or step.stop == "go straight on":
            continue
        if step.trial is not None or piece.mark not in free or context.shop.parts[piece.mark].kind != kind:
            continue
        question = asked(step, piece)
        if piece.mark == work.turned_to:
            here = question
        if question is None or question != here:
            continue
        marks.append(piece.mark)
        counts.append(piece.count)
        ends = ends and len(open_on_piece(context.shop, step, piece, at_hand(context, work, step))) == 1
    return Alike(tuple(marks), ends, tuple(counts)) if len(marks) > 1 else None
