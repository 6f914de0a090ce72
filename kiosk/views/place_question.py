"""Where a part goes on, when what is recorded on it has no place in the files: what is asked, and how."""

from collections.abc import Sequence

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.record.position import position, steps_after_done
from kiosk.record.state import State
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Shop


@dataclass(frozen=True)
class LikelyPlace:
    """One step at which the parts may go on."""

    ref: StepRef
    words: str


@dataclass(frozen=True)
class PlaceQuestion:
    """What is so, of which parts, and the places to choose from, the likeliest first."""

    marks: tuple[str, ...]
    words: str
    places: tuple[LikelyPlace, ...]
    first_is_likely: bool  # else no place is likelier than another, and none is to stand first


def place_question(shop: Shop, state: State, marks: Sequence[str]) -> PlaceQuestion | None:
    """The question that stands on the first of these parts, and on those of them that it is the same for."""
    where = position(shop, state, marks[0])
    question = where.question
    if question is None:
        return None
    kind = shop.kind_of(marks[0])
    alike = [
        mark
        for mark in marks
        if shop.parts[mark].kind == kind.id and position(shop, state, mark).question == question
    ]
    if question.asks == "work added" and where.procedure is not None:
        # Either what was added is done now, or the part goes on where it stood.
        first = steps_after_done(shop, state.part(marks[0]), kind, where.procedure)[:1]
        refs = [where.procedure.ref(step) for step in first]
    elif where.procedure is not None:
        refs = [where.procedure.ref(step) for step in shop.steps_for(kind, where.procedure)]
    else:
        refs = [procedure.ref(step) for procedure, step in shop.route_steps(kind, repairs=True)]
    if question.likely is not None:
        at = refs.index(question.likely) if question.likely in refs else 0
        refs = list(dict.fromkeys([question.likely, *refs[at:], *refs[:at]]))
    return PlaceQuestion(
        tuple(alike),
        f"{question.words[:1].upper()}{question.words[1:]}.",
        tuple(LikelyPlace(ref, _words(shop, ref, question.likely)) for ref in refs),
        question.likely is not None,
    )


def _words(shop: Shop, ref: StepRef, likely: StepRef | None) -> str:
    procedure, step = shop.find_step(ref.procedure, ref.step)
    assert procedure is not None and step is not None
    lead = (said("Most likely:") + " ") if ref == likely else ""
    return f"{lead}{procedure.title} {(procedure.index(step.id) or 0) + 1}. {step.do}"
