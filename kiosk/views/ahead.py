"""What lies ahead of a part and round about it, for a large screen: steps to come, others of its batch."""

from collections.abc import Iterator

from kiosk.catalogue import said, to_be_said
from kiosk.dataclass import dataclass
from kiosk.record.batch import members
from kiosk.record.context import NOBODY, Context
from kiosk.record.position import Position, position, steps_left_from
from kiosk.record.state import Piece
from kiosk.record.waits import wait_minutes
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Procedure, Step, StepRef
from kiosk.views.clocks import left_words
from kiosk.views.wording import action_words

MOST_STEPS = 24  # of those to come: more fit on no screen


@dataclass(frozen=True)
class StepAhead:
    """One step to come: its number in its procedure, its action, and what it needs that takes planning."""

    number: int
    do: str
    needs: str = ""  # a second person, a wait


@dataclass(frozen=True)
class StandAlike:
    """Parts of a batch that stand at the same place: how many, and where."""

    words: str
    parts: int


@dataclass(frozen=True)
class Ahead:
    """What stands beside the step, and is nowhere in the step's own words."""

    steps: tuple[StepAhead, ...]
    more: int  # steps of this procedure after those
    then: str  # the procedure that comes after this one; empty for the last
    others: tuple[StandAlike, ...]  # of the batch, but for those in front of the person


def ahead(context: Context, mark: str, ref: StepRef, *, shown: tuple[str, ...]) -> Ahead:
    """What comes after a step of a part, in the part's own order; ``shown`` are the parts that the screen
    names already."""
    shop, state = context.shop, context.state
    where = position(shop, state, mark)
    left = steps_left_from(shop, state, where)
    at = next((at for at, (procedure, step) in enumerate(left) if procedure.ref(step) == ref), None)
    after = left[at + 1 :] if at is not None else ()
    here = [step for procedure, step in after if procedure.id == ref.procedure]
    then = next((procedure.title for procedure, _ in after if procedure.id != ref.procedure), "")
    procedure = shop.procedures.get(ref.procedure)
    steps = () if procedure is None else tuple(_steps(context, mark, procedure, here[:MOST_STEPS]))
    return Ahead(steps, max(0, len(here) - MOST_STEPS), then, tuple(_others(context, mark, shown)))


def _steps(context: Context, mark: str, procedure: Procedure, steps: list[Step]) -> Iterator[StepAhead]:
    ids = [one.id for one in context.shop.steps_for(context.shop.kind_of(mark), procedure)]
    for step in steps:
        number = ids.index(step.id) + 1 if step.id in ids else 0
        yield StepAhead(
            number, action_words(context, step), "; ".join(_needs(context, mark, procedure, step))
        )


def _is_helper(context: Context) -> bool:
    return context.doer.role != "builder" and context.doer.id != NOBODY


def _needs(context: Context, mark: str, procedure: Procedure, step: Step) -> Iterator[str]:
    """What has to be seen to before it: other people, and time."""
    if _is_helper(context) and step.who in _WITH:
        yield said(_WITH[step.who])
    if any(context.shop.hazards[tag].people > 1 for tag in step.hazards if tag in context.shop.hazards):
        yield said("takes two people")
    if step.hold_point is not None:
        yield said(_LOOKS[step.hold_point.by])
    for wait in step.waits:
        minutes = wait_minutes(context.state, procedure.id, step, wait, Piece(mark))
        # Read at the bench, perhaps not yet.
        about = f"{said('about')} " if wait.from_check is not None else ""
        if wait.must_pass is not None:
            yield said(
                "then wait {about}{time}: {what}",
                about=about,
                time=left_words(minutes * 60, up=True),
                what=wait.what,
            )
        else:
            yield said(
                "then {about}{time} at most: {what}",
                about=about,
                time=left_words(minutes * 60, up=False),
                what=wait.what,
            )


_WITH = {"builder": to_be_said("for the builder"), "helper with the builder": to_be_said("with the builder")}
_LOOKS = {
    "builder": to_be_said("a second look first, by the builder"),
    "adult": to_be_said("a second look first, by an adult"),
    "inspector": to_be_said("a second look first, by an inspector"),
}


def _others(context: Context, mark: str, shown: tuple[str, ...]) -> Iterator[StandAlike]:
    """The rest of the batch, those who stand alike in one line, who is farthest back first."""
    shop, state = context.shop, context.state
    where = position(shop, state, mark)
    alike: dict[tuple[int, int, str], list[str]] = {}
    for one in members(shop, state, mark):
        if one in shown:
            continue
        there = position(shop, state, one)
        words = _stands(context, one, there, named=where.procedure is there.procedure)
        alike.setdefault((there.stage, there.number, words), []).append(one)
    for (_, _, words), marks in sorted(alike.items()):
        yield StandAlike(f"{marks_in_full(marks)}: {words}", len(marks))


def _stands(context: Context, mark: str, where: Position, *, named: bool) -> str:
    """Where a part stands; the procedure is said where the screen has not ``named`` it."""
    state = context.state
    if where.procedure is None or where.step is None:
        return said("all steps done") if where.question is None else said("where it goes on is asked")
    step = said("step {number} of {of}", number=where.number, of=where.of)
    words = step if named else f"{where.procedure.title}, {step}"
    work = state.works.get(state.part(mark).work or "")
    if work is not None:
        piece = work.piece(mark)
        count = said(", {count} done", count=piece.count) if piece is not None and piece.count else ""
        words = said("{words}, in hand{count}", words=words, count=count)
    snags = state.open_snags(mark)
    return said("{words}, HELD: {text}", words=words, text=snags[0].text) if snags else words
