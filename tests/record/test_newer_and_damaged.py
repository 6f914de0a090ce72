"""What a newer kiosk wrote is refused by its name, and damage is called damage."""

from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from kiosk.bench import Bench
from kiosk.commands import main
from kiosk.record import upcasters
from kiosk.record.events import (
    KINDS,
    AnyBody,
    BatchJoined,
    ClockAnswered,
    ClockSet,
    NoteWritten,
    SittingOpened,
    SlotBegun,
    StockCounted,
)
from kiosk.record.journal import Journal, Record
from kiosk.record.rows import COLUMNS, event_of, made, row_of
from kiosk.record.rules import Refused
from kiosk.record.stopped import DamagedRecord, NewerRecord, NotRecordable
from tests.record.by_hand import append_by_hand, change_by_hand
from tests.record.make_stored_record import every_kind

NOTE: dict[str, Any] = {"version": 1, "kind": "note_written", "text": "from later", "mark": ""}
CLOCK: dict[str, Any] = {
    "what": "glue",
    "kind": "must_pass",
    "minutes": 30.0,
    "until": "2027-06-01T12:30:00Z",
    "procedure": "form-block",
    "step": "saw-outline",
}
MOMENT = datetime(2027, 6, 1, 12, 30, tzinfo=UTC)
ANSWERED: dict[str, Any] = {
    "mark": "FB-NR",
    "procedure": "form-block",
    "step": "saw-outline",
    "did": "scraped",
}
FINISHED = {
    "kind": "step_finished",
    "work": "w",
    "marks": ["FB-NR"],
    "procedure": "form-block",
    "revision": "1",
    "step": "glue-pattern",
}


@pytest.mark.parametrize(
    ("body", "named"),
    [
        ({"version": 1, "kind": "of_later"}, "of_later, is of a kind this kiosk does not know"),
        ({**NOTE, "colour": "red"}, "note_written, has a field 'colour' this kiosk does not know"),
        ({**NOTE, "version": 2}, "note_written, is version 2 of its kind and this kiosk knows 1"),
        (
            {**FINISHED, "version": 1, "clocks": [{**CLOCK, "rings": True}]},
            "step_finished, has a field 'rings' this kiosk does not know",
        ),
    ],
)
def test_what_a_newer_kiosk_wrote_is_refused_by_its_name(
    demo_shop: Path, body: dict[str, Any], named: str
) -> None:
    seq = append_by_hand(demo_shop / "record.db", body)
    with pytest.raises(NewerRecord) as caught:
        Record(demo_shop / "record.db")
    assert str(caught.value).startswith(f"event {seq}, {named}: it was written by a newer kiosk; update")


@pytest.mark.parametrize(
    ("body", "what"),
    [
        ({**NOTE, "text": 5}, "text: input should be a valid string"),
        ({"version": 1, "kind": "stock_counted", "consumable": "primer-base", "left": None}, "left: input"),
        (
            '{"version":1,"kind":"stock_counted","consumable":"x","left":NaN}',
            "left: input",
        ),
        ({**NOTE, "version": "soon"}, "its version is 'soon'"),
        ({**NOTE, "version": True}, "its version is True"),  # a number to Python, and never written
        ({**NOTE, "version": 1.0}, "its version is 1.0"),
        ({**NOTE, "version": 0}, "its version is 0"),  # they are counted from 1
        ({**NOTE, "version": -1}, "its version is -1"),
        ({**NOTE, "text": 5, "mark": 7}, "text: input should be a valid string"),  # the first of two
        ({**NOTE, "kind": "undone"}, "its body is of kind 'undone'"),
        ('{"version":1,"kind":"note_wri', "its body is not JSON"),
        ("[" * 100_000, "its body is not JSON"),
        ("[]", "its body is not a set of fields"),
    ],
)
def test_damage_says_which_event_and_what_and_blames_no_newer_kiosk(
    demo_shop: Path, body: dict[str, Any] | str, what: str
) -> None:
    kind = "stock_counted" if "stock_counted" in str(body) else "note_written"
    seq = append_by_hand(demo_shop / "record.db", body, kind=kind)
    with pytest.raises(DamagedRecord) as caught:
        Record(demo_shop / "record.db")
    assert str(caught.value).startswith(f"event {seq} of the record, {kind}, is damaged: {what}")
    assert str(caught.value).endswith("restore a copy")


@pytest.mark.parametrize("at", ["yesterday", "2027-06-01T25:00:00+00:00", "2027-06-01T12:00:00", ""])
def test_a_time_that_cannot_be_read_is_damage_not_a_traceback(demo_shop: Path, at: str) -> None:
    seq = append_by_hand(demo_shop / "record.db", NOTE, at=at)
    with pytest.raises(DamagedRecord, match=f"event {seq} of the record, note_written, is damaged: its time"):
        Record(demo_shop / "record.db")


def test_bit_rot_in_a_name_is_not_taken_for_a_newer_kiosk(demo_shop: Path) -> None:
    journal = Journal(demo_shop / "record.db")
    [event] = [event for event in journal.after(0) if event.body.kind == "snag_raised"]
    body = row_of(event)[-1].replace('"text"', '"tezt"')
    journal.close()
    change_by_hand(demo_shop / "record.db", "body", body, event.seq)
    with pytest.raises(DamagedRecord, match=f"event {event.seq} .* its hash does not fit; use kiosk restore"):
        Record(demo_shop / "record.db")


def test_text_that_is_no_text_is_told_with_its_event(demo_shop: Path) -> None:
    change_by_hand(demo_shop / "record.db", "by", "wren", 40)
    journal = Journal(demo_shop / "record.db")
    journal._connection.execute("UPDATE event SET by=CAST(X'FF7772' AS TEXT) WHERE seq=40")
    with pytest.raises(DamagedRecord, match="event 40 of the record is damaged: it cannot be read"):
        journal.after(0)
    assert journal.first_bad_event() == 40
    journal.close()


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_a_number_that_cannot_be_recorded_is_refused_before_it_is(bench: Bench, value: float) -> None:
    bench.count_stock("primer-base", 0.5)
    before = bench.state.seq
    with pytest.raises(Refused, match="epoxy primer base cannot be; count it again"):
        bench.count_stock("primer-base", value)
    with pytest.raises(Refused, match="is not a room's temperature"):
        bench.note_conditions(value, 50)
    with pytest.raises(Refused, match="is not a humidity"):
        bench.note_conditions(68, value)
    with pytest.raises(NotRecordable, match="stock counted cannot be recorded"):
        made(StockCounted, {"consumable": "primer-base", "left": value})
    assert bench.state.seq == before and bench.state.stock["primer-base"] == 0.5
    assert bench.record.journal.after(before) == []
    bench.note("the next tap is recorded")
    assert bench.state.seq == before + 1


@pytest.mark.parametrize(
    "body",
    [
        NoteWritten(text="half a character \udc80"),  # as an argument that is not UTF-8 arrives
        StockCounted(consumable="x", left=float("nan")),
        NoteWritten(version=9, text="of a version that is not today's"),
        NoteWritten(**{**NOTE, "text": 5}),
        NoteWritten(**{**NOTE, "kind": "undone"}),
        StockCounted(consumable="x", left="3"),  # type: ignore[arg-type]
        StockCounted(consumable="x", left=True),
        SittingOpened(people=["wren"]),  # type: ignore[arg-type]
        BatchJoined(marks=("NR-01",)),
        SlotBegun(minutes=0),
        ClockAnswered(**ANSWERED, again=ClockSet(**{**CLOCK, "until": MOMENT, "minutes": float("nan")})),
        ClockAnswered(**ANSWERED, again=ClockSet(**CLOCK)),  # whose end is a text
    ],
)
def test_what_could_not_be_read_back_is_never_written(bench: Bench, body: Any) -> None:
    bench.note("first")
    before = bench.state.seq
    with pytest.raises(NotRecordable, match="cannot be recorded"):
        bench.record.transact(lambda _: [NoteWritten(text="with it"), body], by="wren", tap=None)
    assert bench.record.journal.after(before) == []


def test_a_first_act_that_is_refused_is_not_known_beside_the_record(new_shop: Path) -> None:
    """What came after it was then called another record, by a second screen and after a power cut."""
    path = new_shop / "record.db"
    record = Record(path)
    with pytest.raises(NotRecordable):
        record.transact(lambda _: [NoteWritten(text="one"), NoteWritten(text="\udc80")], by="wren", tap=None)
    record.transact(lambda _: [NoteWritten(text="two")], by="wren", tap=None)
    record.journal._keeper.close()  # the head is written by a thread of its own
    other = Record(path)
    assert [event.body.kind for event in other.journal.after(0)] == ["run_started", "note_written"]
    other.close()
    record.close()


def test_what_is_taken_in_is_what_is_read_back(bench: Bench) -> None:
    """Nothing looks at an event as it is made, so a whole number stands for a figure until it is recorded."""
    before = bench.state.seq
    east = MOMENT.astimezone(timezone(timedelta(hours=5, minutes=30)))
    bodies: list[AnyBody] = [
        StockCounted(consumable="primer-base", left=3),
        ClockAnswered(**ANSWERED, until=east, again=ClockSet(**{**CLOCK, "minutes": 30, "until": MOMENT})),
    ]
    written = bench.record.transact(lambda _: bodies, by="wren", tap=None)
    assert repr(written) == repr(bench.record.journal.after(before))
    assert [event.body for event in written if event.body.kind != "run_started"] == bodies
    assert repr(bench.state.stock["primer-base"]) == "3.0"


def test_a_trial_strip_with_a_figure_that_is_none_is_one_line(
    new_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    figures = (
        "--thickness .025 --radius .125 --flat 2 --leg-a 1.05 --leg-b 1.08 --angle nan --set 94 --grain along"
    )
    assert main(["trial", str(new_shop), *figures.split()]) != 0
    told = capsys.readouterr()
    assert "Saved" not in told.out and told.err.count("\n") == 1
    Record(new_shop / "record.db").close()


def test_an_older_body_is_lifted_step_by_step_before_it_is_checked(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As if notes had been written with ``words`` first, then ``said``, then today's ``text``."""
    ladder = (
        lambda fields: {**{k: v for k, v in fields.items() if k != "words"}, "said": fields["words"]},
        lambda fields: {**{k: v for k, v in fields.items() if k != "said"}, "text": fields["said"].strip()},
    )
    path = demo_shop / "record.db"
    first = append_by_hand(path, {"version": 1, "kind": "note_written", "words": " oldest "})
    append_by_hand(path, {"version": 2, "kind": "note_written", "said": " older "})
    append_by_hand(path, {"version": 3, "kind": "note_written", "text": " today's "})
    append_by_hand(path, {"kind": "note_written", "words": "before versions were written"})
    monkeypatch.setattr(upcasters, "UPCASTERS", {"note_written": ladder})
    journal = Journal(path)
    notes = [event.body for event in journal.after(first - 1)]
    assert [note.text for note in notes if isinstance(note, NoteWritten)] == [
        "oldest",
        "older",
        " today's ",
        "before versions were written",
    ]
    assert {note.version for note in notes} == {3}
    journal.close()


def test_a_body_that_no_kiosk_of_its_version_wrote_is_damage(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    append_by_hand(demo_shop / "record.db", NOTE)
    ladder = (lambda fields: {"kind": "note_written", "text": fields["words"]},)
    monkeypatch.setattr(upcasters, "UPCASTERS", {"note_written": ladder})
    with pytest.raises(DamagedRecord, match=r"its fields are not those of version 1 \('words'\)"):
        Record(demo_shop / "record.db")


def test_every_kind_writes_the_version_that_its_ladder_ends_at() -> None:
    assert set(KINDS) == every_kind() >= set(upcasters.UPCASTERS)
    for kind, body in KINDS.items():
        assert body.version == upcasters.today(kind), kind


@pytest.mark.parametrize("value", [None, b"\xff"])
@pytest.mark.parametrize("column", range(1, 9))
def test_a_column_of_another_type_is_told_with_its_event(bench: Bench, column: int, value: object) -> None:
    bench.note("one")
    [*_, newest] = bench.record.journal._connection.execute(f"SELECT {COLUMNS} FROM event ORDER BY seq")
    row = [value if number == column else cell for number, cell in enumerate(newest)]
    with pytest.raises(DamagedRecord, match=f"event {newest[0]} of the record, .* is damaged: its "):
        event_of(row)
