"""verify, backup and restore: what a person types when the record matters."""

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.commands import main
from kiosk.packed import pack
from kiosk.planning.forecast import simulation
from kiosk.record.copies import copies_in, note_elsewhere
from kiosk.record.presence import Presence
from kiosk.shop import kept as keeping
from kiosk.shop.kept import KEPT_FILE, KeptFiles, open_shop
from tests.conftest import SteadyClocks
from tests.record.by_hand import change_by_hand

Printed = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def few_walks(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a forecast says is tried elsewhere: here a logbook is written for what lies in its way."""
    monkeypatch.setattr(simulation, "TRIALS", 1)


def run(capsys: Printed, *arguments: object) -> tuple[int, str, str]:
    code = main([str(one) for one in arguments])
    said = capsys.readouterr()
    where_it_takes_long = "reading the record, "
    err = "".join(line for line in said.err.splitlines(True) if where_it_takes_long not in line)
    return code, said.out, err


def record_more(shop: Path) -> int:
    """A sitting with three notes, which is four events; gives the last."""
    bench = Bench(shop, SteadyClocks())
    for number in range(3):
        bench.note(f"later {number}")
    bench.close()
    return bench.state.seq


def test_verify_says_what_is_proved_and_what_is_not(demo_shop: Path, capsys: Printed) -> None:
    assert run(capsys, "backup", demo_shop)[0] == 0
    code, out, _ = run(capsys, "verify", demo_shop)
    assert code == 0
    assert "[x] Chain: entries 1 to" in out and "[x] End: record.head noted entry" in out
    assert "[x] Snapshot, for a quick start: of entry " in out
    assert "[x] Copies: 1 whole" in out and "Not proved: The chain has no key" in out
    assert "Head today: entry" in out


def test_verify_holds_the_snapshot_to_the_entries_and_throws_a_wrong_one_away(
    demo_shop: Path, capsys: Printed
) -> None:
    bench = Bench(demo_shop, SteadyClocks(), watch=True)
    bench.state.stock["glue"] = 77.0
    bench.state.snags.clear()
    bench.record.journal.write_snapshot(bench.state)
    for then in ("leave the kiosk on every screen", "it was thrown away, and the next start works"):
        code, out, _ = run(capsys, "verify", demo_shop)
        assert code == 1 and "[x] Chain" in out
        assert "[!] Snapshot, for a quick start: it is not what the entries say in snags (" in out
        assert f"stock (glue); {then}" in out
        bench.record._snapshot_seq = bench.state.seq  # nothing new to keep
        bench.close()
    code, out, _ = run(capsys, "verify", demo_shop)
    assert code == 0 and "[ ] Snapshot, for a quick start: none; the next start works everything out" in out


def test_verify_names_the_event_and_leaves_with_1(demo_shop: Path, capsys: Printed) -> None:
    change_by_hand(demo_shop / "record.db", "by", "somebody", 40)
    code, out, _ = run(capsys, "verify", demo_shop)
    assert (
        code == 1 and "[!] Chain: entries 1 to 39 fit one another; event 40 is not what was recorded" in out
    )


def test_restore_says_where_going_on_as_it_is_loses_no_entry(demo_shop: Path, capsys: Printed) -> None:
    entries = record_more(demo_shop)
    whole = f"all {entries} entries are whole: going on with them loses none"
    assert whole in run(capsys, "restore", demo_shop)[1]
    change_by_hand(demo_shop / "record.db", "by", "pip", 40)
    out = run(capsys, "restore", demo_shop)[1]
    assert "going on with them" not in out and "--as-it-is" not in out
    assert out.count("cannot be gone on with") == 1
    assert "record.db cannot be gone on with: event 40 " in out and out.count("; name a copy") == 1


def test_restore_before_anything_is_recorded_is_one_line(new_shop: Path, capsys: Printed) -> None:
    code, out, _ = run(capsys, "restore", new_shop)
    assert (code, out) == (
        0,
        f"Nothing is recorded in {new_shop} yet: begin with kiosk open {new_shop}, or put a copy back: "
        f"kiosk restore COPY {new_shop}\n",
    )
    code, _, err = run(capsys, "restore", new_shop, "--as-it-is", "--yes")
    assert code == 1 and err.count("\n") == 1 and "cannot be gone on with" not in err


def test_restore_of_a_record_that_is_gone_says_so_once(demo_shop: Path, capsys: Printed) -> None:
    run(capsys, "backup", demo_shop)
    (demo_shop / "record.db").unlink()
    out = run(capsys, "restore", demo_shop)[1]
    assert out.count("cannot be gone on with") == 1 and "record.db is missing or empty" in out


def test_verify_of_a_lost_end_and_of_a_bad_copy_leaves_with_1(demo_shop: Path, capsys: Printed) -> None:
    run(capsys, "backup", demo_shop)
    [copy] = (demo_shop / "copies").iterdir()
    record_more(demo_shop)
    shutil.copy(copy, demo_shop / "record.db")
    code, out, _ = run(capsys, "verify", demo_shop)
    assert code == 1 and "[!] End: " in out and "is an older copy" in out
    copy.write_bytes(b"")
    assert "[!] Copy " in run(capsys, "verify", demo_shop)[1]


def test_verify_of_a_shop_without_a_record_makes_none(new_shop: Path, capsys: Printed) -> None:
    code, out, _ = run(capsys, "verify", new_shop)
    assert (
        code == 0
        and "no entry was made yet" in out
        and "To go on" not in out
        and not (new_shop / "record.db").exists()
    )


@pytest.mark.parametrize("to", [None, "stick", "stick/mine.db"])
def test_backup_makes_a_copy_where_it_is_told(
    demo_shop: Path, tmp_path: Path, capsys: Printed, to: str | None
) -> None:
    (tmp_path / "stick").mkdir()
    arguments = [] if to is None else ["--to", tmp_path / to]
    code, out, _ = run(capsys, "backup", demo_shop, *arguments)
    assert code == 0 and "The copy was opened and is whole" in out
    folder = demo_shop / "copies" if to is None else tmp_path / "stick"
    [copy] = folder.iterdir()
    assert (copy.name == "mine.db") == (to == "stick/mine.db")


def test_a_copy_on_a_stick_is_remembered_where_copies_are_said(
    demo_shop: Path, tmp_path: Path, capsys: Printed
) -> None:
    """It was told afterwards that there was none yet."""
    stick = tmp_path / "stick"
    stick.mkdir()
    run(capsys, "backup", demo_shop, "--to", stick)
    [copy] = stick.iterdir()
    code, out, _ = run(capsys, "verify", demo_shop)
    assert code == 0 and f" in {stick}: whole, and a beginning of this record" in out
    assert "none yet" not in out and f"  {copy} goes to entry" in run(capsys, "restore", demo_shop)[1]
    record_more(demo_shop)
    run(capsys, "backup", demo_shop, "--to", stick)
    copy.unlink()
    assert run(capsys, "verify", demo_shop)[1].count("Copy elsewhere") == 1, "the newest of each folder"
    shutil.rmtree(stick)
    code, out, _ = run(capsys, "verify", demo_shop)
    assert code == 0 and "it is not there now, so it was not looked at" in out
    for damaged in (
        "[{",
        "[" * 100_000,
        '[{"path":"/x","at":"a","seq":1e999,"hash":"a"}]',
        '[{"path":"/x","at":"a","seq":-99999999999999999999999,"hash":"a"}]',
        '[{"path":"/x\\u001b[2J","at":"a","seq":1,"hash":"a"}]',
        '["/x", 7, null]',
        "{}",
    ):
        (demo_shop / "copies" / "elsewhere.json").write_text(damaged)
        code, out, err = run(capsys, "verify", demo_shop)
        assert code == 0 and "[ ] Copies: none yet" in out
        assert (
            not err or "reading the record" in err
        )  # said where the machine is busy, and never of the copies


def test_a_stick_that_may_not_be_looked_at_is_away(
    demo_shop: Path, tmp_path: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It was said of the record that nothing could be recorded."""
    run(capsys, "backup", demo_shop, "--to", tmp_path / "mine.db")
    is_file = Path.is_file

    def refused(path: Path) -> bool:
        if path.name == "mine.db":
            raise PermissionError(13, "not yours")
        return is_file(path)

    monkeypatch.setattr(Path, "is_file", refused)
    code, out, _ = run(capsys, "verify", demo_shop)
    assert code == 0 and "it is not there now, so it was not looked at" in out


def damage_index(record: Path) -> None:
    """Leave one entry out of the index that finds it by its id."""
    with closing(sqlite3.connect(record)) as opened:
        sql = "SELECT rootpage FROM sqlite_master WHERE name = 'sqlite_autoindex_event_1'"
        (root,) = opened.execute(sql).fetchone()
        (size,) = opened.execute("PRAGMA page_size").fetchone()
    data = bytearray(record.read_bytes())
    cells = int.from_bytes(data[(root - 1) * size + 3 : (root - 1) * size + 5], "big")
    data[(root - 1) * size + 3 : (root - 1) * size + 5] = (cells - 1).to_bytes(2, "big")
    record.write_bytes(data)


def test_a_damaged_index_of_the_record_is_said_with_how_to_mend_it(demo_shop: Path, capsys: Printed) -> None:
    """Its entries fit one another, and that was all that was looked at."""
    damage_index(demo_shop / "record.db")
    code, out, _ = run(capsys, "verify", demo_shop)
    said = (
        f"[!] Index: damaged where entries are looked up; make it anew: kiosk restore {demo_shop} --as-it-is"
    )
    assert code == 1 and said in out.splitlines() and "[x] Chain" in out
    assert run(capsys, "restore", demo_shop, "--as-it-is", "--yes")[0] == 0
    code, out, _ = run(capsys, "verify", demo_shop)
    assert code == 0 and "Index" not in out


@pytest.mark.parametrize("way", ["copies", "photos/../copies"])
def test_a_copy_in_the_shops_own_folder_is_counted_once(demo_shop: Path, capsys: Printed, way: str) -> None:
    """It was noted as made elsewhere too."""
    assert run(capsys, "backup", demo_shop)[0] == 0
    [copy] = copies_in(demo_shop / "copies")
    note_elsewhere(demo_shop / "record.db", copy)  # as an earlier kiosk did
    assert run(capsys, "backup", demo_shop, "--to", demo_shop / way)[0] == 0
    out = run(capsys, "verify", demo_shop)[1]
    assert "[x] Copies: 1 whole" in out and "Copy elsewhere" not in out


def test_a_copy_whose_index_is_damaged_is_not_called_whole(
    demo_shop: Path, tmp_path: Path, capsys: Printed
) -> None:
    """Its entries were all there; the index that keeps a press from being recorded twice was not."""
    run(capsys, "backup", demo_shop, "--to", tmp_path / "mine.db")
    damage_index(tmp_path / "mine.db")
    code, out, _ = run(capsys, "verify", demo_shop)
    assert code == 1 and "is damaged" in out
    assert run(capsys, "restore", tmp_path / "mine.db", demo_shop, "--yes")[0] == 0
    with closing(sqlite3.connect(demo_shop / "record.db")) as record:
        assert record.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def test_a_record_that_is_put_back_knows_no_copies_of_what_it_replaced(
    demo_shop: Path, tmp_path: Path, capsys: Printed
) -> None:
    older, newer = tmp_path / "older.db", tmp_path / "newer"
    newer.mkdir()
    run(capsys, "backup", demo_shop, "--to", older)
    record_more(demo_shop)
    run(capsys, "backup", demo_shop, "--to", newer)
    assert run(capsys, "verify", demo_shop)[1].count("Copy elsewhere") == 2
    assert run(capsys, "restore", older, demo_shop, "--yes")[0] == 0
    code, out, _ = run(capsys, "verify", demo_shop)
    assert code == 0 and out.count("Copy elsewhere") == 1 and f"in {tmp_path}: whole" in out


def test_a_stick_with_a_bad_copy_leaves_with_1(demo_shop: Path, tmp_path: Path, capsys: Printed) -> None:
    run(capsys, "backup", demo_shop, "--to", tmp_path / "mine.db")
    (tmp_path / "mine.db").write_bytes(b"")
    code, out, _ = run(capsys, "verify", demo_shop)
    assert code == 1 and "[!] Copy mine.db: " in out


def test_verify_holds_what_is_kept_of_the_files_to_them_and_throws_a_wrong_one_away(
    demo_shop: Path, capsys: Printed
) -> None:
    """Sealed by hand, of the right types and of values that no file says."""
    shop = open_shop(demo_shop)
    assert "[x] Kept of the shop's files" in run(capsys, "verify", demo_shop)[1]
    other = shop.file.model_copy(update={"put_away": 999.0})
    kept = KeptFiles(other, dict(shop.procedures), shop.figures.known, {})
    content = keeping._content(demo_shop)
    assert content is not None
    packed = pack(kept)
    (demo_shop / KEPT_FILE).write_bytes(keeping._seal(content, packed) + b"\n" + packed)
    code, out, _ = run(capsys, "verify", demo_shop)
    assert code == 1 and "it is not what the files say in shop.yaml; it was thrown away" in out
    assert run(capsys, "verify", demo_shop)[0] == 0 and open_shop(demo_shop) == shop


def test_backup_where_it_cannot_is_one_line(demo_shop: Path, new_shop: Path, capsys: Printed) -> None:
    for arguments in (
        (new_shop,),
        (demo_shop, "--to", demo_shop / "shop.yaml"),
        (demo_shop, "--to", demo_shop / "no" / "where.db"),
    ):
        code, _, err = run(capsys, "backup", *arguments)
        assert code != 0 and err.count("\n") == 1, err


def test_a_backup_a_deletion_and_a_restore(demo_shop: Path, capsys: Printed) -> None:
    run(capsys, "backup", demo_shop)
    [copy] = (demo_shop / "copies").iterdir()
    board = run(capsys, "where", demo_shop)[1]
    last = record_more(demo_shop)
    (demo_shop / "record.db").unlink()
    for command in ("open", "where", "verify", "logbook", "backup"):
        code, _, err = run(capsys, command, demo_shop)
        assert code == 1 and f"is missing, and there was a record: record.head knows {last} events" in err
        assert "kiosk restore" in err and err.count("\n") == 1
    code, out, _ = run(capsys, "restore", demo_shop)
    assert code == 0 and copy.name in out and f"known to have come to entry {last}" in out
    code, _, err = run(capsys, "restore", copy.name, demo_shop)
    assert code == 2 and "there is nobody to ask" in err and not (demo_shop / "record.db").exists()
    code, out, _ = run(capsys, "restore", copy.name, demo_shop, "--yes")
    assert code == 0 and f"Entries {last - 4} to {last} will no longer be in the record" in out
    assert run(capsys, "where", demo_shop)[1] == board
    assert run(capsys, "verify", demo_shop)[0] == 0


@pytest.mark.parametrize(("word", "done"), [("RESTORE", True), ("restore", False), ("", False)])
def test_the_typed_word_is_asked_for(
    demo_shop: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch, word: str, done: bool
) -> None:
    run(capsys, "backup", demo_shop)
    [copy] = (demo_shop / "copies").iterdir()
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _: word)
    code, out, _ = run(capsys, "restore", copy, demo_shop)
    assert (code == 0) == done and ("Nothing was changed" in out) == (not done)
    assert bool(list(demo_shop.glob("record.replaced-*"))) == done


@pytest.mark.parametrize("meanwhile", ["a screen opens", "something is recorded"])
def test_what_happens_while_the_word_is_asked_for_is_seen(
    demo_shop: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch, meanwhile: str
) -> None:
    run(capsys, "backup", demo_shop)
    [copy] = (demo_shop / "copies").iterdir()
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    with closing(Presence(demo_shop / ".elsewhere", "the wall")) as wall:

        def asked(_: str) -> str:
            nonlocal wall
            if meanwhile == "a screen opens":
                wall.close()
                wall = Presence(demo_shop / ".screens", "the wall")
            else:
                record_more(demo_shop)
            return "RESTORE"

        monkeypatch.setattr("builtins.input", asked)
        code, _, err = run(capsys, "restore", copy, demo_shop)
        assert code == 2 and "so nothing was changed" in err and err.count("\n") == 1
        wall.close()
    assert not list(demo_shop.glob("record.replaced-*"))


def test_a_record_put_back_without_the_pin_says_so(demo_shop: Path, capsys: Printed) -> None:
    run(capsys, "backup", demo_shop)
    [copy] = (demo_shop / "copies").iterdir()
    with closing(Bench(demo_shop, SteadyClocks())) as bench:
        bench.set_pin("wren", "", "2468")
    code, out, _ = run(capsys, "restore", copy, demo_shop, "--yes")
    assert code == 0 and f"No PIN guards Wren's name in this record: kiosk pin {demo_shop} wren" in out
    with closing(Bench(demo_shop, SteadyClocks())) as bench:
        bench.set_pin("wren", "", "2468")
    run(capsys, "backup", demo_shop)
    newest = max((demo_shop / "copies").iterdir(), key=lambda one: one.stat().st_mtime_ns)
    assert "No PIN" not in run(capsys, "restore", newest, demo_shop, "--yes")[1]


def test_a_copy_on_a_stick_that_is_not_plugged_in_is_not_made_here(
    demo_shop: Path, tmp_path: Path, capsys: Printed
) -> None:
    code, _, err = run(capsys, "backup", demo_shop, "--to", tmp_path / "stick")
    assert code == 2 and "there is no folder" in err and not (tmp_path / "stick").exists()
    assert run(capsys, "backup", demo_shop, "--to", tmp_path / "whole.db")[0] == 0


def test_restore_refuses_while_a_screen_is_alive(demo_shop: Path, capsys: Printed) -> None:
    run(capsys, "backup", demo_shop)
    [copy] = (demo_shop / "copies").iterdir()
    with closing(Presence(demo_shop / ".screens", "the wall")):
        for arguments in ((copy, demo_shop), (demo_shop, "--begin-anew"), (demo_shop, "--as-it-is")):
            code, _, err = run(capsys, "restore", *arguments, "--yes")
            assert code == 2 and "is open on a screen, so nothing was changed" in err
    assert not list(demo_shop.glob("record.replaced-*"))


def test_restore_says_what_it_was_not_told(demo_shop: Path, tmp_path: Path, capsys: Printed) -> None:
    for arguments, words in (
        ((tmp_path / "no.db", demo_shop), "is no copy of a record"),
        ((tmp_path / "no.db", demo_shop, "--begin-anew"), "choose one of them"),
        ((tmp_path / "no.db", tmp_path), "is no shop folder"),
        ((demo_shop / "shop.yaml", demo_shop), "is no copy of a record"),
        ((demo_shop / "record.db", demo_shop), "is the record itself"),
    ):
        code, _, err = run(capsys, "restore", *arguments)
        assert code != 0 and words in err and err.count("\n") == 1, err


def test_beginning_anew_and_going_on_keep_what_was_there(demo_shop: Path, capsys: Printed) -> None:
    run(capsys, "backup", demo_shop)
    [copy] = (demo_shop / "copies").iterdir()
    kept_copy = copy.read_bytes()
    last = record_more(demo_shop)
    (demo_shop / "record.db").write_bytes(kept_copy)
    assert run(capsys, "open", demo_shop)[0] == 1
    code, out, _ = run(capsys, "restore", demo_shop, "--as-it-is", "--yes")
    assert code == 0 and f"Entries {last - 4} to {last} will no longer be in the record" in out
    assert run(capsys, "open", demo_shop)[0] == 0
    (demo_shop / "record.db").write_bytes(b"")
    code, out, _ = run(capsys, "restore", demo_shop, "--begin-anew", "--yes")
    assert code == 0 and "every part is then at its beginning" in out
    assert run(capsys, "verify", demo_shop)[0] == 0
    assert len(list(demo_shop.glob("record.replaced-*"))) == 2


@pytest.mark.parametrize(
    "harm",
    [
        lambda shop: (shop / "record.db").unlink() or (shop / "record.db").mkdir(),
        lambda shop: (shop / "record.db.lock").mkdir(),
        lambda shop: (shop / "record.head").unlink() or (shop / "record.head").mkdir(),
        lambda shop: (shop / "record.head").write_bytes(b"\xff" * 3000),
        lambda shop: (shop / "copies").write_text("a letter"),
        lambda shop: (shop / "record.db-wal").mkdir(),
        lambda shop: (shop / "record.db").write_text("a letter"),
        lambda shop: (shop / ".screens").write_text("a letter"),
    ],
)
def test_whatever_lies_in_the_way_there_is_no_traceback(
    new_shop: Path, capsys: Printed, harm: Callable[[Path], object]
) -> None:
    record_more(new_shop)
    for path in new_shop.glob("record.db-*"):
        path.unlink()
    (new_shop / "record.db.lock").unlink()
    harm(new_shop)
    for command in ("open", "where", "verify", "backup", "logbook", "restore"):
        code, out, err = run(capsys, command, new_shop)
        assert "Traceback" not in err + out and err.count("\n") <= 1
        assert code in (0, 1, 2)
    try:
        Bench(new_shop, SteadyClocks(), watch=True).close()
    except Exception as error:
        assert type(error).__module__.startswith("kiosk."), error


def test_files_that_cannot_be_read_anew_do_not_stop_verify(
    new_shop: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    record_more(new_shop)

    def refused(folder: Path) -> None:
        raise PermissionError(13, "not yours")

    monkeypatch.setattr(keeping, "check_kept", refused)
    code, out, err = run(capsys, "verify", new_shop)
    assert code == 0 and "[x] Chain: entries 1 to" in out and err == ""
