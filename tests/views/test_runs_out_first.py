"""What runs out before a step can go on, and what is done with it then, is said before anything is poured.

That leftover mix heats in a pot and is spread thin outdoors: common practice, no source."""

import re
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.planning.put_away import put_away
from kiosk.views.suggestion import suggestion_words
from kiosk.views.text import place_card_text, spare_text
from tests.conftest import SteadyClocks, local_time
from tests.driver import do_step
from tests.planning.test_spare import leave_only
from tests.record.moments import step, with_steps

THURSDAY = (2027, 5, 6)  # quiet from 20:30 to 08:00
RIBS = ("NR-01", "NR-02")
OUTDOORS = "Spread it thin outdoors, and mix afresh."


def mixed(shop: Path, at: tuple[int, int], life: str = "4 h") -> tuple[Bench, SteadyClocks]:
    """Two ribs with a mix for them, which is strained before the loud coat; it was mixed 20 minutes ago."""
    clocks = SteadyClocks(local_time(*THURSDAY, *at))
    bench = Bench(shop, clocks)
    pot = {"what": "mixed primer", "within": life, "finish": "coat", "if_missed": OUTDOORS}
    wipe = {"what": "last wipe", "within": "3 h", "begin": "strain", "if_missed": "Wipe again."}
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="mix", batch="together", minutes={"each": "1"}, stop="go straight on", waits=[pot, wipe]),
        step(id="strain", batch="together", minutes={"each": "1"}, stop="go straight on"),
        step(
            id="coat",
            batch="together",
            stop="only when finished",
            minutes={"set_up": "4", "each": "6"},
            conditions={"loud": True},
        ),
        step(id="tag", stop="anywhere", minutes={"each": "5"}),
    )
    do_step(bench, list(RIBS))
    clocks.go(20)
    return bench, clocks


def test_a_mix_that_quiet_hours_outlast_is_told_with_what_becomes_of_it(new_shop: Path) -> None:
    bench, _ = mixed(new_shop, (20, 20))
    card = bench.place_card()
    assert card.step == "strain" and card.could_not_follow
    # The wipe is for straining, which could begin: only the coat could not.
    assert card.runs_out_first == (f"RUNS OUT FIRST: mixed primer, Fri 00:20. {OUTDOORS}",)
    assert card.action_label == "ALL THE SAME…"
    assert bench.runs_out_first(RIBS, "rib-blank", "strain") == card.runs_out_first
    told = spare_text(bench.spare(15), bench.shop.people)
    assert "NR-01, NR-02: quiet hours until Fri 08:00; runs out before that: mixed primer Fri 00:20" in told
    bench.close()


@pytest.mark.parametrize(("at", "life"), [((18, 0), "4 h"), ((20, 20), "20 h")])
def test_what_can_still_be_used_in_time_is_not(new_shop: Path, at: tuple[int, int], life: str) -> None:
    bench, _ = mixed(new_shop, at, life)
    card = bench.place_card()
    assert card.step == "strain" and card.runs_out_first == ()
    assert "runs out before" not in spare_text(bench.spare(15), bench.shop.people)
    bench.close()


def test_until_when_it_can_be_begun_before_quiet_hours_is_told_while_it_can(new_shop: Path) -> None:
    """The card said "finish within 4.5 h" until the coat could not be sprayed any more, and then that it was
    lost."""
    bench, clocks = mixed(new_shop, (19, 30))
    card = bench.place_card()
    assert card.step == "strain" and not card.could_not_follow
    found = re.fullmatch(r"BEGIN BY (\d\d):(\d\d) at the very latest: .*", card.begin_by)
    assert found is not None, card.begin_by
    assert card.begin_by in place_card_text(card).splitlines()
    (first, *_) = bench.spare(30).suggestions
    assert set(first.marks) == set(RIBS)
    said = f"it can be begun until {found[1]}:{found[2]}, then quiet hours come first"
    assert suggestion_words(first).why == said
    last = local_time(*THURSDAY, int(found[1]), int(found[2]))
    clocks.go((last - clocks.at).total_seconds() / 60)
    assert not bench.place_card().could_not_follow
    clocks.go(1)
    card = bench.place_card()
    assert card.could_not_follow and not card.begin_by
    bench.close()


@pytest.mark.parametrize("at", [(15, 0), (20, 20)])
def test_far_from_quiet_hours_and_too_late_nothing_is_said_of_it(new_shop: Path, at: tuple[int, int]) -> None:
    bench, _ = mixed(new_shop, at)
    assert bench.place_card().begin_by == ""
    bench.close()


def test_where_the_loud_step_comes_next_it_is_told_too(new_shop: Path) -> None:
    bench, clocks = mixed(new_shop, (19, 50))
    do_step(bench, list(RIBS))
    clocks.go(30)
    card = bench.place_card()
    assert card.step == "coat" and card.action == "loud"
    assert card.runs_out_first == (f"RUNS OUT FIRST: mixed primer, 23:50. {OUTDOORS}",)
    bench.close()


def test_what_stands_and_just_fails_before_quiet_hours_leaves_the_rest_of_the_slot_to_quiet_work(
    new_shop: Path,
) -> None:
    """A coat of 16 minutes in the last 13 before quiet hours is told all the same, as the mix would be lost;
    it was told alone, in an hour, with three quarters of it unused."""
    bench, _ = mixed(new_shop, (19, 57))
    answer = bench.spare(60)
    first, *rest = answer.suggestions
    assert set(first.marks) == set(RIBS) and rest
    # It said that it spoils after midnight, as if there were hours for it.
    assert suggestion_words(first).why.startswith(
        "quiet hours until Fri 08:00 come first and it spoils after"
    )
    assert not any(step.conditions.loud for one in rest for _, step in one.stretch.steps)
    assert 40 <= answer.total_minutes <= 62
    assert len(bench.spare(17).suggestions) == 1
    bench.close()


def test_a_wait_that_ends_in_quiet_hours_goes_on_until_those_are_over(new_shop: Path) -> None:
    """Wiped late: it dries until after quiet hours have begun, and the coat is loud."""
    clocks = SteadyClocks(local_time(*THURSDAY, 19, 0))
    bench = Bench(new_shop, clocks)
    dry = {"what": "drying", "must_pass": "40 min", "before": "coat"}
    clean = {"what": "clean", "within": "6 h", "begin": "coat", "if_missed": "Wipe again."}
    bench.shop, _ = with_steps(
        bench.shop,
        "form-block",
        step(id="wipe", minutes={"each": "5"}, waits=[dry, clean]),
        step(id="coat", stop="only when finished", minutes={"each": "6"}, conditions={"loud": True}),
    )
    leave_only(bench, {"FB-NR"})
    work = bench.start(["FB-NR"], "form-block", "wipe")
    for at in ((20, 25), (20, 32)):
        clocks.go_to(local_time(*THURSDAY, *at))
        if at == (20, 25):
            bench.finish(work, "FB-NR")
        assert bench.place_card().runs_out_first == ("RUNS OUT FIRST: clean, Fri 02:25. Wipe again.",)
        (told,) = (one.block.text for one in bench.spare(15).not_now if one.marks == ("FB-NR",))
        assert told == "drying until Thu 21:05; runs out before that: clean Fri 02:25"
    bench.close()


@pytest.mark.parametrize(("at", "counts"), [((20, 20), False), ((19, 30), True)])
def test_leaving_the_bench_waits_for_no_coat_that_cannot_be_sprayed(
    new_shop: Path, at: tuple[int, int], counts: bool
) -> None:
    """With a mix standing in quiet hours a plan of 12 minutes met PUT AWAY NOW after three."""
    bench, _ = mixed(new_shop, at)
    bench.begin_slot(20)
    found = put_away(bench.context)
    assert found is not None and bool(found.to_leave) is counts
    bench.close()


@pytest.mark.parametrize("stop", ["anywhere", "between pieces", "only when finished"])
def test_a_limit_that_ends_minutes_after_quiet_hours_begin_is_told_as_lost(new_shop: Path, stop: str) -> None:
    """The pot stands until 20:35. A coat that is begun at 20:25 is not done at 20:30, when it must be left,
    and nothing said so: it was begun in time, and the limit ended later than the quiet hours began."""
    bench, clocks = mixed(new_shop, (20, 4), "31 min")
    coat = step(
        id="coat",
        batch="together",
        stop=stop,
        minutes={"set_up": "4", "each": "6"},
        conditions={"loud": True},
    )
    mix, strain, _, tag = bench.shop.procedures["rib-blank"].steps
    bench.shop, _ = with_steps(bench.shop, "rib-blank", mix, strain, coat, tag)
    lost = f"RUNS OUT FIRST: mixed primer, 20:35. {OUTDOORS}"
    for _ in range(2):  # before it is strained, and then before the coat itself
        card = bench.place_card()
        assert card.could_not_follow.startswith("AHEAD: quiet hours from Thu 20:30 until Fri 08:00: coat")
        assert card.runs_out_first == (lost,) and card.action_label == "ALL THE SAME…"
        do_step(bench, list(RIBS)) if card.step == "strain" else None
    assert card.step == "coat"
    work = bench.start(list(RIBS), "rib-blank", "coat")
    clocks.go(1)
    bench.pause(work)
    assert bench.place_card().runs_out_first == (lost,)
    bench.close()


def test_before_anything_is_mixed_it_is_told_too(new_shop: Path) -> None:
    """Two ribs are mixed for, strained and coated in 20 minutes at the soonest: not by 20:30."""
    bench, clocks = mixed(new_shop, (18, 0))
    for at, told in (((20, 5), ""), ((20, 12), "quiet hours from Thu 20:30 until Fri 08:00: coat could not")):
        clocks.go_to(local_time(*THURSDAY, *at))
        assert bench.begun_could_not_follow(["NR-03", "NR-04"], "rib-blank", "mix").startswith(told)
        assert bool(told) == bool(bench.begun_could_not_follow(["NR-03", "NR-04"], "rib-blank", "mix"))
    bench.close()
