"""What a figure that is typed in a step is worked out as in the same step.

The author typed the nominal, an end, a count or an amount, and the step shows the same figure as a number, or
asks it in another check. Which it is the words tell: a number is meant whose name or title shares a word with
what is asked, the one that is named in full before one that is not. Where two could be meant, or the words
name another dimension of the part kind, nothing is said.
"""

from collections.abc import Iterable, Iterator

from kiosk.shop.figures import Figures, Place, is_nothing, is_unit
from kiosk.shop.figures_in_step import (
    ENDS,
    LOW,
    StepFigure,
    TypedFigure,
    figures_in,
    is_figure,
    typed_in,
    words_of,
)
from kiosk.shop.measures import read_number
from kiosk.shop.other_figure import OtherFigure, same_value
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import Step
from kiosk.shop.rounding import exactly

# The words of a question that say where along it, or which of several alike.
_WHERE = frozenset(
    {"both", "end", "here", "left", "middle", "now", "place", "right", "there", "worse", "worst"}
)
_LEAST = frozenset({"least", "lowest", "minimum", "narrowest", "shortest", "smallest"})
_MOST = frozenset({"greatest", "highest", "largest", "longest", "maximum", "most", "widest"})
_NEAR = 0.2  # of itself: without a word in common, a figure is the same one only where it is nearly as large


def meant_in(step: Step, kind: PartKind, figures: Figures) -> Iterator[tuple[Place, str, OtherFigure]]:
    """Each figure that is typed in a step, where it stands, with what the step itself has in its place."""
    typed = list(typed_in(step, kind, figures))
    if not typed:
        return
    homes = list(figures_in(step, kind, figures))
    for one in typed:
        home = _meant(one, typed, homes, kind)
        if home is not None and not _lies_between(one, home):
            shown = f"{exactly(home.found)} ({home.shown})"
            other = OtherFigure((home.found,), "is not what this step has", shown, home.from_rib)
            yield one.place, one.text, other


def _meant(
    one: TypedFigure, typed: list[TypedFigure], homes: list[StepFigure], kind: PartKind
) -> StepFigure | None:
    """The one figure of the step that a typed one can only be; None where there is none, or two."""
    of_unit = [
        home
        for home in homes
        if is_unit(home.found.unit, one.unit) and home.place[:2] != one.place[:2] and _may_be(one, home)
    ]
    asked = [home for home in of_unit if home.place]
    # What another question asks for is not what this one asks, where they share a single word such as leg.
    free = [home for home in of_unit if not home.place and not _is_anothers(one, home, asked)]
    shown = [home for home in free if home.is_shown]
    taken = [home for home in free if not home.is_shown]
    return (
        _named(one, shown, kind)
        or (
            _named(one, asked, kind)
            if one.unit == "count"
            else _only(home for home in asked if _alike(one, home))
        )
        or _named(one, [home for home in taken if home.name <= one.words], kind)
        or _so_many(one, typed, [home for home in taken if home.is_count], asked)
        or _nearest(one, typed, shown, asked)
    )


def _is_anothers(one: TypedFigure, home: StepFigure, asked: list[StepFigure]) -> bool:
    of_it = [other for other in asked if same_value(home.found, other.found)]
    return len(home.name) == 1 and bool(of_it) and not any(_alike(one, other) for other in of_it)


def _may_be(one: TypedFigure, home: StepFigure) -> bool:
    """False where a low or a high end is no such figure: another end, or what has to lie between the two."""
    if home.place:
        return home.place[-1] == one.field or one.unit == "count"
    if one.field not in ENDS:
        return not (home.is_shown and home.title & (_LEAST | _MOST))  # a bound is nobody's nominal
    if one.field in home.name:
        return True
    if is_nothing(one.text) or not home.is_shown:
        return False
    least, most = bool(home.title & _LEAST), bool(home.title & _MOST)
    if least or most:
        return least if one.field == LOW else most
    return one.beside is None or (isinstance(one.beside, str) and is_figure(one.beside, one.unit))


def _lies_between(one: TypedFigure, home: StepFigure) -> bool:
    """True where the typed ends are no figure themselves, and the figure lies on the right side of this."""
    if one.field not in ENDS or home.place or home.title & (_LEAST | _MOST):
        return False
    if one.field in home.name or not isinstance(one.beside, str) or is_nothing(one.beside):
        return False
    end, value = read_number(one.text, one.unit), home.found.value
    assert not isinstance(value, str)
    return value >= end if one.field == LOW else value <= end


def _named(one: TypedFigure, homes: list[StepFigure], kind: PartKind) -> StepFigure | None:
    """The home that the words of the question name best, if they name no other dimension better."""
    best = max((home.likeness(one.words) for home in homes), default=(False, 0))
    if not best[1]:
        return None
    found = _only(home for home in homes if home.likeness(one.words) == best)
    others = [words for words in map(words_of, kind.names) if words <= one.words]
    if found is None or any(words != found.name and (True, len(words)) > best for words in others):
        return None
    return found


def _alike(one: TypedFigure, home: StepFigure) -> bool:
    """True where another check asks for the same thing, at another place of it."""
    what = one.words - _WHERE
    return bool(what) and home.title - _WHERE == what


def _so_many(
    one: TypedFigure, typed: list[TypedFigure], counts: list[StepFigure], asked: list[StepFigure]
) -> StepFigure | None:
    """As many as the step's arithmetic counts of it, where the step asks for one count alone."""
    alone = one.unit == "count" and sum(other.unit == "count" for other in typed) == 1
    return _only(home for home in counts if home.name & one.words) if alone and not asked else None


def _nearest(
    one: TypedFigure, typed: list[TypedFigure], shown: list[StepFigure], asked: list[StepFigure]
) -> StepFigure | None:
    """The step's only number of the unit, for its only typed figure of it, where they are nearly the same."""
    alone = one.field not in ENDS and sum(other.unit == one.unit for other in typed) == 1
    found = _only(shown) if alone else None
    if found is None or any(same_value(home.found, found.found) for home in asked):
        return None
    value = found.found.value
    assert not isinstance(value, str)
    return found if abs(read_number(one.text, one.unit) - value) <= _NEAR * abs(value) else None


def _only(homes: Iterable[StepFigure]) -> StepFigure | None:
    """The first of them, where all have one value."""
    first, *others = (*homes, None)
    return (
        first
        if first is not None and all(one is None or same_value(one.found, first.found) for one in others)
        else None
    )
