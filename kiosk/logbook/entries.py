"""The journal as entries that a stranger can read: who did what to which part, when, what was measured."""

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from kiosk.record import events as e
from kiosk.record.events import Event
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Shop

_OfStep = e.StepFinished | e.HoldLooked | e.LookedOver | e.StepSkipped | e.StepReopened


@dataclass(frozen=True)
class Entry:
    """One line of the logbook. An entry that was taken back stays, and says so."""

    number: int  # of the event in the journal: never reused
    at: datetime
    by: str  # name
    share: str  # builder, unpaid helper, …, as the shop gives it
    what: str  # step, snag, decision, look, part complete, note
    marks: tuple[str, ...]
    drawing: str
    text: str
    measured: tuple[str, ...]
    minutes: float | None
    exact: bool  # False when the power went meanwhile
    taken_back: bool


def entries(shop: Shop, events: Iterable[Event]) -> list[Entry]:
    """Every entry in the order it was made."""
    reader = _Reader(shop)
    found: list[Entry] = []
    undone: set[str] = set()
    ids: list[str] = []
    for event in events:
        if isinstance(event.body, e.Undone):
            undone.add(event.body.event)
        entry = reader.entry(event)
        if entry is not None:
            found.append(entry)
            ids.append(event.id)
    return [
        entry if event_id not in undone else replace(entry, taken_back=True)
        for entry, event_id in zip(found, ids, strict=True)
    ]


class _Reader:
    """Reads the events in order, with the words that stood in the procedures when each was done."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self._texts: dict[str, dict[str, Any]] = {}  # by digest: the procedure as it was
        self._answers: dict[tuple[str, str], dict[str, str]] = {}  # by work and mark: each check in words
        self._snags: dict[str, e.SnagRaised] = {}

    def entry(self, event: Event) -> Entry | None:
        """The entry that an event makes, if it makes one."""
        body = event.body
        if isinstance(body, e.ProcedureKept):
            self._texts[body.text] = json.loads(body.words)
        elif isinstance(body, e.Answered):
            self._answers.setdefault((body.work, body.mark), {})[body.check] = self._answer(body)
        elif isinstance(body, e.StepFinished):
            return self._step(event, body)
        elif isinstance(body, e.SnagRaised):
            self._snags[body.snag] = body
            return self._made(event, "snag", (body.mark,), f"Not right: {body.text}")
        elif isinstance(body, e.SnagDecided):
            return self._decision(event, body)
        elif isinstance(body, e.HoldLooked):
            looker = self._name(body.looker)
            words = f"Looked at before {self._words(body).rstrip('.')}: {looker}: {body.finding}"
            return self._made(event, "second look", body.marks, words)
        elif isinstance(body, e.LookedOver):
            return self._made(event, "look over", (body.mark,), f"Looked over: {self._words(body)}")
        elif isinstance(body, e.StepSkipped):
            words = f"Skipped: {self._words(body).rstrip('.')}. Reason: {body.reason}"
            return self._made(event, "skipped", (body.mark,), words)
        elif isinstance(body, e.StepReopened):
            words = f"To do again from: {self._words(body).rstrip('.')}. Reason: {body.reason}"
            return self._made(event, "reopened", (body.mark,), words)
        elif isinstance(body, e.PartCompleted):
            open_items = f" with open: {'; '.join(body.open_items)}" if body.open_items else ""
            return self._made(event, "part complete", (body.mark,), f"Declared complete{open_items}")
        elif isinstance(body, e.Renamed):
            return self._made(event, "renamed", tuple(body.marks.values()), _renamed_words(body))
        elif isinstance(body, e.NoteWritten):
            return self._made(event, "note", (body.mark,) if body.mark else (), body.text)
        elif isinstance(body, e.TrialBent):
            return self._made(event, "trial", (), _strip_words(body))
        return None

    def _answer(self, body: e.Answered) -> str:
        """The question, the answer, and what was wanted."""
        asked = body.ask or body.check.replace("-", " ") + ":"
        about = body.lot or (f"wanted: {body.wanted}" if body.wanted else "")
        wanted = f" ({about})" if about else ""
        return f"{asked} {body.text}{wanted}{'' if body.passed else ' OUT OF LIMITS'}"

    def _step(self, event: Event, body: e.StepFinished) -> Entry:
        measured = [
            f"{mark}: {text}"
            for mark in body.marks
            for text in self._answers.get((body.work, mark), {}).values()
        ]
        words = f"{self._words(body)} (revision {body.revision})"
        made = self._made(event, "step", body.marks, words)
        return replace(made, measured=tuple(measured), minutes=body.active_s / 60, exact=body.exact)

    def _decision(self, event: Event, body: e.SnagDecided) -> Entry:
        snag = self._snags.get(body.snag)
        about = f" of {snag.text!r}" if snag is not None else ""
        by = self._name(body.accepted_by)
        words = f"Decided{about}: {body.decision}. Reason: {body.reason}. Accepted by {by}"
        return self._made(event, "decision", (snag.mark,) if snag is not None else (), words)

    def _name(self, person: str) -> str:
        known = self.shop.people.get(person)
        return known.name if known is not None else person

    def _words(self, body: _OfStep) -> str:
        """The step in the words that it had then; a record from before words were kept says today's."""
        kept = self._texts.get(body.text)
        if kept is not None:
            step = next((one for one in kept["steps"] if one["id"] == body.step), None)
            return f"{kept['title']}: {step['do'] if step else body.step}"
        procedure, found = self.shop.find_step(body.procedure, body.step)
        if procedure is None or found is None:
            return str(StepRef(body.procedure, body.step))
        return f"{procedure.title}: {found.do} (in today's words)"

    def _made(self, event: Event, what: str, marks: tuple[str, ...], text: str) -> Entry:
        person = self.shop.people.get(event.by)
        drawings = dict.fromkeys(self.shop.kind_of(mark).drawing for mark in marks if mark in self.shop.parts)
        return Entry(
            number=event.seq,
            at=event.at,
            by=person.name if person else event.by,
            share=person.share.replace("_", " ") if person else "not on the list now",
            what=what,
            marks=marks,
            drawing=", ".join(drawings),
            text=text,
            measured=(),
            minutes=None,
            exact=True,
            taken_back=False,
        )


def _renamed_words(body: e.Renamed) -> str:
    """What was called otherwise from here on: the entries before keep the names that they were made under."""
    pairs = [
        f"{former} is {now}" for former, now in {**body.procedures, **body.part_kinds, **body.marks}.items()
    ]
    pairs += [f"{one.former} of {one.procedure} is {one.step}" for one in body.steps]
    return f"Renamed in the shop's files: {'; '.join(pairs)}"


def _strip_words(body: e.TrialBent) -> str:
    return (
        f"Trial strip {body.alloy} {body.thickness_in:.3f} over {body.inside_radius_in:.3f}:"
        f" flat {body.flat_length_in:.3f}, legs {body.leg_a_in:.3f} and {body.leg_b_in:.3f},"
        f" {body.angle_deg:.1f} degrees at a setting of {body.set_angle_deg:.1f}"
    )
