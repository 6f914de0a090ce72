"""Closing up: what may be left as it is and what may not."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from itertools import chain

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.out_on_bench import out_on_bench
from kiosk.record.position import has_to_end, in_run, newest_left, position
from kiosk.record.readiness import part_blocks
from kiosk.record.state import Work
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Step
from kiosk.views.clocks import RunningClock, mixes_left_lines, told_clocks
from kiosk.views.must_follow import MustFollow, left_in_runs
from kiosk.views.piece_count import piece_count
from kiosk.views.wording import action_words, next_step_words

Do = Callable[[Step], str]  # the words of a step's action


@dataclass(frozen=True)
class CloseUp:
    """Three lists: what must not be left so, what it is too late for, and what may; then the clocks that go
    on running."""

    must_not: tuple[str, ...]
    too_late: tuple[str, ...]
    may: tuple[str, ...]
    clocks: tuple[str, ...]
    put_away: tuple[str, ...]
    next_step: str  # what the next sitting begins with, in words
    others: tuple[str, ...] = ()  # who else is at a step, which closing up stops
    finish: str = ""  # the first step in hand of those that must not be left so


def close_up(context: Context, *, as_recorded: bool = False, of: str | None = None) -> CloseUp:
    """What closing up now would leave behind, said to whoever has the screen; ``as_recorded`` with the
    procedure's own words, whoever it is. ``of`` one person alone it is what they have in hand."""
    shop, state = context.shop, context.state
    do: Do = (lambda step: step.do) if as_recorded else partial(action_words, context)
    must_not: list[str] = []
    may: list[str] = []
    tools: dict[str, None] = {}
    clocks = told_clocks(context, gone_on=False)  # the step that is in hand again is told itself
    lost = _lost(clocks)
    finish = ""
    for work in state.works.values():
        if of is not None and work.worker != of:
            continue
        before = len(must_not)
        procedure, step = shop.find_step(work.procedure, work.step)
        if procedure is None or step is None:
            continue
        tools.update(dict.fromkeys(shop.tool_names(step)))
        deed = do(step) + _whose(context, work)
        name = f"{marks_in_full(work.marks)}: {deed}"
        touched = [piece for piece in work.pieces if piece.touched]
        if lost.issuperset(work.marks) and step.has_to_end:
            continue  # it is told with its clock
        if work.status == "unknown":
            must_not.append(said("{name} Look how it stands: nobody has since it was cut off.", name=name))
        elif step.stop == "go straight on":
            must_not.append(said("{name} The next step must follow at once.", name=name))
        elif step.stop == "only when finished" and any(piece.is_begun for piece in work.pieces):
            must_not.append(said("{name} Finish it.", name=name))
        elif step.stop == "only when finished":
            must_not.append(said("{name} Finish it, or put it back as not begun.", name=name))
        elif any(in_run(shop, state, mark) for mark in work.marks):
            must_not.append(said("{name} It follows at once: finish it.", name=name))
        elif step.stop == "between pieces" and touched:
            names = marks_in_full([piece.mark for piece in touched])
            must_not.append(
                said("{parts} are half done: {do}", parts=names, do=deed)
                if len(touched) > 1
                else said("{parts} is half done: {do}", parts=names, do=deed)
            )
        elif step.repeat is not None and touched:
            may += [
                said(
                    "{name} {counted} are kept.",
                    name=f"{piece.mark}: {deed}",
                    counted=piece_count(shop, piece, step.repeat),
                )
                for piece in touched
            ]
            rest = [piece.mark for piece in work.pieces if not piece.touched]
            may += [f"{marks_in_full(rest)}: {deed}"] if rest else []
        else:
            may.append(name)
        if len(must_not) > before and not _is_at(work.worker, work, context):
            finish = finish or work.id
    for of_family in out_on_bench(context).values():  # also what was set up for what is done, or still waits
        for _, step in of_family:
            tools.update(dict.fromkeys(shop.tool_names(step)))
    must_not += _must_follow(context, do, lost) if of is None else []
    return CloseUp(
        tuple(must_not),
        tuple(one.words for one in clocks if _is_missed(one)),
        tuple(may),
        (*(one.words for one in clocks if not _is_missed(one)), *mixes_left_lines(context)),
        tuple(tools),
        _next_step(context, do, lost),
        tuple(
            one.name
            for one in context.people
            if any(_is_at(one.id, work, context) for work in state.works.values())
        ),
        finish,
    )


def _is_at(person: str, work: Work, context: Context) -> bool:
    """True when somebody other than who closes up is at the step, at another screen perhaps."""
    return work.status == "running" and work.worker == person != context.doer.id


def _whose(context: Context, work: Work) -> str:
    names = [one.name for one in context.people if _is_at(one.id, work, context)]
    return " " + said("{name} is at it.", name=names[0]) if names else ""


def _is_missed(one: RunningClock) -> bool:
    return one.is_limit and one.left_s is not None and one.left_s < 0


def _lost(clocks: Sequence[RunningClock]) -> frozenset[str]:
    """The parts on which a limit was missed and no other one runs: nothing is saved by staying. Where one
    still runs, what was mixed is still wet."""
    limits = [one for one in clocks if one.is_limit]
    missed = {mark for one in limits if _is_missed(one) for mark in one.marks}
    return frozenset(missed.difference(*(one.marks for one in limits if not _is_missed(one))))


def _next_step(context: Context, do: Do, lost: frozenset[str]) -> str:
    """What the next sitting begins with: what may not be left so, in hand or to follow at once; else the step
    in hand, or the next one on the parts last worked on; never with what a snag holds."""
    shop, state = context.shop, context.state
    held = {snag.mark for snag in state.open_snags()}

    def of(works: Iterable[Work]) -> Iterator[str]:
        for work in works:
            _, step = shop.find_step(work.procedure, work.step)
            marks = [mark for mark in work.marks if mark not in held]
            if step is not None and marks:
                yield next_step_words(marks, do(step))

    works = state.works.values()
    left = newest_left(shop, state, works)
    kept = [*filter(None, (left,)), *(work for work in works if has_to_end(shop, state, work))]
    follows = [one for one, waits in _following(context, lost) if not waits and one.mark not in held]
    marks = [one.mark for one in follows if one.step is follows[0].step]
    at_once = [next_step_words(marks, do(follows[0].step))] if follows else []
    found = next(chain(of(kept), at_once, of(works)), "")
    if found:
        return found
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


def _following(context: Context, lost: frozenset[str]) -> Iterator[tuple[MustFollow, bool]]:
    """What has to follow on parts that nobody has in hand, and whether something has to pass before it."""
    for one in left_in_runs(context):
        if one.mark not in lost:
            blocked = part_blocks(context, one.mark, one.procedure, one.step)
            yield one, any(block.kind in ("wait", "look at clock") for block in blocked)


def _must_follow(context: Context, do: Do, lost: frozenset[str]) -> list[str]:
    """Parts whose last finished step may not be left without the next, where nothing has to pass first; of
    those that are ``lost`` already nothing is said."""
    at_once: dict[str, list[str]] = {}
    after_a_wait: dict[str, list[str]] = {}
    for one, waits in _following(context, lost):
        (after_a_wait if waits else at_once).setdefault(do(one.step), []).append(one.mark)
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
