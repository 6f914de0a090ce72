"""SIGKILL at random moments: no acknowledged tap is lost, none is doubled, and the record always opens."""

import multiprocessing
import random
import shutil
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from kiosk.bench import RECORD_FILE, Bench
from kiosk.record.apply import fold
from kiosk.record.events import NoteWritten, SnagRaised
from kiosk.record.journal import Record
from tests.conftest import SteadyClocks
from tests.faults.walker import PART, STEP, Deed, walk
from tests.planning.test_spare import take_to

KILLS = 200
SHOPS = 2  # killed side by side, each with a record of its own
MOST_TAPS = 3  # acknowledged before the kill, however long a busy machine takes over them
LONGEST_S = 0.006  # after the last of them: about two taps, so that the kill comes in every part of one

# Walkers are forked from a server that has loaded the kiosk, so a kill costs no start of Python.
_PROCESSES = multiprocessing.get_context("forkserver")
_PROCESSES.set_forkserver_preload(["tests.faults.walker"])


def kill_often(folder: Path, seed: int, kills: int) -> dict[str, int]:
    """Kill a walker again and again; gives how many taps of each kind were acknowledged."""
    random_numbers = random.Random(seed)
    done: dict[str, int] = {}
    again: Deed | None = None
    for _ in range(kills):
        taps, seconds = random_numbers.randint(0, MOST_TAPS), random_numbers.uniform(0.0, LONGEST_S)
        acknowledged, seq, again = _walk_and_kill(folder, taps, seconds, again)
        _hold(folder, acknowledged, seq)
        for deed in acknowledged:
            done[deed.kind] = done.get(deed.kind, 0) + 1
    return done


def _walk_and_kill(
    folder: Path, taps: int, seconds: float, again: Deed | None
) -> tuple[list[Deed], int, Deed | None]:
    """Kill a walker so many seconds after so many taps.

    Gives the taps that were acknowledged, how far the record then was, and the tap that was under way.
    """
    hears, says = _PROCESSES.Pipe(duplex=False)
    walker = _PROCESSES.Process(target=walk, args=(str(folder), says, again))
    walker.start()
    says.close()
    word, _, seq = hears.recv()
    assert word == "ready"
    acknowledged: list[Deed] = []
    under_way: Deed | None = None
    killed = False
    while True:
        if len(acknowledged) >= taps and not killed:
            time.sleep(seconds)
            walker.kill()
            killed = True
        try:
            word, deed, seq = hears.recv()
        except EOFError:
            break
        under_way = deed if word == "will" else None
        if word == "did":
            acknowledged.append(deed)
    assert killed, "the walker fell by itself"
    walker.join()
    hears.close()
    return acknowledged, seq, under_way


def _hold(folder: Path, acknowledged: list[Deed], seq: int) -> None:
    """Everything that was acknowledged is in the record, as what it was."""
    record = Record(folder / RECORD_FILE)
    assert record.state.seq >= seq, f"{seq - record.state.seq} events are lost"
    kinds: dict[str, list[str]] = {}
    tap = ""
    for event in record.journal.after(max(0, seq - 3 * len(acknowledged) - 3)):
        # The tap's id is on its first event: one that also opens the sitting comes before what was tapped.
        tap = event.id if tap == "" or kinds[tap][-1] != "sitting_opened" else tap
        kinds.setdefault(tap, []).append(event.body.kind)
    for deed in acknowledged:
        assert kinds[deed.tap][-1] == deed.kind
    record.close()


def test_two_hundred_random_kills_lose_and_double_no_tap(new_shop: Path, tmp_path: Path) -> None:
    bench = Bench(new_shop, SteadyClocks())
    take_to(bench, [PART], str(STEP))
    bench.close()
    folders = [tmp_path / f"shop-{number}" for number in range(SHOPS)]
    for folder in folders:
        shutil.copytree(new_shop, folder)
    with ThreadPoolExecutor(SHOPS) as pool:  # the walkers are processes; the threads only wait for them
        found = list(pool.map(kill_often, folders, range(SHOPS), [KILLS // SHOPS] * SHOPS))
    kinds = {kind: sum(done.get(kind, 0) for done in found) for done in found for kind in done}
    assert sum(kinds.values()) > KILLS
    assert {"counted", "answered", "step_finished", "snag_raised", "note_written", "looked"} <= set(kinds)
    for folder in folders:
        _whole(folder)


def _whole(folder: Path) -> None:
    """No gap, no tap recorded twice, and the state is what the events say."""
    record = Record(folder / RECORD_FILE)
    events = record.journal.after(0)
    assert [event.seq for event in events] == list(range(1, len(events) + 1))
    texts = [event.body.text for event in events if isinstance(event.body, NoteWritten | SnagRaised)]
    assert len(texts) == len(set(texts))  # each says where the record was when it was tapped
    assert record.journal.first_bad_event() is None
    assert fold(events) == record.state
    record.close()
