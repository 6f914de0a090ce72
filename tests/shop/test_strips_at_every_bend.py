"""One sheet, one bend, one angle: whatever is bent by, planed to or cut by follows the strips that count."""

import math
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.commands import main
from kiosk.commands.command import OK
from kiosk.commands.make_shop import make_shop
from kiosk.record.events import TrialBent
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import MeasureCheck, NumberWanted
from kiosk.shop.written import OfRib
from tests.conftest import SteadyClocks
from tests.numbers.channel_sections import swung_over

SET_DEG = 101.0  # that this brake needs for 90
KEPT_DEG = 90 / SET_DEG  # after release, of each degree set
FACTOR = 0.25  # where the neutral line of these strips lies
SHEET = {"thickness": "thickness", "inside_radius": "bend_radius"}


def strip(thickness_in: float, angle_deg: float = 90.0, alloy: str = "2024-T3") -> TrialBent:
    """A strip of 1/8 radius along the grain, its flat length by the arc at the neutral line."""
    back = math.tan(math.radians(angle_deg) / 2) * (0.125 + thickness_in)
    arc = math.radians(angle_deg) * (0.125 + FACTOR * thickness_in)
    return TrialBent(
        alloy=alloy, thickness_in=thickness_in, inside_radius_in=0.125, grain="along",
        flat_length_in=2 * (1.0 - back) + arc, leg_a_in=1.0, leg_b_in=1.0,
        angle_deg=angle_deg, set_angle_deg=angle_deg / KEPT_DEG,
    )  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("strips") / "shop"
    make_shop(made, "brambling", with_history=False)
    return made


@pytest.fixture(scope="module")
def bench(folder: Path) -> Bench:
    opened = Bench(folder, SteadyClocks())
    for thickness_in in (0.025, 0.032):
        for angle_deg in (90.0, 89.0, 91.0):
            opened.add_trial(strip(thickness_in, angle_deg))
    return opened


def number(bench: Bench, kind: str, procedure: str, step: str, figure: str | None = None) -> float | None:
    """A bench number of overbend on a step, by the figure it asks for."""
    wanted = next(
        one
        for one in bench.shop.procedures[procedure].step(step).numbers  # type: ignore[union-attr]
        if isinstance(one, NumberWanted) and one.calculator == "overbend" and one.figure == figure
    )
    return bench.shop.figures.step_number(bench.shop.kinds[kind], wanted).value


def middle(bench: Bench, kind: str, procedure: str, step: str, check: str) -> tuple[float, float]:
    found = bench.shop.procedures[procedure].step(step)
    assert found is not None
    asked = next(one for one in found.checks if one.id == check)
    assert isinstance(asked, MeasureCheck)
    limits = bench.shop.figures.limits(bench.shop.kinds[kind], asked)
    assert limits.low is not None and limits.high is not None
    return limits.low, limits.high


def test_block_brake_and_sheet_have_one_angle(bench: Bench) -> None:
    for thing in (
        ("nose-rib", "rib-forming", "drive-home"),
        ("nose-rib", "rib-straighten", "pull-past"),
        ("block-nose", "form-block", "relieve-edge"),
        ("brake-eighth", "bending-brake", "set-angle-stop"),
    ):
        assert number(bench, *thing) == pytest.approx(SET_DEG, abs=0.01), thing
    low, high = middle(bench, "block-nose", "form-block", "relieve-edge", "relief")
    assert low < 180 - SET_DEG < high
    low, high = middle(bench, "brake-eighth", "bending-brake", "set-angle-stop", "stop")
    assert (low + high) / 2 == pytest.approx(SET_DEG, abs=0.01)
    # What stands at the stop comes back to where the next step wants it.
    low, high = middle(bench, "brake-eighth", "bending-brake", "prove-brake", "square")
    assert low < SET_DEG * KEPT_DEG < high


def test_the_command_draws_the_block_to_the_same_angle(bench: Bench, folder: Path, tmp_path: Path) -> None:
    assert bench.state.trials
    drawn = tmp_path / "block.svg"
    assert main(["rib", "nose-rib", str(folder), "--draw", "block", "--svg", str(drawn)]) == OK
    assert "101.0 degrees from flat" in drawn.read_text(encoding="utf-8")


def plain_kind(bench: Bench, kind: str, **typed: str) -> PartKind:
    """A kind whose sheet is typed and not borrowed."""
    found = bench.shop.kinds[kind]
    dimensions = {**found.dimensions, **typed}
    return found.model_copy(update={"id": f"{kind} {typed.get('sheet_grain')}", "dimensions": dimensions})


def test_tooling_of_a_typed_sheet_says_what_it_lacks(bench: Bench) -> None:
    typed = {"sheet_thickness": ".025", "sheet_alloy": "2024-T3", "bend_radius": "1/8"}
    inputs = {"thickness": "sheet_thickness", "inside_radius": "bend_radius", "alloy": "sheet_alloy"}
    wanted = NumberWanted(calculator="overbend", inputs=inputs)
    lacks = bench.shop.figures.step_number(plain_kind(bench, "block-nose", **typed), wanted)
    assert lacks.value == pytest.approx(95.2, abs=0.1) and "sheet_grain" in lacks.warnings[0]
    told = plain_kind(bench, "block-nose", **typed, sheet_grain="along")
    assert bench.shop.figures.step_number(told, wanted).value == pytest.approx(SET_DEG, abs=0.01)
    across = plain_kind(bench, "block-nose", **typed, sheet_grain="across")
    assert bench.shop.figures.step_number(across, wanted).value == pytest.approx(95.2, abs=0.1)


def test_strips_of_one_alloy_say_nothing_of_another(bench: Bench) -> None:
    kind = bench.shop.kinds["front-spar"]
    for alloy, is_fitted in (("2024-T3", True), ("alloy", True), ("5052-H32", False)):
        wanted = NumberWanted(calculator="overbend", inputs={**SHEET, "alloy": alloy})
        found = bench.shop.figures.step_number(kind, wanted)
        assert any("Fitted" in one for one in found.warnings) == is_fitted, alloy
        assert (found.value == pytest.approx(SET_DEG, abs=0.01)) == is_fitted


def test_the_nose_has_the_room_that_the_strips_leave(bench: Bench) -> None:
    kind = bench.shop.kinds["tailplane-front-spar"]
    figures = bench.shop.figures
    wanted = next(
        one
        for one in bench.shop.procedures["spar-channel"].step("measure-nose").numbers  # type: ignore[union-attr]
        if isinstance(one, NumberWanted) and one.figure is None
    )
    found = figures.step_number(kind, wanted)
    web, upper, lower = (
        figures.number(kind, name, unit)
        for name, unit in (("web_height", "in"), ("upper_bend", "deg"), ("lower_bend", "deg"))
    )
    width = figures.number(kind, "flange_width", "in")
    drawn = swung_over((width, web, width), (upper, lower), lower / KEPT_DEG, 0.032, 0.125)
    over = [y - 0.032 for x, y in drawn.first_flange if x <= 0.125]
    assert found.value == pytest.approx(min(over) - 1 / 16, abs=0.002)
    # By the formula it is .90, and the flange would come down on the nose.
    assert found.value is not None and found.value < 0.80
    assert any("Fitted from 3 strips" in one for one in found.warnings)


@pytest.mark.parametrize(
    ("calculator", "inputs", "worked"),
    [
        # Plain arcs and setbacks at the neutral line of the strips.
        ("bend_allowance", {}, math.pi / 2 * (0.125 + FACTOR * 0.032)),
        ("bend_deduction", {}, 2 * 0.157 - math.pi / 2 * (0.125 + FACTOR * 0.032)),
        ("bend_deduction", {"bend_angle": "60"},
         2 * 0.157 * math.tan(math.pi / 6) - math.pi / 3 * (0.125 + FACTOR * 0.032)),
        ("j_bend", {"leg": "1", "return": ".5"}, 1.5 - 2 * 0.157 + math.pi * (0.125 + FACTOR * 0.032)),
    ],
)  # fmt: skip
def test_every_length_of_a_bend_is_by_the_strips(
    bench: Bench, calculator: str, inputs: dict[str, str], worked: float
) -> None:
    wanted = NumberWanted(calculator=calculator, inputs={**SHEET, **inputs})
    found = bench.shop.figures.step_number(bench.shop.kinds["front-spar"], wanted)
    assert found.value == pytest.approx(worked, abs=2e-5)
    assert found.warnings[0].startswith("Fitted from 3 strips")
    rib = bench.shop.figures.step_number(bench.shop.kinds["rib-clip"], wanted)  # across the grain
    assert not any("strips" in one for one in rib.warnings)


def test_a_rib_says_that_its_blank_is_by_the_formula(
    bench: Bench, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    figures, kind = bench.shop.figures, bench.shop.kinds["nose-rib"]
    # FAA-H-8083-31 chapter 4: (0.01743 R + 0.0078 T) N, beside the arc of these strips.
    apart = (0.01743 * 0.125 + 0.0078 * 0.025) * 90 - math.pi / 2 * (0.125 + FACTOR * 0.025)
    said = figures.said_of_blank(kind)
    assert f"3 strips say that each flange takes {apart:.3f} in less sheet" in said
    for name in ("blank_length", "blank_width"):
        assert figures.worked(kind, name, OfRib(rib=name)).result.warnings[-1] == said  # type: ignore[union-attr]
    assert not figures.worked(kind, "flutes", OfRib(rib="flutes")).result.warnings  # type: ignore[union-attr]
    assert main(["rib", "nose-rib", str(folder)]) == OK
    assert said in capsys.readouterr().out
