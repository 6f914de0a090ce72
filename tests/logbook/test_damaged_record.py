"""A damaged record: what can be read is printed, the event is named, nothing is claimed of the rest."""

import shutil
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.commands import main
from tests.logbook.reading import read_page, read_table
from tests.record.by_hand import append_by_hand, change_by_hand

Printed = pytest.CaptureFixture[str]
BAD = 40


def written(shop: Path, capsys: Printed) -> tuple[str, str, list[int]]:
    """The one line of the command, the text of the page, and the numbers of its entries."""
    assert main(["logbook", str(shop)]) == 1
    out, err = capsys.readouterr()
    err = "".join(
        line for line in err.splitlines(True) if "reading the record, " not in line
    )  # where it takes long
    assert out == "" and err.startswith("kiosk: ") and err.count("\n") == 1
    folder = shop / "logbook"
    numbers = [int(row["number"]) for row in read_table(folder / "entries.csv")]
    return err, " ".join(read_page(folder / "index.html").text), numbers


@pytest.mark.parametrize("column", ["body", "at", "monotonic_s"])
def test_what_stands_before_a_damaged_event_is_printed(demo_shop: Path, capsys: Printed, column: str) -> None:
    value = {"body": '{"kind":"note_wri', "at": "soon", "monotonic_s": float("inf")}[column]
    change_by_hand(demo_shop / "record.db", column, value, BAD)
    err, text, numbers = written(demo_shop, capsys)
    assert f"event {BAD} of the record" in err and f"printed to event {BAD - 1} in" in err
    assert "THIS RECORD COULD NOT BE READ TO ITS END" in text and f"event {BAD} of the record" in text
    assert numbers and max(numbers) < BAD
    assert f"fits from event 1 to event {BAD - 1};" in text
    assert "stands at: not known, as the record cannot be read to its end" in text


def test_also_where_the_snapshot_hides_the_damage_from_a_start(demo_shop: Path, capsys: Printed) -> None:
    bench = Bench(demo_shop)
    bench.close()
    kept = demo_shop / "kept.db"
    shutil.copy(demo_shop / "record.db", kept)
    change_by_hand(demo_shop / "record.db", "body", "{", BAD)
    put_back_snapshot(demo_shop / "record.db", kept)
    opened = Bench(demo_shop)  # it does open
    opened.close()
    err, text, numbers = written(demo_shop, capsys)
    assert f"event {BAD} of the record" in err and max(numbers) < BAD
    assert "COULD NOT BE READ TO ITS END" in text


def put_back_snapshot(record: Path, kept: Path) -> None:
    import sqlite3

    connection = sqlite3.connect(record, isolation_level=None)
    connection.execute("ATTACH ? AS kept", (str(kept),))
    connection.execute("INSERT INTO snapshot SELECT * FROM kept.snapshot")
    connection.close()


def test_an_event_that_was_changed_breaks_the_chain_and_is_named(demo_shop: Path, capsys: Printed) -> None:
    change_by_hand(demo_shop / "record.db", "by", "somebody", BAD)
    err, text, numbers = written(demo_shop, capsys)
    assert f"event {BAD} is not what was recorded: its hash does not fit" in err
    assert "THIS RECORD IS BROKEN" in text and f"fits from event 1 to event {BAD - 1};" in text
    assert "What is printed of later entries is not proved." in text
    assert max(numbers) > BAD  # it can be read, and is printed


def test_what_a_newer_kiosk_wrote_is_printed_up_to_it(demo_shop: Path, capsys: Printed) -> None:
    seq = append_by_hand(demo_shop / "record.db", {"version": 1, "kind": "of_later"})
    err, text, numbers = written(demo_shop, capsys)
    assert f"event {seq}, of_later" in err and "update this one" in err
    assert f"to entry {seq - 1}" in text and max(numbers) < seq


def test_a_file_that_is_no_record_at_all_is_one_line_and_prints_nothing(
    new_shop: Path, capsys: Printed
) -> None:
    (new_shop / "record.db").write_bytes(b"no record" * 1000)
    assert main(["logbook", str(new_shop)]) == 1
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1 and "is damaged" in err
    assert not (new_shop / "logbook" / "index.html").exists()
