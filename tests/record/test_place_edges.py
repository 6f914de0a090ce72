"""The edges of a place: what is guessed where files changed, what may not be left, what is nearly over."""

from dataclasses import replace
from datetime import timedelta

import pytest

from kiosk.record.belief import FAR_AHEAD, JUMP, Doubt, doubt
from kiosk.record.events import ClockSet
from kiosk.record.part_stops import all_parts
from kiosk.record.position import left_in_a_run, never_done, position, steps_left
from kiosk.record.readiness import StepStops, part_blocks
from kiosk.record.state import ClockReading, PartState, Piece, State, StepDone, Work
from kiosk.record.waits import is_late, is_near, seconds_left
from kiosk.shop.parts import RouteStage
from kiosk.shop.procedure import Step, StepRef
from kiosk.shop.shop import Shop
from tests.record.moments import NOW, born, brambling, builder, helper, moment, step, with_steps


def rib(*done: str, procedure: str = "rib-blank", **fields: object) -> PartState:
    """A rib with these steps done."""
    passes = {procedure: {id: StepDone(NOW, "wren", "1") for id in done}} if done else {}
    return replace(PartState("NR-01", passes), **fields)  # type: ignore[arg-type]


def shop_of(*steps: Step) -> Shop:
    return with_steps(brambling(), "rib-blank", *steps)[0]


def likely(shop: Shop, part: PartState) -> tuple[str, StepRef | None]:
    """What is asked of the rib, and the place that is guessed."""
    question = position(shop, State(parts={"NR-01": part}), "NR-01").question
    assert question is not None
    return question.asks, question.likely


def here(step_id: str) -> StepRef:
    return StepRef("rib-blank", step_id)


# Where a part most likely stands


def test_a_step_that_is_gone_is_guessed_after_what_else_is_done_or_under_its_like_name() -> None:
    shop = shop_of(step(id="cut"), step(id="file-edges"), step(id="drill"))
    assert likely(shop, rib("cut", "dimple")) == ("step gone", here("file-edges"))
    assert likely(shop, rib("cut", "file-edge")) == ("step gone", here("drill"))  # it was called otherwise
    assert likely(shop, rib("dimple")) == ("step gone", None)  # the beginning is never guessed


def test_a_wait_whose_step_is_gone_is_guessed_under_its_like_name_or_next() -> None:
    shop = shop_of(step(id="cut"), step(id="file-edges"), step(id="drill-holes"))
    wait = ClockSet(
        what="drying", kind="must_pass", minutes=5, until=NOW, procedure="rib-blank", step="drill-hole"
    )
    assert likely(shop, rib("cut", clocks=(wait,))) == ("wait gone", here("drill-holes"))
    other = replace(wait, step="weigh")
    assert likely(shop, rib("cut", clocks=(other,))) == ("wait gone", here("file-edges"))


def test_a_procedure_that_is_gone_is_guessed_where_most_of_its_steps_are_known() -> None:
    shop = shop_of(step(id="cut"), step(id="file"), step(id="drill"))
    gone = rib("cut", "file", procedure="old-blank")
    assert likely(shop, gone) == ("procedure gone", here("drill"))
    assert likely(shop, rib("weigh", procedure="old-blank")) == ("procedure gone", None)
    both = replace(gone, passes={**gone.passes, **rib("cut").passes})
    assert likely(shop, both)[1] != here("drill")  # what was worked at under its own name is not it
    two = replace(gone, passes={"older": {"cut": StepDone(NOW, "wren", "1")}, **gone.passes})
    question = position(shop, State(parts={"NR-01": two}), "NR-01").question
    assert question is not None and question.about == "older"  # one after the other, the first first


def test_work_put_in_before_what_is_done_is_asked_about_with_the_place_of_now() -> None:
    shop = brambling()
    stages = [stage.procedure for stage in shop.kind_of("NR-01").route]
    second = shop.steps_for(shop.kind_of("NR-01"), shop.procedures[stages[1]])
    part = rib(second[0].id, procedure=stages[1])
    assert likely(shop, part) == ("work added", StepRef(stages[1], second[1].id))


def test_what_was_never_done_is_told_of_every_procedure_that_is_still_there() -> None:
    shop = shop_of(step(id="cut"), step(id="file"), step(id="drill"))
    part = rib("cut", "drill")
    last = shop.procedures["form-block"].steps[-1].id  # of no stage of a rib's route
    gone = {"no-such": {"x": StepDone(NOW, "wren", "1")}, "form-block": {last: StepDone(NOW, "wren", "1")}}
    for passes in ({**part.passes, **gone}, {**gone, **part.passes}):
        state = State(parts={"NR-01": replace(part, passes=passes)})
        assert never_done(shop, state, "NR-01") == [here("file")]


def test_a_part_stands_where_the_builder_put_it_though_nothing_before_it_is_on_record() -> None:
    shop = brambling()
    second = [stage.procedure for stage in shop.kind_of("NR-01").route][1]
    there = shop.steps_for(shop.kind_of("NR-01"), shop.procedures[second])[1]
    where = position(shop, State(parts={"NR-01": rib(placed={second: there.id})}), "NR-01")
    assert where.procedure is not None and where.step is not None and where.question is None
    assert (where.procedure.id, where.step.id) == (second, there.id)


def test_what_is_left_goes_on_behind_a_repair_that_nothing_sends_the_part_to() -> None:
    shop = shop_of(step(id="cut"), step(id="file"))
    stages = ("rib-blank", "form-block", "clean-and-prime")
    kind = shop.kind_of("NR-01")
    route = tuple(RouteStage(procedure=name, repair=name == "form-block") for name in stages)
    shop = replace(shop, kinds={**shop.kinds, kind.id: kind.model_copy(update={"route": route})}, _steps={})

    def left(part: PartState) -> list[str]:
        found = steps_left(shop, State(parts={"NR-01": part}), "NR-01")
        assert found[0][1].id == ("file" if part.passes else "cut")
        return list(dict.fromkeys(procedure.id for procedure, _ in found))

    assert left(rib()) == ["rib-blank", "clean-and-prime"]
    assert left(rib("cut")) == ["rib-blank", "clean-and-prime"]


# What may not be left


def test_a_part_is_in_a_run_between_a_step_that_goes_straight_on_and_the_next() -> None:
    shop = shop_of(step(id="heat", stop="go straight on"), step(id="bend"), step(id="last"))
    found = left_in_a_run(shop, rib("heat"))
    assert found is not None and found[1].id == "heat"
    for part in (rib(), rib("heat", "bend"), rib("heat", completed_at=NOW), rib("melt"), PartState("gone")):
        assert left_in_a_run(shop, part) is None
    assert left_in_a_run(shop, replace(rib("heat"), mark="no such part")) is None


def test_a_part_in_hand_is_told_by_itself_and_nothing_stops_it() -> None:
    state = State(parts={"FB-NR": PartState("FB-NR", work="w")})
    state.works["w"] = Work("w", "form-block", "1", "saw", "wren", (Piece("FB-NR"),), "FB-NR", NOW)
    in_hand = {mark: one.in_hand for one in all_parts(moment(builder(), state=state)) for mark in one.marks}
    assert in_hand.pop("FB-NR") is True and set(in_hand.values()) == {False}


def test_what_stops_a_step_is_asked_again_where_another_version_asks_for_something_else() -> None:
    one = step(tools=("no-such",))
    others = (
        step(),
        step(consumables=("none-such",)),
        step(tools=("no-such",), who="builder"),
        step(tools=("no-such",), hazards=("ROUTER",)),
        step(tools=("no-such",), conditions={"temperature_f": {"low": "60"}}),
    )
    for other in others:
        now = moment(helper(), builder(born=born(9)))
        stops = StepStops(now)
        assert stops.of(one) != stops.of(other), other
        assert [block.text for block in stops.of(other)] == [block.text for block in StepStops(now).of(other)]


@pytest.mark.parametrize(
    ("wanted", "completed", "text"),
    [
        (1, 0, "declare NR-03 complete first"),
        (2, 0, "0 of 2 finished"),
        (2, 1, "declare NR-03 complete first"),
        (3, 1, "1 of 3 finished"),
    ],
)
def test_what_only_wants_to_be_declared_is_said_where_it_is_enough(
    wanted: int, completed: int, text: str
) -> None:
    shop = brambling()
    block, ribs = shop.kind_of("FB-NR"), shop.kind_of("NR-03")
    stage = block.route[0].model_copy(update={"needs": {ribs.id: wanted}})
    kind = block.model_copy(update={"route": (stage, *block.route[1:])})
    shop = replace(shop, kinds={**shop.kinds, kind.id: kind}, _steps={})
    done: dict[str, dict[str, StepDone]] = {}
    for procedure, one in shop.route_steps(ribs):
        done.setdefault(procedure.id, {})[one.id] = StepDone(NOW, "wren", "1")
    parts = {"NR-03": PartState("NR-03", done)}
    for mark in ("NR-01", "NR-02")[:completed]:
        parts[mark] = PartState(mark, completed_at=NOW)
    now = moment(builder(), state=State(parts=parts), shop=shop)
    procedure = shop.procedures[stage.procedure]
    stops = part_blocks(now, "FB-NR", procedure, procedure.steps[0])
    (needs,) = (one for one in stops if one.kind == "needs")
    assert needs.text.endswith(text), needs


# Clocks


@pytest.mark.parametrize(
    ("minutes", "left_s", "near"),
    [
        (240, 2880.0, True),
        (240, 2881.0, False),
        (2, 60.0, True),
        (2, 61.0, False),
        (10, 120.0, True),
        (10, 121.0, False),
    ],
)
def test_a_limit_is_near_in_its_last_fifth_and_in_its_last_minute(
    minutes: float, left_s: float, near: bool
) -> None:
    clock = ClockSet(what="pot", kind="within", minutes=minutes, until=NOW, procedure="p", step="s")
    assert is_near(clock, left_s) is near


def test_a_limit_is_late_from_the_moment_after_it_and_a_wait_never_is() -> None:
    now = moment(builder())
    limit = ClockSet(what="x", kind="within", minutes=5, until=NOW, procedure="p", step="s")
    wait = replace(limit, kind="must_pass")
    for clock, left_s, late in ((limit, 0, False), (limit, -1, True), (wait, -1, False)):
        assert is_late(now, replace(clock, until=NOW + timedelta(seconds=left_s))) is late


@pytest.mark.parametrize(
    ("believed_now", "believed_then", "left_minutes", "known"),
    [
        (True, True, 5, True),
        (True, True, 7, True),  # as much more than its minutes as a time server moves a clock
        (True, True, 7.1, False),  # set when the wall clock showed something later
        (True, False, 5, False),
        (False, True, 5, False),
        (False, False, 5, False),
    ],
)
def test_after_a_restart_a_clock_is_known_by_a_wall_clock_that_was_and_is_believed(
    believed_now: bool, believed_then: bool, left_minutes: float, known: bool
) -> None:
    until = NOW + timedelta(minutes=left_minutes)
    clock = ClockSet(
        what="pot", kind="within", minutes=5, until=until, procedure="p", step="s", believed=believed_then
    )
    now = replace(moment(builder()), doubt=None if believed_now else Doubt("changed", NOW, None))
    assert seconds_left(now, clock) == (left_minutes * 60 if known else None)


def test_a_limit_ran_out_at_its_minute_and_a_wait_is_over_at_the_next() -> None:
    until = NOW - timedelta(seconds=30)
    clock = ClockSet(
        what="pot", kind="within", minutes=5, until=until, procedure="rib-blank", step="cut", if_missed="Mix."
    )
    shop = shop_of(step(id="cut"))
    (late,) = part_blocks(
        moment(builder(), state=State(parts={"NR-01": rib(clocks=(clock,))}), shop=shop),
        "NR-01",
        shop.procedures["rib-blank"],
        shop.procedures["rib-blank"].steps[0],
    )
    assert late.text == f"pot ran out {until.astimezone():%a %H:%M}: Mix."


def test_a_clock_is_doubted_past_what_a_time_server_does_and_two_months_away() -> None:
    def why(by: timedelta) -> str:
        """After so long by the wall clock, in another boot of the machine."""
        start = ClockReading("now", NOW + by, 5.0, True)
        found = doubt(State(believed_at=NOW), start, start)
        return found.why if found is not None else ""

    second = timedelta(seconds=1)
    assert why(-JUMP) == why(timedelta()) == why(FAR_AHEAD) == ""
    assert why(-JUMP - second) == "behind the record" and why(FAR_AHEAD + second) == "far ahead"
