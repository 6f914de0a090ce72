"""Until when something can be begun, or has to be ended, before quiet hours: on the card and on the strip."""

import re
from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.last_moment import LastMoments, at_moment, begin_step_by, in_hand_by, matters_to
from kiosk.record.readiness import told_first
from kiosk.shop.procedure import StepRef
from kiosk.views.alarms import alarms
from kiosk.views.suggestion import suggestion_words
from tests.conftest import SteadyClocks, local_time
from tests.driver import do_step
from tests.planning.test_spare import leave_only
from tests.record.moments import step, with_steps
from tests.views.test_runs_out_first import RIBS, THURSDAY, mixed

FRIDAY = (2027, 5, 7)  # quiet from 22:00
SAYS = re.compile(r"(BEGIN|GO ON|END IT|END) BY (\d\d):(\d\d)\b")


def go_to(
    clocks: SteadyClocks, said: str, minutes_before: float, day: tuple[int, int, int] = THURSDAY
) -> None:
    """So many minutes before the time that is said."""
    found = SAYS.search(said)
    assert found is not None, said
    last = local_time(*day, int(found[2]), int(found[3]))
    clocks.go((last - clocks.at).total_seconds() / 60 - minutes_before)


def called(bench: Bench) -> list[tuple[str, str]]:
    return [(one.level, one.words) for one in alarms(bench.context) if "quiet hours" in one.words]


def test_ten_minutes_before_it_is_too_late_to_begin_it_is_called_out(new_shop: Path) -> None:
    """The card alone said so, to who stood in front of it: a mix of four and a half hours was lost at half
    past eight, and nothing rang."""
    bench, clocks = mixed(new_shop, (19, 30))
    by = bench.place_card().begin_by
    go_to(clocks, by, 10.5)
    assert called(bench) == []
    clocks.go(1)
    ((level, words),) = called(bench)
    assert level == "near" and words.startswith(by[: len("BEGIN BY 20:00")])
    assert words.endswith(", or quiet hours come first: NR-01, NR-02: Try it")
    clocks.go(9)
    assert called(bench) == [("last minute", words)]
    clocks.go(2)
    assert called(bench) == []  # it is lost, which the card says with what becomes of it
    assert bench.place_card().could_not_follow
    bench.close()


def test_what_is_in_hand_says_by_when_it_has_to_be_ended(new_shop: Path) -> None:
    bench, clocks = mixed(new_shop, (19, 30))
    begin = bench.place_card().begin_by
    work = bench.start(list(RIBS), "rib-blank", "strain")
    card = bench.place_card()
    said = SAYS.match(card.begin_by)
    assert said and card.begin_by.startswith("END IT BY ")
    why = suggestion_words(bench.spare(15).suggestions[0]).why  # it said when the mix spoils, past midnight
    assert why == f"it has to be ended by {said[2]}:{said[3]}, then quiet hours come first"
    go_to(clocks, begin, 0)  # a minute of straining is over by now, and one more can pass
    go_to(clocks, bench.place_card().begin_by, 4)
    ((level, words),) = called(bench)
    assert level == "near" and words.startswith("END BY ") and "NR-01, NR-02" in words
    assert not bench.could_not_follow(work)
    go_to(clocks, words, -1)
    assert called(bench) == []
    card = bench.place_card()  # it said nothing more of it until the step was ended
    assert card.begin_by.startswith("AHEAD: quiet hours from Thu 20:30 until Fri 08:00: coat")
    bench.pause(work)
    assert bench.could_not_follow(work) and called(bench) == []
    bench.close()


def test_what_is_paused_says_by_when_it_has_to_be_gone_on_with(new_shop: Path) -> None:
    bench, clocks = mixed(new_shop, (19, 30))
    work = bench.start(list(RIBS), "rib-blank", "strain")
    bench.pause(work)
    card = bench.place_card()
    assert card.begin_by.startswith("GO ON BY ")
    go_to(clocks, card.begin_by, 5)
    ((_, words),) = called(bench)
    assert words.startswith("GO ON BY ")
    bench.close()


def test_the_bell_rings_once_for_it_and_once_for_its_last_minute(new_shop: Path) -> None:
    bench, clocks = mixed(new_shop, (19, 30))
    go_to(clocks, bench.place_card().begin_by, 10)
    rung = set()
    for _ in range(22):
        rung |= {(one.about, one.level) for one in alarms(bench.context) if "quiet hours" in one.words}
        clocks.go(0.5)
    assert sorted(level for _, level in rung) == ["last minute", "near"]
    bench.close()


@pytest.mark.parametrize("at", [(15, 0), (20, 20)])
def test_far_from_quiet_hours_and_too_late_nothing_is_called_out(new_shop: Path, at: tuple[int, int]) -> None:
    bench, _ = mixed(new_shop, at)
    assert called(bench) == []
    bench.close()


def test_what_is_held_is_not_called_out(new_shop: Path) -> None:
    bench, clocks = mixed(new_shop, (19, 30))
    go_to(clocks, bench.place_card().begin_by, 5)
    assert called(bench)
    for mark in RIBS:
        bench.raise_snag(mark, "a scratch")
    assert called(bench) == []
    bench.close()


def test_it_is_asked_anew_with_each_entry_and_each_minute_alone(
    new_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The strip looks more than twice a second."""
    bench, clocks = mixed(new_shop, (19, 30))
    asked: list[int] = []
    monkeypatch.setattr("kiosk.record.last_moment.begin_step_by", lambda *_: asked.append(1))
    kept = LastMoments()
    for _ in range(50):
        kept.of(bench.context, 10)
    assert len(asked) == 1
    clocks.go(1)
    kept.of(bench.context, 10)
    assert len(asked) == 2
    do_step(bench, list(RIBS))
    kept.of(bench.context, 10)
    assert len(asked) > 2
    bench.close()


def loud(shop: Path, clocks: SteadyClocks, **wait: str) -> Bench:
    """A part that was wiped in 26 minutes, is read over and then coated, which is loud."""
    bench = Bench(shop, clocks)
    clean = {"what": "clean", "within": "4 h", "begin": "coat", "if_missed": "Wipe again."}
    bench.shop, _ = with_steps(
        bench.shop,
        "form-block",
        step(id="wipe", minutes={"each": "1"}, waits=[clean, *([wait] if wait else [])]),
        step(id="read", minutes={"each": "5"}),
        step(id="coat", stop="only when finished", minutes={"each": "6"}, conditions={"loud": True}),
    )
    leave_only(bench, {"FB-NR"})
    work = bench.start(["FB-NR"], "form-block", "wipe")
    clocks.go(26)
    bench.finish(work, "FB-NR")
    return bench


def test_it_is_said_under_a_limit_too_where_nothing_has_to_follow_at_once(new_shop: Path) -> None:
    """Two steps before the coat, clean metal had hours by its limit, and no line said otherwise."""
    clocks = SteadyClocks(local_time(*THURSDAY, 19, 0))
    bench = loud(new_shop, clocks)
    card = bench.place_card()
    assert card.step == "read" and card.begin_by.startswith("BEGIN BY 20:19 ")
    go_to(clocks, card.begin_by, 3)
    ((_, words),) = called(bench)
    assert words.startswith("BEGIN BY 20:19, ")
    clocks.go(4)
    assert "coat could not follow in time" in bench.place_card().could_not_follow
    bench.close()


def test_what_waits_is_told_before_its_wait_is_over(new_shop: Path) -> None:
    """A mix that stood until nine minutes before quiet hours was told as lost once it had stood."""
    clocks = SteadyClocks(local_time(*THURSDAY, 19, 0))
    bench = loud(new_shop, clocks, what="drying", must_pass="60 min", before="read")
    card = bench.place_card()
    assert card.blocked.startswith("drying until") and not card.begin_by
    assert "coat could not follow in time" in card.could_not_follow
    assert card.runs_out_first == ("RUNS OUT FIRST: clean, 23:26. Wipe again.",)
    bench.close()


def test_a_limit_that_ends_before_quiet_hours_is_called_out_by_itself(new_shop: Path) -> None:
    """The card said BEGIN BY 20:29 of a mix that was good until 20:25."""
    bench, clocks = mixed(new_shop, (19, 30), life="55 min")
    for _ in range(15):
        assert not bench.place_card().begin_by and called(bench) == []
        clocks.go(1)
    work = bench.start(list(RIBS), "rib-blank", "strain")
    for _ in range(20):
        assert in_hand_by(bench.context, bench.state.works[work]) is None and called(bench) == []
        clocks.go(1)
    bench.close()


def test_a_loud_step_in_hand_says_it_at_any_second(new_shop: Path) -> None:
    """It stood there at whole minutes alone."""
    bench, clocks = mixed(new_shop, (19, 30))
    do_step(bench, list(RIBS))
    bench.start(list(RIBS), "rib-blank", "coat")
    clocks.go(0.5)
    for _ in range(20):
        assert bench.place_card().begin_by.startswith("END IT BY 20:29 "), clocks.at
        clocks.go(1.3)
    bench.close()


def test_whoever_has_the_screen_is_told(new_shop: Path) -> None:
    """With a helper at the screen nothing rang, for the step was not theirs to begin."""
    bench, clocks = mixed(new_shop, (19, 30))
    go_to(clocks, bench.place_card().begin_by, 5)
    told = called(bench)
    bench.doer_id = "pip"
    assert told and called(bench) == told
    bench.close()


def test_the_bell_rings_again_on_another_evening(new_shop: Path) -> None:
    """What had rung once never rang again while the kiosk was open."""
    bench, clocks = mixed(new_shop, (19, 30))
    rung = []
    for day in (THURSDAY, FRIDAY):
        if day == FRIDAY:
            clocks.go_to(local_time(*day, 20, 30))
            for rib in RIBS:
                bench.reopen(rib, StepRef("rib-blank", "mix"), "nobody used it")
            do_step(bench, list(RIBS))
        go_to(clocks, bench.place_card().begin_by, 5, day)
        rung += [one.about for one in alarms(bench.context) if "quiet hours" in one.words]
    assert len(rung) == len(set(rung)) == 2
    bench.close()


@pytest.mark.parametrize("until", ["19:10", "20:00", "23:00"])
def test_it_is_the_last_minute_before_the_first_that_is_too_late(new_shop: Path, until: str) -> None:
    """Asked of each minute, for quiet hours that are over before the next step or not."""
    path = new_shop / "shop.yaml"
    text = path.read_text(encoding="utf-8")
    text = re.sub(r"quiet_hours:\n(?:  .*\n)+", "", text)
    days = "[mon, tue, wed, thu, fri, sat, sun]"
    path.write_text(
        f'{text}\nquiet_hours:\n  - {{days: {days}, start: "19:00", end: "{until}"}}\n', encoding="utf-8"
    )
    bench, _ = mixed(new_shop, (17, 30), life="100 min")
    where = bench.position("NR-01")
    assert where.procedure is not None and where.step is not None
    begun = bench.now
    lost = [
        any(
            stop.kind == "quiet"
            for stop in told_first(
                at_moment(bench.context, begun + timedelta(minutes=after)), RIBS, where.procedure, where.step
            )
        )
        for after in range(75)
    ]
    first = lost.index(True)
    assert first > 0
    found = begin_step_by(bench.context, RIBS, where.procedure, where.step)
    assert found == begun + timedelta(minutes=first - 1)
    bench.close()


def test_of_a_batch_that_is_done_one_by_one_it_is_the_moment_for_all_of_it(new_shop: Path) -> None:
    """The card had it for the one that comes next, four minutes after the strip."""
    clocks = SteadyClocks(local_time(*THURSDAY, 19, 0))
    bench = Bench(new_shop, clocks)
    clean = {"what": "clean", "within": "4 h", "begin": "coat", "if_missed": "Wipe again."}
    loud_coat = {"batch": "together", "minutes": {"each": 6}, "conditions": {"loud": True}}
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="wipe", batch="together", minutes={"each": 1}, waits=[clean]),
        step(id="read", batch="no", minutes={"each": 4}),
        step(id="coat", stop="only when finished", **loud_coat),
    )
    leave_only(bench, set(RIBS))
    do_step(bench, list(RIBS))
    card = bench.place_card()
    assert card.step == "read" and card.marks == RIBS[:1]
    go_to(clocks, card.begin_by, 5)
    ((_, words),) = called(bench)
    found, on_strip = SAYS.search(card.begin_by), SAYS.search(words)
    assert found is not None and on_strip is not None and found.groups() == on_strip.groups()
    bench.close()


@pytest.mark.parametrize(("held", "left"), [RIBS, RIBS[::-1]])
def test_of_parts_one_of_which_is_held_the_other_is_called_out(new_shop: Path, held: str, left: str) -> None:
    """With a snag on the first of them nothing was, and with one on the second both were named."""
    bench, clocks = mixed(new_shop, (19, 30))
    bench.raise_snag(held, "a scratch")
    go_to(clocks, bench.place_card().begin_by, 3)
    ((_, words),) = called(bench)
    assert f": {left}: " in words
    bench.close()


def test_what_nothing_presses_is_not_called_out(new_shop: Path) -> None:
    """A wait alone: the coat is sprayed another day."""
    clocks = SteadyClocks(local_time(*THURSDAY, 19, 30))
    bench = Bench(new_shop, clocks)
    dry = {"what": "drying", "must_pass": "5 min", "before": "coat"}
    bench.shop, procedure = with_steps(
        bench.shop,
        "form-block",
        step(id="wipe", minutes={"each": 1}, waits=[dry]),
        step(id="coat", stop="only when finished", minutes={"each": 6}, conditions={"loud": True}),
        step(id="tag", minutes={"each": 1}),
    )
    leave_only(bench, {"FB-NR"})
    do_step(bench, ["FB-NR"])
    for _ in range(60):
        assert called(bench) == []
        clocks.go(1)
    clocks.go_to(local_time(*FRIDAY, 20, 0))
    of_steps = [matters_to(bench.context, procedure, one) for one in procedure.steps]
    assert of_steps == [True, True, False]
    bench.close()
