"""Reading without writing: where there is no record, where nothing can be written, on a full disk."""

import errno
import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory, gettempdir
from types import SimpleNamespace

import pytest

from kiosk.bench import Bench
from kiosk.commands import main
from kiosk.record import journal, opening
from kiosk.record.events import NoteWritten
from kiosk.record.journal import Record
from kiosk.record.opening import wal_of
from kiosk.record.stopped import CannotWrite, DamagedRecord, RecordBusy, RecordingStopped
from kiosk.record.troubles import has_room, told
from tests.conftest import SteadyClocks

STORED = Path(__file__).parent / "stored"


def sqlite_error(name: str, text: str = "as SQLite says it") -> sqlite3.OperationalError:
    error = sqlite3.OperationalError(text)
    error.sqlite_errorname = name
    return error


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


@pytest.mark.parametrize("command", [["where"], ["spare", "12"], ["forecast"], ["cut"]])
def test_a_command_that_reads_makes_no_record(
    new_shop: Path, command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    before = names(new_shop)
    assert main([*command, str(new_shop)]) == 0
    assert capsys.readouterr().out
    assert names(new_shop) - before <= {".cache"}


def test_a_reader_sees_what_a_writer_recorded_and_says_it_cannot_write(bench: Bench) -> None:
    bench.note("in the WAL")
    reading = Record(bench.record.journal.path, reading=True)
    assert reading.state == bench.state
    bench.note("and more")
    assert reading.refresh() and reading.state == bench.state
    with pytest.raises(CannotWrite, match="only read here"):
        reading.transact(lambda _: [NoteWritten(text="x")], by="wren", tap=None)
    reading.close()
    bench.note("the writer goes on")


def test_an_older_format_is_read_without_being_brought_up(tmp_path: Path) -> None:
    path = tmp_path / "record.db"
    shutil.copy(STORED / "format-1.db", path)
    before = path.read_bytes()
    reading = Record(path, reading=True)
    assert reading.state.seq > 100
    reading.close()
    assert path.read_bytes() == before


@pytest.mark.parametrize("name", ["SQLITE_CANTOPEN", "SQLITE_READONLY_DIRECTORY", "SQLITE_IOERR_SHMSIZE"])
@pytest.mark.parametrize("in_the_wal", [False, True])
def test_where_sqlite_can_make_no_shared_memory_the_record_is_read_all_the_same(
    demo_shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, in_the_wal: bool
) -> None:
    """As on a read-only mount and on a full disk: the file alone where it is all there is, else a copy."""
    bench = Bench(demo_shop, SteadyClocks())
    bench.note("the last word")
    if not in_the_wal:
        bench.close()
    left = tmp_path / "left"
    shutil.copytree(demo_shop, left)
    wal_of(left / "record.db").touch()
    real, how = opening._reading, []

    def no_shared_memory(path: Path, mode: str) -> sqlite3.Connection:
        how.append(mode)
        if path.parent == left and mode == "mode=ro":
            raise sqlite_error(name)
        return real(path, mode)

    monkeypatch.setattr(opening, "_reading", no_shared_memory)
    reading = Record(left / "record.db", reading=True)
    assert reading.state.seq == bench.state.seq
    assert how[-1] == ("mode=rw" if in_the_wal else "immutable=1")
    reading.close()


_AS_NOBODY = """
import contextlib, io, os, sys
from kiosk.commands import main
own, shop = sys.argv[1:3]
commands = ["where"], ["spare", "12"], ["cut"], ["verify"], ["open"], ["trial"]
with contextlib.redirect_stdout(io.StringIO()):
    for command in commands:
        main([*command, own])  # everything is loaded while it can be
if os.geteuid() == 0:  # whom no mode of a folder stops
    os.setuid(65534)
for command in commands:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main([*command, shop])
    said = [line for line in err.getvalue().splitlines() if "reading the record" not in line]
    assert (code, said) == (0, []) and out.getvalue(), (command, code, err.getvalue())
sys.exit(main(["backup", shop]))
"""


def test_reading_commands_and_opening_work_on_a_folder_that_cannot_be_written(demo_shop: Path) -> None:
    with TemporaryDirectory() as open_to_all:
        shop = Path(open_to_all) / "shop"
        shutil.copytree(demo_shop, shop)
        Path(open_to_all).chmod(0o755)
        for path in (shop, *shop.rglob("*")):
            path.chmod(0o555 if path.is_dir() else 0o444)
        before = names(shop)
        done = subprocess.run(
            [sys.executable, "-c", _AS_NOBODY, str(demo_shop), str(shop)],
            capture_output=True,
            text=True,
            check=False,
        )
        # On a busy machine it also says how far the reading has come.
        said = [line for line in done.stderr.splitlines() if "reading the record" not in line]
        assert done.returncode == 1 and len(said) == 1 and "can be read and not written" in said[0], (
            done.stderr
        )
        assert names(shop) == before
        for path in (shop, *shop.rglob("*")):
            path.chmod(0o755)


def test_a_screen_opens_where_nothing_can_be_recorded_says_so_and_goes_on_when_it_can(
    demo_shop: Path, clocks: SteadyClocks, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: Path) -> None:
        raise sqlite_error("SQLITE_FULL")

    with monkeypatch.context() as patched:
        patched.setattr(journal, "connect_to_write", full)
        bench = Bench(demo_shop, clocks, watch=True)
        seq = bench.state.seq
        assert seq > 100 and "the disk is full: nothing can be recorded" in bench.record_trouble()
        for _ in range(2):
            with pytest.raises(CannotWrite, match="the disk is full"):
                bench.note("not recorded", tap="the tap")
        assert bench.state.seq == seq
    bench.note("there is room again", tap="the tap")
    assert bench.state.seq > seq and bench.record_trouble() == ""
    bench.close()


@pytest.mark.parametrize(
    ("error", "kind", "words"),
    [
        (sqlite_error("SQLITE_FULL"), CannotWrite, "the disk is full: nothing can be recorded; make room"),
        (OSError(28, "No space left on device"), CannotWrite, "the disk is full"),
        (OSError(122, "Disk quota exceeded"), CannotWrite, "the disk is full"),
        (sqlite_error("SQLITE_READONLY"), CannotWrite, "can be read and not written"),
        (OSError(30, "Read-only file system"), CannotWrite, "can be read and not written"),
        (sqlite_error("SQLITE_BUSY"), RecordBusy, "another program holds the record"),
        (sqlite_error("SQLITE_CORRUPT"), DamagedRecord, "is damaged"),
        (sqlite_error("SQLITE_IOERR_FSYNC"), RecordingStopped, "check the disk"),
        (OSError(5, "Input/output error"), RecordingStopped, "check the disk"),
    ],
)
def test_what_the_disk_refuses_is_told_apart(
    tmp_path: Path, error: Exception, kind: type[RecordingStopped], words: str
) -> None:
    found = told(error, tmp_path / "record.db", "recording stopped")
    assert type(found) is kind and words in str(found) and "\n" not in str(found)


@pytest.mark.parametrize(
    ("number", "there", "words"),
    [
        (errno.ENOENT, False, "is not there: nothing can be recorded; put its disk or its name back"),
        (errno.ENOENT, True, "check the disk"),
        (errno.EIO, False, "check the disk"),
    ],
)
def test_a_folder_is_said_to_be_gone_where_a_file_was_not_found_with_it(
    tmp_path: Path, number: int, there: bool, words: str
) -> None:
    path = (tmp_path if there else tmp_path / "pulled") / "record.db"
    assert words in str(told(OSError(number, os.strerror(number)), path, "recording stopped"))


def test_an_input_error_where_no_room_is_left_is_a_full_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SQLite says "disk I/O error" when its shared memory finds no room."""
    real = os.statvfs(tmp_path)

    class Full:
        f_bavail, f_frsize, f_flag = 3, 4096, real.f_flag

    monkeypatch.setattr(os, "statvfs", lambda _: Full)
    found = told(sqlite_error("SQLITE_IOERR_SHMSIZE"), tmp_path / "record.db", "recording stopped")
    assert isinstance(found, CannotWrite) and "the disk is full" in str(found)


@pytest.mark.parametrize("may_not", ["", "record.db", "shop", "a read-only mount"])
@pytest.mark.parametrize("there", [True, False])
def test_an_error_that_says_no_more_is_of_what_cannot_be_written_where_that_can_be_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, may_not: str, there: bool
) -> None:
    path = tmp_path / "shop" / "record.db"
    path.parent.mkdir()
    if there:
        path.touch()
    flag = os.ST_RDONLY if "mount" in may_not else 0
    monkeypatch.setattr(os, "access", lambda what, _: what.name != may_not)
    monkeypatch.setattr(os, "statvfs", lambda _: SimpleNamespace(f_bavail=99, f_frsize=4096, f_flag=flag))
    found = told(sqlite_error("SQLITE_CANTOPEN"), path, "the record cannot be opened")
    assert type(found) is (CannotWrite if there and may_not else RecordingStopped)


def test_a_full_database_refuses_the_tap_in_words_and_takes_it_again(bench: Bench) -> None:
    bench.note("first")
    run = bench.record.journal._connection.execute
    pages = run("PRAGMA page_count").fetchone()[0]
    run(f"PRAGMA max_page_count={pages}")
    with pytest.raises(CannotWrite, match="the disk is full"):
        bench.note("x" * 20_000, tap="the tap")
    run("PRAGMA max_page_count=100000")
    before = bench.state.seq
    bench.note("x" * 20_000, tap="the tap")
    assert bench.state.seq == before + 1


def test_a_long_reading_says_how_far_it_is(demo_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(journal, "_WORD_EVERY", 100)
    record = Record(demo_shop / "record.db")
    record.journal.drop_snapshot()
    record.journal.close()
    heard: list[tuple[int, int]] = []
    again = Record(demo_shop / "record.db", progress=lambda seq, of: heard.append((seq, of)))
    assert heard[:2] == [(100, again.state.seq), (200, again.state.seq)]
    assert heard[-1] == (again.state.seq, again.state.seq)
    again.close()


@pytest.mark.parametrize(("blocks", "room"), [(16, True), (15, False), (0, False)])
def test_a_disk_has_room_for_one_more_entry_while_64_kib_are_free(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, blocks: int, room: bool
) -> None:
    """SQLite's shared memory alone takes 32 KiB (its file-format documentation, "WAL-Index Format")."""
    assert has_room(tmp_path / "gone")  # not known, so not claimed to be full
    monkeypatch.setattr(os, "statvfs", lambda _: SimpleNamespace(f_bavail=blocks, f_frsize=4096))
    assert has_room(tmp_path) == room


@pytest.mark.skipif(not Path("/dev/shm").is_dir(), reason="no memory that is a folder")
def test_a_private_copy_is_made_in_memory_where_the_disk_takes_none(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, copyfile = demo_shop / "record.db", shutil.copyfile
    wal_of(path).touch()

    def refused(*names: str) -> None:
        def copy(source: Path, to: Path) -> None:
            if str(to).startswith(names):
                raise OSError(errno.ENOSPC, "No space left on device")
            copyfile(source, to)

        monkeypatch.setattr(shutil, "copyfile", copy)

    refused(gettempdir())
    opened = opening._privately(path)
    assert opened.private is not None and opened.private.name.startswith("/dev/shm/")
    opened.close()
    refused(gettempdir(), "/dev/shm")
    with pytest.raises(OSError, match="No space left"):
        opening._privately(path)
