"""The middle of a build, made by legal acts alone: through the rules and the fold, without a disk.

A seeded builder, with an adult helper for second looks, takes random batches of random kinds some steps
along, leaves things in hand, finds snags and decides them, lets limits run out, takes steps back, and comes
again the next evening. What stands afterwards is what a record of a shop half way through says.
"""

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from kiosk.errors import KioskError
from kiosk.record import events as e
from kiosk.record.apply import apply
from kiosk.record.at_hand import at_hand
from kiosk.record.context import Context, Kept
from kiosk.record.position import position
from kiosk.record.readiness import blocks
from kiosk.record.rules import clocks, parts, people, snags, steps, things
from kiosk.record.rules.snags import Accepted
from kiosk.record.state import State, Work
from kiosk.record.waits import is_late
from kiosk.shop.procedure import Check, CountCheck, LotCheck, Procedure, Step, StepRef, YesNoCheck
from kiosk.shop.shop import Shop

BUILDER, HELPER = "wren", "odile"
MOST_AT_ONCE = 12
MOST_LEFT_IN_HAND = 5  # steps that are begun and put down for something else
ACTS_A_SITTING = 40
MOST_SITTINGS = 400  # from one share of a build to the next
ACCEPTED = Accepted(
    by=BUILDER,
    role="builder",
    plans_allow=True,
    answer="It may be used as it is",
    answered_by="Ada Quill",
    answered_role="designer",
)


class MidBuild:
    """A shop, its record folded so far, and the clocks: everything that a record is, but for the disk."""

    def __init__(self, shop: Shop, at: datetime, seed: int) -> None:
        self.shop, self.at = shop, at
        self.state = State()
        self.monotonic_s = 1000.0
        self.random = random.Random(seed)
        self.events = 0
        self.heard: list[Callable[[], None]] = []  # called after each event that was folded
        self.quicker = 10.0  # than the estimates: where each is a tenth, pieces are taken for told, not made
        self.kept = Kept()  # followed from one moment to the next, as a bench does
        # Some kinds are far along and some hardly begun, as a builder finishes one assembly after the other.
        self.keen = {kind: self.random.random() ** 2 + 0.01 for kind in shop.kinds}
        self.record([e.RunStarted(boot="boot", believed=True)])

    @property
    def context(self) -> Context:
        """This moment, with builder and helper at the bench and the builder's hands on the screen."""
        here = [self.shop.people[one] for one in (BUILDER, HELPER)]
        return Context(
            self.shop, self.state, self.at, self.monotonic_s, "run", here, here[0], "boot", kept=self.kept
        )

    def alone(self) -> Context:
        """This moment with nobody but the builder."""
        builder = self.shop.people[BUILDER]
        return replace(self.context, people=[builder], doer=builder)

    def go(self, minutes: float) -> None:
        """Let time pass."""
        self.at += timedelta(minutes=minutes)
        self.monotonic_s += minutes * 60

    def record(self, bodies: Sequence[e.AnyBody]) -> None:
        """Fold what was decided."""
        for body in bodies:
            self.events += 1
            event = e.Event(
                self.state.seq + 1, f"e{self.events}", self.at, self.monotonic_s, "run", BUILDER, body
            )
            apply(self.state, event)
            for hear in self.heard:
                hear()

    def do(self, rule: Callable[..., list[e.AnyBody]], *args: Any, **more: Any) -> bool:
        """Ask a rule and fold what it gives; False when it refuses."""
        try:
            bodies = rule(self.context, *args, **more)
        except KioskError:
            return False
        self.record(bodies)
        return True

    # A sitting

    def sitting(self) -> None:
        """Open up, do some random things that the rules let be done, and close up."""
        self.record(people.open_sitting(self.context, ""))
        self.do(things.read_room, 68.0, 50.0)
        for _ in range(ACTS_A_SITTING):
            self.act()
            self.go(self.random.uniform(0.5, 4))
        self.record([e.SittingClosed(note="", left=(), next_step="")])
        self.go(self.random.choice([20 * 60, 22 * 60, 24 * 60, 46 * 60]))

    def act(self) -> None:
        """One random thing; mostly some steps on a batch."""
        luck = self.random.random()
        if luck < 0.02 and self.state.parts:
            self.do(snags.raise_snag, self.random.choice(sorted(self.state.parts)), "a scratch at the edge")
        elif luck < 0.04:
            self._decide_a_snag()
        elif luck < 0.05 and self.state.undoables:
            self.do(parts.undo, self.state.undoables[-1].event)
        elif luck < 0.06:
            self._reopen()
        elif luck < 0.08:
            self._answer_limits()
        elif luck < 0.1 and self.state.works:
            self._finish_what_is_in_hand()
        else:
            self._some_steps()

    def _decide_a_snag(self) -> None:
        for snag in self.state.open_snags()[:1]:
            decision = self.random.choice(["use as is", "rework", "rework", "scrap and remake"])
            done = self.state.part(snag.mark).passes
            back = [StepRef(name, step) for name, of in done.items() for step in of][-1:]
            again = back[0] if back else None
            self.do(snags.decide_snag, snag.id, decision, "looked at it closely", again, ACCEPTED)

    def _reopen(self) -> None:
        for done in self.state.confirmations[-1:]:
            ref = StepRef(done.procedure, done.step)
            self.do(parts.reopen, done.marks[0], ref, "seen not done on return")

    def _answer_limits(self) -> None:
        late = [
            mark
            for mark, part in self.state.parts.items()
            if any(is_late(self.context, clock) for clock in part.clocks)
        ]
        for mark in late:
            self.do(clocks.answer_limit, [mark], "cleaned again")

    def _finish_what_is_in_hand(self) -> None:
        work = self.random.choice(list(self.state.works.values()))
        if work.status == "paused":
            self.do(steps.take_up, work.id)
        self._finish(work.id)

    def _some_steps(self) -> None:
        like = self._like_parts()
        if not like:
            return
        marks = like[: self.random.randint(1, MOST_AT_ONCE)]
        ahead = self.random.randint(1, 12)
        waited = 0
        while ahead > 0 or (waited < 8 and self._spoils(marks)):
            if self.step(marks):
                ahead -= 1
            elif self._spoils(marks) and waited < 8:
                waited += 1
                self.go(20)  # it dries
            else:
                return

    def _spoils(self, marks: Sequence[str]) -> bool:
        """True when these have to go on before a limit runs out; mostly they do."""
        spoils = any(clock.kind == "within" for mark in marks for clock in self.state.part(mark).clocks)
        return spoils and self.random.random() < 0.97

    def _like_parts(self) -> list[str]:
        """Parts of a random kind that stand at one step, the ones furthest on or others."""
        kinds = list(self.shop.kinds)
        kind = self.random.choices(kinds, [self.keen[one] for one in kinds])[0]
        standing: dict[StepRef, list[str]] = {}
        for mark in self.shop.marks_of(kind):
            where = position(self.shop, self.state, mark)
            if where.all_done and not self.state.part(mark).completed_at:
                self.do(parts.complete, mark)
            elif where.step is not None and where.procedure is not None:
                standing.setdefault(where.procedure.ref(where.step), []).append(mark)
        return self.random.choice(list(standing.values())) if standing else []

    def step(self, marks: Sequence[str]) -> bool:
        """Take what is ready of these parts through their next step; False when it was not done."""
        where = position(self.shop, self.state, marks[0])
        if where.procedure is None or where.step is None:
            return False
        ref = where.procedure.ref(where.step)
        if where.step.hold_point:
            for mark in marks:
                if ref not in self.state.part(mark).looked:
                    self.do(parts.second_look, [mark], HELPER, "as the plans show")
        ready = [mark for mark in marks if self._is_ready(mark, where.procedure, where.step)]
        if where.step.batch == "no":
            ready = ready[:1]
        if not ready or not self.do(steps.begin, ready, ref):
            return False
        work = self.state.works[self.state.part(ready[0]).work or ""]
        self.do(steps.read_cautions, work.id, [text for _, text in steps.cautions_of(self.shop, where.step)])
        if self.random.random() < 0.02 and len(self.state.works) <= MOST_LEFT_IN_HAND:
            self.do(steps.pause, work.id)
            return False
        self._finish(work.id)
        return True

    def _is_ready(self, mark: str, procedure: Procedure, step: Step) -> bool:
        where = position(self.shop, self.state, mark)
        return where.step is step and not blocks(self.context, mark, procedure, step)

    def _finish(self, work_id: str) -> None:
        """Answer, count and finish what is in hand."""
        work = self.state.works[work_id]
        procedure, step = self.shop.find_step(work.procedure, work.step, work.turned_to)
        if procedure is None or step is None:
            return
        self.do(things.read_room, 68.0, 50.0)
        for mark in work.marks[:1] if step.batch == "together" else work.marks:
            kind = self.shop.kind_of(mark)
            self.do(steps.turn_to, work_id, mark)
            if step.repeat is not None:
                self.do(steps.count, work_id, mark, self.shop.figures.count(kind, step.repeat))
            for check in step.checks:
                self.do(steps.answer, work_id, mark, check.id, self._good_answer(check, mark, work, step))
            self.go(step.minutes.each * self.random.uniform(0.7, 1.4) / self.quicker)
            self.do(steps.finish, work_id, mark)

    def _good_answer(self, check: Check, mark: str, work: Work, step: Step) -> str:
        kind = self.shop.kind_of(mark)
        if isinstance(check, YesNoCheck):
            return check.want
        if isinstance(check, CountCheck):
            return str(self.shop.figures.count(kind, check))
        if isinstance(check, LotCheck):
            fit = [lot for lot in self.shop.lots.values() if lot.of == check.of]
            return next(lot.mark for lot in fit if lot.thickness in (None, kind.material.thickness))
        limits = self.shop.figures.limits(kind, check, at_hand(self.context, work, step))
        ends = [end for end in (limits.low, limits.high) if end is not None]
        return f"{sum(ends) / len(ends):.5f}"


def share_done(shop: Shop, state: State) -> float:
    """The steps done on all parts, of all that there are."""
    everything = sum(len(shop.route_steps(shop.kinds[part.kind])) for part in shop.parts.values())
    return sum(len(done) for part in state.parts.values() for done in part.passes.values()) / everything


def middles_of_build(
    shop: Shop, at: datetime, seed: int, shares: Sequence[float], most_sittings: int = MOST_SITTINGS
) -> Iterator[MidBuild]:
    """A build from its beginning, given once at each share of its steps; the same one, further on each time.

    It ends at a share that is not reached in ``most_sittings`` more: far on, random hands scrap and hold up
    as much as they get done. The tooling is made first, by skipping: nobody can form a rib without its block.
    """
    build = MidBuild(shop, at, seed)
    build.record(people.open_sitting(build.context, ""))
    for mark, part in shop.parts.items():
        if shop.kinds[part.kind].tooling and build.random.random() < 0.85:
            while build.do(parts.skip, mark, "made before the kiosk came"):
                pass
            build.do(parts.complete, mark)
    build.record([e.SittingClosed(note="", left=(), next_step="")])
    for share in shares:
        sittings = 0
        while share_done(shop, build.state) < share:
            if sittings >= most_sittings:
                return
            for _ in range(5):
                build.sitting()
            sittings += 5
        yield build


def at_the_bench(build: MidBuild, hour: int) -> None:
    """The next day at this hour by the clock on the wall, the sitting open and the room read."""
    local = (build.at + timedelta(days=1)).astimezone()
    build.go((local.replace(hour=hour, minute=0) - build.at).total_seconds() / 60)
    build.record(people.open_sitting(build.context, ""))
    build.do(things.read_room, 68.0, 50.0)
