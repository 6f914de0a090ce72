"""Putting a copy back: what it replaces is kept whole, nothing is done by halves, and the record says so."""

import contextlib
import shutil
import sqlite3
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import NoReturn

import pytest

from kiosk.bench import Bench
from kiosk.record import restoring
from kiosk.record.chain import follow
from kiosk.record.checking import check_record, index_wrong
from kiosk.record.copies import check_copy, copies_in, keep_copy, make_copy
from kiosk.record.events import NoteWritten, RecordPutBack
from kiosk.record.head import HeadFile, head_path
from kiosk.record.journal import Record
from kiosk.record.opening import wal_of
from kiosk.record.restoring import carry_out, plan_anew, plan_as_found, plan_copy
from kiosk.record.stopped import CannotWrite, DamagedRecord, NotAsWitnessed, NothingRecorded, RecordingStopped
from kiosk.record.troubles import ROOM_BYTES
from tests.conftest import SteadyClocks, local_time, room_for
from tests.record.by_hand import append_by_hand, change_by_hand

AT = local_time(2027, 5, 8, 12, 3)
WRITTEN = 2  # by putting it back: how the clocks stand, and that it was put back


@pytest.fixture
def older(demo_shop: Path, tmp_path: Path) -> Path:
    """A copy of the shop's record, which went on a little after it."""
    copy = make_copy(demo_shop / "record.db", tmp_path, AT)
    bench = Bench(demo_shop, SteadyClocks())
    for number in range(3):
        bench.note(f"after the copy {number}")
    bench.close()
    return copy.path


def last_body(path: Path) -> object:
    record = Record(path)
    body = record.journal.after(record.state.seq - 1)[-1].body
    record.close()
    return body


def test_a_copy_is_put_back_and_what_it_replaces_is_kept_whole(demo_shop: Path, older: Path) -> None:
    path = demo_shop / "record.db"
    had = Record(path)
    state, seq = had.state, had.state.seq
    had.close()
    plan = plan_copy(path, older)
    assert plan.lost == (plan.will_have.seq + 1, seq) and not plan.other
    kept = carry_out(plan, AT, "wren")
    assert kept is not None and kept.name == "record.replaced-2027-05-08-120300"
    body = last_body(path)
    assert isinstance(body, RecordPutBack)
    assert (body.how, body.had, body.kept_as) == ("from a copy", seq, kept.name)
    assert check_record(path).whole and check_record(path).events == plan.will_have.seq + WRITTEN
    replaced = Record(kept / "record.db")
    assert replaced.state == state  # nothing was lost
    replaced.close()
    again = [carry_out(plan_copy(demo_shop / "record.db", older), AT, "wren") for _ in range(2)]
    assert [one and one.name for one in again] == [f"{kept.name}-2", f"{kept.name}-3"]


def test_what_was_only_in_the_wal_is_kept_with_what_is_replaced(
    demo_shop: Path, older: Path, tmp_path: Path
) -> None:
    bench = Bench(demo_shop, SteadyClocks())
    bench.note("only in the WAL")
    left = tmp_path / "left"
    shutil.copytree(demo_shop, left)
    bench.close()
    assert wal_of(left / "record.db").stat().st_size
    kept = carry_out(plan_copy(left / "record.db", older), AT, "wren")
    assert kept is not None and check_copy(kept / "record.db").seq == bench.state.seq
    assert Record(left / "record.db").state.seq == check_copy(older).seq + WRITTEN


def test_copies_that_go_further_than_what_is_put_back_are_no_witness_of_it(
    demo_shop: Path, older: Path
) -> None:
    path = demo_shop / "record.db"
    further = keep_copy(path, AT)
    kept = carry_out(plan_copy(path, older), AT, "wren")
    assert kept is not None and [copy.seq for copy in copies_in(kept / "copies")] == [further.seq]
    assert copies_in(demo_shop / "copies") == []
    head_path(path).unlink()  # the copies would speak now
    Record(path).close()


def test_a_copy_that_is_not_whole_changes_nothing(demo_shop: Path, older: Path) -> None:
    path = demo_shop / "record.db"
    before = path.read_bytes()
    change_by_hand(older, "by", "somebody", 40)
    with pytest.raises(RecordingStopped, match="is not whole: event 40"):
        plan_copy(path, older)
    assert path.read_bytes() == before


def test_a_copy_of_another_record_is_known_for_it(demo_shop: Path, new_shop: Path, tmp_path: Path) -> None:
    bench = Bench(new_shop, SteadyClocks())
    bench.note("of another shop")
    bench.close()
    other = make_copy(new_shop / "record.db", tmp_path, AT)
    assert plan_copy(demo_shop / "record.db", other.path).other
    longer = make_copy(demo_shop / "record.db", tmp_path, AT)
    assert plan_copy(new_shop / "record.db", longer.path).other
    assert not plan_copy(tmp_path / "lost.db", longer.path).other  # of which nothing is known


def test_the_record_itself_is_no_copy(demo_shop: Path) -> None:
    with pytest.raises(RecordingStopped, match="is the record itself"):
        plan_copy(demo_shop / "record.db", demo_shop / "record.db")


def test_a_copy_put_under_a_newer_wal_by_hand_is_taken_and_the_wal_kept(
    demo_shop: Path, older: Path, tmp_path: Path
) -> None:
    """What the refusal of it says to do."""
    bench = Bench(demo_shop, SteadyClocks())
    bench.note("only in the WAL")
    left = tmp_path / "left"
    shutil.copytree(demo_shop, left)
    bench.close()
    path = left / "record.db"
    shutil.copy(older, path)
    wal = wal_of(path).read_bytes()
    with pytest.raises(NotAsWitnessed, match="do not fit together"):
        Record(path)
    kept = carry_out(plan_copy(path, path), AT, "wren")
    assert kept is not None and (kept / "record.db-wal").read_bytes() == wal
    again = Record(path)
    assert again.state.seq == check_copy(older).seq + WRITTEN
    again.close()


def test_a_lost_end_is_gone_on_with_only_when_a_person_says_so(demo_shop: Path, older: Path) -> None:
    path = demo_shop / "record.db"
    shutil.copy(older, path)
    with pytest.raises(NotAsWitnessed):
        Record(path)
    plan = plan_as_found(path)
    seq = plan.will_have.seq
    assert plan.lost == (seq + 1, plan.had.seq)
    carry_out(plan, AT, "wren")
    body = last_body(path)
    assert isinstance(body, RecordPutBack) and (body.how, body.had) == ("as it was found", plan.had.seq)
    assert HeadFile(head_path(path)).read() is not None
    assert check_record(path).whole


def test_a_broken_chain_is_not_gone_on_with(demo_shop: Path) -> None:
    change_by_hand(demo_shop / "record.db", "by", "somebody", 40)
    with pytest.raises(RecordingStopped, match="cannot be gone on with: event 40"):
        plan_as_found(demo_shop / "record.db")


def test_nothing_is_not_gone_on_with_nor_put_back(new_shop: Path, tmp_path: Path) -> None:
    path = new_shop / "record.db"
    with pytest.raises(NothingRecorded, match="yet; begin with kiosk open"):
        plan_as_found(path)
    Record(tmp_path / "empty.db", reading=False).close()
    with pytest.raises(RecordingStopped, match="holds no event"):
        plan_copy(path, tmp_path / "empty.db")


def test_a_copy_that_changes_while_it_is_read_is_not_put_back(demo_shop: Path, older: Path) -> None:
    path = demo_shop / "record.db"
    before = path.read_bytes()
    plan = plan_copy(path, older)
    for seen in (
        replace(plan.will_have, seq=plan.will_have.seq + 1),
        replace(plan.will_have, hash="0" * 64),
    ):
        with pytest.raises(RecordingStopped, match="the copy changed while it was read"):
            carry_out(replace(plan, will_have=seen), AT, "wren")
    assert path.read_bytes() == before


def test_a_copy_that_went_on_otherwise_is_known_for_it_however_far_it_went(
    demo_shop: Path, older: Path
) -> None:
    path = demo_shop / "record.db"
    now = make_copy(path, older.parent / "now.db", AT).path
    had, common = check_copy(now).seq, check_copy(older).seq
    assert had > common + 1
    assert not plan_copy(path, older).other and not plan_copy(path, now).other
    for end in (common + 1, had):
        other = older.with_name(f"other-{end}.db")
        shutil.copy(older, other)
        while append_by_hand(other, {"version": 1, "kind": "note_written", "text": "elsewhere"}) < end:
            pass
        assert plan_copy(path, other).other and plan_copy(path, other).will_have.seq == end


def test_beginning_anew_keeps_everything_and_says_what_was_there(demo_shop: Path, older: Path) -> None:
    path = demo_shop / "record.db"
    keep_copy(path, AT)
    had = check_copy(path)
    kept = carry_out(plan_anew(path), AT, "wren")
    assert kept is not None and check_copy(kept / "record.db") == had and len(copies_in(kept / "copies")) == 1
    body = last_body(path)
    assert isinstance(body, RecordPutBack) and (body.how, body.had, body.had_hash) == (
        "begun anew",
        had.seq,
        had.hash,
    )
    again = Record(path)
    assert again.state.seq == WRITTEN and not again.state.parts
    again.close()


def test_a_missing_record_is_put_back_from_a_copy(demo_shop: Path, older: Path) -> None:
    path = demo_shop / "record.db"
    path.unlink()
    plan = plan_copy(path, older)
    assert plan.lost is not None and not plan.other
    carry_out(plan, AT, "wren")
    assert check_record(path).whole


def power_goes(*_: object) -> NoReturn:
    raise KeyboardInterrupt


def at_second(real: Callable[[Path, Path], Path]) -> Callable[[Path, Path], Path]:
    """The power goes after the new record is in its place, before its head is."""
    done: list[Path] = []

    def replace(path: Path, to: Path) -> Path:
        done.append(to)
        return real(path, to) if len(done) < 2 else power_goes()

    return replace


STEPS = ["_keep_aside", "_record_put_back", "Record", "sync_folder", "replace"]


@pytest.mark.parametrize("step", STEPS)
def test_a_power_cut_in_the_middle_leaves_the_old_record_or_a_refusal_in_words(
    demo_shop: Path, older: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    """Never a shorter record that says nowhere that it was put back."""
    path = demo_shop / "record.db"
    had = check_copy(path)
    with monkeypatch.context() as patched:
        if step == "replace":
            patched.setattr(Path, step, at_second(Path.replace))
        else:
            patched.setattr(restoring, step, power_goes)
        with pytest.raises(KeyboardInterrupt):
            carry_out(plan_copy(path, older), AT, "wren")
    try:
        record = Record(path)
    except NotAsWitnessed:
        carry_out(plan_copy(path, older), AT, "wren")
        record = Record(path)
    assert record.state.seq in (had.seq, check_copy(older).seq + WRITTEN)
    record.close()
    # Nothing was lost on the way: what was replaced is whole somewhere.
    places = [path, *demo_shop.glob("record.replaced-*/record.db")]
    assert had in [check_copy(place) for place in places]


def no_links(*_: object) -> None:
    raise OSError("not supported")


def test_a_disk_without_second_names_gets_copies(
    demo_shop: Path, older: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("os.link", no_links)
    had = check_copy(demo_shop / "record.db")
    kept = carry_out(plan_copy(demo_shop / "record.db", older), AT, "wren")
    assert kept is not None and check_copy(kept / "record.db") == had


@pytest.mark.parametrize(("links", "free"), [(True, 0.9), (False, 1.9)])
def test_what_has_no_room_is_said_before_it_is_begun(
    demo_shop: Path, older: Path, monkeypatch: pytest.MonkeyPatch, links: bool, free: float
) -> None:
    """A memory stick has no second names: there the old record has to be copied, and halves were left."""
    path = demo_shop / "record.db"
    plan = plan_copy(path, older)
    if not links:
        monkeypatch.setattr("os.link", no_links)
    room_for(monkeypatch, ROOM_BYTES + int(free * path.stat().st_size))
    before = {one: one.read_bytes() for one in demo_shop.rglob("*") if one.is_file()}
    words = r"record\.db cannot be put back: the disk of .* has no room, \d\.\d MB are wanted and \d\.\d MB"
    with pytest.raises(CannotWrite, match=words) as found:
        carry_out(plan, AT, "wren")
    assert "\n" not in str(found.value)
    after = {one: one.read_bytes() for one in demo_shop.rglob("*") if one.is_file()}
    assert after.pop(demo_shop / "record.db.lock") == b"" and not after.keys() - before.keys()
    assert all(before[one] == now for one, now in after.items())
    room_for(monkeypatch, ROOM_BYTES + int((free + 0.4) * path.stat().st_size))  # for what is copied, no more
    assert carry_out(plan, AT, "wren") is not None


def test_a_new_database_that_is_not_whole_is_not_left_on_the_disk(
    demo_shop: Path, older: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(restoring, "follow", lambda _: replace(follow(sqlite3.connect(older)), bad=1))
    with pytest.raises(RecordingStopped, match="the copy changed while it was read"):
        carry_out(replace(plan_copy(demo_shop / "record.db", older)), AT, "wren")
    assert not list(demo_shop.glob("*.restoring"))


@pytest.mark.parametrize("in_wal", [False, True])
@pytest.mark.parametrize("table", ["snapshot", "migration", "sqlite_autoindex_event_1"])
@pytest.mark.parametrize("rubbish", [b"\0", b"\xff"])
def test_a_page_on_which_no_entry_stands_loses_none(
    new_shop: Path, table: str, rubbish: bytes, in_wal: bool
) -> None:
    """Damaged, it cannot even be made anew where it is: of the record its entries are taken, and no page."""
    path = new_shop / "record.db"
    for _ in range(2):
        record = Record(path, SteadyClocks())
        record.transact(lambda _: [NoteWritten(text="a note")], by="wren", tap=None)
        last = record.state.seq
        if in_wal:
            record.journal._keeper.close()
            files = {one: one.read_bytes() for one in (path, wal_of(path), head_path(path))}
        record.close()
    if in_wal:  # as a kill leaves them
        for one, text in files.items():
            one.write_bytes(text)
    with contextlib.closing(sqlite3.connect(f"{path.as_uri()}?immutable=1", uri=True)) as lying:
        page = lying.execute("PRAGMA page_size").fetchone()[0]
        root = lying.execute("SELECT rootpage FROM sqlite_master WHERE name=?", (table,)).fetchone()[0]
    lay = path.read_bytes()
    damaged = lay[: (root - 1) * page] + rubbish * page + lay[root * page :]
    path.write_bytes(damaged)
    if (
        in_wal and table != "sqlite_autoindex_event_1"
    ):  # each event writes a page of the index, so it is whole in the WAL
        with pytest.raises(DamagedRecord, match="every entry is there") as refused:
            Record(path)
        assert f"kiosk restore {new_shop} --as-it-is" in str(refused.value)
    plan = plan_as_found(path)
    assert plan.lost is None
    kept = carry_out(plan, AT, "wren")
    assert kept is not None and (kept / "record.db").read_bytes() == damaged
    assert check_record(path).whole and index_wrong(path) == ""
    record = Record(path)
    assert record.state.seq == last + WRITTEN
    record.transact(lambda _: [NoteWritten(text="it goes on")], by="wren", tap=None)
    record.close()


def test_cut_before_the_wal_is_gone_every_entry_is_there_and_said_to_be(
    went_on: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The record then was the old file without its WAL, with the end of it in a folder that nobody named."""
    shop, path = tmp_path / "shop", tmp_path / "shop" / "record.db"
    shutil.copytree(went_on, shop)
    had = check_copy(path)
    unlink = Path.unlink

    def cut(one: Path, missing_ok: bool = False) -> None:
        if one == wal_of(path):
            raise KeyboardInterrupt
        unlink(one, missing_ok=missing_ok)

    with monkeypatch.context() as patched:
        patched.setattr(Path, "unlink", cut)
        with pytest.raises(KeyboardInterrupt):
            carry_out(plan_as_found(path), AT, "wren")
    with pytest.raises(RecordingStopped, match="kiosk restore"):
        Record(path)
    plan = plan_copy(path, path)
    assert plan.lost is None and plan.will_have.seq == had.seq + WRITTEN
    carry_out(plan, AT, "wren")
    assert check_record(path).whole
    [first, *_] = sorted(shop.glob("record.replaced-*"))
    assert plan_copy(path, first / "record.db").will_have == had, "what the first kept aside can be taken too"


def test_the_migrations_that_a_record_has_had_keep_their_dates(demo_shop: Path) -> None:
    path = demo_shop / "record.db"
    wanted = "SELECT name,at FROM migration ORDER BY rowid"
    with contextlib.closing(sqlite3.connect(path)) as before:
        had = before.execute(wanted).fetchall()
    carry_out(plan_as_found(path), AT, "wren")
    with contextlib.closing(sqlite3.connect(path)) as after:
        assert after.execute(wanted).fetchall() == had


def test_the_copys_own_mark_does_not_come_into_the_record(demo_shop: Path, older: Path) -> None:
    carry_out(plan_copy(demo_shop / "record.db", older), AT, "wren")
    connection = sqlite3.connect(demo_shop / "record.db")
    assert not connection.execute("SELECT 1 FROM sqlite_master WHERE name='copied_head'").fetchone()
    connection.close()


@pytest.fixture(scope="module")
def went_on(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop as a kill left it: two copies were made, and something is in the WAL alone."""
    shop = tmp_path_factory.mktemp("went on")
    for last in (False, True):
        record = Record(shop / "record.db", SteadyClocks())
        record.transact(lambda _: [NoteWritten(text="a note")], by="wren", tap=None)
        keep_copy(record.journal.path, AT)
        if last:
            record.journal._keeper.close()
            shutil.copytree(shop, shop / "left")
        record.close()
    return shop / "left"


@pytest.mark.parametrize("missing", ["", "record.head", "record.db-wal", "copies", "record.db", "everything"])
@pytest.mark.parametrize("how", ["from a copy", "as it was found", "begun anew"])
def test_whatever_is_missing_all_that_is_there_is_kept_and_the_new_record_opens(
    went_on: Path, tmp_path: Path, how: str, missing: str
) -> None:
    """With every file that lies beside a record, and with each of them gone."""
    shop, path = tmp_path / "shop", tmp_path / "shop" / "record.db"
    shutil.copytree(went_on, shop)
    first, last = copies_in(shop / "copies")
    copy = tmp_path / "taken away.db"
    shutil.copy(first.path, copy)
    gone = {
        "": (),
        "record.db": ("record.db", "record.db-wal", "record.db-shm"),
        "record.db-wal": ("record.db-wal", "record.db-shm"),
        "everything": ("record.db", "record.db-wal", "record.db-shm", "record.head", "copies"),
    }.get(missing, (missing,))
    for name in gone:
        shutil.rmtree(shop / name) if name == "copies" else (shop / name).unlink()
    lay = {
        one.relative_to(shop): one.read_bytes()
        for one in shop.rglob("*")
        if one.is_file() and one.suffix not in (".lock", ".db-shm")  # SQLite's own index is no content
    }
    if how == "from a copy":
        plan = plan_copy(path, copy)
    elif how == "begun anew":
        plan = plan_anew(path)
    elif missing == "everything":
        with pytest.raises(NothingRecorded):
            plan_as_found(path)
        return
    elif missing == "record.db":
        with pytest.raises(RecordingStopped, match="is missing or empty, so it cannot be gone on with"):
            plan_as_found(path)
        return
    else:
        plan = plan_as_found(path)
    in_file = first.seq if missing == "record.db-wal" else last.seq
    wanted = {"from a copy": first.seq, "as it was found": in_file, "begun anew": 0}[how]
    assert plan.will_have.seq == wanted
    kept = carry_out(plan, AT, "wren")
    assert (kept is None) == (missing == "everything")
    # A copy of the record as it will be stays one; all else is kept aside.
    stay = {
        one.path.relative_to(shop) for one in (first, last) if one.seq <= wanted and missing != "everything"
    }
    for own, text in lay.items():
        assert kept is not None and (kept / own).exists() == (own not in stay)
        assert (shop / own if own in stay else kept / own).read_bytes() == text
    again = Record(path, SteadyClocks())
    assert again.state.seq == wanted + WRITTEN
    again.close()
    head = HeadFile(head_path(path)).read()
    assert head is not None and (head.seq, head.in_file) == (wanted + WRITTEN, wanted + WRITTEN)
    assert not [one for one in shop.iterdir() if one.name.startswith(".")]
