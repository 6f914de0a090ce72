"""A record as years at the bench would bring it, made quickly: whole routes of all parts, again and again.

The events go past the rules and past the disk's promises, but each is made by its model and chained as the
journal does it, so that all that reads a record reads this one.
"""

import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

from kiosk.record import events as e
from kiosk.record.chain import event_hash
from kiosk.record.journal import Journal
from kiosk.record.rows import row_of
from kiosk.record.rules.steps import wanted_words
from kiosk.record.rules.words import digest_of, words_of
from kiosk.shop.at_hand import ORDINARY_DAY
from kiosk.shop.lots import lot_words, lots_for
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import Check, CountCheck, LotCheck, Procedure, Step, YesNoCheck
from kiosk.shop.shop import Shop

_BEGAN = datetime(2027, 5, 8, 8, 0, tzinfo=UTC)
_STEPS_A_SITTING = 12


def write_long_record(shop: Shop, path: Path, events: int) -> None:
    """A new record with so many events."""
    Journal(path).close()
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA synchronous=OFF")
    connection.execute("BEGIN")
    before = "0" * 64
    at = _BEGAN
    for seq, body in zip(range(1, events + 1), _bodies(shop), strict=False):
        at += timedelta(hours=20) if isinstance(body, e.SittingOpened) else timedelta(seconds=15)
        event = e.Event(
            seq=seq,
            id=f"{seq:032x}",
            at=at,
            monotonic_s=seq * 15.0,
            run=f"run {seq // 5000}",
            by="wren",
            body=body,
        )
        row = row_of(event)
        before = event_hash(before, row)
        connection.execute("INSERT INTO event VALUES (?,?,?,?,?,?,?,?,?,?)", (*row, before))
    connection.execute("COMMIT")
    connection.close()


def _bodies(shop: Shop) -> Iterator[e.AnyBody]:
    """For ever: every part through its route, a batch of up to six at a time, then to do again."""
    texts = {name: words_of(procedure) for name, procedure in shop.procedures.items()}
    for name, words in texts.items():
        revision = shop.procedures[name].revision
        yield e.ProcedureKept(procedure=name, revision=revision, text=digest_of(words), words=words)
    steps = 0
    for turn in count():
        for kind in shop.kinds.values():
            marks = shop.marks_of(kind.id)
            for batch in (marks[first : first + 6] for first in range(0, len(marks), 6)):
                for procedure, step in shop.route_steps(kind):
                    if steps % _STEPS_A_SITTING == 0:
                        yield e.SittingOpened(people=("wren",))
                        yield e.ConditionsNoted(temperature_f=60.0 + turn % 20, humidity_percent=50.0)
                    yield from _one_step(shop, kind, procedure, step, batch, f"{turn}-{steps}", texts)
                    steps += 1
                    if steps % _STEPS_A_SITTING == 0:
                        yield e.SittingClosed(note=f"Left in order after step {steps}.")
                yield from _odd_things(kind, batch, f"{turn}-{steps}")


def _one_step(
    shop: Shop,
    kind: PartKind,
    procedure: Procedure,
    step: Step,
    batch: tuple[str, ...],
    work: str,
    texts: dict[str, str],
) -> Iterator[e.AnyBody]:
    text = digest_of(texts[procedure.id])
    yield e.WorkStarted(
        work=work, marks=batch, procedure=procedure.id, revision=procedure.revision, step=step.id, text=text
    )
    groups = [batch] if step.batch == "together" else [(mark,) for mark in batch]
    for marks in groups:
        yield e.DraftTyped(work=work, mark=marks[0], check="half", text="0.0")
        yield e.Counted(work=work, mark=marks[0], count=1)
        for check in step.checks:
            yield _answer(shop, kind, check, work, marks[0])
        yield e.StepFinished(
            work=work,
            marks=marks,
            procedure=procedure.id,
            revision=procedure.revision,
            step=step.id,
            active_s=95.0,
            day="2027-05-08",
            each_minutes=2.0,
            text=text,
        )


def _answer(shop: Shop, kind: PartKind, check: Check, work: str, mark: str) -> e.Answered:
    wanted = wanted_words(shop, kind, check, ORDINARY_DAY)
    text, value, lot = "yes", None, ""
    if isinstance(check, YesNoCheck):
        text = check.want
    elif isinstance(check, CountCheck):
        text, value = wanted, float(wanted)
    elif isinstance(check, LotCheck):
        text = next(iter(lots_for(shop, check, kind)), "SH-01")
        lot = lot_words(shop, text)
    else:
        limits = shop.figures.limits(kind, check, ORDINARY_DAY)
        value = limits.low if limits.low is not None else limits.high
        text = str(value)
    return e.Answered(
        work=work, mark=mark, check=check.id, text=text, value=value, ask=check.ask, wanted=wanted, lot=lot
    )


def _odd_things(kind: PartKind, batch: tuple[str, ...], key: str) -> Iterator[e.AnyBody]:
    """A snag and its decision, a note, and all of it to do again."""
    yield e.NoteWritten(text=f"Looked well, {key}", mark=batch[0])
    yield e.SnagRaised(snag=key, mark=batch[-1], text="a scratch")
    yield e.SnagDecided(snag=key, decision="use as is", reason="polished out", accepted_by="wren")
    first = kind.procedures[0]
    for mark in batch:
        yield e.StepReopened(mark=mark, procedure=first, step="none", reason="once more")
