"""The calm card: whose digits are large, and what stands beside them."""

from datetime import timedelta
from pathlib import Path

from kiosk.bench import Bench
from kiosk.record.events import ClockSet, StepFinished
from kiosk.views.calm import calm_card
from tests.conftest import SteadyClocks


def _limit(bench: Bench, mark: str, minutes: float) -> None:
    """A limit of so many minutes begins on a part."""
    clock = ClockSet(
        what="degreased face",
        kind="within",
        minutes=minutes,
        until=bench.now + timedelta(minutes=minutes),
        procedure="rib-blank",
        step="mark-blank",
        if_missed="Wipe it again.",
        ends="finish",
        boot=bench.record.boot,
        set_s=bench.record.clocks.monotonic_s(),
    )
    done = StepFinished(
        work=f"before {mark}",
        marks=(mark,),
        procedure="rib-blank",
        revision="1",
        step="choose-sheet",
        clocks=(clock,),
    )
    bench.record.transact(lambda _: [done], by="wren", tap=None)


def test_a_limit_that_was_missed_does_not_hide_the_one_that_runs(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = Bench(new_shop, clocks)
    _limit(bench, "NR-09", 12)
    _limit(bench, "NR-10", 43)
    clocks.go(42)
    card = calm_card(bench.context, None)
    assert (card.figure, card.unit) == ("60", "s") and "NR-10" in card.heading
    assert card.others[0].startswith("TOO LATE") and "NR-09" in card.others[0]
    clocks.go(1)  # at exactly 0 s it is not the last that is told
    _limit(bench, "NR-11", 30)
    _limit(bench, "NR-12", 31)
    card = calm_card(bench.context, None)
    assert "NR-11" in card.heading
    assert "NR-11, NR-12" in card.heading  # a minute apart, of half an hour: told as one
    assert ["NR-09" in card.others[0], "NR-10" in card.others[1]] == [True] * 2
    bench.close()


def test_the_time_of_a_step_counts_no_more_when_the_sitting_has_ended(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = Bench(new_shop, clocks)
    bench.start(["FB-NR"], "form-block", "measure-pattern")
    assert calm_card(bench.context, None).running
    assert not calm_card(bench.context, None, left_alone=True).running
    bench.close()
