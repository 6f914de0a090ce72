"""SIGKILL at random moments: no acknowledged event is lost, and the record always opens."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

from kiosk.bench import Bench

KILLS = 200

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


def test_two_hundred_random_kills_lose_no_acknowledged_event(new_shop: Path) -> None:
    chance = random.Random(7)
    acknowledged = 0
    lost: list[int] = []
    for _ in range(KILLS):
        walker = subprocess.Popen(
            [sys.executable, "-c", _WALKER, str(new_shop)], stdout=subprocess.PIPE, text=True
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
        seq, text = lines[-1].split()
        bench = Bench(new_shop)
        acknowledged += len(lines)
        if bench.state.seq < int(seq):
            lost.append(int(seq))
        else:
            kept = bench.state.works[next(iter(bench.state.works))].pieces[0].drafts["bar"]
            # The last event may be on the disk though nobody was told.
            assert kept >= text or bench.state.seq > int(seq)
        bench.close()
    assert lost == []
    assert acknowledged > KILLS
    bench = Bench(new_shop)
    assert bench.record.journal.first_bad_event() is None
    assert [event.seq for event in bench.record.journal.after(0)] == list(range(1, bench.state.seq + 1))
    bench.close()
