"""A strip that breaks the agreement of three others is told as it is saved, where it was typed."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.commands import main
from kiosk.numbers.bends import deduction_in
from kiosk.screens.app import KioskApp
from kiosk.screens.walk import WalkScreen
from tests.drawing.one_step import make_shop_at
from tests.driver import press, screen_text, with_app

SPAR = "FS-01"
DEDUCTION_IN = deduction_in(0.032, 0.125, 90)


def text_of(app: KioskApp) -> str:
    """All that the screen shows, in one line."""
    return " ".join(" ".join(screen_text(app)).split())


@pytest.mark.parametrize("size", [(64, 20), (120, 36)])
def test_it_is_told_on_the_step_and_undo_takes_it_back(tmp_path: Path, size: tuple[int, int]) -> None:
    make_shop_at(tmp_path / "shop", "front-spar", "spar-channel", "trial-strip")

    async def strip(app: KioskApp, pilot: Pilot[None], flat_in: float, more_in: float = 0.0) -> None:
        leg_in = (flat_in + DEDUCTION_IN) / 2
        typed = (f"{flat_in:.3f}", "93.1", "90", f"{leg_in:.4f}", f"{leg_in + more_in:.4f}")
        for figure in typed:
            await press(app, pilot, *figure, "enter")
        await press(app, pilot, "enter")  # no crack

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.open_part(SPAR)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, WalkScreen), text_of(app)
        for flat_in in (1.895, 1.900, 1.905):
            await strip(app, pilot, flat_in)
            await press(app, pilot, "f7")
            assert "disagrees" not in text_of(app)
        await strip(app, pilot, 1.900, 0.020)
        await press(app, pilot, "f7")
        assert "Strip 4 disagrees with the others by 0.020 in: measure it again, or" in text_of(app)
        assert "take it back with F6." in text_of(app)
        await press(app, pilot, "f6", "down", "enter")
        assert len(app.bench.state.strips()) == 3 and "disagrees" not in text_of(app)

    with_app(tmp_path / "shop", walk, size=size)


def trial(folder: Path, flat: str, leg: str, setting: str = "93.1") -> int:
    """One strip from the command line."""
    figures = {"thickness": ".032", "radius": "1/8", "flat": flat, "leg-a": leg, "leg-b": leg, "angle": "90"}
    figures |= {"set": setting, "grain": "along"}
    return main(["trial", str(folder), *(word for name in figures for word in (f"--{name}", figures[name]))])


def test_the_command_line_tells_it_too_until_it_is_retracted(
    new_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    legs = [f"{(float(flat) + DEDUCTION_IN) / 2:.4f}" for flat in ("1.895", "1.900", "1.905")]
    for flat, leg in zip(("1.895", "1.900", "1.905"), legs, strict=True):
        assert trial(new_shop, flat, leg) == 0
    assert "disagrees" not in capsys.readouterr().out
    assert trial(new_shop, "1.900", legs[1], "99") == 0
    told = "Strip 4 disagrees with the others by 5.7 degrees: measure it again, or take it back with"
    assert f"{told} `kiosk trial --retract 4 --why REASON`" in capsys.readouterr().out
    assert main(["trial", str(new_shop)]) == 0  # and whenever they are listed
    assert told in capsys.readouterr().out
    assert main(["trial", str(new_shop), "--retract", "4", "--why", "mistyped"]) == 0
    assert "disagrees" not in capsys.readouterr().out


@pytest.mark.parametrize("number", ["1.5", "-1", "one", "1 ", "", "0.9999", "²"])
def test_a_strip_is_retracted_by_the_number_that_the_list_shows(
    new_shop: Path, capsys: pytest.CaptureFixture[str], number: str
) -> None:
    trial(new_shop, "1.900", f"{(1.9 + DEDUCTION_IN) / 2:.4f}")
    capsys.readouterr()
    code = main(["trial", str(new_shop), f"--retract={number}", "--why", "mistyped"])
    said = capsys.readouterr()
    if number == "1 ":
        assert code == 0 and "Strip 1 no longer counts" in said.out
    else:
        assert code == 2 and "is no number of a strip; give the whole number that the list shows" in said.err
        assert main(["trial", str(new_shop)]) == 0 and "NOT COUNTED" not in capsys.readouterr().out
