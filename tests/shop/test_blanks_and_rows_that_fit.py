"""A blank that no sheet of the shop gives, and a row with more rivets than it has room for, are told."""

from pathlib import Path

import pytest

from kiosk.shop.blanks import USUAL_SHEET_IN
from kiosk.shop.load import load

SIZES = ", length: 144, width: 48"


def told(folder: Path, *changes: tuple[str, str], below: str = "") -> tuple[int, list[str]]:
    """The line of the last change, and what `kiosk check` says once the shop file is changed so."""
    path = folder / "shop.yaml"
    text, line = path.read_text(encoding="utf-8"), 0
    for old, new in changes:
        at = text.index(old, text.index(f"  - id: {below}\n") if below else 0)
        text = text[:at] + new + text[at + len(old) :]
        line = text[:at].count("\n") + 1
    path.write_text(text, encoding="utf-8")
    return line, [str(fault) for fault in load(folder, lint=True).faults]


def test_a_spar_longer_than_its_sheets_is_told_at_its_length_with_both(new_shop: Path) -> None:
    line, (one,) = told(new_shop, ("blank_length: 11 ft 8", "blank_length: 13 ft"), below="front-spar")
    assert f"shop.yaml:{line}:" in one and "warning" in one
    assert "the blank of 'front-spar', 156.000 x " in one and "its length along the grain" in one
    assert "in no 2024-T3 0.032 sheet of the lots: 144 x 48 in" in one


def test_as_long_as_the_sheet_it_fits(new_shop: Path) -> None:
    assert told(new_shop, ("blank_length: 11 ft 8", "blank_length: 12 ft"), below="front-spar")[1] == []


def test_a_longer_lot_gives_it(new_shop: Path) -> None:
    longer = f"mark: SH-03, {SIZES[2:].replace('144', '13 ft')}"
    whole = (new_shop / "shop.yaml").read_text(encoding="utf-8")
    (new_shop / "shop.yaml").write_text(
        whole.replace(SIZES, "").replace("mark: SH-03", longer), encoding="utf-8"
    )
    assert told(new_shop, ("blank_length: 11 ft 8", "blank_length: 13 ft"), below="front-spar")[1] == []


def test_lots_without_a_size_are_taken_as_the_cutting_list_takes_them(new_shop: Path) -> None:
    """Lots of a shop that was made before had no size to enter."""
    whole = (new_shop / "shop.yaml").read_text(encoding="utf-8")
    (new_shop / "shop.yaml").write_text(whole.replace(SIZES, ""), encoding="utf-8")
    _, (one,) = told(new_shop, ("blank_length: 11 ft 8", "blank_length: 13 ft"), below="front-spar")
    assert "144 x 48 in" in one and "give the lot its length: and width:" in one
    # What `kiosk cut` takes unless it is told another size.
    command = (Path(__file__).parents[2] / "kiosk/commands/cut.py").read_text(encoding="utf-8")
    assert f'default="{"x".join(f"{side:g}" for side in USUAL_SHEET_IN)}"' in command


def test_the_grain_may_be_what_stands_in_the_way(new_shop: Path) -> None:
    """A clip 60 in long with its bend across the grain has its length across the sheet of 48."""
    line, found = told(new_shop, ("blank_length: 3\n", "blank_length: 60\n"), below="rib-clip")
    (one,) = [one for one in found if "sheet of the lots" in one]
    assert f"shop.yaml:{line}:" in one and "its length across the grain" in one


def test_a_blank_too_wide_is_told_at_its_width(new_shop: Path) -> None:
    line, found = told(new_shop, ("blank_width: flat_width", "blank_width: 49"), below="front-spar")
    (one,) = [one for one in found if "sheet of the lots" in one]
    assert f"shop.yaml:{line}:" in one and "140.000 x 49.000 in" in one


def test_half_a_size_of_a_lot_is_refused(new_shop: Path) -> None:
    line, found = told(new_shop, (SIZES, ", width: 48"))
    assert found == [
        f"{new_shop.name}/shop.yaml:{line}:5: lot SH-01 has a width and no length; give it length: too"
    ]


def test_thirty_rivets_in_a_clip_of_three_inches_are_told_with_how_many_fit(new_shop: Path) -> None:
    """3 in less two ends of 5/16 is 2.375; six spaces of 3 diameters (US Navy aviation structural-mechanic
    manual) are 2.25, and a seventh has no room."""
    line, (one,) = told(new_shop, ("clip_rivets: 3\n", "clip_rivets: 30\n"))
    assert f"shop.yaml:{line}:" in one and "warning" in one
    assert "30 rivets in the 3.000 in of 'clip-joint' are 0.082 in apart, under 3 diameters, 0.375 in" in one
    assert "it has room for 7" in one


@pytest.mark.parametrize(("rivets", "warned"), [("3", False), ("7", False), ("8", True), ("2", True)])
def test_from_three_diameters_to_ten_nothing_is_said(new_shop: Path, rivets: str, *, warned: bool) -> None:
    """2.375 in over six spaces is .396, over seven .339, over two 1.188 and over one 2.375; ten diameters of
    1/8 are 1.25 (common practice, no source)."""
    _, found = told(new_shop, ("clip_rivets: 3\n", f"clip_rivets: {rivets}\n"))
    assert bool(found) is warned


def test_a_row_of_a_ribs_own_flange_is_told_once(new_shop: Path) -> None:
    _, (one,) = told(new_shop, ("rear_rivets: 5\n", "rear_rivets: 20\n"), below="nose-rib")
    assert "nose-rib: rivets of the rear flange are 0.250 in apart" in one


def test_a_count_that_a_step_has_typed_is_told_in_the_step(new_shop: Path) -> None:
    folder = new_shop / "procedures"
    folder.mkdir(exist_ok=True)
    shipped = (Path(__file__).parents[2] / "procedures/assembly/rib-to-spar.yaml").read_text(encoding="utf-8")
    own = shipped.replace("count: spar_rivets}}\n    drawing", 'count: "40"}}\n    drawing', 1)
    (folder / "rib-to-spar.yaml").write_text(own, encoding="utf-8")
    found = [one for one in load(new_shop, lint=True).faults if "rivets in the" in one.wrong]
    assert {(Path(one.file).name, own.splitlines()[one.line - 1].count('"40"')) for one in found} == {
        ("rib-to-spar.yaml", 1)
    }
