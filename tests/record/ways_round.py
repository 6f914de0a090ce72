"""Ways round a PIN, an age, a hold and a decision, and what each is answered.

By hand: ``python -m tests.record.ways_round`` prints the table. ``test_ways_round.py`` holds it in the suite.
"""

import tempfile
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

from kiosk.bench import Bench
from kiosk.commands.make_shop import make_shop
from kiosk.errors import KioskError
from kiosk.shop.data import data_folder
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.driver import ACCEPTED, do_step, set_pins, undo_newest

PIN = "2468"
FIRST = StepRef("form-block", "measure-pattern")
NOBODY_YET = "nobody has the screen yet"
CHILD = "Pip (13) has the screen, Wren is here"
BUILDER = "Wren has the screen"


@dataclass(frozen=True)
class Way:
    """What is tried, when, and words of the refusal; a way that is let through is a fault."""

    guards: str
    when: str
    tried: str
    deed: Callable[[Bench], object]
    refused: str


def make(folder: Path) -> Path:
    """A shop whose builder has a PIN, and whose first step on a form block wants a second look."""
    make_shop(folder, "brambling", with_history=False)
    shipped = (data_folder("procedures") / "tooling" / "form-block.yaml").read_text(encoding="utf-8")
    held = shipped.replace("id: measure-pattern\n", "id: measure-pattern\n    hold_point: {by: adult}\n")
    assert held != shipped
    (folder / "procedures" / "form-block.yaml").write_text(held, encoding="utf-8")
    set_pins(folder, wren=PIN)
    return folder


def _to(bench: Bench, when: str) -> None:
    if when == NOBODY_YET:
        return
    bench.hand_over("wren", PIN)
    do_step(bench, ["BR-01"])
    bench.raise_snag("FB-MR", "a crack at the nose bend")
    if when == CHILD:
        bench.come("pip")
        bench.hand_over("pip")


def answered(way: Way, folder: Path) -> str:
    """What the kiosk says to it; empty when it was let through. Nothing but a PIN's try may be recorded."""
    with closing(Bench(folder, SteadyClocks())) as bench:
        _to(bench, way.when)
        before, hands = bench.state.seq, bench.doer_id
        try:
            way.deed(bench)
        except KioskError as error:
            written = {event.body.kind for event in bench.record.journal.after(before)}
            assert written <= {"run_started", "pin_tried"}, f"{way.tried}: {written} recorded"
            assert bench.doer_id == hands, f"{way.tried}: the hands changed"
            return str(error)
        return ""


def _reopen(bench: Bench) -> None:
    ((procedure, steps),) = bench.state.part("BR-01").passes.items()
    bench.reopen("BR-01", StepRef(procedure, *steps), "it is not so")


def _begin(mark: str) -> Callable[[Bench], object]:
    return lambda bench: bench.start([mark], FIRST.procedure, FIRST.step)


def _decide(reason: str = "the crack was stop-drilled", **said: object) -> Callable[[Bench], object]:
    def deed(bench: Bench) -> None:
        (snag,) = bench.state.open_snags("FB-MR")
        accepted = replace(ACCEPTED, **said)  # type: ignore[arg-type]
        bench.decide_snag(snag.id, "use as is", reason, None, accepted)

    return deed


def _look(
    looker: str, finding: str = "the lines agree", name: str = "", number: str = ""
) -> Callable[[Bench], object]:
    return lambda bench: bench.hold_look(["FB-NR"], looker, finding, name=name, number=number)


WAYS = (
    Way("PIN", NOBODY_YET, "Begin a step", _begin("FB-NR"), "nobody has"),
    Way("PIN", NOBODY_YET, "Skip a step", lambda b: b.skip("FB-NR", "made by hand"), "nobody has"),
    Way("PIN", NOBODY_YET, "Take Wren's hands, no PIN", lambda b: b.hand_over("wren"), "PIN"),
    Way(
        "PIN", NOBODY_YET, "Take Wren's hands, wrong PIN", lambda b: b.hand_over("wren", "1357"), "not right"
    ),
    Way("PIN", NOBODY_YET, "Wren comes, no PIN", lambda b: b.come("wren"), "PIN"),
    Way(
        "PIN",
        NOBODY_YET,
        "Another adult comes by a press",
        lambda b: b.come("odile"),
        "an adult with the screen lets them in",
    ),
    Way(
        "PIN", NOBODY_YET, "Set another PIN, no old one", lambda b: b.set_pin("wren", "", "1357"), "not right"
    ),
    Way("PIN", CHILD, "Take Wren's hands, no PIN", lambda b: b.hand_over("wren"), "PIN"),
    Way(
        "PIN",
        CHILD,
        "Give Odile the screen",
        lambda b: b.hand_over("odile"),
        "an adult with the screen lets them in",
    ),
    Way("PIN", CHILD, "Take Wren's PIN away", lambda b: b.set_pin("wren", "", ""), "not right"),
    Way("age", CHILD, "Skip a step", lambda b: b.skip("FB-NR", "made by hand"), "only the builder"),
    Way("age", CHILD, "Open Wren's step again", _reopen, "only the builder"),
    Way("age", CHILD, "Undo Wren's step", undo_newest, "not you who did it"),
    Way("age", CHILD, "Close up", lambda b: b.close_sitting(""), "an adult does this"),
    Way("age", CHILD, "Count the stock", lambda b: b.count_stock("primer", 1.0), "an adult does this"),
    Way("age", CHILD, "Mark the wall clock right", lambda b: b.mark_clock(right=True), "an adult does this"),
    Way("age", CHILD, "Declare a part complete", lambda b: b.complete("FB-NR"), "only the builder"),
    Way("hold", BUILDER, "Begin without the look", _begin("FB-NR"), "a second person looks"),
    Way("hold", BUILDER, "Look oneself", _look("wren"), "same person"),
    Way("hold", BUILDER, "Somebody who is away looks", _look("odile"), "not at the bench"),
    Way("hold", BUILDER, "A look with no finding", _look("", "", "Ada Quill", "I-204"), "what was seen"),
    Way(
        "hold",
        BUILDER,
        "A scanned mark as finding",
        _look("", "NR-03", "Ada Quill", "I-204"),
        "what was seen",
    ),
    Way("hold", BUILDER, "An inspector without a number", _look("", "agrees", "Ada Quill"), "number"),
    Way("hold", BUILDER, "Wren's own name as inspector", _look("", "agrees", " wren", "I-204"), "list"),
    Way("hold", CHILD, "Pip looks", _look("pip"), "same person"),
    Way("hold", CHILD, "Pip enters an inspector", _look("", "agrees", "Ada Quill", "I-204"), "adult"),
    Way("decision", CHILD, "Decide Wren's snag", _decide(), "only the builder"),
    Way("decision", BUILDER, "No reason", _decide(reason=""), "needs its reason"),
    Way("decision", BUILDER, "A scanned mark as reason", _decide(reason="NR-03"), "needs its reason"),
    Way("decision", BUILDER, "Use as is, no answer", _decide(answer=""), "has to answer"),
    Way("decision", BUILDER, "An answer from nobody", _decide(answered_by=""), "who answered"),
    Way("decision", BUILDER, "Accepted by nobody", _decide(by=""), "who accepts"),
    Way("decision", BUILDER, "Begin the held part", _begin("FB-MR"), "is held"),
)


def main() -> None:
    """Print the table."""
    print("| guards | when | tried | answered |\n|---|---|---|---|")
    for way in WAYS:
        with tempfile.TemporaryDirectory() as folder:
            said = answered(way, make(Path(folder) / "shop"))
        print(f"| {way.guards} | {way.when} | {way.tried} | {said or 'LET THROUGH'} |")


if __name__ == "__main__":
    main()
