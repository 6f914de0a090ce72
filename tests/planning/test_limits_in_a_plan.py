"""What has a limit is planned so that the limit is met: nothing is started that could not be ended in time,
and what runs already is not left out, nor come to too late."""

from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.planning.choose.exact import choose
from kiosk.planning.choose.option import Option
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.limits import first_those_in_time, spoils_at
from tests.conftest import SteadyClocks, local_time
from tests.driver import do_step
from tests.planning.test_spare import leave_only
from tests.record.moments import step, with_steps

RIB = "NR-03"


def bench_of(new_shop: Path, clocks: SteadyClocks, *steps: object, marks: tuple[str, ...] = (RIB,)) -> Bench:
    """Ribs that go through these steps, and nothing else."""
    found = Bench(new_shop, clocks)
    found.shop, _ = with_steps(found.shop, "rib-blank", *steps)  # type: ignore[arg-type]
    leave_only(found, set(marks))
    return found


def offered(bench: Bench, minutes: int) -> list[tuple[tuple[str, ...], list[str]]]:
    answer = bench.spare(minutes)
    return [(one.marks, [step.id for _, step in one.stretch.steps]) for one in answer.suggestions]


def limit(minutes: int, **ends: str) -> dict[str, str]:
    return {"what": "clean metal", "within": f"{minutes} min", "if_missed": "Wash it again.", **ends}


def test_setting_up_counts_between_the_start_of_a_limit_and_its_end(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """Forty minutes of clean metal went on setting up the drill and the gun."""
    wash = step(id="wash", stop="between pieces", minutes={"each": 2}, waits=[limit(40, begin="prime")])
    fit = step(id="fit", stop="between pieces", minutes={"set_up": 20, "each": 5, "put_away": 1})
    prime = step(id="prime", stop="between pieces", minutes={"set_up": 20, "each": 3, "put_away": 1})
    bench = bench_of(new_shop, clocks, wash, fit, prime)
    assert offered(bench, 90) == []
    bench.shop, _ = with_steps(bench.shop, "rib-blank", wash, prime)
    assert offered(bench, 90) == [((RIB,), ["wash", "prime"])]
    dry = {"what": "drying", "must_pass": "25 min", "before": "prime"}
    washed = wash.model_copy(update={"waits": step(waits=[limit(40, begin="prime"), dry]).waits})
    bench.shop, _ = with_steps(bench.shop, "rib-blank", washed, prime)
    assert offered(bench, 90) == [((RIB,), ["wash", "prime"])]  # it is set up for while that dries


@pytest.mark.parametrize("stop", ["anywhere", "between pieces"])
@pytest.mark.parametrize("dries", [False, True])
def test_a_step_in_hand_that_starts_a_limit_is_planned_on_to_the_end_of_that(
    new_shop: Path, clocks: SteadyClocks, stop: str, dries: bool
) -> None:
    """Once it was begun it stood in no plan; put back, the same was offered."""
    waits = [limit(2 * 24 * 60, begin="prime")]
    waits += [{"what": "drying", "must_pass": "15 min", "before": "prime"}] if dries else []
    wash = step(id="wash", stop=stop, minutes={"each": 6}, waits=waits)
    prime = step(id="prime", stop="between pieces", minutes={"each": 3})
    bench = bench_of(new_shop, clocks, wash, prime)
    as_offered = [((RIB,), ["wash", "prime"])]
    assert offered(bench, 60) == as_offered
    work = bench.start([RIB], "rib-blank", "wash")
    clocks.go(3)
    assert offered(bench, 60) == as_offered
    bench.pause(work)
    assert offered(bench, 60) == as_offered
    assert offered(bench, 8) == []  # too short for both


def test_what_waits_already_begins_by_its_limit() -> None:
    """It was tested at the beginning of the slot, and done at its end."""
    dries = Option(5, 1000, ("prime",), start_by=20, waits=10, after=5)
    fits, fills = Option(30, 900, ("fit",)), Option(12, 100, ("file",))
    chosen = choose([[dries], [fits], [fills]], {}, 90)
    assert chosen.exact and chosen.options == {0: 0, 2: 0}
    assert choose([[dries], [fits], [fills]], {"prime": 21}, 90).options == {1: 0, 2: 0}
    assert choose([[dries], [fits], [fills]], {"prime": 20}, 90).options == {0: 0}


def test_a_plan_with_a_wait_leaves_the_minutes_to_put_away() -> None:
    planes = Option(21, 100, ("plane",), waits=30, after=21, away=(("plane", 9),))
    assert choose([[planes]], {"plane": 11}, 60).options == {0: 0}
    assert choose([[planes]], {"plane": 11}, 59).options == {}
    saws = Option(10, 50, ("saw",), away=(("saw", 4),))
    assert choose([[planes], [saws]], {"plane": 11, "saw": 6}, 63).options == {0: 0}
    assert choose([[planes], [saws]], {"plane": 11, "saw": 6}, 64).options == {0: 0, 1: 0}


def test_what_was_begun_under_a_limit_goes_on_after_its_wait(new_shop: Path, clocks: SteadyClocks) -> None:
    """Setting up for it counted before the wait that runs, and the wait before the work."""
    waits = [{"what": "drying", "must_pass": "15 min", "before": "rub"}, limit(40, finish="rub")]
    coat = step(id="coat", stop="anywhere", minutes={"each": 2}, waits=waits)
    rub = step(id="rub", stop="only when finished", minutes={"set_up": 9, "each": 16})
    bench = bench_of(new_shop, clocks, coat, rub)
    assert offered(bench, 60) == [((RIB,), ["coat", "rub"])]
    work = bench.start([RIB], "rib-blank", "coat")
    clocks.go(2)
    bench.finish(work, RIB)
    assert offered(bench, 58) == [((RIB,), ["rub"])]
    ahead = bench.spare(58).set_up_ahead
    assert ahead is not None and ahead.step.id == "rub"


@pytest.mark.parametrize("minutes", [20, 60, 90, 120])
def test_a_longer_slot_saves_no_fewer(new_shop: Path, clocks: SteadyClocks, minutes: int) -> None:
    """What came after the limit on the one was worth more than the other."""
    wash = step(id="wash", stop="between pieces", minutes={"each": 3}, waits=[limit(40, begin="prime")])
    prime = step(id="prime", stop="between pieces", minutes={"each": 3})
    fit = step(id="fit", stop="only when finished", minutes={"each": 45})
    ribs = (RIB, "NR-04")
    bench = bench_of(new_shop, clocks, wash, prime, fit, marks=ribs)
    for mark in ribs:
        work = bench.start([mark], "rib-blank", "wash")
        clocks.go(3)
        bench.finish(work, mark)
    clocks.go(20)
    assert {mark for marks, _ in offered(bench, minutes) for mark in marks} == set(ribs)


def test_a_helper_who_takes_the_last_parts_has_the_limits_of_those(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """Of two washed ribs the helper takes the second, and had the limit of the first."""
    wash = step(id="wash", stop="between pieces", minutes={"each": 2}, waits=[limit(60, begin="prime")])
    prime = step(id="prime", stop="between pieces", minutes={"each": 3})
    bench = bench_of(new_shop, clocks, wash, prime, marks=("NR-03", "NR-04"))
    for mark in ("NR-03", "NR-04"):
        do_step(bench, [mark])
        clocks.go(25)
    ends = {mark: spoils_at(bench.context, mark) for mark in ("NR-03", "NR-04")}
    assert ends["NR-03"] != ends["NR-04"]
    for from_end, mark in ((False, "NR-03"), (True, "NR-04")):
        (one,) = find_work(bench.context, 60, from_end=from_end).candidates
        place = next(at for at, option in enumerate(one.options) if option.pieces == 1)
        stretch = one.stretch(place, from_end=from_end)
        assert (stretch.marks, stretch.spoils_at) == ((mark,), ends[mark])
        left = (ends[mark] or clocks.at) - clocks.at
        assert one.options[place].start_by == int(left.total_seconds() / 60)


def test_each_of_a_batch_that_goes_in_turn_meets_its_limit(new_shop: Path, clocks: SteadyClocks) -> None:
    """The first of three met it, and the others waited their turn past it."""
    wash = step(id="wash", stop="between pieces", minutes={"each": 1}, waits=[limit(40, begin="prime")])
    prime = step(id="prime", stop="between pieces", minutes={"each": 18})
    ribs = ("NR-03", "NR-04", "NR-05")
    bench = bench_of(new_shop, clocks, wash, prime, marks=ribs)
    most = {len(marks) for marks, steps in offered(bench, 120) if steps == ["wash", "prime"]}
    assert most and max(most) < 3
    together = prime.model_copy(update={"batch": "together"})
    bench.shop, _ = with_steps(bench.shop, "rib-blank", wash, together)
    assert offered(bench, 120) == [(ribs, ["wash", "prime"])]  # all are begun at once


def test_of_washed_parts_the_last_has_to_begin_in_time_too(new_shop: Path, clocks: SteadyClocks) -> None:
    wash = step(id="wash", stop="between pieces", minutes={"each": 1}, waits=[limit(60, begin="prime")])
    prime = step(id="prime", stop="between pieces", minutes={"each": 18})
    ribs = ("NR-03", "NR-04")
    bench = bench_of(new_shop, clocks, wash, prime, marks=ribs)
    do_step(bench, list(ribs))
    clocks.go(10)
    (one,) = find_work(bench.context, 110).candidates
    begin_by = {option.pieces: option.start_by for option in one.options}
    assert begin_by[1] is not None and begin_by[2] is not None
    assert begin_by[1] - begin_by[2] >= 18


def washed_last_first(new_shop: Path, clocks: SteadyClocks, minutes: int) -> Bench:
    """Three ribs, each to be coated within forty minutes of its wash: the last of them was washed first, and
    the others so many minutes after it."""
    wash = step(id="wash", stop="between pieces", minutes={"each": 1}, waits=[limit(40, finish="prime")])
    prime = step(id="prime", stop="between pieces", minutes={"each": 8})
    bench = bench_of(new_shop, clocks, wash, prime, marks=("NR-03", "NR-04", "NR-05"))
    for mark in ("NR-05", "NR-04", "NR-03"):
        do_step(bench, [mark])
        clocks.go(minutes if mark == "NR-05" else 1)
    return bench


def test_of_parts_in_turn_each_is_finished_in_time_and_no_sooner(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """Every part was charged the minutes of all of them, and of three washed ones none was coated."""
    bench = washed_last_first(new_shop, clocks, 13)
    (one,) = find_work(bench.context, 90).candidates
    assert one.marks == ("NR-05", "NR-04", "NR-03")
    assert offered(bench, 90) == [(one.marks, ["prime"])]  # in 25, 38 and 39 minutes
    begun = bench.start(list(one.marks), "rib-blank", "prime")
    for mark in one.marks:
        clocks.go(8)
        assert all((ends := spoils_at(bench.context, each)) is None or ends > clocks.at for each in one.marks)
        bench.finish(begun, mark)


@pytest.mark.parametrize("from_end", [False, True])
def test_a_part_that_is_too_late_holds_up_no_other(
    new_shop: Path, clocks: SteadyClocks, from_end: bool
) -> None:
    """It stood first, as its limit came first, and the two that could be coated went to waste with it."""
    bench = washed_last_first(new_shop, clocks, 30)
    (one,) = find_work(bench.context, 90, from_end=from_end).candidates
    of_two = next(at for at, option in enumerate(one.options) if option.pieces == 2)
    assert set(one.stretch(of_two, from_end=from_end).marks) == {"NR-03", "NR-04"}
    assert max(option.pieces for option in one.options) == 2
    if not from_end:
        assert offered(bench, 90) == [(("NR-04", "NR-03"), ["prime"])]


def test_washed_to_be_finished_in_turn_as_many_as_can_be(new_shop: Path, clocks: SteadyClocks) -> None:
    """Three washed in 6, 12 and 18 minutes (here each takes a minute more than the procedure says) are coated
    in 24, 30 and 36: each 18 after it was washed."""
    ribs = ("NR-03", "NR-04", "NR-05")
    prime = step(id="prime", stop="between pieces", minutes={"each": 5})
    for within, most in ((18, 3), (17, 2), (11, 1), (5, None)):
        waits = [limit(within, finish="prime")]
        wash = step(id="wash", stop="between pieces", minutes={"each": 5}, waits=waits)
        bench = bench_of(new_shop, clocks, wash, prime, marks=ribs)
        found = find_work(bench.context, 110).candidates
        assert max((option.pieces for one in found for option in one.options), default=None) == most


def test_a_wait_is_over_when_the_door_says_so_and_no_blink_sooner(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """Its last four tenths of a microsecond were no minute: the coat was offered, and refused."""
    dry = {"what": "drying", "must_pass": "15 min", "before": "prime"}
    wash = step(id="wash", stop="between pieces", minutes={"each": 1}, waits=[dry])
    bench = bench_of(new_shop, clocks, wash, step(id="prime", minutes={"each": 5}))
    do_step(bench, [RIB])
    clocks.go(15 - 4e-7 / 60)
    for over in (False, True):
        (one,) = find_work(bench.context, 60).candidates
        assert [option.waits for option in one.options if option.pieces] == [0 if over else 1]
        clocks.go(4e-7 / 60 + 1 / 60)


@pytest.mark.parametrize("ends", ["begin", "finish"])
@pytest.mark.parametrize("minutes", [15, 25])
def test_what_can_be_left_is_begun_although_a_long_limit_runs(
    new_shop: Path, clocks: SteadyClocks, ends: str, minutes: int
) -> None:
    """Within two days a step of half an hour was offered in no shorter slot, and so to somebody never."""
    waits = [limit(2 * 24 * 60, **{ends: "coat"})]
    wash = step(id="wash", stop="between pieces", minutes={"each": 3}, waits=waits)
    coat = step(id="coat", stop="anywhere", minutes={"each": 30})
    bench = bench_of(new_shop, clocks, wash, coat)
    do_step(bench, [RIB])
    (one,) = bench.spare(minutes).suggestions
    assert one.marks == (RIB,) and one.stretch.minutes_left > 0
    clocks.go(2 * 24 * 60 - 40)
    # To be begun within 40 minutes it still may; to be finished by then there is no time for the rest of it.
    assert bool(bench.spare(minutes).suggestions) is (ends == "begin")


def test_as_many_are_coated_as_can_be_together(new_shop: Path, clocks: SteadyClocks) -> None:
    """The first part alone, or the three after it: the more parts, the longer the step before takes all."""
    wash = step(id="wash", stop="between pieces", minutes={"each": 1}, waits=[limit(60, begin="prime")])
    mask = step(id="mask", stop="between pieces", minutes={"each": 4})
    prime = step(id="prime", stop="between pieces", minutes={"each": 4})
    ribs = tuple(f"NR-{number:02}" for number in range(3, 7))
    bench = bench_of(new_shop, clocks, wash, mask, prime, marks=ribs)
    for mark, gone in zip(ribs, (40, 2, 2, 2), strict=True):
        do_step(bench, [mark])
        clocks.go(gone)
    steps = [(bench.shop.procedures["rib-blank"], one) for one in (mask, prime)]
    in_time, late = first_those_in_time(bench.context, ribs, steps, lambda *_: 4.0)
    assert (in_time, late) == (["NR-04", "NR-05", "NR-06"], ["NR-03"])
    assert first_those_in_time(bench.context, ribs[:1], steps, lambda *_: 4.0) == (["NR-03"], [])


@pytest.mark.parametrize("slot", [45, 60, 75])
def test_what_runs_out_elsewhere_is_met_beside_what_just_fails_before_quiet_hours(
    new_shop: Path, clocks: SteadyClocks, slot: int
) -> None:
    """A mix stood, its coat too long for the minutes till quiet hours; beside it only what has no limit was
    looked at, and the washed rib went to waste for a longer slot."""
    pot = {"what": "mix", "within": "4 h", "finish": "coat", "if_missed": "Mix afresh."}
    clocks.at = local_time(2027, 5, 8, 21, 46)  # quiet from ten on
    bench = Bench(new_shop, clocks)
    bench.shop, _ = with_steps(
        bench.shop,
        "form-block",
        step(id="mix", stop="go straight on", minutes={"each": 1}, waits=[pot]),
        step(
            id="coat", stop="only when finished", minutes={"set_up": 4, "each": 12}, conditions={"loud": True}
        ),
    )
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="wash", stop="between pieces", minutes={"each": 1}, waits=[limit(60, begin="prime")]),
        step(id="prime", stop="between pieces", minutes={"each": 8}),
    )
    leave_only(bench, {"FB-NR", RIB})
    do_step(bench, [RIB])
    do_step(bench, ["FB-NR"])
    first, *rest = bench.spare(slot).suggestions
    assert first.marks == ("FB-NR",)
    assert (RIB,) in [one.marks for one in rest]
