"""A finish's own words: no part kind loosens them, and no step takes one for a figure of another unit."""

import shutil
from pathlib import Path

import pytest

from kiosk.shop.data import data_folder
from kiosk.shop.finish import CONTENTS, FINISH_FIGURES, TO_READ, is_of_a_finish
from kiosk.shop.load import load

PRIME = "clean-and-prime"


def shop_file(folder: Path) -> Path:
    """The example shop's file alone in a folder of its own."""
    folder.mkdir()
    return Path(shutil.copy(data_folder("scenarios") / "brambling" / "shop.yaml", folder))


def with_dimension(tmp_path: Path, line: str) -> tuple[Path, int]:
    """A shop whose front spar has one more dimension, and the line on which it stands."""
    path = shop_file(tmp_path / "shop")
    text = path.read_text()
    at = text.index("dimensions:\n", text.index("- id: front-spar")) + len("dimensions:\n")
    path.write_text(f"{text[:at]}      {line}\n{text[at:]}")
    return path.parent, text[:at].count("\n") + 1


def with_step(tmp_path: Path, procedure: str, old: str, new: str) -> list[str]:
    """Every fault of the example shop with one text of a shipped procedure changed."""
    path = shop_file(tmp_path / "shop")
    (shipped,) = data_folder("procedures").rglob(f"{procedure}.yaml")
    text = shipped.read_text()
    assert old in text
    own = path.parent / "procedures" / shipped.name
    own.parent.mkdir()
    own.write_text(text.replace(old, new, 1))
    return [str(fault) for fault in load(path.parent).errors]


@pytest.mark.parametrize("name", [f"{one}{TO_READ}" for one in (*CONTENTS, "pot_life", "base_parts")])
def test_no_part_kind_says_what_the_kiosk_asks_of_a_finish(tmp_path: Path, name: str) -> None:
    folder, line = with_dimension(tmp_path, f"{name}: none")
    (fault,) = [str(one) for one in load(folder).errors]
    assert f"shop.yaml:{line}:7: {name} is what the kiosk asks of a finish" in fault and "delete it" in fault


@pytest.mark.parametrize("name", ["pot_life", "thinner", "gun_rest", "humidity_high", "product"])
def test_no_part_kind_gives_a_figure_of_its_finish(tmp_path: Path, name: str) -> None:
    folder, line = with_dimension(tmp_path, f"{name}: 1")
    assert [one for one in map(str, load(folder).errors) if f"shop.yaml:{line}:" in one and name in one]


def test_nor_where_it_has_no_finish_or_the_sheet_says_nothing_of_it(tmp_path: Path) -> None:
    """Else the typical value, and that it is typical, would be put away by one line."""
    path = shop_file(tmp_path / "shop")
    text = path.read_text().replace("    pot_life: 6 h\n", "", 1)
    at = text.index("dimensions:\n", text.index("- id: front-spar")) + len("dimensions:\n")
    path.write_text(f"{text[:at]}      pot_life: 20 h\n{text[at:]}")
    (fault,) = [str(one) for one in load(path.parent).errors]
    assert "pot_life is a figure of a finish" in fault and "write it under finishes: at hedge-grey" in fault


def test_every_word_of_a_finish_is_one() -> None:
    assert all(is_of_a_finish(name) for name in FINISH_FIGURES)
    assert is_of_a_finish("chromate_to_read") and not is_of_a_finish("chromate")
    assert not is_of_a_finish("thickness_to_read") and not is_of_a_finish("_to_read")


@pytest.mark.parametrize(
    ("old", "new", "wrong"),
    [
        ("within: pot_life\n", "within: film_low\n", "film_low is a length, not a time"),
        ("within: pot_life\n", "within: pot_life_at\n", "pot_life_at is a temperature, not a time"),
        ("within: pot_life\n", "within: base_parts\n", "base_parts is a count, not a time"),
        ("low: air_low,", "low: pot_life,", "pot_life is a time, not a temperature"),
        ("low: humidity_low,", "low: air_low,", "air_low is a temperature, not a percentage"),
        ("dry_film: film_high", "dry_film: pot_life", "pot_life is a time, not a length"),
        ("high: film_high}", "high: solids}", "solids is a percentage, not a length"),
    ],
)
def test_a_figure_of_another_unit_is_a_fault_where_it_is_named(
    tmp_path: Path, old: str, new: str, wrong: str
) -> None:
    faults = with_step(tmp_path, PRIME, old, new)
    assert len(faults) == 1 and wrong in faults[0] and f"{PRIME}.yaml:" in faults[0], faults


@pytest.mark.parametrize(
    ("old", "new", "wrong"),
    [
        ("{low: air_low, high: air_high}", "{low: air_high, high: air_low}", "low 90 is above high 55"),
        ("{low: air_low, high: air_high}", "{low: 92, high: air_high}", "low 92 is above high 90"),
        (
            "{low: humidity_low, high: humidity_high}",
            "{low: humidity_low, high: 20}",
            "low 30 is above high 20",
        ),
    ],
)
def test_a_room_that_can_never_be_is_a_fault_where_it_is_named(
    tmp_path: Path, old: str, new: str, wrong: str
) -> None:
    faults = with_step(tmp_path, PRIME, old, new)
    assert len(faults) == 1 and wrong in faults[0] and f"{PRIME}.yaml:" in faults[0], faults


def test_an_open_end_and_a_procedure_on_no_route(tmp_path: Path) -> None:
    assert with_step(tmp_path, PRIME, "{low: air_low, high: air_high}", "{low: air_low}") == []
    own = tmp_path / "shop" / "procedures" / "tempering.yaml"
    own.write_text(
        (tmp_path / "shop" / "procedures" / f"{PRIME}.yaml")
        .read_text()
        .replace(f"id: {PRIME}\n", "id: tempering\n", 1)
        .replace("within: pot_life\n", "within: film_low\n", 1)
    )
    (fault,) = [str(one) for one in load(tmp_path / "shop").errors]
    assert "tempering.yaml:" in fault and "film_low of a finish is no figure in min" in fault


def test_a_wait_that_a_dimension_makes_too_short_is_a_fault(tmp_path: Path) -> None:
    """Found when the shop is read, and not at the bench."""
    path = shop_file(tmp_path / "shop")
    (shipped,) = data_folder("procedures").rglob("spar-channel.yaml")
    own = path.parent / "procedures" / shipped.name
    own.parent.mkdir()
    old = "    stop: anywhere\n"
    wait = (
        "    waits:\n      - {what: glue, within: glue_time, begin: trial-strip, if_missed: glue it again}\n"
    )
    text = shipped.read_text()
    own.write_text(text.replace(old, old + wait, 1))
    file = path.read_text()
    lines = []
    kinds = ("front-spar", "rear-spar", "tailplane-front-spar", "tailplane-rear-spar")
    for kind in kinds:
        at = file.index("dimensions:\n", file.index(f"- id: {kind}")) + len("dimensions:\n")
        lines.append(file[:at].count("\n") + 1)
        file = f"{file[:at]}      glue_time: 0\n{file[at:]}"
    path.write_text(file)
    faults = [str(one) for one in load(path.parent).errors]
    assert len(faults) == len(kinds)
    for line, fault in zip(lines, faults, strict=True):
        assert f"shop.yaml:{line}:" in fault and "glue_time is 0 min, too short" in fault
