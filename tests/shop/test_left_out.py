"""What a rib has and its kind denies, or does not say, takes steps away in silence: `kiosk check` says it."""

import re
import shutil
from pathlib import Path

import pytest

from kiosk.shop.data import data_folder
from kiosk.shop.load import load, load_shop


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(data_folder("scenarios") / "brambling", tmp_path / "shop")
    (tmp_path / "shop" / "procedures").mkdir(exist_ok=True)
    return tmp_path / "shop"


def put(folder: Path, kind: str, name: str, typed: str) -> int:
    """Write a dimension of a kind in place of what stands there, or nothing; gives its line or the kind's."""
    path = folder / "shop.yaml"
    text = path.read_text()
    begin = text.index(f"  - id: {kind}\n")
    line = f"      {name}: {typed}\n" if typed else ""
    own, changed = re.subn(rf"^      {name}: .*\n", line, text[begin:], count=1, flags=re.M)
    assert changed
    path.write_text(text[:begin] + own)
    return text[: begin + (own.index(line) if typed else 0)].count("\n") + 1


RIBS = [
    ("nose-rib", "flutes", "9 flutes"),
    ("nose-rib", "reliefs", "2 reliefs"),
    ("tailplane-rib", "cut_outs", "1 cut-outs"),
    ("main-rib", "lightening_holes", "3 holes"),
    ("nose-rib", "front_height", "2.5716 in"),
]


@pytest.mark.parametrize("typed", ["none", "no", "0", "{{plans: none, rib: {name}}}"])
@pytest.mark.parametrize(("kind", "name", "of_rib"), RIBS)
def test_none_is_told_where_the_rib_has_some(
    folder: Path, kind: str, name: str, of_rib: str, typed: str
) -> None:
    line = put(folder, kind, name, typed.format(name=name))
    shop = load_shop(folder)
    steps = [step for _, step in shop.route_steps(shop.kinds[kind])]
    assert all(step.only_if != name for step in steps), "the plans' word is what goes"
    (fault,) = (one for one in load(folder, lint=True).faults if one.line == line)
    word = "none" if "plans" in typed else typed
    assert fault.severity == "warning"
    assert fault.wrong == f"{name} {word} is not what is worked out, {of_rib} (rib)"


@pytest.mark.parametrize("typed", ["{of: rib-clip, dimension: slots}", "slots"])
def test_none_that_is_borrowed_is_told_where_it_stands(folder: Path, typed: str) -> None:
    for kind in ("rib-clip", "nose-rib"):
        text = (folder / "shop.yaml").read_text()
        begin = text.index(f"  - id: {kind}\n")
        (folder / "shop.yaml").write_text(
            text[:begin]
            + text[begin:].replace("    dimensions:\n", "    dimensions:\n      slots: none\n", 1)
        )
    put(folder, "nose-rib", "flutes", typed)
    (fault,) = load(folder, lint=True).faults
    lines = (folder / "shop.yaml").read_text().splitlines()
    assert fault.wrong == (
        "nose-rib: the layout has 9 flutes, but the steps that make them are left out: slots is none"
    )
    home = "rib-clip" if "of" in typed else "nose-rib"
    assert lines[fault.line - 1].strip() == "slots: none"
    assert lines.index(f"  - id: {home}") == max(
        number for number, one in enumerate(lines[: fault.line]) if one.startswith("  - id: ")
    )


@pytest.mark.parametrize(
    ("kind", "name", "said"),
    [
        ("nose-rib", "flutes", "9 flutes, but the steps that make them are"),
        ("nose-rib", "reliefs", "2 reliefs, but the steps that make them are"),
        ("tailplane-rib", "cut_outs", "1 cut outs, but the steps that make them are"),
        ("nose-rib", "front_height", "front_height 2.572 in, but what asks for it is"),
    ],
)
def test_a_line_that_was_deleted_is_told_at_its_kind(folder: Path, kind: str, name: str, said: str) -> None:
    line = put(folder, kind, name, "")
    (fault,) = (one for one in load(folder, lint=True).faults if one.line == line)
    assert fault.wrong == f"{kind}: the layout has {said} left out: it has no dimension {name!r}"


def test_holes_that_a_rib_has_and_nobody_is_told_to_smooth(folder: Path) -> None:
    line = put(folder, "nose-rib", "holes", "none")
    (fault,) = load(folder, lint=True).faults
    assert fault.line == line
    assert fault.wrong == "holes none is not what is worked out, 3 holes (as 'main-rib' works out its own)"


def test_what_the_rib_says_is_no_other_thing_of_the_same_name(folder: Path) -> None:
    """The edge of the main rib stretches nowhere; the flange of its holes does, which is called so too."""
    put(folder, "main-rib", "edge_stretch", "none")
    assert load(folder, lint=True).faults == []


def test_a_block_that_does_not_say_the_holes_of_its_rib_is_told(folder: Path) -> None:
    line = put(folder, "block-main", "lightening_holes", "")
    (fault,) = load(folder, lint=True).faults
    assert fault.line == line
    assert fault.wrong == (
        "block-main: steps are left out, for it has no dimension 'lightening_holes', but there are 3 holes "
        "(of 'main-rib', which needs it)"
    )


def test_a_block_without_the_holes_of_its_rib_is_told(folder: Path) -> None:
    line = put(folder, "block-main", "lightening_holes", "none")
    (fault,) = (one for one in load(folder, lint=True).faults if one.line == line)
    assert fault.wrong == (
        "lightening_holes none is not what is taken over, 3 holes (of 'main-rib', which needs it)"
    )
