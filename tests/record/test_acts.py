"""The door, walked whole: every act × every person × every situation, from the rules' own list of acts.

What is expected stands in one table, in words a builder would use, apart from the code. An act without a row,
a row without an act, and an act that no situation makes possible are failures.
"""

import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from kiosk.bench import Bench
from kiosk.record.context import Context, nobody
from kiosk.record.events import TrialBent
from kiosk.record.rules import ACTS, NotAllowed, Refused
from kiosk.shop.procedure import HoldPoint, Step, StepRef, Trial
from kiosk.shop.shop import Person
from tests.conftest import SteadyClocks
from tests.driver import ACCEPTED, do_step

TODAY = date(2027, 5, 8)
BUILDER = Person(id="wren", name="Wren", role="builder")  # with the PIN 2468
ADULT = Person(id="odile", name="Odile", role="helper")
CHILD = Person(id="pip", name="Pip", role="helper", born=date(2014, 1, 2))  # 13
STEP = StepRef("form-block", "check-inset")  # the second step of a form block, made to order below


@dataclass(frozen=True)
class Who:
    """One who asks: the hands on the screen, and who else is at the bench."""

    name: str
    hands: Person
    here: tuple[Person, ...]


# Each with the builder at the bench or away; an absent person's hands; nobody's, as after a wrong PIN.
PEOPLE = (
    Who("builder", BUILDER, (BUILDER, ADULT, CHILD)),
    Who("builder alone", BUILDER, (BUILDER,)),
    Who("builder with an adult", BUILDER, (BUILDER, ADULT)),
    Who("adult helper, builder here", ADULT, (BUILDER, ADULT)),
    Who("adult helper, builder away", ADULT, (ADULT,)),
    Who("adult helper, builder away, child here", ADULT, (ADULT, CHILD)),
    Who("child, builder here", CHILD, (BUILDER, CHILD)),
    Who("child, builder away", CHILD, (ADULT, CHILD)),
    Who("child alone", CHILD, (CHILD,)),
    Who("absent builder", BUILDER, (ADULT, CHILD)),
    Who("absent child", CHILD, (BUILDER, ADULT)),
    Who("nobody, after a wrong PIN", nobody(), (BUILDER, ADULT, CHILD)),
)


@dataclass(frozen=True)
class Situation:
    """What the step is like that is to be begun, or that is in hand when somebody takes over."""

    name: str
    step: dict[str, Any]
    may: Callable[[Who], bool]  # who may do the step: worked out here, apart from the rules
    cleared: bool = False


def _here(who: Who) -> bool:
    return who.hands in who.here


def _old(person: Person) -> int:
    return 13 if person is CHILD else 18


SITUATIONS = (
    Situation("a step for anyone", {"who": "anyone"}, _here),
    Situation(
        "a step for a helper with the builder",
        {"who": "helper with the builder"},
        lambda who: _here(who) and (who.hands is BUILDER or BUILDER in who.here),
    ),
    Situation("a step for the builder", {"who": "builder"}, lambda who: _here(who) and who.hands is BUILDER),
    # 29 CFR part 570 as a benchmark: a hand drill from 16, and anybody may be in the room.
    Situation(
        "a step from 16",
        {"who": "anyone", "hazards": ("DRILL",)},
        lambda who: _here(who) and _old(who.hands) >= 16,
    ),
    # A router: from 18, and nobody under 16 in the room (29 CFR 570.55 as a benchmark).
    Situation(
        "a step from 18, nobody young in the room",
        {"who": "anyone", "hazards": ("ROUTER",)},
        lambda who: _here(who) and _old(who.hands) >= 18 and CHILD not in who.here,
    ),
    Situation(
        "the same, the room cleared",
        {"who": "anyone", "hazards": ("ROUTER",)},
        lambda who: _here(who) and _old(who.hands) >= 18,
        cleared=True,
    ),
    # Chromate: a trained adult alone in the room. The builder counts as trained, no helper does.
    Situation(
        "a step for the builder alone in the room",
        {"who": "anyone", "hazards": ("CR6",)},
        lambda who: _here(who) and who.hands is BUILDER and len(who.here) == 1,
    ),
    Situation(
        "a step that this adult does not do yet",
        {"who": "anyone", "hazards": ("PRESS",)},
        lambda who: _here(who) and who.hands is BUILDER and len(who.here) <= 2 and CHILD not in who.here,
    ),
)  # fmt: skip
NOT_YET = {"odile": ("PRESS",)}


# Who may do each act, in words. "step": whoever may do the step that is in hand.
def _step(who: Who, there: Situation) -> bool:
    return there.may(who)


def _builder(who: Who, there: Situation) -> bool:
    return _here(who) and who.hands is BUILDER


def _adult(who: Who, there: Situation) -> bool:
    return _here(who) and _old(who.hands) >= 18


def _present(who: Who, there: Situation) -> bool:
    return _here(who)


def _anybody(who: Who, there: Situation) -> bool:
    return True


@dataclass(frozen=True)
class Row:
    """One act: who may do it, how the bench is brought to where it can be done, and what is asked."""

    may: Callable[[Who, Situation], bool]
    bring: Callable[["Moment"], None]
    asked: Callable[["Moment"], tuple[Any, ...]]
    named: dict[str, Any]
    tried_by: Callable[[Who], bool]

    @classmethod
    def of(
        cls,
        may: Callable[[Who, Situation], bool],
        bring: Callable[["Moment"], None],
        asked: Callable[["Moment"], tuple[Any, ...]],
        tried_by: Callable[[Who], bool] = lambda who: True,
        **named: Any,
    ) -> "Row":
        return cls(may, bring, asked, named, tried_by)


class Moment:
    """A bench with one part at the step of a situation, brought there by the builder."""

    def __init__(self, bench: Bench, clocks: SteadyClocks, there: Situation) -> None:
        self.bench = bench
        self.clocks = clocks
        self.there = there

    def begin(self) -> None:
        """The builder begins the step, alone, and reads its cautions."""
        self.bench.start(["FB-NR"], STEP.procedure, STEP.step)
        self.bench.acknowledge(self.work)

    def paused(self) -> None:
        self.begin()
        self.bench.pause(self.work)

    def count(self) -> None:
        self.begin()
        self.bench.count(self.work, "FB-NR", 1)

    def answered(self) -> None:
        self.count()
        self.bench.answer(self.work, "FB-NR", "seen", "yes")

    def done(self) -> None:
        self.answered()
        self.bench.finish(self.work, "FB-NR")

    @property
    def work(self) -> str:
        found = self.bench.state.part("FB-NR").work
        assert found is not None
        return found

    @property
    def step(self) -> Step:
        found = self.bench.shop.procedures[STEP.procedure].step(STEP.step)
        assert found is not None
        return found


def _nothing(at: Moment) -> None:
    """The part stands before the step; nothing is in hand."""


def _in_batch(at: Moment) -> None:
    at.bench.join_batch(["FB-MR", "FB-TP"])


def _with_snag(at: Moment) -> None:
    at.bench.raise_snag("FB-NR", "knot in the edge")


def _cut_short(at: Moment) -> None:
    at.begin()
    at.bench.record.close()
    again = Bench(at.bench.shop.folder, at.clocks, watch=True)
    again.shop = at.bench.shop
    again.doer_id = "wren"
    at.bench = again


def _helper_did(at: Moment) -> None:
    at.done()
    state = at.bench.state
    state.parts["FB-NR"] = replace(state.part("FB-NR"), wants_look=(STEP,))


def _vanished(at: Moment) -> None:
    """The step that was done last is gone from its procedure."""
    at.done()
    procedures = at.bench.shop.procedures
    assert isinstance(procedures, dict)
    before = procedures[STEP.procedure]
    kept = tuple(step for step in before.steps if step.id != STEP.step)
    procedures[STEP.procedure] = before.model_copy(update={"steps": kept})


def _late(at: Moment) -> None:
    """The time within which the next step must begin ran out."""
    at.done()
    at.clocks.go(11)


def _clock_set(at: Moment) -> None:
    """Somebody set the wall clock."""
    at.clocks.at += timedelta(days=1)


def _unknown_clock(at: Moment) -> None:
    """A clock ran when the machine was started again, and its wall clock is not believed."""
    at.done()
    at.bench.record.close()
    at.clocks.boot_id += " again"
    at.clocks.at -= timedelta(days=9)
    again = Bench(at.bench.shop.folder, at.clocks)
    again.shop = at.bench.shop
    again.doer_id = "wren"
    at.bench = again


def _asked_first(at: Moment) -> None:
    at.bench.ask_first("FB-NR")


def _ready(at: Moment) -> None:
    """Every step of the part is done."""
    at.done()
    at.bench.skip("FB-NR", "tried here")


def _hold(at: Moment) -> None:
    procedures = at.bench.shop.procedures
    assert isinstance(procedures, dict)
    before = procedures[STEP.procedure]
    steps = tuple(
        step.model_copy(update={"hold_point": HoldPoint()}) if step.id == STEP.step else step
        for step in before.steps
    )
    procedures[STEP.procedure] = before.model_copy(update={"steps": steps})


def _after_a_cut(who: Who, there: Situation) -> bool:
    """What was said of the room before the power went is not believed after it."""
    return there.may(who) and not (there.cleared and CHILD in who.here)


def _second_looker(who: Who, there: Situation) -> bool:
    """Odile is to look: she must be here, not do the step, and with no PIN an adult has to write it down."""
    return _old(who.hands) >= 18 and there.may(who) and ADULT in who.here and who.hands is not ADULT


def _may_leave(who: Who, there: Situation) -> bool:
    """Odile goes: she says so herself, or an adult does; somebody has to stay."""
    return _here(who) and _old(who.hands) >= 18


def _with_odile(who: Who) -> bool:
    return ADULT in who.here and len(who.here) > 1


def _who_lets_in(who: Who, there: Situation) -> bool:
    """Odile comes, who has no PIN: she is here already, or an adult at the bench says so."""
    return ADULT in who.here or (_here(who) and _old(who.hands) >= 18)


def _who_hands_over(who: Who, there: Situation) -> bool:
    """Odile takes the screen, who has no PIN: from an adult at the bench."""
    return _here(who) and _old(who.hands) >= 18


def _may_undo(who: Who, there: Situation) -> bool:
    """The builder did it, so it is the builder's to take back."""
    return _builder(who, there)


STRIP = TrialBent(
    alloy="2024-T3", thickness_in=0.032, inside_radius_in=0.125, flat_length_in=2.0, leg_a_in=1.05,
    leg_b_in=1.05, angle_deg=90, set_angle_deg=94, grain="along",
)  # fmt: skip


def _with_strip(at: Moment) -> None:
    at.bench.add_trial(STRIP)


def _trial(at: Moment) -> None:
    """The step in hand is a trial; its figures are written, so that nothing has to be measured first."""
    procedures = at.bench.shop.procedures
    assert isinstance(procedures, dict)
    before = procedures[STEP.procedure]
    figures = {"alloy": "2024-T3", "thickness": ".032", "inside_radius": "1/8", "grain": "along"}
    figures |= {"flat_length": "2", "leg_a": "1.05", "leg_b": "1.05", "angle": "90", "set_angle": "94"}
    trial = Trial(of="strip", figures=figures)
    steps = tuple(
        step.model_copy(update={"trial": trial}) if step.id == STEP.step else step for step in before.steps
    )
    procedures[STEP.procedure] = before.model_copy(update={"steps": steps})
    at.begin()


TABLE: dict[str, Row] = {
    # Acts on a step: rights, hazards, ages and the room are asked at each, not only at the beginning.
    "begin": Row.of(_step, _nothing, lambda at: (["FB-NR"], STEP)),
    "begin_batch": Row.of(_step, _nothing, lambda at: (["FB-NR"], STEP)),
    "set_up": Row.of(_step, _nothing, lambda at: ("FB-NR", STEP)),
    "read_cautions": Row.of(_step, Moment.begin, lambda at: (at.work, _cautions(at))),
    "turn_to": Row.of(_step, Moment.begin, lambda at: (at.work, "FB-NR")),
    "count": Row.of(_step, Moment.begin, lambda at: (at.work, "FB-NR", 1)),
    "say_enough": Row.of(_step, Moment.begin, lambda at: (at.work, "FB-NR", 0)),
    "type_draft": Row.of(_step, Moment.begin, lambda at: (at.work, "FB-NR", "seen", "y")),
    "answer": Row.of(_step, Moment.count, lambda at: (at.work, "FB-NR", "seen", "yes")),
    "another_trial": Row.of(_step, _trial, lambda at: (at.work, "FB-NR")),
    "finish": Row.of(_step, Moment.answered, lambda at: (at.work, "FB-NR")),
    "take_up": Row.of(_step, Moment.paused, lambda at: (at.work,)),
    "put_back": Row.of(_step, Moment.begin, lambda at: (at.work,)),
    "say_how_it_stands": Row.of(_after_a_cut, _cut_short, lambda at: (at.work,), as_shown=True),
    # To stop, to hold a part, to write something down: whoever is here.
    "pause": Row.of(_present, Moment.begin, lambda at: (at.work,)),
    "raise_snag": Row.of(_present, _nothing, lambda at: ("FB-NR", "a crack")),
    "type_words": Row.of(_present, _nothing, lambda at: ("snag/FB-NR", "a cra")),
    "join": Row.of(_present, _nothing, lambda at: (["FB-MR", "FB-TP"],)),
    "split": Row.of(_present, _in_batch, lambda at: (["FB-MR"],)),
    "begin_slot": Row.of(_present, _nothing, lambda at: (15,)),
    "write_note": Row.of(_present, _nothing, lambda at: ("glue is low",)),
    "read_room": Row.of(_present, _nothing, lambda at: (68.0, 50.0)),
    "ask_first": Row.of(_present, _nothing, lambda at: ("FB-NR",)),
    # Adults.
    "count_stock": Row.of(_adult, _nothing, lambda at: ("pattern-glue", 1.0)),
    "record_trial": Row.of(_adult, _nothing, lambda at: (STRIP,)),
    "correct_trial": Row.of(_adult, _with_strip, lambda at: (1, "leg_a", "1.051", "mistyped")),
    "retract_trial": Row.of(_adult, _with_strip, lambda at: (1, "mistyped")),
    "clear_room": Row.of(_adult, _nothing, lambda at: (STEP,)),
    "close_up": Row.of(_adult, Moment.begin, lambda at: ("done for today", (), "")),
    # The builder's own.
    "ask_not_today": Row.of(_builder, _nothing, lambda at: ("FB-NR",)),
    # The builder asked for it: no helper takes it back.
    "take_back_wish": Row.of(_builder, _asked_first, lambda at: (at.bench.state.wishes[0],)),
    "set_aside": Row.of(_builder, Moment.begin, lambda at: (at.work,)),
    "skip": Row.of(_builder, _nothing, lambda at: ("FB-NR", "not on these plans")),
    "reopen": Row.of(_builder, Moment.done, lambda at: ("FB-NR", STEP, "not so")),
    "go_on_at": Row.of(_builder, _vanished, lambda at: ("FB-NR", StepRef("form-block", "glue-pattern"))),
    "answer_limit": Row.of(_builder, _late, lambda at: (["FB-NR"], "glued again")),
    "look_at_clock": Row.of(_adult, _unknown_clock, lambda at: (["FB-NR"], 5.0)),
    "mark_clock": Row.of(_adult, _clock_set, lambda at: (), right=True),
    "complete": Row.of(_builder, _ready, lambda at: ("FB-NR",)),
    "decide_snag": Row.of(
        _builder,
        _with_snag,
        lambda at: (at.bench.state.open_snags()[0].id, "use as is", "the designer says so", None, ACCEPTED),
    ),
    "look_over": Row.of(_builder, _helper_did, lambda at: ("FB-NR", STEP), good=True),
    # The builder did the step: neither an adult nor a child corrects it.
    "correct": Row.of(
        _builder,
        Moment.done,
        lambda at: (at.bench.past_step("FB-NR", STEP), "FB-NR", "minutes", "20", "the clock was stopped"),
    ),
    "undo": Row.of(_may_undo, Moment.count, lambda at: (at.bench.state.undoables[-1].event,)),
    # People.
    "second_look": Row.of(_second_looker, _hold, lambda at: (["FB-NR"], "odile", "lines agree")),
    # An adult's presence lets others do more: an adult says that they are here, or they type their PIN.
    "come": Row.of(_who_lets_in, _nothing, lambda at: ("odile",)),
    # That the last one may not leave is no question of rights: they close up instead.
    "leave": Row.of(_may_leave, _nothing, lambda at: ("odile",), _with_odile),
    "hand_over": Row.of(_who_hands_over, _nothing, lambda at: ("odile",)),
    "set_pin": Row.of(_anybody, _nothing, lambda at: ("wren", "2468", "8642")),  # who knows the old one
}  # fmt: skip


@pytest.fixture
def folder(new_shop: Path) -> Path:
    """A shop whose form block has three steps: one, the situation's own, and the last."""
    return new_shop


def made(folder: Path, clocks: SteadyClocks, there: Situation) -> Moment:
    """A bench whose second step is the situation's, with the first one done."""
    bench = Bench(folder, clocks)
    procedures, people = bench.shop.procedures, bench.shop.people
    assert isinstance(procedures, dict) and isinstance(people, dict)
    before = procedures[STEP.procedure]
    last = before.step("glue-pattern")
    assert last is not None
    step = Step.model_validate(
        {
            "id": STEP.step,
            "do": "Do what the situation asks.",
            "minutes": {"set_up": 4, "each": "3"},
            "stop": "only when finished",
            "repeat": {"of": "times", "times": "1", "enough": "it holds"},
            "checks": [{"kind": "yes_no", "id": "seen", "ask": "Is it so?"}],
            "waits": [{"what": "glue", "within": "10", "begin": "glue-pattern", "if_missed": "Glue again."}],
            "cautions": ["Look before you touch."],
            **there.step,
        }
    )
    procedures[STEP.procedure] = before.model_copy(
        update={"steps": (before.steps[0], step, last.model_copy(update={"consumables": (), "waits": ()}))}
    )
    for person in (BUILDER, ADULT, CHILD):
        people[person.id] = person.model_copy(update={"not_yet": NOT_YET.get(person.id, ())})
    bench.builder = people["wren"]
    bench.set_pin("wren", "", "2468")
    bench._come_in()
    bench.hand_over("wren", "2468")
    do_step(bench, ["FB-NR"])
    return Moment(bench, clocks, there)


def seen_by(at: Moment, who: Who) -> Context:
    """The moment with these hands on the screen and these people at the bench."""
    people = at.bench.shop.people
    state = at.bench.state
    sitting = state.sitting
    if sitting is not None:
        cleared = (CHILD.id,) if at.there.cleared else ()
        read = tuple((one.id, caution) for one in who.here for caution in _cautions(at))
        mine = tuple(pair for pair in read if pair[0] == who.hands.id)
        sitting = replace(sitting, people=tuple(one.id for one in who.here), cleared=cleared, read=mine)
        state = replace(state, sitting=sitting)
    hands = people.get(who.hands.id, who.hands)
    here = [people[one.id] for one in who.here]
    return replace(at.bench.context, state=state, people=here, doer=hands)


def _cautions(at: Moment) -> list[str]:
    step = at.bench.shop.procedures[STEP.procedure].step(STEP.step)
    if step is None:
        return []
    return [*step.cautions, *(at.bench.shop.hazards[tag].caution for tag in step.hazards)]


# A hold point before what one does alone in the room can be given by nobody: the plans have to say how.
NOBODY_MAY = {("second_look", "a step for the builder alone in the room")}
BRINGS = list(dict.fromkeys(row.bring for row in TABLE.values()))
CELLS = [(there, number) for there in SITUATIONS for number in range(len(BRINGS))]


def test_every_act_has_a_row_and_every_row_an_act() -> None:
    assert set(TABLE) == set(ACTS)
    assert len(ACTS) * len(PEOPLE) * len(SITUATIONS) >= 2_900  # cells walked below


@pytest.mark.parametrize(("there", "bring"), CELLS, ids=lambda one: getattr(one, "name", one))
def test_who_may_do_what(there: Situation, bring: int, folder: Path, clocks: SteadyClocks) -> None:
    """Each cell is allowed exactly when the table says so; and what is allowed is done.

    A rule only decides, so all acts for which the bench is brought to the same point are asked there.
    """
    moment = made(folder, clocks, there)
    BRINGS[bring](moment)
    for name, row in TABLE.items():
        if row.bring is not BRINGS[bring]:
            continue
        act, allowed = ACTS[name], 0
        for who in PEOPLE:
            if not row.tried_by(who):
                continue
            context, asked = seen_by(moment, who), row.asked(moment)
            if row.may(who, there):
                allowed += 1
                bodies = act.decide(context, *asked, **row.named)  # raises when it is refused for anything
                assert isinstance(bodies, list)
            else:
                with pytest.raises(NotAllowed) as refused:
                    act.decide(context, *asked, **row.named)
                assert refused.value.wrong and refused.value.mend, (name, who.name)
        assert bool(allowed) != ((name, there.name) in NOBODY_MAY), f"no one at all may {name}"
    moment.bench.close()


def test_a_person_who_takes_over_reads_the_cautions_again(folder: Path, clocks: SteadyClocks) -> None:
    moment = made(folder, clocks, SITUATIONS[0])
    moment.begin()
    bench = moment.bench
    bench.hand_over("odile")
    with pytest.raises(Refused, match="the cautions come first"):
        bench.count(moment.work, "FB-NR", 1)
    bench.acknowledge(moment.work)
    bench.count(moment.work, "FB-NR", 1)
    bench.close()


def test_somebody_young_who_arrives_stops_a_step_in_hand(folder: Path, clocks: SteadyClocks) -> None:
    there = next(one for one in SITUATIONS if one.name == "a step from 18, nobody young in the room")
    moment = made(folder, clocks, there)
    moment.begin()
    bench = moment.bench
    bench.come("pip")
    with pytest.raises(NotAllowed, match="Pip must be out of the room"):
        bench.count(moment.work, "FB-NR", 1)
    bench.pause(moment.work)  # stopping is always allowed
    bench.clear_room(STEP)
    bench.take_up(moment.work)
    bench.count(moment.work, "FB-NR", 1)
    bench.come("odile")  # a newcomer ends what was said of the room
    with pytest.raises(NotAllowed, match="Pip must be out of the room"):
        bench.answer(moment.work, "FB-NR", "seen", "yes")
    bench.close()


def test_no_hands_without_the_pin(folder: Path, clocks: SteadyClocks) -> None:
    """At the start, after "goes", after closing up, and with a wrong one: never the builder's hands."""
    moment = made(folder, clocks, SITUATIONS[0])
    bench = moment.bench
    bench.come("pip")
    bench.hand_over("pip")
    for wrong in ("", "1357", "24680"):
        with pytest.raises(NotAllowed, match="PIN is not right"):
            bench.hand_over("wren", wrong)
        assert bench.doer.id == "pip"
    bench.leave("pip")
    assert bench.doer.id == "nobody"
    with pytest.raises(NotAllowed, match="nobody has the screen yet"):
        bench.skip("FB-NR", "because")
    with pytest.raises(NotAllowed):
        bench.close_sitting("")
    bench.hand_over("wren", "2468")
    bench.close_sitting("so far")
    assert bench.doer.id == "nobody"
    bench.close()


def test_a_builder_who_is_away_does_not_come_by_a_childs_word(folder: Path, clocks: SteadyClocks) -> None:
    moment = made(folder, clocks, SITUATIONS[0])
    bench = moment.bench
    bench.come("odile")
    bench.come("pip")
    bench.hand_over("pip")
    with pytest.raises(NotAllowed, match="an adult"):
        bench.leave("wren")
    with pytest.raises(NotAllowed, match="Odile has no PIN"):
        bench.hand_over("odile")  # a child does not become an adult by a press
    bench.hand_over("wren", "2468")
    bench.hand_over("odile")
    bench.leave("wren")
    bench.hand_over("pip")
    for wrong in ("", "1357"):
        with pytest.raises(NotAllowed, match="PIN is not right"):
            bench.come("wren", wrong)
    bench.come("wren", "2468")
    assert {person.id for person in bench.people} == {"wren", "odile", "pip"}
    bench.close()


def test_an_act_of_ones_own_may_be_taken_back_by_oneself(folder: Path, clocks: SteadyClocks) -> None:
    moment = made(folder, clocks, SITUATIONS[0])
    moment.begin()
    bench = moment.bench
    bench.hand_over("odile")
    bench.acknowledge(moment.work)
    bench.count(moment.work, "FB-NR", 1)
    mine = bench.state.undoables[-1].event
    bench.hand_over("pip")
    with pytest.raises(NotAllowed, match="it was not you"):
        bench.undo(mine)
    bench.hand_over("wren", "2468")
    bench.hand_over("odile")
    bench.undo(mine)
    bench.close()


def test_thirteen_today_is_thirteen_until_the_birthday(folder: Path, clocks: SteadyClocks) -> None:
    """The day before sixteen a drill is not for them; on the day it is."""
    there = next(one for one in SITUATIONS if one.name == "a step from 16")
    moment = made(folder, clocks, there)
    people = moment.bench.shop.people
    assert isinstance(people, dict)
    for days, allowed in ((1, False), (0, True)):
        born = date(TODAY.year - 16, TODAY.month, TODAY.day) + timedelta(days=days)
        people["pip"] = CHILD.model_copy(update={"born": born})
        context = replace(moment.bench.context, people=[people["pip"]], doer=people["pip"])
        if allowed:
            assert ACTS["begin"].decide(context, ["FB-NR"], STEP)
        else:
            with pytest.raises(NotAllowed, match="too young for drilling"):
                ACTS["begin"].decide(context, ["FB-NR"], STEP)
    moment.bench.close()
    shutil.rmtree(folder)
