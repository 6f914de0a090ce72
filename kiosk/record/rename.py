"""Names that changed in the shop's files: found in the record by ``renamed_from``, and changed in the state.

An id or a mark is how the record knows a step, a procedure, a part kind or a part. When a file gives it
another one and says what it was called, its running waits, looks, counts and place follow. The change is an
event of its own (:class:`Renamed`): what was recorded before stays as it was written.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import TypeVar

from kiosk.record.events import ClockSet, Renamed, StepRenamed
from kiosk.record.state import (
    Confirmation,
    Finish,
    Learnt,
    PartState,
    PieceTime,
    PutAwayTime,
    SetUpTime,
    Snag,
    State,
    StepDone,
    Timed,
    Trial,
    Undoable,
    Wish,
    Work,
)
from kiosk.shop.procedure import Family, StepRef
from kiosk.shop.shop import Shop

T = TypeVar("T")


# What the files say was renamed, and the record still knows by its former name


def renamed_since(shop: Shop, state: State) -> Renamed | None:
    """What is to be renamed in the record, as the files say; None when there is nothing."""
    if not _says_anything(shop):
        return None
    refs = set(_refs(state))
    used = {ref.procedure for ref in refs}
    in_routes = {name for kind in shop.kinds.values() for name in kind.procedures}
    procedures = {
        former: procedure.id
        for procedure in shop.procedures.values()
        for former in procedure.renamed_from
        if former in used and former not in in_routes
    }
    steps = tuple(
        StepRenamed(procedure=procedure.id, former=former, step=step.id)
        for procedure in shop.procedures.values()
        for step in procedure.steps
        for former in step.renamed_from
        if procedure.step(former) is None
        and any(StepRef(name, former) in refs for name in (procedure.id, *procedure.renamed_from))
    )
    of_kinds = {of.of_kind for of in state.times if isinstance(of, PieceTime)}
    of_kinds |= {one.part_kind for one in state.wishes}
    kinds = {
        former: kind.id
        for kind in shop.kinds.values()
        for former in kind.renamed_from
        if former in of_kinds and former not in shop.kinds
    }
    of_marks = {*state.parts, *(snag.mark for snag in state.snags.values())}
    of_marks |= {one.mark for one in state.wishes}
    of_marks |= {mark for work in state.works.values() for mark in work.marks}
    marks = {
        former: mark
        for kind in shop.kinds.values()
        for run in kind.marks
        for first in run.renamed_from
        for former, mark in zip(run.former(first), run.expand(), strict=True)
        if former in of_marks and former not in shop.parts and mark not in state.parts
    }
    if not (procedures or steps or kinds or marks):
        return None
    return Renamed(procedures=procedures, steps=steps, part_kinds=kinds, marks=marks)


def _says_anything(shop: Shop) -> bool:
    procedures, kinds = shop.procedures.values(), shop.kinds.values()
    return (
        any(one.renamed_from or any(step.renamed_from for step in one.steps) for one in procedures)
        or any(kind.renamed_from for kind in kinds)
        or any(run.renamed_from for kind in kinds for run in kind.marks)
    )


def _refs(state: State) -> Iterator[StepRef]:
    """Every step that the state names."""
    for part in state.parts.values():
        yield from (StepRef(name, step) for name, done in part.passes.items() for step in done)
        yield from (StepRef(name, step) for name, step in part.placed.items())
        for clock in (*part.clocks, *part.undone_limits, *part.mixes_left):
            yield from (StepRef(clock.procedure, clock.step), StepRef(clock.procedure, clock.set_by))
        yield from (*part.measured, *part.lots, *part.looked, *part.wants_look)
    for work in state.works.values():
        yield work.ref
        yield from (StepRef(clock.procedure, clock.step) for _, clock in work.stopped)
    yield from (StepRef(snag.procedure, snag.step) for snag in state.snags.values())
    strips = (trial.strip for trial in state.trials if trial.strip.procedure)
    yield from (StepRef(strip.procedure, step) for strip in strips for step in (strip.step, *strip.fed_by))
    yield from (StepRef(one.procedure, one.step) for one in state.confirmations)
    yield from (of.step for of in state.times if isinstance(of, PieceTime))
    families = (of.family for of in state.times if isinstance(of, SetUpTime | PutAwayTime))
    yield from (family for family in families if isinstance(family, StepRef))


# The state under its new names


def rename(state: State, body: Renamed) -> None:
    """Change the names in a state, wherever they stand in it."""
    names = _Names(body)
    state.parts = {names.mark(mark): names.part(part) for mark, part in state.parts.items()}
    state.works = {key: names.work(work) for key, work in state.works.items()}
    state.snags = {key: names.snag(snag) for key, snag in state.snags.items()}
    state.confirmations = tuple(names.confirmation(one) for one in state.confirmations)
    state.times = {names.timed(of): times for of, times in state.times.items()}
    state.trials = tuple(names.trial(one) for one in state.trials)
    state.undoables = tuple(names.undoable(one) for one in state.undoables)
    state.finishes = {key: names.finish(one) for key, one in state.finishes.items()}
    state.wishes = tuple(names.wish(one) for one in state.wishes)
    state.done_since = tuple(
        replace(one, ref=names.ref(one.ref), mark=names.mark(one.mark)) for one in state.done_since
    )
    if state.sitting is not None:
        took_out = tuple(replace(one, family=names.family(one.family)) for one in state.sitting.took_out)
        state.sitting = replace(state.sitting, took_out=took_out)


class _Names:
    """From the former names to the new ones."""

    def __init__(self, body: Renamed) -> None:
        self._body = body
        self._steps = {(one.procedure, one.former): one.step for one in body.steps}

    def mark(self, mark: str) -> str:
        return self._body.marks.get(mark, mark)

    def marks(self, marks: Iterable[str]) -> tuple[str, ...]:
        return tuple(self.mark(mark) for mark in marks)

    def procedure(self, name: str) -> str:
        return self._body.procedures.get(name, name)

    def step(self, procedure: str, step: str) -> str:
        return self._steps.get((self.procedure(procedure), step), step)

    def ref(self, ref: StepRef) -> StepRef:
        return StepRef(self.procedure(ref.procedure), self.step(ref.procedure, ref.step))

    def family(self, family: Family) -> Family:
        return self.ref(family) if isinstance(family, StepRef) else family

    def clock(self, clock: ClockSet) -> ClockSet:
        return replace(
            clock,
            procedure=self.procedure(clock.procedure),
            step=self.step(clock.procedure, clock.step),
            set_by=self.step(clock.procedure, clock.set_by),
            back_to=self.step(clock.procedure, clock.back_to),
        )

    def by_ref(self, table: Mapping[StepRef, T]) -> dict[StepRef, T]:
        return {self.ref(ref): value for ref, value in table.items()}

    def part(self, part: PartState) -> PartState:
        passes: dict[str, dict[str, StepDone]] = {}
        for name, done in part.passes.items():
            steps = {self.step(name, step): entry for step, entry in done.items()}
            passes[self.procedure(name)] = {**passes.get(self.procedure(name), {}), **steps}
        return replace(
            part,
            mark=self.mark(part.mark),
            passes=passes,
            placed={self.procedure(name): self.step(name, step) for name, step in part.placed.items()},
            clocks=tuple(self.clock(clock) for clock in part.clocks),
            measured=self.by_ref(part.measured),
            lots=self.by_ref(part.lots),
            looked=self.by_ref(part.looked),
            wants_look=tuple(self.ref(ref) for ref in part.wants_look),
            undone_limits=tuple(self.clock(clock) for clock in part.undone_limits),
            mixes_left=tuple(self.clock(clock) for clock in part.mixes_left),
        )

    def work(self, work: Work) -> Work:
        return replace(
            work,
            procedure=self.procedure(work.procedure),
            step=self.step(work.procedure, work.step),
            pieces=tuple(replace(piece, mark=self.mark(piece.mark)) for piece in work.pieces),
            turned_to=self.mark(work.turned_to),
            stopped=tuple((self.mark(mark), self.clock(clock)) for mark, clock in work.stopped),
            begun_by=tuple((self.mark(mark), at) for mark, at in work.begun_by),
            walked=tuple(replace(one, mark=self.mark(one.mark)) for one in work.walked),
        )

    def wish(self, one: Wish) -> Wish:
        kind = self._body.part_kinds.get(one.part_kind, one.part_kind)
        return replace(one, mark=self.mark(one.mark), part_kind=kind)

    def snag(self, snag: Snag) -> Snag:
        return replace(
            snag,
            mark=self.mark(snag.mark),
            procedure=self.procedure(snag.procedure),
            step=self.step(snag.procedure, snag.step),
        )

    def confirmation(self, one: Confirmation) -> Confirmation:
        return replace(
            one,
            marks=self.marks(one.marks),
            procedure=self.procedure(one.procedure),
            step=self.step(one.procedure, one.step),
        )

    def trial(self, one: Trial) -> Trial:
        strip = one.strip
        named = replace(
            strip,
            mark=self.mark(strip.mark),
            procedure=self.procedure(strip.procedure),
            step=self.step(strip.procedure, strip.step),
            fed_by=tuple(self.step(strip.procedure, step) for step in strip.fed_by),
        )
        return replace(one, strip=named)

    def timed(self, of: Timed) -> Timed:
        if isinstance(of, PieceTime):
            kind = self._body.part_kinds.get(of.of_kind or "", of.of_kind)
            return replace(of, step=self.ref(of.step), of_kind=kind)
        if isinstance(of, SetUpTime | PutAwayTime):
            return replace(of, family=self.family(of.family))
        return of

    def learnt(self, one: Learnt) -> Learnt:
        return replace(one, of=self.timed(one.of))

    def finish(self, one: Finish) -> Finish:
        timed = tuple(replace(thing, of=self.timed(thing.of)) for thing in one.timed)
        return replace(one, learnt=tuple(self.learnt(lesson) for lesson in one.learnt), timed=timed)

    def undoable(self, one: Undoable) -> Undoable:
        return replace(
            one,
            parts={self.mark(mark): self.part(part) if part else None for mark, part in one.parts.items()},
            works={key: self.work(work) if work else None for key, work in one.works.items()},
            snags={key: self.snag(snag) if snag else None for key, snag in one.snags.items()},
            learnt=tuple(self.learnt(lesson) for lesson in one.learnt),
            step=self.ref(one.step) if one.step is not None else None,
            finishes={key: self.finish(finish) for key, finish in one.finishes.items()},
            confirmed=tuple(self.confirmation(old) for old in one.confirmed),
            stopped=tuple((self.mark(mark), self.clock(clock)) for mark, clock in one.stopped),
        )
