"""The second witness: what a chain alone cannot show is told apart in one line that names the event."""

import shutil
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.chain import event_hash, last_event
from kiosk.record.copies import make_copy
from kiosk.record.events import NoteWritten
from kiosk.record.head import SLOT_BYTES, Head, HeadFile, HeadKeeper, head_path
from kiosk.record.journal import Journal, Record
from kiosk.record.opening import open_the_file_alone, shared_memory_of, wal_belongs, wal_of
from kiosk.record.rows import COLUMNS
from kiosk.record.stopped import DamagedRecord, NotAsWitnessed, RecordLost, RecordRemoved
from tests.conftest import SteadyClocks

NOTES = 30
RUN = NOTES + 1  # what a run writes: how its clocks stand, and its notes
WHOLE = 2 * RUN


def note(record: Record, count: int, text: str = "note") -> None:
    """So many events, one after the other."""
    for number in range(count):
        body = NoteWritten(text=f"{text} {number}")
        record.transact(lambda _, body=body: [body], by="wren", tap=None)  # type: ignore[misc]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A record of some notes, closed in order; an older copy of it lies beside."""
    path = tmp_path / "record.db"
    record = Record(path, SteadyClocks())
    note(record, NOTES)
    record.close()
    shutil.copy(path, tmp_path / "last-week.db")
    record = Record(path, SteadyClocks())
    note(record, NOTES, "later")
    record.close()
    return path


def killed(path: Path, to: Path) -> Path:
    """The files as a kill leaves them: some events only in the WAL."""
    record = Record(path, SteadyClocks())
    note(record, 5, "in the WAL")
    record.journal._keeper.close()
    to.mkdir()
    for file in path.parent.glob("record.*"):
        shutil.copy(file, to / file.name)
    record.close()
    return to / "record.db"


def refused(path: Path) -> str:
    """What both a writer and a reader say."""
    said = []
    for reading in (False, True):
        with pytest.raises(NotAsWitnessed) as caught:
            Record(path, SteadyClocks(), reading=reading)
        said.append(str(caught.value))
    assert said[0] == said[1] and "\n" not in said[0]
    return said[0]


def test_the_head_says_how_far_the_record_has_come(path: Path) -> None:
    journal = Journal(path)
    head = HeadFile(head_path(path)).read()
    assert head == Head(WHOLE, journal.hash_at(WHOLE), journal.hash_at(1), WHOLE)
    journal.close()


def test_a_head_that_is_behind_is_a_kill_and_in_order(path: Path, tmp_path: Path) -> None:
    older = head_path(path).read_bytes()
    record = Record(path, SteadyClocks())
    note(record, 3)
    record.close()
    head_path(path).write_bytes(older)
    again = Record(path, SteadyClocks())
    assert again.state.seq == WHOLE + 1 + 3
    again.close()
    head = HeadFile(head_path(path)).read()
    assert head is not None and head.seq == WHOLE + 1 + 3  # and it was caught up


@pytest.mark.parametrize("slot", [0, 1])
def test_a_slot_torn_by_a_power_cut_leaves_the_other(tmp_path: Path, slot: int) -> None:
    file = HeadFile(tmp_path / "record.head")
    for seq in (1, 2):
        file.keep(Head(seq, f"{seq}" * 64, "f" * 64))
    text = bytearray(file.path.read_bytes())
    text[slot * SLOT_BYTES + 100] ^= 1
    file.path.write_bytes(text)
    found = file.read()
    assert found is not None and found.seq == (2 if slot == 0 else 1)
    file.keep(Head(3, "3" * 64, "f" * 64))
    found = file.read()
    assert found is not None and found.seq == 3


def test_a_head_is_read_and_written_as_every_kiosk_before_did(tmp_path: Path) -> None:
    """One that is not read is no witness, and a lost end would then be told by nobody."""
    head = Head(7, "7" * 64, "f" * 64, in_file=5)
    said = f'{{"seq": 7, "hash": "{"7" * 64}", "first": "{"f" * 64}", "in_file": 5}}'
    slot = f"cae1d236319b3ed3 {said}".ljust(511) + "\n"  # SHA-256 of it, the first 16 digits
    file = HeadFile(tmp_path / "record.head")
    file.path.write_text(slot)
    assert file.read() == head
    file.path.unlink()
    file.keep(head)
    assert file.path.read_text() == slot
    file.keep(Head(8, "8" * 64, "f" * 64))
    lines = file.path.read_text().splitlines(keepends=True)
    assert lines[0] == slot and '{"seq": 8,' in lines[1] and [len(line) for line in lines] == [512, 512]


def test_each_head_is_written_soon_and_not_only_when_the_kiosk_is_left(tmp_path: Path) -> None:
    keeper = HeadKeeper(HeadFile(tmp_path / "record.head"))
    for seq in (1, 2, 3):
        head = Head(seq, f"{seq}" * 64, "f" * 64)
        keeper.tell(head)
        until = time.monotonic() + 10
        while keeper.file.read() != head and time.monotonic() < until:
            time.sleep(0.001)
        assert keeper.file.read() == head and keeper.trouble == ""
    keeper.close()


def test_two_screens_never_put_the_head_back(tmp_path: Path) -> None:
    file = HeadFile(tmp_path / "record.head")
    file.keep(Head(9, "9" * 64, "f" * 64, in_file=9))
    file.keep(Head(8, "8" * 64, "f" * 64))
    found = file.read()
    assert found is not None and (found.seq, found.in_file) == (9, 9)


def test_an_older_copy_put_back_is_told_with_what_is_not_in_it(path: Path) -> None:
    shutil.copy(path.parent / "last-week.db", path)
    said = refused(path)
    assert said.startswith(
        f"{path} is an older copy: it ends at event {RUN}, and events 32 to 62 are not in it;"
    )
    assert said.endswith(f"kiosk restore {path.parent} shows what can be done")


def test_a_copy_put_back_that_says_how_far_it_had_come_is_told_as_one(path: Path, tmp_path: Path) -> None:
    """Nothing after it was ever in the file itself: what it carries tells it from an end that was lost."""
    copy = make_copy(path, tmp_path / "copies", SteadyClocks().now())
    left = killed(path, tmp_path / "left")
    wal_of(left).unlink()
    shared_memory_of(left).unlink()
    shutil.copy(copy.path, left)
    assert f"is an older copy: it ends at event {WHOLE}, and events 63 to 68 are not in it" in refused(left)


@pytest.mark.parametrize(
    ("left", "said"),
    [(0, "holds no event, and there was a record"), (1, "it ends at event 1, and events 2 to 62")],
)
def test_a_record_that_lost_all_and_one_that_has_its_first_event_are_told_apart(
    path: Path, left: int, said: str
) -> None:
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("DROP TRIGGER event_is_never_deleted")
    connection.execute("DELETE FROM event WHERE seq>?", (left,))
    connection.close()
    with pytest.raises((RecordLost, NotAsWitnessed), match=said):
        Record(path, SteadyClocks())


def test_a_deleted_wal_is_a_lost_end(path: Path, tmp_path: Path) -> None:
    left = killed(path, tmp_path / "left")
    wal_of(left).unlink()
    shared_memory_of(left).unlink()
    assert f"has lost its end: it stops at event {WHOLE}, and events 63 to 68 are gone" in refused(left)


def test_a_wal_cut_short_is_a_lost_end(path: Path, tmp_path: Path) -> None:
    left = killed(path, tmp_path / "left")
    shared_memory_of(left).unlink()
    wal = wal_of(left).read_bytes()
    wal_of(left).write_bytes(wal[: len(wal) - 4096])
    assert "has lost its end: it stops at event 67, and event 68 is gone" in refused(left)


def test_a_head_takes_a_sector_and_leaves_the_one_before_it_whole(tmp_path: Path) -> None:
    file = HeadFile(tmp_path / "record.head")
    for seq in range(1, 6):
        file.keep(Head(seq, f"{seq}" * 64, "f" * 64))
        text = file.path.read_bytes()
        assert len(text) == 512 * min(seq, 2) and all(
            text[end - 1 : end] == b"\n" for end in (512, len(text))
        )
    assert file.read() == Head(5, "5" * 64, "f" * 64)
    file.path.write_bytes(bytes(512) + text[512:])  # as a cut leaves it that tears the fifth
    assert file.read() == Head(4, "4" * 64, "f" * 64)


@pytest.mark.parametrize("follows", [True, False])
def test_a_wal_belongs_where_its_first_event_follows_the_last_of_the_file(path: Path, follows: bool) -> None:
    """What the file has stands in the WAL of another one too, where that was once the same."""
    writer = sqlite3.connect(path, isolation_level=None)
    writer.execute("PRAGMA wal_autocheckpoint=0")
    *row, last = writer.execute(f"SELECT {COLUMNS},hash FROM event ORDER BY seq DESC LIMIT 1").fetchone()
    row[0], row[1] = WHOLE + 1, "one more"
    own = event_hash(last if follows else event_hash("other", row), row)
    writer.execute(f"INSERT INTO event ({COLUMNS},hash) VALUES ({','.join('?' * 10)})", (*row, own))
    assert wal_of(path).stat().st_size > 0
    assert wal_belongs(path, WHOLE) == follows
    writer.close()


def test_what_is_refused_lies_as_it_lay(path: Path, tmp_path: Path) -> None:
    """Opening it to write and letting go again would fold into the file what is left of the WAL."""
    left = killed(path, tmp_path / "left")
    shared_memory_of(left).unlink()
    wal_of(left).write_bytes(wal_of(left).read_bytes()[:-4096])
    before = left.read_bytes(), wal_of(left).read_bytes()
    refused(left)
    assert (left.read_bytes(), wal_of(left).read_bytes()) == before


def test_what_a_kill_leaves_opens(path: Path, tmp_path: Path) -> None:
    left = killed(path, tmp_path / "left")
    shared_memory_of(left).unlink()  # as after a power cut
    for reading in (True, False):
        record = Record(left, SteadyClocks(), reading=reading)
        assert record.state.seq == WHOLE + 1 + 5
        record.close()


def test_another_record_is_told(path: Path, tmp_path: Path) -> None:
    other = Record(tmp_path / "other.db", SteadyClocks())
    note(other, 100, "other")
    other.close()
    shutil.copy(tmp_path / "other.db", path)
    assert "is another record: event 1 is not the one that record.head knows" in refused(path)


def test_an_end_written_anew_with_a_whole_chain_is_told(path: Path) -> None:
    """Without a key anybody can make a chain that holds; only the witness outside knows better."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("DROP TRIGGER event_is_never_changed")
    connection.execute("UPDATE event SET by='pip' WHERE seq=40")
    before = connection.execute("SELECT hash FROM event WHERE seq=39").fetchone()[0]
    for row in connection.execute(f"SELECT {COLUMNS} FROM event WHERE seq>39 ORDER BY seq").fetchall():
        before = event_hash(before, row)
        connection.execute("UPDATE event SET hash=? WHERE seq=?", (before, row[0]))
    connection.close()
    assert f"was written anew: event {WHOLE} is not the one that record.head knows" in refused(path)


def test_an_end_that_does_not_fit_names_the_event(path: Path) -> None:
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("DROP TRIGGER event_is_never_changed")
    connection.execute("UPDATE event SET hash='0' WHERE seq=62")
    connection.close()
    assert "is damaged: event 62 is not what was recorded: its hash does not fit" in refused(path)


@pytest.mark.parametrize(
    ("lose", "how"),
    [
        (lambda path: path.unlink(), "is missing"),
        (lambda path: path.write_bytes(b""), "is empty"),
    ],
)
def test_a_missing_or_empty_record_is_not_begun_anew(
    path: Path, lose: Callable[[Path], None], how: str
) -> None:
    lose(path)
    assert f"{path} {how}, and there was a record: record.head knows 62 events" in refused(path)
    assert not path.exists() or path.stat().st_size == 0


def test_a_record_emptied_by_its_tables_is_not_begun_anew(path: Path, tmp_path: Path) -> None:
    path.unlink()
    Record(tmp_path / "fresh.db").close()
    shutil.copy(tmp_path / "fresh.db", path)
    assert "holds no event, and there was a record: record.head knows 62 events" in refused(path)


def test_a_wal_without_its_database_is_a_witness_too(path: Path, tmp_path: Path) -> None:
    left = killed(path, tmp_path / "left")
    head_path(left).unlink()
    left.write_bytes(b"")  # SQLite would throw the WAL away
    assert "is empty, and there was a record: its record.db-wal is there" in refused(left)
    assert wal_of(left).stat().st_size > 0


def test_the_copies_are_a_witness_where_the_head_is_gone(path: Path) -> None:
    (path.parent / "copies").mkdir()
    journal = Journal(path)
    journal.copy_to(path.parent / "copies", SteadyClocks().now())
    journal.close()
    head_path(path).unlink()
    Record(path, SteadyClocks()).close()  # agrees
    head_path(path).unlink()
    shutil.copy(path.parent / "last-week.db", path)
    assert "has lost its end: it stops at event 31, and events 32 to 62 are gone" in refused(path)


def test_last_weeks_copy_under_this_weeks_wal_is_recognised_and_left_whole(
    path: Path, tmp_path: Path
) -> None:
    """Opened together they ruin each other: malformed, three times of three."""
    left = killed(path, tmp_path / "left")
    copy = (path.parent / "last-week.db").read_bytes()
    left.write_bytes(copy)
    wal = wal_of(left).read_bytes()
    assert "record.db and record.db-wal in" in (said := refused(left)) and "do not fit together" in said
    assert f"kiosk restore {left} {left.parent} takes the copy" in said
    assert left.read_bytes() == copy and wal_of(left).read_bytes() == wal
    alone = open_the_file_alone(left)
    assert last_event(alone.connection).seq == RUN
    alone.close()


@pytest.mark.parametrize("name", ["record.db", "record.db-wal", "record.db-shm"])
def test_files_removed_while_open_are_noticed_at_the_next_tap_and_what_was_in_them_is_kept(
    new_shop: Path, clocks: SteadyClocks, name: str
) -> None:
    bench = Bench(new_shop, clocks)
    bench.note("on the disk")
    before = bench.state.seq
    (new_shop / name).unlink()
    for _ in range(2):
        with pytest.raises(RecordRemoved, match=f"was removed or replaced .* all {before} events are kept"):
            bench.note("would be gone")
    assert bench.state.seq == before
    [copy] = (new_shop / "copies").iterdir()
    opened = Record(copy)
    assert opened.state.seq == before
    opened.close()
    bench.close()


def test_a_record_replaced_while_open_is_noticed(new_shop: Path, clocks: SteadyClocks) -> None:
    bench = Bench(new_shop, clocks)
    bench.note("on the disk")
    shutil.copy(new_shop / "record.db", new_shop / "other.db")
    (new_shop / "other.db").replace(new_shop / "record.db")
    with pytest.raises(RecordRemoved):
        bench.note("would be gone")
    bench.close()


def test_a_file_removed_between_the_write_and_the_word_is_not_acknowledged(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = Bench(new_shop, clocks)
    bench.note("on the disk")

    def remove(_: object) -> list[NoteWritten]:
        (new_shop / "record.db").unlink()
        return [NoteWritten(text="gone")]

    with pytest.raises(RecordRemoved):
        bench.record.transact(remove, by="wren", tap=None)
    bench.close()


def test_a_head_that_cannot_be_written_fails_no_tap_and_is_told(new_shop: Path, clocks: SteadyClocks) -> None:
    (new_shop / "record.head").mkdir()  # nothing can be written there
    bench = Bench(new_shop, clocks)
    for number in range(5):
        bench.note(f"note {number}")
    bench.record.journal._keeper.close()
    assert "record.head cannot be written" in bench.record_trouble()
    assert bench.state.seq == 7  # the clocks, the sitting and the notes
    bench.close()


def test_damage_that_the_witness_does_not_see_is_still_told_by_its_event(path: Path) -> None:
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("DROP TRIGGER event_is_never_changed")
    connection.execute("UPDATE event SET body='[' WHERE seq=20")
    connection.execute("DELETE FROM snapshot")
    connection.close()
    with pytest.raises(DamagedRecord, match="event 20 of the record, note_written, is damaged"):
        Record(path)


def test_a_lost_record_is_a_kind_of_its_own(path: Path) -> None:
    path.unlink()
    with pytest.raises(RecordLost):
        Record(path)


def test_a_screen_that_opened_before_the_first_event_knows_which_record_it_is(tmp_path: Path) -> None:
    wall, tablet = (Record(tmp_path / "record.db", SteadyClocks()) for _ in range(2))
    note(wall, 1)
    note(tablet, 1)
    wall.close()
    tablet.close()
    again = Record(tmp_path / "record.db", SteadyClocks())
    assert again.state.seq == 4
    again.close()
