"""Migrations are named in the database, applied once and together, and unknown ones are refused by name."""

import shutil
import sqlite3
from pathlib import Path

import pytest

from kiosk.record.journal import Journal, Record
from kiosk.record.migrations import MIGRATIONS, NAMED, Migration, migrate, recorded
from kiosk.record.stopped import DamagedRecord, NewerRecord, RecordingStopped
from tests.record.test_stored_records import STORED

NAMES = [migration.name for migration in MIGRATIONS]


def opened(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(path, isolation_level=None)


def tables(connection: sqlite3.Connection) -> set[str]:
    return {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type='table'")}


def schema(connection: sqlite3.Connection) -> list[tuple[str, str]]:
    found = connection.execute("SELECT name,sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY name")
    return [(name, " ".join(sql.split())) for name, sql in found]


def test_a_new_record_has_had_every_migration_in_order(tmp_path: Path) -> None:
    Journal(tmp_path / "record.db").close()
    connection = opened(tmp_path / "record.db")
    assert recorded(connection) == NAMES
    assert connection.execute("PRAGMA user_version").fetchone()[0] == NAMED
    connection.close()


def test_a_record_of_before_migrations_had_names_comes_to_the_tables_of_a_new_one(tmp_path: Path) -> None:
    old, new = tmp_path / "old.db", tmp_path / "new.db"
    shutil.copy(STORED[0], old)
    before = opened(old)
    assert before.execute("PRAGMA user_version").fetchone()[0] == 1 and "migration" not in tables(before)
    events = before.execute("SELECT * FROM event").fetchall()
    before.close()
    Journal(old).close()
    Journal(new).close()
    was, fresh = opened(old), opened(new)
    assert recorded(was) == NAMES
    assert schema(was) == schema(fresh)
    assert was.execute("SELECT * FROM event").fetchall() == events
    was.close()
    fresh.close()


def test_a_migration_of_a_newer_kiosk_is_refused_by_its_name(demo_shop: Path) -> None:
    path = demo_shop / "record.db"
    connection = opened(path)
    connection.execute("INSERT INTO migration VALUES ('photographs', '2031-02-03T10:00:00+00:00')")
    connection.close()
    with pytest.raises(NewerRecord) as caught:
        Record(path)
    assert str(caught.value) == (
        "the record was made by a newer kiosk: it has had migration 'photographs'; update this one"
    )


def test_a_name_gone_wrong_is_damage_not_a_newer_kiosk(demo_shop: Path) -> None:
    connection = opened(demo_shop / "record.db")
    connection.execute("UPDATE migration SET name='tha journal' WHERE name='the journal'")
    connection.close()
    with pytest.raises(DamagedRecord, match="list of migrations is damaged: 'tha journal'; use"):
        Record(demo_shop / "record.db")


def test_a_format_that_has_no_names_we_know_of_is_refused(tmp_path: Path) -> None:
    connection = opened(tmp_path / "record.db")
    connection.execute("PRAGMA user_version=3")
    connection.close()
    with pytest.raises(NewerRecord, match="it is of format 3; update this one"):
        Journal(tmp_path / "record.db")


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    connection = opened(tmp_path / "record.db")
    connection.execute("CREATE TABLE recipe (name TEXT)")
    with pytest.raises(RecordingStopped, match="something else than a record"):
        Journal(tmp_path / "record.db")
    assert tables(connection) == {"recipe"}
    connection.close()


def fails(connection: sqlite3.Connection) -> None:
    connection.execute("CREATE TABLE half_way (name TEXT)")
    raise sqlite3.OperationalError("disk I/O error")


def add_marks(connection: sqlite3.Connection) -> None:
    connection.execute("CREATE TABLE mark (name TEXT)")


def test_migrations_are_applied_all_or_none_and_once(demo_shop: Path) -> None:
    connection = opened(demo_shop / "record.db")
    before = schema(connection)
    tools = Migration("tools", "CREATE TABLE tool (name TEXT);\nCREATE INDEX tool_name ON tool (name);")
    marks = Migration("marks", add_marks)
    with pytest.raises(sqlite3.OperationalError):
        migrate(connection, (*MIGRATIONS, tools, Migration("broken", fails)))
    assert schema(connection) == before and recorded(connection) == NAMES
    for _ in range(2):
        migrate(connection, (*MIGRATIONS, tools, marks))
    assert recorded(connection) == [*NAMES, "tools", "marks"]
    assert {"tool", "mark"} <= tables(connection)
    with pytest.raises(NewerRecord, match="'tools'"):
        migrate(connection)
    connection.close()


def test_two_kiosks_that_start_on_an_old_record_migrate_it_once(tmp_path: Path) -> None:
    shutil.copy(STORED[0], tmp_path / "record.db")
    wall, tablet = Journal(tmp_path / "record.db"), Journal(tmp_path / "record.db")
    assert recorded(wall._connection) == recorded(tablet._connection) == NAMES
    wall.close()
    tablet.close()
