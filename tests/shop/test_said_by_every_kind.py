"""What every kind has to say is never taken for none; a tool's caution is never left out."""

from pathlib import Path

import pytest

from kiosk.shop.data import data_folder
from kiosk.shop.load import load
from kiosk.views.wording import count_words
from tests.shop.test_words_of_a_finish import shop_file, with_dimension, with_step


def with_file(tmp_path: Path, old: str, new: str) -> Path:
    """The folder of the example shop with one text of its own file changed."""
    tmp_path.mkdir(exist_ok=True)
    path = shop_file(tmp_path / "shop")
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))
    return path.parent


def test_a_kind_that_does_not_say_whether_it_has_holes_is_warned_of_and_asked(tmp_path: Path) -> None:
    """A drilled part would be primed with its burrs on, for want of one line in a file."""
    folder = with_file(tmp_path, "      holes: 0\n", "")
    found = load(folder, lint=True)
    (warning,) = [str(one) for one in found.faults]
    assert "'front-spar' does not say its 'holes', which 'deburr' asks of each kind" in warning
    assert "add holes: under its dimensions, 0 for none" in warning and found.shop is not None
    deburr = found.shop.procedures["deburr"]
    steps = {
        kind: [step.id for step in found.shop.steps_for(found.shop.kinds[kind], deburr)]
        for kind in ("front-spar", "rear-spar", "nose-rib")
    }
    assert steps["front-spar"] == steps["nose-rib"]
    assert "deburr-holes" in steps["front-spar"] and "deburr-holes" not in steps["rear-spar"]


def test_the_shipped_kinds_say_it() -> None:
    shop = load(data_folder("scenarios") / "brambling").shop
    assert shop is not None
    kinds = [kind for kind in shop.kinds.values() if "deburr" in kind.procedures]
    assert kinds and all(kind.written("holes") is not None for kind in kinds)


def test_a_step_that_uses_a_tool_without_a_caution_of_it_is_warned_of(tmp_path: Path) -> None:
    folder = with_file(
        tmp_path, "{id: micrometer, name: micrometer}", "{id: micrometer, name: micrometer, hazards: [PRESS]}"
    )
    warnings = [str(one) for one in load(folder, lint=True).faults]
    assert warnings and all(
        "uses 'micrometer' and shows no caution of it; add PRESS" in one for one in warnings
    )
    assert len(warnings) == len({one.split(" warning")[0] for one in warnings})


def test_one_of_a_tools_hazards_is_enough(tmp_path: Path) -> None:
    """The drill press shows the caution of the drill on one step, and of the fly cutter on another."""
    folder = with_file(tmp_path, "hazards: [DRILL, FLY_CUT]", "hazards: [FLY_CUT, DRILL]")
    assert load(folder, lint=True).faults == []
    other = with_file(tmp_path / "other", "hazards: [DRILL, FLY_CUT]", "hazards: [DRILL]")
    warnings = [str(one) for one in load(other, lint=True).faults]
    assert warnings and all("'drill-press'" in one and "add DRILL" in one for one in warnings)


def test_a_tool_names_hazards_that_there_are(tmp_path: Path) -> None:
    folder = with_file(tmp_path, "hazards: [ROUTER]", "hazards: [ROUTR]")
    (fault,) = [str(one) for one in load(folder).errors]
    assert "shop.yaml:" in fault and "unknown hazard 'ROUTR'" in fault and "ROUTER" in fault


def test_a_height_is_no_time(tmp_path: Path) -> None:
    """7.25 in of web would be a pot life of 7 min 15 s."""
    folder, line = with_dimension(tmp_path, "pot: 7.25")
    (shipped,) = data_folder("procedures").rglob("spar-channel.yaml")
    (folder / "procedures").mkdir()
    (folder / "procedures" / shipped.name).write_text(
        shipped.read_text().replace(
            "    stop: anywhere\n",
            "    stop: anywhere\n    waits:\n"
            "      - {what: glue, within: pot, begin: trial-strip, if_missed: glue it again}\n",
            1,
        )
    )
    faults = [str(one) for one in load(folder).errors]
    (fault,) = [one for one in faults if f"shop.yaml:{line}:" in one]
    assert "pot is 7.25 without a unit, and a wait needs a time; write 7.25 min if it is one" in fault
    text = (folder / "shop.yaml").read_text().replace("pot: 7.25", "pot: 7.25 h")
    (folder / "shop.yaml").write_text(text)
    assert not [one for one in map(str, load(folder).errors) if f"shop.yaml:{line}:" in one]


def test_a_shipped_wait_by_a_finish_needs_no_unit(tmp_path: Path) -> None:
    assert with_step(tmp_path, "clean-and-prime", "within: pot_life", "within: pot_life") == []


def test_one_alone_is_not_counted_as_many() -> None:
    assert count_words(0, 1, "cut-outs") == "cut-outs: 0 of 1"
    assert count_words(1, 1, "cut-outs", at_most=True) == "cut-outs: 1 of at most 1"
    assert count_words(1, 2, "cut-outs") == "1 of 2 cut-outs"


def test_a_kind_has_no_less_than_no_holes(tmp_path: Path) -> None:
    faults = [str(one) for one in load(with_file(tmp_path, "holes: 0\n", "holes: -1\n")).errors]
    assert len(faults) == 1 and "holes is -1, and nothing is less than none" in faults[0]


def test_where_no_kind_says_it_nobody_is_told_that_the_step_is_never_reached(tmp_path: Path) -> None:
    """Every kind does it then, as the other line says."""
    path = shop_file(tmp_path / "shop")
    kept = [line for line in path.read_text().splitlines() if not line.startswith("      holes: ")]
    path.write_text("\n".join(kept))
    warnings = [str(one) for one in load(path.parent, lint=True).faults]
    assert warnings and all("does not say its 'holes'" in one for one in warnings)


def test_what_no_step_hangs_on_need_not_be_said(tmp_path: Path) -> None:
    faults = with_step(tmp_path, "deburr", "must_give: [holes]", "must_give: [hole]")
    (fault,) = [one for one in faults if "deburr.yaml:" in one]
    assert "no step of 'deburr' hangs on 'hole', so no kind need give it" in fault and "holes" in fault


@pytest.mark.parametrize("name", ["dry_to_handle", "pot_life", "prepared_life", "recoat_until"])
def test_a_time_of_a_data_sheet_says_hours_or_minutes(tmp_path: Path, name: str) -> None:
    """The sheet prints 4 and means hours: the part would be handled after four minutes."""
    path = shop_file(tmp_path / "shop")
    lines = path.read_text().splitlines()
    (at,) = [number for number, line in enumerate(lines) if line.startswith(f"    {name}:")]
    lines[at] = f"    {name}: 4"
    path.write_text("\n".join(lines))
    faults = [str(one) for one in load(path.parent).errors]
    assert len(faults) == 1 and f"shop.yaml:{at + 1}:" in faults[0]
    assert "'4' does not say of what; write 4 min or 4 h, as the sheet has it" in faults[0]


def test_ends_of_a_finish_are_said_in_their_units(tmp_path: Path) -> None:
    path = shop_file(tmp_path / "shop")
    text = path.read_text()
    at = text.index("    recoat_until:")
    path.write_text(f"{text[:at]}    recoat_until: 2 h{text[text.index(chr(10), at) :]}")
    (fault,) = [str(one) for one in load(path.parent).errors]
    assert "recoat_from 4 h is above recoat_until 2 h" in fault


def test_a_borrowed_section_is_blamed_once_where_it_is_written(tmp_path: Path) -> None:
    """Three kinds have it from the nose rib: it is mended at one line, so it is told at one."""
    folder = with_file(tmp_path, 'section: "2412"', 'section: "0000"')
    line = (folder / "shop.yaml").read_text().splitlines().index('      section: "0000"') + 1
    (fault,) = [str(one) for one in load(folder, lint=True).errors]
    assert f"shop.yaml:{line}:" in fault and "'0000' is 0% thick" in fault
