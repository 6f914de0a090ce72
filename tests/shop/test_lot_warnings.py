"""A sheet, a packet or a tin of which the stock has no lot is told where it is wanted, once."""

from pathlib import Path

from kiosk.shop.load import load

SHEET = "drawing: BLG-W-201\n    material: {alloy: 2024-T3, thickness: "


def told(folder: Path, *changes: tuple[str, str]) -> list[str]:
    """What `kiosk check` says of lots once the shop file is changed so."""
    path = folder / "shop.yaml"
    text = path.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path.write_text(text, encoding="utf-8")
    loaded = load(folder, lint=True)
    assert not loaded.errors
    return [str(fault) for fault in loaded.faults if "no lot of stock" in fault.wrong]


def line_of(folder: Path, words: str) -> int:
    lines = (folder / "shop.yaml").read_text(encoding="utf-8").splitlines()
    (number,) = (number for number, line in enumerate(lines, 1) if words in line)
    return number


def test_a_thickness_that_the_stock_has_not_is_told_at_its_line(new_shop: Path) -> None:
    (one,) = told(new_shop, (f"{SHEET}.032", f"{SHEET}.040"))
    at = line_of(new_shop, "thickness: .040")
    assert f"shop.yaml:{at}:" in one and "warning" in one
    assert (
        "is a 2024-T3 0.040 sheet, which 'spar-channel' step 'choose-sheet' asks for on 'front-spar'" in one
    )
    assert "add it to lots:" in one


def test_a_lot_of_it_ends_the_warning_and_one_of_another_alloy_does_not(new_shop: Path) -> None:
    lot = "lots:\n  - {mark: SH-09, of: sheet, name: sheet, alloy: %s, thickness: .040}"
    thicker = (f"{SHEET}.032", f"{SHEET}.040")
    assert len(told(new_shop, thicker, ("lots:", lot % "6061-T6"))) == 1
    assert told(new_shop, ("alloy: 6061-T6, thickness: .040}", "alloy: 2024-T3, thickness: .040}")) == []


def test_each_sort_that_is_missing_is_told_once_however_many_kinds_want_it(new_shop: Path) -> None:
    found = told(new_shop, ("mark: SH-03, of: sheet", "mark: SH-03, of: other"), ("of: rivet", "of: other"))
    assert [one.split("is a ")[1].split(",")[0] for one in found] == ["2024-T3 0.032 sheet", "rivet"]


def test_the_shop_as_it_comes_has_a_lot_of_each(new_shop: Path) -> None:
    assert told(new_shop) == []
