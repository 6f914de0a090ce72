"""What a sheet-metal hand would look for in the shipped steps: order, cautions, and what can be measured."""

from collections.abc import Iterator

import pytest

from kiosk.bench import Bench
from kiosk.record.position import revision_changes
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
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
    ("rib-blank", "file-cut-outs", "deburr-blank"),
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
    ("form-block", "pin-holes", "template-holes"),
    ("form-block", "scrap-blank", "first-rib"),
    ("hole-dies", "cut-scrap-hole", "deburr-scrap"),
    ("hole-dies", "deburr-scrap", "prove-dies"),
    ("bending-brake", "dress-strips", "prove-brake"),
]


@pytest.mark.parametrize(("procedure", "before", "after"), ORDER)
def test_what_comes_first_comes_first(procedure: str, before: str, after: str) -> None:
    assert at(procedure, before) < at(procedure, after)


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
    for _ in range(4):
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
