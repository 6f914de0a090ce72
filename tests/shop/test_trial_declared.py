"""A step that declares a trial names all its figures, each from a check that measures it."""

import shutil
from pathlib import Path

import pytest

from kiosk.shop.data import data_folder
from kiosk.shop.load import load


@pytest.mark.parametrize(
    ("old", "new", "wrong"),
    [
        (
            "flat_length: flat,",
            "flat_lenght: flat,",
            "a trial has no figure 'flat_lenght'; did you mean 'flat_length'",
        ),
        ("leg_a: leg, ", "", "a trial needs leg_a"),
        ("angle: angle,", "angle: cut-trial-strip/angel,", "unknown check 'cut-trial-strip/angel'"),
        ("set_angle: set}", "set_angle: leg}", "set_angle is a figure in deg, not check 'leg'"),
        ("leg_b: other-leg", "leg_b: cracks", "leg_b is a figure in in, not check 'cracks'"),
        ("grain: grain", "grain: flat", "grain is a word, which no check gives, not check 'flat'"),
        ("thickness: thickness,", "thickness: thicknes,", "no part kind has a dimension 'thicknes'"),
    ],
)
def test_a_trial_that_cannot_be_taken_is_one_line_with_its_place(
    new_shop: Path, old: str, new: str, wrong: str
) -> None:
    own = new_shop / "procedures" / "spar-channel.yaml"
    own.parent.mkdir(exist_ok=True)
    shutil.copy(data_folder("procedures") / "spar" / "spar-channel.yaml", own)
    text = own.read_text(encoding="utf-8")
    at = text.index("    trial:\n")
    assert old in text[at:]
    own.write_text(text[:at] + text[at:].replace(old, new, 1), encoding="utf-8")
    errors = [str(fault) for fault in load(new_shop).errors]
    assert any(wrong in error and "spar-channel.yaml:" in error for error in errors), errors


def test_a_figure_may_come_from_an_earlier_step(new_shop: Path) -> None:
    own = new_shop / "procedures" / "spar-channel.yaml"
    own.parent.mkdir(exist_ok=True)
    text = (data_folder("procedures") / "spar" / "spar-channel.yaml").read_text(encoding="utf-8")
    check = text[text.index("      - id: flat\n") : text.index("      - id: set\n")]
    text = text.replace(check, "").replace("flat_length: flat,", "flat_length: cut-trial-strip/flat,")
    asked = next(line for line in text.splitlines(keepends=True) if "{id: written," in line)
    own.write_text(text.replace(asked, asked + check), encoding="utf-8")
    loaded = load(new_shop)
    assert not loaded.errors and loaded.shop is not None
    step = loaded.shop.procedures["spar-channel"].step("trial-strip")
    assert step is not None and step.trial is not None
    told = step.trial.check_of("flat_length", step)
    assert told is not None and str(told) == "cut-trial-strip/flat"
