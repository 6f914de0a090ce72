"""What a hand marks and measures a rib by, against the section's own formula and plain geometry."""

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from kiosk.shop.figures import Figures
from kiosk.shop.load import load, load_shop
from kiosk.shop.procedure import DimensionShown, MeasureCheck
from kiosk.shop.shop import Shop
from kiosk.views.text import rib_text
from tests.numbers.random_ribs import moved_out, section_points

Change = Callable[[str, str, str], None]


@pytest.fixture
def change(new_shop: Path) -> Change:
    """Replaces text in the block of one part kind."""
    path = new_shop / "shop.yaml"

    def replace(kind: str, old: str, new: str) -> None:
        text = path.read_text(encoding="utf-8")
        at = text.index(f"  - id: {kind}\n")
        assert old in text[at:], old
        path.write_text(text[:at] + text[at:].replace(old, new, 1), encoding="utf-8")

    return replace


def warnings(folder: Path) -> list[str]:
    return [str(fault) for fault in load(folder, lint=True).faults]


def along(sign: int, first: float, last: float) -> float:
    """Inches along the outline of a 2412 of 50 in less a skin of .025, between two distances aft."""
    line = moved_out(section_points("2412", sign) * 50, -0.025, sign)
    far = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    order = np.argsort(line[:, 0])
    return float(np.diff(np.interp([first, last], line[order, 0], far[order]))[0])


def shown(shop: Shop, kind: str, dimension: str) -> str:
    return shop.figures.step_number(shop.kinds[kind], DimensionShown(dimension=dimension)).shown


def test_pitch_and_first_rivet_are_those_of_each_piece(new_shop: Path, change: Change) -> None:
    """Once the gap over the cut-out was the widest pitch, 2.502, for pieces laid out at 1.421 and 1.427."""
    change(
        "main-rib",
        "      rivet_pitch: 1-1/2\n",
        "      rivet_pitch: 1-1/2\n      spar_cut_outs: .45 1-1/2 x 3/4 top\n",
    )
    change("main-rib", ".3, .43, .56", ".3, .58")
    shop = load_shop(new_shop)
    pieces = [along(1, 0.21625 * 50, 22.5 - 0.75), along(1, 22.5 + 0.75, 0.68375 * 50)]
    pitches = [(long - 1) / math.ceil((long - 1) / 1.5) for long in pieces]  # rivet_end is 1/2
    assert shown(shop, "main-rib", "upper_pitch") == f"{pitches[0]:.3f} in, then {pitches[1]:.3f} in"
    assert shown(shop, "main-rib", "upper_first_rivet") == "0.500 in (1/2) on each piece"
    lower = along(-1, 0.21625 * 50, 0.68375 * 50) - 1
    assert shown(shop, "main-rib", "lower_pitch") == f"{lower / math.ceil(lower / 1.5):.3f} in"
    widest = shop.figures.number(shop.kinds["main-rib"], "upper_pitch", "in")
    assert widest == pytest.approx(max(pitches), abs=1e-4)
    told = rib_text(shop.figures.rib(shop.kinds["main-rib"]))
    second = ", ".join(f"{0.5 + n * pitches[1]:.3f}" for n in range(8))
    assert f"from piece 2's own front end, rivets at {second}\n" in told


def test_the_first_rivet_is_counted_from_where_the_flange_begins(new_shop: Path, change: Change) -> None:
    """Once from the station (.671 where a rule has to read .500) or from the nose (2.659)."""
    change("nose-rib", "front_station: .025", "front_station: nose")
    figures: Figures = (shop := load_shop(new_shop)).figures
    for kind in ("nose-rib", "trailing-rib", "tailplane-rib"):
        for side in ("upper", "lower"):
            first = figures.number(shop.kinds[kind], f"{side}_first_rivet", "in")
            assert first == pytest.approx(0.5, abs=1e-9), (kind, side)


@pytest.mark.parametrize("wide_in", [0.5, 0.625])
def test_an_end_flange_has_one_rivet_line_everywhere(new_shop: Path, change: Change, wide_in: float) -> None:
    """Once .250 from the edge on paper and .3125 on the step, which put the head into the bend."""
    change("nose-rib", "rear_flange_width: flange_width", f"rear_flange_width: {wide_in}")
    shop = load_shop(new_shop)
    assert not warnings(new_shop)
    (rear,) = shop.figures.rib(shop.kinds["nose-rib"]).ends
    edge = max(x for x, _ in rear.surface)
    drawn = {round(edge - mark.flat[0], 9) for mark in rear.rivets}
    asked = shop.figures.number(shop.kinds["nose-joint"], "rivet_edge", "in")
    assert drawn == {round(asked, 9)} == {wide_in / 2}
    _, step = shop.find_step("rib-check", "flange-width", "NR-01")
    assert step is not None
    limits = {
        check.id: shop.figures.limits(shop.kinds["nose-rib"], check)
        for check in step.checks
        if isinstance(check, MeasureCheck)
    }
    assert "front-width" not in limits  # it has no front flange
    assert limits["rear-width"].low == wide_in - 1 / 32 < wide_in < (limits["rear-width"].high or 0)
    assert limits["width"].low == 0.625 - 1 / 32


def test_an_end_flange_of_another_line_or_of_none_is_told(new_shop: Path, change: Change) -> None:
    change(
        "nose-rib", "rear_flange_width: flange_width", "rear_flange_width: 1/2\n      front_flange_width: 1/2"
    )
    change("nose-rib", "      rear_rivet_line: {rib: rear_rivet_line}\n", "")
    change("nose-joint", "dimension: rear_rivet_line", "dimension: rear_flange_length")
    change("practice-panel", "dimension: rear_rivet_line", "dimension: rear_flange_length")
    told = "\n".join(warnings(new_shop))
    assert "rivets of the rear flange stand 0.250 in from its edge, where rivet_line is 0.312" in told
    assert "front_flange_width of a flange that is not there" in told


@pytest.mark.parametrize(("pitch", "clear"), [("1", "3/16"), (".55", ".2")])
def test_a_flute_line_is_held_to_the_middle_between_its_own_rivets(
    new_shop: Path, change: Change, pitch: str, clear: str
) -> None:
    """Once to 5/16 whatever the pitch: rivets .55 apart leave .275."""
    change("nose-rib", "      rivet_pitch: 1\n", f"      rivet_pitch: {pitch}\n      rivet_clear: {clear}\n")
    shop = load_shop(new_shop)
    _, step = shop.find_step("rib-fluting", "mark-flutes", "NR-01")
    assert step is not None
    check = step.checks[-1]
    assert isinstance(check, MeasureCheck)
    limits = shop.figures.limits(shop.kinds["nose-rib"], check)
    half = min(
        (long - 1) / math.ceil((long - 1) / float(pitch)) / 2
        for sign in (1, -1)
        # The lower edge meets the rear flange's relief a setback ahead of the station.
        for long in [along(sign, 0.025 * 50, 0.2 * 50 - 0.15)]
    )
    assert limits.low is not None and limits.high is not None
    assert limits.low < half < limits.high
    assert limits.low >= half - 1 / 16 - 0.003  # the flute stays off the rivet's head


def test_a_hollow_edge_that_must_crack_is_told_and_shown(new_shop: Path, change: Change) -> None:
    """A hollow of the lower surface, its edge stretched far over the 10 % of 2024-T3 (mill data sheet)."""
    points = [*section_points("2412", 1)[::-25], *section_points("2412", -1)[::25]]
    hollow = [
        (x, y + (0.012 * math.sin(math.pi * (x - 0.05) / 0.12) ** 2 if y < 0 and 0.05 < x < 0.17 else 0.0))
        for x, y in points
    ]
    rows = list(dict.fromkeys(f"{x:.7f} {y:.7f}" for x, y in hollow))
    (new_shop / "hollow.dat").write_text("hollow\n" + "\n".join(rows) + "\n", encoding="utf-8")
    change("nose-rib", 'section: "2412"', "section: hollow.dat")
    change("main-rib", "section: {of: nose-rib, dimension: section}", 'section: "2412"')
    change("trailing-rib", "section: {of: nose-rib, dimension: section}", 'section: "2412"')
    (cracks,) = [one for one in warnings(new_shop) if "elongation" in one]
    line = (
        (new_shop / "shop.yaml").read_text(encoding="utf-8").splitlines().index("      section: hollow.dat")
    )
    assert f"shop.yaml:{line + 1}:" in cracks and "over the 10 % elongation specified for 2024-T3" in cracks
    shop = load_shop(new_shop)
    # The sharpest hollow of y = a sin2(pi x / b): curvature 2 a (pi / b)^2 less that of the section itself.
    sharpest = 2 * 0.012 * 50 * (math.pi / (0.12 * 50)) ** 2
    edge = 0.5386
    most = 100 * edge * sharpest / (1 - edge * sharpest)
    stretch = shop.figures.number(shop.kinds["nose-rib"], "edge_stretch", "%")
    assert 0.6 * most < stretch < most
    (number,) = [
        shop.figures.step_number(shop.kinds["nose-rib"], wanted)
        for wanted in shop.find_step("rib-forming", "first-pass", "NR-01")[1].numbers  # type: ignore[union-attr]
    ]
    assert number.shown == f"{stretch:.4g} %" and "specified for 2024-T3" in number.warnings[0]
    flat = shop.find_step("rib-forming", "first-pass", "MR-01")[1]
    assert flat is not None and flat.numbers == ()  # hollow nowhere
    change("nose-rib", "      edge_stretch: {rib: edge_stretch}\n", "")
    assert any("stretches" in one and "which no step shows" in one for one in warnings(new_shop))


def test_ribs_of_one_wing_share_their_section_and_chord(new_shop: Path, change: Change) -> None:
    """Once typed for each kind: a longer chord moved the spar's web away from two of three ribs."""
    change("nose-rib", "chord: 50\n", "chord: 54\n")
    shop = load_shop(new_shop)
    for kind in ("nose-rib", "main-rib", "trailing-rib"):
        assert shop.figures.rib(shop.kinds[kind]).inputs.chord_in == 54


def test_a_rib_between_spars_follows_their_flanges(new_shop: Path, change: Change) -> None:
    """Once typed: with a wider flange on the spar, the rib's end lay 7/16 inside it."""
    change("front-spar", "flange_width: 3/4", "flange_width: 1-1/4")
    shop = load_shop(new_shop)
    rib = shop.figures.rib(shop.kinds["main-rib"])
    assert rib.upper.line.points[0][0] == pytest.approx(10 + 1.25 + 0.0625, abs=1e-6)
    assert rib.upper.line.points[-1][0] == pytest.approx(35 - 0.75 - 0.0625, abs=1e-6)
