"""Pictures of the screens: one of each place and of the step in hand, from a copy of the shop."""

from pathlib import Path

import pytest

from kiosk.commands import main
from kiosk.screens.registry import PLACES
from tests.screen_rows import rows_of


def test_each_place_and_the_step_are_saved_and_the_record_is_left_alone(
    demo_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = {path: path.read_bytes() for path in demo_shop.rglob("*") if path.is_file()}
    into = tmp_path / "deep" / "pictures"
    assert main(["picture", str(demo_shop), "--into", str(into), "--size", "100x30"]) == 0
    wanted = [into / f"{name}-100x30.svg" for name in (*(place.name for place in PLACES), "step")]
    assert capsys.readouterr().out.split() == [str(path) for path in wanted]
    assert sorted(into.iterdir()) == sorted(wanted)
    said = {path.name.partition("-")[0]: "\n".join(rows_of(path.read_text("utf-8"))) for path in wanted}
    assert len(set(said.values())) == len(wanted)  # each is of another screen
    assert "CARRY ON" in said["place"] and "Bench numbers" in said["numbers"]
    assert "Squeeze the flutes" in said["step"] and "CARRY ON" not in said["step"]
    assert {path: path.read_bytes() for path in demo_shop.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize("size", ["80", "80x", "x24", "80 x 24", "wide", "-80x24"])
def test_a_size_that_is_none_is_said_in_one_line(
    demo_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], size: str
) -> None:
    assert main(["picture", str(demo_shop), "--into", str(tmp_path / "p"), f"--size={size}"]) == 2
    err = capsys.readouterr().err
    assert "write it like 80x24" in err and err.count("\n") == 1
    assert not (tmp_path / "p").exists()
