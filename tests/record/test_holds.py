"""What holds a part until a person decides: a snag's decision, a second look, a helper's adult."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from kiosk.bench import Bench
from kiosk.record import events as e
from kiosk.record.rows import read_body
from kiosk.record.rules import NotAllowed, Refused, WrongPin, parts, snags, steps
from kiosk.record.rules.snags import NOT_SAID, Accepted, wanting
from kiosk.record.state import Outsider, PartState, Piece, Snag, State, StepDone
from kiosk.shop.procedure import HoldPoint, StepRef
from kiosk.views.place_card import place_card
from tests.conftest import SteadyClocks
from tests.driver import ACCEPTED, do_step
from tests.planning.test_spare import complete, take_to
from tests.record.moments import NOW, born, brambling, builder, helper, moment, pinned, step, with_steps
from tests.record.test_rule_edges import at_work

ODILE = helper(id="odile", name="Odile")
PIP = helper(born=born(13))
BY_WREN = Accepted(by="wren", role="builder")


def _held() -> State:
    done = {"form-block": {"a": StepDone(NOW, "wren", "1")}}
    return State(
        snags={"s": Snag("s", "FB-NR", "a crack", NOW, "pip", "form-block", "a")},
        parts={"FB-NR": PartState("FB-NR", passes=done)},
    )


def test_every_thing_that_a_decision_wants_is_asked_for_in_turn() -> None:
    now = moment(builder(), ODILE, PIP, state=_held())
    wanted = []
    accepted = NOT_SAID
    said: dict[str, Any] = {
        "plans_allow": False,
        "answer": "May be stop-drilled",
        "answered_by": "Ada Quill",
        "answered_role": "designer",
        "by": "Ada Quill",
        "role": "designer",
    }
    decision = reason = ""
    while (want := wanting(now, decision, reason, accepted)) is not None:
        wanted.append(want.what)
        assert want.wrong and want.mend
        with pytest.raises(Refused) as refused:
            snags.decide_snag(now, "s", decision, reason, None, accepted)
        assert refused.value.wrong == want.wrong
        if want.what == "decision":
            decision = "rework"
        elif want.what == "reason":
            reason = "out of the bend"
        else:
            accepted = replace(accepted, **{want.what: said[want.what]})
    assert wanted == ["decision", "reason", *said]
    (decided,) = snags.decide_snag(now, "s", decision, reason, None, accepted)
    assert isinstance(decided, e.SnagDecided)
    assert (decided.accepted_by, decided.accepted_role) == ("Ada Quill", "designer")
    assert (decided.answer, decided.answered_by) == ("May be stop-drilled", "Ada Quill")


@pytest.mark.parametrize("reason", ["", "  ", "ok", "1/2 32", "NR-03", "nr 03", "nr03", "…!?"])
def test_a_scanned_mark_or_two_letters_are_no_reason(reason: str) -> None:
    want = wanting(moment(builder(), state=_held()), "use as is", reason, ACCEPTED)
    assert want is not None and want.what == "reason"


def test_a_lots_mark_is_no_reason() -> None:
    lot = next(iter(brambling().lots))
    want = wanting(moment(builder(), state=_held()), "use as is", lot, ACCEPTED)
    assert want is not None and want.what == "reason"


@pytest.mark.parametrize(
    ("decision", "accepted", "wants"),
    [
        ("use as is", BY_WREN, "answer"),  # also where the builder thinks that the plans allow it
        ("use as is", replace(BY_WREN, plans_allow=True), "answer"),
        ("use as is", replace(ACCEPTED, answer="NR-03"), "answer"),
        ("use as is", replace(ACCEPTED, answer="ok"), "answer"),
        ("use as is", replace(ACCEPTED, answered_by=""), "answered_by"),
        ("use as is", replace(ACCEPTED, answered_by="NR-03"), "answered_by"),
        ("use as is", replace(ACCEPTED, answered_by="Wren"), "answered_by"),  # the builder's own is none
        ("use as is", replace(ACCEPTED, answered_by="wren "), "answered_by"),
        ("use as is", replace(ACCEPTED, answered_by="Pip"), "answered_by"),
        ("use as is", replace(ACCEPTED, answered_by="Odile"), "answered_by"),
        ("use as is", replace(ACCEPTED, answered_role=""), "answered_role"),
        ("use as is", replace(ACCEPTED, answered_role="builder"), "answered_role"),
        ("use as is", replace(ACCEPTED, by=""), "by"),
        ("use as is", replace(ACCEPTED, by="Pip", role="inspector"), "by"),
        ("use as is", replace(ACCEPTED, by="odile", role="inspector"), "by"),
        ("use as is", replace(ACCEPTED, role="inspector"), "role"),  # the builder is no inspector
        ("use as is", replace(ACCEPTED, by="Ada Quill", role="builder"), "role"),
        ("rework", BY_WREN, "plans_allow"),
        ("rework", replace(BY_WREN, plans_allow=False), "answer"),
        ("rework", replace(BY_WREN, plans_allow=True), None),
        ("scrap and remake", BY_WREN, None),
        ("scrap and remake", NOT_SAID, "by"),
        ("use as is", ACCEPTED, None),
    ],
)
def test_what_a_decision_wants(decision: str, accepted: Accepted, wants: str | None) -> None:
    now = moment(builder(), ODILE, PIP, state=_held())
    want = wanting(now, decision, "away from the edge", accepted)
    assert (want.what if want is not None else None) == wants


def test_who_answered_is_offered_the_next_time(bench: Bench) -> None:
    bench.raise_snag("NR-01", "bent corner")
    snag = bench.state.open_snags()[0].id
    bench.decide_snag(snag, "use as is", "away from the edge", None, ACCEPTED)
    assert bench.outsiders() == [Outsider("Ada Quill", "designer")]


# Second looks


def test_a_hold_point_is_written_in_the_old_way_and_the_new() -> None:
    for yes in (True, "yes", "true"):
        assert step(hold_point=yes).hold_point == HoldPoint(by="adult")
    for no in (False, "no", None):
        assert step(hold_point=no).hold_point is None
    for by in ("builder", "adult", "inspector"):
        assert step(hold_point={"by": by}).hold_point == HoldPoint(by=by)


@pytest.mark.parametrize(
    ("by", "looker", "why"),
    [
        ("builder", "odile", "Odile is not the builder"),
        ("inspector", "odile", "Odile is no inspector"),
        ("adult", "pip", "Pip is too young"),
        ("adult", "wren", "the same person cannot give both"),
        ("adult", "gone", "Gone is not at the bench"),
        ("builder", "second", ""),
        ("adult", "odile", ""),
        ("inspector", "ins", ""),
    ],
)
def test_a_look_is_of_the_standing_that_the_step_asks_for(by: str, looker: str, why: str) -> None:
    second = builder(id="second", name="Second")
    inspector = helper(id="ins", name="Ins", share="inspector")
    shop, _ = with_steps(brambling(), "form-block", step(hold_point={"by": by}))
    now = moment(builder(), ODILE, PIP, second, inspector, shop=shop)
    everybody = {**now.shop.people, "gone": helper(id="gone", name="Gone")}
    now = replace(now, shop=replace(now.shop, people=everybody))
    if why:
        with pytest.raises(NotAllowed, match=why):
            parts.second_look(now, ["FB-NR"], looker, "lines agree")
    else:
        looked = parts.second_look(now, ["FB-NR"], looker, "lines agree")[-1]
        assert isinstance(looked, e.HoldLooked) and (looked.looker, looked.standing) == (looker, by)


@pytest.mark.parametrize(
    ("by", "name", "number", "why"),
    [
        ("adult", "Ada Quill", "I-204", ""),
        ("inspector", "Ada Quill", "I-204", ""),
        ("builder", "Ada Quill", "I-204", "the builder is to look here"),
        ("inspector", "", "I-204", "entered by name"),
        ("inspector", "NR-03", "I-204", "entered by name"),
        ("inspector", "Odile", "I-204", "on the shop's list"),
        ("inspector", "Ada Quill", "", "with a number"),
        ("inspector", "Ada Quill", "none", "with a number"),
        ("inspector", "Ada Quill", "NR-03", "with a number"),
    ],
)
def test_an_inspector_from_outside_is_entered_by_name_and_number(
    by: str, name: str, number: str, why: str
) -> None:
    shop, _ = with_steps(brambling(), "form-block", step(hold_point={"by": by}))
    now = moment(builder(), ODILE, PIP, shop=shop)
    if why:
        with pytest.raises(Refused, match=why):
            parts.second_look(now, ["FB-NR"], "", "lines agree", name=name, number=number)
        return
    looked = parts.second_look(now, ["FB-NR"], "", "lines agree", name=name, number=number)[-1]
    assert isinstance(looked, e.HoldLooked)
    assert (looked.looker, looked.looker_name, looked.looker_number) == ("", name, number)
    assert looked.standing == "inspector"
    with pytest.raises(NotAllowed, match="an adult enters an inspector"):
        parts.second_look(now.seen_by(PIP), ["FB-NR"], "", "lines agree", name=name, number=number)


def test_a_look_is_given_with_the_lookers_own_pin_and_a_finding_in_words() -> None:
    shop, _ = with_steps(brambling(), "form-block", step(hold_point="yes"))
    now = moment(builder(), ODILE, PIP, shop=shop, state=pinned(odile="2906"))
    with pytest.raises(WrongPin, match="Odile's PIN is not right") as wrong:
        parts.second_look(now, ["FB-NR"], "odile", "lines agree", "1357")
    assert wrong.value.bodies == [e.PinTried(person="odile", right=False)]
    for finding in ("", "ok", "NR-03"):
        with pytest.raises(Refused, match="what was seen"):
            parts.second_look(now, ["FB-NR"], "odile", finding, "2906")
    assert parts.second_look(now, ["FB-NR"], "odile", "lines agree", "2906")[0] == e.PinTried(
        person="odile", right=True
    )
    assert parts.second_look(now.seen_by(PIP), ["FB-NR"], "odile", "lines agree", "2906")
    free = moment(PIP, ODILE, builder(), shop=shop)
    with pytest.raises(NotAllowed, match="an adult has the screen when Odile looks"):
        parts.second_look(free, ["FB-NR"], "odile", "lines agree")


def test_who_did_the_work_does_not_look_at_it(bench: Bench) -> None:
    complete(bench, "BR-01")
    take_to(bench, ["FS-01"], "spar-channel/bend-first")
    bench.come("odile")
    state = bench.state
    done = {
        procedure: {
            step_id: replace(one, by="odile") if number == len(steps_done) - 1 else one
            for number, (step_id, one) in enumerate(steps_done.items())
        }
        for procedure, steps_done in state.part("FS-01").passes.items()
    }
    state.parts["FS-01"] = replace(state.part("FS-01"), passes=done)
    assert bench.who_may_look("FS-01") == []
    with pytest.raises(NotAllowed, match="Odile did the step before on FS-01"):
        bench.hold_look(["FS-01"], "odile", "lines agree")


def test_who_looked_is_not_shown_what_they_are_then_refused(bench: Bench) -> None:
    complete(bench, "BR-01")
    take_to(bench, ["FS-01"], "spar-channel/bend-first")
    everybody = dict(bench.shop.people)
    everybody["odile"] = everybody["odile"].model_copy(update={"role": "builder"})
    bench.shop = replace(bench.shop, people=everybody)
    bench.come("odile")
    bench.hold_look(["FS-01"], "odile", "lines agree")
    work = bench.start(["FS-01"], "spar-channel", "bend-first")
    bench.pause(work)
    assert bench.place_card().action == "resume"
    bench.hand_over("odile")
    card = place_card(bench.context)
    assert card.action == "choose" and "Odile gave the second look at FS-01" in card.blocked
    assert "second look" in bench.step_view(work).barred


# Who answers for a helper, and whose work it is


def test_an_adult_answers_for_a_step_done_by_somebody_under_age() -> None:
    for doer, others, by in (
        (PIP, (ODILE, builder()), "wren"),
        (PIP, (ODILE,), "odile"),
        (PIP, (), ""),
        (ODILE, (builder(),), ""),
        (builder(), (PIP,), ""),
    ):
        finished = steps.finish(at_work(step(), doer=doer, others=others), "w", "FB-NR")[-1]
        assert isinstance(finished, e.StepFinished) and finished.supervised_by == by, (doer.name, others)


def test_a_helper_does_not_throw_away_what_the_builder_had_counted() -> None:
    counted = at_work(step(), Piece("FB-NR", count=3), others=(PIP, ODILE), status="unknown")
    with pytest.raises(NotAllowed, match="counted or measured before it was left"):
        steps.say_how_it_stands(counted.seen_by(PIP), "w", as_shown=False)
    assert steps.say_how_it_stands(counted, "w", as_shown=False)
    assert steps.say_how_it_stands(counted.seen_by(PIP), "w", as_shown=True)
    untouched = at_work(step(), Piece("FB-NR"), others=(PIP,), status="unknown")
    assert steps.say_how_it_stands(untouched.seen_by(PIP), "w", as_shown=False)


def test_cautions_are_read_again_by_whoever_takes_over_and_by_who_takes_back(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = Bench(new_shop, clocks)
    do_step(bench, ["FB-NR"])
    bench.close_sitting("")
    shop, _ = with_steps(
        bench.shop, "form-block", step(id="measure-pattern"), step(cautions=("Mind the cat", "And the dog"))
    )
    bench.shop = replace(shop, people=bench.shop.people)
    work = bench.start(["FB-NR"], "form-block", "try")
    with pytest.raises(Refused, match="1 of 2 cautions were not shown"):
        bench.acknowledge(work, shown=["Mind the cat"])
    bench.acknowledge(work, shown=["Mind the cat", "And the dog"])
    bench.hand_over("odile")
    with pytest.raises(Refused, match="cautions come first"):
        bench.finish(work, "FB-NR")
    bench.acknowledge(work)
    bench.close_sitting("")
    bench.take_up(work)
    with pytest.raises(Refused, match="cautions come first"):
        bench.finish(work, "FB-NR")
    bench.close()


def test_an_event_of_before_has_none_of_the_new_fields() -> None:
    """What their absence meant: nobody was named."""
    fields = '"snag":"s","decision":"rework","reason":"so","accepted_by":"wren"'
    old = read_body(1, "snag_decided", f'{{"version":1,"kind":"snag_decided",{fields}}}')
    assert isinstance(old, e.SnagDecided)
    assert (old.accepted_role, old.answer, old.answered_by, old.answered_role) == ("", "", "", "")
    looked = e.HoldLooked(marks=("A",), procedure="p", step=StepRef("p", "s").step, looker="o", finding="f")
    assert (looked.standing, looked.looker_name, looked.looker_number) == ("", "", "")
