"""What a step is done by stands on the smallest screens: the setting, both amounts, what is typical."""

from pathlib import Path

import pytest
import yaml
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
from kiosk.screens.walk import WalkScreen
from tests.drawing.one_step import LOADER, make_shop_at
from tests.driver import press, screen_text
from tests.screens.moment import with_app

SIZES = [(73, 20), (80, 24), (120, 36)]


def text_of(app: KioskApp) -> str:
    """All that the screen shows, in one line."""
    return " ".join(" ".join(screen_text(app)).split())


def with_bare_sheet(folder: Path) -> None:
    """Leave the shop's finish nothing but its name: every figure of it is typical."""
    path = folder / "shop.yaml"
    shop = yaml.load(path.read_text(encoding="utf-8"), LOADER)
    shop["finishes"] = [{"id": one["id"], "name": one["name"]} for one in shop["finishes"]]
    path.write_text(yaml.safe_dump(shop, sort_keys=False, width=1000), encoding="utf-8")


@pytest.mark.parametrize("size", SIZES)
def test_the_setting_stands_on_the_step_that_bends_to_it(tmp_path: Path, size: tuple[int, int]) -> None:
    make_shop_at(tmp_path / "shop", "front-spar", "spar-channel", "trial-strip")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.walk(app.bench.start(["FS-01"], "spar-channel", "trial-strip"))
        await press(app, pilot, "f24")  # a key that does nothing: the screen comes to rest
        assert isinstance(app.screen, WalkScreen)
        view = app.bench.step_view(app.screen.work)
        (setting,) = [one.shown for one in view.numbers]
        assert setting.split()[0] in text_of(app), text_of(app)
        assert "Flat length written on this strip" in text_of(app)  # and what is asked now

    with_app(tmp_path / "shop", walk, size=size)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("entered", [True, False])
def test_both_amounts_are_on_the_mix_and_typical_where_they_are(
    tmp_path: Path, size: tuple[int, int], entered: bool
) -> None:
    make_shop_at(tmp_path / "shop", "rib-clip", "clean-and-prime", "mix")
    if not entered:
        with_bare_sheet(tmp_path / "shop")
    bench = Bench(tmp_path / "shop")
    mark = bench.shop.marks_of("rib-clip")[0]
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.walk(app.bench.start([mark], "clean-and-prime", "mix"))
        await press(app, pilot, "f24")
        assert isinstance(app.screen, WalkScreen)
        while app.bench.step_view(app.screen.work).cautions:
            await press(app, pilot, "enter")
        numbers = app.bench.step_view(app.screen.work).numbers
        page = text_of(app)
        base, hardener = (
            next(one.shown for one in numbers if one.title.startswith(name))
            for name in ("Base to", "Hardener to")
        )
        assert f"Base to pour: {base}" in page and f"Hardener to pour: {hardener}" in page, page
        in_ml = [float(one.split()[0]) for one in (base, hardener)]
        (ratio,) = {one.shown.split()[0].rstrip(",") for one in numbers if one.title == "Base parts"}
        assert in_ml[0] == in_ml[1] * float(ratio), "the check asks whether the ratio is that of the sheet"
        assert ("typical" in page.lower()) == (not entered), page

    with_app(tmp_path / "shop", walk, size=size)


@pytest.mark.parametrize("size", SIZES)
def test_no_check_is_off_the_screen_unsaid(tmp_path: Path, size: tuple[int, int]) -> None:
    make_shop_at(tmp_path / "shop", "rib-clip", "clip-angle", "bend-clip")
    bench = Bench(tmp_path / "shop")
    mark = bench.shop.marks_of("rib-clip")[0]
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.walk(app.bench.start([mark], "clip-angle", "bend-clip"))
        await press(app, pilot, "f24")
        assert isinstance(app.screen, WalkScreen)
        while (view := app.bench.step_view(app.screen.work)).cautions:
            await press(app, pilot, "enter")
        page = text_of(app)
        assert view.numbers and all(one.shown.split()[0] in page for one in view.numbers), page
        unseen = [one for one in view.checks if one.ask[:24] not in page]
        for one in unseen:
            assert f"{len(unseen)} check" in page, (one.ask, page)
        if size == (120, 36):
            assert not unseen, page

    with_app(tmp_path / "shop", walk, size=size)


@pytest.mark.parametrize("size", [(64, 20), (73, 20)])
def test_the_diameter_stays_when_a_held_part_is_named(tmp_path: Path, size: tuple[int, int]) -> None:
    make_shop_at(tmp_path / "shop", "nose-rib", "rib-blank", "tooling-holes")
    bench = Bench(tmp_path / "shop")
    marks = bench.shop.marks_of("nose-rib")[:3]
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = app.bench.start(marks, "rib-blank", "tooling-holes")
        app.bench.raise_snag(marks[1], "burr")
        app.walk(work)
        await press(app, pilot, "f24")
        page = text_of(app)
        for one in app.bench.step_view(work).numbers:
            assert one.shown in page, page

    with_app(tmp_path / "shop", walk, size=size)
