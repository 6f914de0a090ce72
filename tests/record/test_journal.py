"""The journal on disk: durable, append-only, shared, and honest about a wrong clock."""

import math
import sqlite3
import subprocess
import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.bench import Bench, new_tap
from kiosk.record.events import Event, NoteWritten, RunStarted, StepFinished
from kiosk.record.journal import Journal, Record
from kiosk.record.rules import Refused
from kiosk.record.state import PieceTime, SetUpTime
from kiosk.record.stopped import RecordingStopped, TapUsed
from kiosk.shop.procedure import StepRef
from tests.conftest import SteadyClocks
from tests.driver import do_step


def test_each_commit_is_synced_in_wal_mode(demo_shop: Path) -> None:
    journal = Journal(demo_shop / "record.db")
    run = journal._connection.execute
    assert run("PRAGMA journal_mode").fetchone()[0] == "wal"
    assert run("PRAGMA synchronous").fetchone()[0] == 2  # FULL
    journal.close()


def test_nothing_is_updated_or_deleted(demo_shop: Path) -> None:
    connection = sqlite3.connect(demo_shop / "record.db")
    with pytest.raises(sqlite3.IntegrityError, match="never changed"):
        connection.execute("UPDATE event SET body='{}' WHERE seq=1")
    with pytest.raises(sqlite3.IntegrityError, match="never deleted"):
        connection.execute("DELETE FROM event WHERE seq=1")
    connection.close()


def test_a_change_behind_the_kiosks_back_shows(demo_shop: Path) -> None:
    journal = Journal(demo_shop / "record.db")
    assert journal.first_bad_event() is None
    connection = sqlite3.connect(demo_shop / "record.db", isolation_level=None)
    connection.execute("DROP TRIGGER event_is_never_changed")
    connection.execute("UPDATE event SET by='somebody' WHERE seq=40")
    connection.close()
    assert journal.first_bad_event() == 40
    journal.close()


def test_the_same_tap_is_recorded_once(bench: Bench) -> None:
    tap = new_tap()
    bench.start(["FB-NR"], "form-block", "measure-pattern", tap)
    before = bench.state.seq
    bench.start(["FB-NR"], "form-block", "measure-pattern", tap)
    assert bench.state.seq == before


def test_a_used_tap_is_refused_for_another_act_and_not_dropped(bench: Bench) -> None:
    tap = new_tap()
    bench.start(["FB-NR"], "form-block", "measure-pattern", tap)
    before = bench.state.seq
    with pytest.raises(TapUsed, match="recorded already, as begin; look at the screen and press again"):
        bench.raise_snag("FB-NR", "chipped", tap)
    assert bench.state.seq == before
    bench.start(["FB-NR"], "form-block", "measure-pattern", tap)  # it still is what it was
    bench.raise_snag("FB-NR", "chipped", new_tap())
    assert bench.state.seq == before + 1


def test_a_refused_tap_records_nothing(bench: Bench) -> None:
    before = bench.state.seq
    with pytest.raises(Refused):
        bench.start(["NR-01"], "rib-forming", "clean-block")
    assert bench.record.journal.after(before) == []


def test_two_screens_see_each_other_and_a_stale_tap_is_refused(new_shop: Path) -> None:
    wall, tablet = Bench(new_shop, SteadyClocks()), Bench(new_shop, SteadyClocks())
    work = wall.start(["FB-NR"], "form-block", "measure-pattern")
    assert tablet.refresh()
    tablet.acknowledge(work)
    tablet.answer(work, "FB-NR", "bar", "10")
    tablet.finish(work, "FB-NR")
    with pytest.raises(Refused, match="not in hand any more"):
        wall.answer(work, "FB-NR", "bar", "10")
    assert wall.state == tablet.state
    assert not wall.refresh()  # the refusal read what the other had done
    wall.close()
    tablet.close()


_WRITER = """
import sys
from pathlib import Path
from kiosk.bench import Bench
bench = Bench(Path(sys.argv[1]))
for number in range(60):
    bench.note(f"{sys.argv[2]} {number}")
bench.close()
"""


def test_two_processes_write_without_losing_or_doubling(new_shop: Path) -> None:
    writers = [
        subprocess.Popen([sys.executable, "-c", _WRITER, str(new_shop), name]) for name in ("wall", "tablet")
    ]
    assert [writer.wait(60) for writer in writers] == [0, 0]
    bench = Bench(new_shop)
    notes = [one.body.text for one in bench.record.journal.after(0) if isinstance(one.body, NoteWritten)]
    assert sorted(notes) == sorted(f"{name} {number}" for name in ("wall", "tablet") for number in range(60))
    assert [event.seq for event in bench.record.journal.after(0)] == list(range(1, bench.state.seq + 1))
    assert bench.record.journal.first_bad_event() is None
    bench.close()


def test_a_clock_that_runs_back_is_kept_and_marked(bench: Bench, clocks: SteadyClocks) -> None:
    bench.start(["FB-NR"], "form-block", "measure-pattern")
    clocks.at -= timedelta(days=9000)
    clocks.count_s += 120
    bench.note("after the wrong boot")
    *_, told, last = bench.record.journal.after(0)
    assert isinstance(told.body, RunStarted) and not told.body.believed
    assert told.clock_ran_back and told.at == last.at == clocks.at
    view = bench.step_view(next(iter(bench.state.works)))
    assert view.elapsed_s == pytest.approx(120)


def test_pauses_do_not_count_and_no_duration_is_negative(bench: Bench, clocks: SteadyClocks) -> None:
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    clocks.go(3)
    bench.pause(work)
    clocks.go(600)
    bench.take_up(work)
    clocks.go(2)
    clocks.at -= timedelta(days=1)
    bench.acknowledge(work)
    bench.answer(work, "FB-NR", "bar", "10")
    bench.finish(work, "FB-NR")
    finished = bench.record.journal.after(0)[-1].body
    assert isinstance(finished, StepFinished)
    assert finished.active_s == pytest.approx(300)
    assert not finished.exact and not bench.state.times  # a wrong clock teaches nothing


def test_the_first_of_a_family_in_a_sitting_teaches_its_set_up_and_a_piece(
    bench: Bench, clocks: SteadyClocks
) -> None:
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    clocks.go(5)
    bench.answer(work, "FB-NR", "bar", "10")
    bench.finish(work, "FB-NR")
    # Estimated are 2 min to set up and 2 a piece: 5 in all is longer of both, and neither is seen alone.
    piece = PieceTime(StepRef("form-block", "measure-pattern"), "wren")
    assert piece not in bench.state.times
    # Of the set-up a minute by the procedure is learnt.
    of_set_up = SetUpTime("pattern-table", "wren")
    for of, estimate in ((of_set_up, 1), (replace(piece, in_sum=True), 2)):
        times = bench.state.times[of]
        assert times.count == 1 and 0.3 < times.weight < 0.6
        assert estimate * 1.2 < math.exp(times.sum_y / times.weight) < estimate * 1.75


def test_a_copy_is_whole(demo_bench: Bench, tmp_path: Path) -> None:
    demo_bench.record.journal.copy_to(tmp_path / "copy.db", demo_bench.now)
    copy = Record(tmp_path / "copy.db")
    assert copy.state == demo_bench.state
    copy.close()


def test_a_disk_error_in_the_middle_leaves_nothing_half_done(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    do_step(bench, ["FB-NR"])
    before = bench.state.seq
    original = bench.record.journal.append

    def fails(event: Event) -> None:
        original(event)
        raise sqlite3.OperationalError("disk I/O error")

    with monkeypatch.context() as patched:
        patched.setattr(bench.record.journal, "append", fails)
        with pytest.raises(RecordingStopped, match="disk I/O error"):
            bench.note("lost?")
    assert bench.state.seq == before
    bench.note("again")
    assert bench.state.seq == before + 1
