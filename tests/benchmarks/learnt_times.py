"""Benchmark, run by hand: of the times of simulated builders, how many came within what was stated.

    python -m tests.benchmarks.learnt_times [BUILDERS]

Each time is predicted before it is seen. The rows stand for ways to work, the columns for the chances stated;
a share more than three points off is marked.
"""

import sys

from tests.planning.bench_life import STATED, Habits, held, lives

BUILDERS = 200
ALLOWED = 0.03
WAYS = (
    ("one to four pieces", 15, Habits(), 0.0),
    ("one piece a sitting", 20, Habits(pieces=(1,), steps_a_sitting=(1,)), 0.0),
    ("a helper, 1.6 slower", 40, Habits(), 0.4),
    ("timers forgotten, bench left open", 15, Habits(forgotten=0.03, left_open=0.2), 0.0),
)


def main(builders: int) -> None:
    """Print the table."""
    print(f"{'':34}{'':8}{'':10}{'times':>7}  " + "  ".join(f"{stated:>6}" for stated in STATED))
    for way, sittings, habits, helped in WAYS:
        seen = lives(builders, sittings, habits, helped=helped)
        for person in ("wren", "pip"):
            for what in ("piece", "set-up", "put-away", "closing"):
                found = [one for one in seen if (one.person, one.what) == (person, what)]
                if not found:
                    continue
                shares = [
                    f"{share:.3f}" + ("!" if abs(share - stated) > ALLOWED else " ")
                    for stated, share in zip(STATED, held(found), strict=True)
                ]
                who = "builder" if person == "wren" else "helper"
                print(f"{way:34}{who:8}{what:10}{len(found):>7}  " + "  ".join(shares))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else BUILDERS)
