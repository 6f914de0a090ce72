"""Taps at a bench for ever, each with an id, until it is killed; says before and after each tap.

What comes next is read off the state, so a walker goes on wherever the one before it was killed: a count, an
answer, a finish, a snag and its decision, a note, a half-typed figure, a step opened again.
"""

import contextlib
from dataclasses import dataclass, field
from datetime import UTC, datetime
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any
from unittest.mock import patch

from kiosk.bench import Bench, new_tap
from kiosk.errors import KioskError
from kiosk.record.journal import SystemClocks
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.procedure import StepRef

PART = "FB-NR"
STEP = StepRef("form-block", "pin-holes")
SHOP = load_shop(data_folder("scenarios") / "brambling")


class Noon(SystemClocks):
    """The machine's clocks, as if it were a Saturday at noon: no quiet hours, whenever the test runs."""

    def __init__(self) -> None:
        self._ahead = datetime(2027, 5, 8, 12, 0).astimezone(UTC) - datetime.now(UTC)

    def now(self) -> datetime:
        """Wall time in UTC."""
        return datetime.now(UTC) + self._ahead


@dataclass(frozen=True)
class Deed:
    """One tap: the bench's method with what it is given, and the kind of event that it records."""

    kind: str
    method: str
    given: tuple[Any, ...]
    tap: str = field(default_factory=new_tap)

    def do(self, bench: Bench) -> None:
        """Tap."""
        named = {"as_shown": True} if self.method == "looked" else {}
        getattr(bench, self.method)(*self.given, **named, tap=self.tap)


def walk(folder: str, says: Connection, again: Deed | None) -> None:
    """Tap until killed. ``again`` was announced by the last walker and never confirmed."""
    with patch(
        "kiosk.bench.open_shop", lambda _: SHOP
    ):  # read once, before the fork: it is not what is killed
        bench = Bench(Path(folder), Noon(), watch=True)
    if again is not None:
        with contextlib.suppress(KioskError):  # what was in hand is unknown now, so it may be refused
            again.do(bench)
    says.send(("ready", None, bench.state.seq))
    while True:
        deed = next_deed(bench)
        says.send(("will", deed, bench.state.seq))
        deed.do(bench)
        says.send(("did", deed, bench.state.seq))


def next_deed(bench: Bench) -> Deed:
    """What a builder would tap next."""
    state = bench.state
    unknown = [work.id for work in state.works.values() if work.status == "unknown"]
    if unknown:
        return Deed("looked", "looked", (unknown[0],))
    snags = state.open_snags(PART)
    if snags:
        return Deed("snag_decided", "decide_snag", (snags[0].id, "use as is", "away from the edge"))
    if state.seq % 11 == 0:
        return Deed("note_written", "note", (f"note at {state.seq}", PART))
    held = state.part(PART).work
    if held is not None:
        return _on_the_step(bench, held)
    if STEP.step in state.part(PART).passes.get(STEP.procedure, {}):
        return Deed("step_reopened", "reopen", (PART, STEP, "walked again"))
    return Deed("work_started", "start", ([PART], STEP.procedure, STEP.step))


def _on_the_step(bench: Bench, held: str) -> Deed:
    piece = bench.state.works[held].pieces[0]
    step = bench.shop.procedures[STEP.procedure].step(STEP.step)
    assert step is not None and step.repeat is not None
    if bench.step_view(held).cautions:
        return Deed("caution_acknowledged", "acknowledge", (held,))
    if piece.count < bench.shop.figures.count(bench.shop.kind_of(PART), step.repeat):
        return Deed("counted", "count", (held, PART, piece.count + 1))
    if "pin" not in piece.answers:
        if not piece.drafts.get("pin"):
            return Deed("draft_typed", "type_draft", (held, PART, "pin", "ye"))
        return Deed("answered", "answer", (held, PART, "pin", "yes"))
    if bench.state.seq % 3 == 0:
        return Deed("snag_raised", "raise_snag", (PART, f"chipped at {bench.state.seq}"))
    return Deed("step_finished", "finish", (held, PART))
