"""The advice follows what was asked for, and what may not wait comes all the same.

The cases are those of a builder's evenings; no outside source.
"""

import random
from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.planning.likely_plan import best_plan
from kiosk.planning.plan import WANTED_CHANCE, Plan
from kiosk.planning.spare import SpareAnswer, spare
from kiosk.planning.work.find_work import find_work
from kiosk.planning.work.limits import spoils_at
from kiosk.planning.work.reaches import STEADY_CHANCE
from kiosk.record.context import Context
from kiosk.record.position import left_in_a_run
from kiosk.record.state import Wish
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.shop import Shop
from kiosk.views.preparing import not_now_words
from kiosk.views.suggestion import suggestion_words
from tests.conftest import SteadyClocks
from tests.driver import do_step
from tests.planning.test_random_shops import MONDAY_EVENING, random_state
from tests.planning.test_slots import mixed
from tests.planning.test_spare import leave_only
from tests.record.moments import step, with_steps


def marks(answer: SpareAnswer) -> list[str]:
    return [mark for one in answer.suggestions for mark in one.marks]


def why(answer: SpareAnswer, mark: str) -> str:
    return next(suggestion_words(one).why for one in answer.suggestions if mark in one.marks)


def test_the_part_asked_for_is_done_first_and_says_so(bench: Bench) -> None:
    before = bench.spare(30)
    assert "NR-07" not in marks(before)[:1]
    bench.ask_first("NR-07")
    answer = bench.spare(30)
    assert answer.suggestions[0].marks == ("NR-07",)
    assert why(answer, "NR-07") == "you asked for it"
    assert answer.total_minutes <= 30
    bench.take_back_wish(bench.asked_for()[0])
    assert [one.marks for one in bench.spare(30).suggestions] == [one.marks for one in before.suggestions]


def test_what_opens_a_kind_that_was_asked_for_comes_before_what_nobody_asked_for(bench: Bench) -> None:
    """Its first steps, and the form block that they will need; not the blocks of other ribs."""
    bench.ask_first(part_kind="trailing-rib")
    leave_only(bench, {"TR-01", "TR-02", "FB-TR", "FB-NR", "NR-01", "NR-02"})
    answer = bench.spare(90)
    assert answer.suggestions[0].marks[0].startswith("TR-") and "FB-TR" in marks(answer)
    assert why(answer, "FB-TR") == "what you asked for waits for it"
    while not bench.position("FB-TR").all_done:
        do_step(bench, ["FB-TR"])
        bench.record.clocks.go(60 * 24)  # type: ignore[attr-defined]
    bench.complete("FB-TR")
    bench.ask_not_today("TR-01")
    bench.ask_not_today("TR-02")
    assert not any("asked" in suggestion_words(one).why for one in bench.spare(45).suggestions)


def test_what_walks_in_one_batch_with_the_part_comes_with_it(bench: Bench) -> None:
    bench.join_batch(["NR-07", "NR-08"])
    bench.ask_first("NR-07")
    assert marks(bench.spare(45))[:2] == ["NR-07", "NR-08"]
    assert why(bench.spare(45), "NR-07") == "you asked for NR-07"


def test_of_a_part_that_cannot_go_on_it_is_told_what_stops_it_and_its_batch_was_not_asked_for(
    bench: Bench,
) -> None:
    """Both others of the batch came with "you asked for it", and of the part asked for nothing was said."""
    batch, dry = ["NR-01", "NR-02"], {"what": "ink drying", "must_pass": "60 min", "before": "cut"}
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="ink", minutes={"each": "4"}, stop="anywhere", waits=[dry]),
        step(id="cut", minutes={"each": "4"}, stop="anywhere"),
    )
    bench.join_batch(batch)
    do_step(bench, ["NR-01"])
    do_step(bench, ["NR-03"])  # waits for the same, and nobody asked for it
    bench.ask_first("NR-01")
    answer = bench.spare(12)
    assert why(answer, "NR-02") == "it goes with NR-01, which you asked for"
    told = [not_now_words(one) for one in answer.not_now]
    assert told[0].startswith("NR-01: ink drying until ")
    assert any(one.startswith("NR-03: ink drying until ") for one in told[1:])
    bench.raise_snag("NR-01", "A dent")
    bench.raise_snag("NR-03", "A scratch")
    told = [not_now_words(one) for one in bench.spare(12).not_now]
    assert told[0] == "NR-01 is held: A dent" and "NR-03 is held: A scratch" in told


def test_what_is_put_off_is_not_offered_until_tomorrow(bench: Bench, clocks: SteadyClocks) -> None:
    leave_only(bench, {"NR-01", "NR-02", "MR-01"})
    bench.ask_not_today(part_kind="nose-rib")
    answer = bench.spare(30)
    assert set(marks(answer)) == {"MR-01"}
    assert not any("NR" in one.marks[0] for one in (*answer.instead, *answer.helper_does))
    assert not any(mark.startswith("NR") for one in answer.not_now for mark in one.marks)
    bench.ask_first("NR-02")  # what is said of the part itself comes before what is said of its kind
    assert marks(bench.spare(30))[0] == "NR-02" and "NR-01" not in marks(bench.spare(30))
    clocks.go(60 * 24)
    assert {"NR-01", "NR-02"} <= {*marks(bench.spare(60))}


def test_what_is_wet_or_running_comes_all_the_same_and_says_why(bench: Bench, clocks: SteadyClocks) -> None:
    mixed(bench)
    do_step(bench, ["FB-NR"])  # it stands: it has to be sprayed within its pot life
    bench.ask_not_today("FB-NR")
    bench.ask_first("NR-01")
    clocks.go(30)
    answer = bench.spare(60)
    assert answer.suggestions[0].marks == ("FB-NR",)
    assert why(answer, "FB-NR").startswith("not today, you said, but it spoils after")
    (short, *_) = bench.spare(12).suggestions  # however short the slot is
    assert short.marks == ("FB-NR",)


def test_a_step_put_off_is_offered_while_its_clock_runs_and_not_once_it_is_paused(bench: Bench) -> None:
    leave_only(bench, {"NR-01", "MR-01"})
    where = bench.position("NR-01")
    assert where.procedure is not None and where.step is not None
    work = bench.start(["NR-01"], where.procedure.id, where.step.id)
    bench.ask_not_today("NR-01")
    answer = bench.spare(30)
    assert [one.work for one in answer.suggestions if "NR-01" in one.marks] == [work]
    assert why(answer, "NR-01") == "not today, you said, but it is begun already"
    bench.pause(work)
    assert set(marks(bench.spare(30))) == {"MR-01"}


def test_a_helper_who_asks_moves_their_own_share_alone(bench: Bench) -> None:
    leave_only(bench, {"NR-01", "NR-02", "MR-01", "MR-02"})
    builder_alone = [one.marks for one in bench.spare(30).suggestions]
    bench.come("odile")
    bench.hand_over("odile")
    bench.ask_first("MR-02")
    first = bench.spare(30).suggestions[0]
    assert first.marks == ("MR-02",) and suggestion_words(first).why == "it was asked for"
    bench.leave("odile")
    bench.hand_over("wren")
    assert [one.marks for one in bench.spare(30).suggestions] == builder_alone
    bench.come("odile")
    theirs = bench.spare(30).helper_does
    assert theirs and theirs[0].by == "odile" and theirs[0].marks == ("MR-02",)


@pytest.fixture(scope="module")
def shop() -> Shop:
    return load_shop(data_folder("scenarios") / "brambling")


def test_in_any_state_a_wish_breaks_neither_slot_nor_what_may_not_wait(shop: Shop) -> None:
    random_numbers = random.Random(11)
    followed = put_off = must = 0
    for number in range(10):
        now = MONDAY_EVENING - timedelta(minutes=random_numbers.randint(20, 300))
        state = random_state(shop, random_numbers, now)
        minutes = random_numbers.randint(10, 90)
        if number % 2:  # nothing presses: what was asked for is not crowded out
            state.parts = {
                mark: part
                for mark, part in state.parts.items()
                if not part.clocks and not left_in_a_run(shop, part)
            }
        wren = shop.people["wren"]
        plain = Context(shop, state, now, 0.0, "", [wren], wren)
        before = spare(plain, minutes)
        others = [one.marks[0] for one in before.instead]
        open_parts = [mark for mark in shop.parts if not state.part(mark).completed_at]
        first = random_numbers.choice(others or open_parts)
        kinds = {shop.parts[mark].kind for mark in marks(before) or open_parts}
        kind = random_numbers.choice(sorted(kinds - {shop.parts[first].kind}) or ["spar-joint"])
        day = plain.day
        state.wishes = (Wish("wren", "first", first), Wish("wren", "not today", part_kind=kind, day=day))
        asked = Context(shop, state, now, 0.0, "", [wren], wren)
        after = spare(asked, minutes)
        cannot_wait = {
            mark
            for mark, part in state.parts.items()
            if left_in_a_run(shop, part) or spoils_at(plain, mark) is not None
        }
        run = {mark for mark, part in state.parts.items() if left_in_a_run(shop, part)}
        assert after.total_minutes <= minutes or set(marks(after)) & run
        assert bool(set(marks(before)) & run) == bool(set(marks(after)) & run)
        assert len(set(marks(after)) & cannot_wait) >= min(1, len(set(marks(before)) & cannot_wait))
        of_kind = {mark for mark in marks(after) if shop.parts[mark].kind == kind}
        assert of_kind <= cannot_wait
        must += bool(set(marks(after)) & cannot_wait)
        put_off += any(shop.parts[mark].kind == kind for mark in marks(before)) and not of_kind
        followed += first in marks(after) and first not in marks(before)
        if after.suggestions and not set(marks(after)) & run:
            assert after.chance >= WANTED_CHANCE - 0.05 or after.chance >= before.chance - 0.05
    assert followed and must and put_off, (followed, must, put_off)


def test_the_chance_is_higher_where_what_can_be_left_goes_first(bench: Bench) -> None:
    """What was asked for is done first; so what has to come to an end after it has to fit surely."""
    steps = {
        "easy": {"id": "file", "stop": "anywhere", "minutes": {"each": "6"}},
        "steady": {"id": "rivet", "stop": "only when finished", "minutes": {"each": "6"}},
    }
    bench.shop, _ = with_steps(bench.shop, "form-block", step(**steps["easy"]))
    bench.shop, _ = with_steps(bench.shop, "rib-blank", step(**steps["steady"]))
    leave_only(bench, {"FB-NR", "NR-01"})
    found = find_work(bench.context, 60)
    both = Plan(found, best_plan(found, 60).chosen)
    assert [one.marks for one in both.stretches] == [("NR-01",), ("FB-NR",)]
    assert both.wanted_chance == WANTED_CHANCE
    bench.ask_first("FB-NR")
    found = find_work(bench.context, 60)
    both = Plan(found, best_plan(found, 60).chosen)
    assert [one.marks for one in both.stretches] == [("FB-NR",), ("NR-01",)]
    assert both.wanted_chance == STEADY_CHANCE


def test_a_helpers_hands_are_shown_that_it_was_asked_for(new_shop: Path) -> None:
    bench = Bench(new_shop, SteadyClocks())
    bench.ask_first("NR-03")
    bench.come("pip")
    bench.hand_over("pip")
    said = [suggestion_words(one).why for one in bench.spare(30).suggestions if "NR-03" in one.marks]
    assert said in ([], ["it was asked for"])
    bench.close()
