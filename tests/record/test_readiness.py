"""What stands in the way of a step: tools, stock, the room's air, the hour, waits, what must exist first."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import Any

import pytest

from kiosk.bench import Bench
from kiosk.record.context import Context
from kiosk.record.events import ClockSet
from kiosk.record.quiet_hours import minutes_until_quiet, quiet_until
from kiosk.record.readiness import (
    Block,
    blocks,
    is_completed,
    next_blocks,
    part_blocks,
    step_blocks,
)
from kiosk.record.rules import Refused, steps
from kiosk.record.state import PartState, Snag, State, StepDone
from kiosk.shop.lots import lot_fits, lots_for
from kiosk.shop.parts import RouteStage
from kiosk.shop.procedure import LotCheck, Step, StepRef, Uses, ask_the_same
from kiosk.shop.shop import Consumable, Lot, QuietHours, Shop, Tool
from tests.conftest import local_time
from tests.record.moments import NOW, TODAY, born, brambling, builder, helper, moment, step, with_steps


def texts(found: list[Block]) -> list[str]:
    return [block.text for block in found]


def stops(
    of: Step, *, shop: Shop | None = None, state: State | None = None, now: datetime = NOW
) -> list[str]:
    """Why a builder, alone, may not begin a step now."""
    return texts(step_blocks(moment(builder(), shop=shop, state=state, now=now), of))


# Tools and stock


def test_a_tool_that_is_not_there_stops_the_step() -> None:
    tools = {
        "rule": Tool(id="rule", name="steel rule"),
        "lathe": Tool(id="lathe", name="small lathe", have=0),
    }
    shop = replace(brambling(), tools=tools)
    assert stops(step(tools=("rule",)), shop=shop) == []
    assert stops(step(tools=("rule", "lathe")), shop=shop) == ["tool missing: small lathe"]
    assert stops(step(tools=("press", "rule")), shop=shop) == ["tool missing: press"]


def _stocked(**fields: object) -> Shop:
    glue = Consumable.model_validate(
        {"id": "glue", "name": "pattern glue", "unit": "can", "left": 1, **fields}
    )
    mats = Consumable(id="mats", name="scuff mats", unit="mats", left=3)
    return replace(brambling(), consumables={"glue": glue, "mats": mats})


def test_what_is_used_up_stops_the_step() -> None:
    glued = step(consumables=("glue", "mats"))
    assert stops(glued, shop=_stocked(left=0.01)) == []
    assert stops(glued, shop=_stocked(left=0)) == ["used up: pattern glue"]
    # What was counted last goes before what the shop file says, either way.
    assert stops(glued, shop=_stocked(left=1), state=State(stock={"glue": 0})) == ["used up: pattern glue"]
    assert stops(glued, shop=_stocked(left=0), state=State(stock={"glue": 0.01})) == []
    assert stops(glued, shop=_stocked(), state=State(stock={"mats": 0})) == ["used up: scuff mats"]


def test_less_than_one_part_takes_stops_the_step() -> None:
    """Half a row of rivets is not driven; a step that does not say how much it takes goes on to the last."""
    takes = Uses(of="glue", amount="0.3", unit="can")
    glued = step(consumables=("glue",), uses=(takes,))
    assert stops(glued, shop=_stocked(left=0.3)) == []
    assert stops(glued, shop=_stocked(left=1), state=State(stock_used={"glue": 0.7})) == []  # 0.3 and a rest
    short = "short of pattern glue: 0.25 can left, 0.3 wanted: count it"
    assert stops(glued, shop=_stocked(left=0.25)) == [short]
    assert stops(glued, shop=_stocked(left=0)) == ["used up: pattern glue"]
    twice = step(consumables=("glue",), uses=(takes, takes))
    assert stops(twice, shop=_stocked(left=0.5)) != []
    other = step(consumables=("glue",), uses=(takes.model_copy(update={"unit": "tube"}),))
    assert stops(other, shop=_stocked(left=0.1)) == []


def test_what_a_part_takes_is_worked_out_for_its_kind() -> None:
    """A row takes as many rivets as its drawing has, and each kind is asked for its own."""
    shop = brambling()
    rows = {
        kind.id: (one, shop.figures.number(kind, "spar_rivets", "count"))
        for kind in shop.kinds.values()
        for procedure, one in shop.route_steps(kind)
        if procedure.ref(one) == StepRef("rib-to-spar", "rivet-row")
    }
    assert len({wanted for _, wanted in rows.values()}) > 1
    for one, wanted in rows.values():
        (uses,) = one.uses
        assert uses.worked_amount == wanted
    (few, _), (many, wanted) = sorted(rows.values(), key=lambda row: row[1])[:: len(rows) - 1]
    assert not ask_the_same(few, many)  # what stops one need not stop the other
    state = State(stock={"rivets-ad4": wanted - 1})
    short = f"short of MS20470AD4-4 rivets: {wanted - 1:g} pieces left, {wanted:g} wanted: count it"
    assert stops(many, shop=shop, state=state) == [short]
    assert stops(few, shop=shop, state=state) == []


def test_what_is_on_no_list_is_said_and_the_rest_is_looked_at_all_the_same() -> None:
    found = stops(step(consumables=("varnish", "glue")), shop=_stocked(left=0))
    assert found == ["not on the list: varnish", "used up: pattern glue"]


def test_what_is_past_its_date_stops_the_step_from_the_day_after() -> None:
    glued = step(consumables=("glue",))
    assert stops(glued, shop=_stocked(expires=TODAY)) == []
    yesterday = TODAY - timedelta(days=1)
    assert stops(glued, shop=_stocked(expires=yesterday)) == [
        f"expired: pattern glue ({yesterday.isoformat()})"
    ]
    assert stops(glued, shop=_stocked(expires=yesterday, left=0)) == ["used up: pattern glue"]


# The room


def _air(now: datetime = NOW, **read: object) -> State:
    return State(**{"conditions_at": now, **read})  # type: ignore[arg-type]


def test_the_rooms_air_must_be_read_and_within_both_limits() -> None:
    mix = step(
        conditions={"temperature_f": {"low": 50, "high": 90}, "humidity_percent": {"low": 40, "high": 75}}
    )
    read_first = [
        "read the temperature first: 50 to 90 F is needed",
        "read the humidity first: 40 to 75 % is needed",
    ]
    assert stops(mix) == read_first
    assert stops(mix, state=_air(temperature_f=68.0)) == read_first[1:]
    assert stops(mix, state=_air(humidity_percent=55.0)) == read_first[:1]
    for within in ((50.0, 40.0), (90.0, 75.0), (68.0, 55.0)):
        assert stops(mix, state=_air(temperature_f=within[0], humidity_percent=within[1])) == []
    for reading, said in (
        ((49.9, 55.0), "temperature is 49.9 F: 50 to 90 F is needed"),
        ((90.1, 55.0), "temperature is 90.1 F: 50 to 90 F is needed"),
        ((68.0, 39.9), "humidity is 39.9 %: 40 to 75 % is needed"),
        ((68.0, 75.1), "humidity is 75.1 %: 40 to 75 % is needed"),
    ):
        assert stops(mix, state=_air(temperature_f=reading[0], humidity_percent=reading[1])) == [said]


def test_a_limit_may_be_open_at_one_end() -> None:
    warm = step(conditions={"temperature_f": {"low": 50}})
    dry = step(conditions={"humidity_percent": {"high": 75}})
    assert stops(warm, state=_air(temperature_f=130.0)) == []
    assert stops(warm, state=_air(temperature_f=0.0)) == ["temperature is 0 F: 50 F is needed"]
    assert stops(dry, state=_air(humidity_percent=0.0)) == []
    assert stops(dry, state=_air(humidity_percent=80.0)) == ["humidity is 80 %: 75 % is needed"]


def test_a_reading_is_good_for_four_hours() -> None:
    warm = step(conditions={"temperature_f": {"low": 50}})
    for age, found in (
        (timedelta(hours=4), []),
        (timedelta(hours=4, seconds=1), ["read the temperature first: 50 F is needed"]),
    ):
        assert stops(warm, state=_air(NOW - age, temperature_f=68.0)) == found


def test_the_person_and_the_room_stop_a_step_too() -> None:
    now = moment(
        builder(not_yet=("ROUTER",)), helper(born=born(12)), helper(id="kit", name="Kit", born=born(9))
    )
    found = step_blocks(now, step(hazards=("ROUTER",)))
    assert found == [
        Block("person", "Wren does not do work with the router yet"),
        Block("room", "Pip, Kit must be out of the room"),
    ]


# Quiet hours


def _quiet(*hours: QuietHours) -> Shop:
    return replace(brambling(), file=brambling().file.model_copy(update={"quiet_hours": hours}))


EVENING = QuietHours.model_validate({"start": "20:30", "end": "08:00", "days": ["fri"]})
NOON = QuietHours.model_validate({"start": "12:00", "end": "13:30", "days": ["sat"]})
# 7 and 8 May 2027 are a Friday and a Saturday.


@pytest.mark.parametrize(
    ("day", "hour", "minute", "ends"),
    [
        (7, 20, 29, None),
        (7, 20, 30, (8, 8, 0)),
        (8, 0, 0, (8, 8, 0)),
        (8, 7, 59, (8, 8, 0)),
        (8, 8, 0, None),
        (8, 11, 59, None),
        (8, 12, 0, (8, 13, 30)),
        (8, 13, 29, (8, 13, 30)),
        (8, 13, 30, None),
        (8, 20, 30, None),  # Saturday's evening is loud
        (7, 12, 30, None),  # and Friday's noon
        (9, 7, 0, None),
    ],
)
def test_quiet_hours_hold_from_their_first_minute_to_their_last(
    day: int, hour: int, minute: int, ends: tuple[int, int, int] | None
) -> None:
    shop, now = _quiet(EVENING, NOON), local_time(2027, 5, day, hour, minute)
    wanted = None if ends is None else local_time(2027, 5, *ends)
    assert quiet_until(shop, now) == wanted
    loud = step(conditions={"loud": True})
    found = step_blocks(moment(builder(), shop=shop, now=now), loud)
    if wanted is None:
        assert found == []
    else:
        said = f"quiet hours until Sat {wanted.astimezone():%H:%M}"
        assert found == [Block("quiet", said, wanted)]
    assert step_blocks(moment(builder(), shop=shop, now=now), step()) == []  # a quiet step goes on


def test_the_minutes_to_the_next_quiet_hours_are_counted_within_a_day() -> None:
    shop = _quiet(EVENING, NOON)
    for day, hour, minute, left in (
        (7, 20, 0, 30),
        (7, 20, 30, 0),
        (8, 8, 0, 4 * 60),
        (7, 8, 0, 12 * 60 + 30),
        (6, 21, 0, 23 * 60 + 30),
        (8, 14, 0, None),
        (5, 20, 0, None),
    ):
        assert minutes_until_quiet(shop, local_time(2027, 5, day, hour, minute)) == left, (day, hour)
    assert minutes_until_quiet(_quiet(), NOW) is None
    assert quiet_until(_quiet(), NOW) is None


def test_quiet_hours_that_end_when_they_begin_last_a_day() -> None:
    whole = QuietHours(start=time(12), end=time(12), days=("sat",))
    shop = _quiet(whole)
    assert quiet_until(shop, local_time(2027, 5, 8, 12)) == local_time(2027, 5, 9, 12)
    assert quiet_until(shop, local_time(2027, 5, 9, 11, 59)) == local_time(2027, 5, 9, 12)
    assert quiet_until(shop, local_time(2027, 5, 8, 11, 59)) is None


# The part


def _part(now: Context, of: Step, mark: str = "FB-NR") -> list[Block]:
    procedure = now.shop.procedures["form-block"]
    return part_blocks(now, mark, procedure, of)


def test_a_snag_and_work_in_hand_hold_the_part_and_no_other() -> None:
    state = State()
    state.snags["s"] = Snag("s", "FB-NR", "knot", NOW, "wren", "", "")
    state.snags["old"] = Snag("old", "FB-NR", "dent", NOW, "wren", "", "", decision="use as is")
    now = moment(builder(), state=state)
    assert _part(now, step()) == [Block("snag", "FB-NR is held: knot", names="FB-NR")]
    assert _part(now, step(), "FB-MR") == []


def test_a_part_in_hand_is_not_begun_again(bench: Bench) -> None:
    bench.start(["FB-NR"], "form-block", "measure-pattern")
    assert texts(next_blocks(bench.context, "FB-NR")) == [
        "FB-NR is in hand: Measure the scale bar on the full-size pattern."
    ]
    assert next_blocks(bench.context, "FB-MR") == []
    with pytest.raises(Refused, match="in hand"):
        bench.start(["FB-NR"], "form-block", "measure-pattern")


def _clock(kind: Any, minutes: float, **fields: Any) -> State:
    clock = ClockSet(
        what="glue",
        kind=kind,
        minutes=30,
        until=NOW + timedelta(minutes=minutes),
        procedure="form-block",
        step="try",
        if_missed="scrape it off",
        set_by="before",
    )
    clock = replace(clock, **fields)
    return State(parts={"FB-NR": PartState("FB-NR", clocks=(clock,))})


def test_a_wait_holds_until_its_minute_and_a_limit_from_the_minute_after() -> None:
    at = f"{NOW.astimezone():%a %H:%M}"
    for kind, minutes, found in (
        ("must_pass", 1, "wait"),
        ("must_pass", 0, None),
        ("must_pass", -1, None),
        ("within", 1, None),
        ("within", 0, None),
        ("within", -1, "late"),
    ):
        got = _part(moment(builder(), state=_clock(kind, minutes)), step())
        assert [block.kind for block in got] == ([found] if found else []), (kind, minutes)
    (waits,) = _part(moment(builder(), state=_clock("must_pass", 1)), step())
    assert waits.until == NOW + timedelta(minutes=1)
    assert waits.text == f"glue until {waits.until.astimezone():%a %H:%M}"
    late = moment(builder(), state=_clock("within", 0), now=NOW + timedelta(minutes=1))
    (ran_out,) = _part(late, step())
    assert (ran_out.text, ran_out.until) == (f"glue ran out {at}: scrape it off", None)


def test_a_wait_is_for_its_own_step_and_those_after_it() -> None:
    procedure = brambling().procedures["form-block"]
    first, second, third = procedure.steps[:3]
    for at, found in ((first, []), (second, ["wait"]), (third, ["wait"])):
        now = moment(builder(), state=_clock("must_pass", 5, step=second.id))
        assert [block.kind for block in part_blocks(now, "FB-NR", procedure, at)] == found


def test_a_wait_of_an_older_revision_holds_the_step_that_todays_has_it_hold() -> None:
    """A block was glued by the revision that drilled after sawing; today's drills before, on wet glue."""
    procedure = brambling().procedures["form-block"]
    glue, drill, saw = (procedure.step(name) for name in ("glue-pattern", "pin-holes", "saw-outline"))
    assert glue is not None and drill is not None and saw is not None
    state = _clock("must_pass", 5, what=glue.waits[0].what, set_by=glue.id, step=saw.id)
    now = moment(builder(), state=state)
    assert "wait" in [block.kind for block in part_blocks(now, "FB-NR", procedure, drill)]
    other = _clock("must_pass", 5, what="another glue", set_by=glue.id, step=saw.id)
    blocks = part_blocks(moment(builder(), state=other), "FB-NR", procedure, drill)
    assert "wait" not in [block.kind for block in blocks]


@pytest.mark.parametrize("gone", [{"step": "renamed"}, {"procedure": "renamed"}, {"procedure": "rib-blank"}])
def test_a_wait_whose_step_is_gone_holds_whatever_comes_next(gone: dict[str, str]) -> None:
    """Renaming a step once let glue go that had eleven of its twelve hours to dry."""
    for minutes, found in ((5, ["wait"]), (-1, [])):
        now = moment(builder(), state=_clock("must_pass", minutes, **gone))
        assert [block.kind for block in _part(now, step())] == found


def test_a_missed_limit_is_told_before_the_step_that_it_names() -> None:
    procedure = brambling().procedures["form-block"]
    now = moment(builder(), state=_clock("within", -1, step=procedure.steps[2].id))
    assert [block.kind for block in part_blocks(now, "FB-NR", procedure, procedure.steps[1])] == ["late"]


def test_a_hold_point_waits_for_a_look_at_this_very_step() -> None:
    held = step(hold_point=True)
    said = "a second person looks at FB-NR before this step"
    for looked, found in (
        ({}, [said]),
        ({StepRef("form-block", "other"): "odile"}, [said]),
        ({StepRef("form-block", "try"): "odile"}, []),
        ({StepRef("form-block", "try"): "wren"}, ["Wren gave FB-NR the second look: another does it"]),
    ):
        state = State(parts={"FB-NR": PartState("FB-NR", looked=looked)})
        assert texts(_part(moment(builder(), state=state), held)) == found
    assert _part(moment(builder()), step()) == []


def _completed(*marks: str) -> State:
    return State(parts={mark: PartState(mark, completed_at=NOW) for mark in marks})


def _needing(count: int, made_from: tuple[str, ...] = ()) -> Shop:
    """Tailplane form blocks that need so many brakes and nose ribs, or are made from other parts."""
    shop = brambling()
    kind = shop.kinds["block-tailplane"]
    stage = RouteStage(procedure="form-block", needs={"brake-eighth": 1, "nose-rib": count} if count else {})
    kinds = {
        **shop.kinds,
        kind.id: kind.model_copy(update={"route": (RouteStage(procedure="rib-blank"), stage)}),
    }
    parts = {**shop.parts, "FB-TP": replace(shop.parts["FB-TP"], made_from=made_from)}
    return replace(shop, kinds=kinds, parts=parts, _steps={}, _marks={})


def test_what_a_stage_needs_must_be_ready_and_finished_first() -> None:
    shop = _needing(2)
    brake, ribs = shop.kinds["brake-eighth"].name, shop.kinds["nose-rib"].name
    for done, found in (
        ((), [f"needs {brake}: 0 of 1 ready", f"needs {ribs}: 0 of 2 finished"]),
        (("BR-01", "NR-01"), [f"needs {ribs}: 1 of 2 finished"]),
        (("BR-01", "NR-01", "NR-07"), []),
        (("BR-01", "NR-01", "NR-07", "NR-08"), []),
    ):
        assert texts(_part(moment(builder(), shop=shop, state=_completed(*done)), step(), "FB-TP")) == found
    # What only has to be declared hides nothing that is not made yet.
    route = shop.route_of(shop.kinds["brake-eighth"])
    passes: dict[str, dict[str, StepDone]] = {}
    for ref in route.numbers:
        passes.setdefault(ref.procedure, {})[ref.step] = StepDone(by="wren", at=NOW, revision="1")
    made = State(parts={"BR-01": PartState("BR-01", passes=passes)})
    assert texts(_part(moment(builder(), shop=shop, state=made), step(), "FB-TP")) == [
        f"needs {brake}: declare BR-01 complete first",
        f"needs {ribs}: 0 of 2 finished",
    ]
    # Of several that only have to be declared no more are named than are wanted.
    route = shop.route_of(shop.kinds["nose-rib"])
    passes = {}
    for ref in route.numbers:
        passes.setdefault(ref.procedure, {})[ref.step] = StepDone(by="wren", at=NOW, revision="1")
    made = State(
        parts={
            **_completed("BR-01", "NR-01").parts,
            **{mark: PartState(mark, passes=passes) for mark in ("NR-07", "NR-08")},
        }
    )
    assert texts(_part(moment(builder(), shop=shop, state=made), step(), "FB-TP")) == [
        f"needs {ribs}: declare NR-07 complete first"
    ]
    # Of another stage of the route nothing is needed.
    now = moment(builder(), shop=shop)
    assert part_blocks(now, "FB-TP", shop.procedures["rib-blank"], step()) == []
    assert part_blocks(now, "FB-TP", shop.procedures["rib-check"], step()) == []


def test_what_a_part_is_made_from_must_be_finished() -> None:
    shop = _needing(0, ("NR-01", "NR-02"))
    for done, found in (((), ["needs NR-01, NR-02 finished"]), (("NR-01",), ["needs NR-02 finished"])):
        assert texts(_part(moment(builder(), shop=shop, state=_completed(*done)), step(), "FB-TP")) == found
    assert _part(moment(builder(), shop=shop, state=_completed("NR-01", "NR-02")), step(), "FB-TP") == []


def test_a_part_is_complete_when_it_was_declared_so() -> None:
    begun = State(parts={"FB-NR": PartState("FB-NR")})
    assert not is_completed(State(), "FB-NR") and not is_completed(begun, "FB-NR")
    assert is_completed(_completed("FB-NR"), "FB-NR")


def test_every_reason_is_given_at_once_the_parts_own_first() -> None:
    state = State()
    state.snags["s"] = Snag("s", "FB-NR", "knot", NOW, "wren", "", "")
    now = moment(builder(), state=state)
    found = blocks(now, "FB-NR", now.shop.procedures["form-block"], step(tools=("no-such",)))
    assert [block.kind for block in found] == ["snag", "tool"]


def test_a_part_without_a_next_step_has_nothing_in_its_way() -> None:
    shop, _ = with_steps(brambling(), "form-block", step(tools=("no-such",)))
    assert texts(next_blocks(moment(builder(), shop=shop), "FB-NR")) == ["tool missing: no-such"]
    done = State(
        parts={"FB-NR": PartState("FB-NR", passes={"form-block": {"try": StepDone(NOW, "wren", "1")}})}
    )
    assert next_blocks(moment(builder(), shop=shop, state=done), "FB-NR") == []
    gone = State(
        parts={"FB-NR": PartState("FB-NR", passes={"form-block": {"gone": StepDone(NOW, "wren", "1")}})}
    )
    assert next_blocks(moment(builder(), shop=shop, state=gone), "FB-NR") == []


# What a part may be made from

SHEET = LotCheck(kind="lot", id="lot", ask="Which sheet?", of="sheet")


def _lot(**fields: object) -> Lot:
    return Lot.model_validate(
        {"mark": "SH-09", "of": "sheet", "name": "sheet", "alloy": "2024-T3", "thickness": ".025", **fields}
    )


def test_a_sheet_of_another_alloy_is_out_though_its_thickness_is_right() -> None:
    kind = brambling().kinds["nose-rib"]  # 2024-T3, .025
    assert lot_fits(_lot(), SHEET, kind)
    assert not lot_fits(_lot(alloy="6061-T6"), SHEET, kind)
    assert not lot_fits(_lot(alloy=None), SHEET, kind)
    assert not lot_fits(_lot(thickness=None), SHEET, kind)
    assert not lot_fits(_lot(of="block"), SHEET, kind)
    for thickness, fits in (
        (".0236", True),
        (".0264", True),
        (".0234", False),
        (".0266", False),
        (".032", False),
    ):
        assert lot_fits(_lot(thickness=thickness), SHEET, kind) is fits, thickness
    soft = replace(brambling(), lots={"SH-09": _lot(alloy="3003-H14"), "SH-01": brambling().lots["SH-01"]})
    assert lots_for(soft, SHEET, kind) == ("SH-01",)
    assert steps.judge(soft, SHEET, "NR-01", "sh-09") == (None, False)
    assert steps.judge(soft, SHEET, "NR-01", "sh-01") == (None, True)


def test_what_is_not_sheet_needs_no_alloy() -> None:
    kind = brambling().kinds["nose-rib"]
    primer = LotCheck(kind="lot", id="lot", ask="Which tin?", of="primer")
    assert lot_fits(_lot(of="primer", alloy=None, thickness=None), primer, kind)
    assert lot_fits(_lot(alloy="6061-T6"), SHEET, brambling().kinds["block-nose"])  # no alloy is asked for


def test_dates_are_those_of_the_house() -> None:
    assert moment(builder()).today == date(2027, 5, 8)
