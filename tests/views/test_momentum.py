"""Momentum in plain words: counted by local days, told without praise or blame."""

from datetime import timedelta

from kiosk.record.state import Left, Sitting, State
from kiosk.views.momentum import momentum, momentum_words
from tests.conftest import local_time

NOON = local_time(2027, 5, 8, 12)
TODAY = NOON.astimezone().date()


def test_days_and_hours_of_the_last_four_weeks() -> None:
    state = State(
        last_at=NOON - timedelta(days=3),
        minutes_by_day={"2027-05-05": 60.0, "2027-04-11": 30.0, "2027-04-10": 90.0, "2027-05-01": 0.0},
        left=Left(NOON - timedelta(days=3), "", (), False, None, "NR-03: Squeeze the flutes."),
    )
    found = momentum(state, TODAY)
    assert (found.days_since, found.sittings_28_days, found.hours_28_days) == (3, 2, 1.5)
    assert not found.long_gap
    assert momentum_words(found).lines == [
        "You meant to begin with NR-03: Squeeze the flutes.",
        "In the last four weeks: 2 days at the bench, 1.5 h.",
    ]
    helped = momentum_words(found, for_helper=True)
    assert helped.meant == "", "another meant it, and it stands in the builder's words"


def test_before_the_first_sitting_and_within_one_nothing_is_said_of_gaps() -> None:
    assert momentum_words(momentum(State(), TODAY)).lines == []
    state = State(
        last_at=NOON,
        left=Left(NOON, "", (), False, None, "NR-03: old"),
        sitting=Sitting(("wren",), NOON, "run"),
    )
    assert momentum_words(momentum(state, TODAY)).meant == ""


def test_where_nothing_was_finished_for_four_weeks_no_days_are_counted() -> None:
    """It said 0 days and 0.0 h to whoever stood at the bench."""
    state = State(last_at=NOON - timedelta(minutes=1), minutes_by_day={"2027-03-01": 60.0})
    assert momentum_words(momentum(state, TODAY)).last_weeks == ""


def test_a_week_away_is_a_long_gap() -> None:
    assert momentum(State(last_at=NOON - timedelta(days=7)), TODAY).long_gap
    assert not momentum(State(last_at=NOON - timedelta(days=6)), TODAY).long_gap
    assert momentum(State(last_at=NOON + timedelta(days=2)), TODAY).days_since == 0  # a clock set back
