"""The closed form of a sum of times, held against the same sum drawn at random.

Fenton, The sum of log-normal probability distributions in scatter transmission systems, IRE Transactions on
Communications Systems 8, 1960; drawn with numpy.
"""

import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest

from kiosk.planning.times.chance import (
    QUICK_TRIALS,
    SHARED_SPREAD,
    TRIALS,
    PredictedPieces,
    _of_pieces,
    chance_of_fitting,
    totals_of,
)
from kiosk.planning.times.durations import Duration
from kiosk.planning.times.sum_of_pieces import TimeOfPiece

KNOWN = Duration(degrees=40, location=math.log(8), scale=0.3, observed=34, common=0.05)
GUESSED = Duration(degrees=12, location=math.log(12), scale=0.4, observed=6, common=0.3)


def drawn(steps: list[Duration], pieces: int) -> np.ndarray:
    """The sum, 40,000 times: a level for each step, then its pieces, and an evening over everything.

    One piece alone spreads as its time was learnt, evenings included.
    """
    numbers = np.random.default_rng(7)
    draws = 40_000
    total = np.zeros(draws)
    for step in steps:
        wide = step.scale * np.sqrt(step.degrees / numbers.chisquare(step.degrees, draws))
        level = step.location + wide * math.sqrt(step.common) * numbers.standard_normal(draws)
        own = math.sqrt(1 - step.common - (SHARED_SPREAD / step.scale) ** 2)
        for _ in range(pieces):
            total += np.exp(level + wide * own * numbers.standard_normal(draws))
    return total * np.exp(SHARED_SPREAD * numbers.standard_normal(draws))


@pytest.mark.parametrize("steps", [[KNOWN], [GUESSED], [KNOWN, GUESSED, KNOWN]])
@pytest.mark.parametrize("pieces", [1, 3, 8])
def test_quantiles_come_as_often_as_they_say(steps: list[Duration], pieces: int) -> None:
    time = TimeOfPiece()
    for step in steps:
        time = time.then(step)
    came = drawn(steps, pieces)
    for p in (0.55, 0.8, 0.9):
        assert np.mean(came <= time.quantile_minutes(p, pieces)) == pytest.approx(p, abs=0.03)


def test_one_piece_alone_spreads_as_its_time_was_learnt() -> None:
    """The evening is a part of that, and does not come on top of it."""
    for p in (0.2, 0.5, 0.8, 0.9):
        stated = KNOWN.quantile_minutes(p)
        assert TimeOfPiece().then(KNOWN).quantile_minutes(p) == pytest.approx(stated, rel=0.03)
        came = chance_of_fitting([PredictedPieces(KNOWN)], 0.0, stated)
        assert came == pytest.approx(p, abs=0.03)


@pytest.mark.parametrize("trials", [TRIALS, QUICK_TRIALS])
@pytest.mark.parametrize("steps", [[KNOWN], [GUESSED], [KNOWN, GUESSED, KNOWN]])
def test_few_draws_state_the_chance_that_many_do(steps: list[Duration], trials: int) -> None:
    """No evening is taken for worse than evenings are: freely drawn, 150 said .45 where it was .55."""
    many = drawn(steps, 1)
    work = [PredictedPieces(step) for step in steps]
    for p in (0.55, 0.75, 0.9):
        stated = chance_of_fitting(work, 0.0, float(np.quantile(many, p)), trials=trials)
        assert stated == pytest.approx(p, abs=0.025 if trials == TRIALS else 0.05)


@pytest.mark.parametrize("trials", [TRIALS, QUICK_TRIALS])
def test_an_evening_lies_over_pieces_and_not_over_what_the_bench_takes(trials: int) -> None:
    """Laid over set-ups and closing up too, it made every sum an eighth too wide."""
    known = replace(KNOWN, scale=1e-9)
    minutes = math.exp(known.location)
    for p in (0.2, 0.5, 0.9):
        late = minutes * math.exp(SHARED_SPREAD * NormalDist().inv_cdf(p))
        pieces, bench = PredictedPieces(known), PredictedPieces(known, of_bench=True)
        assert chance_of_fitting([pieces], 0.0, late, trials=trials) == pytest.approx(p, abs=1e-6)
        assert chance_of_fitting([bench], 0.0, late, trials=trials) == (late > minutes)
        both = chance_of_fitting([pieces, bench], 0.0, late + minutes, trials=trials)
        assert both == pytest.approx(p, abs=1e-6)


def test_a_sum_is_planned_with_less_than_its_parts_one_by_one() -> None:
    one = TimeOfPiece().then(KNOWN)
    assert one.quantile_minutes(0.9, 8) < 0.9 * 8 * one.quantile_minutes(0.9)


def test_nothing_takes_no_time() -> None:
    assert TimeOfPiece().quantile_minutes(0.9) == 0.0
    assert TimeOfPiece().then(KNOWN).quantile_minutes(0.9, 0) == 0.0


def test_a_sum_is_the_same_whatever_was_drawn_before() -> None:
    """What a spread comes to in each trial is kept; nothing follows from what was kept meanwhile."""
    work = [PredictedPieces(KNOWN, pieces) for pieces in (1, 2, 9, 9)]
    before = totals_of(work, 4), totals_of(work, 4, 150)
    _of_pieces.cache_clear()
    totals_of([PredictedPieces(replace(KNOWN, scale=0.2 + number / 1000), 3) for number in range(200)], 4)
    assert (totals_of(work, 4), totals_of(work, 4, 150)) == before


@pytest.mark.parametrize("steps", [[KNOWN], [GUESSED], [KNOWN, GUESSED, KNOWN]])
def test_a_chance_hangs_little_on_what_was_drawn(steps: list[Duration]) -> None:
    """Every answer is told from the same draws: drawn without being spread evenly, a chance that was out by
    four in a hundred for one step was so at each of its pieces."""
    came = drawn(steps, 1)
    work = [PredictedPieces(step) for step in steps]
    for p in (0.55, 0.75, 0.9):
        minutes = float(np.quantile(came, p))
        stated = [chance_of_fitting(work, 0.0, minutes, seed=seed) for seed in range(30)]
        assert stated == pytest.approx([p] * len(stated), abs=0.04), stated
