"""Whether what another screen recorded is about these parts: a question that stands open was asked of what
was so before."""

from collections.abc import Collection, Iterable, Mapping

from kiosk.record.events import AnyBody, Event

# What changes nothing that is asked: half-typed figures and words, notes, minutes given, a clock's run.
_NOTHING_ASKED = frozenset(
    {"draft_typed", "words_typed", "note_written", "slot_begun", "run_started", "wished"}
)
# What is held by its own rule against what stood there as it was asked (``in_place_of``); cautions read ask
# nothing else of who has read them.
_ANSWERS = frozenset({"answered", "counted", "caution_acknowledged"})
# What names no part, and may be about any.
_WHOEVER = frozenset({"renamed", "record_put_back"})


def any_concerns(
    events: Iterable[Event],
    marks: Collection[str] | None,
    others: Collection[str],
    snags: Mapping[str, str],
    *,
    by_answers: bool = True,
) -> bool:
    """True where one of the events is about one of the parts; with None for ``marks`` any event is.

    ``others`` are the ids of the steps in hand on none of them: one that is in hand no more may have been on
    one, unless what came in says on which. ``snags`` gives by its id the part of each. Answers and counts are
    left out unless ``by_answers``: their rules hold them against what stood there.
    """
    bodies = [event.body for event in events]
    of_work = {
        one: about for body in bodies if (one := getattr(body, "work", "")) and (about := _marks(body))
    }
    for body in bodies:
        if body.kind in _NOTHING_ASKED or (body.kind in _ANSWERS and not by_answers):
            continue
        if marks is None or body.kind in _WHOEVER:
            return True
        work = getattr(body, "work", "")
        about = _marks(body) or of_work.get(work, frozenset())
        if body.kind == "snag_decided":
            about = frozenset({snags.get(body.snag, "")})
        if body.kind == "undone" and not about:
            return True  # nobody knows what it gave back
        if not about.isdisjoint(marks) or (work and not about and work not in others):
            return True
    return False


def _marks(body: AnyBody) -> frozenset[str]:
    """The parts that an entry names."""
    return frozenset({getattr(body, "mark", "") or "", *getattr(body, "marks", ())} - {""})
