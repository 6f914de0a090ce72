"""SIGKILL at random moments: no acknowledged event is lost, and the record always opens."""

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from kiosk.bench import Bench

KILLS = 200
SHOPS = 4  # killed side by side, each with a record of its own

# Walks a rib's block forward for ever: counts, half-typed figures, answers. Prints what was acknowledged.
_WALKER = """
import sys
from pathlib import Path
from kiosk.bench import Bench
bench = Bench(Path(sys.argv[1]), watch=True)
work = next(iter(bench.state.works), None) or bench.start(["FB-NR"], "form-block", "measure-pattern")
if bench.state.works[work].status == "unknown":
    bench.looked(work, as_shown=True)
bench.acknowledge(work)
print("ready", flush=True)
number = bench.state.seq
while True:
    number += 1
    bench.type_draft(work, "FB-NR", "bar", f"9.9{number}"[:12])
    sys.stdout.write(f"{bench.state.seq} 9.9{number}\\n"); sys.stdout.flush()
"""


def kill_often(folder: Path, seed: int, kills: int) -> int:
    """Kill a walker again and again; gives how many events were acknowledged. Fails when one is lost."""
    chance = random.Random(seed)
    acknowledged = 0
    for _ in range(kills):
        walker = subprocess.Popen(
            [sys.executable, "-c", _WALKER, str(folder)], stdout=subprocess.PIPE, text=True
        )
        assert walker.stdout is not None
        assert walker.stdout.readline() == "ready\n"
        time.sleep(chance.uniform(0.0, 0.02))
        os.kill(walker.pid, signal.SIGKILL)
        lines = [line for line in walker.stdout.read().splitlines() if line.count(" ") == 1]
        walker.stdout.close()
        walker.wait()
        if not lines:
            continue
        acknowledged += len(lines)
        seq, text = lines[-1].split()
        bench = Bench(folder)
        assert bench.state.seq >= int(seq), f"{int(seq) - bench.state.seq} events are lost"
        kept = bench.state.works[next(iter(bench.state.works))].pieces[0].drafts["bar"]
        # The last event may be on the disk though nobody was told.
        assert kept >= text or bench.state.seq > int(seq)
        bench.close()
    bench = Bench(folder)
    assert bench.record.journal.first_bad_event() is None
    assert [event.seq for event in bench.record.journal.after(0)] == list(range(1, bench.state.seq + 1))
    bench.close()
    return acknowledged


def test_two_hundred_random_kills_lose_no_acknowledged_event(new_shop: Path, tmp_path: Path) -> None:
    folders = [tmp_path / f"shop-{number}" for number in range(SHOPS)]
    for folder in folders:
        shutil.copytree(new_shop, folder)
    with ThreadPoolExecutor(SHOPS) as pool:  # the walkers are processes; the threads only wait for them
        found = list(pool.map(kill_often, folders, range(SHOPS), [KILLS // SHOPS] * SHOPS))
    assert sum(found) > KILLS
