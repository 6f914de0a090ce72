"""The oracle itself: what is lost, doubled, half there or counted backwards is seen."""

import math
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.bench import SCREENS_FOLDER
from kiosk.errors import KioskError
from kiosk.record.apply import fold
from kiosk.record.events import StepFinished
from tests.faults.deeds import Deed
from tests.faults.jumping_clocks import JUMPS, Hands, JumpingClocks
from tests.faults.kills import Killed
from tests.faults.oracle import Read, in_one_line, read, what_is_wrong
from tests.faults.walker import SMALL_SHOP, Said, make_small_shop, open_bench, rehearse


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    make_small_shop(folder)
    return folder


def two_notes(shop: Path) -> list[Said]:
    """What a walker says that writes two notes, as it is read at the other end of the pipe."""
    bench = open_bench(shop)
    said = [Said("opened", state=bench.state)]
    for words in ("one", "two"):
        deed = Deed("write_note", "note", (words,))
        said.append(Said("will", deed, rehearse(bench, deed)))
        deed.do(bench)
        said.append(Said("did", deed, state=fold(bench.record.journal.after(0))))
    bench.close()
    return said


def test_a_rehearsal_says_what_would_be_recorded_and_records_nothing(shop: Path) -> None:
    bench = open_bench(shop)
    assert rehearse(bench, Deed("write_note", "note", ("one",))) == ("sitting_opened", "note_written")
    assert rehearse(bench, Deed("skip", "skip", ("LA-01", ""))) == ()
    assert bench.state.seq == 0 and bench.record.journal.after(0) == []
    bench.close()


def test_what_was_acknowledged_and_is_lost_or_twice_or_half_there_is_seen(shop: Path) -> None:
    killed = Killed(shop, 1)
    said = two_notes(shop)
    killed._hold(said, opening=False)
    assert killed.found.wrong == [] and killed.found.acknowledged == 2

    def held(*said: Said) -> list[str]:
        again = Killed(shop, 1)
        again._known = Read((), fold([]))
        again._hold(list(said), opening=False)
        return again.found.wrong

    lost = replace(said[3], deed=Deed("write_note", "note", ("three",)))
    assert any("is lost" in text for text in held(*said, lost, Said("did", lost.deed)))
    assert any("twice" in text for text in held(*said[:3]))  # the second was never asked for
    half = replace(said[1], kinds=("sitting_opened", "note_written", "note_written", "person_came"))
    assert any("half" in text for text in held(said[0], half))
    assert not held(*said[:4])  # the second was under way, and is there whole
    other = replace(said[4], state=replace(fold(read(shop).events), stock={"glue": 1.0}))
    assert any("another state" in text for text in held(*said[:4], other))


def test_a_missing_event_a_doubled_one_and_another_state_are_seen(shop: Path) -> None:
    two_notes(shop)
    found = read(shop)
    assert what_is_wrong(found) == []
    assert what_is_wrong(replace(found, events=found.events[1:]))
    assert what_is_wrong(replace(found, events=(*found.events, replace(found.events[-1], seq=4))))
    assert what_is_wrong(replace(found, state=fold(found.events[:-1])))
    late = replace(found.events[1], at=found.events[1].at - timedelta(days=1))
    assert what_is_wrong(replace(found, events=(found.events[0], late, found.events[2])))


@pytest.mark.parametrize("seconds", [-0.001, math.nan, math.inf])
def test_a_duration_below_nothing_or_of_no_clock_is_seen(shop: Path, seconds: float) -> None:
    two_notes(shop)
    found = read(shop)
    body = StepFinished(  # which would be refused as it is recorded
        work="w", marks=("LA-01",), procedure="latch", revision="1", step="label", active_s=seconds
    )
    events = (*found.events[:-1], replace(found.events[-1], body=body))
    assert any("duration" in text for text in what_is_wrong(Read(events, found.state)))


def test_one_line_of_words_is_told_from_a_fault_of_the_kiosks_own() -> None:
    assert in_one_line(KioskError("the record is damaged", "restore a copy"))
    assert not in_one_line(KioskError("two\nlines"))
    assert not in_one_line(KioskError(""))
    assert not in_one_line(ValueError("one line"))


@pytest.mark.parametrize("jump", JUMPS)
def test_only_the_wall_clock_jumps_and_a_boot_begins_the_count_anew(jump: timedelta) -> None:
    clocks = JumpingClocks(Hands(passed_s=60.0))
    at, counted = clocks.now(), clocks.monotonic_s()
    clocks.hands = replace(clocks.hands, wrong_by=jump)
    assert abs(clocks.now() - at - jump) < timedelta(seconds=30)
    assert counted <= clocks.monotonic_s() < counted + 30
    before = clocks.boot()
    clocks.hands = clocks.boot_again()
    assert clocks.boot() != before and 0 <= clocks.monotonic_s() < 30


def test_each_trial_shop_has_its_own_screens(tmp_path: Path) -> None:
    """They took each other's for alive, and what was killed left its mark in the tree."""
    first, second = tmp_path / "first", tmp_path / "second"
    for folder in (first, second):
        make_small_shop(folder)
    with closing(open_bench(first)) as here, closing(open_bench(second)) as there:
        assert here.presence is not None and there.presence is not None
        assert not here.presence.others_alive() and not there.presence.is_alive(here.record.run)
        assert [one.name for one in (first / SCREENS_FOLDER).iterdir()] == [here.record.run]
    assert not (SMALL_SHOP / SCREENS_FOLDER).exists()
