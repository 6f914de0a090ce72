"""What the newest stored record says when it is looked back at, as text: a picture of the look-ups.

    .venv/bin/python -m tests.record.what_is_looked_up     # renew it, then read the difference

Of each part the numbers of the events that concern it, and each step that stands on it as it was; what was
last said where something is asked, and which parts were in hand last.
"""

import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing
from os import environ
from pathlib import Path

from kiosk.record.apply import fold
from kiosk.record.journal import Journal
from kiosk.record.of_part import events_of_part, marks_of_part
from kiosk.record.past_step import past_step
from kiosk.record.recent import _SAID, recent_marks, recent_words
from kiosk.shop.procedure import StepRef
from tests.record.what_changes import ZONE, digest, whole

KEPT = Path(__file__).parent / "stored" / "what_is_looked_up.txt"


def what_is_looked_up(stored: Path) -> str:
    """The text; the stored record is not touched."""
    with tempfile.TemporaryDirectory() as name:
        shutil.copy(stored, Path(name) / "record.db")
        with closing(Journal(Path(name) / "record.db", reading=True)) as journal:
            return "".join(f"{line}\n" for line in _lines(journal))


def _lines(journal: Journal) -> Iterator[str]:
    state = fold(journal.read_on())
    for mark, part in state.parts.items():
        events = events_of_part(journal, mark, state.renames)
        yield f"{' '.join(marks_of_part(journal, mark, state.renames))}: {_runs([one.seq for one in events])}"
        for procedure, done in part.passes.items():
            for step, end in done.items():
                past = past_step(events, mark, StepRef(procedure, step), end)
                if past is None:
                    yield f"    {procedure} {step}: nothing"
                    continue
                figures = ", ".join(f"{one.check} {one.text} of {one.given_on}" for one in past.figures)
                said = f"{past.minutes:.1f} min by {past.by}; {figures} {digest(whole(past))}"
                yield f"    {procedure} {step}: {said}"
    for where in _SAID:
        yield f"{where}: {' | '.join(recent_words(journal, where))}"
    yield f"in hand last: {' '.join(recent_marks(state))}"


def _runs(numbers: list[int]) -> str:
    """Numbers in order, those that follow one another as a run."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return " ".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)


def main() -> None:
    """Write it anew."""
    from tests.record.test_stored_records import STORED

    environ["TZ"] = ZONE
    time.tzset()
    KEPT.write_text(what_is_looked_up(STORED[-1]), encoding="utf-8")


if __name__ == "__main__":
    main()
