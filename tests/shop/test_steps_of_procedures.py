"""What a sheet-metal hand would look for in the shipped steps: order, cautions, and what can be measured."""

import math
from collections.abc import Iterator

import pytest

from kiosk.bench import Bench
from kiosk.drawing.die_drawing import draw_dies
from kiosk.drawing.marks import Circle
from kiosk.numbers.bends import overbend
from kiosk.numbers.holes import flanged_hole, flanging_dies
from kiosk.record.position import revision_changes
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import MeasureCheck, Procedure, Step, StepRef
from tests.driver import do_step

SHOP = load_shop(data_folder("scenarios") / "brambling")
OURS = (
    "rib-blank", "rib-forming", "rib-straighten", "rib-fluting", "rib-hole-flanging", "rib-check",
    "spar-channel", "clip-angle", "bending-brake", "form-block", "hole-dies", "deburr",
)  # fmt: skip
STEPS = [(SHOP.procedures[name], step) for name in OURS for step in SHOP.procedures[name].steps]


def at(procedure: str, step: str) -> int:
    found = SHOP.procedures[procedure].index(step)
    assert found is not None, step
    return found


# Relief holes where bends intersect, and smooth edges before a bend: FAA-H-8083-31 ch. 4. Tooling holes come
# first, so that all is registered by them: common practice, no source.
ORDER = [
    ("rib-blank", "tooling-holes", "trace-blank"),
    ("rib-blank", "trace-blank", "cut-blank"),
    ("rib-blank", "cut-blank", "drill-reliefs"),
    ("rib-blank", "drill-reliefs", "cut-reliefs"),
    ("rib-blank", "cut-reliefs", "deburr-blank"),
    ("rib-blank", "drill-cut-outs", "chain-cut-outs"),
    ("rib-blank", "chain-cut-outs", "part-cut-outs"),
    ("rib-blank", "part-cut-outs", "file-cut-outs"),
    ("rib-blank", "file-cut-outs", "deburr-blank"),
    ("rib-blank", "set-cutter", "cut-lightening-holes"),
    ("rib-fluting", "flute", "mark-trim"),
    ("rib-fluting", "mark-trim", "trim-flange"),
    ("rib-hole-flanging", "check-hole-edge", "press-flanges"),
    ("spar-channel", "dress-trial-strip", "trial-strip"),
    ("spar-channel", "clamp-straightedge", "rout-strip"),
    ("spar-channel", "rout-strip", "cut-ends"),
    ("spar-channel", "dress-edges", "clamp-first"),
    ("spar-channel", "sight-lines", "clamp-first"),
    ("spar-channel", "clamp-first", "bend-first"),
    ("spar-channel", "clamp-second", "bend-second"),
    ("clip-angle", "dress-edges", "bend-clip"),
    ("form-block", "measure-across", "glue-pattern"),
    ("form-block", "join-tiles", "glue-pattern"),
    ("form-block", "pin-holes", "saw-outline"),  # the second block has no line but the first one's
    ("form-block", "sand-to-line", "template-holes"),
    ("form-block", "template-holes", "template-pattern"),
    ("form-block", "template-pattern", "cut-template"),
    ("form-block", "scrap-blank", "first-rib"),
    ("hole-dies", "cut-scrap-hole", "deburr-scrap"),
    ("hole-dies", "deburr-scrap", "prove-dies"),
    ("bending-brake", "dress-strips", "prove-brake"),
]


@pytest.mark.parametrize(("procedure", "before", "after"), ORDER)
def test_what_comes_first_comes_first(procedure: str, before: str, after: str) -> None:
    assert at(procedure, before) < at(procedure, after)


@pytest.mark.parametrize("name", ["main-rib", "tailplane-rib"])
def test_holes_are_flanged_while_the_blank_is_flat(name: str) -> None:
    """The dies as drawn are wider than the web between its bends: pressed later they crush the flanges.

    So the rib's own flanges come after, over blocks whose openings take the holes'.
    """
    kind = SHOP.kinds[name]
    rib = SHOP.figures.rib(kind)
    hole = flanged_hole(SHOP.figures.number(kind, "finished_hole", "in"), _slant(kind), "2024-T3")
    drawn = draw_dies(hole, flanging_dies(hole.cut_out_in, _slant(kind), 0.025), "dies")
    outside = 2 * max(mark.radius_in for mark in drawn.marks if isinstance(mark, Circle))
    x = rib.lightening_holes[-1].centre[0]
    room = rib.upper.line.height_at_x(x) - rib.lower.line.height_at_x(x) - 2 * (0.025 + 0.125)
    assert outside > room
    assert kind.procedures.index("rib-hole-flanging") < kind.procedures.index("rib-forming")


def _slant(kind: PartKind) -> float:
    return SHOP.figures.number(kind, "flange_slant", "in")


@pytest.mark.parametrize(("block", "rib"), [("block-main", "main-rib"), ("block-tailplane", "tailplane-rib")])
def test_an_opening_of_the_block_clears_the_bend_of_the_holes_flange(block: str, rib: str) -> None:
    """The bend begins R tan(angle / 2) outside the die's opening: the least opening asked for is beyond it.

    And the wood left to a tooling pin is that of the drawing, less what the opening may be larger.
    """
    step = SHOP.procedures["form-block"].step("hole-clearance")
    assert step is not None and isinstance(step.checks[0], MeasureCheck)
    limits = SHOP.figures.limits(SHOP.kinds[block], step.checks[0])
    opening = SHOP.figures.number(SHOP.kinds[block], "flange_circle", "in")
    assert limits.low is not None and limits.high is not None
    assert limits.low > opening + 2 * 0.125 * math.tan(math.radians(22.5))
    assert limits.low == pytest.approx(opening + 1 / 8)
    laid = SHOP.figures.rib(SHOP.kinds[rib])
    for pin in laid.tooling_holes:
        for hole in laid.lightening_holes:
            apart = math.dist(pin.centre, hole.centre)
            assert apart - pin.diameter_in / 2 - limits.high / 2 >= 0.18


def test_a_headline_lies_within_what_is_asked_for() -> None:
    """The block is planed to the angle that is shown, and that angle passes."""
    step = SHOP.procedures["form-block"].step("relieve-edge")
    assert step is not None and isinstance(step.checks[0], MeasureCheck)
    for name in ("block-nose", "block-main", "block-trailing", "block-tailplane"):
        kind = SHOP.kinds[name]
        shown = 180 - overbend(0.025, SHOP.figures.number(kind, "bend_radius", "in"), "2024-T3").angle_deg
        limits = SHOP.figures.limits(kind, step.checks[0])
        assert limits.low is not None and limits.high is not None
        assert limits.low + 0.25 < shown < limits.high - 0.25


def test_a_flange_sprung_open_is_within_what_is_asked_of_it() -> None:
    """98 degrees between its faces is bent 82 from flat: within 75 to 92, where 98 was out."""
    for name, step_id, check_id in (
        ("rib-straighten", "measure-flange", "as-formed"),
        ("form-block", "first-rib", "angle"),
    ):
        step = SHOP.procedures[name].step(step_id)
        assert step is not None
        (check,) = [one for one in step.checks if one.id == check_id]
        assert isinstance(check, MeasureCheck) and "bent from flat" in check.ask
    for kind, ends in (("main-rib", 0), ("nose-rib", 1), ("trailing-rib", 1), ("tailplane-rib", 2)):
        steps = SHOP.steps_for(SHOP.kinds[kind], SHOP.procedures["rib-straighten"])
        pull = next(one for one in steps if one.id == "pull-past")
        assert sum("end flange" in check.ask for check in pull.checks) == ends


def test_a_cut_out_has_its_drill_and_its_size() -> None:
    """The tail rib's: 5/8 by 7/8, corners of 1/8 radius, so a 1/4 drill."""
    kind = SHOP.kinds["tailplane-rib"]
    procedure = SHOP.procedures["rib-blank"]
    for step_id, check_id, wanted in (
        ("drill-cut-outs", "size", 0.25),
        ("file-cut-outs", "width", 0.625),
        ("file-cut-outs", "depth", 0.875),
    ):
        step = procedure.step(step_id)
        assert step is not None
        (check,) = [one for one in step.checks if one.id == check_id]
        assert isinstance(check, MeasureCheck)
        limits = SHOP.figures.limits(kind, check)
        assert limits.low is not None and limits.high is not None
        assert limits.low <= wanted + 1e-9 and wanted < limits.high <= wanted + 1 / 32 + 1e-9


def _saying(*words: str) -> Iterator[tuple[Procedure, Step]]:
    for procedure, step in STEPS:
        if step.do.split()[0].lower() in words:
            yield procedure, step


@pytest.mark.parametrize(
    ("tag", "verbs"),
    [
        ("EYES", ("drill", "cut", "file", "deburr", "saw", "sand", "rout", "shear", "snip", "trim", "stamp",
                  "turn", "bore", "chamfer", "brush", "drive")),
        ("EDGE_SHEET", ("pin", "deburr", "snip", "trim", "trace")),
    ],
)  # fmt: skip
def test_each_act_that_throws_chips_or_cuts_a_hand_has_its_caution(tag: str, verbs: tuple[str, ...]) -> None:
    """29 CFR 1910.133 (eyes) and 1910.138 (hands). Sealer is brushed on, and a block has no raw edge."""
    bare = [
        str(procedure.ref(step))
        for procedure, step in _saying(*verbs)
        if tag not in step.hazards and "SOLVENT" not in step.hazards
    ]
    assert bare == []


def test_wood_is_cut_with_its_dust_told() -> None:
    """29 CFR 1910.1000; hand tools too."""
    for name in ("saw-outline", "sand-to-line", "pin-holes", "template-holes", "round-edge", "relieve-edge",
                 "hole-clearance"):  # fmt: skip
        step = SHOP.procedures["form-block"].step(name)
        assert step is not None and "WOOD_DUST" in step.hazards, name


def test_nothing_is_asked_that_a_garage_cannot_measure() -> None:
    """Calipers read .001 and a steel rule 1/64. A band of less than .004 in asks for more."""
    for name in OURS:
        for kind in SHOP.kinds.values():
            if name not in kind.procedures:
                continue
            for step in SHOP.steps_for(kind, SHOP.procedures[name]):
                for check in step.checks:
                    if not isinstance(check, MeasureCheck) or check.unit != "in":
                        continue
                    limits = SHOP.figures.limits(kind, check)
                    assert limits.low is not None and limits.high is not None
                    assert limits.high - limits.low >= 0.0039, f"{name}/{step.id}/{check.id}"


def test_a_part_under_way_finds_its_place_when_the_order_changes(bench: Bench) -> None:
    """By revision 1 the tooling holes came after filing: a blank that stands there tries its pins next."""
    for _ in range(2):
        do_step(bench, ["NR-01"])
    bench.skip("NR-01", "by revision 1 it comes later")
    for _ in range(5):
        do_step(bench, ["NR-01"])
    where = bench.position("NR-01")
    assert where.step is not None and where.step.id == "try-pins"
    assert where.procedure is not None and where.procedure.ref(where.step) == StepRef("rib-blank", "try-pins")
    assert revision_changes(bench.shop, bench.state, "NR-01") == []


@pytest.mark.parametrize("kind", ["front-spar", "rear-spar", "rib-clip", "main-rib", "tailplane-rib"])
def test_minutes_follow_the_part(kind: str) -> None:
    """An 11 ft 8 edge takes longer than one of 3 in."""
    steps = SHOP.steps_for(SHOP.kinds[kind], SHOP.procedures["deburr"])
    length = SHOP.figures.number(SHOP.kinds[kind], "blank_length", "in")
    assert steps[0].minutes.each == pytest.approx(1 + length / 12 * 3)
