"""What the state is made of: its keys are types, and it comes back from its snapshot as it was."""

from dataclasses import replace

import pytest

from kiosk.planning.forecast.remaining import timed_pieces
from kiosk.record.events import StepFinished
from kiosk.record.lessons import family_of, taught_by_step
from kiosk.record.snapshot import packed, unpacked
from kiosk.record.state import (
    ClosingTime,
    PaceTime,
    PartState,
    PieceTime,
    PutAwayTime,
    SetUpTime,
    Sitting,
    State,
    Timed,
    Times,
    TookOut,
)
from kiosk.shop.procedure import Family, StepRef
from tests.conftest import SteadyClocks

SAW = StepRef("form-block", "saw-outline")
EVERY_TIME: list[Timed] = [
    PieceTime(SAW, "wren"),
    PieceTime(SAW, "pip"),
    PieceTime(SAW, "wren", "block-nose"),
    PieceTime(SAW, "wren", "block-nose", in_sum=True),
    SetUpTime("pattern-table", "wren"),
    SetUpTime(SAW, "wren"),
    PutAwayTime(SAW, "wren"),
    ClosingTime("wren"),
    ClosingTime("wren", in_sum=True),
    PaceTime("wren"),
]


def test_the_set_up_of_a_step_of_its_own_is_not_taken_for_a_piece() -> None:
    times = {of: Times().plus(5, 1) for of in EVERY_TIME}
    assert timed_pieces(times) == 4


def test_every_key_comes_back_from_the_snapshot_as_the_type_it_was() -> None:
    state = State(times={of: Times().plus(5 + number, 1) for number, of in enumerate(EVERY_TIME)})
    state.parts["FB-NR"] = PartState(
        "FB-NR", measured={SAW: {"gap": 0.5}}, looked={SAW: "odile"}, wants_look=(SAW,)
    )
    state.sitting = Sitting(("wren",), SteadyClocks().at, "run")
    took_out = (TookOut("one", "pattern-table", 3.0), TookOut("other", SAW, 5.0))
    state.sitting = replace(state.sitting, took_out=took_out)
    again = unpacked(packed(state))
    assert again == state
    assert list(again.times) == EVERY_TIME


@pytest.mark.parametrize(
    ("written", "meant"),
    [("form-block/saw-outline", SAW), ("pattern-table", "pattern-table"), ("", None), ("a/b", "a/b")],
)
def test_a_recorded_family_is_the_steps_own_only_when_it_is_that_step(
    written: str, meant: Family | None
) -> None:
    body = StepFinished(
        work="w", marks=("FB-NR",), procedure=SAW.procedure, revision="1", step=SAW.step, family=written
    )
    assert family_of(body) == meant


@pytest.mark.parametrize("kind", ["", "main-rib"])
def test_a_finished_step_teaches_the_time_of_its_kind_where_the_record_names_one(kind: str) -> None:
    """An older record names none: its times are those of the step alone."""
    body = StepFinished(
        work="w",
        marks=("MR-01",),
        procedure=SAW.procedure,
        revision="1",
        step=SAW.step,
        active_s=240.0,
        of_kind=kind,
    )
    learnt = [lesson.of for lesson in taught_by_step(State(), body, "wren").lessons]
    assert learnt == [PieceTime(SAW, "wren", kind or None)]


def test_times_that_are_let_fade_twice_count_as_if_once_for_both() -> None:
    times = Times(8, 16.0, 32.0, 4.0, 2.0, 8.0, "2027-05-08", 8.0, 4.0, kept=0.5)
    assert times.scaled(0.5).scaled(0.25) == times.scaled(0.125)
    assert times.scaled(0.5).kept == 0.25
