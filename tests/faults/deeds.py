"""What could be tapped next, for every act that the rules know: read off the state, chosen at random.

:data:`DRIVERS` has a function for each act of ``kiosk.record.rules.ACTS``; ``test_kills.py`` fails for an act
without one. A driver gives one tap, or None where nothing suits it now. It need not be allowed: a refusal is
an answer too, and must record nothing.
"""

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from kiosk.bench import Bench, new_tap
from kiosk.errors import KioskError
from kiosk.record.events import TrialBent
from kiosk.record.rules.clocks import unknown_clock
from kiosk.record.rules.snags import NOT_SAID
from kiosk.record.state import Work
from kiosk.shop.procedure import CountCheck, LotCheck, MeasureCheck, Step, StepRef
from tests.driver import ACCEPTED

PROCEDURE = "latch"
PIN = "2468"
GOES_WRONG = 0.1  # share of answers that are not as wanted
ONWARD = 0.6  # share of taps that carry a part on; the others are of the act asked for least
# Of each check that measures a strip; all others are of an edge.
WITHIN = {"flat": (1.995, 2.005), "leg": (1.048, 1.052), "other-leg": (1.048, 1.052), "angle": (89.5, 90.5),
          "set": (93.5, 94.5)}  # fmt: skip
HOLES = 5  # as the small shop's procedure counts them
NOT_OFTEN = 0.15  # chance that what would stop the work is thought of at all

STRIP = TrialBent(
    alloy="2024-T3", thickness_in=0.032, inside_radius_in=0.125, flat_length_in=2.0, leg_a_in=1.05,
    leg_b_in=1.05, angle_deg=90, set_angle_deg=94, grain="along",
)  # fmt: skip


@dataclass(frozen=True)
class Deed:
    """One tap: the act it asks for, the bench's method with what it is given, and the tap's id."""

    act: str
    method: str
    given: tuple[Any, ...]
    named: Mapping[str, Any] = field(default_factory=dict)
    tap: str = field(default_factory=new_tap)

    def do(self, bench: Bench) -> None:
        """Tap. Raises KioskError when it is refused."""
        getattr(bench, self.method)(*self.given, **self.named, tap=self.tap)


@dataclass(frozen=True)
class Moment:
    """A bench, and the luck by which the next tap is chosen."""

    bench: Bench
    luck: random.Random

    def part(self) -> str:
        """Any part."""
        return self.luck.choice(sorted(self.bench.shop.parts))

    def work(self, *statuses: str) -> Work | None:
        """A step in hand, running if nothing else is said."""
        found = [
            work for work in self.bench.state.works.values() if work.status in (statuses or ("running",))
        ]
        return self.luck.choice(found) if found else None

    def step(self, work: Work) -> Step | None:
        """The step in hand as the procedure now has it."""
        return self.bench.shop.find_step(work.procedure, work.step, work.turned_to)[1]

    def seldom(self) -> bool:
        """True now and then."""
        return self.luck.random() < NOT_OFTEN


Driver = Callable[[Moment], Deed | None]


def _begin(at: Moment) -> Deed | None:
    bench, mark = at.bench, at.part()
    where = bench.position(mark)
    if where.step is None or where.procedure is None or bench.state.part(mark).work is not None:
        return None
    marks = [mark]
    if where.step.batch != "no" and at.luck.random() < 0.5:
        marks += [other for other in bench.standing_with(mark) if other != mark][: at.luck.randint(0, 2)]
    return Deed("begin", "start", (marks, where.procedure.id, where.step.id))


def _begin_batch(at: Moment) -> Deed | None:
    bench, mark = at.bench, at.part()
    where = bench.position(mark)
    if where.step is None or where.procedure is None or bench.state.part(mark).work is not None:
        return None
    return Deed(
        "begin_batch", "begin_batch", (bench.standing_with(mark)[:3], where.procedure.id, where.step.id)
    )


def _set_up(at: Moment) -> Deed | None:
    mark = at.part()
    where = at.bench.position(mark)
    if where.step is None or where.procedure is None or not at.seldom():
        return None
    return Deed("set_up", "set_up", (mark, where.procedure.ref(where.step)))


def _join(at: Moment) -> Deed | None:
    marks = at.bench.standing_with(at.part())[:3]
    return Deed("join", "join_batch", (marks,)) if len(marks) > 1 and at.seldom() else None


def _split(at: Moment) -> Deed | None:
    together = [mark for mark in at.bench.state.parts if at.bench.batch_of(mark)]
    return Deed("split", "split_batch", ([at.luck.choice(together)],)) if together and at.seldom() else None


def _begin_slot(at: Moment) -> Deed | None:
    return Deed("begin_slot", "begin_slot", (at.luck.randint(3, 120),)) if at.seldom() else None


def _read_cautions(at: Moment) -> Deed | None:
    work = at.work()
    return Deed("read_cautions", "acknowledge", (work.id,)) if work else None


def _turn_to(at: Moment) -> Deed | None:
    work = at.work()
    if work is None or len(work.pieces) < 2:
        return None
    return Deed("turn_to", "turn_to", (work.id, at.luck.choice(work.marks)))


def _count(at: Moment) -> Deed | None:
    work = at.work()
    step = at.step(work) if work else None
    if work is None or step is None or step.repeat is None:
        return None
    piece = at.luck.choice(work.pieces)
    return Deed("count", "count", (work.id, piece.mark, piece.count + at.luck.choice((1, 1, 1, 2, 5, -1))))


def _say_enough(at: Moment) -> Deed | None:
    work = at.work()
    step = at.step(work) if work else None
    if work is None or step is None or step.repeat is None or not at.seldom():
        return None
    piece = at.luck.choice(work.pieces)
    return Deed("say_enough", "say_enough", (work.id, piece.mark, piece.count))


def _type_draft(at: Moment) -> Deed | None:
    asked = _asked(at)
    return (
        Deed("type_draft", "type_draft", (*asked[:2], asked[2].id, at.luck.choice("0123"))) if asked else None
    )


def _asked(at: Moment) -> tuple[str, str, Any] | None:
    """A work, a mark in it and a check that is not answered as wanted."""
    work = at.work()
    step = at.step(work) if work else None
    if work is None or step is None or not step.checks:
        return None
    piece = at.luck.choice(work.pieces)
    left = [one for one in step.checks if one.id not in piece.answers or not piece.answers[one.id].passed]
    return work.id, piece.mark, at.luck.choice(left or step.checks)


def _answer(at: Moment) -> Deed | None:
    asked = _asked(at)
    if asked is None:
        return None
    work, mark, check = asked
    wrong = at.luck.random() < GOES_WRONG
    if isinstance(check, LotCheck):
        text = "SH-01"
    elif isinstance(check, CountCheck):
        text = "3" if wrong else "2"
    elif isinstance(check, MeasureCheck):
        text = "0.5" if wrong else f"{at.luck.uniform(*WITHIN.get(check.id, (0.20, 0.30))):.3f}"
    else:
        text = "no" if wrong else "yes"
    return Deed("answer", "answer", (work, mark, check.id, text))


def _finish(at: Moment) -> Deed | None:
    work = at.work()
    if work is None:
        return None
    ready = [piece for piece in work.pieces if piece.answers or piece.count]
    return Deed("finish", "finish", (work.id, at.luck.choice(ready).mark)) if ready else None


def _pause(at: Moment) -> Deed | None:
    work = at.work()
    return Deed("pause", "pause", (work.id,)) if work and at.seldom() else None


def _take_up(at: Moment) -> Deed | None:
    work = at.work("paused")
    return Deed("take_up", "take_up", (work.id,)) if work else None


def _put_back(at: Moment) -> Deed | None:
    work = at.work("running", "paused")
    return Deed("put_back", "put_back", (work.id,)) if work and at.seldom() else None


def _set_aside(at: Moment) -> Deed | None:
    gone = [work for work in at.bench.state.works.values() if at.step(work) is None]
    return Deed("set_aside", "set_aside", (at.luck.choice(gone).id,)) if gone else None


def _say_how_it_stands(at: Moment) -> Deed | None:
    work = at.work("unknown")
    as_shown = at.luck.random() < 0.8
    return Deed("say_how_it_stands", "looked", (work.id,), {"as_shown": as_shown}) if work else None


def _skip(at: Moment) -> Deed | None:
    return Deed("skip", "skip", (at.part(), "not on these plans")) if at.seldom() else None


def _done(at: Moment, mark: str) -> StepRef | None:
    """A step on record on a part."""
    done = list(at.bench.state.part(mark).passes.get(PROCEDURE, {}))
    return StepRef(PROCEDURE, at.luck.choice(done)) if done else None


def _reopen(at: Moment) -> Deed | None:
    mark = at.part()
    ref = _done(at, mark)
    return Deed("reopen", "reopen", (mark, ref, "seen again, not so")) if ref and at.seldom() else None


def _correct(at: Moment) -> Deed | None:
    mark = at.part()
    ref = _done(at, mark)
    if ref is None or at.bench.state.part(mark).passes[ref.procedure][ref.step].skipped:
        return None
    figures = [one for one in at.bench.past_step(mark, ref).figures if one.unit]
    if figures and at.luck.random() < 0.5:
        given = ("figure", f"{at.luck.uniform(0.20, 0.30):.4f}", "mistyped", at.luck.choice(figures).check)
    elif at.luck.random() < 0.5:
        given = ("day", at.luck.choice(("2026-10-03", at.bench.context.today.isoformat())), "mistyped", "")
    else:
        given = ("minutes", f"{at.luck.uniform(1, 90):.1f}", "the clock ran on", "")
    return Deed("correct", "correct", (mark, ref, *given))


def _go_on_at(at: Moment) -> Deed | None:
    asked = [mark for mark in at.bench.shop.parts if at.bench.position(mark).vanished]
    step = at.luck.choice(at.bench.shop.procedures[PROCEDURE].steps).id
    return (
        Deed("go_on_at", "answer_place", (at.luck.choice(asked), StepRef(PROCEDURE, step))) if asked else None
    )


def _answer_limit(at: Moment) -> Deed | None:
    late = [
        part.mark
        for part in at.bench.state.parts.values()
        if any(clock.kind == "within" and clock.until < at.bench.now for clock in part.clocks)
    ]
    return Deed("answer_limit", "answer_clock", ([at.luck.choice(late)], "done again")) if late else None


def _look_at_clock(at: Moment) -> Deed | None:
    context = at.bench.context
    unknown = [mark for mark in at.bench.shop.parts if unknown_clock(context, mark) is not None]
    if not unknown:
        return None
    mark = at.luck.choice(unknown)
    clock = unknown_clock(context, mark)
    assert clock is not None
    return Deed("look_at_clock", "look_at_clock", ([mark], at.luck.choice((0.0, clock.minutes / 2))))


def _mark_clock(at: Moment) -> Deed | None:
    return Deed("mark_clock", "mark_clock", (), {"right": at.luck.random() < 0.8})


def _type_words(at: Moment) -> Deed | None:
    return Deed("type_words", "type_words", (f"snag/{at.part()}", at.luck.choice(("", "cr", "crack"))))


def _set_pin(at: Moment) -> Deed | None:
    given = ("pip", at.luck.choice(("", PIN, "1357")), at.luck.choice(("", PIN)))
    return Deed("set_pin", "set_pin", given) if at.seldom() else None


def _complete(at: Moment) -> Deed | None:
    ready = [mark for mark in at.bench.shop.parts if at.bench.position(mark).all_done]
    return Deed("complete", "complete", (at.luck.choice(ready),)) if ready else None


def _raise_snag(at: Moment) -> Deed | None:
    if not at.seldom():
        return None
    return Deed("raise_snag", "raise_snag", (at.part(), f"scratch, seen at {at.bench.state.seq}"))


def _decide_snag(at: Moment) -> Deed | None:
    snags = at.bench.state.open_snags()
    if not snags:
        return None
    snag = at.luck.choice(snags)
    decision = at.luck.choice(("use as is", "rework", "scrap and remake"))
    back_to = _done(at, snag.mark) if decision == "rework" else None
    given = (snag.id, decision, "away from the edge", back_to, at.luck.choice((ACCEPTED, NOT_SAID)))
    return Deed("decide_snag", "decide_snag", given)


def _look_over(at: Moment) -> Deed | None:
    asked = at.bench.wants_look()
    good = at.luck.random() < 0.8
    return Deed("look_over", "look_over", at.luck.choice(asked), {"good": good}) if asked else None


def _second_look(at: Moment) -> Deed | None:
    held = [
        mark
        for mark in at.bench.shop.parts
        if (step := at.bench.position(mark).step) is not None and step.hold_point
    ]
    if not held:
        return None
    looker = at.luck.choice(("odile", "wren"))
    return Deed("second_look", "hold_look", ([at.luck.choice(held)], looker, "the pins are in"))


def _undo(at: Moment) -> Deed | None:
    newest = at.bench.latest_undoable()
    return Deed("undo", "undo", (newest.event,)) if newest and at.seldom() else None


def _read_room(at: Moment) -> Deed | None:
    return Deed("read_room", "note_conditions", (at.luck.uniform(50, 80), at.luck.uniform(30, 60)))


def _count_stock(at: Moment) -> Deed | None:
    return Deed("count_stock", "count_stock", ("glue", at.luck.uniform(1, 100)))


def _ask_first(at: Moment) -> Deed | None:
    return Deed("ask_first", "ask_first", (at.part(),)) if at.seldom() else None


def _ask_not_today(at: Moment) -> Deed | None:
    kind = at.bench.shop.parts[at.part()].kind
    return Deed("ask_not_today", "ask_not_today", ("", kind)) if at.seldom() else None


def _take_back_wish(at: Moment) -> Deed | None:
    wishes = at.bench.state.wishes
    return Deed("take_back_wish", "take_back_wish", (at.luck.choice(wishes),)) if wishes else None


def _record_trial(at: Moment) -> Deed | None:
    return Deed("record_trial", "add_trial", (STRIP,)) if at.seldom() else None


def _retract_trial(at: Moment) -> Deed | None:
    counted = [trial.number for trial in at.bench.state.trials if not trial.retracted_by]
    if not counted or not at.seldom():
        return None
    return Deed("retract_trial", "retract_trial", (at.luck.choice(counted), "mistyped"))


def _correct_trial(at: Moment) -> Deed | None:
    counted = [one.number for one in at.bench.state.trials if not (one.retracted_by or one.strip.step)]
    if not counted or not at.seldom():
        return None
    leg = f"{STRIP.leg_a_in + at.luck.uniform(-0.002, 0.002):.5f}"
    return Deed("correct_trial", "correct_trial", (at.luck.choice(counted), "leg_a", leg, "mistyped"))


def _another_trial(at: Moment) -> Deed | None:
    work = at.work()
    if work is None or work.step != "try-strip" or not at.seldom():
        return None
    measured = [one for one in work.pieces if one.answers]
    return Deed("another_trial", "another_trial", (work.id, measured[0].mark)) if measured else None


def _write_note(at: Moment) -> Deed | None:
    return Deed("write_note", "note", (f"note at {at.bench.state.seq}", at.part()))


def _clear_room(at: Moment) -> Deed | None:
    return Deed("clear_room", "clear_room", (StepRef(PROCEDURE, "bend-edge"),))


def _come(at: Moment) -> Deed | None:
    return Deed("come", "come", (at.luck.choice(("wren", "odile", "odile", "pip")),))


def _leave(at: Moment) -> Deed | None:
    return Deed("leave", "leave", (at.luck.choice(("wren", "odile", "pip", "pip")),)) if at.seldom() else None


def _hand_over(at: Moment) -> Deed | None:
    to = at.luck.choice(("wren", "wren", "wren", "odile", "pip"))
    return Deed("hand_over", "hand_over", (to,)) if to != at.bench.doer_id or at.seldom() else None


def _close_up(at: Moment) -> Deed | None:
    return Deed("close_up", "close_sitting", (f"so far, at {at.bench.state.seq}",)) if at.seldom() else None


DRIVERS: dict[str, Driver] = {
    "begin": _begin,
    "begin_batch": _begin_batch,
    "set_up": _set_up,
    "join": _join,
    "split": _split,
    "begin_slot": _begin_slot,
    "read_cautions": _read_cautions,
    "turn_to": _turn_to,
    "count": _count,
    "say_enough": _say_enough,
    "type_draft": _type_draft,
    "answer": _answer,
    "finish": _finish,
    "pause": _pause,
    "take_up": _take_up,
    "put_back": _put_back,
    "set_aside": _set_aside,
    "say_how_it_stands": _say_how_it_stands,
    "skip": _skip,
    "reopen": _reopen,
    "correct": _correct,
    "go_on_at": _go_on_at,
    "answer_limit": _answer_limit,
    "look_at_clock": _look_at_clock,
    "mark_clock": _mark_clock,
    "set_pin": _set_pin,
    "type_words": _type_words,
    "complete": _complete,
    "raise_snag": _raise_snag,
    "decide_snag": _decide_snag,
    "look_over": _look_over,
    "second_look": _second_look,
    "undo": _undo,
    "read_room": _read_room,
    "count_stock": _count_stock,
    "ask_first": _ask_first,
    "ask_not_today": _ask_not_today,
    "take_back_wish": _take_back_wish,
    "record_trial": _record_trial,
    "correct_trial": _correct_trial,
    "retract_trial": _retract_trial,
    "another_trial": _another_trial,
    "write_note": _write_note,
    "clear_room": _clear_room,
    "come": _come,
    "leave": _leave,
    "hand_over": _hand_over,
    "close_up": _close_up,
}


def _onward(at: Moment) -> Deed | None:
    """What carries a part through its route next."""
    if at.bench.doer_id not in ("wren", "odile") or (at.bench.doer_id == "odile" and at.seldom()):
        return Deed("hand_over", "hand_over", ("wren",))
    work = at.work()
    if work is not None:
        return _on_the_step(at, work)
    drivers = (_say_how_it_stands, _set_aside, _take_up, _go_on_at, _complete, _decide_snag, _look_over)
    for driver in (*drivers, _answer_limit, _begin):
        if driver is not _answer_limit or at.luck.random() < 0.5:
            deed = driver(at)
            if deed is not None:
                return deed
    return None


def _on_the_step(at: Moment, work: Work) -> Deed | None:
    step = at.step(work)
    if step is None:
        return _set_aside(at)
    if at.bench.step_view(work.id).cautions:
        return Deed("read_cautions", "acknowledge", (work.id,))
    piece = work.pieces[0]
    if step.repeat is not None and piece.count < HOLES and not piece.enough:
        return Deed("count", "count", (work.id, piece.mark, HOLES))
    if any(one.id not in piece.answers or not piece.answers[one.id].passed for one in step.checks):
        return _answer(at)
    return Deed("finish", "finish", (work.id, piece.mark))


def next_deed(at: Moment, asked: dict[str, int]) -> Deed:
    """A tap that suits the moment. ``asked`` counts how often each act was asked for, and is kept up to date,
    so that every act has its turn.
    """
    while True:
        deed = _tried(_onward, at) if at.luck.random() < ONWARD else None
        names = sorted(DRIVERS, key=lambda name: (asked.get(name, 0), at.luck.random()))
        for name in names:
            deed = deed or _tried(DRIVERS[name], at)
        if deed is not None:
            asked[deed.act] = asked.get(deed.act, 0) + 1
            return deed


def _tried(driver: Driver, at: Moment) -> Deed | None:
    try:
        return driver(at)
    except KioskError:  # a view could not be made of what a changed procedure left
        return None
