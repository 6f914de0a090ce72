"""The step in hand, as Minutes names it before all else that could be done."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.position import has_to_end
from kiosk.record.readiness import part_blocks
from kiosk.record.rules.door import why_not
from kiosk.record.state import Work
from kiosk.record.worked import seconds_worked
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Procedure, Step
from kiosk.views.step import usual_minutes
from kiosk.views.wording import action_words, clock_line


@dataclass(frozen=True)
class InHand:
    """What is under way."""

    work: str
    marks: tuple[str, ...]
    words: str
    is_known: bool  # how it stands; not, after a power cut, until somebody looks
    comes_first: bool  # it may not be left as it is, and whoever has the screen may go on with it
    left_so: tuple[str, ...] = ()  # others that stand still and may not be left so, in words


def in_hand(context: Context) -> InHand | None:
    """The step that runs in the hands of whoever has the screen; else one that nobody has looked at since it
    was cut off; else one that stands still and may not be left. None where nothing is so.

    What is no longer in the shop's files is asked on the place.
    """
    found: dict[str, list[tuple[Work, Procedure, Step]]] = {}
    for work in context.state.works.values():
        if any(mark not in context.shop.parts for mark in work.marks):
            continue
        procedure, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
        if procedure is None or step is None:
            continue
        theirs = work.status == "running" and work.worker == context.doer.id
        kept = work.status == "paused" and has_to_end(context.shop, context.state, work)
        if theirs or kept or work.status == "unknown":
            found.setdefault(work.status, []).append((work, procedure, step))
    paused = [_paused(context, *one) for one in found.get("paused", [])]
    for status, told in (("running", _running), ("unknown", _unknown)):
        if status in found:
            return replace(told(context, *found[status][0]), left_so=tuple(one.words for one in paused))
    return replace(paused[0], left_so=tuple(one.words for one in paused[1:])) if paused else None


def _running(context: Context, work: Work, procedure: Procedure, step: Step) -> InHand:
    parts, do = _named(context, work, step)
    if not has_to_end(context.shop, context.state, work):
        words = said("IN HAND: {parts}: {do}", parts=parts, do=do)
        return InHand(work.id, work.marks, words, is_known=True, comes_first=False)
    usual = usual_minutes(context, work, procedure, step)
    words = said(
        "IN HAND, {left}: {parts}: {do} Finish it before you leave it.",
        left=clock_line(seconds_worked(context, work), usual),
        parts=parts,
        do=do,
    )
    return InHand(work.id, work.marks, words, is_known=True, comes_first=True)


def _unknown(context: Context, work: Work, _: Procedure, step: Step) -> InHand:
    parts, do = _named(context, work, step)
    if why_not(context, "say_how_it_stands", work.id):
        words = said("LEFT UNDER WAY, tell the builder: {parts}: {do}", parts=parts, do=do)
        return InHand(work.id, work.marks, words, is_known=False, comes_first=False)
    words = said("LOOK FIRST, left under way: {parts}: {do}", parts=parts, do=do)
    return InHand(work.id, work.marks, words, is_known=False, comes_first=True)


def _paused(context: Context, work: Work, _: Procedure, step: Step) -> InHand:
    parts, do = _named(context, work, step)
    words = said("PAUSED, and not to be left so: {parts}: {do}", parts=parts, do=do)
    may = not why_not(context, "take_up", work.id)
    return InHand(work.id, work.marks, words, is_known=True, comes_first=may)


def not_to_be_left(context: Context, work: Work) -> str:
    """That a step may not be left as it is, in words; empty where it may, or is not under way."""
    if work.status != "running" or any(mark not in context.shop.parts for mark in work.marks):
        return ""
    _, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
    if step is None or not has_to_end(context.shop, context.state, work):
        return ""
    parts, do = _named(context, work, step)
    return said("not to be left so: {parts}: {do}", parts=parts, do=do.rstrip("."))


def left_for_another(context: Context, marks: Sequence[str], but: str = "") -> str:
    """What whoever has the screen would leave, though it may not be left, by going on with another step on
    these parts: what they have in hand, or what was done in this sitting and is to be followed at once."""
    theirs = [work for work in context.state.works.values() if work.worker == context.doer.id]
    in_hand = (not_to_be_left(context, work) for work in theirs if work.id != but)
    return next(filter(None, chain(in_hand, _left_in_runs(context, marks))), "")


def _left_in_runs(context: Context, but: Sequence[str]) -> Iterator[str]:
    """What has to follow at once on other parts, which nobody has in hand and nothing holds. Who left it so
    before this sitting knows."""
    from kiosk.views.must_follow import left_in_runs

    sitting = context.state.sitting
    for one in left_in_runs(context):
        if one.mark in but or sitting is None or one.done_at < sitting.opened_at:
            continue
        if not part_blocks(context, one.mark, one.procedure, one.step):
            do = action_words(context, one.step).rstrip(".")
            yield said("not to be left so: {parts}: {do}", parts=one.mark, do=do)


def _named(context: Context, work: Work, step: Step) -> tuple[str, str]:
    half_done = [piece.mark for piece in work.pieces if piece.touched]
    marks = half_done if step.stop == "between pieces" and half_done else work.marks
    return marks_in_full(marks), action_words(context, step)


def worked_on(context: Context, work: Work) -> str:
    """How long a step in hand was worked at, where that is a minute or more; else empty."""
    minutes = int(seconds_worked(context, work) // 60)
    return (
        said("it has run for {minutes} min, which are not counted then", minutes=minutes) if minutes else ""
    )
