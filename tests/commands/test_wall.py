"""The wall screen comes up with its machine: the files whole, quoted as systemd reads them; what falls."""

import configparser
import os
import pty
import re
import select
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from kiosk.commands import main, wall
from kiosk.commands.keeper import (
    AGAIN_CANNOT_S,
    CANNOT_LINES,
    LEFT_NOTE,
    LOOK_S,
    Falls,
    Silence,
    _wrapped,
    stopped_lines,
)
from kiosk.commands.wall_files import MARK, Machine, in_unit, paths, wall_files

HARD = '/home/wren/it\'s a "50%h" $HOME, ${x} shop\\n'
BY_HAND = Machine(
    user="wren",
    cage=Path("/usr/bin/cage"),
    foot=Path("/usr/bin/foot"),
    kiosk=["/home/wren/.venv/bin/kiosk"],
    shop=Path(HARD),
    keyboard="gb",
)


def text_of(name: str, machine: Machine = BY_HAND) -> str:
    return next(file.text for file in wall_files(machine) if file.path.name == name)


def settings(unit: str) -> dict[str, list[str]]:
    """The settings of a unit, each with all its values."""
    found: dict[str, list[str]] = {}
    for name, value in re.findall(r"^([A-Za-z]+)=(.*)$", unit, re.MULTILINE):
        found.setdefault(name, []).append(value)
    return found


def as_systemd_reads(command: str) -> list[str]:
    """The words of an ExecStart= line, by systemd.service(5), "Command lines", and systemd.unit(5): double
    quotes around a word, C-style escapes, %% for %, $$ for $. Written from the manual alone."""
    words = re.findall(r'"((?:[^"\\]|\\.)*)"|([^\s"]+)', command)
    unescaped = [re.sub(r"\\(.)", r"\1", quoted) if quoted else plain for quoted, plain in words]
    return [word.replace("%%", "%").replace("$$", "$") for word in unescaped]


def test_every_word_comes_back_as_it_was() -> None:
    words = as_systemd_reads(settings(text_of("bench-kiosk.service"))["ExecStart"][0])
    assert words == [
        *("/usr/bin/cage", "-d", "--", "/usr/bin/foot", "--config=/etc/bench-kiosk/foot.ini", "--"),
        *("/home/wren/.venv/bin/kiosk", "open", HARD, "--wall"),
    ]


@pytest.mark.parametrize("bad", ["a\nb", "a\x00b", "a\x1bb", "a\x7fb"])
def test_what_no_unit_file_can_hold_is_refused(bad: str) -> None:
    with pytest.raises(ValueError, match="cannot stand in a unit file"):
        in_unit([bad])


def test_the_unit_runs_as_nobody_but_the_owner_and_comes_back() -> None:
    """Each setting as systemd.service(5), systemd.exec(5) and systemd.unit(5) name it."""
    unit = settings(text_of("bench-kiosk.service"))
    assert unit["User"] == ["wren"] and unit["NoNewPrivileges"] == ["yes"]
    assert unit["ProtectSystem"] == ["full"] and unit["RestrictSUIDSGID"] == ["yes"]
    assert unit["Restart"] == ["always"] and unit["StartLimitBurst"] == ["5"]
    assert unit["OnFailure"] == ["bench-kiosk-stopped.service"]
    assert unit["WantedBy"] == ["multi-user.target"]
    assert unit["StandardOutput"] == unit["StandardError"] == ["journal"]
    assert unit["ExecCondition"] == [f"/usr/bin/test ! -e /run/bench-kiosk/{LEFT_NOTE}"]
    assert unit["RuntimeDirectory"] == ["bench-kiosk"] and unit["RuntimeDirectoryPreserve"] == ["restart"]
    assert unit["Environment"] == ["LANG=C.UTF-8 XKB_DEFAULT_LAYOUT=gb"]
    plain = text_of("bench-kiosk.service", Machine(**{**vars(BY_HAND), "keyboard": ""}))
    assert settings(plain)["Environment"] == ["LANG=C.UTF-8"]


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="apt install systemd")
def test_systemd_itself_finds_nothing_wrong_with_the_units(tmp_path: Path) -> None:
    """systemd-analyze(1), verify: it loads the unit and those it names, and tells what it does not know.
    Programs have to be there, and users need not be."""
    true = Path(shutil.which("true") or "/bin/true")
    machine = Machine("daemon", true, true, [str(true)], Path(HARD))
    for file in wall_files(machine, tmp_path):
        file.path.parent.mkdir(parents=True, exist_ok=True)
        file.path.write_text(file.text, encoding="utf-8")
    for name in ("bench-kiosk.service", "bench-kiosk-stopped.service"):
        done = subprocess.run(
            ["systemd-analyze", "verify", "--man=no", f"./{name}"],
            cwd=tmp_path / "etc/systemd/system",
            capture_output=True,
            text=True,
            check=False,
            env={**os.environ, "LC_ALL": "C.UTF-8"},
        )
        said = [line for line in done.stderr.splitlines() if "bench-kiosk" in line]
        assert done.returncode == 0 and not said, done.stderr


def test_the_terminal_has_no_key_that_is_a_way_out() -> None:
    """Each key that foot has by default (its own foot.ini, 1.13) is taken from it."""
    read = configparser.ConfigParser(strict=True, interpolation=None)
    read.read_string(text_of("foot.ini").replace("font=", "[main]\nfont=", 1))
    keys = read["key-bindings"]
    for name in ("spawn-terminal", "search-start", "show-urls-launch", "clipboard-paste", "font-decrease"):
        assert keys[name] == "none"
    assert set(keys.values()) == {"none"}
    assert read["bell"]["command-focused"] == "yes" and read["main"]["initial-window-mode"] == "fullscreen"


@pytest.mark.skipif(shutil.which("foot") is None, reason="apt install foot")
def test_foot_itself_finds_nothing_wrong_with_its_file(tmp_path: Path) -> None:
    """foot(1): --check-config exits with 0 if the file is in order, else with 230."""
    (tmp_path / "foot.ini").write_text(text_of("foot.ini"), encoding="utf-8")
    command = ["foot", f"--config={tmp_path / 'foot.ini'}", "--check-config"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0 and "warn" not in done.stderr, done.stderr


# The command


@pytest.fixture
def machine_root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A machine in a folder, with all that is wanted; what systemctl was told is in its ``told``."""
    root = tmp_path / "machine"
    (root / "etc/systemd/system").mkdir(parents=True)
    (root / "run/systemd/system").mkdir(parents=True)
    monkeypatch.setattr(wall, "ROOT", root)
    monkeypatch.setattr("kiosk.commands.wall.shutil.which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr(wall, "_user_name", lambda number: "wren")
    monkeypatch.setattr(wall, "_can_be_reached", lambda path, user: True)

    def told(*words: str) -> None:
        with (root / "told").open("a", encoding="utf-8") as file:
            file.write(" ".join(words) + "\n")

    monkeypatch.setattr(wall, "_systemctl", told)
    return root


@pytest.fixture
def own_shop(new_shop: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop that somebody owns who is not root."""
    if new_shop.stat().st_uid == 0:
        os.chown(new_shop, 1000, 1000)
    return new_shop


def written(root: Path) -> list[str]:
    return sorted(path.relative_to(root).as_posix() for path in (root / "etc").rglob("*") if path.is_file())


def test_it_prints_every_file_whole_and_writes_nothing_unasked(
    own_shop: Path, machine_root: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["wall", str(own_shop)]) == 2
    out = capsys.readouterr()
    assert "nobody to ask" in out.err and written(machine_root) == []
    for file in wall_files(Machine("x", *BY_HAND_PROGRAMS, [], own_shop), machine_root):
        assert f"==> {file.path}" in out.out
        assert file.text.splitlines()[-1] in out.out
    assert f"open {own_shop} --wall" in out.out and "User=wren" in out.out


BY_HAND_PROGRAMS = (Path("/usr/bin/cage"), Path("/usr/bin/foot"))


def test_with_yes_it_writes_what_it_printed_and_takes_exactly_that_away(
    own_shop: Path, machine_root: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    others = machine_root / "etc/systemd/system/other.service"
    others.write_text("[Unit]\n", encoding="utf-8")
    assert main(["wall", str(own_shop), "--yes", "--font", "20"]) == 0
    names = [path.relative_to(machine_root).as_posix() for path in paths(machine_root)]
    assert written(machine_root) == sorted([*names, "etc/systemd/system/other.service"])
    out = capsys.readouterr().out
    for path in paths(machine_root):
        assert path.read_text(encoding="utf-8") in out and path.stat().st_mode & 0o777 == 0o644
    assert "pixelsize=20" in out
    assert main(["wall", str(own_shop), "--yes"]) == 0, "its own files may be written anew"
    assert main(["wall", "--remove", "--yes"]) == 0
    assert written(machine_root) == ["etc/systemd/system/other.service"]
    assert not (machine_root / "etc/bench-kiosk").exists()
    told = (machine_root / "told").read_text(encoding="utf-8").split("\n")
    assert told[:2] == ["daemon-reload", "enable bench-kiosk.service"]
    assert told[4:6] == ["disable bench-kiosk.service", "daemon-reload"]
    assert main(["wall", "--remove", "--yes"]) == 0 and "nothing to take away" in capsys.readouterr().out


def test_somebody_elses_file_is_neither_written_over_nor_taken_away(
    own_shop: Path, machine_root: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    theirs = machine_root / "etc/systemd/system/bench-kiosk.service"
    theirs.write_text("[Unit]\nDescription=mine\n", encoding="utf-8")
    assert main(["wall", str(own_shop), "--yes"]) == 2
    assert "was not written by kiosk wall" in capsys.readouterr().err
    assert main(["wall", "--remove", "--yes"]) == 0
    assert "and stays" in capsys.readouterr().out and theirs.exists()


def _no_systemd(root: Path, shop: Path) -> None:
    (root / "run/systemd/system").rmdir()


def _a_desktop(root: Path, shop: Path) -> None:
    (root / "etc/systemd/system/display-manager.service").write_text("", encoding="utf-8")


def _a_line_end(root: Path, shop: Path) -> None:
    shop.rename(shop.with_name("a\nb"))


@pytest.mark.parametrize(
    ("befalls", "words"),
    [(_no_systemd, "not started by systemd"), (_a_desktop, "a desktop starts"), (_a_line_end, "unit file")],
)
def test_where_it_cannot_it_says_so_in_one_line(
    befalls: object, words: str, own_shop: Path, machine_root: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert callable(befalls)
    befalls(machine_root, own_shop)
    shop = own_shop if own_shop.exists() else own_shop.with_name("a\nb")
    assert main(["wall", str(shop), "--yes"]) == 2
    err = capsys.readouterr().err
    assert (
        words in err
        and len(err.strip().splitlines()) == 1
        and written(machine_root) in ([], ["etc/systemd/system/display-manager.service"])
    )


def test_without_cage_or_foot_it_says_what_to_install(
    own_shop: Path, machine_root: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("kiosk.commands.wall.shutil.which", lambda name: None)
    assert main(["wall", str(own_shop)]) == 2
    assert (
        "cage and foot cannot be found; install: sudo apt install cage xwayland foot"
        in capsys.readouterr().err
    )


def test_the_way_has_to_be_open_to_who_it_runs_as(tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o700)
    owner = closed.stat().st_uid
    assert not wall._can_be_reached(closed / "kiosk", owner + 1)
    assert wall._can_be_reached(closed / "kiosk", owner)


def test_the_keyboard_is_the_machines_own(tmp_path: Path) -> None:
    file = tmp_path / "keyboard"
    file.write_text('# set by hand\nXKBMODEL="pc105"\nXKBLAYOUT="de"\n', encoding="utf-8")
    assert wall._keyboard(file) == "de"
    file.write_text("XKBLAYOUT='gb\" %h; Exec=x'\n", encoding="utf-8")
    assert wall._keyboard(file) == ""
    assert wall._keyboard(tmp_path / "none") == ""


# What falls


def test_three_falls_are_mended_at_once_and_a_fourth_is_told() -> None:
    now = [0.0]
    falls = Falls(lambda: now[0])
    assert [falls.one_more() for _ in range(4)] == [True, True, True, False]
    assert falls.lately == 4
    falls.forget()
    assert falls.one_more()
    now[0] += 301
    assert [falls.one_more() for _ in range(3)] == [True] * 3, "the one of five minutes ago counts no longer"


def test_what_is_told_is_calm_says_whom_to_ask_and_fits(tmp_path: Path) -> None:
    lines = stopped_lines(4, tmp_path, 1_800_000_000.0)
    text = "\n".join(lines)
    assert "Everything saved is in the record" in text and "Ask the builder" in text
    assert "crash.txt" not in text
    assert len(lines) < 20 and max(map(len, lines)) <= 64 + 14
    (tmp_path / "crash.txt").write_text("x", encoding="utf-8")
    os.utime(tmp_path / "crash.txt", (1_800_000_000.0 - 9, 1_800_000_000.0 - 9))
    assert "crash.txt" in "\n".join(stopped_lines(4, tmp_path, 1_800_000_000.0))


FALLS = """
import os, sys
from pathlib import Path
from kiosk.commands.keeper import keep_up
fell = keep_up(Path(sys.argv[1])).fell
print(f"screen {fell}", flush=True)
if fell < 4:
    os.kill(os.getpid(), 9)
"""


def test_a_screen_that_is_killed_comes_back_and_the_fifth_time_by_a_press(tmp_path: Path) -> None:
    ours, its = pty.openpty()
    environment = {**os.environ, "RUNTIME_DIRECTORY": str(tmp_path)}
    command = [sys.executable, "-c", FALLS, str(tmp_path)]
    keeper = subprocess.Popen(
        command, stdin=its, stdout=its, stderr=its, env=environment, start_new_session=True
    )
    os.close(its)
    said = read_until(ours, b"1000;1006h")  # it waits for a key or a tap
    assert [f"screen {fell}" in said for fell in range(5)] == [True] * 4 + [False]
    assert "THE KIOSK HAS STOPPED" in said and "Press a key or tap to try again." in said
    assert not (tmp_path / LEFT_NOTE).exists()
    keeper.send_signal(signal.SIGTSTP)  # and nothing that a keyboard sends stops it
    keeper.send_signal(signal.SIGINT)
    os.write(ours, b"\x03")
    read_until(ours, b"screen 4")
    assert keeper.wait(timeout=60) == 0
    assert (tmp_path / LEFT_NOTE).exists(), "left on purpose: the service does not start it again"
    os.close(ours)


HANGS = """
import os, sys, time
from pathlib import Path
from kiosk.commands import keeper
keeper.SILENT_S, keeper.LOOK_S = 0.5, 0.05
begun = keeper.keep_up(Path(sys.argv[1]))
print(f"screen {begun.fell}", flush=True)
for _ in range(15):  # longer than it may be silent
    os.write(begun.pipe, b".")
    time.sleep(0.05)
if begun.fell:
    os.close(begun.pipe)  # it leaves, and takes its time
    time.sleep(1)
else:
    time.sleep(60)
"""


def test_a_screen_that_hangs_is_ended_and_begun_again(tmp_path: Path) -> None:
    ours, its = pty.openpty()
    command = [sys.executable, "-c", HANGS, str(tmp_path)]
    keeper = subprocess.Popen(command, stdin=its, stdout=its, stderr=its, start_new_session=True)
    os.close(its)
    said = read_until(ours, b"screen 1")
    assert "screen 0" in said and AS_FOUND_WRAPS in said
    assert keeper.wait(timeout=60) == 0, "the one that beats, and leaves slowly, is left alone"
    os.close(ours)


AS_FOUND_WRAPS = "\x1b[?7h"  # DECAWM of xterm's control sequences: what is written next is wrapped again


def test_only_a_silence_that_nothing_explains_counts() -> None:
    now = [0.0]
    silence = Silence(lambda: now[0])

    def look(passed_s: float, *, heard: bool = False, explained: bool = False) -> float:
        now[0] += passed_s
        silence.looked(heard=heard, explained=explained)
        return silence.lasted_s

    assert [look(1) for _ in range(100)][-1] == 0, "a long record is being read"
    assert look(1, heard=True) == 0
    assert [look(1) for _ in range(30)][-1] == 30
    assert look(8 * 3600) == 30 + 2 * LOOK_S, "the machine slept"
    assert look(1, explained=True) == 0, "it was stopped, or nothing reads what it draws"
    assert look(1) == 1 and look(1, heard=True) == 0


def test_a_shop_that_cannot_be_opened_says_what_rings_nobody_and_whom_to_ask() -> None:
    text = "\n".join(CANNOT_LINES)
    assert "not called out meanwhile" in text and "Ask the builder" in text
    assert AGAIN_CANNOT_S <= 60


def test_no_line_is_cut_by_a_narrow_terminal(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr("os.get_terminal_size", lambda descriptor: os.terminal_size((64, 20)))
    for lines in (CANNOT_LINES, stopped_lines(4, tmp_path, 0.0)):
        rows = _wrapped(lines)
        assert max(map(len, rows)) <= 64 and " ".join(rows).split() == " ".join(lines).split()


def read_until(terminal: int, words: bytes) -> str:
    """What the terminal shows until these words have come."""
    said = b""
    while words not in said:
        assert select.select([terminal], [], [], 60)[0], said
        said += os.read(terminal, 65536)
    return said.decode()


def test_a_wall_needs_a_terminal(new_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["open", str(new_shop), "--wall"]) == 2
    assert "needs a terminal of its own" in capsys.readouterr().err


def test_each_file_says_whose_it_is() -> None:
    assert all(MARK in file.text for file in wall_files(BY_HAND))
