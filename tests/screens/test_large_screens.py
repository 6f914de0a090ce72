"""What a large screen does with its room, and that a smaller one knows nothing of it."""

import os
from contextlib import closing
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
from kiosk.screens.big_text import low_rows, solid_rows
from kiosk.screens.drawing import DrawingScreen
from kiosk.screens.walk import WalkScreen
from tests.conftest import SteadyClocks
from tests.driver import pass_time, press, screen_text, settled, touch
from tests.screens.moment import NOW, with_app
from tests.screens.scenes import ALL_FLUTES, _limit_runs

NEXT, REST = "NEXT IN THIS PROCEDURE", "THE REST OF THE BATCH"
COUNT_5 = {1: "█▀▀▀▀", 2: "██████████"}  # the first row of the solid figure
LOW_5 = "▀▄▄▄▀"  # the last row of the figure of three rows
SQUEEZE = "▄▀▀▀▀ ▄▀▀▀▄ █   █ █▀▀▀▀ █▀▀▀▀ ▀▀▀▀█ █▀▀▀▀"


def text(app: KioskApp) -> str:
    return "\n".join(screen_text(app))


async def carry_on(app: KioskApp, pilot: Pilot[None]) -> WalkScreen:
    """The flutes of NR-03, five of which are done."""
    await press(app, pilot, "enter", "enter")
    screen = app.screen
    assert isinstance(screen, WalkScreen)
    return screen


@pytest.mark.parametrize("size", [(99, 50), (120, 25)])
def test_below_a_hundred_columns_or_with_few_rows_nothing_is_otherwise(
    demo_shop: Path, size: tuple[int, int]
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert NEXT not in text(app) and LOW_5 in text(app) and SQUEEZE not in text(app)
        await carry_on(app, pilot)
        assert NEXT not in text(app) and REST not in text(app)
        assert LOW_5 in text(app) and SQUEEZE not in text(app)

    with_app(demo_shop, walk, size)


@pytest.mark.parametrize(("size", "scale"), [((100, 30), 1), ((120, 36), 1), ((160, 50), 2)])
def test_place_and_step_have_a_second_column_large_figures_and_the_action_in_letters(
    demo_shop: Path, size: tuple[int, int], scale: int
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        for step in (False, True):
            if step:
                await carry_on(app, pilot)
                assert SQUEEZE in text(app) or size[1] < 36
            shown = text(app)
            assert NEXT in shown and REST in shown and COUNT_5[scale] in shown
            assert " 4  Mark the flange width" in shown and "NR-04, NR-05: step 3 of 7" in shown
            assert "FORWARD ►" in shown  # the drawing
            assert "Next: " not in shown  # it stands in the second column
            assert shown.count("Mark the flange width") == 1

    with_app(demo_shop, walk, size)


@pytest.mark.parametrize(
    ("size", "letters"),
    [
        ((80, 24), None),
        ((120, 36), "WARNING"),
        ((160, 50), "WARNING: FRESH EDGES CUT."),  # and all else of it
    ],
)
def test_the_gravest_caution_stands_in_letters_or_its_signal_over_all(
    demo_shop: Path, size: tuple[int, int], letters: str | None
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter")
        for one in ("WARNING", "WARNING: FRESH EDGES CUT.", "TWO PEOPLE FOR A LARGE ONE."):
            [first, *_] = solid_rows(one) or ()
            is_whole = letters is not None and letters.startswith("WARNING:")
            assert (first.rstrip() in text(app)) == (is_whole or one == letters)
            assert ("WARNING: Fresh edges cut." in text(app)) != is_whole, "once, and nowhere left out"
        assert text(app).count("CAUTION: ") == 2 and "Then: " in text(app)

    with_app(demo_shop, walk, size)


def test_where_the_whole_action_has_no_room_in_letters_it_stands_under_them_in_full(demo_shop: Path) -> None:
    whole = "Squeeze the flutes inward, away from the skin, every second line first."

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await carry_on(app, pilot)
        assert SQUEEZE in text(app) and whole in text(app)
        await pilot.resize_terminal(160, 50)
        await settled(app, pilot)
        assert SQUEEZE in text(app) and whole not in text(app)

    with_app(demo_shop, walk, (120, 36))


def test_nothing_is_cut_for_the_sake_of_large_figures(demo_shop: Path) -> None:
    """What a screen of 80 by 24 shows, one of 100 by 30 shows too, in one column or in the other."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await carry_on(app, pilot)
        small = {word for row in screen_text(app)[1:16] for word in row.split() if len(word) > 3}
        await pilot.resize_terminal(100, 30)
        await settled(app, pilot)
        large = set(" ".join(screen_text(app)).split())
        small -= set((low_rows("5") or ())[1:])  # the figure is a higher one there
        # The clock is a figure now, and the next step stands shortened in the second column.
        assert small - large <= {
            "Next:",
            "4:00",
            *("Mark", "flange", "width", "from", "web,", "along,", "with", "felt", "pen."),
        }

    with_app(demo_shop, walk)


def test_a_limit_that_runs_out_soon_is_large_though_there_is_a_page_more(demo_shop: Path) -> None:
    clocks = SteadyClocks(NOW)
    bench = Bench(demo_shop, clocks)
    _limit_runs(31.5)(bench)
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await settled(app, pilot)
        assert "… more" in text(app) and "FINISH WITHIN: NR-07, degreased face" in text(app)
        assert "▀▀▀" in text(app) and "min:s" in text(app)

    clocks.go(30)
    with_app(demo_shop, walk, (100, 26), clocks)


@pytest.mark.parametrize("size", [(100, 26), (120, 36), (160, 50)])
def test_a_limit_that_runs_out_soon_is_as_large_on_minutes_and_on_the_step_in_hand(
    demo_shop: Path, size: tuple[int, int]
) -> None:
    """It stood in the strip's one row there, beside figures four and seven rows high."""
    clocks = SteadyClocks(NOW)
    bench = Bench(demo_shop, clocks)
    (work,) = bench.state.works
    _limit_runs(31.5)(bench)
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2")
        assert "FINISH WITHIN: NR-07, degreased face" in text(app) and "min:s" in text(app)
        assert "15 minutes to spare" in text(app)
        before = text(app)
        clocks.go(0.5)
        app.screen.tick()  # type: ignore[attr-defined]
        await settled(app, pilot)
        print(before)
        print(text(app))
        assert "█" in before and text(app) != before, "it goes on"
        app.bench.take_up(work)
        app.walk(work)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, WalkScreen)
        assert text(app).count("degreased face") == 2, "in the strip, and under its figure"
        assert "FINISH WITHIN: NR-07, degreased face" in text(app) and "min:s" in text(app)
        clocks.go(2)
        await press(app, pilot, "f2")
        assert "min:s" not in text(app) and "15 minutes to spare" not in text(app)

    clocks.go(30)
    with_app(demo_shop, walk, size, clocks)


@pytest.mark.parametrize("size", [(120, 36), (160, 50)])
def test_what_may_not_be_done_now_is_not_told_in_large_letters_alone(
    new_shop: Path, size: tuple[int, int]
) -> None:
    clocks = SteadyClocks(NOW)
    bench = Bench(new_shop, clocks)
    _limit_runs(1)(bench)
    clocks.go(5)
    card = bench.place_card()
    assert card.marks == ("NR-07",) and card.blocked
    bench.close()
    not_now = solid_rows("NOT NOW")
    assert not_now is not None

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await settled(app, pilot)
        for row in not_now:
            assert row.rstrip() in text(app)

    with_app(new_shop, walk, size, clocks)


def test_a_finger_on_the_second_column_chooses_no_check(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        screen = await carry_on(app, pilot)
        await press(app, pilot, *["enter"] * 4, *"1/6")
        row = next(at for at, one in enumerate(screen_text(app)) if "Largest gap" in one)
        pass_time(app)
        await touch(app, pilot, (100, row))
        assert screen.chosen_check == "web" and isinstance(app.screen, DrawingScreen)

    with_app(demo_shop, walk, (120, 36))


def test_the_second_column_is_worked_out_once_a_state(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []
    whole = Bench.ahead

    def counting(bench: Bench, *given: object) -> object:
        asked.append(bench.state.seq)
        return whole(bench, *given)  # type: ignore[arg-type]

    monkeypatch.setattr(Bench, "ahead", counting)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        screen = await carry_on(app, pilot)
        asked.clear()
        for _ in range(5):  # the clock goes on
            screen.tick()
            await settled(app, pilot)
        assert asked == []
        await press(app, pilot, "enter")  # one more flute
        assert asked == [app.bench.state.seq]

    with_app(demo_shop, walk, (120, 36))


def test_a_digit_is_typed_without_the_second_column_but_for_what_another_did_meanwhile(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []
    whole = Bench.ahead

    def counting(bench: Bench, *given: object) -> object:
        asked.append(bench.state.seq)
        return whole(bench, *given)  # type: ignore[arg-type]

    monkeypatch.setattr(Bench, "ahead", counting)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *ALL_FLUTES)
        asked.clear()
        await press(app, pilot, "1", "/", "backspace")
        assert asked == [] and REST in text(app)
        with closing(Bench(demo_shop, SteadyClocks(NOW), watch=True)) as tablet:
            tablet.note("seen from the tablet")
        await press(app, pilot, "/")
        assert asked

    with_app(demo_shop, walk, (120, 36))


def test_a_console_without_braille_has_its_lines_shaded(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(os.environ, "TERM", "linux")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await carry_on(app, pilot)
        shown = text(app)
        assert not any("\u2800" <= one <= "\u28ff" for one in shown)
        assert "░" in shown and "FORWARD ►" in shown

    with_app(demo_shop, walk, (120, 36))
