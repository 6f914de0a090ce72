"""A folded state as a few dozen plain facts, so that a stored record can be held to them for ever.

Only plain words and numbers: the facts outlive every type that the state is made of today. What times teach
is no fact of the record: it is worked out anew by better code.
"""

from typing import Any

from kiosk.record.events import Event
from kiosk.record.state import PartState, State, Work


def plain_facts(state: State, events: list[Event]) -> dict[str, Any]:
    """What the record says, without ids that mean nothing to a person."""
    kinds: dict[str, int] = {}
    for event in events:
        kinds[event.body.kind] = kinds.get(event.body.kind, 0) + 1
    return {
        "events": state.seq,
        "kinds": dict(sorted(kinds.items())),
        "last at": str(state.last_at),
        "sittings": state.sittings,
        "sitting open": state.sitting is not None,
        "left": [state.left.note, state.left.cut_short] if state.left else None,
        "parts": {mark: _part(part) for mark, part in sorted(state.parts.items())},
        "in hand": [_work(work) for work in state.works.values()],
        "snags": [
            [snag.mark, snag.text, snag.procedure, snag.step, snag.by, snag.decision]
            for snag in state.snags.values()
        ],
        "stock": state.stock,
        "asked for": [[one.by, one.wish, one.mark or one.part_kind, one.day] for one in state.wishes],
        "room": [state.temperature_f, state.humidity_percent, str(state.conditions_at)],
        "trial strips": [
            [one.strip.alloy, one.strip.flat_length_in, one.strip.set_angle_deg] for one in state.trials
        ],
        "minutes by day": _rounded(state.minutes_by_day),
        "planned by day": _rounded(state.planned_by_day),
        "can be taken back": [entry.label for entry in state.undoables[-3:]],
        "looked back over": [[done.step, list(done.marks), done.by] for done in state.confirmations[-3:]],
    }


def _part(part: PartState) -> dict[str, Any]:
    return {
        "steps done": {procedure: list(done) for procedure, done in part.passes.items()},
        "skipped": {
            step: entry.skipped
            for done in part.passes.values()
            for step, entry in done.items()
            if entry.skipped
        },
        "placed": part.placed,
        "clocks": [[clock.what, clock.kind, clock.minutes, clock.step] for clock in part.clocks],
        "measured": {
            f"{step}/{check}": value
            for step, values in sorted(part.measured.items())
            for check, value in sorted(values.items())
        },
        "looked": [str(one) for one in part.looked],
        "wants look": [str(one) for one in part.wants_look],
        "completed": str(part.completed_at or ""),
        "remade": part.remade,
    }


def _work(work: Work) -> dict[str, Any]:
    return {
        "step": work.step,
        "by": work.by,
        "status": work.status,
        "pieces": {
            piece.mark: [
                piece.count,
                {check: given.text for check, given in piece.answers.items()},
                {check: drafts[-1].text for check, drafts in piece.drafts.items()},
            ]
            for piece in work.pieces
        },
    }


def _rounded(by_day: dict[str, float]) -> dict[str, float]:
    return {day: round(minutes, 6) for day, minutes in sorted(by_day.items())}
