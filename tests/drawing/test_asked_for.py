"""A step asks for a drawing: what is wrong with it is a fault of `kiosk check`, with file and line."""

from pathlib import Path
from typing import Any

import pytest

from kiosk.commands import main
from kiosk.drawing.step_drawings import STEP_DRAWINGS
from kiosk.shop.load import check_shipped_procedures, load
from kiosk.shop.procedure import DrawingWanted, Step
from tests.drawing.one_step import make_shop_at


def faults(folder: Path) -> list[str]:
    return [str(one) for one in load(folder, lint=True, drawings=STEP_DRAWINGS).errors]


def faults_of(
    folder: Path, kind: str, drawing: Any, procedure: str = "rib-fluting", step: str = "flute"
) -> list[str]:
    make_shop_at(folder, kind, procedure, step, drawing=drawing)
    return faults(folder)


def test_a_name_alone_is_enough() -> None:
    step = Step.model_validate(
        {"id": "a", "do": "Look.", "minutes": {"each": 1}, "stop": "anywhere", "drawing": "rib"}
    )
    assert step.drawing == DrawingWanted(draw="rib")


def test_the_shipped_steps_draw_what_their_kinds_have() -> None:
    assert not [one for one in check_shipped_procedures(STEP_DRAWINGS) if "drawing" in one.wrong]


def test_the_example_shop_is_whole(new_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert not faults(new_shop)
    shop = load(new_shop).shop
    assert shop is not None
    asked = {step.drawing.draw for one in shop.procedures.values() for step in one.steps if step.drawing}
    assert asked == set(STEP_DRAWINGS)


def test_an_unknown_drawing_is_named_with_its_line(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    (fault,) = faults_of(folder, "nose-rib", "ribb")
    own = folder / "procedures" / "rib-fluting.yaml"
    line = 1 + next(n for n, text in enumerate(own.read_text().splitlines()) if "drawing: ribb" in text)
    assert fault.startswith(f"shop/procedures/rib-fluting.yaml:{line}:")
    assert "unknown drawing 'ribb'" in fault and "did you mean 'rib'?" in fault


def test_the_command_stops_at_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "shop"
    make_shop_at(folder, "nose-rib", "rib-fluting", "flute", drawing={"draw": "bends"})
    assert main(["check", str(folder)]) != 0
    assert "unknown drawing 'bends'; did you mean 'bend'?" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("drawing", "words"),
    [
        ({"draw": "rib", "inputs": {"countd": "flute"}}, "drawing rib has no input 'countd'"),
        (
            {"draw": "rib", "inputs": {"counted": "flites"}},
            "counted 'flites' is not known; did you mean 'flute'?",
        ),
        (
            {"draw": "rivet_row", "inputs": {"length": "chord", "end": "1", "diameter": "1/8", "count": "1"}},
            "no row",
        ),
        ({"draw": "die_stack"}, "has no dimension 'cut_out'"),
        ({"draw": "die_stack", "inputs": {"cut_out": "3", "flange_slant": "2"}}, "too wide for this hole"),
        (
            {"draw": "bend", "inputs": {"legs": "chord, chord", "bend_angles": "90"}},
            "has no dimension 'inside_radius'",
        ),
        ({"inputs": {"counted": "flute"}}, "draw"),
        ({"draw": "rib", "colour": "red"}, "colour"),
        ([1, 2], "drawing"),
    ],
)
def test_what_a_drawing_cannot_be_drawn_from_is_a_fault(tmp_path: Path, drawing: Any, words: str) -> None:
    found = faults_of(tmp_path / "shop", "nose-rib", drawing)
    assert len(found) == 1 and words in found[0], found
    assert ".yaml:" in found[0]


def test_a_missing_dimension_is_named_at_the_kind_with_who_draws_it(tmp_path: Path) -> None:
    (fault,) = faults_of(tmp_path / "shop", "nose-rib", "die_stack")
    assert fault.startswith("shop/shop.yaml:")
    assert "which 'rib-fluting' step 'flute' draws" in fault


def test_a_kind_without_a_rib_cannot_have_one_drawn(tmp_path: Path) -> None:
    (fault,) = faults_of(tmp_path / "shop", "rib-clip", "rib", "clip-angle", "sight-line")
    assert "part kind 'rib-clip' has no section" in fault


def test_an_input_that_is_not_written_is_the_dimension_of_its_name(tmp_path: Path) -> None:
    assert not faults_of(tmp_path / "shop", "main-rib", "die_stack", "rib-hole-flanging", "press-flanges")
