"""Looking back on the wall: a part's life, what was mistyped, what a helper did before it is called good."""

from pathlib import Path

from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.dialog import Dialog
from kiosk.screens.life import LifeScreen
from kiosk.screens.look_over import ask_look_over
from kiosk.screens.part import PartScreen
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.driver import burst, do_step, foot_text, press, screen_text, tap, with_app

FIRST = StepRef("form-block", "measure-pattern")
SIZES = ((73, 20), (80, 24), (120, 36))


def text_of(app: KioskApp) -> str:
    return "\n".join(screen_text(app))


def prepared(folder: Path, *, helper: bool = False) -> SteadyClocks:
    """A shop in which one step of FB-NR is done: by the builder, or by a helper."""
    clocks = SteadyClocks()
    bench = Bench(folder, clocks)
    if helper:
        bench.come("pip")
        bench.hand_over("pip")
    do_step(bench, ["FB-NR"])
    if helper:
        bench.hand_over("wren")
    bench.close_sitting("so far")
    bench.close()
    return clocks


def mid_work(folder: Path) -> SteadyClocks:
    """The example, under a wall clock that a person said is right."""
    clocks = SteadyClocks()
    bench = Bench(folder, clocks)
    bench.mark_clock(right=True)
    bench.close()
    return clocks


def test_a_life_is_read_from_the_part_from_the_board_and_after_a_scan(demo_shop: Path) -> None:
    clocks = mid_work(demo_shop)
    for size in SIZES:

        async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
            await burst(app, pilot, *"NR-06", "enter")
            assert isinstance(app.screen, PartScreen)
            await press(app, pilot, "f8")
            assert isinstance(app.screen, LifeScreen)
            newest = text_of(app)
            assert "NR-06: its life, the newest first" in newest and "Page 1 of" in newest
            pages = [newest]
            for _ in range(app.screen.screens - 1):
                await press(app, pilot, "right")
                pages.append(text_of(app))
            assert "Cut the blank" in "".join(pages) or len(pages) > 1
            last = text_of(app)
            await press(app, pilot, "right")
            assert text_of(app) == last  # the oldest: it does not go round
            await press(app, pilot, *["left"] * len(pages))
            assert text_of(app) == newest
            await press(app, pilot, "enter")
            assert isinstance(app.screen, PartScreen)
            await press(app, pilot, "f3", "down", "tab")
            assert isinstance(app.screen, LifeScreen)

        with_app(demo_shop, walk, size, clocks)


def test_a_life_is_read_by_finger(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await burst(app, pilot, *"NR-06", "enter")
        await tap(app, pilot, "Other…")
        while "See its life" not in text_of(app):
            await tap(app, pilot, "Page on")
        await tap(app, pilot, "See its life")
        assert isinstance(app.screen, LifeScreen)
        await tap(app, pilot, "Older")
        assert "Page 2 of" in text_of(app)

    with_app(demo_shop, walk, (73, 20), mid_work(demo_shop))


def asked(app: KioskApp) -> str:
    """The title of the dialog: on a large screen it stands there in solid letters."""
    assert isinstance(app.screen, Dialog)
    return app.screen.title_text


async def correcting(app: KioskApp, pilot: Pilot[None]) -> None:
    """The dialog that asks which step was recorded wrong, of FB-NR."""
    await burst(app, pilot, *"FB-NR", "enter")
    await press(app, pilot, "f7", "up", "down", "down", "down", "down", "down", "enter")
    assert asked(app) == "FB-NR: which step was recorded wrong?"
    await press(app, pilot, "enter")
    assert asked(app) == "FB-NR: which step was recorded wrong?"  # nothing is chosen beforehand
    await press(app, pilot, "down", "enter")
    assert asked(app) == "FB-NR: what is wrong on record?"


def test_a_mistyped_figure_is_corrected_by_keys(new_shop: Path) -> None:
    clocks = prepared(new_shop)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await correcting(app, pilot)
        assert "Length of the 10 inch scale bar, on the worst page: 10.00000 in" in text_of(app)
        await press(app, pilot, "down", "enter", *"ten", "enter")
        assert "NOT DONE" in foot_text(app) and "On record: 10.00000 in" in text_of(app)
        await press(app, pilot, *["backspace"] * 3, *"9.995", "enter")
        assert "Why is it 9.995?" in text_of(app)
        await press(app, pilot, "enter")
        assert "Why is it 9.995?" in text_of(app)
        await press(app, pilot, "down", "enter")
        assert isinstance(app.screen, PartScreen)
        assert "Saved. It counts as 9.995 now. The old one stays on record." in foot_text(app)
        assert app.bench.state.part("FB-NR").measured[FIRST]["bar"] == 9.995
        await press(app, pilot, "f8")
        life = " ".join(text_of(app).split())
        assert "corrected" in life and "was 10.00000" in life and "Mistyped" in life

    with_app(new_shop, walk, (80, 24), clocks)


def test_a_figure_that_is_not_as_wanted_holds_the_part_and_says_so(new_shop: Path) -> None:
    clocks = prepared(new_shop)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await correcting(app, pilot)
        await press(app, pilot, "down", "enter", *"9.5", "enter")
        assert "NOT AS WANTED: the part is held until you decide." in text_of(app)
        await press(app, pilot, "down", "enter")
        assert "FB-NR IS HELD" in foot_text(app)
        assert "HELD: Corrected to 9.5, not as wanted (9.990 to 10.010 in)" in " ".join(text_of(app).split())

    with_app(new_shop, walk, (120, 36), clocks)


def test_time_and_date_are_corrected_by_keys(new_shop: Path) -> None:
    clocks = prepared(new_shop)
    clocks.go(24 * 60)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await correcting(app, pilot)
        await press(app, pilot, "down", "down", "enter", *"999999", "enter")
        assert "NOT DONE: 999999 is no time for a step" in foot_text(app)
        await press(app, pilot, *"12", "enter", "down", "enter")
        assert "It counts as 12 now" in foot_text(app)
        await correcting(app, pilot)
        assert "How long it took: 12 min, was 0 min" in text_of(app)
        await press(app, pilot, "down", "down", "down", "enter", *"2027-05-10", "enter")
        assert "still to come" in foot_text(app)
        await press(app, pilot, *"2027-05-09", "enter", *"Written up late", "enter")
        past = app.bench.past_step("FB-NR", FIRST)
        assert (past.day, past.day_was, past.minutes) == ("2027-05-09", "2027-05-08", 12)
        assert not app.bench.state.words  # half-typed words are used
        await press(app, pilot, "f6", "down", "enter")
        assert app.bench.past_step("FB-NR", FIRST).day == "2027-05-08"

    with_app(new_shop, walk, (80, 24), clocks)


def test_a_helper_is_offered_what_they_did_and_nothing_of_the_builders(new_shop: Path) -> None:
    clocks = prepared(new_shop)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.come("pip")
        app.bench.hand_over("pip")
        await burst(app, pilot, *"FB-NR", "enter")
        await press(app, pilot, "f7", "down", "down", "down", "enter")
        assert "NOT DONE: nothing on FB-NR is yours to correct" in foot_text(app)
        do_step(app.bench, ["FB-MR"])
        await burst(app, pilot, *"FB-MR", "enter")
        await press(app, pilot, "f7", "down", "down", "down", "enter")
        assert "FB-MR: which step was recorded wrong?" in text_of(app)
        await press(app, pilot, "down", "enter", "down", "enter", *"9.995", "enter", "down", "enter")
        assert app.bench.state.part("FB-MR").measured[FIRST]["bar"] == 9.995

    with_app(new_shop, walk, (80, 24), clocks)


def test_a_look_over_shows_words_name_and_figures_before_it_asks(new_shop: Path) -> None:
    clocks = prepared(new_shop, helper=True)
    for size in SIZES:

        async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
            await burst(app, pilot, *"FB-NR", "enter")
            await press(app, pilot, "enter")
            assert isinstance(app.screen, ChoiceScreen)
            text = " ".join(text_of(app).split())
            assert "Measure the scale bar on the full-size pattern." in text
            assert "Done by Pip on 2027-05-08" in text
            assert (
                "Length of the 10 inch scale bar, on the worst page: 10.00000 in (9.990 to 10.010 in)" in text
            )
            assert "It is good" in text and "It is to do again" in text
            await press(app, pilot, "enter")
            assert isinstance(app.screen, ChoiceScreen)  # nothing is chosen beforehand
            await press(app, pilot, "escape")

        with_app(new_shop, walk, size, clocks)


def test_what_does_not_fit_beside_the_question_is_read_before_it(new_shop: Path, monkeypatch: object) -> None:
    """Many figures on a small screen: none is dropped, and the question comes after the last page."""
    asked: list[bool] = []
    lines = [f"Figure {number} of twelve, with its words and its limits" for number in range(12)]

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        ask_look_over(app, "FB-NR", lines, app.size, asked.append)
        await pilot.pause()
        seen = ""
        while not isinstance(app.screen, ChoiceScreen):
            seen += text_of(app)
            await press(app, pilot, "enter")
        assert all(line in seen for line in lines)
        await press(app, pilot, "down", "enter")
        assert asked == [True]

    with_app(new_shop, walk, (73, 20))


def test_no_tap_on_one_spot_says_that_it_is_to_do_again(new_shop: Path) -> None:
    """The answer that undoes work lay where the finger had opened the question."""
    asked: list[bool] = []

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        ask_look_over(app, "FB-NR", ["A figure"], app.size, asked.append)
        await pilot.pause()
        await press(app, pilot, "down", "down", "enter")
        assert isinstance(app.screen, ChoiceScreen) and asked == []
        again = app.screen.choices[1].label
        assert again == "No: ask me again"  # where "to do again" stood before
        await press(app, pilot, "down", "down", "enter")
        assert isinstance(app.screen, ChoiceScreen) and asked == []
        await press(app, pilot, "down", "down", "enter")
        await press(app, pilot, "down", "enter")
        assert asked == [False]

    with_app(new_shop, walk, (73, 20))
