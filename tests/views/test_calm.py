"""The calm card: whose digits are large, and what stands beside them."""

from pathlib import Path

from kiosk.bench import Bench
from kiosk.views.calm import calm_card
from tests.conftest import SteadyClocks
from tests.screens.scenes import _limit_runs
from tests.translated import in_language


def test_a_limit_that_was_missed_does_not_hide_the_one_that_runs(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = Bench(new_shop, clocks)
    _limit_runs(12, "NR-09")(bench)
    _limit_runs(43, "NR-10")(bench)
    clocks.go(42)
    card = calm_card(bench.context, None)
    assert (card.figure, card.unit) == ("60", "s") and "NR-10" in card.heading
    assert card.others[0].startswith("TOO LATE") and "NR-09" in card.others[0]
    clocks.go(1)  # at exactly 0 s it is not the last that is told
    _limit_runs(30, "NR-11")(bench)
    _limit_runs(31, "NR-12")(bench)
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


def test_the_digits_are_those_of_the_clock_whatever_a_catalogue_makes_of_its_words(
    new_shop: Path, clocks: SteadyClocks, tmp_path: Path
) -> None:
    """The other language has a word before the number, and one after the unit."""
    bench = Bench(new_shop, clocks)
    _limit_runs(43, "NR-10")(bench)
    with in_language("de", tmp_path, lambda text: text and f"« {text} »", lambda text, _: f"« {text} »"):
        card = calm_card(bench.context, bench.place_card())
        assert (card.figure, card.unit) == ("43", "« min »")
    bench.close()
