"""Closing up: what may be left as it is and what may not."""

from collections.abc import Callable
from functools import partial

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.position import left_in_a_run, position
from kiosk.record.readiness import part_blocks
from kiosk.record.state import Piece, State
from kiosk.shop.figures import FigureFault
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Repeat, Step
from kiosk.shop.shop import Shop
from kiosk.views.clocks import clock_lines
from kiosk.views.wording import action_words, count_words, next_step_words

Do = Callable[[Step], str]  # the words of a step's action


@dataclass(frozen=True)
class CloseUp:
    """Two lists: what must not be left so, and what may; then the clocks that go on running."""

    must_not: tuple[str, ...]
    may: tuple[str, ...]
    clocks: tuple[str, ...]
    put_away: tuple[str, ...]
    next_step: str  # what the next sitting begins with, in words


def close_up(context: Context, *, as_recorded: bool = False) -> CloseUp:
    """What closing up now would leave behind, said to whoever has the screen; ``as_recorded`` with the
    procedure's own words, whoever it is."""
    shop, state = context.shop, context.state
    do: Do = (lambda step: step.do) if as_recorded else partial(action_words, context)
    must_not: list[str] = []
    may: list[str] = []
    tools: dict[str, None] = {}
    for work in state.works.values():
        procedure, step = shop.find_step(work.procedure, work.step)
        if procedure is None or step is None:
            continue
        tools.update(dict.fromkeys(shop.tool_names(step)))
        name = f"{marks_in_full(work.marks)}: {do(step)}"
        touched = [piece for piece in work.pieces if piece.touched]
        if step.stop == "go straight on":
            must_not.append(said("{name} The next step must follow at once.", name=name))
        elif step.stop == "only when finished":
            must_not.append(said("{name} Finish it, or put it back as not begun.", name=name))
        elif step.stop == "between pieces" and touched:
            names = marks_in_full([piece.mark for piece in touched])
            must_not.append(
                said("{parts} are half done: {do}", parts=names, do=do(step))
                if len(touched) > 1
                else said("{parts} is half done: {do}", parts=names, do=do(step))
            )
        elif step.repeat is not None and touched:
            piece = touched[0]
            may.append(
                said("{name} {counted} are kept.", name=name, counted=_counted(shop, piece, step.repeat))
            )
        else:
            may.append(name)
    must_not += _must_follow(context, do)
    return CloseUp(
        tuple(must_not),
        tuple(may),
        tuple(clock_lines(context)),
        tuple(tools),
        _next_step(shop, state, do),
    )


def _counted(shop: Shop, piece: Piece, repeat: Repeat) -> str:
    """How far the count is; of how many only where the shop's files can tell."""
    if piece.mark not in shop.parts:
        return f"{piece.count} {repeat.of}"
    try:
        wanted = shop.figures.count(shop.kind_of(piece.mark), repeat)
        at_most = repeat.enough is not None
        return count_words(piece.count, wanted, repeat.of, at_most=at_most, enough=piece.enough)
    except FigureFault:
        return f"{piece.count} {repeat.of}"


def _next_step(shop: Shop, state: State, do: Do) -> str:
    """What the next sitting begins with: the step in hand, or the next one on the parts last worked on; never
    with what a snag holds."""
    held = {snag.mark for snag in state.open_snags()}
    for work in state.works.values():
        _, step = shop.find_step(work.procedure, work.step)
        marks = [mark for mark in work.marks if mark not in held]
        if step is not None and marks:
            return next_step_words(marks, do(step))
    for done in reversed(state.confirmations):
        for mark in done.marks:
            if mark not in shop.parts or mark in held:
                continue
            where = position(shop, state, mark)
            if where.step is not None:
                return next_step_words([mark], do(where.step))
            if where.all_done:
                return next_step_words([mark], said("look it over and complete it"))
    return ""


def _must_follow(context: Context, do: Do) -> list[str]:
    """Parts whose last finished step may not be left without the next, where nothing has to pass first."""
    shop, state = context.shop, context.state
    at_once: dict[str, list[str]] = {}
    after_a_wait: dict[str, list[str]] = {}
    for part in state.parts.values():
        last = left_in_a_run(shop, part) if part.work not in state.works else None
        if last is not None:
            procedure, step = last
            following = procedure.steps[(procedure.index(step.id) or 0) + 1]
            blocked = part_blocks(context, part.mark, procedure, following)
            waits = any(block.kind in ("wait", "look at clock") for block in blocked)
            (after_a_wait if waits else at_once).setdefault(do(following), []).append(part.mark)
    return [
        *(
            said("{parts} cannot wait. Next: {words}", parts=marks_in_full(marks), words=words)
            for words, marks in at_once.items()
        ),
        *(
            said(
                "{parts} cannot be left: when the wait is over, at once: {words}",
                parts=marks_in_full(marks),
                words=words,
            )
            for words, marks in after_a_wait.items()
        ),
    ]
