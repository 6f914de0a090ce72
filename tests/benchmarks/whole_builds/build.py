"""A builder works a shop's whole roster to the end, sitting after sitting, by one way of choosing."""

import math
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path

from kiosk.bench import Bench
from kiosk.planning.put_away import PutAway, minutes_to_leave
from kiosk.planning.spare import SpareAnswer
from kiosk.planning.suggestion import Suggestion
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.to_put_away import closing_and_away, times_to_put_away
from kiosk.record.authority import is_adult
from kiosk.record.out_on_bench import MinutesOut
from kiosk.record.position import Position, left_in_a_run, position, steps_left
from kiosk.record.readiness import part_blocks, step_blocks
from kiosk.record.room import is_fresh
from kiosk.record.rules import Refused
from kiosk.record.rules.steps import cautions_to_read
from kiosk.record.state import PartState
from kiosk.shop.procedure import Check, CheckRef, Family, MeasureCheck, Procedure, Step
from tests.benchmarks.whole_builds.bench_in_memory import bench_in_memory, open_as_new_screen
from tests.benchmarks.whole_builds.evenings import START, Slot, slots
from tests.benchmarks.whole_builds.figures import OVERRUN_MINUTES, Figures
from tests.benchmarks.whole_builds.guess import Guess
from tests.benchmarks.whole_builds.jigs import Jigs
from tests.benchmarks.whole_builds.set_up import more_than_out, with_more
from tests.benchmarks.whole_builds.truth import Truth
from tests.benchmarks.whole_builds.worlds import World
from tests.conftest import SteadyClocks
from tests.driver import good_answer

Chain = Sequence[tuple[Procedure, Step]]

CHANGE_OVER_MINUTES = 1.0  # to put one thing down and take up the next
LEAST_MINUTES = 3.0  # with fewer left nobody looks for more to do
SPARE_MINUTES = 2.0  # kept back before the end
ROOM_F, ROOM_PERCENT = 68.0, 55.0


@dataclass(frozen=True)
class Choice:
    """What a builder does next: these parts through these steps, or on with a step in hand."""

    marks: tuple[str, ...]
    chain: Chain
    work: str | None = None
    told: bool = False  # the kiosk calls when to put away, and is heeded; else the builder guesses
    gap_after: int = 0  # steps before a wait that is filled with other things
    must: bool = False  # it may not be left, so that a wait before it is sat out
    keep_back: float = 0.0  # minutes for what has to be done after it
    set_up: bool = False  # it still waits, and is set up for
    sat_out: float = 0.0  # minutes of a wait that nothing fills, after which it is asked again
    called_in: float = math.inf  # minutes until the kiosk calls that a wait of its plan is over


Policy = Callable[["Build", float], Choice | None]  # the build, and the minutes that are left
Watcher = Callable[["Build", float, Choice | None], None]


class Build:
    """One build under way: the bench, the true times, and what it has come to."""

    def __init__(
        self,
        folder: Path,
        world: World,
        seed: int,
        name: str,
        policy: Policy,
        watcher: Watcher | None = None,
        evenings: Callable[[int], Iterator[Slot]] = slots,
    ) -> None:
        """``watcher`` is told of every choice before it is followed; ``evenings`` are those of a seed."""
        self.world, self.seed, self.policy, self.watcher = world, seed, policy, watcher
        self.evenings = evenings
        self.clocks = SteadyClocks(START)
        self.bench: Bench = bench_in_memory(folder, self.clocks)
        self.shop = self.bench.shop
        self.truth = Truth(seed)
        self.guess = Guess()
        self.jigs = Jigs(self.shop)
        self.figures = Figures(world.name, name, seed)
        self.families: dict[Family, MinutesOut] = {}  # set up in this sitting, in the procedure's minutes
        self.put_away_owed = 0.0
        self._finished_late = False  # the last piece ended past the slot, though it could be left
        self.answer: SpareAnswer | None = None  # the kiosk's last one
        self.slot_minutes = 0.0
        self.times_set_up: Counter[Family] = Counter()
        self.redone: Counter[str] = Counter()
        self.begun: dict[str, datetime] = {}
        self._under_way: dict[tuple[str, str], float] = {}  # work and mark: true minutes still to do
        self._half_done: list[float] = []
        self._comes_on: dict[str, date] = {}  # what was ordered, and the day on which it is there
        helpers = [one for one in self.shop.people.values() if one.role == "helper"]
        self._looker = next(one.id for one in helpers if is_adult(self.bench.context, one))
        self._ends = START
        self._closing = 0.0
        self._told = False
        self._keep_back = 0.0
        self._called_at: datetime | None = None
        self._positions: dict[str, tuple[PartState | None, Position]] = {}
        self._answers: dict[tuple[str, str, str, str], str] = {}
        self._stretches: dict[tuple[str, str, str], Chain] = {}

    # How things stand

    @property
    def left_minutes(self) -> float:
        """Minutes left of the slot."""
        return (self._ends - self.clocks.now()).total_seconds() / 60

    @property
    def room_minutes(self) -> float:
        """Minutes left to work in: until the kiosk calls to put away, where it is heeded; else putting away
        and a little to spare are kept back."""
        if self._told:
            return self.minutes_to_call - self._keep_back
        return self.left_minutes - self.put_away_owed - SPARE_MINUTES - self._keep_back

    @property
    def minutes_to_call(self) -> float:
        """Minutes until the kiosk calls to put away, as long as the work can be left at any moment."""
        left = self.left_minutes - self.slot_minutes % 1  # it was told whole minutes
        return left - self._leaving(left).needed

    @property
    def _minutes_to_wait_over(self) -> float:
        """Minutes until the kiosk calls that a wait of its plan is over: what can be left is left for it."""
        if self._called_at is None:
            return math.inf
        return max(0.0, (self._called_at - self.clocks.now()).total_seconds() / 60)

    def _leaving(self, left: float) -> PutAway:
        """What the kiosk says of leaving the bench, so many minutes before the slot is over."""
        context = self.bench.context
        predictor = Predictor(context)
        closing, away = closing_and_away(context, predictor, times_to_put_away(context, predictor))
        return PutAway(closing=closing, families=away, to_leave=0, left=math.ceil(left))

    @property
    def put_away_known(self) -> float:
        """Minutes of putting away that the builder reckons with: what the kiosk says, where it is heeded."""
        return self._leaving(self.left_minutes).families if self._told else self.put_away_owed

    def position(self, mark: str) -> Position:
        """Where a part stands; looked up again only when something happened to it."""
        part = self.bench.state.parts.get(mark)
        known = self._positions.get(mark)
        if known is None or known[0] is not part:
            known = self._positions[mark] = (part, position(self.shop, self.bench.state, mark))
        return known[1]

    def ready(self) -> list[tuple[str, Procedure, Step]]:
        """Every part whose next step can begin now, in the order of the roster."""
        context, state = self.bench.context, self.bench.state
        can_begin: dict[tuple[str, str, str], bool] = {}
        found = []
        for mark, part in self.shop.parts.items():
            stored = state.parts.get(mark)
            if stored is not None and (stored.completed_at is not None or stored.work in state.works):
                continue
            where = self.position(mark)
            if where.procedure is None or where.step is None:
                continue
            key = (part.kind, where.procedure.id, where.step.id)
            if key not in can_begin:
                can_begin[key] = not step_blocks(context, where.step)
            if can_begin[key] and not part_blocks(context, mark, where.procedure, where.step):
                found.append((mark, where.procedure, where.step))
        return [one for one in found if self.can_take(one[:1], self.stretch(*one))]

    def stretch(self, mark: str, procedure: Procedure, step: Step) -> Chain:
        """The step that a part stands at, with what must follow straight on."""
        key = (self.shop.parts[mark].kind, procedure.id, step.id)
        if key not in self._stretches:
            left = steps_left(self.shop, self.bench.state, mark)
            length = 1
            while length < len(left) and left[length - 1][1].stop == "go straight on":
                length += 1
            self._stretches[key] = left[:length]
        return self._stretches[key]

    def may_not_be_left(self, mark: str) -> bool:
        """True for a part between two steps that must follow one another."""
        part = self.bench.state.parts.get(mark)
        return part is not None and left_in_a_run(self.shop, part) is not None

    def can_take(self, marks: Sequence[str], chain: Chain) -> int:
        """How many of the parts can begin a chain: what is glued on a jig keeps it."""
        return self.jigs.capacity(self.bench.state, self.position, chain, marks)

    # A whole build

    def run(self, most_sittings: int | None = None) -> Figures:
        """Work until every part is complete, or the sittings are used up."""
        began = time.process_time()
        self.figures.overruns_by_choice = 0
        most = most_sittings or self.world.most_sittings
        for number, slot in enumerate(self.evenings(self.seed)):
            if number == most or self.figures.finished:
                break
            self._sit(number, slot)
        figures = self.figures
        figures.days = round((self.clocks.now() - START) / timedelta(days=1), 2)
        figures.half_done_days = sum(self._half_done) / max(1, len(self._half_done))
        figures.plan_ms /= max(1, figures.asks)
        figures.seconds = time.process_time() - began
        self.bench.close()
        return figures

    def _sit(self, number: int, slot: Slot) -> None:
        """One sitting, from opening up to closing up."""
        figures = self.figures
        self.clocks.go_to(max(slot.start, self.clocks.now()))
        self._ends = self.clocks.now() + timedelta(minutes=slot.minutes)
        self.slot_minutes = slot.minutes
        open_as_new_screen(self.bench, f"sitting {number}")
        self.bench.note_conditions(ROOM_F, ROOM_PERCENT)
        self._buy()
        self.families.clear()
        self._finished_late = False
        self.put_away_owed = 0.0
        self.truth.begin_sitting(number)
        self._closing = self.truth.closing(number)
        worked_before = figures.work_minutes + sum(self._under_way.values())
        minutes_before = figures.work_minutes
        has_work = bool(self._answer_missed_limits() or self.ready() or self.bench.state.works)
        self._work(int(slot.minutes))
        more_is_there = has_work and self._more_is_there()
        self._end_what_stands()
        self.clocks.go(self.put_away_owed + self._closing)
        self.guess.saw_closing(self._closing)
        over = -self.left_minutes
        figures.sittings += 1
        figures.hours += slot.minutes / 60
        figures.closing_minutes += self._closing
        figures.put_away_minutes += self.put_away_owed
        figures.left_over_minutes += max(0.0, -over)
        if over > OVERRUN_MINUTES:
            figures.overruns += 1
            if self._finished_late:
                figures.overruns_by_choice = (figures.overruns_by_choice or 0) + 1
            figures.worst_overrun_minutes = max(figures.worst_overrun_minutes, over)
        if has_work:
            share = min(1.0, 1 - max(0.0, -over) / slot.minutes)
            figures.slot_was_used(slot.minutes, share, to_the_end=more_is_there)
        under_way = figures.work_minutes + sum(self._under_way.values())
        if figures.work_minutes == minutes_before and under_way == worked_before:
            figures.idle_sittings += 1
        self.bench.close_sitting("")
        state = self.bench.state
        figures.finished = all(
            mark in state.parts and state.parts[mark].completed_at is not None for mark in self.shop.parts
        )

    def _work(self, slot_minutes: int) -> None:
        """One thing after another until nothing more is found."""
        figures = self.figures
        first = True
        while (left := self.left_minutes - self.put_away_known) >= LEAST_MINUTES:
            if not is_fresh(self.bench.context):
                self.bench.note_conditions(ROOM_F, ROOM_PERCENT)
            self.answer = None
            began = time.perf_counter()
            choice = self.policy(self, left)
            figures.plan_ms += (time.perf_counter() - began) * 1e3
            figures.asks += 1
            if first and self.answer is not None and self.answer.suggestions:
                came = self._true_minutes(self.answer) <= slot_minutes
                figures.plans.append(
                    (slot_minutes, round(self.answer.chance, 4), came, self.answer.total_minutes)
                )
            first = False
            if self.watcher is not None:
                self.watcher(self, left, choice)
            if choice is None:
                return
            now = self.clocks.now()
            self._follow(choice)
            if self.clocks.now() == now:
                return  # nothing came of it: there is no room for any of it
            if choice.work is None and not (choice.sat_out or choice.set_up):  # nothing is put down then
                self.clocks.go(CHANGE_OVER_MINUTES)

    def _more_is_there(self) -> bool:
        """True where something is in hand or ready that can be left at any moment, and needs no set-up."""
        in_hand = (
            self.shop.find_step(work.procedure, work.step, work.turned_to)
            for work in self.bench.state.works.values()
        )
        return any(
            procedure is not None
            and step is not None
            and step.stop == "anywhere"
            and not more_than_out(self.families, procedure, step).set_up
            for procedure, step in (*in_hand, *((procedure, step) for _, procedure, step in self.ready()))
        )

    def _end_what_stands(self) -> None:
        """What may not be left is gone on with, however late it gets."""
        state = self.bench.state
        while stands := [mark for mark in state.parts if self.may_not_be_left(mark)]:
            where = self.position(stands[0])
            assert where.procedure is not None and where.step is not None
            alike = [mark for mark in stands if self.position(mark).step is where.step]
            if where.step.batch != "together":
                alike = alike[:1]
            before = state.seq
            self._follow(Choice(tuple(alike), self.stretch(alike[0], where.procedure, where.step), must=True))
            if self.bench.state.seq == before:
                return  # something else stops it

    def _buy(self) -> None:
        """What is past its date is ordered when that is seen, and comes after its days."""
        today = self.bench.context.today
        for item in self.shop.consumables.values():
            if item.expires is None or item.expires >= today:
                continue
            if item.id not in self._comes_on:
                self._comes_on[item.id] = today + timedelta(days=item.lead_days)
                self.figures.bought_again += 1
            if self._comes_on[item.id] <= today:
                fresh = item.model_copy(update={"expires": None})
                consumables = {**self.shop.consumables, item.id: fresh}
                self.shop = self.bench.shop = replace(self.shop, consumables=consumables)

    def _answer_missed_limits(self) -> int:
        """What ran out is prepared again, as its procedure says: seen on opening up, or under the hands.

        Gives the number of parts.
        """
        now, spoiled = self.clocks.now(), 0
        for mark, part in list(self.bench.state.parts.items()):
            if not any(clock.kind == "within" and clock.until < now for clock in part.clocks):
                continue
            question = self.bench.missed_limit(mark)
            if question is not None:
                self.bench.answer_clock(question.marks, question.if_missed)
                spoiled += len(question.marks)
                self.redone.update(question.marks)
        self.figures.spoiled += spoiled
        return spoiled

    def _ran_out(self, work_id: str) -> bool:
        """What ran out under the hands is prepared again. True when the step in hand is over with that."""
        now, state = self.clocks.now(), self.bench.state
        work = state.works[work_id]
        clocks = [clock for mark in work.marks for clock in state.part(mark).clocks]
        if not any(clock.kind == "within" and clock.until < now for clock in clocks):
            return False
        if not self._answer_missed_limits():
            return False
        for mark in work.marks:
            self._under_way.pop((work_id, mark), None)
        if work_id in self.bench.state.works:
            self._leave_the_rest(work_id)
        return True

    # One choice

    def _follow(self, choice: Choice) -> None:
        """Take the parts through the steps as far as the time goes, and leave them as each step allows."""
        if choice.sat_out:
            self._sit_out(choice.sat_out)
            return
        if choice.set_up:
            procedure, step = choice.chain[0]
            self.clocks.go(self._set_up(procedure, step))
            self.bench.set_up(choice.marks[0], procedure.ref(step))
            return
        marks, chain, work = list(choice.marks), choice.chain, choice.work
        self._told, self._keep_back = choice.told, choice.keep_back
        self._called_at = None
        if choice.called_in < math.inf:
            self._called_at = self.clocks.now() + timedelta(minutes=choice.called_in)
        for number, (procedure, step) in enumerate(chain):
            straight = number > 0 and chain[number - 1][1].stop == "go straight on"
            if number and number == choice.gap_after:
                return  # what comes next stands meanwhile
            may_leave = number > 0 and not straight and choice.told
            if may_leave and (
                self._minutes_to_wait_over <= 0
                or self.room_minutes < self._least_room(procedure, step, marks)
            ):
                return
            if work is None:
                if not straight:
                    marks = marks[: self.can_take(marks, chain[number:])]
                    if not marks:
                        return
                if not self._wait_for(marks, procedure, step, straight=straight or choice.must):
                    return
                try:
                    work = self.bench.start(marks, procedure.id, step.id)
                except Refused:
                    self.figures.refused += 1
                    return
                for mark in marks:
                    self.begun.setdefault(mark, self.clocks.now())
            else:
                self.bench.take_up(work)
            self.clocks.go(self._set_up(procedure, step))
            if not self._all_pieces(work, marks, procedure, step, straight=straight):
                return
            work = None
            if step.stop != "go straight on" and self.room_minutes < 1:
                return

    def _wait_for(self, marks: Sequence[str], procedure: Procedure, step: Step, *, straight: bool) -> bool:
        """Sit out a short wait within what can't be left. False when the wait is one to leave for."""
        context = self.bench.context
        waits = [
            block.until
            for mark in marks
            for block in part_blocks(context, mark, procedure, step)
            if block.kind == "wait" and block.until is not None
        ]
        if not waits:
            return True
        if not straight:
            return False
        self._sit_out((max(waits) - self.clocks.now()).total_seconds() / 60 + 0.01)
        return True

    def _sit_out(self, minutes: float) -> None:
        self.figures.waited_minutes += minutes
        self.clocks.go(minutes)

    def _set_up(self, procedure: Procedure, step: Step) -> float:
        """Minutes to set up what is not out yet in a sitting; putting away is then owed."""
        family, more = procedure.family_of(step), more_than_out(self.families, procedure, step)
        self.times_set_up[family] += family not in self.families
        self.families[family] = with_more(self.families, family, more)
        time_of = self.times_set_up[family]
        minutes = self.truth.set_up(family, more.set_up, time_of)
        self.put_away_owed += self.truth.put_away(family, more.put_away, time_of)
        self.figures.set_up_minutes += minutes
        return minutes

    def _all_pieces(
        self, work_id: str, marks: Sequence[str], procedure: Procedure, step: Step, *, straight: bool
    ) -> bool:
        """Every piece of one step, as far as the time goes. True when the step is done on all of them."""
        bench = self.bench
        work = bench.state.works[work_id]
        pieces = [work.turned_to, *(mark for mark in work.marks if mark != work.turned_to)]
        if step.batch == "together":
            pieces = pieces[:1]
        for number, mark in enumerate(pieces):
            if (
                number
                and not straight
                and (
                    self._minutes_to_wait_over <= 0
                    or self.room_minutes < self._least_room(procedure, step, [mark])
                )
            ):
                self._leave_the_rest(work_id)
                return False
            key = (work_id, mark)
            if key not in self._under_way:
                together = work.marks if step.batch == "together" else (mark,)
                self._under_way[key] = sum(
                    self.truth.piece(procedure, step, one, self.redone[one]) for one in together
                )
            minutes = self._under_way[key]
            room = max(0.0, min(self.room_minutes, self._minutes_to_wait_over))
            late = 0.0 if self._told else OVERRUN_MINUTES  # whom nobody calls finishes what is nearly done
            if step.stop == "anywhere" and not straight and minutes > room + late:
                self.clocks.go(room)
                self._under_way[key] = minutes - room
                self.figures.work_minutes += room
                bench.pause(work_id)
                return False
            self._finished_late = step.stop == "anywhere" and not straight and minutes > room
            self.clocks.go(minutes)
            del self._under_way[key]
            self.figures.work_minutes += minutes
            if self._ran_out(work_id):
                return False
            self._finish(work_id, mark, procedure, step)
            done = tuple(marks) if step.batch == "together" else (mark,)
            self.guess.saw(procedure, step, minutes / len(done))
            self._after(done)
        return True

    def _least_room(self, procedure: Procedure, step: Step, marks: Sequence[str]) -> float:
        """Minutes without which another piece is not begun."""
        if self._told and step.stop != "anywhere":
            context = self.bench.context
            pieces = len(marks) if step.batch == "together" else 1
            return minutes_to_leave(context, Predictor(context), procedure, step, marks[0], pieces)
        return SPARE_MINUTES if step.stop == "anywhere" else self.guess.median(procedure, step)

    def _leave_the_rest(self, work_id: str) -> None:
        """The time is up: what was not begun goes back, and what was is paused."""
        work = self.bench.state.works.get(work_id)
        if work is None:
            return
        begun = any((work_id, mark) in self._under_way for mark in work.marks)
        if begun or any(piece.touched for piece in work.pieces):
            self.bench.pause(work_id)
        else:
            self.bench.put_back(work_id)

    def _finish(self, work_id: str, mark: str, procedure: Procedure, step: Step) -> None:
        """Read, count, answer and finish, as on the screen."""
        bench, shop = self.bench, self.shop
        shown = [text for _, text in cautions_to_read(bench.context, step)]
        if shown:
            bench.acknowledge(work_id, shown=shown)
        if step.repeat is not None:
            wanted = shop.figures.count(shop.kind_of(mark), step.repeat)
            if wanted:
                bench.count(work_id, mark, wanted)
        asked = bench.state.works[work_id].pieces[0].mark if step.batch == "together" else mark
        for check in step.checks:
            bench.answer(work_id, asked, check.id, self._good_answer(procedure, step, check, asked))
        bench.finish(work_id, mark)

    def _good_answer(self, procedure: Procedure, step: Step, check: Check, mark: str) -> str:
        """What a check wants; where a wait takes its minutes from it, the typical ones."""
        key = (self.shop.parts[mark].kind, procedure.id, step.id, check.id)
        if key not in self._answers:
            told = [
                wait.minutes
                for other in procedure.steps
                for wait in other.waits
                if wait.from_check == CheckRef(step.id, check.id)
            ]
            if told and isinstance(check, MeasureCheck):
                self._answers[key] = f"{told[0]:g}"
            else:
                self._answers[key] = good_answer(self.bench, check, mark)
        return self._answers[key]

    def _after(self, marks: Sequence[str]) -> None:
        """A part that is through is declared complete; before what can't be undone a second person looks."""
        bench, state = self.bench, self.bench.state
        for mark in marks:
            where = self.position(mark)
            if where.all_done and not where.completed:
                bench.complete(mark)
                self._completed(mark)
                continue
            if where.procedure is None or where.step is None or not where.step.hold_point:
                continue
            if where.procedure.ref(where.step) not in state.part(mark).looked:
                bench.come(self._looker)
                bench.hold_look([mark], self._looker, "as the plans show")
                bench.leave(self._looker)

    def _completed(self, mark: str) -> None:
        figures = self.figures
        figures.parts_done += 1
        self._half_done.append((self.clocks.now() - self.begun[mark]) / timedelta(days=1))
        if figures.first_proud_day is None and self.shop.parts[mark].kind in self.world.proud_of:
            figures.first_proud_day = round((self.clocks.now() - START) / timedelta(days=1), 2)

    # Whether what was stated came

    def _true_minutes(self, answer: SpareAnswer) -> float:
        """Minutes that the whole of an answer would really take, closing up included. Nothing is done."""
        families = dict(self.families)
        further: Counter[str] = Counter()
        stated = sum(one.minutes for one in answer.suggestions) + answer.set_up_minutes
        minutes = self._closing + max(0, answer.total_minutes - stated)  # what is sat out beside them
        for suggestion in answer.suggestions:
            minutes += CHANGE_OVER_MINUTES + suggestion.stretch.waiting_minutes
            for procedure, step in suggestion.stretch.steps:
                family = procedure.family_of(step)
                more = more_than_out(families, procedure, step)
                families[family] = with_more(families, family, more)
                time_of = self.times_set_up[family] + (family not in self.families)
                minutes += self.truth.set_up(family, more.set_up, time_of)
                minutes += self.truth.put_away(family, more.put_away, time_of)
                minutes += self._true_pieces(suggestion, procedure, step, further)
        return minutes

    def _true_pieces(
        self, suggestion: Suggestion, procedure: Procedure, step: Step, further: Counter[str]
    ) -> float:
        if suggestion.stretch.minutes_left:
            return suggestion.minutes - CHANGE_OVER_MINUTES  # it is left when its time is up
        minutes = 0.0
        key = f"{procedure.id}/{step.id}"
        for mark in suggestion.marks:
            begun = self._under_way.get((suggestion.work or "", mark))
            if begun is not None:
                minutes += begun
                continue
            minutes += self.truth.would_take(procedure, step, mark, self.redone[mark], further[key])
            further[key] += 1
        return minutes
