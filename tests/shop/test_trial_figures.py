"""What a trial takes from values, dimensions and checks: what no strip can have is one line at its place."""

from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.numbers.trial import Estimate, TrialFit
from kiosk.shop.data import data_folder
from kiosk.shop.fitted import Bent, Fitted, fit_for
from kiosk.shop.load import load
from tests.shop.test_words_of_a_finish import shop_file, with_step

SPAR = "spar-channel"


def the_line_of_figures() -> tuple[str, int]:
    """The line on which the shipped trial names its figures, and its number."""
    (shipped,) = data_folder("procedures").rglob(f"{SPAR}.yaml")
    lines = shipped.read_text().splitlines(keepends=True)
    return next((line, number) for number, line in enumerate(lines, 1) if "figures: {alloy" in line)


def with_figure(tmp_path: Path, old: str, new: str) -> list[str]:
    """Every fault with one text of that line changed."""
    line, _ = the_line_of_figures()
    assert old in line
    return with_step(tmp_path, SPAR, line, line.replace(old, new, 1))


@pytest.mark.parametrize(
    ("old", "new", "wrong"),
    [
        ("leg_a: leg,", "leg_a: legg,", "leg_a: no part kind has a dimension 'legg', and this step no such"),
        ("set_angle: set}", "set_angle: sett}", "did you mean 'set'?"),
        ("alloy: alloy,", "alloy: alloi,", "alloy: no part kind has a dimension 'alloi'"),
        ("grain: grain,", "grain: acros,", "grain: no part kind has a dimension 'acros'"),
        ("thickness: thickness,", 'thickness: "-1",', "no trial strip has thickness -1 in"),
        ("thickness: thickness,", 'thickness: "0",', "no trial strip has thickness 0 in"),
        ("thickness: thickness,", 'thickness: ".040",', "no 2024-T3 sheet of 0.04 in is in shop.yaml"),
        ("thickness: thickness,", 'thickness: "50",', "no trial strip has thickness 50 in"),
        ("alloy: alloy,", "alloy: 9999-T3,", "9999-T3"),
        ("inside_radius: bend_radius,", 'inside_radius: "-.1",', "no trial strip has inside_radius -0.1 in"),
        ("set_angle: set}", 'set_angle: "190"}', "no trial strip has set_angle 190 deg"),
        ("leg_b: other-leg,", "leg_b: leg,", "leg_b is check 'leg', which leg_a is already"),
        ("leg_b: other-leg,", "leg_b: trial-strip/leg,", "leg_b is check 'trial-strip/leg', which leg_a is"),
        ("set_angle: set}", "set_angle: angle}", "set_angle is check 'angle', which angle is already"),
    ],
)
def test_what_no_strip_can_have_is_one_line_at_its_place(
    tmp_path: Path, old: str, new: str, wrong: str
) -> None:
    """Once, though four kinds of spar go through the step; and never in the shop file, which is in order."""
    faults = with_figure(tmp_path, old, new)
    assert len(faults) == 1 and wrong in faults[0], faults
    assert f"{SPAR}.yaml:{the_line_of_figures()[1]}:" in faults[0]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("thickness: thickness,", 'thickness: ".032",'),
        ("alloy: alloy,", "alloy: 2024-T3,"),
        ("alloy: alloy, thickness: thickness,", 'alloy: 6061-T6, thickness: ".050",'),  # of the table alone
        ("grain: grain,", "grain: along,"),
        ("set_angle: set}", 'set_angle: "93.5"}'),
    ],
)
def test_a_value_that_can_be_is_taken(tmp_path: Path, old: str, new: str) -> None:
    assert with_figure(tmp_path, old, new) == []


def test_strips_that_would_help_no_part_are_warned_of_once_each(tmp_path: Path) -> None:
    """Another alloy, thickness, radius and grain than every kind of spar has: three strips for nothing."""
    line, number = the_line_of_figures()
    new = line
    for old, other in (
        ("alloy: alloy, thickness: thickness,", 'alloy: 6061-T6, thickness: ".050",'),
        ("inside_radius: bend_radius, grain: grain,", 'inside_radius: ".25", grain: across,'),
    ):
        assert old in new
        new = new.replace(old, other)
    assert with_step(tmp_path, SPAR, line, new) == []  # a start says nothing of it
    warned = [str(one) for one in load(tmp_path / "shop", lint=True).faults if one.severity == "warning"]
    told = [one for one in warned if f"{SPAR}.yaml:{number}:" in one and "speaks for no bend of" in one]
    assert len(told) == len(warned) == 4
    for name in ("alloy 6061-T6", "thickness 0.05 in", "inside radius 0.25 in", "grain across"):
        assert any(f"a strip of {name} speaks for no bend of 'front-spar'" in one for one in told), name


def test_lengths_that_no_bend_leaves_are_a_fault(tmp_path: Path) -> None:
    """Flat length and a leg exchanged: at the bench every true strip would be refused."""
    with_figure(tmp_path, "flat_length: flat, leg_a: leg,", "flat_length: leg, leg_a: flat,")
    (fault,) = [str(one) for one in load(tmp_path / "shop", lint=True).faults]
    assert "every strip would be refused" in fault and f"{SPAR}.yaml:{the_line_of_figures()[1]}:" in fault


def test_a_radius_for_the_thickness_is_a_fault_of_the_procedure(tmp_path: Path) -> None:
    faults = with_figure(
        tmp_path,
        "thickness: thickness, inside_radius: bend_radius,",
        'thickness: bend_radius, inside_radius: ".125",',
    )
    assert len(faults) == 1 and f"{SPAR}.yaml:" in faults[0] and "no 2024-T3 sheet of 0.125 in" in faults[0]


def test_a_name_of_another_unit_is_a_fault_where_it_is_asked_for(tmp_path: Path) -> None:
    """The dimension is in order, and four kinds have it: one line, at the step that names the wrong one."""
    with_step(tmp_path, SPAR, "nominal: sight_line, plus", "nominal: upper_bend, plus")
    (fault,) = [str(one) for one in load(tmp_path / "shop", lint=True).faults]
    assert f"{SPAR}.yaml:" in fault and "upper_bend is 84.04 deg, not in" in fault


def test_a_dimension_that_some_kinds_have_is_asked_of_those_without_it(tmp_path: Path) -> None:
    """The name is right then, and what is missing is missing in the shop file."""
    path = shop_file(tmp_path / "shop")
    text = path.read_text()
    at = text.index("dimensions:\n", text.index("- id: front-spar")) + len("dimensions:\n")
    path.write_text(f"{text[:at]}      tried_thickness: .032\n{text[at:]}")
    (shipped,) = data_folder("procedures").rglob(f"{SPAR}.yaml")
    own = path.parent / "procedures" / shipped.name
    own.parent.mkdir()
    own.write_text(
        shipped.read_text().replace("alloy, thickness: thickness,", "alloy, thickness: tried_thickness,", 1)
    )
    faults = [str(fault) for fault in load(path.parent).errors]
    assert len(faults) == 3 and all("shop.yaml:" in one and "tried_thickness" in one for one in faults)


def test_a_dimension_that_no_strip_can_have_is_a_fault_where_it_is_given(tmp_path: Path) -> None:
    path = shop_file(tmp_path / "shop")
    text = path.read_text()
    lines = []
    for kind in ("front-spar", "rear-spar", "tailplane-front-spar", "tailplane-rear-spar"):
        at = text.index("dimensions:\n", text.index(f"- id: {kind}\n")) + len("dimensions:\n")
        lines.append(text[:at].count("\n") + 1)
        text = f"{text[:at]}      tried_thickness: .050\n{text[at:]}"
    path.write_text(text)
    (shipped,) = data_folder("procedures").rglob(f"{SPAR}.yaml")
    own = path.parent / "procedures" / shipped.name
    own.parent.mkdir()
    own.write_text(
        shipped.read_text().replace("alloy, thickness: thickness,", "alloy, thickness: tried_thickness,", 1)
    )
    faults = [str(fault) for fault in load(path.parent).errors]
    assert len(faults) == 4
    for line, fault in zip(lines, faults, strict=True):
        assert f"shop.yaml:{line}:" in fault and "no 2024-T3 sheet of 0.05 in" in fault


def test_a_name_that_nothing_has_is_a_fault_on_a_procedure_of_no_route_too(tmp_path: Path) -> None:
    path = shop_file(tmp_path / "shop")
    (shipped,) = data_folder("procedures").rglob(f"{SPAR}.yaml")
    own = path.parent / "procedures" / "channel-again.yaml"
    own.parent.mkdir()
    text = shipped.read_text().replace(f"id: {SPAR}\n", "id: channel-again\n", 1)
    own.write_text(text.replace("leg_a: leg,", "leg_a: legg,", 1))
    (fault,) = [str(one) for one in load(path.parent).errors]
    assert "channel-again.yaml:" in fault and "did you mean 'leg'?" in fault


def test_a_shipped_procedure_on_no_route_asks_nothing_of_a_shop() -> None:
    """A shop that bends no sheet has no alloy, radius or grain to name."""
    loaded = load(Path(__file__).parent.parent / "faults" / "small_shop", lint=True)
    assert loaded.faults == []


def test_most_strips_speak_where_two_groups_are_like_the_sheet() -> None:
    """One strip of .0307 was bent first; three of .0323 agree, and a sheet of .032 is like both."""
    wanted = Bent("2024-T3", 0.032, 0.125, "along")

    def group(thickness_in: float, strips: int) -> Fitted:
        fit = TrialFit(Estimate(0.4, 0.3, 0.5), Estimate(0.95, 0.9, 1.0), strips, None, "")
        return Fitted(replace(wanted, thickness_in=thickness_in), fit)

    found = fit_for([group(0.0313, 1), group(0.0323, 3)], wanted)
    assert found is not None and found.strips == 3
    nearer = fit_for([group(0.0314, 3), group(0.0321, 3)], wanted)
    assert nearer is not None and nearer == group(0.0321, 3).fit
    assert fit_for([], wanted) is None
