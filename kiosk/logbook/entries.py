"""The journal as entries that a stranger can read: who did what to which part, when, what was measured."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from kiosk.record import events as e
from kiosk.record.events import Event
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Shop


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
    found: list[Entry] = []
    answers: dict[tuple[str, str], dict[str, str]] = {}
    undone: set[str] = set()
    ids: list[str] = []
    for event in events:
        body = event.body
        if isinstance(body, e.Undone):
            undone.add(body.event)
        elif isinstance(body, e.Answered):
            answers.setdefault((body.work, body.mark), {})[body.check] = body.text + (
                "" if body.passed else " (out of limits)"
            )
        entry = _entry(shop, event, answers)
        if entry is not None:
            found.append(entry)
            ids.append(event.id)
    return [
        entry if event_id not in undone else replace(entry, taken_back=True)
        for entry, event_id in zip(found, ids, strict=True)
    ]


def _entry(shop: Shop, event: Event, answers: dict[tuple[str, str], dict[str, str]]) -> Entry | None:
    body = event.body
    if isinstance(body, e.StepFinished):
        return _step(shop, event, body, answers)
    if isinstance(body, e.SnagRaised):
        return _made(shop, event, "snag", (body.mark,), f"Not right: {body.text}")
    if isinstance(body, e.SnagDecided):
        words = f"Decided: {body.decision}. {body.reason}. Accepted by {body.accepted_by}"
        return _made(shop, event, "decision", (), words)
    if isinstance(body, e.HoldLooked):
        looker = shop.people[body.looker].name if body.looker in shop.people else body.looker
        words = f"Looked at before {_step_words(shop, body.procedure, body.step)}: {looker}: {body.finding}"
        return _made(shop, event, "second look", body.marks, words)
    if isinstance(body, e.LookedOver):
        words = f"Looked over: {_step_words(shop, body.procedure, body.step)}"
        return _made(shop, event, "look over", (body.mark,), words)
    if isinstance(body, e.StepSkipped):
        words = f"Skipped: {_step_words(shop, body.procedure, body.step)}. Reason: {body.reason}"
        return _made(shop, event, "skipped", (body.mark,), words)
    if isinstance(body, e.StepReopened):
        words = f"To do again from: {_step_words(shop, body.procedure, body.step)}. Reason: {body.reason}"
        return _made(shop, event, "reopened", (body.mark,), words)
    if isinstance(body, e.PartCompleted):
        open_items = f" with open: {'; '.join(body.open_items)}" if body.open_items else ""
        return _made(shop, event, "part complete", (body.mark,), f"Declared complete{open_items}")
    if isinstance(body, e.NoteWritten):
        return _made(shop, event, "note", (body.mark,) if body.mark else (), body.text)
    if isinstance(body, e.TrialBent):
        words = (
            f"Trial strip {body.alloy} {body.thickness_in:.3f} over {body.inside_radius_in:.3f}:"
            f" flat {body.flat_length_in:.3f}, legs {body.leg_a_in:.3f} and {body.leg_b_in:.3f},"
            f" {body.angle_deg:.1f} degrees at a setting of {body.set_angle_deg:.1f}"
        )
        return _made(shop, event, "trial", (), words)
    return None


def _step(
    shop: Shop, event: Event, body: e.StepFinished, answers: dict[tuple[str, str], dict[str, str]]
) -> Entry:
    measured: list[str] = []
    for mark in body.marks:
        given = answers.get((body.work, mark), {})
        measured += [f"{mark} {check.replace('-', ' ')}: {text}" for check, text in given.items()]
    words = f"{_step_words(shop, body.procedure, body.step)} (revision {body.revision})"
    made = _made(shop, event, "step", body.marks, words)
    return replace(made, measured=tuple(measured), minutes=body.active_s / 60, exact=body.exact)


def _made(shop: Shop, event: Event, what: str, marks: tuple[str, ...], text: str) -> Entry:
    person = shop.people.get(event.by)
    drawings = dict.fromkeys(shop.kind_of(mark).drawing for mark in marks if mark in shop.parts)
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


def _step_words(shop: Shop, procedure_id: str, step_id: str) -> str:
    procedure, step = shop.find_step(procedure_id, step_id)
    if procedure is None or step is None:
        return str(StepRef(procedure_id, step_id))
    return f"{procedure.title}: {step.do}"
