"""What an undo may not do: give a limit that runs all its time again."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.apply import fold
from kiosk.record.belief import Doubt
from kiosk.record.events import Renamed, StepRenamed
from kiosk.record.rename import rename
from kiosk.record.rules.door import Refused
from kiosk.record.waits import seconds_left
from kiosk.shop.procedure import StepRef
from kiosk.views.alarms import alarms
from kiosk.views.clocks import told_clocks
from tests.conftest import SteadyClocks, local_time
from tests.record.moments import step, with_steps

MARK = "NR-01"
WIPE = {"what": "last wipe", "within": "40 min", "begin": "spray", "if_missed": "wipe every face once more"}


@pytest.mark.parametrize(
    ("seconds", "why"),
    [
        (30, ""),  # a press by mistake
        (230, ""),  # within a tenth of it
        (250, "last wipe runs on NR-01"),
        (2400, "last wipe runs on NR-01"),
        (2400.5, "last wipe ran out on NR-01"),
    ],
)
def test_the_end_of_a_step_is_taken_back_only_while_its_limit_has_hardly_begun(
    new_shop: Path, seconds: float, why: str
) -> None:
    clocks = SteadyClocks(local_time(2027, 5, 6, 12))
    bench = Bench(new_shop, clocks)
    bench.shop, _ = with_steps(bench.shop, "rib-blank", step(id="wipe", waits=[WIPE]), step(id="spray"))
    work = bench.start([MARK], "rib-blank", "wipe")
    bench.finish(work, MARK)
    [clock] = bench.state.part(MARK).clocks
    clocks.go(seconds / 60)
    entry = bench.undo_offer().entries
    if not why:
        assert len(entry) == 1
        bench.undo(entry[0].event)
        assert bench.state.part(MARK).clocks == () and work in bench.state.works
    else:
        assert entry == () and why in bench.undo_offer().told
        with pytest.raises(Refused, match=why):
            bench.undo(bench.state.undoables[-1].event)
        assert bench.state.part(MARK).clocks == (clock,)
    bench.close()


@pytest.mark.parametrize(("seconds", "may_be"), [(60, True), (60.5, False)])
def test_of_a_short_limit_a_minute_may_be_given_anew(new_shop: Path, seconds: float, may_be: bool) -> None:
    clocks = SteadyClocks(local_time(2027, 5, 6, 12))
    bench = Bench(new_shop, clocks)
    wipe = step(id="wipe", waits=[{**WIPE, "within": "5 min"}])
    bench.shop, _ = with_steps(bench.shop, "rib-blank", wipe, step(id="spray"))
    bench.finish(bench.start([MARK], "rib-blank", "wipe"), MARK)
    clocks.go(seconds / 60)
    assert bool(bench.undo_offer().entries) is may_be
    bench.close()


def test_what_came_after_a_limit_is_taken_back_while_it_runs(mixing: tuple[Bench, SteadyClocks, str]) -> None:
    """It gives the limit nothing anew."""
    bench, clocks, work = mixing
    bench.finish(work, MARK)
    clocks.go(45)
    bench.raise_snag(MARK, "a dent")
    take_back(bench)
    assert not bench.state.open_snags(MARK) and bench.state.part(MARK).clocks
    bench.finish(bench.start(["NR-02"], "rib-blank", "wash"), "NR-02")
    bench.finish(bench.start(["NR-02"], "rib-blank", "mix"), "NR-02")
    clocks.go(45)
    both = [bench.state.part(one).clocks for one in (MARK, "NR-02")]
    bench.join_batch([MARK, "NR-02"])
    entry = bench.undo_offer().entries[0]
    assert MARK in entry.parts
    bench.undo(entry.event)
    assert all(both) and [bench.state.part(one).clocks for one in (MARK, "NR-02")] == both


def test_a_limit_beside_a_wait_is_not_given_anew_either(new_shop: Path) -> None:
    clocks = SteadyClocks(local_time(2027, 5, 6, 12))
    bench = Bench(new_shop, clocks)
    drying = {"what": "drying", "must_pass": "90 min", "before": "spray"}
    bench.shop, _ = with_steps(
        bench.shop, "rib-blank", step(id="wipe", waits=[drying, WIPE]), step(id="spray")
    )
    bench.finish(bench.start([MARK], "rib-blank", "wipe"), MARK)
    assert [one.kind for one in bench.state.part(MARK).clocks] == ["must_pass", "within"]
    clocks.go(20)
    with pytest.raises(Refused, match="last wipe runs on NR-01"):
        bench.undo(bench.state.undoables[-1].event)
    bench.close()


def test_the_end_of_a_step_that_only_waits_is_taken_back_at_any_time(new_shop: Path) -> None:
    clocks = SteadyClocks(local_time(2027, 5, 6, 12))
    bench = Bench(new_shop, clocks)
    wait = {"what": "drying", "must_pass": "30 min", "before": "spray"}
    bench.shop, _ = with_steps(bench.shop, "rib-blank", step(id="wash", waits=[wait]), step(id="spray"))
    bench.finish(bench.start([MARK], "rib-blank", "wash"), MARK)
    clocks.go(60)
    bench.undo(bench.undo_offer().entries[0].event)
    assert bench.state.part(MARK).clocks == ()
    bench.close()


@pytest.mark.parametrize(("minutes", "why"), [(1, ""), (20, ""), (40, "last wipe ran out on NR-01")])
def test_a_step_put_back_by_mistake_is_in_hand_again_while_its_limit_runs(
    new_shop: Path, minutes: float, why: str
) -> None:
    """It was refused, with the advice to open the step before it again, which was well done."""
    clocks = SteadyClocks(local_time(2027, 5, 6, 12))
    bench = Bench(new_shop, clocks)
    bench.shop, _ = with_steps(bench.shop, "rib-blank", step(id="wipe", waits=[WIPE]), step(id="spray"))
    bench.finish(bench.start([MARK], "rib-blank", "wipe"), MARK)
    [clock] = bench.state.part(MARK).clocks
    clocks.go(5)
    work = bench.start([MARK], "rib-blank", "spray")
    clocks.go(2)
    bench.put_back(work)
    assert bench.state.part(MARK).clocks == (clock,)
    clocks.go(minutes)
    if why:
        with pytest.raises(Refused, match=why):
            bench.undo(bench.state.undoables[-1].event)
        assert bench.state.part(MARK).clocks == (clock,)
    else:
        bench.undo(bench.undo_offer().entries[0].event)
        assert bench.state.part(MARK).clocks == () and bench.work(work).status == "running"
        bench.put_back(work)
        assert bench.state.part(MARK).clocks == (clock,), "given no time"
    bench.close()


POT = {"what": "pot life", "within": "2 h", "begin": "spray", "if_missed": "discard it", "back_to": "mix"}


@pytest.fixture
def mixing(new_shop: Path) -> Iterator[tuple[Bench, SteadyClocks, str]]:
    """A part at the mixing of its primer, which is in hand."""
    clocks = SteadyClocks(local_time(2027, 5, 6, 12))
    bench = Bench(new_shop, clocks)
    steps = (step(id="wash"), step(id="mix", waits=[POT]), step(id="spray"))
    bench.shop, _ = with_steps(bench.shop, "rib-blank", *steps)
    bench.finish(bench.start([MARK], "rib-blank", "wash"), MARK)
    yield bench, clocks, bench.start([MARK], "rib-blank", "mix")
    bench.close()


def until(bench: Bench) -> datetime:
    """When the one clock on the part ends; the fold of the record says the same."""
    assert fold(bench.record.journal.after(0)) == bench.state
    [clock] = bench.state.part(MARK).clocks
    left_s = seconds_left(bench.context, clock)
    assert left_s is not None and bench.context.now + timedelta(seconds=left_s) == clock.until
    return clock.until


def take_back(bench: Bench) -> None:
    bench.undo(bench.undo_offer().entries[0].event)


def test_a_step_ended_again_goes_on_with_the_limit_of_the_end_taken_back(
    mixing: tuple[Bench, SteadyClocks, str],
) -> None:
    """DONE at 12:00, undone at 12:05, DONE again at 13:45 said "until 15:45"."""
    bench, clocks, work = mixing
    bench.finish(work, MARK)
    first = until(bench)
    clocks.go(5)
    take_back(bench)
    assert bench.state.part(MARK).clocks == ()
    clocks.go(100)
    bench.finish(work, MARK)
    assert until(bench) == first


def test_the_limit_is_told_and_called_out_while_its_step_is_in_hand_again(
    mixing: tuple[Bench, SteadyClocks, str],
) -> None:
    """It stood on no page and rang nowhere until the next DONE, when it had long run out."""
    bench, clocks, work = mixing
    bench.finish(work, MARK)
    clocks.go(5)
    take_back(bench)
    [told] = told_clocks(bench.context)
    assert told.marks == (MARK,) and told.left_s == 115 * 60 and not alarms(bench.context)
    clocks.go(100)
    assert [one.level for one in alarms(bench.context)] == ["near"]
    clocks.go(20)
    [alarm] = alarms(bench.context)
    assert alarm.level == "missed" and "discard it" in alarm.words
    view = bench.close_up_view()
    assert not view.too_late and view.may == (f"{MARK}: Try it",), "no answer is asked: it is in hand"
    doubted = replace(bench.context, boot="another", doubt=Doubt("changed", clocks.at, None))
    assert not told_clocks(doubted), "nobody can say how it stands before it is ended again"
    bench.put_back(work)  # nothing is mixed, as far as the record says
    assert not told_clocks(bench.context)


def test_no_number_of_undos_gives_a_limit_more_time(mixing: tuple[Bench, SteadyClocks, str]) -> None:
    """Each within a tenth of the limit, thirty of them held it at 120 min for 345."""
    bench, clocks, work = mixing
    bench.finish(work, MARK)
    first = until(bench)
    for minutes in (5, 5):
        clocks.go(minutes)
        take_back(bench)
        bench.finish(work, MARK)
        assert until(bench) == first
    clocks.go(5)
    with pytest.raises(Refused, match="pot life runs on NR-01"):
        bench.undo(bench.state.undoables[-1].event)


def test_nor_does_putting_the_step_back_and_beginning_it_anew(
    mixing: tuple[Bench, SteadyClocks, str],
) -> None:
    bench, clocks, work = mixing
    bench.finish(work, MARK)
    first = until(bench)
    clocks.go(5)
    take_back(bench)
    bench.put_back(work)
    clocks.go(20)
    bench.finish(bench.start([MARK], "rib-blank", "mix"), MARK)
    assert until(bench) == first


def test_nor_does_taking_back_its_beginning_too(new_shop: Path) -> None:
    clocks = SteadyClocks(local_time(2027, 5, 6, 12))
    bench = Bench(new_shop, clocks)
    bench.shop, _ = with_steps(bench.shop, "rib-blank", step(id="mix", waits=[POT]), step(id="spray"))
    bench.finish(bench.start([MARK], "rib-blank", "mix"), MARK)
    first = until(bench)
    clocks.go(5)
    take_back(bench)
    take_back(bench)
    assert not bench.state.works
    clocks.go(20)
    bench.finish(bench.start([MARK], "rib-blank", "mix"), MARK)
    assert until(bench) == first
    bench.close()


def test_what_is_begun_after_the_limit_ran_out_has_a_limit_of_its_own(
    mixing: tuple[Bench, SteadyClocks, str],
) -> None:
    """DONE was pressed by mistake and the step put back: the next day's mix is another."""
    bench, clocks, work = mixing
    bench.finish(work, MARK)
    clocks.go(5)
    take_back(bench)
    bench.put_back(work)
    clocks.go(20 * 60)
    bench.finish(bench.start([MARK], "rib-blank", "mix"), MARK)
    again = until(bench)
    assert again == bench.context.now + timedelta(hours=2)
    clocks.go(5)
    take_back(bench)
    clocks.go(20)
    bench.finish(bench.state.part(MARK).work or "", MARK)
    assert until(bench) == again


def test_a_step_reopened_with_a_reason_has_its_whole_limit(
    mixing: tuple[Bench, SteadyClocks, str],
) -> None:
    bench, clocks, work = mixing
    bench.finish(work, MARK)
    clocks.go(5)
    take_back(bench)
    bench.finish(work, MARK)
    clocks.go(60)
    bench.reopen(MARK, StepRef("rib-blank", "mix"), "mixed anew: it had set")
    bench.finish(bench.start([MARK], "rib-blank", "mix"), MARK)
    assert until(bench) == bench.context.now + timedelta(hours=2)


def test_minutes_read_anew_count_from_when_the_limit_began(new_shop: Path) -> None:
    """An end taken back to mend a mistyped pot life: 12 min, where the tin says 120."""
    clocks = SteadyClocks(local_time(2027, 5, 6, 12))
    bench = Bench(new_shop, clocks)
    check = {"id": "pot", "kind": "measure", "ask": "Pot life", "unit": "min", "low": "1", "high": "480"}
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="mix", checks=[check], waits=[{**POT, "from_check": "mix/pot"}]),
        step(id="spray"),
    )
    work = bench.start([MARK], "rib-blank", "mix")
    bench.answer(work, MARK, "pot", "12")
    bench.finish(work, MARK)
    began = bench.context.now
    assert until(bench) == began + timedelta(minutes=12)
    clocks.go(1)
    take_back(bench)
    bench.answer(work, MARK, "pot", "120")
    clocks.go(4)
    bench.finish(work, MARK)
    assert until(bench) == began + timedelta(minutes=120)
    bench.close()


def test_what_an_undone_limit_is_of_is_known_by_its_new_names(
    mixing: tuple[Bench, SteadyClocks, str],
) -> None:
    bench, _, work = mixing
    bench.finish(work, MARK)
    first = until(bench)
    take_back(bench)
    state = bench.state
    former = StepRenamed(procedure="rib-blank", former="mix", step="stir")
    rename(state, Renamed(procedures={}, steps=(former,), part_kinds={}, marks={MARK: "RN-01"}))
    [limit] = state.part("RN-01").undone_limits
    assert (limit.set_by, limit.until) == ("stir", first)


def test_an_undone_limit_is_doubted_with_the_clock_by_which_it_was_set(
    mixing: tuple[Bench, SteadyClocks, str],
) -> None:
    bench, clocks, work = mixing
    began = clocks.at
    clocks.at = began + timedelta(days=4)
    bench.mark_clock(right=True)  # which it was not
    bench.finish(work, MARK)
    take_back(bench)
    assert bench.state.part(MARK).undone_limits[0].believed
    clocks.at = began
    bench.mark_clock(right=True)
    [limit] = bench.state.part(MARK).undone_limits
    assert not limit.believed


def test_splitting_a_part_off_gives_the_pot_no_more_time(new_shop: Path) -> None:
    """What was split off was put back and begun anew, after the pot had run out: it had two hours again."""
    clocks = SteadyClocks(local_time(2027, 5, 6, 12))
    bench = Bench(new_shop, clocks)
    mix = step(id="mix", waits=[{**WIPE, "what": "pot life"}])
    bench.shop, _ = with_steps(bench.shop, "rib-blank", mix, step(id="spray"))
    work = bench.start([MARK, "NR-02"], "rib-blank", "mix")
    bench.finish(work, "NR-02")
    clocks.go(2)
    bench.undo(bench.undo_offer().entries[0].event)
    clocks.go(45)
    bench.split_batch(["NR-02"])
    bench.finish(bench.start(["NR-02"], "rib-blank", "mix"), "NR-02")
    [clock] = bench.state.part("NR-02").clocks
    assert (seconds_left(bench.context, clock) or 0) < 0
    bench.close()
