"""An open kiosk whose files are changed says so; and a room that is read wrongly is asked again, kindly."""

import os
import shutil
import time
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.rules import Refused
from kiosk.record.rules.things import room_humidity_percent, room_temperature_f
from kiosk.screens.app import KioskApp
from kiosk.screens.part import PartScreen
from kiosk.screens.read_room import read_room
from kiosk.shop.data import data_folder
from kiosk.shop.kept import open_shop
from kiosk.shop.watch import LOOK_EVERY_S, FilesWatch
from tests.conftest import SteadyClocks
from tests.driver import do_step, first_column, foot_text, press, screen_text, shown
from tests.screens.moment import NOW, open_bench, with_app
from tests.shop.test_kept import coordinates_of

SAID = "shop.yaml was changed: close up and open again to use it"


@pytest.fixture
def watching(new_shop: Path) -> Bench:
    return Bench(new_shop, SteadyClocks(NOW), watch=True)


def _wait(bench: Bench) -> bool:
    bench.record.clocks.go(LOOK_EVERY_S / 60)  # type: ignore[attr-defined]
    return bench.refresh()


def test_a_change_is_said_once_it_is_looked_for(watching: Bench) -> None:
    path = watching.shop.folder / "shop.yaml"
    path.write_text(path.read_text() + "# mended\n")
    assert not watching.refresh(), "it is not looked at all the time"
    assert _wait(watching)
    assert watching.place_card().changes[0] == SAID
    assert not _wait(watching), "said already"
    path.write_text(path.read_text().removesuffix("# mended\n"))
    assert _wait(watching)
    assert not watching.place_card().changes, "it is as it was read"
    watching.close()


def test_a_change_within_the_two_seconds_of_a_sticks_clock_is_seen(watching: Bench) -> None:
    path = watching.shop.folder / "shop.yaml"
    text, stamp = path.read_text(), path.stat()
    os.utime(path, (time.time(), time.time()))
    again = FilesWatch(watching.shop, 0.0)
    young = path.stat()
    path.write_text(text.replace("thickness: .032", "thickness: .040", 1))  # as long as before
    os.utime(path, ns=(young.st_atime_ns, young.st_mtime_ns))
    assert path.stat().st_size == stamp.st_size and path.read_text() != text
    assert again.look(LOOK_EVERY_S) and again.changed == ("shop.yaml",)
    watching.close()


def test_a_file_that_is_only_saved_again_is_no_change(watching: Bench) -> None:
    path = watching.shop.folder / "shop.yaml"
    path.write_text(path.read_text())
    assert not _wait(watching) and not watching.place_card().changes
    watching.close()


def test_the_coordinates_of_a_section_are_watched_and_drawn_as_they_were_read(new_shop: Path) -> None:
    """The drawing laid the rib out from the new file, while checks and blank had the old one's figures."""
    wing, path = new_shop / "sections" / "wing.dat", new_shop / "shop.yaml"
    wing.parent.mkdir()
    wing.write_text(coordinates_of("2412"))
    path.write_text(path.read_text().replace('section: "2412"', "section: sections/wing.dat"))
    open_shop(new_shop)  # and begin with what was kept, where nothing lays out a rib
    bench = Bench(new_shop, SteadyClocks(NOW), watch=True)
    figures, kind = bench.shop.figures, bench.shop.kinds["nose-rib"]
    height_in = figures.number(kind, "rear_height", "in")
    wing.write_text(coordinates_of("2415"))
    assert _wait(bench)
    assert bench.place_card().changes[0] == SAID.replace("shop.yaml", "wing.dat")
    assert figures.rib(kind).rear_height_in == height_in
    wing.write_text(coordinates_of("2412"))
    assert _wait(bench) and not bench.place_card().changes
    wing.unlink()
    assert _wait(bench) and "wing.dat" in bench.place_card().changes[0]
    bench.close()


def test_coordinates_that_were_saved_before_the_watch_began_are_told(new_shop: Path) -> None:
    wing, path = new_shop / "wing.dat", new_shop / "shop.yaml"
    wing.write_text(coordinates_of("2412"))
    path.write_text(path.read_text().replace('section: "2412"', "section: wing.dat"))
    shop = open_shop(new_shop)
    wing.write_text(coordinates_of("2415"))
    for each in (wing, path):
        os.utime(each, (time.time() - 3600, time.time() - 3600))
    watch = FilesWatch(shop, 0.0)
    assert watch.look(LOOK_EVERY_S) and watch.changed == ("wing.dat",)


def test_procedures_that_came_with_the_kiosk_are_watched(
    new_shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(data_folder("procedures"), tmp_path / "shipped")
    monkeypatch.setattr("kiosk.shop.shop.data_folder", lambda name: tmp_path / "shipped")
    watch = FilesWatch(open_shop(new_shop), 0.0)
    path = tmp_path / "shipped" / "finish" / "deburr.yaml"
    path.write_text(path.read_text() + "# mended\n")
    assert watch.look(LOOK_EVERY_S) and watch.changed == ("deburr.yaml",)


@pytest.mark.parametrize("what", ["added", "gone", "broken"])
def test_procedures_and_files_that_go_are_noticed(watching: Bench, what: str) -> None:
    folder = watching.shop.folder
    if what == "added":
        text = (data_folder("procedures") / "finish" / "deburr.yaml").read_text()
        (folder / "procedures" / "deburr.yaml").write_text(text)
    elif what == "gone":
        (folder / "shop.yaml").unlink()
    else:
        (folder / "shop.yaml").write_text("{")
    assert _wait(watching)
    assert "changed: close up and open again" in watching.place_card().changes[0]
    watching.close()


def test_the_wall_says_that_a_file_was_changed(new_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kiosk.shop.watch.LOOK_EVERY_S", 0.0)
    bench = Bench(new_shop, SteadyClocks(NOW), watch=True)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench = bench
        path = new_shop / "shop.yaml"
        path.write_text(path.read_text() + "# mended\n")
        await shown(app, pilot, "shop.yaml was changed")

    with_app(new_shop, walk)
    bench.close()


@pytest.mark.parametrize("size", [(64, 20), (73, 20), (80, 24), (120, 36), (160, 50)])
@pytest.mark.parametrize(
    ("entered", "asked"),
    [
        (2, ("of at most 9 flutes", "ONE MORE")),
        (6, ("»[ ] Largest gap", "TYPE THE FIGURE")),
        (0, ("PAUSED", "CARRY ON")),
    ],
    ids=["counting", "measuring", "paused"],
)
def test_a_step_that_stands_open_says_that_a_file_was_changed(
    demo_shop: Path,
    monkeypatch: pytest.MonkeyPatch,
    size: tuple[int, int],
    entered: int,
    asked: tuple[str, ...],
) -> None:
    """In the words of the place card, while what is done, asked and pressed next stays where it was."""
    monkeypatch.setattr("kiosk.shop.watch.LOOK_EVERY_S", 0.0)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *["enter"] * (entered or 2))
        if not entered:  # at another screen
            app.bench.pause(next(iter(app.bench.state.works)))
            await shown(app, pilot, "PAUSED")
        before = "\n".join(screen_text(app))
        assert "CHANGED" not in before and all(one in before for one in asked)
        path = demo_shop / "shop.yaml"
        path.write_text(path.read_text() + "# mended\n")
        await shown(app, pilot, "CHANGED: shop.yaml was changed")
        after = "\n".join(screen_text(app))
        assert f"CHANGED: {SAID}" in " ".join(after.split())
        assert all(one in after for one in asked)

    with_app(demo_shop, walk, size=size)


@pytest.mark.parametrize("size", [(64, 20), (73, 20), (80, 24), (120, 36)])
def test_a_step_whose_check_was_edited_says_what_was_answered_to_the_old_one(
    new_shop: Path, size: tuple[int, int]
) -> None:
    bench = open_bench(new_shop)
    do_step(bench, ["FB-NR"])
    work = bench.start(["FB-NR"], "form-block", "check-inset")
    bench.acknowledge(work)
    bench.answer(work, "FB-NR", "inset", "yes")
    bench.close()  # the power went
    text = (data_folder("procedures") / "tooling" / "form-block.yaml").read_text()
    old = "Does the strip just cover the space between the two lines along every flange?"
    edited = text.replace("{id: inset,", "{id: all-round,").replace(old, "Does the strip cover it all round?")
    (new_shop / "procedures" / "form-block.yaml").write_text(edited)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        told = f"YES was answered to a check that is asked no more: {old}"
        await press(app, pilot, "enter")
        if size[0] > 64:  # where the dialog has room for what is known
            assert told in " ".join(" ".join(screen_text(app)).split()), "asked how it stands"
        await press(app, pilot, "down", "enter")
        seen = " ".join(first_column(app).split())
        assert f"CHANGED: {told}" in seen
        assert "»[ ] Does the strip cover it all round?" in seen and "YES" in seen

    with_app(new_shop, walk, size=size)


# The likeliest place


def test_the_likeliest_place_stands_first_and_never_the_beginning(new_shop: Path) -> None:
    bench = open_bench(new_shop)
    for _ in range(3):
        do_step(bench, ["FB-NR"])
    done = list(bench.state.part("FB-NR").passes["form-block"])
    wanted = bench.position("FB-NR").step
    assert wanted is not None
    bench.close_sitting("")
    bench.close()
    text = (data_folder("procedures") / "tooling" / "form-block.yaml").read_text()
    gone = done[-1]
    changed = text.replace(f"  - id: {gone}\n", f"  - id: {gone}-well\n", 1)
    (new_shop / "procedures" / "form-block.yaml").write_text(changed)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert app.bench.place_card().action == "question"
        await press(app, pilot, "enter")
        text = " ".join(" ".join(screen_text(app)).split())
        assert "Most likely:" in text and "Move nothing: look first" in text
        await press(app, pilot, "down", "enter")
        where = app.bench.position("FB-NR")
        assert where.step is not None and where.step.id == wanted.id

    with_app(new_shop, walk)


# Read the room


@pytest.mark.parametrize(
    ("text", "temperature_f"),
    [
        ("63", 63.0),
        ("63 F", 63.0),
        ("17 C", 62.6),
        ("17c", 62.6),
        ("-5 °C", 23.0),
        ("70.5", 70.5),
        ("20 deg C", 68),
    ],
)
def test_a_temperature_is_read_as_it_is_typed(text: str, temperature_f: float) -> None:
    # F = 9/5 C + 32: NIST SP 811, B.8
    assert room_temperature_f(text) == pytest.approx(temperature_f)


@pytest.mark.parametrize("text", ["400 F", "-50", "100 C", "warm", "", "nan", "1e2", "17 K", "17,5"])
def test_no_room_is_so_warm(text: str) -> None:
    with pytest.raises(Refused) as refused:
        room_temperature_f(text)
    assert "float" not in str(refused.value) and refused.value.mend


@pytest.mark.parametrize("text", ["-5", "-5 %", "101", "wet", "nan", ""])
def test_no_air_is_so_wet(text: str) -> None:
    with pytest.raises(Refused):
        room_humidity_percent(text)
    assert room_humidity_percent("55 %") == 55.0


def test_a_reading_that_is_refused_is_asked_again_and_the_other_kept(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.open_part("CA-01")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, PartScreen)
        read_room(screen.kiosk)
        await pilot.pause()
        await press(app, pilot, *"400F", "enter")
        await shown(app, pilot, "400 F is not a room's temperature")
        await press(app, pilot, *["backspace"] * 4, *"17C", "enter")  # it stays, to be mended
        await shown(app, pilot, "63 F is noted")
        await press(app, pilot, "-", "5", "enter")
        await shown(app, pilot, "-5 % is not a humidity")
        assert "63 F is noted" in "\n".join(screen_text(app)), "what was read is kept"
        await press(app, pilot, "backspace", "backspace", "5", "5", "enter")
        state = app.bench.state
        assert state.temperature_f == pytest.approx(62.6) and state.humidity_percent == 55.0
        assert "NOT DONE" not in foot_text(app)

    with_app(new_shop, walk)
