"""What kept positions are held to: each worked out afresh, one part after the other, with nothing kept.

This is how the bench found what to do before positions were kept. It is a reference for tests alone. By hand,
at so many moments: ``python -m tests.record.plain_positions 300``.
"""

import sys
from dataclasses import dataclass, field, replace

from kiosk.planning.spare import spare
from kiosk.planning.work.asked import Asked
from kiosk.planning.work.find_work import _gathered, _wait_left
from kiosk.record.context import Context, Kept
from kiosk.record.position import position, steps_left
from kiosk.record.readiness import StepStops, blocks, part_blocks, step_blocks
from kiosk.shop.procedure import StepRef
from kiosk.views.board import BoardRow, StateWord, board
from tests.benchmarks.mid_build import at_the_bench, middles_of_build
from tests.conftest import local_time
from tests.record.moments import brambling

BEGUN = local_time(2026, 12, 1, 18)
MOMENTS_A_BUILD = 60


Key = tuple[str, str, str, str, tuple[StepRef, ...]]  # the last: what is left, of a kind with repairs


@dataclass
class PlainlyGathered:
    """As the planner gathers them: in the order of the parts in the shop file."""

    ready: dict[Key, list[str]] = field(default_factory=dict)
    later: dict[Key, list[tuple[int, str]]] = field(default_factory=dict)
    not_now: dict[tuple[str, str, str], tuple[list[str], str]] = field(default_factory=dict)


def plainly_gathered(context: Context, minutes: int) -> PlainlyGathered:
    """Each part that is not in hand, by where it stands and what stops it."""
    shop, state = context.shop, context.state
    found = PlainlyGathered()
    for mark, part in shop.parts.items():
        where = position(shop, state, mark)
        if where.procedure is None or where.step is None or state.part(mark).work in state.works:
            continue
        of_step = step_blocks(context, where.step)
        stops = part_blocks(context, mark, where.procedure, where.step) or of_step
        left = steps_left(shop, state, mark) if shop.kinds[part.kind].repairs else ()
        ahead = tuple(procedure.ref(step) for procedure, step in left)
        key = (part.kind, where.procedure.id, where.step.id, "", ahead)  # nothing was asked for
        if not stops:
            found.ready.setdefault(key, []).append(mark)
            continue
        wait = _wait_left(context, stops)
        if wait is not None and wait < minutes and not of_step:
            found.later.setdefault(key, []).append((wait, mark))
        of_stop = (where.procedure.id, where.step.id, stops[0].kind)
        found.not_now.setdefault(of_stop, ([], stops[0].text))[0].append(mark)
    return found


def plain_board(context: Context) -> list[BoardRow]:
    """The rows of the board."""
    return [_row(context, mark) for mark in context.shop.parts]


def _row(context: Context, mark: str) -> BoardRow:
    shop, state = context.shop, context.state
    where = position(shop, state, mark)
    procedure = where.procedure.id if where.procedure else ""
    step = where.step.id if where.step else ""
    line = reason = ""
    if where.step is not None and where.procedure is not None:
        line = f"{where.procedure.title}: {where.number} of {where.of}, {step.replace('-', ' ')}"
    word: StateWord = "READY"
    snags = state.open_snags(mark)
    if where.completed:
        word = "COMPLETE"
    elif snags:
        word, reason = "HELD", snags[0].text
    elif state.part(mark).work in state.works:
        word = "IN HAND"
    elif where.question is not None:
        word, line = "QUESTION", where.question.words
    elif where.procedure is None or where.step is None:
        word, line = "ALL DONE", "look it over and complete it"
    else:
        stops = blocks(context, mark, where.procedure, where.step)
        if stops:
            word, reason = "WAITS", stops[0].text
    return BoardRow(mark, shop.parts[mark].kind, word, line, procedure, step, reason)


def compare(moments: int, seed: int) -> int:
    """Hold what is found, the board and some whole answers to the reference; gives at how many moments."""
    looked = 0
    while looked < moments:
        share = 0.03 + 0.07 * (looked // MOMENTS_A_BUILD)
        build = next(middles_of_build(brambling(), BEGUN, seed + looked, (share,)))
        at_the_bench(build, 18)
        for _ in range(min(MOMENTS_A_BUILD, moments - looked)):
            build.act()
            build.go(build.random.uniform(0.5, 6))
            context = build.alone() if build.random.random() < 0.7 else build.context
            _hold(context, build.random.randint(5, 120), whole=looked % 10 == 0)
            looked += 1
    return looked


def _hold(context: Context, minutes: int, *, whole: bool) -> None:
    fresh = replace(context, kept=Kept())
    found = _gathered(context, minutes, StepStops(context).of, Asked(context))
    plain = plainly_gathered(fresh, minutes)
    ready = [(key[:4], marks) for key, marks in plain.ready.items()]
    in_order = context.positions.in_order
    of_group = [
        (key[:4], in_order(mark for of in one for mark in of.marks)) for key, one in found.ready.items()
    ]
    assert of_group == ready
    later = [(key[:4], sorted(waits)) for key, waits in plain.later.items()]
    assert [(key[:4], sorted(waits)) for key, waits in found.later.items()] == later
    not_now = [(key, (marks, block.text)) for key, (marks, _, _, block) in found.not_now.items()]
    assert not_now == list(plain.not_now.items())
    assert board(context) == plain_board(fresh)
    if whole:
        assert spare(context, minutes) == spare(fresh, minutes)


if __name__ == "__main__":
    print(f"{compare(int(sys.argv[1]), 50)} moments, none different")
