"""Which screens are alive: a second one joins the sitting, and only what no screen holds was cut short."""

import contextlib
import fcntl
import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import IO

import pytest

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.record.events import ScreenLost, SittingCut
from kiosk.record.presence import _OF_A_SCREEN, Presence, _fraction_ns
from kiosk.views.calm import calm_card
from tests.conftest import SteadyClocks


def others_hands(screen: Bench) -> None:
    """Odile has that screen: what one person has in hand stands still when they begin something else."""
    screen.come("odile")
    screen.hand_over("odile")


def test_a_second_screen_joins_and_cuts_nothing_off(new_shop: Path, clocks: SteadyClocks) -> None:
    wall = Bench(new_shop, clocks, watch=True)
    work = wall.start(["FB-NR"], "form-block", "measure-pattern")
    tablet = Bench(new_shop, clocks, watch=True)
    assert tablet.state.sitting is not None
    assert tablet.state.works[work].status == "running"
    tablet.note("seen from the tablet")
    wall.refresh()
    assert wall.state.works[work].status == "running"
    tablet.close()
    third = Bench(new_shop, clocks, watch=True)  # the wall is still there
    assert third.state.works[work].status == "running"
    third.close()
    wall.close()


def test_a_second_screen_shows_the_same_clock_of_a_step(new_shop: Path, clocks: SteadyClocks) -> None:
    wall = Bench(new_shop, clocks, watch=True)
    work = wall.start(["FB-NR"], "form-block", "measure-pattern")
    clocks.go(8)
    tablet = Bench(new_shop, clocks, watch=True)
    assert tablet.step_view(work).elapsed_s == wall.step_view(work).elapsed_s == 480
    tablet.close()
    wall.close()


def test_a_sitting_that_no_screen_holds_was_cut_short(new_shop: Path, clocks: SteadyClocks) -> None:
    gone = Bench(new_shop, clocks, watch=True)
    work = gone.start(["FB-NR"], "form-block", "measure-pattern")
    gone.close()  # without closing up
    after = Bench(new_shop, clocks, watch=True)
    assert after.state.sitting is None
    assert after.state.works[work].status == "unknown"
    assert isinstance(after.record.journal.after(0)[-1].body, SittingCut)
    after.close()


def test_a_screen_sees_the_others_and_not_itself(tmp_path: Path) -> None:
    one = Presence(tmp_path / "screens", "one")
    assert not one.others_alive()
    two = Presence(tmp_path / "screens", "two")
    assert one.others_alive() and two.others_alive()
    two.close()
    assert not one.others_alive()
    (tmp_path / "screens" / "0123456789ab").touch()  # left by one that was killed
    assert not one.others_alive()
    assert [path.name for path in (tmp_path / "screens").iterdir()] == ["one"]
    one.close()


def test_a_press_counts_at_the_other_screens_that_live_in_this_boot(tmp_path: Path) -> None:
    one, two = (Presence(tmp_path / "screens", name) for name in ("one", "two"))
    assert one.last_pressed_s("boot") is None
    one.pressed("boot", 90.0)
    said = (tmp_path / "screens" / "one").read_text(encoding="utf-8")
    assert said.startswith("boot 0000") and "90\n" in said, (
        "a file's time alone says it where the disk is full"
    )
    assert one.last_pressed_s("boot") is None and two.last_pressed_s("boot") == 90
    (tmp_path / "screens" / "dead").write_text("boot 80", encoding="utf-8")
    (tmp_path / "screens" / "alien").write_text("no clock", encoding="utf-8")
    two.pressed("boot", 70.0)
    assert one.last_pressed_s("boot") == 70 and one.last_pressed_s("another boot") is None
    one.close()
    two.close()


def test_a_screens_file_is_named_as_one_is_known_and_may_be_read_by_whoever_may_read_others(
    new_shop: Path,
) -> None:
    """Of any other name it would not be swept away after a kill, and unread it would not be seen to live."""
    bench = Bench(new_shop, SteadyClocks(), watch=True)
    bench.note("first")
    assert _OF_A_SCREEN.fullmatch(bench.record.run)
    bench.close()
    screen = Presence(new_shop / ".screens", bench.record.run)
    (new_shop / "as others").touch()
    known = {path.name: path.stat().st_mode for path in new_shop.rglob("*") if path.is_file()}
    record = ("record.db", "record.head", "record.db.lock", bench.record.run)
    assert {known[name] for name in record} == {known["as others"]}
    screen.close()


def test_a_file_in_the_way_of_the_screens_is_named(tmp_path: Path) -> None:
    (tmp_path / "screens").touch()
    with pytest.raises(KioskError, match="is a file, not a folder"):
        Presence(tmp_path / "screens", "one")


def _link(path: Path) -> None:
    (path.parent.parent / "elsewhere").write_text("kept")
    path.symlink_to(path.parent.parent / "elsewhere")


def _socket(path: Path) -> None:
    with contextlib.closing(socket.socket(socket.AF_UNIX)) as one, contextlib.chdir(path.parent):
        one.bind(path.name)


FOREIGN: dict[str, Callable[[Path], object]] = {
    "a folder": Path.mkdir,
    "a pipe": os.mkfifo,
    "a socket": _socket,
    "a link": _link,
    "a link to nothing": lambda path: path.symlink_to("nothing"),
    "a link to itself": lambda path: path.symlink_to(path.name),
    "a note": lambda path: path.write_text("boot 80"),
    "not to be read": lambda path: os.close(os.open(path, os.O_CREAT, 0)),
}


@pytest.mark.parametrize("foreign", FOREIGN)
def test_what_is_no_screens_is_passed_over_and_left_where_it_lies(tmp_path: Path, foreign: str) -> None:
    folder = tmp_path / "screens"
    folder.mkdir()
    FOREIGN[foreign](folder / "foreign")
    if foreign not in ("a note", "not to be read"):  # those may be a screen's
        FOREIGN[foreign](folder / "0123456789ab")
    before = sorted(path.name for path in folder.iterdir())
    for name in ("one", "two"):  # a pipe whose other end nobody opens would be waited for
        screen = Presence(folder, name)
        assert not screen.others_alive() and screen.last_pressed_s("boot") is None
        assert not screen.is_alive("foreign") and not screen.is_alive("0123456789ab")
        screen.pressed("boot", 90.0)
        screen.close()
    assert sorted(path.name for path in folder.iterdir()) == before


@pytest.mark.parametrize("foreign", [name for name in FOREIGN if name not in ("a note", "not to be read")])
def test_what_has_a_screens_name_and_is_none_is_named(tmp_path: Path, foreign: str) -> None:
    (tmp_path / "screens").mkdir()
    FOREIGN[foreign](tmp_path / "screens" / "restore")
    with pytest.raises(KioskError, match="screens/restore is no file of the kiosk's; move it away"):
        Presence(tmp_path / "screens", "restore")


def test_a_screen_whose_folder_was_taken_away_lives_on(tmp_path: Path) -> None:
    one = Presence(tmp_path / "screens", "one")
    shutil.rmtree(tmp_path / "screens")
    assert not one.others_alive() and one.last_pressed_s("boot") is None and one.is_alive("one")
    one.pressed("boot", 1.0)
    one.close()


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may be another user")
def test_another_users_screen_is_seen_and_its_file_left(tmp_path: Path) -> None:
    folder = tmp_path / "screens"
    theirs, dead = Presence(folder, "0123456789ab"), folder / "0123456789cd"
    theirs.pressed("boot", 70.0)
    dead.touch()
    code = """
import os, sys
from pathlib import Path
from kiosk.record.presence import Presence
folder = Path(sys.argv[1])
os.chdir(folder); os.seteuid(12345)
own = Presence(Path("."), "0123456789ef")
print(own.others_alive(), own.last_pressed_s("boot"))
print(own.is_alive("0123456789ab"), own.is_alive("0123456789cd"))
own.close()
"""
    folder.chmod(0o1777)  # as /tmp is: everybody may write, and take away what is their own
    done = subprocess.run(
        [sys.executable, "-c", code, str(folder)], capture_output=True, text=True, check=False
    )
    assert (done.stdout.split(), done.stderr) == (["True", "70.0", "True", "False"], "")
    assert dead.exists()
    theirs.close()


def killed(bench: Bench) -> None:
    """As SIGKILL leaves a screen: its lock is gone, its file and its work are not."""
    assert bench.presence is not None
    bench.presence._handle.close()


def test_a_killed_screens_step_is_unknown_on_the_other_at_the_next_poll(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    wall, tablet = (Bench(new_shop, clocks, watch=True) for _ in range(2))
    own = wall.start(["FB-NR"], "form-block", "measure-pattern")
    others_hands(tablet)
    other = tablet.start(["FB-MR"], "form-block", "measure-pattern")
    wall.refresh()
    assert not wall.refresh() and wall.state.works[other].status == "running"
    killed(tablet)
    assert wall.refresh()
    assert wall.state.works[other].status == "unknown" and wall.state.works[own].status == "running"
    assert wall.state.sitting is not None  # it goes on
    assert isinstance(wall.record.journal.after(wall.state.seq - 1)[0].body, ScreenLost)
    assert not wall.refresh()  # once
    wall.looked(other, as_shown=True)
    assert wall.state.works[other].status == "running"
    wall.close()


def test_a_screen_that_starts_finds_what_a_killed_one_left(new_shop: Path, clocks: SteadyClocks) -> None:
    wall, tablet = (Bench(new_shop, clocks, watch=True) for _ in range(2))
    own = wall.start(["FB-NR"], "form-block", "measure-pattern")
    others_hands(tablet)
    other = tablet.start(["FB-MR"], "form-block", "measure-pattern")
    killed(wall)
    again = Bench(new_shop, clocks, watch=True)  # the tablet has not looked yet
    assert again.state.works[own].status == "unknown" and again.state.works[other].status == "running"
    again.close()
    tablet.close()


def test_work_is_whose_who_took_it_up(new_shop: Path, clocks: SteadyClocks) -> None:
    wall, tablet = (Bench(new_shop, clocks, watch=True) for _ in range(2))
    work = wall.start(["FB-NR"], "form-block", "measure-pattern")
    wall.pause(work)
    tablet.refresh()
    tablet.take_up(work)
    killed(wall)
    assert not tablet.refresh() and tablet.state.works[work].status == "running"
    tablet.close()


def touched_at(screen: Bench, work: str, inches: str) -> None:
    """One of its checks is answered there."""
    screen.refresh()
    screen.acknowledge(work)
    screen.answer(work, "FB-NR", "bar", inches)


def test_a_step_lives_with_the_screen_where_it_was_taken_up_and_with_that_where_it_was_touched_last(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """A tablet took it along by one answer: when that died, the minutes since were gone, though Wren had gone
    on at the wall all the while."""
    wall, tablet, third = (Bench(new_shop, clocks, watch=True) for _ in range(3))
    work = wall.start(["FB-NR"], "form-block", "measure-pattern")
    for screen, inches in ((tablet, "10.00"), (third, "10.005")):
        clocks.go(5)
        touched_at(screen, work, inches)
        killed(screen)
        wall.refresh()
        assert wall.state.works[work].status == "running"
    clocks.go(5)
    wall.refresh()
    assert wall.step_view(work).elapsed_s == 900
    calm = calm_card(wall.context, None)
    assert calm.running == "The clock of this step runs: FB-NR."
    wall.note("at the wall")  # no act on the step: what was worked until then was worked
    clocks.go(5)
    killed(wall)
    again = Bench(new_shop, clocks, watch=True)
    assert again.state.works[work].status == "unknown"
    assert again.state.works[work].active_s == 900
    again.close()


def test_a_screen_that_was_handed_on_keeps_no_step_of_who_is_at_another(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """Odile took the step along to the tablet, and Wren has the wall: what he does there tells nothing of
    hers."""
    wall, tablet = (Bench(new_shop, clocks, watch=True) for _ in range(2))
    others_hands(wall)
    work = wall.start(["FB-NR"], "form-block", "measure-pattern")
    tablet.refresh()
    tablet.hand_over("odile")
    clocks.go(5)
    touched_at(tablet, work, "10.00")
    wall.refresh()
    wall.hand_over("wren")
    clocks.go(5)
    wall.note("Wren's own")
    killed(tablet)
    wall.refresh()
    assert (wall.work(work).status, wall.work(work).active_s) == ("unknown", 300)
    wall.close()


def test_what_is_lost_with_a_screen_is_not_what_lives_on_at_another(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """Both were touched last at the tablet that died; one was begun at the wall."""
    wall, tablet, third = (Bench(new_shop, clocks, watch=True) for _ in range(3))
    own = wall.start(["FB-NR"], "form-block", "measure-pattern")
    others_hands(tablet)
    touched_at(tablet, own, "10.00")
    theirs = tablet.start(["FB-MR"], "form-block", "measure-pattern")
    third.refresh()
    assert {one.run for one in third.state.works.values()} == {tablet.record.run}
    killed(tablet)
    assert third.refresh()
    assert [third.state.works[one].status for one in (own, theirs)] == ["running", "unknown"]
    for one in (wall, third):
        one.close()


def test_a_file_swept_away_before_it_was_locked_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = fcntl.flock
    swept: list[Path] = []

    def sweep_first(handle: IO[bytes] | int, how: int) -> None:
        if how == fcntl.LOCK_EX and not swept:
            assert not isinstance(handle, int)
            swept.append(tmp_path / "screens" / "one")
            swept[0].unlink()
        real(handle, how)

    monkeypatch.setattr(fcntl, "flock", sweep_first)
    one = Presence(tmp_path / "screens", "one")
    two = Presence(tmp_path / "screens", "two")
    assert two.is_alive("one") and two.others_alive() and two.is_alive("two") and not two.is_alive("three")
    one.close()
    two.close()


def full(*_: object) -> int:
    raise OSError(28, "No space left on device")


def test_a_full_disk_neither_hides_a_press_nor_stops_a_screen_from_leaving(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here, other = Presence(tmp_path / "screens", "here"), Presence(tmp_path / "screens", "other")
    assert other.last_pressed_s("boot 1") is None
    here.pressed("boot 1", 123_456.7)
    assert other.last_pressed_s("boot 1") == 123_457
    here.pressed("boot 1", 9.0)  # shorter than the one before
    assert other.last_pressed_s("boot 1") == 9.0 and other.last_pressed_s("boot 2") is None
    monkeypatch.setattr("os.pwrite", full)
    here.pressed("boot 1", 10.0)
    for _ in range(2):  # reading tells nothing else
        assert other.last_pressed_s("boot 1") == 10.0 and other.last_pressed_s("boot 2") is None
    monkeypatch.undo()
    here.pressed("boot 1", 12.0)
    assert other.last_pressed_s("boot 1") == 12.0
    here.close()
    assert not (tmp_path / "screens" / "here").exists()
    other.close()


def test_the_fraction_of_each_boot_is_one_that_no_coarse_disk_keeps_nor_another_boot_has() -> None:
    fractions = [_fraction_ns(f"boot {number}") for number in range(5000)]
    assert all(0 < one < 1_000_000_000 and one % 2 for one in fractions), "a coarse disk keeps even ones"
    assert len({*fractions}) == len(fractions) and min(fractions) < 1_000_000 < 999_000_000 < max(fractions)


@pytest.mark.parametrize("keeps_ns", [10_000_000, 2_000_000_000], ids=["exFAT", "FAT"])
def test_a_full_stick_that_keeps_coarse_times_tells_a_press(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, keeps_ns: int
) -> None:
    """exFAT keeps file times by hundredths of a second, FAT by two seconds, and both from 1980 on."""
    real = os.utime

    def coarse(file: int, *, ns: tuple[int, int]) -> None:
        assert ns[0] >= 315_532_800 * 10**9  # 1 January 1980
        kept = ns[0] - ns[0] % keeps_ns
        real(file, ns=(kept, kept))

    monkeypatch.setattr("os.utime", coarse)
    monkeypatch.setattr("os.pwrite", full)
    here, other = (Presence(tmp_path / "screens", name) for name in ("here", "other"))
    assert other.last_pressed_s("boot 1") is None  # when the file was made is no press
    for second in (4.0, 3_000_001.0):
        here.pressed("boot 1", second)
        found = other.last_pressed_s("boot 1")
        assert found is not None and second - keeps_ns / 1e9 < found <= second
    for one in (here, other):
        one.close()


def test_screens_that_were_opened_on_a_full_disk_keep_one_sitting(
    new_shop: Path, clocks: SteadyClocks, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The one at which somebody read for an hour was sent to its start by a press at the other."""
    with monkeypatch.context() as patched:
        patched.setattr("os.pwrite", full)
        wall, tablet = (Bench(new_shop, clocks, watch=True) for _ in range(2))
        wall.note("begun")
        wall.come("pip")
        for _ in range(5):  # nothing can be recorded meanwhile
            clocks.go(20)
            assert not wall.pressed()
        tablet.refresh()
        assert not tablet.pressed()
    tablet.note("there is room again")
    wall.refresh()
    assert wall.state.sitting is not None and "pip" in wall.state.sitting.people
    for one in (wall, tablet):
        one.close()


def test_a_screen_that_could_say_nothing_at_opening_is_among_the_others_once_it_records(
    new_shop: Path, clocks: SteadyClocks, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its running step was said to be unknown by the next screen that was opened."""

    def read_only(*_: object, **__: object) -> None:
        raise OSError(30, "Read-only file system")

    with monkeypatch.context() as patched:
        patched.setattr("kiosk.record.journal.connect_to_write", read_only)
        patched.setattr(Presence, "_held", read_only)
        wall = Bench(new_shop, clocks, watch=True)
    assert wall.presence is None
    work = wall.start(["FB-NR"], "form-block", "measure-pattern")
    tablet = Bench(new_shop, clocks, watch=True)
    assert tablet.state.sitting is not None and tablet.state.works[work].status == "running"
    for one in (wall, tablet):
        one.close()
