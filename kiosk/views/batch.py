"""A batch in words: what goes along, who does not and why, and what complete parts opened."""

from collections.abc import Sequence

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.record.batch import Behind, GoesOn, may_join_again, members, place_in_batch, who_left
from kiosk.record.context import Context
from kiosk.record.position import position
from kiosk.record.readiness import blocks, is_completed
from kiosk.shop.parts import marks_from_to, marks_in_full


@dataclass(frozen=True)
class BatchLines:
    """What the place card says of a batch."""

    marks: tuple[str, ...]  # all of it
    words: str
    behind: tuple[str, ...]  # a line for each that does not go along now
    may_join: tuple[str, ...]  # who left it, and can go along again
    without: tuple[str, ...]  # of those that go through together: who is not ready, and may be left behind


def batch_lines(context: Context, going: GoesOn) -> BatchLines:
    """What is said of a batch that goes on."""
    state = context.state
    first = going.marks[0]
    joins = may_join_again(context, first)
    alike: dict[str, list[Behind]] = {}  # by why, without the mark
    for one in going.behind:
        alike.setdefault(_why_alone(context, one), []).append(one)
    behind = [
        _why_behind(context, same[0]) if len(same) == 1 else _all_behind([one.mark for one in same], why)
        for why, same in alike.items()
    ]
    for mark in who_left(context, first):
        held = state.open_snags(mark)
        if mark not in joins:
            behind.append(
                said("{mark} left the batch, held: {snag}", mark=mark, snag=held[0].text)
                if held
                else said("{mark} left the batch", mark=mark)
            )
    late = tuple(one.mark for one in going.behind if one.mark in going.marks)
    in_turn = said("one at a time") if going.one_by_one else said("in turn")
    how = said("all at once") if going.step.batch == "together" else in_turn
    words = said(
        "BATCH OF {number}, {how}: {marks}",
        number=len(going.batch),
        how=how,
        marks=marks_from_to(going.batch),
    )
    return BatchLines(going.batch, words, tuple(behind), joins, late if going.stops else ())


def batch_of_one(context: Context, mark: str) -> BatchLines | None:
    """What is said of the batch of a part that is in hand, or goes on, by itself; None where it has none."""
    together = members(context.shop, context.state, mark)
    if len(together) < 2:
        return None
    return BatchLines(
        together,
        said("BATCH OF {number}: {marks}", number=len(together), marks=marks_from_to(together)),
        (),
        (),
        (),
    )


def _why_behind(context: Context, one: Behind) -> str:
    """Why a part does not go along, with its mark once."""
    if one.why is None:
        step = position(context.shop, context.state, one.mark).step
        return said("{mark} is behind: {step}", mark=one.mark, step=step.do if step else "")
    return one.why.text if one.mark in one.why.text else f"{one.mark}: {one.why.text}"


def _why_alone(context: Context, one: Behind) -> str:
    """Why a part does not go along, without its mark where that begins the sentence."""
    return _why_behind(context, one).removeprefix(f"{one.mark} ").removeprefix(f"{one.mark}: ")


def _all_behind(marks: Sequence[str], why: str) -> str:
    """One line for several that do not go along for the same reason: they leave room for what runs out."""
    return f"{marks_in_full(marks)}: {why.removeprefix('is ')}"


def in_batch_words(context: Context, marks: Sequence[str]) -> str:
    """Which of its batch a part is at its step; empty for several, and for one alone."""
    if len(marks) != 1:
        return ""
    found = place_in_batch(context, marks[0])
    return f" · {found}" if found is not None and not found.is_alone else ""


def opened_by(context: Context, marks: Sequence[str]) -> tuple[str, ...]:
    """Parts that waited for some of these, which are complete, and can be worked at now."""
    shop, state = context.shop, context.state
    done = [mark for mark in marks if mark in shop.parts and is_completed(state, mark)]
    if not done or len(done) < len(marks):
        return ()
    kinds = {shop.parts[mark].kind for mark in done}
    found = []
    for part in shop.parts.values():
        if is_completed(state, part.mark) or state.part(part.mark).work in state.works:
            continue
        made_from_it = not set(part.made_from).isdisjoint(done)
        stages = shop.kinds[part.kind].route
        if not made_from_it and not any(kinds & set(stage.needs) for stage in stages):
            continue
        where = position(shop, state, part.mark)
        if where.procedure is None or where.step is None:
            continue
        needed_here = made_from_it or bool(kinds & set(stages[where.stage].needs))
        if needed_here and not blocks(context, part.mark, where.procedure, where.step):
            found.append(part.mark)
    return tuple(found)


def opened_words(context: Context, mark: str) -> str:
    """That what was completed last opened this part; empty where nothing did."""
    state = context.state
    if not state.confirmations or members(context.shop, state, mark):
        return ""
    done = state.confirmations[-1].marks
    if mark not in opened_by(context, done):
        return ""
    verb = "are" if len(done) > 1 else "is"
    return said("{parts} {verb} complete. It opened {mark}.", parts=marks_in_full(done), verb=verb, mark=mark)
