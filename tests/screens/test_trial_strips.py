"""From the trial strips of a spar to its width marked, on the screen: a real deduction is not refused."""

from pathlib import Path

from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.numbers.bends import deduction_in
from kiosk.screens.app import KioskApp
from kiosk.screens.walk import WalkScreen
from tests.conftest import SteadyClocks
from tests.driver import do_step, press, screen_text, with_app
from tests.planning.test_spare import take_to

THICKNESS_IN, RADIUS_IN = 0.032, 0.125
MORE_IN = 0.010  # than FAA-H-8083-31's deduction: what this brake really takes off each bend


def text_of(app: KioskApp) -> str:
    return "\n".join(screen_text(app))


async def begin(app: KioskApp, pilot: Pilot[None]) -> None:
    """From the spar's page into its next step, the cautions read."""
    app.open_part("FS-01")
    await press(app, pilot, "enter")
    assert isinstance(app.screen, WalkScreen), text_of(app)
    while app.bench.step_view(app.screen.work).cautions:
        await press(app, pilot, "enter")


async def strip(app: KioskApp, pilot: Pilot[None], flat_in: float, angle: str = "90") -> None:
    """The figures of one strip, each typed once as it is asked."""
    leg_in = (flat_in + deduction_in(THICKNESS_IN, RADIUS_IN, float(angle)) + MORE_IN) / 2
    for figure in (f"{flat_in:.3f}", "93.1", angle, f"{leg_in:.4f}", f"{leg_in:.4f}"):
        await press(app, pilot, *figure, "enter")


def test_from_the_trial_strips_to_the_marked_width(new_shop: Path) -> None:
    clocks = SteadyClocks()
    bench = Bench(new_shop, clocks)
    for mark in ("BR-01",):
        while bench.position(mark).step is not None:
            do_step(bench, [mark])
        bench.complete(mark)
    take_to(bench, ["FS-01"], "spar-channel/trial-strip")
    kind = bench.shop.kinds["front-spar"]
    formula_in = bench.shop.figures.number(kind, "flat_width", "in")
    bench.close_sitting("")
    bench.close()
    true_in = formula_in - 2 * MORE_IN

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await begin(app, pilot)
        assert "Bend three trial strips" in text_of(app)
        await strip(app, pilot, 1.895, angle="87")  # set too low: told, and of use all the same
        assert "87 OUT" in text_of(app)
        await press(app, pilot, "enter")
        assert "Another" in text_of(app) and "trial strip" in text_of(app)
        await press(app, pilot, "f7")
        assert len(app.bench.state.strips()) == 1
        assert "1 strip" in text_of(app)
        for flat_in, more in ((1.900, 1), (1.905, 0)):
            await strip(app, pilot, flat_in)
            await press(app, pilot, "enter")
            # Until three say something, another is the thing to do, and DONE is asked for by its own key.
            assert (f"ANOTHER TRIAL STRIP ({more} more wanted)" in text_of(app)) == (more > 0)
            await press(app, pilot, "enter" if more else "f7")
        await strip(app, pilot, 1.910)
        await press(app, pilot, "enter", "enter")
        assert len(app.bench.state.strips()) == 4
        await begin(app, pilot)
        page = text_of(app)
        assert "Mark the flat width" in page and "Fitted from 4 strips: 7.00" in page, page
        assert f"by formula {formula_in:.3f}" in page
        for _ in range(2):
            await press(app, pilot, *f"{true_in:.3f}", "enter")
        await press(app, pilot, *"140", "enter")
        assert "OUT" not in text_of(app)
        await press(app, pilot, "enter", "enter")
        where = app.bench.position("FS-01").step
        assert where is not None and where.id == "draw-line"

    with_app(new_shop, walk, clocks=clocks)
