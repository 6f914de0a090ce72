"""Make a small record that holds every kind of event, in the format of today, to be kept for ever.

    .venv/bin/python -m tests.record.make_stored_record tests/record/stored/format-2

writes ``format-2.db`` and ``format-2.json``: the record, and what its folded state has to say. Run it before
a change of the format is released. A file that is there already is never made again.
"""

import contextlib
import json
import sqlite3
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from kiosk.bench import RECORD_FILE, Bench
from kiosk.commands.make_shop import make_shop
from kiosk.demo_player import PlayedClocks, play
from kiosk.record import events as e
from kiosk.record.journal import Journal
from kiosk.record.rules import NotAllowed
from kiosk.shop.procedure import StepRef
from tests.driver import ACCEPTED, do_step
from tests.record.plain_facts import plain_facts

PLAYED_ON = datetime(2026, 10, 3, 18, 0, tzinfo=UTC)


def every_kind() -> set[str]:
    """The kinds of event there are today."""
    return set(e.KINDS)


def tap_through_a_morning(bench: Bench, clocks: PlayedClocks) -> None:
    """What the scenario's history leaves out: a helper, looks, a pause, a skip, snags decided, an undo."""
    bench.note_conditions(66.5, 48.0)
    bench.set_pin("odile", "", "2906")
    with contextlib.suppress(NotAllowed):
        bench.hand_over("odile", "1357")
    bench.come("pip")
    bench.hand_over("pip")
    for mark in ("FB-TR", "FB-TP"):
        clocks.go(3)
        do_step(bench, [mark])
    bench.hand_over("wren")
    bench.look_over("FB-TR", StepRef("form-block", "measure-pattern"), good=True)
    bench.leave("pip")
    work = bench.start(["FB-TR"], "form-block", "check-inset")
    clocks.go(4)
    bench.pause(work)
    clocks.go(30)
    bench.take_up(work)
    bench.put_back(work)
    bench.skip("FB-TR", "the inset is printed on the pattern")
    for _ in range(3):
        do_step(bench, ["FB-TR"])  # the last leaves the glue's clock running
    batch = bench.state.part("NR-03").work
    assert batch is not None
    bench.acknowledge(batch)
    bench.turn_to(batch, "NR-04")
    bench.count(batch, "NR-04", 2)
    bench.type_draft(batch, "NR-04", "web", "0.0")
    bench.count(batch, "NR-04", 3)
    undoable = bench.latest_undoable()
    assert undoable is not None
    bench.undo(undoable.event)
    bench.say_enough(batch, "NR-04", 2)
    bench.begin_slot(25)
    bench.join_batch(["NR-18", "NR-19"])
    bench.split_batch(["NR-19"])
    bench.raise_snag("MR-01", "scratch along the edge")
    bench.decide_snag(
        bench.state.open_snags("MR-01")[0].id, "use as is", "polished out, not felt", None, ACCEPTED
    )
    bench.raise_snag("MR-02", "wrong corner cut")
    bench.decide_snag(
        bench.state.open_snags("MR-02")[0].id, "scrap and remake", "cannot be mended", None, ACCEPTED
    )
    bench.raise_snag("MR-03", "line lost")
    first = StepRef("rib-blank", "choose-sheet")
    bench.decide_snag(bench.state.open_snags("MR-03")[0].id, "rework", "marked again", first, ACCEPTED)
    bench.reopen("MR-04", StepRef("rib-blank", "cut-blank"), "an edge is still proud")
    bench.mark_clock(right=False)
    bench.mark_clock(right=True)
    bench.count_stock("primer-base", 0.65)
    bench.ask_first("NR-05")
    bench.ask_not_today(part_kind="main-rib")
    bench.take_back_wish(bench.state.wishes[-1])
    bench.type_words("note/NR-01", "Ordered riv")
    bench.note("Ordered rivets", "NR-01")
    bench.type_words("note/NR-01", "")
    bench.type_words("close-up", "Two clam")
    bench.add_trial(
        e.TrialBent(
            alloy="2024-T3",
            thickness_in=0.025,
            inside_radius_in=0.125,
            flat_length_in=2.0,
            leg_a_in=1.05,
            leg_b_in=1.05,
            angle_deg=90.0,
            set_angle_deg=94.0,
            grain="along",
        )
    )
    bench.retract_trial(1, "measured over a burr")
    glued = StepRef("form-block", "glue-pattern")
    bench.correct("FB-TR", glued, "minutes", "6", "the clock was stopped late")
    clocks.go(2)


def append_what_needs_another_shop(bench: Bench, clocks: PlayedClocks) -> None:
    """Events that come of a changed procedure, a missed limit or a power cut, as bodies."""
    place = e.PlaceAnswered(mark="MR-01", procedure="rib-blank", revision="1", step="mark-blank")
    missed = e.ClockAnswered(mark="CA-01", procedure="clean-and-prime", step="spray", did="mix new primer")
    second = e.HoldLooked(
        marks=("CA-01", "CA-02"), procedure="clean-and-prime", step="spray", looker="odile", finding="clean"
    )
    room = e.RoomCleared(people=("pip",))
    scuff = e.StepRenamed(procedure="clean-and-prime", former="scuff-faces", step="scuff")
    names = e.Renamed(marks={"FB-TR": "FB-T2"}, procedures={"prime": "clean-and-prime"}, steps=(scuff,))
    set_up = e.FamilySetUp(
        mark="CA-01", procedure="clean-and-prime", step="mix", family="spray", put_away_minutes=6.0
    )
    bodies: list[e.AnyBody] = [place, missed, second, room, set_up]
    bench.record.transact(lambda _: bodies, by="wren", tap=None)
    work = bench.start(["FB-TP"], "form-block", "check-inset")
    lost = e.ScreenLost(run="a tablet")
    put_back = e.RecordPutBack(how="as it was found", had=400, had_hash="0" * 64, kept_as="record.replaced")
    bench.record.transact(lambda _: [lost, put_back, e.SittingCut()], by="wren", tap=None)
    clocks.go(600)
    bench.looked(work, as_shown=True)
    batch = bench.state.part("NR-03").work
    assert batch is not None
    bench.looked(batch, as_shown=True)
    bench.acknowledge(batch)
    clocks.go(1)
    # The last: a screen whose files give other names records nothing more.
    bench.record.transact(lambda _: [names], by="wren", tap=None)


def make(target: Path) -> None:
    """Write ``target`` with .db and .json. Raises FileExistsError when it is there."""
    database, facts = target.with_suffix(".db"), target.with_suffix(".json")
    if database.exists() or facts.exists():
        raise FileExistsError(f"{database} is kept for ever; give the new format a new name")
    with tempfile.TemporaryDirectory() as name:
        shop = Path(name) / "shop"
        make_shop(shop, "brambling", with_history=False)
        (shop / "history.yaml").write_bytes(Path("scenarios/brambling/history.yaml").read_bytes())
        play(shop, now=PLAYED_ON)
        clocks = PlayedClocks(PLAYED_ON)
        bench = Bench(shop, clocks)
        tap_through_a_morning(bench, clocks)
        append_what_needs_another_shop(bench, clocks)
        events = bench.record.journal.after(0)
        missing = every_kind() - {event.body.kind for event in events}
        if missing:
            raise AssertionError(f"no event of these kinds was made: {sorted(missing)}")
        said = json.dumps(plain_facts(bench.state, events), indent=1) + "\n"
        bench.close()
        whole = Journal(shop / RECORD_FILE)
        whole.copy_to(database, PLAYED_ON)
        whole.close()
    with sqlite3.connect(database, isolation_level=None) as connection:
        connection.execute("DROP TABLE copied_head")  # the record is kept, not a copy of it
        connection.execute("DELETE FROM snapshot")  # a convenience, and most of the size
        connection.execute("VACUUM")
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    facts.write_text(said, encoding="utf-8")


if __name__ == "__main__":
    make(Path(sys.argv[1]))
