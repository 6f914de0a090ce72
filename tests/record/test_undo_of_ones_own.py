"""The undo key takes back the last act of whoever has the screen, and leaves what others did elsewhere."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.apply import fold
from kiosk.record.rules import Refused
from tests.conftest import SteadyClocks
from tests.driver import good_answer
from tests.record.moments import step, with_steps

STEP = ("form-block", "measure-pattern")
Act = tuple[str, str, str]  # who, what, on which part

ROWS: dict[str, tuple[Sequence[Act], str, Sequence[tuple[str, str]], str]] = {
    # what was done; who presses undo; by whom and on which part is what is offered; what is said
    "nothing was done": ([], "wren", [], "Nothing can be taken back."),
    "one's own last": ([("wren", "begin", "FB-NR")], "wren", [("wren", "FB-NR")], ""),
    "a helper's own last": (
        [("wren", "begin", "FB-NR"), ("odile", "begin", "FB-TR")],
        "odile",
        [("odile", "FB-TR")],
        "",
    ),
    "the builder's own, and the helper's that came after it": (
        [("wren", "begin", "FB-NR"), ("odile", "begin", "FB-TR")],
        "wren",
        [("wren", "FB-NR"), ("odile", "FB-TR")],
        "Done since on another part, and it stays: FB-TR: start of",
    ),
    "a helper's own, and the builder went on with another part": (
        [("odile", "begin", "FB-TR"), ("wren", "begin", "FB-NR"), ("wren", "answer", "FB-NR")],
        "odile",
        [("odile", "FB-TR")],
        "2 acts since on other parts, and they stay. The last: answer",
    ),
    "the builder's later act leans on the helper's": (
        [("odile", "begin", "FB-TR"), ("wren", "answer", "FB-TR")],
        "odile",
        [],
        "on FB-TR, by Wren.",
    ),
    "the helper's later act leans on the builder's, who takes back both": (
        [("wren", "begin", "FB-TR"), ("odile", "answer", "FB-TR"), ("wren", "begin", "FB-NR")],
        "wren",
        [("wren", "FB-NR")],
        "",
    ),
    "the newest that leans, and not the first": (
        [("wren", "begin", "FB-TR"), ("odile", "answer", "FB-TR"), ("odile", "finish", "FB-TR")],
        "wren",
        [("odile", "FB-TR")],
        "stays until this is taken back: \u2018Measure",
    ),
    "nothing of one's own": (
        [("wren", "begin", "FB-NR")],
        "odile",
        [],
        "Only whoever did it, or the builder, takes back: FB-NR: start of",
    ),
    "a snag that one raised": (
        [("odile", "snag", "FB-NR")],
        "odile",
        [],
        "stays: a snag holds until the builder decides",
    ),
}


def do(bench: Bench, act: Act) -> None:
    """One act of somebody."""
    who, what, mark = act
    if bench.doer_id != who:
        bench.hand_over(who)
    work = bench.state.part(mark).work or ""
    if what == "begin":
        bench.acknowledge(bench.start([mark], *STEP))
    elif what == "snag":
        bench.raise_snag(mark, "Crack")
    elif what == "finish":
        bench.finish(work, mark)
    else:
        _, step = bench.shop.find_step(*STEP, mark)
        assert step is not None
        for check in step.checks:
            bench.answer(work, mark, check.id, good_answer(bench, check, mark))


def marks_of(bench: Bench, event: str) -> str:
    (entry,) = [one for one in bench.state.undoables if one.event == event]
    return " ".join(
        entry.parts or [piece.mark for work in entry.works.values() if work for piece in work.pieces]
    )


@pytest.mark.parametrize("name", ROWS)
def test_what_the_undo_key_offers(new_shop: Path, name: str) -> None:
    acts, who, offered, told = ROWS[name]
    bench = Bench(new_shop, SteadyClocks())
    bench.come("odile")
    for act in acts:
        do(bench, act)
    if bench.doer_id != who:
        bench.hand_over(who)
    offer = bench.undo_offer()
    assert [(one.by, marks_of(bench, one.event)) for one in offer.entries] == offered
    assert (told in offer.told) if told else offer.told == "", offer.told
    if not offer.entries or offer.entries[0].by != who:
        bench.close()
        return
    own = offer.entries[0]
    others = {mark: bench.state.part(mark) for mark in bench.state.parts if mark not in own.parts}
    works = {key: one for key, one in bench.state.works.items() if key not in own.works}
    before = bench.record.journal.after(0)
    bench.undo(own.event)
    after = bench.record.journal.after(0)
    assert after[: len(before)] == before and after[-1].body.kind == "undone"  # the record only appends
    for mark, part in own.parts.items():
        now = bench.state.parts.get(mark)
        assert (now and now.work) == (part and part.work)
    assert {mark: bench.state.part(mark) for mark in others} == others
    assert {key: bench.state.works[key] for key in works} == works
    assert fold(after).parts == bench.state.parts and fold(after).works == bench.state.works
    bench.close()


def test_what_leans_on_it_is_refused_at_the_door_too(new_shop: Path) -> None:
    """The newest is named, which can be taken back at once; the first could not be before it."""
    bench = Bench(new_shop, SteadyClocks())
    bench.come("odile")
    for act in ROWS["the newest that leans, and not the first"][0]:
        do(bench, act)
    bench.hand_over("wren")
    begun = bench.state.undoables[0]
    with pytest.raises(Refused, match=r"done on FB-TR.* came after it; undo that first"):
        bench.undo(begun.event)
    while bench.state.undoables:
        bench.undo(bench.state.undoables[-1].event)
    assert bench.state.part("FB-TR").work is None
    bench.close()


@pytest.mark.parametrize(
    ("also", "goes_on"),
    [("nothing", True), ("my own, and it runs", False), ("my own, and it stands", True), ("another's", True)],
)
def test_what_is_given_back_goes_on_unless_something_else_runs_in_the_same_hands(
    new_shop: Path, also: str, goes_on: bool
) -> None:
    """Nobody's minute is worked at two steps, and what runs is not stopped by taking back something else."""
    bench = Bench(new_shop, SteadyClocks())
    bench.shop, _ = with_steps(bench.shop, "rib-blank", step(), step(id="last"))
    bench.come("odile")
    mine = bench.start(["NR-01"], "rib-blank", "try")
    bench.finish(mine, "NR-01")
    end = bench.state.undoables[-1].event
    if also == "another's":
        bench.hand_over("odile")
    if also != "nothing":
        other = bench.start(["NR-02"], "rib-blank", "try")
        if also == "my own, and it stands":
            bench.pause(other)
        stood = bench.state.works[other].status
        if bench.doer_id != "wren":
            bench.hand_over("wren")
    bench.undo(end)
    assert bench.state.works[mine].status == ("running" if goes_on else "paused")
    assert also == "nothing" or bench.state.works[other].status == stood
    bench.close()


def test_what_the_builder_takes_back_of_another_stands_still(new_shop: Path) -> None:
    """They may be at something else by now, or gone."""
    bench = Bench(new_shop, SteadyClocks())
    bench.shop, _ = with_steps(bench.shop, "rib-blank", step(), step(id="last"))
    bench.come("odile")
    bench.hand_over("odile")
    theirs = bench.start(["NR-01"], "rib-blank", "try")
    bench.finish(theirs, "NR-01")
    bench.hand_over("wren")
    end = next(one.event for one in reversed(bench.state.undoables) if "NR-01" in one.parts)
    bench.undo(end)
    assert bench.state.works[theirs].status == "paused"
    bench.close()
