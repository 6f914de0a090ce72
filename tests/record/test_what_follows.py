"""A step is not begun where what has to follow it in time could not: no clock starts that cannot be met.

The times are those of the procedure here: 10 min to mix, 30 min to stand, 2 min to strain.
"""

import math
from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from kiosk.planning.spare import spare
from kiosk.record.belief import Doubt
from kiosk.record.context import Context
from kiosk.record.readiness import blocks, in_hand_could_not_follow, run_blocks, told_first
from kiosk.record.rules import Refused, steps
from kiosk.record.state import DoneSince, PartState, Piece, PieceTime, State, StepDone, Timed, Times, Work
from kiosk.shop.procedure import Procedure, Step, StepRef
from kiosk.shop.shop import Consumable, QuietHours, Shop, Tool
from kiosk.views.board import board
from tests.conftest import local_time
from tests.record.moments import brambling, builder, helper, moment, step, with_kinds, with_steps

MARK = "FB-NR"
QUIET = QuietHours(start=time(22), end=time(8), days=("thu", "fri"))


def _standing(minutes: int) -> dict[str, object]:
    return {"what": "mix standing", "must_pass": f"{minutes} min", "before": "strain"}


def _within(limit: str, **names: str) -> dict[str, object]:
    return {"what": "pot life", "within": limit, "if_missed": "mix afresh", **names}


def _minutes(each: str, set_up: str = "0") -> dict[str, str]:
    return {"set_up": set_up, "each": each}


def mixed(limit: str = "6 h", *, standing: int = 30, **of_mix: object) -> list[Step]:
    """Mix, strain, spray (loud), clean: what cannot be left, and one that can after it."""
    run = {"stop": "go straight on", "family": "spray"}
    mix = {
        "minutes": _minutes("2", "8"),
        "waits": [_standing(standing), _within(limit, finish="spray")],
        **run,
        **of_mix,
    }
    return [
        step(id="mix", **mix),
        step(id="strain", minutes=_minutes("2", "8"), **run),
        step(id="spray", conditions={"loud": True}, minutes=_minutes("4"), tools=("gun",), **run),
        step(id="clean", minutes=_minutes("5"), consumables=("thinner",)),
        step(id="look", tools=("lens",)),
    ]


def dried(limit: str, **names: str) -> Step:
    return step(id="dry", stop="only when finished", minutes=_minutes("1"), waits=[_within(limit, **names)])


def shop_of(*of: Step, gun: int = 1, thinner: float = 1, quiet: bool = True) -> tuple[Shop, Procedure]:
    tin = Consumable.model_validate({"id": "thinner", "name": "thinner", "unit": "can", "left": thinner})
    base = brambling()
    shop = replace(
        with_kinds(base, "block-nose"),
        tools={"gun": Tool(id="gun", name="spray gun", have=gun)},
        consumables={"thinner": tin},
        file=base.file.model_copy(update={"quiet_hours": (QUIET,) if quiet else ()}),
    )
    return with_steps(shop, "form-block", *of)


def at(
    now: datetime, *of: Step, state: State | None = None, gun: int = 1, thinner: float = 1, quiet: bool = True
) -> tuple[Context, Procedure]:
    shop, procedure = shop_of(*of, gun=gun, thinner=thinner, quiet=quiet)
    return moment(builder(), shop=shop, state=state, now=now), procedure


def thursday(hour: int, minute: int = 0) -> datetime:
    return local_time(2027, 5, 6, hour, minute)


def stops(now: datetime, *of: Step, number: int = 0, state: State | None = None, **shop: object) -> list[str]:
    context, procedure = at(now, *of, state=state, **shop)  # type: ignore[arg-type]
    return [one.text for one in run_blocks(context, [MARK], procedure, procedure.steps[number])]


QUIET_TO_COME = "quiet hours from Thu 22:00 until Fri 08:00: spray could not follow in time"
QUIET_FIRST = "quiet hours until Fri 08:00: spray could not follow in time"


@pytest.mark.parametrize(
    ("now", "wanted"),
    [
        (thursday(21, 17), []),  # 21:59: mixed at 21:27, stood until 21:57, strained
        (thursday(21, 18), [QUIET_TO_COME]),
        (thursday(23, 58), [QUIET_FIRST]),
        (local_time(2027, 5, 7, 7, 17), [QUIET_FIRST]),
        (local_time(2027, 5, 7, 7, 18), []),
        (thursday(12), []),
    ],
)
def test_nothing_is_mixed_whose_coat_would_come_in_quiet_hours(now: datetime, wanted: list[str]) -> None:
    assert stops(now, *mixed()) == wanted
    assert stops(now, *mixed("24 h")) == wanted  # what goes straight on does not stand the night
    assert stops(now, *mixed(), quiet=False) == []


def test_the_door_the_board_and_minutes_say_so() -> None:
    context, procedure = at(thursday(23, 58), *mixed())
    assert [one.text for one in blocks(context, MARK, procedure, procedure.steps[0])] == [QUIET_FIRST]
    with pytest.raises(Refused, match="quiet hours until Fri 08:00: spray could not follow in time"):
        steps.begin(context, [MARK], StepRef("form-block", "mix"))
    row = next(row for row in board(context) if row.mark == MARK)
    assert (row.state_word, row.reason) == ("WAITS", QUIET_FIRST)
    answer = spare(context, 60)
    assert not any(MARK in one.marks for one in answer.suggestions)
    assert [one.block.text for one in answer.not_now if MARK in one.marks] == [QUIET_FIRST]
    in_time, _ = at(thursday(20), *mixed())
    assert steps.begin(in_time, [MARK], StepRef("form-block", "mix"))


def test_what_is_missing_for_what_must_follow_is_missed_before_the_beginning() -> None:
    noon = thursday(12)
    assert stops(noon, *mixed(), gun=0) == ["tool missing: spray gun: spray could not follow in time"]
    assert stops(noon, *mixed(), thinner=0) == ["used up: thinner: clean could not follow in time"]
    assert stops(noon, *mixed()) == []  # the lens is for what may wait


def test_what_leads_to_a_step_for_two_is_not_begun_by_one_and_minutes_says_so() -> None:
    """Mixed primer that two have to lift is not left standing for want of the second pair of hands."""
    lifted = [one.model_copy(update={"hazards": ("LIFT",)}) if one.id == "spray" else one for one in mixed()]
    shop, procedure = shop_of(*lifted, quiet=False)
    alone = moment(builder(), shop=shop, now=thursday(12))
    why = "lifting long parts takes 2 people of 16 and over at the bench: spray could not follow in time"
    assert [one.text for one in blocks(alone, MARK, procedure, procedure.steps[0])] == [why]
    assert [one.block.text for one in spare(alone, 60).not_now if MARK in one.marks] == [why]
    child = helper(born=date(2014, 5, 5))
    assert run_blocks(moment(builder(), child, shop=shop, now=thursday(12)), [MARK], procedure, lifted[0])
    two = moment(builder(), helper(), shop=shop, now=thursday(12))
    assert blocks(two, MARK, procedure, procedure.steps[0]) == []


def test_what_may_be_left_is_begun_whatever_the_hour() -> None:
    loose = mixed(stop="anywhere", waits=[_standing(30)])
    assert stops(thursday(23, 58), *loose) == []
    assert stops(thursday(23, 58), *loose, gun=0, thinner=0) == []


@pytest.mark.parametrize(
    ("limit", "ends", "wanted"),
    [
        # Dried at 00:00, mixed and stood and strained long before eight; four minutes of spraying.
        ("480 min", "begin", []),
        ("479 min", "begin", [QUIET_FIRST]),
        ("484 min", "finish", []),
        ("483 min", "finish", [QUIET_FIRST]),
        ("3 days", "finish", []),
    ],
)
def test_a_limit_counts_over_quiet_hours_where_the_work_may_be_left(
    limit: str, ends: str, wanted: list[str]
) -> None:
    wash = step(id="wash", stop="go straight on", minutes=_minutes("1"))
    dry = dried(limit, **{ends: "spray"})
    assert stops(thursday(23, 58), wash, dry, *mixed()) == wanted
    assert stops(thursday(23, 59), wash, dry, *mixed(), number=1) == wanted


def test_a_limit_that_hands_alone_would_miss_is_theirs_to_meet() -> None:
    dry = dried("5 min", begin="spray")
    assert stops(thursday(12), dry, *mixed()) == []


def test_a_long_limit_is_not_held_to_what_is_missing_today() -> None:
    missing = ["tool missing: spray gun: spray could not follow in time"]
    assert stops(thursday(12), dried("8 h", begin="spray"), *mixed(), gun=0) == missing
    assert stops(thursday(12), dried("3 days", begin="spray"), *mixed(), gun=0) == []


@pytest.mark.parametrize(
    ("batch", "minutes", "fit"),
    [
        # All at one step, 2 min each to mix and to strain: a second part brings the coat 4 min later.
        ("together", 43 + 4, 2),
        ("together", 43 + 3, 1),
        # In turn the last is mixed 2 min later each; while it stands, the others are strained and sprayed.
        ("in turn", 43 + 4, 3),
        ("in turn", 43 + 3, 2),
        ("in turn", 43 + 1, 1),
    ],
)
def test_more_parts_come_to_the_coat_later(batch: str, minutes: int, fit: int) -> None:
    of = [one.model_copy(update={"batch": batch}) for one in mixed()]
    context, procedure = at(thursday(22) - timedelta(minutes=minutes), *of)
    found = [run_blocks(context, [MARK] * count, procedure, procedure.steps[0]) == [] for count in (1, 2, 3)]
    assert found == [count <= fit for count in (1, 2, 3)]


def test_what_stands_in_the_run_already_goes_on_as_far_as_it_can() -> None:
    done = {"form-block": {"mix": StepDone(by="wren", at=thursday(21), revision="1")}}
    state = State(parts={MARK: PartState(MARK, passes=done)})
    assert stops(thursday(23), *mixed(), number=1, state=state) == []
    assert stops(thursday(23), *mixed(), number=1) == [QUIET_FIRST]


def test_on_a_clock_that_is_not_believed_nothing_loud_can_follow() -> None:
    context, procedure = at(thursday(12), *mixed())
    doubted = replace(context, doubt=Doubt("changed", context.now, None))
    found = run_blocks(doubted, [MARK], procedure, procedure.steps[0])
    assert [one.kind for one in found] == ["wall clock"]


def _timed(minutes: float, step_id: str, person: str = "wren") -> dict[Timed, Times]:
    """So many minutes, often enough that the estimate counts for little."""
    y = math.log(minutes)
    of = PieceTime(StepRef("form-block", step_id), person)
    return {of: Times(100, sum_y=100 * y, sum_yy=100 * y * y, weight=100.0)}


def test_whoever_is_quicker_than_the_procedure_may_begin_later() -> None:
    of = mixed(minutes=_minutes("10", "8"))  # by the procedure: 18 min to mix, 30 to stand, 2 to strain
    assert stops(thursday(21, 9), *of) == []
    assert stops(thursday(21, 10), *of) == [QUIET_TO_COME]
    quick = State(times=_timed(4, "mix"))
    assert stops(thursday(21, 15), *of, state=quick) == []
    assert stops(thursday(21, 17), *of, state=quick) == [QUIET_TO_COME]
    slow = State(times=_timed(40, "mix"))
    assert stops(thursday(21, 9), *of, state=slow) == []  # it may go well once


def test_the_quickest_at_the_bench_counts() -> None:
    state = State(times=_timed(4, "mix", helper().id))
    of = mixed(minutes=_minutes("10", "8"))
    context, procedure = at(thursday(21, 15), *of, state=state)
    assert run_blocks(context, [MARK], procedure, procedure.steps[0])
    both = replace(context, people=(*context.people, helper()))
    assert run_blocks(both, [MARK], procedure, procedure.steps[0]) == []


def test_what_is_out_on_the_bench_is_not_set_up_again() -> None:
    state = State(done_since=(DoneSince(StepRef("form-block", "mix"), MARK, "e1"),))
    assert stops(thursday(21, 25), *mixed(), state=state) == []
    assert stops(thursday(21, 26), *mixed(), state=state) == [QUIET_TO_COME]


def test_of_a_part_alone_a_step_is_begun_with_its_setting_up() -> None:
    """Mixed at 21:52 at the soonest, and the gun is set up from then on: that is not after 22:00."""
    mix = step(
        id="mix", stop="go straight on", minutes=_minutes("2"), waits=[_within("5 min", begin="spray")]
    )
    spray = step(id="spray", conditions={"loud": True}, minutes=_minutes("4", "12"))
    assert stops(thursday(21, 50), mix, spray) == []
    assert stops(thursday(21, 59), mix, spray) == [QUIET_TO_COME]


def test_a_step_in_hand_says_what_could_not_follow_and_nothing_once_the_files_have_it_no_more() -> None:
    context, procedure = at(thursday(23, 58), *mixed())
    work = Work("w", procedure.id, "1", "mix", "wren", (Piece(MARK),), MARK, thursday(23, 50), "paused")
    assert [one.text for one in in_hand_could_not_follow(context, work)] == [QUIET_FIRST]
    # Both minutes of the piece are over, to the second: 8 to set up are left, 30 to stand, 2 to strain and 4
    # to spray, which are to be over by then: it is told, though nothing is refused that only begins in time.
    nearly = replace(work, active_s=120.0)
    for second, told in ((0, []), (1, [QUIET_TO_COME])):
        later, _ = at(thursday(21, 16) + timedelta(seconds=second), *mixed())
        assert [one.text for one in in_hand_could_not_follow(later, nearly)] == told
    for gone in (
        replace(work, step="stir"),
        replace(work, procedure="form-blocks"),
        replace(work, pieces=(Piece("FB-99"), Piece(MARK))),
    ):
        assert in_hand_could_not_follow(context, gone) == []


def test_what_the_label_said_counts_and_not_what_is_usual() -> None:
    """Read at the bench before: the mix stands ten minutes, and is usable for an hour."""
    minutes = {"kind": "measure", "unit": "min", "low": "1", "high": "1500"}
    label = step(
        id="label", checks=[{"id": one, "ask": f"Minutes to {one}", **minutes} for one in ("stand", "use")]
    )
    of = mixed(
        waits=[
            {**_standing(30), "from_check": "label/stand"},
            {**_within("6 h", begin="spray"), "from_check": "label/use"},
        ]
    )
    read = {StepRef("form-block", "label"): {"stand": 10.0, "use": 60.0}}
    state = State(parts={MARK: PartState(MARK, measured=read)})
    assert stops(thursday(21, 18), label, *of, number=1) == [QUIET_TO_COME]
    assert stops(thursday(21, 37), label, *of, number=1, state=state) == []
    assert stops(thursday(21, 38), label, *of, number=1, state=state) == [QUIET_TO_COME]
    dry = step(
        id="dry",
        stop="only when finished",
        minutes=_minutes("1"),
        waits=[{**_within("24 h", begin="spray"), "from_check": "label/use"}],
    )
    assert stops(thursday(23), label, dry, *mixed(), number=1) == []  # a day is long enough
    assert stops(thursday(23), label, dry, *mixed(), number=1, state=state) == [QUIET_FIRST]


@pytest.mark.parametrize(("minutes", "wanted"), [(45, []), (44, [QUIET_TO_COME])])
def test_the_last_of_many_comes_to_the_coat_once_all_others_have_theirs(
    minutes: int, wanted: list[str]
) -> None:
    """Five in turn, mixed for a minute: 18 min to mix, 10 to strain and 16 to spray the four before it."""
    context, procedure = at(thursday(22) - timedelta(minutes=minutes), *mixed(standing=1))
    assert [one.text for one in run_blocks(context, [MARK] * 5, procedure, procedure.steps[0])] == wanted


@pytest.mark.parametrize(
    ("now", "stop", "quiet", "wanted"),
    [
        (thursday(21, 40), "only when finished", True, []),
        (
            thursday(21, 41),
            "only when finished",
            True,
            ["from Thu 22:00 until Fri 08:00: saw would run into them"],
        ),
        (thursday(21, 41), "between pieces", True, []),
        (thursday(21, 41), "only when finished", False, []),
        (thursday(22), "between pieces", True, ["until Fri 08:00"]),
    ],
)
def test_a_loud_step_that_is_not_left_half_way_says_that_it_would_run_into_quiet_hours(
    now: datetime, stop: str, quiet: bool, wanted: list[str]
) -> None:
    saw = step(id="saw", stop=stop, conditions={"loud": True}, minutes=_minutes("20"))
    context, procedure = at(now, saw, quiet=quiet)
    told = [one.text for one in told_first(context, [MARK], procedure, procedure.steps[0])]
    assert told == [f"quiet hours {when}" for when in wanted]
