"""Each trial strip of a step is corrected, or taken back, on the part's page: by finger and by keys."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.commands import main
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from tests.conftest import SteadyClocks
from tests.driver import press, screen_text, undo_newest, with_app
from tests.record.test_trials import bend_three, go_to_trial, measure, width_of

SPAR = "FS-01"


def text_of(app: KioskApp) -> str:
    return " ".join(" ".join(screen_text(app)).split())


async def by_keys(app: KioskApp, pilot: Pilot[None], words: str) -> None:
    """Choose by the arrows and Enter."""
    dialog = app.screen
    assert isinstance(dialog, ChoiceScreen), text_of(app)
    at = next((at for at, one in enumerate(dialog.choices) if words in one.label), None)
    assert at is not None, [one.label for one in dialog.choices]
    while dialog.at != at:
        await press(app, pilot, "down")
    await press(app, pilot, "enter")


async def open_corrections(app: KioskApp, pilot: Pilot[None]) -> None:
    app.open_part(SPAR)
    await pilot.pause()
    app.screen._other()  # type: ignore[attr-defined]
    await pilot.pause()
    await by_keys(app, pilot, "Correct what was mistyped")


def mistyped(folder: Path, *, done: bool) -> SteadyClocks:
    """Three strips on the step, the first with a leg that was read off the wrong mark."""
    clocks = SteadyClocks()
    bench = Bench(folder, clocks)
    bench.mark_clock(right=True)
    work = go_to_trial(bench, SPAR)
    measure(bench, work, SPAR, 1.89, leg="1.0077")
    bench.another_trial(work, SPAR)
    measure(bench, work, SPAR, 1.90)
    bench.another_trial(work, SPAR)
    measure(bench, work, SPAR, 1.91)
    if done:
        bench.finish(work, SPAR)
    bench.close_sitting("")
    bench.close()
    return clocks


def strips_of(bench: Bench) -> list[tuple[int, float, bool]]:
    return [
        (one.number, one.strip.leg_a_in, not one.retracted_by)
        for one in bench.state.trials
        if one.strip.mark == SPAR
    ]


@pytest.mark.parametrize("size", [(64, 20), (120, 36)])
def test_the_first_strip_of_a_sitting_is_corrected_where_the_others_are(
    demo_shop: Path, size: tuple[int, int]
) -> None:
    clocks = mistyped(demo_shop, done=True)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        before = strips_of(bench)
        first, right = before[0], before[1]
        wrong_in = width_of(bench, "front-spar")
        await open_corrections(app, pilot)
        await by_keys(app, pilot, "Bend three trial strips")
        await by_keys(app, pilot, f"Strip {first[0]}:")
        await by_keys(app, pilot, "1.0077 in")
        await press(app, pilot, *"9", "enter")  # no leg of such a strip: asked again at once
        assert "NOT DONE" in text_of(app)
        await press(app, pilot, *f"{right[1] - 0.005:.4f}", "enter")
        await by_keys(app, pilot, "Read off the wrong line")
        after = strips_of(bench)
        assert after[0] == (first[0], first[1], False)  # kept, and struck
        assert after[1:3] == before[1:]
        assert after[3][1] == pytest.approx(right[1] - 0.005) and after[3][2]
        assert width_of(bench, "front-spar") != wrong_in
        assert f"It counts as strip {after[3][0]} now; strip {first[0]} is struck." in text_of(app)
        await open_corrections(app, pilot)
        await by_keys(app, pilot, "Bend three trial strips")
        assert f"Struck: strip {first[0]}" in text_of(app)
        await press(app, pilot, "escape")
        undo_newest(bench)
        assert strips_of(bench)[:3] == before and not strips_of(bench)[3][2]
        assert width_of(bench, "front-spar") == wrong_in

    with_app(demo_shop, walk, size=size, clocks=clocks)


@pytest.mark.parametrize("done", [True, False])
@pytest.mark.parametrize("place", [0, 1])
def test_any_strip_is_taken_back_on_the_screen(demo_shop: Path, place: int, done: bool) -> None:
    clocks = mistyped(demo_shop, done=done)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        number = strips_of(bench)[place][0]
        counted = len(bench.state.strips())
        await open_corrections(app, pilot)
        await by_keys(app, pilot, "Bend three trial strips")
        await by_keys(app, pilot, f"Strip {number}:")
        await by_keys(app, pilot, "Take the strip back")
        await by_keys(app, pilot, "Measured wrong")
        assert len(bench.state.strips()) == counted - 1
        assert (strips_of(bench)[place][0], strips_of(bench)[place][2]) == (number, False)
        assert f"Strip {number} is struck" in text_of(app)

    with_app(demo_shop, walk, clocks=clocks)


def test_the_last_strip_has_the_figures_of_its_step(demo_shop: Path) -> None:
    clocks = mistyped(demo_shop, done=True)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        last = strips_of(bench)[-1]
        await open_corrections(app, pilot)
        await by_keys(app, pilot, "Bend three trial strips")
        await by_keys(app, pilot, f"Strip {last[0]}:")
        await by_keys(app, pilot, f"{last[1]:.4f} in")
        await press(app, pilot, *f"{last[1] + 0.002:.4f}", "enter")
        await by_keys(app, pilot, "Mistyped")
        assert strips_of(bench)[-2] == (last[0], last[1], False)
        assert strips_of(bench)[-1][1] == pytest.approx(last[1] + 0.002) and strips_of(bench)[-1][2]
        (measured,) = (
            values for ref, values in bench.state.part(SPAR).measured.items() if ref.step == "trial-strip"
        )
        assert measured["leg"] == pytest.approx(last[1] + 0.002)

    with_app(demo_shop, walk, clocks=clocks)


def test_the_logbook_strikes_the_old_strip_and_tells_the_new_one(demo_shop: Path) -> None:
    bench = Bench(demo_shop, SteadyClocks())
    bench.mark_clock(right=True)
    bend_three(bench, SPAR)
    number, leg_in, _ = strips_of(bench)[0]
    bench.correct_trial(number, "leg_a", f"{leg_in + 0.001:.4f}", "read over a burr")
    life = bench.life(SPAR)
    told = [one for one in life if f"as corrected, was trial strip {number}" in str(one)]
    assert len(told) == 1 and "read over a burr" in str(told[0])
    bench.close()
    assert main(["check", str(demo_shop)]) == 0
