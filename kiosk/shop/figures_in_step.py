"""The figures of a step: those that its author typed there, and those that it has from elsewhere.

What a step allows (``plus`` and ``minus``) and how long it takes are the author's own: no step works it out.
"""

import re
from collections.abc import Iterator, Mapping
from contextlib import suppress

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.numbers.result import Quantity
from kiosk.shop.figures import Figure, Figures, Place
from kiosk.shop.measures import read_number
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import CountCheck, DimensionShown, MeasureCheck, NumberWanted, Step
from kiosk.shop.stock_use import same_unit
from kiosk.shop.written import OfRib, Worked

# Of the words of a question those that say nothing of what is measured.
_SMALL = frozenset(
    {
        *("a", "an", "and", "are", "as", "at", "by", "each", "for", "from", "how", "in", "is", "it", "its"),
        *("many", "of", "off", "on", "one", "or", "out", "that", "the", "then", "they", "this", "to"),
        *("was", "were", "where", "with"),
    }
)
_COUNT = "count"  # the input of a calculator or a drawing: how many there are

LOW, HIGH = ENDS = ("low", "high")


@dataclass(frozen=True)
class TypedFigure:
    """A figure as it is typed: where in the step, in what unit, and the words of what asks for it."""

    place: Place
    text: str
    unit: str
    words: frozenset[str]
    beside: Figure | None = None  # of a low or a high end: the other

    @property
    def field(self) -> str:
        return str(self.place[-1])


@dataclass(frozen=True)
class StepFigure:
    """A figure that the step has: its value, the words of its name and of its title, and itself in words."""

    found: Quantity
    name: frozenset[str]
    title: frozenset[str]
    shown: str
    from_rib: bool
    is_shown: bool = True  # as a number on the step; else as what another check or the count asks
    is_count: bool = False  # what its arithmetic takes as how many there are
    place: Place = ()  # of a check, a count or an amount; of what the arithmetic only takes there is none

    def likeness(self, asked: frozenset[str]) -> tuple[bool, int]:
        """How well what is asked names it: in full or not, and by how many words."""
        return self.name <= asked, len((self.name | self.title) & asked)


def typed_in(step: Step, kind: PartKind, figures: Figures) -> Iterator[TypedFigure]:
    for place, written, unit, words in _asked_in(step, kind, figures):
        if not isinstance(written, str) or kind.written(written) is not None or not is_figure(written, unit):
            continue
        if place[-1] not in ENDS:
            yield TypedFigure(place, written, unit, words)
            continue
        beside = getattr(step.checks[int(place[1])], HIGH if place[-1] == LOW else LOW)
        yield TypedFigure(place, written, unit, words | {str(place[-1])}, beside)


def _asked_in(
    step: Step, kind: PartKind, figures: Figures
) -> Iterator[tuple[Place, Figure | None, str, frozenset[str]]]:
    """Whatever a step measures, counts or takes: where, as it is written, in what unit and in what words."""
    for number, check in enumerate(step.checks):
        if check.only_if is not None and not figures.has(kind, check.only_if):
            continue
        if isinstance(check, MeasureCheck):
            for field in ("nominal", LOW, HIGH):
                yield ("checks", number, field), getattr(check, field), check.unit, words_of(check.ask)
        elif isinstance(check, CountCheck):
            yield ("checks", number, "want"), check.want, "count", words_of(check.ask)
    if step.repeat is not None:
        yield ("repeat", "times"), step.repeat.times, "count", words_of(step.repeat.of)
    for number, uses in enumerate(step.uses):
        if same_unit(uses.unit, "pieces") or words_of(uses.unit) & words_of(
            uses.of
        ):  # else it is poured or cut
            yield ("uses", number, "amount"), uses.amount, "count", words_of(uses.of)


def figures_in(step: Step, kind: PartKind, figures: Figures) -> Iterator[StepFigure]:
    """Every figure that a step has from elsewhere; what cannot be worked out is named where that is."""
    for number in step.numbers:
        if number.only_if is None or figures.has(kind, number.only_if):
            with suppress(KioskError):
                yield from _of_number(number, kind, figures)
    for place, written, unit, words in _asked_in(step, kind, figures):
        if written is None or (isinstance(written, str) and kind.written(written) is None):
            continue
        with suppress(KioskError):
            yield StepFigure(
                found=_counted(figures.number(kind, written, unit), unit),
                name=words_of(written) if isinstance(written, str) else frozenset(),
                title=words,
                shown=f"{_called(step, place)} has it so",
                from_rib=_is_of_rib(written, kind, figures),
                is_shown=False,
                place=place,
            )
    counts = [text for inputs in _inputs_of(step) for name, text in inputs.items() if name == _COUNT]
    taken = (
        item.strip() for inputs in _inputs_of(step) for text in inputs.values() for item in text.split(",")
    )
    for name in dict.fromkeys(taken):
        if kind.written(name) is not None:
            from_rib = _is_of_rib(name, kind, figures)
            for found in _read_as_asked(name, kind, figures):
                yield StepFigure(
                    found,
                    words_of(name),
                    frozenset(),
                    name,
                    from_rib,
                    is_shown=False,
                    is_count=found.unit == "" and name in counts,
                )


def _of_number(
    number: NumberWanted | DimensionShown, kind: PartKind, figures: Figures
) -> Iterator[StepFigure]:
    shown = figures.step_number(kind, number)
    if isinstance(number, NumberWanted):
        name, from_rib = number.figure or number.calculator, False
    else:
        name, from_rib = number.dimension, _is_of_rib(number.dimension, kind, figures)
    if shown.value is not None:
        title = words_of(shown.title)
        found = Quantity("", shown.value, shown.unit)
        yield StepFigure(found, words_of(name), title, shown.title.lower(), from_rib)
    elif isinstance(number, DimensionShown):  # as it is typed in the shop file
        for found in _read_as_asked(name, kind, figures):
            yield StepFigure(found, words_of(name), frozenset(), name, from_rib)


def _inputs_of(step: Step) -> Iterator[Mapping[str, str]]:
    """What the step's arithmetic takes, for its numbers, its times and what it draws."""
    times = step.written_minutes
    yield from (one.inputs for one in step.numbers if isinstance(one, NumberWanted))
    yield from (one.inputs for one in (times.set_up, times.each, times.put_away) if isinstance(one, Worked))
    if step.drawing is not None:
        yield step.drawing.inputs


def _read_as_asked(name: str, kind: PartKind, figures: Figures) -> Iterator[Quantity]:
    """A dimension in each unit that it may be typed in: only who asks knows which it is."""
    for unit in ("in", "deg", "count"):
        with suppress(KioskError):
            yield _counted(figures.number(kind, name, unit), unit)


def _counted(value: float, unit: str) -> Quantity:
    return Quantity("", value, "" if unit == "count" else unit)


def _is_of_rib(written: Figure, kind: PartKind, figures: Figures) -> bool:
    if isinstance(written, str):
        home, own_name = figures.home_of(kind, written)
        return isinstance(home.written(own_name), OfRib)
    return isinstance(written, OfRib)


def is_figure(text: str, unit: str) -> bool:
    with suppress(KioskError):
        read_number(text, unit)
        return True
    return False


def _called(step: Step, place: Place) -> str:
    if place[0] == "checks":
        return f"check {step.checks[int(place[1])].id!r}"
    return "repeat" if place[0] == "repeat" else f"uses: {step.uses[int(place[1])].of}"


_WORD = re.compile(r"[^\W\d_]+")


def words_of(text: str) -> frozenset[str]:
    """What a text names, one or many of it: small words say nothing."""
    found = (word.lower() for word in _WORD.findall(text))
    return frozenset(_one_of(word) for word in found if word not in _SMALL)


def _one_of(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word
