"""What commands print of files, of the record and of what was typed: seen, never obeyed by the terminal."""

import errno
import os
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from kiosk.bench import RECORD_FILE, Bench
from kiosk.commands import main
from kiosk.commands.printed import printed_visibly
from kiosk.crash import CRASH_FILE, crash_text, keep_crash
from kiosk.record.events import SnagRaised
from kiosk.record.opening import holds_something
from kiosk.record.rules import Refused
from tests.commands.test_command_line import ASCII_ONLY

Printed = pytest.CaptureFixture[str]
OWNED = "\x1b]0;owned\x07"


def _raw(text: str) -> bool:
    return any(ord(character) < 32 and character not in "\n\t" for character in text)


def test_everything_printed_goes_through_one_place(capsys: Printed) -> None:
    with printed_visibly():
        print(f"{OWNED} \u202e and \udce9")
        print(OWNED, file=sys.stderr)
        assert sys.stdout.isatty() is False
    out, err = capsys.readouterr()
    assert out == "<U+001B>]0;owned<U+0007> <U+202E> and <U+DCE9>\n" and err.startswith("<U+001B>]0;")


@pytest.mark.parametrize(
    "arguments",
    [
        ["where", "SHOP", "--mark", OWNED],
        ["where", f"{OWNED}"],
        ["new", f"SHOP/{OWNED}", "--from", OWNED],
        ["numbers", OWNED],
        ["numbers", "setback", f"thickness={OWNED}"],
        ["cut", "SHOP", "--sheet", OWNED],
        ["rib", OWNED, "SHOP"],
        ["picture", "SHOP", "--size", OWNED],
        ["check", "SHOP", "--strict", OWNED],
        [OWNED],
    ],
)
def test_what_was_typed_on_the_command_line_is_not_obeyed(
    arguments: list[str], new_shop: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    try:
        code = main([word.replace("SHOP", str(new_shop)) for word in arguments])
    except SystemExit as left:  # what argparse does not know
        code = int(str(left.code))
    out, err = capfd.readouterr()
    assert code in (1, 2)
    assert not _raw(out) and not _raw(err), (out, err)


def test_a_trial_strip_of_no_alloy_is_not_recorded(new_shop: Path, capsys: Printed) -> None:
    given = {"thickness": ".025", "radius": "1/8", "flat": "2", "leg-a": "1.05", "leg-b": "1.08"}
    given |= {"angle": "90", "set": "94", "grain": "along"}
    figures = [word for name, value in given.items() for word in (f"--{name}", value)]
    assert main(["trial", str(new_shop), "--alloy", f"2024{OWNED}", *figures]) == 1
    err = capsys.readouterr().err
    assert "is not in the table" in err and not _raw(err) and err.count("\n") == 1
    bench = Bench(new_shop)
    assert not bench.state.trials
    bench.close()


def test_what_is_typed_at_the_bench_is_refused_when_it_does_not_show(bench: Bench) -> None:
    bench.note("here")
    acts: list[Callable[[], None]] = [
        lambda: bench.note(f"look {OWNED}"),
        lambda: bench.note("look \u202e", "NR-01"),
        lambda: bench.raise_snag("NR-01", "crack\x00"),
        lambda: bench.skip("NR-01", "not\u200b needed"),
        lambda: bench.close_sitting(OWNED),
    ]
    for act in acts:
        seq = bench.state.seq
        with pytest.raises(Refused, match="does not show"):
            act()
        assert bench.state.seq == seq


def test_what_an_older_kiosk_recorded_is_made_visible(demo_shop: Path, capsys: Printed) -> None:
    bench = Bench(demo_shop)
    body = SnagRaised(snag="s", mark="NR-01", text=f"scratch {OWNED}")
    bench.record.transact(lambda _: [body], by="wren", tap=None)
    bench.write_logbook(trials=10)
    bench.close()
    capsys.readouterr()
    for arguments in (["where"], ["where", "--mark", "NR-01"], ["open"]):
        assert main([arguments[0], str(demo_shop), *arguments[1:]]) == 0
        out = capsys.readouterr().out
        assert "owned" in out and "<U+001B>" in out and not _raw(out)
    for name in ("index.html", "entries.csv"):
        written = (demo_shop / "logbook" / name).read_text(encoding="utf-8")
        assert "<U+001B>" in written.replace("&lt;", "<").replace("&gt;", ">")
        assert not _raw(written.replace("\r\n", "\n"))


def test_a_name_that_is_too_long_is_no_shop(capsys: Printed) -> None:
    assert main(["where", "x" * 300]) == 2
    assert "no shop folder" in capsys.readouterr().err


def test_files_whose_names_are_no_text_are_named_without_a_traceback(new_shop: Path) -> None:
    (new_shop / "procedures" / os.fsdecode(b"caf\xe9.yaml")).write_text("id: [")
    for command, environment in (("check", {}), ("check", ASCII_ONLY), ("where", ASCII_ONLY), ("open", {})):
        done = subprocess.run(
            [sys.executable, "-m", "kiosk", command, str(new_shop)],
            capture_output=True,
            cwd=new_shop.parent,
            env={**os.environ, **environment},
            check=False,
        )
        said = done.stdout + done.stderr
        assert done.returncode == 1 and b"Traceback" not in said and b"caf<U+DCE9>" in said


def test_check_of_a_record_that_cannot_be_read_says_so_and_goes_on(new_shop: Path, capsys: Printed) -> None:
    (new_shop / RECORD_FILE).write_bytes(b"no database at all, but long enough to look at" * 100)
    assert main(["check", str(new_shop)]) == 0
    out = capsys.readouterr().out
    assert "not compared with the files" in out and "1 warning" in out


def test_check_writes_nothing_into_the_record(demo_shop: Path, capsys: Printed) -> None:
    before = (demo_shop / RECORD_FILE).read_bytes()
    with sqlite3.connect(demo_shop / RECORD_FILE) as connection:
        seq = connection.execute("SELECT max(seq) FROM event").fetchone()
    connection.close()
    beside = sorted(path.name for path in demo_shop.iterdir())
    assert main(["check", str(demo_shop)]) == 0
    assert (demo_shop / RECORD_FILE).read_bytes() == before
    # SQLite's own, which a reader of a WAL database makes and may not take away: nothing is in them.
    left = {f"{RECORD_FILE}-wal", f"{RECORD_FILE}-shm"}
    assert sorted(path.name for path in demo_shop.iterdir() if path.name not in left) == beside
    assert not holds_something(demo_shop / f"{RECORD_FILE}-wal")
    with sqlite3.connect(demo_shop / RECORD_FILE) as connection:
        assert connection.execute("SELECT max(seq) FROM event").fetchone() == seq
    connection.close()


# A fault of the kiosk's own


def test_a_fault_of_the_kiosks_own_is_one_line_and_a_file(
    new_shop: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        pin_of_the_builder = "2468"
        raise ValueError(f"no such thing as {pin_of_the_builder} {OWNED}")

    monkeypatch.setattr(Bench, "board", broken)
    assert main(["where", str(new_shop)]) == 1
    out, err = capsys.readouterr()
    kept = new_shop / CRASH_FILE
    assert not out and err.count("\n") == 1 and str(kept) in err and "Traceback" not in err
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    text = kept.read_text()
    assert "test_printed.py" in text and "ValueError: no such thing as #### <U+001B>" in text
    assert "2468" not in text.replace('pin_of_the_builder = "2468"', "")


def test_a_crash_file_is_written_over_and_follows_no_link(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    (tmp_path / CRASH_FILE).symlink_to(tmp_path / "mine.txt")
    path = keep_crash(ValueError("x"), tmp_path)
    assert path is not None and path.parent != tmp_path and (tmp_path / "mine.txt").read_text() == "mine"
    path.unlink()
    (tmp_path / CRASH_FILE).unlink()
    (tmp_path / CRASH_FILE).write_text("long ago " * 1000)
    (tmp_path / CRASH_FILE).chmod(0o644)
    assert keep_crash(ValueError("x"), tmp_path) == tmp_path / CRASH_FILE
    assert "long ago" not in (tmp_path / CRASH_FILE).read_text()
    assert stat.S_IMODE((tmp_path / CRASH_FILE).stat().st_mode) == 0o600


def test_a_crash_without_a_place_to_write_is_still_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "open", refuse)
    assert keep_crash(ValueError("x"), tmp_path) is None


def test_what_pydantic_quotes_is_left_out() -> None:
    from pydantic import BaseModel

    class Secret(BaseModel):
        pin: int

    try:
        Secret.model_validate({"pin": "Wren's birthday"})
    except ValueError as error:
        text = crash_text(error)
    assert "birthday" not in text.split("model_validate")[-1].split("\n", 1)[1] and "pin int_parsing" in text


def test_the_cause_of_a_crash_is_told_too() -> None:
    try:
        try:
            raise KeyError("first")
        except KeyError as error:
            raise RuntimeError("then") from error
    except RuntimeError as error:
        text = crash_text(error)
    assert text.index("RuntimeError: then") < text.index("KeyError: 'first'")
