"""What a figure that is typed in a step is worked out as in the same step.

The author typed the nominal, an end, a count or an amount, and the step shows the same figure as a number, or
asks it in another check. Which it is the words tell: a number is meant whose name or title shares a word with
what is asked, the one that is named in full before one that is not. Where two could be meant, or the words
name another dimension of the part kind, nothing is said.

What a step allows (``plus`` and ``minus``) and how long it takes are the author's own: no step works it out.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.numbers.result import Quantity
from kiosk.shop.figures import Figure, Figures, Place, is_nothing, is_unit
from kiosk.shop.measures import read_number
from kiosk.shop.other_figure import OtherFigure
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import CountCheck, DimensionShown, MeasureCheck, NumberWanted, Step
from kiosk.shop.rounding import exactly
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
# And those that say where along it, or which of several alike.
_WHERE = frozenset(
    {"both", "end", "here", "left", "middle", "now", "place", "right", "there", "worse", "worst"}
)
_LEAST = frozenset({"least", "lowest", "narrowest", "shortest", "smallest"})
_MOST = frozenset({"greatest", "highest", "largest", "longest", "most", "widest"})
_COUNT = "count"  # the input of a calculator or a drawing: how many there are
_NEAR = 0.2  # of itself: without a word in common, a figure is the same one only where it is nearly as large
_SAME = 1e-6

_LOW, _HIGH = _ENDS = ("low", "high")


@dataclass(frozen=True)
class _Typed:
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
class _Home:
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


def meant_in(step: Step, kind: PartKind, figures: Figures) -> Iterator[tuple[Place, str, OtherFigure]]:
    """Each figure that is typed in a step, where it stands, with what the step itself has in its place."""
    typed = list(_typed_in(step, kind, figures))
    if not typed:
        return
    homes = list(_homes_in(step, kind, figures))
    for one in typed:
        home = _meant(one, typed, homes, kind)
        if home is not None and not _lies_between(one, home):
            shown = f"{exactly(home.found)} ({home.shown})"
            other = OtherFigure((home.found,), "is not what this step has", shown, home.from_rib)
            yield one.place, one.text, other


def _typed_in(step: Step, kind: PartKind, figures: Figures) -> Iterator[_Typed]:
    for place, written, unit, words in _asked_in(step, kind, figures):
        if not isinstance(written, str) or kind.written(written) is not None or not _is_figure(written, unit):
            continue
        if place[-1] not in _ENDS:
            yield _Typed(place, written, unit, words)
            continue
        beside = getattr(step.checks[int(place[1])], _HIGH if place[-1] == _LOW else _LOW)
        yield _Typed(place, written, unit, words | {str(place[-1])}, beside)


def _asked_in(
    step: Step, kind: PartKind, figures: Figures
) -> Iterator[tuple[Place, Figure | None, str, frozenset[str]]]:
    """Whatever a step measures, counts or takes: where, as it is written, in what unit and in what words."""
    for number, check in enumerate(step.checks):
        if check.only_if is not None and not figures.has(kind, check.only_if):
            continue
        if isinstance(check, MeasureCheck):
            for field in ("nominal", _LOW, _HIGH):
                yield ("checks", number, field), getattr(check, field), check.unit, _words(check.ask)
        elif isinstance(check, CountCheck):
            yield ("checks", number, "want"), check.want, "count", _words(check.ask)
    if step.repeat is not None:
        yield ("repeat", "times"), step.repeat.times, "count", _words(step.repeat.of)
    for number, uses in enumerate(step.uses):
        if same_unit(uses.unit, "pieces") or _words(uses.unit) & _words(uses.of):  # else it is poured or cut
            yield ("uses", number, "amount"), uses.amount, "count", _words(uses.of)


def _homes_in(step: Step, kind: PartKind, figures: Figures) -> Iterator[_Home]:
    """Every figure that a step has from elsewhere; what cannot be worked out is named where that is."""
    for number in step.numbers:
        if number.only_if is None or figures.has(kind, number.only_if):
            with suppress(KioskError):
                yield from _of_number(number, kind, figures)
    for place, written, unit, words in _asked_in(step, kind, figures):
        if written is None or (isinstance(written, str) and kind.written(written) is None):
            continue
        with suppress(KioskError):
            yield _Home(
                found=_counted(figures.number(kind, written, unit), unit),
                name=_words(written) if isinstance(written, str) else frozenset(),
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
                yield _Home(
                    found,
                    _words(name),
                    frozenset(),
                    name,
                    from_rib,
                    is_shown=False,
                    is_count=found.unit == "" and name in counts,
                )


def _of_number(number: NumberWanted | DimensionShown, kind: PartKind, figures: Figures) -> Iterator[_Home]:
    shown = figures.step_number(kind, number)
    if isinstance(number, NumberWanted):
        name, from_rib = number.figure or number.calculator, False
    else:
        name, from_rib = number.dimension, _is_of_rib(number.dimension, kind, figures)
    if shown.value is not None:
        title = _words(shown.title)
        found = Quantity("", shown.value, shown.unit)
        yield _Home(found, _words(name), title, shown.title.lower(), from_rib)
    elif isinstance(number, DimensionShown):  # as it is typed in the shop file
        for found in _read_as_asked(name, kind, figures):
            yield _Home(found, _words(name), frozenset(), name, from_rib)


def _meant(one: _Typed, typed: list[_Typed], homes: list[_Home], kind: PartKind) -> _Home | None:
    """The one figure of the step that a typed one can only be; None where there is none, or two."""
    of_unit = [
        home
        for home in homes
        if is_unit(home.found.unit, one.unit) and home.place[:2] != one.place[:2] and _may_be(one, home)
    ]
    shown = [home for home in of_unit if home.is_shown]
    asked = [home for home in of_unit if home.place]
    taken = [home for home in of_unit if not home.is_shown and not home.place]
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


def _may_be(one: _Typed, home: _Home) -> bool:
    """False where a low or a high end is no such figure: another end, or what has to lie between the two."""
    if home.place:
        return home.place[-1] == one.field or one.unit == "count"
    if one.field not in _ENDS or one.field in home.name:
        return True
    if is_nothing(one.text) or not home.is_shown:
        return False
    least, most = bool(home.title & _LEAST), bool(home.title & _MOST)
    if least or most:
        return least if one.field == _LOW else most
    return one.beside is None or (isinstance(one.beside, str) and _is_figure(one.beside, one.unit))


def _lies_between(one: _Typed, home: _Home) -> bool:
    """True where the typed ends are no figure themselves, and the figure lies on the right side of this."""
    if one.field not in _ENDS or home.place or home.title & (_LEAST | _MOST):
        return False
    if one.field in home.name or not isinstance(one.beside, str) or is_nothing(one.beside):
        return False
    end, value = read_number(one.text, one.unit), home.found.value
    assert not isinstance(value, str)
    return value >= end if one.field == _LOW else value <= end


def _named(one: _Typed, homes: list[_Home], kind: PartKind) -> _Home | None:
    """The home that the words of the question name best, if they name no other dimension better."""
    best = max((home.likeness(one.words) for home in homes), default=(False, 0))
    if not best[1]:
        return None
    found = _only(home for home in homes if home.likeness(one.words) == best)
    others = [words for words in map(_words, kind.names) if words <= one.words]
    if found is None or any(words != found.name and (True, len(words)) > best for words in others):
        return None
    return found


def _alike(one: _Typed, home: _Home) -> bool:
    """True where another check asks for the same thing, at another place of it."""
    what = one.words - _WHERE
    return bool(what) and home.title - _WHERE == what


def _so_many(one: _Typed, typed: list[_Typed], counts: list[_Home], asked: list[_Home]) -> _Home | None:
    """As many as the step's arithmetic counts of it, where the step asks for one count alone."""
    alone = one.unit == "count" and sum(other.unit == "count" for other in typed) == 1
    return _only(home for home in counts if home.name & one.words) if alone and not asked else None


def _nearest(one: _Typed, typed: list[_Typed], shown: list[_Home], asked: list[_Home]) -> _Home | None:
    """The step's only number of the unit, for its only typed figure of it, where they are nearly the same."""
    alone = one.field not in _ENDS and sum(other.unit == one.unit for other in typed) == 1
    found = _only(shown) if alone else None
    if found is None or any(_same(home, found) for home in asked):
        return None
    value = found.found.value
    assert not isinstance(value, str)
    return found if abs(read_number(one.text, one.unit) - value) <= _NEAR * abs(value) else None


def _only(homes: Iterable[_Home]) -> _Home | None:
    """The first of them, where all have one value."""
    first, *others = (*homes, None)
    return first if first is not None and all(one is None or _same(one, first) for one in others) else None


def _same(one: _Home, other: _Home) -> bool:
    values = one.found.value, other.found.value
    assert not isinstance(values[0], str) and not isinstance(values[1], str)
    return abs(values[0] - values[1]) < _SAME


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


def _is_figure(text: str, unit: str) -> bool:
    with suppress(KioskError):
        read_number(text, unit)
        return True
    return False


def _called(step: Step, place: Place) -> str:
    if place[0] == "checks":
        return f"check {step.checks[int(place[1])].id!r}"
    return "repeat" if place[0] == "repeat" else f"uses: {step.uses[int(place[1])].of}"


_WORD = re.compile(r"[^\W\d_]+")


def _words(text: str) -> frozenset[str]:
    """What a text names, one or many of it: small words say nothing."""
    found = (word.lower() for word in _WORD.findall(text))
    return frozenset(_one_of(word) for word in found if word not in _SMALL)


def _one_of(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word
