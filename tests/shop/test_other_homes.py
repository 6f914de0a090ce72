"""A typed dimension that no calculator is named after is held to what else works it out: another kind of the
same procedure, or the section that its steps bend.
"""

import re
import shutil
from pathlib import Path

import pytest

from kiosk.shop.data import data_folder
from kiosk.shop.faults import Fault
from kiosk.shop.load import load, load_shop

SPARS = ("front-spar", "rear-spar", "tailplane-front-spar", "tailplane-rear-spar")
# FAA-H-8083-31 chapter 4 for the rib clip: legs 1-1/2 and 3/4 outside, .025 sheet, 1/8 inside radius, 90 deg.
# Setback R + T, bend allowance (0.01743 R + 0.0078 T) a degree, sight line one radius from the tangent line.
SETBACK_IN = 0.125 + 0.025
CLIP_WIDTH_IN = (1.5 - SETBACK_IN) + 90 * (0.01743 * 0.125 + 0.0078 * 0.025) + (0.75 - SETBACK_IN)
CLIP_SIGHT_IN = 1.5 - SETBACK_IN + 0.125


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(data_folder("scenarios") / "brambling", tmp_path / "shop")
    return tmp_path / "shop"


def put(folder: Path, kind: str, name: str, typed: str) -> None:
    """Write a dimension of a kind as a plain value in place of whatever stands there."""
    path = folder / "shop.yaml"
    text = path.read_text()
    begin = text.index(f"  - id: {kind}\n")
    own, changed = re.subn(
        rf"^      {name}: .*$", f"      {name}: {typed}", text[begin:], count=1, flags=re.M
    )
    assert changed
    path.write_text(text[:begin] + own)


def told(folder: Path, name: str) -> list[Fault]:
    """What `kiosk check` says of a dimension, each with the line that it stands in."""
    loaded = load(folder, lint=True)
    assert not loaded.errors
    found = [
        fault for fault in loaded.faults if fault.wrong.startswith(f"{name} ") and "worked out" in fault.wrong
    ]
    lines = (folder / "shop.yaml").read_text().splitlines()
    assert all(lines[one.line - 1].strip().startswith(f"{name}:") for one in found)
    return found


@pytest.mark.parametrize(
    ("kind", "name", "typed", "wrong"),
    [
        ("front-spar", "blank_width", "7.5", "7.0215 in (as 'rear-spar' works out its own)"),
        ("front-spar", "sight_line", ".755", "0.7335 in (as 'rear-spar' works out its own)"),
        ("front-spar", "lower_sight_line", "1.4", "0.7195 in (as 'rear-spar' works out its own)"),
        ("nose-joint", "rivet_end", ".5", "0.3125 in (as 'clip-joint' works out its own)"),
        ("clip-joint", "spar_grip", ".09", "0.0500 in (as 'practice-panel' works out its own)"),
        ("nose-rib", "flange_rivets", "40", "18 rivets (as 'main-rib' works out its own)"),
        ("rib-clip", "flat_width", "2.1", f"{CLIP_WIDTH_IN:.4f} in (flat width, by step 'sight-line')"),
        ("rib-clip", "blank_width", "2.5", f"{CLIP_WIDTH_IN:.4f} in (flat width, by step 'sight-line')"),
        ("rib-clip", "sight_line", "1.2", f"{CLIP_SIGHT_IN:.4f} in (as its bends are drawn)"),
    ],
)
def test_a_typed_figure_is_told_with_what_is_worked_out_elsewhere(
    folder: Path, kind: str, name: str, typed: str, wrong: str
) -> None:
    if kind == "rib-clip" and name == "blank_width":
        put(folder, kind, "flat_width", f"{CLIP_WIDTH_IN:.3f}")  # nothing of the file says it any more
        for spar in SPARS:
            put(folder, spar, "blank_width", f"{load_width(folder, spar):.3f}")
    put(folder, kind, name, typed)
    (fault,) = told(folder, name)
    assert fault.severity == "warning"
    assert fault.wrong == f"{name} {typed} is not what is worked out, {wrong}"
    shop = load_shop(folder)
    assert shop.figures.dimension(shop.kinds[kind], name).shown == typed, "the plans' figure is used"


def load_width(folder: Path, kind: str) -> float:
    shop = load_shop(folder)
    return shop.figures.number(shop.kinds[kind], "flat_width", "in")


@pytest.mark.parametrize(
    ("kind", "name", "typed"),
    [
        ("front-spar", "blank_width", "7.022"),
        ("front-spar", "blank_width", "7-1/64"),
        ("front-spar", "sight_line", ".734"),
        ("nose-joint", "rivet_end", "5/16"),
        ("rib-clip", "flat_width", f"{CLIP_WIDTH_IN:.3f}"),
        ("rib-clip", "sight_line", f"{CLIP_SIGHT_IN:.3f}"),
    ],
)
def test_a_figure_typed_as_closely_as_it_is_printed_is_told_nothing(
    folder: Path, kind: str, name: str, typed: str
) -> None:
    put(folder, kind, name, typed)
    assert load(folder, lint=True).faults == []


def test_a_sight_line_that_nothing_works_out_any_more_is_held_to_the_bends_that_are_drawn(
    folder: Path,
) -> None:
    """Which of the two bends a typed line is of no file says then: it is told where it is of neither."""
    for spar in SPARS:
        put(folder, spar, "sight_line", ".720")
        put(folder, spar, "lower_sight_line", ".720")
    wrong = [one.wrong for one in told(folder, "sight_line")]
    assert wrong == [
        f"sight_line .720 is not what is worked out, {lines} (as its bends are drawn)"
        for lines in ("0.7371 in or 0.7277 in", "0.6782 in", "0.7080 in")
    ]


@pytest.mark.parametrize(
    ("name", "typed", "wrong"),
    [
        ("bend_radius", "3/16", "0.1250 in (of 'main-rib', which needs it)"),
        ("sheet_thickness", ".032", "0.0250 in (of 'main-rib', which needs it)"),
        ("tooling_holes", "5", "3 holes (of 'main-rib', which needs it)"),
        ("bend_radius", "1/8", ""),
        ("sheet_thickness", ".025", ""),
    ],
)
def test_a_figure_typed_on_tooling_is_held_to_the_part_that_it_is_for(
    folder: Path, name: str, typed: str, wrong: str
) -> None:
    """A block's edge of another radius than the rib's makes every rib wrong that is formed over it."""
    put(folder, "block-main", name, typed)
    told = [fault.wrong for fault in load(folder, lint=True).faults if "taken over" in fault.wrong]
    assert told == ([f"{name} {typed} is not what is taken over, {wrong}"] if wrong else [])


def test_what_is_counted_or_meant_otherwise_is_left_alone(folder: Path) -> None:
    """More holes to deburr than pins, the bend of a spar that a rib only hands on, a strip of one's own size:
    a name alone says too little."""
    put(folder, "nose-rib", "holes", "9")
    put(folder, "rib-clip", "blank_length", "3-1/8")
    assert load(folder, lint=True).faults == []


def test_a_kind_that_is_bent_the_other_way_has_its_width_left_alone(folder: Path) -> None:
    for spar in SPARS:
        put(folder, spar, "blank_width", f"{load_width(folder, spar):.3f}")
    put(folder, "rib-clip", "blank_width", "2.5\n      bend_grain: along")
    assert told(folder, "blank_width") == []


def test_two_kinds_that_work_it_out_in_two_ways_say_nothing_of_a_third(folder: Path) -> None:
    """A third spar whose plans print it: which of the two is meant nobody knows."""
    path = folder / "shop.yaml"
    text = path.read_text()
    begin = text.index("  - id: rear-spar\n")
    other = text[begin:].replace("figure: sight_lines", "figure: far_sight_lines", 1)
    path.write_text(text[:begin] + other)
    put(folder, "front-spar", "sight_line", ".9")
    assert told(folder, "sight_line") == []
