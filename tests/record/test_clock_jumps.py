"""The wall clock jumps both ways, within a boot, across one, and from 1970: no wait is let go and none hangs.

A table says what a builder finds in each case, and whether the clock is believed. Whatever happens, nothing
that counts in days or hours uses a clock that is not.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.authority import is_adult
from kiosk.record.events import ClockMarked, RunStarted
from kiosk.record.readiness import Block, next_blocks, step_blocks
from kiosk.record.rules import Refused
from kiosk.record.waits import seconds_left
from kiosk.shop.shop import Person
from tests.conftest import SteadyClocks
from tests.record.moments import step, with_kinds, with_steps

CHILD = Person(id="pip", name="Pip", role="helper", born=date(2014, 1, 2))  # 13 at the moment of the tests
KINDS = ("block-nose", "block-main", "practice-panel")  # a shop of three parts: each case is forecast twice
PASSED = 5  # minutes of true time between setting a clock and looking

JUMPS = {
    "-10 y": timedelta(days=-3653),
    "-1 d": timedelta(days=-1),
    "-1 h": timedelta(hours=-1),
    "-5 min": timedelta(minutes=-5),
    "+5 min": timedelta(minutes=5),
    "+1 d": timedelta(days=1),
    "+10 y": timedelta(days=3653),
}
WAITS = {
    "a wait": {"what": "glue", "must_pass": "300", "before": "b"},
    "a pot life": {
        "what": "pot",
        "within": "120",
        "finish": "b",
        "if_missed": "Mix it again.",
        "back_to": "a",
    },
    "nothing": None,
}


@dataclass(frozen=True)
class Found:
    """What the next step says, the minutes left of its clock, and whether the wall clock is believed."""

    block: str | None
    left: float | None
    believed: bool


# Within a boot the monotonic clock knows: 295 of 300 minutes, 115 of 120, whatever the wall clock shows.
WITHIN = {
    "a wait": Found("wait", 295, False),
    "a pot life": Found(None, 115, False),
    "nothing": Found(None, None, False),
}
ASK = {
    "a wait": Found("look at clock", None, False),
    "a pot life": Found("look at clock", None, False),
    "nothing": Found(None, None, False),
}


def _by_wall(wait_left: float, limit_left: float) -> dict[str, Found]:
    """As the wall clock says, which nothing speaks against."""
    return {
        "a wait": Found("wait" if wait_left > 0 else None, wait_left, True),
        "a pot life": Found("late" if limit_left < 0 else None, limit_left, True),
        "nothing": Found(None, None, True),
    }


# A machine that was off for a day and one whose clock is a day ahead look alike, as five minutes do.
ACROSS = {
    "-10 y": ASK,
    "-1 d": ASK,
    "-1 h": ASK,
    "-5 min": _by_wall(300, 120),
    "+5 min": _by_wall(290, 110),
    "+1 d": _by_wall(295 - 1440, 115 - 1440),
    "+10 y": ASK,
}


@pytest.fixture
def clocks() -> SteadyClocks:
    return SteadyClocks()


@pytest.fixture
def bench(new_shop: Path, clocks: SteadyClocks) -> Iterator[Bench]:
    made = Bench(new_shop, clocks)
    yield made
    made.close()


def begun(bench: Bench, clocks: SteadyClocks, running: str) -> Bench:
    """A part whose first step is done and set the clock; the second comes next. The record has a history."""
    wait = WAITS[running]
    waits = [wait] if wait is not None else []
    steps = (step(id="a", waits=waits, minutes={"each": "5"}), step(id="b"), step(id="c"))
    bench.shop, _ = with_steps(with_kinds(bench.shop, *KINDS), "form-block", *steps)
    bench.note_conditions(68.0, 55.0)
    work = bench.start(["FB-NR"], "form-block", "a")
    clocks.go(5)
    bench.finish(work, "FB-NR")
    return bench


def again(bench: Bench, clocks: SteadyClocks, passed: float) -> Bench:
    """The machine was started again; so long it was off."""
    bench.close()
    clocks.go(passed)
    clocks.boot_id += "'"
    clocks.count_s = 20.0
    opened = Bench(bench.shop.folder, clocks)
    opened.shop = bench.shop
    return opened


def found(bench: Bench) -> Found:
    context = bench.context
    blocks = next_blocks(context, "FB-NR")
    running = context.state.part("FB-NR").clocks
    left = seconds_left(context, running[0]) if running else None
    return Found(
        blocks[0].kind if blocks else None,
        None if left is None else left / 60,
        context.doubt is None,
    )


def nothing_is_harmed(bench: Bench) -> None:
    """Everything that counts by days or hours can be asked, and what is not sure is not said."""
    context = bench.context
    assert not is_adult(context, CHILD) and CHILD.age(context.today) == 13
    loud = step(conditions={"loud": "yes"})
    kinds = {block.kind for block in step_blocks(context, loud)}
    assert ("wall clock" in kinds) == (context.doubt is not None)
    bench.back_test()
    for _, one in bench.forecasts(trials=4):
        assert one.days is None
    bench.write_logbook(trials=4)
    bench.spare(60)
    bench.board()
    bench.momentum_words(bench.place_card())
    bench.close_up_view()
    assert bool(bench.place_card().doubt) == (context.doubt is not None)
    assert all(text.count("min, until") <= 1 for text in bench.place_card().clocks)


@pytest.mark.parametrize("running", WAITS)
@pytest.mark.parametrize("jump", JUMPS)
def test_within_a_boot(bench: Bench, clocks: SteadyClocks, jump: str, running: str) -> None:
    begun(bench, clocks, running)
    clocks.go(PASSED)
    clocks.at += JUMPS[jump]
    assert found(bench) == WITHIN[running]
    doubt = bench.context.doubt
    assert doubt is not None and doubt.why == "changed"
    nothing_is_harmed(bench)
    clocks.go(300)
    after = {"a wait": None, "a pot life": "late", "nothing": None}
    assert found(bench).block == after[running]
    bench.note("under a wrong clock")
    told = [one.body for one in bench.record.journal.after(0) if isinstance(one.body, RunStarted)]
    assert [one.believed for one in told] == [True, False]


@pytest.mark.parametrize("running", WAITS)
@pytest.mark.parametrize("jump", JUMPS)
def test_across_a_reboot(bench: Bench, clocks: SteadyClocks, jump: str, running: str) -> None:
    begun(bench, clocks, running)
    bench = again(bench, clocks, PASSED)
    clocks.at += JUMPS[jump]
    bench.close()
    bench = again(bench, clocks, 0)
    assert found(bench) == ACROSS[jump][running]
    nothing_is_harmed(bench)
    bench.close()


@pytest.mark.parametrize("running", WAITS)
@pytest.mark.parametrize("jump", JUMPS)
def test_started_in_1970_and_set_later(bench: Bench, clocks: SteadyClocks, jump: str, running: str) -> None:
    begun(bench, clocks, running)
    bench = again(bench, clocks, PASSED - 1)
    true = clocks.at
    clocks.at = datetime(1970, 1, 1, 0, 0, 10, tzinfo=UTC)
    bench.close()
    bench = again(bench, clocks, 0)
    assert found(bench) == ASK[running]
    nothing_is_harmed(bench)
    clocks.go(1)
    clocks.at = true + timedelta(minutes=1) + JUMPS[jump]
    assert found(bench) == ASK[running]
    nothing_is_harmed(bench)
    if jump == "-10 y":
        with pytest.raises(Refused, match="is not right"):
            bench.mark_clock(right=True)
        bench.close()
        return
    bench.mark_clock(right=True)
    by_wall = {
        "a wait": Found("look at clock", None, True),
        "a pot life": Found("look at clock", None, True),
        "nothing": Found(None, None, True),
    }
    if jump not in ("-1 d", "-1 h"):  # else more would be left than there was: a person looks
        minutes = JUMPS[jump].total_seconds() / 60
        by_wall = _by_wall(295 - minutes, 115 - minutes)
    assert found(bench) == by_wall[running]
    marked = bench.record.journal.after(0)[-1].body
    assert isinstance(marked, ClockMarked) and marked.right
    bench.close()


@pytest.mark.parametrize("year", [1970, 2026 + 10, 2106, 9998])
def test_a_step_under_a_wrong_clock_bends_nothing_for_good(
    bench: Bench, clocks: SteadyClocks, year: int
) -> None:
    begun(bench, clocks, "a wait")
    assert list(bench.state.minutes_by_day) == ["2027-05-08"]
    right = clocks.at
    clocks.at = clocks.at.replace(year=year)
    clocks.go(301)
    work = bench.start(["FB-NR"], "form-block", "b")
    bench.note_conditions(90.0, 20.0)
    clocks.go(5)
    nothing_is_harmed(bench)
    bench.finish(work, "FB-NR")
    nothing_is_harmed(bench)
    clocks.at = right + timedelta(minutes=306)
    bench.mark_clock(right=True)
    assert bench.context.doubt is None and bench.context.today == date(2027, 5, 8)
    assert list(bench.state.minutes_by_day) == ["2027-05-08"]
    assert bench.state.minutes_by_day["2027-05-08"] == pytest.approx(5)
    nothing_is_harmed(bench)


@pytest.mark.parametrize("day", ["1970-02-08", "2106-02-08", "9998-12-31"])
def test_a_day_that_an_older_kiosk_recorded_wrong_is_let_go(
    bench: Bench, clocks: SteadyClocks, day: str
) -> None:
    """It said nothing of its clock: a date before the first kiosk is never counted, and one after a clock
    that somebody called right is counted no more."""
    begun(bench, clocks, "nothing")
    body = next(one.body for one in bench.record.journal.after(0) if one.body.kind == "step_finished")
    wrong = replace(body, day=day, active_s=600.0, work="an old one")
    bench.record.transact(lambda _: [wrong], by="wren", tap=None)
    assert ("1970-02-08" in bench.state.minutes_by_day) is False
    nothing_is_harmed(bench)
    clocks.at -= timedelta(minutes=3)
    bench.mark_clock(right=True)
    assert list(bench.state.minutes_by_day) == ["2027-05-08"]
    nothing_is_harmed(bench)


def test_a_wait_set_ten_years_ahead_is_asked_about_and_does_not_hang(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """It blocked for 87,672 hours."""
    clocks.at += timedelta(days=3653)
    bench = again(bench, clocks, 0)
    begun(bench, clocks, "a wait")
    bench = again(bench, clocks, PASSED)
    clocks.at -= timedelta(days=3653)
    bench.close()
    bench = again(bench, clocks, 0)
    assert found(bench) == ASK["a wait"]
    bench.mark_clock(right=True)
    assert found(bench) == Found("look at clock", None, True)
    for wrong in (-1.0, 301.0):
        with pytest.raises(Refused, match="cannot be left"):
            bench.look_at_clock(["FB-NR"], wrong)
    bench.look_at_clock(["FB-NR"], 120.0)
    assert found(bench) == Found("wait", 120, True)
    clocks.go(121)
    assert found(bench).block is None
    bench.close()


@pytest.mark.parametrize(("running", "after"), [("a wait", None), ("a pot life", "late")])
def test_a_person_who_looked_says_that_none_is_left(
    bench: Bench, clocks: SteadyClocks, running: str, after: str | None
) -> None:
    begun(bench, clocks, running)
    bench = again(bench, clocks, PASSED)
    clocks.at -= timedelta(days=9)
    bench.close()
    bench = again(bench, clocks, 0)
    with pytest.raises(Refused, match="the clock was changed: look"):
        bench.start(["FB-NR"], "form-block", "b")
    bench.look_at_clock(["FB-NR"], 0.0)
    assert [block.kind for block in next_blocks(bench.context, "FB-NR")] == ([after] if after else [])
    bench.close()


def test_a_reading_of_the_room_holds_by_the_monotonic_clock_alone(bench: Bench, clocks: SteadyClocks) -> None:
    """A reading from the future stayed fresh for ever."""
    air = step(conditions={"temperature_f": {"low": 50, "high": 90}})

    def stops() -> list[Block]:
        return step_blocks(bench.context, air)

    begun(bench, clocks, "nothing")
    clocks.at += timedelta(days=30)
    assert stops() == []
    clocks.go(241)
    assert [block.kind for block in stops()] == ["room air"]
    bench.note_conditions(70.0, 50.0)
    bench = again(bench, clocks, 0)
    assert [block.kind for block in stops()] == ["room air"]  # nobody knows how old it is
    bench.close()


def test_an_expiry_is_not_known_under_a_clock_that_is_not_believed(
    bench: Bench, clocks: SteadyClocks
) -> None:
    begun(bench, clocks, "nothing")
    primer = step(consumables=["primer-base"])
    assert step_blocks(bench.context, primer) == []
    clocks.at -= timedelta(days=700)
    (block,) = step_blocks(bench.context, primer)
    assert block.kind == "wall clock" and "nobody knows whether epoxy primer base" in block.text


@pytest.mark.parametrize("away", [59, 61])
def test_two_months_away_and_a_person_is_asked_once(bench: Bench, clocks: SteadyClocks, away: int) -> None:
    begun(bench, clocks, "nothing")
    bench = again(bench, clocks, away * 24 * 60)
    assert (bench.clock_to_ask() is None) == (away < 60)
    bench.clock_was_asked()
    assert bench.clock_to_ask() is None
    if away > 60:
        bench.mark_clock(right=True)
    assert bench.context.doubt is None
    clocks.at += timedelta(minutes=3)
    assert bench.clock_to_ask() is not None  # set again: asked again
    bench.close()


def test_a_time_server_that_sets_the_clock_by_seconds_is_believed(bench: Bench, clocks: SteadyClocks) -> None:
    begun(bench, clocks, "a wait")
    for seconds in (40, -75, 30):
        clocks.at += timedelta(seconds=seconds)
        clocks.go(1)
        bench.note("so far")
        assert bench.context.doubt is None


def test_a_clock_that_was_wrong_to_the_end_is_not_believed_in_the_next_boot(
    bench: Bench, clocks: SteadyClocks
) -> None:
    """Else the wait would be over: a day has passed by the wall clock that was set ahead."""
    begun(bench, clocks, "a wait")
    clocks.at += timedelta(days=1)
    bench.note("under a clock set a day ahead")
    bench = again(bench, clocks, PASSED)
    assert found(bench) == ASK["a wait"]
    bench.close()


def test_reading_commands_record_nothing(bench: Bench, clocks: SteadyClocks) -> None:
    begun(bench, clocks, "a wait")
    before = bench.state.seq
    bench = again(bench, clocks, 1)
    for _ in range(3):
        bench.place_card()
        bench.spare(30)
        bench.board()
    assert bench.state.seq == before and bench.record.journal.after(before) == []
    bench.note("now")
    kinds = [one.body.kind for one in bench.record.journal.after(before)]
    assert kinds == ["run_started", "sitting_opened", "note_written"] or kinds == [
        "run_started",
        "note_written",
    ]
    bench.note("and again")
    assert [one.body.kind for one in bench.record.journal.after(before)].count("run_started") == 1
    bench.close()
