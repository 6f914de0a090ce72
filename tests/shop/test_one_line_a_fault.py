"""One fault is one line, at the place that is guilty, whatever stands where one value is wanted."""

import copy
import shutil
from pathlib import Path
from typing import Any

import pytest

from kiosk.drawing.step_drawings import STEP_DRAWINGS
from kiosk.shop.data import data_folder
from kiosk.shop.faults import Fault
from kiosk.shop.load import load
from kiosk.shop.reader import Document, Location, read_document, validate
from kiosk.shop.shop import ShopFile
from tests.shop.mutations import JARGON

SCENARIO = data_folder("scenarios") / "brambling"


def fields_of_the_shop(document: Document) -> dict[tuple[str, ...], Location]:
    """The first place of each field that holds one value, by its keys."""
    found: dict[tuple[str, ...], Location] = {}
    for location in document.values:
        if not isinstance(_at(document.data, location), list | dict):
            found.setdefault(tuple("" if isinstance(part, int) else part for part in location), location)
    return found


def _at(data: Any, location: Location) -> Any:
    for part in location:
        data = data[part]
    return data


@pytest.mark.parametrize("wrong", [["1"], {"a": "b"}, [], {}], ids=str)
def test_a_list_or_a_map_where_one_value_is_wanted(wrong: Any) -> None:
    """Once a crash without file or line at every length: film_low, a lot's and a material's thickness."""
    document = read_document(SCENARIO / "shop.yaml", "shop.yaml")
    fields = fields_of_the_shop(document)
    assert len(fields) > 200
    for name, location in fields.items():
        data = copy.deepcopy(document.data)
        _at(data, location[:-1])[location[-1]] = copy.deepcopy(wrong)
        spoilt = Document("shop.yaml", document.text, data, document.values, document.keys)
        assert validate(spoilt, ShopFile) is None, name
        told = set(spoilt.faults)  # as `kiosk check` shows them
        assert len(told) == 1, (name, told)
        (one,) = told
        assert one.line == document.values[location][0], (name, str(one))
        assert not JARGON.search(one.wrong), str(one)


def faults(folder: Path, shop: tuple[str, str] | None, procedure: tuple[str, str, str] | None) -> list[Fault]:
    shutil.copytree(SCENARIO, folder)
    if shop is not None:
        path = folder / "shop.yaml"
        text = path.read_text(encoding="utf-8")
        assert shop[0] in text
        path.write_text(text.replace(*shop, 1), encoding="utf-8")
    if procedure is not None:
        name, old, new = procedure
        text = (data_folder("procedures") / name).read_text(encoding="utf-8")
        assert old in text
        (folder / "procedures").mkdir(exist_ok=True)
        (folder / "procedures" / Path(name).name).write_text(text.replace(old, new, 1), encoding="utf-8")
    return load(folder, lint=True, drawings=STEP_DRAWINGS).errors


@pytest.mark.parametrize(
    ("shop", "procedure", "place", "words"),
    [
        # Once nine lines in shop.yaml, each "add pot_lif under its dimensions".
        (
            None,
            ("finish/clean-and-prime.yaml", "within: pot_life", "within: pot_lif"),
            "within: pot_lif",
            "did you mean 'pot_life'",
        ),
        (
            None,
            ("finish/clean-and-prime.yaml", "uses_finish: yes", "uses_finish: maybe"),
            "uses_finish: maybe",
            "write yes, no or cured",
        ),
        # Once a line at each kind that gets the finish, none at the finish.
        (("surface_low: 55", "surface_low: -1"), None, "surface_low: -1", "surface"),
        (
            ("blank_width: {rib: blank_width}", "blank_width: {rib: blank_width, plans: -1}"),
            None,
            "plans: -1",
            "-1",
        ),
        (
            ("blank_width: {rib: blank_width}", "blank_width: {rib: blank_width, plans: abc}"),
            None,
            "plans: abc",
            "abc",
        ),
        # A bend that a channel of two has not: once a line for each kind of spar.
        (
            None,
            (
                "spar/spar-channel.yaml",
                "inside_radius: bend_radius, bend: 2,",
                "inside_radius: bend_radius, bend: 3,",
            ),
            "bend: 3",
            "bend",
        ),
        # Once 0 faults, and every true strip refused at the bench.
        (
            None,
            ("spar/spar-channel.yaml", "angle: angle, set_angle: set", "angle: set, set_angle: angle"),
            "angle: set, set_angle: angle",
            "springs back",
        ),
    ],
)
def test_one_fault_is_one_line_at_its_place(
    tmp_path: Path,
    shop: tuple[str, str] | None,
    procedure: tuple[str, str, str] | None,
    place: str,
    words: str,
) -> None:
    folder = tmp_path / "shop"
    told = faults(folder, shop, procedure)
    (one,) = told
    path = folder / "shop.yaml" if procedure is None else folder / "procedures" / Path(procedure[0]).name
    assert place in path.read_text(encoding="utf-8").splitlines()[one.line - 1] and one.file.endswith(
        path.name
    )
    assert words in f"{one.wrong}; {one.mend}"


def test_a_tool_that_three_steps_need_and_nobody_has_is_one_line(tmp_path: Path) -> None:
    shutil.copytree(SCENARIO, tmp_path / "shop")
    path = tmp_path / "shop" / "shop.yaml"
    text = path.read_text(encoding="utf-8")
    assert text.count("  - {id: hole-pins") == 1
    kept = [line for line in text.splitlines() if not line.startswith("  - {id: hole-pins")]
    path.write_text("\n".join(kept) + "\n", encoding="utf-8")
    (one,) = load(tmp_path / "shop").faults
    assert "'hole-pins' is not among the tools of shop/shop.yaml, and 2 more steps need it" in str(one)
    assert "add it to tools: of shop/shop.yaml. Until then the step waits for it" in one.mend
    # A newer kiosk whose procedures ask for more stops those steps, never the shop; a slip in the builder's
    # own procedure is mended first.
    assert one.severity == "warning"
    shipped = data_folder("procedures") / "assembly" / "rib-to-spar.yaml"
    (tmp_path / "shop" / "procedures").mkdir(exist_ok=True)
    shutil.copy(shipped, tmp_path / "shop" / "procedures" / "rib-to-spar.yaml")
    (one,) = load(tmp_path / "shop").faults
    assert one.severity == "error" and one.file == "shop/procedures/rib-to-spar.yaml"


def test_a_dimension_that_is_deleted_is_told_once_with_the_steps_that_use_it(tmp_path: Path) -> None:
    """It was told once for each step: the line that was to be mended stood among ten others."""
    told = faults(tmp_path / "shop", ("      flange_width: 5/8\n", ""), None)
    (missing,) = [one.wrong for one in told if "has no dimension 'flange_width'" in one.wrong]
    assert missing == (
        "part kind 'nose-rib' has no dimension 'flange_width', "
        "which 'rib-fluting' step 'mark-trim' and 2 other steps use"
    )
