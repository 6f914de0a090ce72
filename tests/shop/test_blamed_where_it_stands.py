"""What is wrong is told at its own line: the leg of a list that is too short, the word that says nothing."""

import pickle
from pathlib import Path

import pytest

from kiosk.numbers.bends import flat_layout
from kiosk.numbers.result import OutOfRange
from kiosk.shop.load import load
from tests.shop.test_words_of_a_finish import shop_file, with_step


@pytest.mark.parametrize("value", ["0", "-1", ".1"])
def test_the_leg_that_is_too_short_is_blamed_and_not_the_first(tmp_path: Path, value: str) -> None:
    path = shop_file(tmp_path / "shop")
    lines = path.read_text().splitlines(keepends=True)
    (at,) = [number for number, line in enumerate(lines) if line.strip().startswith("second_leg:")][:1]
    lines[at] = f"      second_leg: {value}\n"
    path.write_text("".join(lines))
    faults = [str(fault) for fault in load(path.parent, lint=True).errors]
    assert faults and all(f"shop.yaml:{at + 1}:" in one for one in faults), faults
    assert any("shorter than its setbacks" in one or "leg 2" in one for one in faults), faults


@pytest.mark.parametrize(
    ("legs", "angles", "argument", "item"),
    [
        ((1.0, 0.1), (90,), "legs_in", 1),
        ((0.1, 1.0), (90,), "legs_in", 0),
        ((1.0, 0.2, 1.0), (90, 90), "legs_in", 1),
        ((1.0, 2.0, 1.0), (90, 178), "bend_angles_deg", 1),
        ((1.0, 2.0), (90, 90), "legs_in", None),
    ],
)
def test_a_list_says_which_of_it_is_wrong(
    legs: tuple[float, ...], angles: tuple[float, ...], argument: str, item: int | None
) -> None:
    with pytest.raises(OutOfRange) as refused:
        flat_layout(legs, angles, 0.032, 0.125)
    assert (refused.value.argument, refused.value.item) == (argument, item)
    again = pickle.loads(pickle.dumps(refused.value))
    assert (again.argument, again.item, str(again)) == (argument, item, str(refused.value))


@pytest.mark.parametrize("word", ["yes", "no", "Yes", "true", "off", "3", '"3"', '"—"'])
def test_enough_is_said_in_words(tmp_path: Path, word: str) -> None:
    faults = with_step(tmp_path, "rib-fluting", "enough: the web lies flat", f"enough: {word}")
    assert len(faults) == 1 and "rib-fluting.yaml:" in faults[0], faults
    assert "says nothing; write what is then so, such as: the web lies flat" in faults[0]


def test_any_words_will_do(tmp_path: Path) -> None:
    assert with_step(tmp_path, "rib-fluting", "enough: the web lies flat", "enough: no gap is left") == []


@pytest.mark.parametrize("value", [".3", ".9"])
def test_the_sheet_that_is_none_is_blamed_and_not_the_one_before_it(new_shop: Path, value: str) -> None:
    """The grip of a rivet through a rib and its spar was blamed on the rib, which is listed first."""
    path = new_shop / "shop.yaml"
    before, spar, after = path.read_text().partition("  - id: front-spar\n")
    assert "thickness: .032}" in after
    path.write_text(before + spar + after.replace("thickness: .032}", f"thickness: {value}}}", 1))
    at = (before + spar + after.partition("thickness: .032}")[0]).count("\n") + 1
    faults = [str(fault) for fault in load(new_shop, lint=True).errors]
    assert faults and all(f"shop.yaml:{at}:" in one for one in faults), faults


@pytest.mark.parametrize("lint", [False, True])
@pytest.mark.parametrize(
    ("kind", "sheet"), [("front-spar", ".032"), ("rear-spar", ".032"), ("rib-clip", ".025")]
)
def test_a_sheet_of_no_thickness_is_blamed_at_the_sheet_alone(
    new_shop: Path, kind: str, sheet: str, lint: bool
) -> None:
    """The trial strips of the same sheet were blamed too, at the procedure that came with the kiosk."""
    path = new_shop / "shop.yaml"
    before, begin, after = path.read_text().partition(f"  - id: {kind}\n")
    written = f"thickness: {sheet}}}"
    path.write_text(before + begin + after.replace(written, "thickness: 0}", 1))
    at = (before + begin + after.partition(written)[0]).count("\n") + 1
    (fault,) = load(new_shop, lint=lint).errors
    assert f"shop.yaml:{at}:" in str(fault)


def test_a_list_with_too_few_in_it_is_blamed_and_not_what_it_names(new_shop: Path) -> None:
    path = new_shop / "shop.yaml"
    before, spar, after = path.read_text().partition("  - id: front-spar\n")
    legs = 'legs: "flange_width, web_height, flange_width"'
    path.write_text(before + spar + after.replace(legs, 'legs: "flange_width"', 1))
    at = (before + spar + after.partition(legs)[0]).count("\n") + 1
    faults = [str(fault) for fault in load(new_shop, lint=True).errors]
    assert any(f"shop.yaml:{at}:" in one for one in faults), faults
    flange = (before + spar + after.partition("flange_width: 3/4")[0]).count("\n") + 1
    assert not any(f"shop.yaml:{flange}:" in one for one in faults), faults
