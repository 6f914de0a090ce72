"""Play a scenario's short history through the kiosk's own rules, so that a demo opens in mid-work.

The history says what was done and when; every tap in it goes through the same rules as at the bench.
"""

import random
from dataclasses import field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Annotated

from pydantic import Field

from kiosk.bench import Bench
from kiosk.dataclass import dataclass
from kiosk.record.at_hand import at_hand
from kiosk.record.authority import is_adult
from kiosk.record.position import position
from kiosk.record.readiness import next_blocks
from kiosk.record.rules import Refused
from kiosk.shop.at_hand import AtHand
from kiosk.shop.checked import Strict
from kiosk.shop.data import HISTORY_FILE
from kiosk.shop.faults import ShopFaults
from kiosk.shop.fields import Mark, Name, Text
from kiosk.shop.lots import lots_for
from kiosk.shop.procedure import (
    Check,
    CountCheck,
    LotCheck,
    MeasureCheck,
    Step,
    StepRef,
    WrittenStepRef,
    YesNoCheck,
)
from kiosk.shop.reader import read_document, validate
from kiosk.shop.shop import ClockTime


@dataclass(frozen=True, kw_only=True)
class Done(Strict):
    """Parts taken through their steps up to and with ``through``; then completed, if so."""

    parts: tuple[Mark, ...]
    through: WrittenStepRef
    complete: bool = False


@dataclass(frozen=True, kw_only=True)
class LeftOff(Strict):
    """The step left in hand: how far the count is, and a figure half typed."""

    parts: tuple[Mark, ...]
    count: int = 0
    answers: dict[Name, Text] = field(default_factory=dict)
    drafts: dict[Name, Text] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Snagged(Strict):
    """A snag raised on a part."""

    part: Mark
    text: Text


@dataclass(frozen=True, kw_only=True)
class PastSitting(Strict):
    """One evening or morning at the bench."""

    days_ago: Annotated[int, Field(ge=0)]
    at: ClockTime
    people: tuple[Name, ...]
    temperature_f: float = 68.0
    humidity_percent: float = 55.0
    work: tuple[Done, ...] = ()
    snags: tuple[Snagged, ...] = ()
    leave: LeftOff | None = None
    note: Text = "Closed up in order."


@dataclass(frozen=True, kw_only=True)
class History(Strict):
    """The content of ``history.yaml``, oldest sitting first."""

    sittings: tuple[PastSitting, ...]


class PlayedClocks:
    """Clocks that stand where the history puts them."""

    def __init__(self, at: datetime) -> None:
        self.at = at
        self._began = at

    def now(self) -> datetime:
        """Wall time in UTC."""
        return self.at

    def monotonic_s(self) -> float:
        """Seconds since the history began."""
        return (self.at - self._began).total_seconds()

    def boot(self) -> str:
        """A boot of its own, in which both clocks go alike."""
        return f"history from {self._began.isoformat()}"

    def go(self, minutes: float) -> None:
        """Let time pass."""
        self.at += timedelta(minutes=minutes)


def read_history(path: Path) -> History:
    """Read a history file. Raises ShopFaults."""
    document = read_document(path, path.name)
    history = validate(document, History)
    if history is None:
        raise ShopFaults(document.faults)
    return history


def play(folder: Path, *, now: datetime | None = None) -> int:
    """Play the folder's history into its record, counting back from now. Gives the number of events."""
    path = folder / HISTORY_FILE
    if not path.exists():
        return 0
    history = read_history(path)
    today = (now or datetime.now(UTC)).astimezone()
    clocks = PlayedClocks(today - timedelta(days=400))
    bench = Bench(folder, clocks)
    player = _Player(bench, clocks)
    try:
        for sitting in history.sittings:
            start = datetime.combine((today - timedelta(days=sitting.days_ago)).date(), sitting.at)
            clocks.at = start.astimezone(UTC)
            player.sitting(sitting)
        return bench.state.seq
    finally:
        bench.close()


class _Player:
    """Does what a practised builder does; the same history gives the same record."""

    def __init__(self, bench: Bench, clocks: PlayedClocks) -> None:
        self.bench = bench
        self.clocks = clocks
        self.random_numbers = random.Random(12)

    def sitting(self, past: PastSitting) -> None:
        for person in past.people:
            self.bench.come(person)
        for person in [one.id for one in self.bench.people if one.id not in past.people]:
            self.bench.leave(person)
        self.bench.note_conditions(past.temperature_f, past.humidity_percent)
        for done in past.work:
            self._take_through(list(done.parts), done.through, complete=done.complete)
        for snag in past.snags:
            self.clocks.go(1)
            self.bench.raise_snag(snag.part, snag.text)
        if past.leave is not None:
            self._leave(past.leave)
        self.clocks.go(1)
        self.bench.close_sitting(past.note)
        self.bench.come(past.people[0])

    def _take_through(self, marks: list[str], through: StepRef, *, complete: bool) -> None:
        for _ in range(400):
            where = position(self.bench.shop, self.bench.state, marks[0])
            if where.procedure is None or where.step is None:
                break
            self._one_step(marks, where.procedure.id, where.step)
            if where.procedure.ref(where.step) == through:
                break
        if complete:
            for mark in marks:
                self.clocks.go(0.5)
                self.bench.complete(mark)

    def _begin(self, marks: list[str], procedure: str, step: Step) -> str:
        for _ in range(8):
            stops = next_blocks(self.bench.context, marks[0])
            if not stops:
                break
            stop = stops[0]
            if stop.until is not None:
                self.clocks.at = max(self.clocks.at, stop.until + timedelta(minutes=1))
            elif stop.kind == "look":
                looker = next(
                    person.id
                    for person in self.bench.shop.file.people
                    if person.id != self.bench.doer_id and is_adult(self.bench.context, person)
                )
                self.bench.come(looker)
                self.bench.hold_look(marks, looker, "lines and sizes agree with the drawing")
            elif stop.kind == "room":
                self.bench.clear_room(StepRef(procedure, step.id), marks[0])
            elif stop.kind == "room air":
                self.bench.note_conditions(68.0, 55.0)
            else:
                raise Refused(f"the history stops at {marks[0]}: {stop.text}", "correct history.yaml")
        work = self.bench.start(marks, procedure, step.id)
        self.bench.acknowledge(work)
        return work

    def _one_step(self, marks: list[str], procedure: str, step: Step) -> None:
        batches = [[mark] for mark in marks] if step.batch == "no" else [marks]
        for batch in batches:
            work = self._begin(batch, procedure, step)
            together = step.batch == "together"
            pieces = [batch[0]] if together else batch
            for mark in pieces:
                minutes = step.minutes.each * (len(batch) if together else 1)
                self.clocks.go(minutes * self.random_numbers.lognormvariate(0.1, 0.25))
                sitting = self.bench.state.sitting
                family = self.bench.shop.procedures[procedure].family_of(step)
                if step.minutes.set_up and sitting is not None and family not in sitting.families:
                    self.clocks.go(step.minutes.set_up * self.random_numbers.lognormvariate(0.1, 0.25))
                if step.repeat is not None:
                    kind = self.bench.shop.kind_of(mark)
                    self.bench.count(work, mark, self.bench.shop.figures.count(kind, step.repeat))
                for check in step.checks:
                    # Of a trial nothing is drawn by itself: lengths and angles of one strip belong together.
                    spread = 0.2 if step.trial is None else 0.0
                    things = at_hand(self.bench.context, self.bench.state.works[work], step)
                    self.bench.answer(work, mark, check.id, self._good_answer(check, mark, things, spread))
                self.bench.finish(work, mark)

    def _good_answer(self, check: Check, mark: str, things: AtHand, spread: float) -> str:
        kind = self.bench.shop.kind_of(mark)
        if isinstance(check, YesNoCheck):
            return check.want
        if isinstance(check, CountCheck):
            return str(self.bench.shop.figures.count(kind, check))
        if isinstance(check, LotCheck):
            return lots_for(self.bench.shop, check, kind)[0]
        assert isinstance(check, MeasureCheck)
        limits = self.bench.shop.figures.limits(kind, check, things)
        low = limits.low if limits.low is not None else (limits.high or 0.0)
        high = limits.high if limits.high is not None else low
        value = low + (high - low) * self.random_numbers.uniform(0.5 - spread, 0.5 + spread)
        return f"{value:.4f}" if check.unit == "in" else f"{value:.1f}"

    def _leave(self, left: LeftOff) -> None:
        where = position(self.bench.shop, self.bench.state, left.parts[0])
        if where.procedure is None or where.step is None:
            raise Refused(f"{left.parts[0]} has no next step", "correct history.yaml")
        work = self._begin(list(left.parts), where.procedure.id, where.step)
        self.clocks.go(3)
        mark = left.parts[0]
        if left.count:
            self.bench.count(work, mark, left.count)
        for check, text in left.answers.items():
            self.bench.answer(work, mark, check, text)
        for check, text in left.drafts.items():
            self.bench.type_draft(work, mark, check, text)
