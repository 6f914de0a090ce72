"""Compares each figure typed from the plans with the one that can be worked out, and warns with both.

The typed figure is the one that is used: the plans come first. But one of the two is wrong.
"""

import re
from collections.abc import Iterator, Mapping

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.numbers.result import Quantity
from kiosk.shop.cross_check import Procedures
from kiosk.shop.figure_check import steps_on_route
from kiosk.shop.figures import Dimension, Figures, Place
from kiosk.shop.measures import read_number
from kiosk.shop.other_homes import OtherHomes, quantity_of
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import NumberWanted, Step
from kiosk.shop.reader import Document, Location
from kiosk.shop.rib_of_kind import RIB_FIGURES
from kiosk.shop.written import Elsewhere, OfRib

SAME_LENGTH_IN = 0.0005
SAME_ON_A_RIB_IN = 0.01  # plans round the ordinates of a section; a rib laid out from it differs by as much
A_RULE_READS_IN = 1 / 128  # a fraction is good to half a sixty-fourth
_DECIMALS = re.compile(r"\.(\d+)")


def compare_figures(
    kinds: Mapping[str, PartKind], figures: Figures, document: Document, procedures: Procedures
) -> None:
    """Warn of each typed figure that differs from the same figure as it can be worked out.

    Compared are ``plans:`` with what stands beside it, in the shop file and in the procedures, a dimension
    with the figure of the same name of the laid-out rib, a dimension with the figure of the same name of a
    calculator that one of its steps asks, and what none of these is named after with its other homes.
    """
    homes = OtherHomes(kinds, figures, procedures)
    for number, kind in enumerate(kinds.values()):
        for name, other, from_rib in _worked(kind, figures, procedures, homes):
            typed = _typed(kind, name)
            if typed is None or not all(_differs(typed, one, from_rib=from_rib) for one in other.values):
                continue
            location: Location = ("part_kinds", number, "dimensions", name)
            plans: Location = (*location, "plans")
            document.fault(
                plans if plans in document.values else location,
                f"{name} {typed} {other.told}, {other.figure}",
                "correct it or what it is worked out from; the plans decide",
                warning=True,
            )
    _compare_in_steps(kinds, figures, procedures)


def _compare_in_steps(kinds: Mapping[str, PartKind], figures: Figures, procedures: Procedures) -> None:
    """``plans:`` in a step, for every kind on whose route it stands; one warning a place."""
    warned: set[tuple[str, Location]] = set()
    for kind in kinds.values():
        for on_route in steps_on_route(kind, figures, procedures):
            source = on_route.source
            for place, written in _written_in(on_route.step):
                location: Location = (*on_route.location, *place, "plans")
                if written.plans is None or (source.file, location) in warned:
                    continue
                try:
                    found = figures.worked(kind, "", written)
                except KioskError:
                    continue  # named elsewhere
                other = _other(found, found.home)
                from_rib = isinstance(written, OfRib)
                if other is None or not all(
                    _differs(written.plans, one, from_rib=from_rib) for one in other.values
                ):
                    continue
                warned.add((source.file, location))
                source.fault(
                    location,
                    f"{place[-1]} {written.plans} {other.told} for {kind.id!r}, {other.figure}",
                    "correct it or what it is worked out from; the plans decide",
                    warning=True,
                )


def _written_in(step: Step) -> Iterator[tuple[Place, Elsewhere]]:
    """Every figure of a step that names where it comes from, and where in the step it stands."""
    for number, check in enumerate(step.checks):
        for name in ("want", "low", "high", "nominal", "plus", "minus"):
            written = getattr(check, name, None)
            if isinstance(written, Elsewhere):
                yield ("checks", number, name), written
    if step.repeat is not None and isinstance(step.repeat.times, Elsewhere):
        yield ("repeat", "times"), step.repeat.times
    for name in ("set_up", "each", "put_away"):
        written = getattr(step.written_minutes, name)
        if isinstance(written, Elsewhere):
            yield ("minutes", name), written


@dataclass(frozen=True)
class _Other:
    """The same figure from elsewhere: each value that it may be, what the typed one is then told, and the
    figure in words."""

    values: tuple[Quantity, ...]
    told: str
    figure: str


def _other(found: Dimension, home: str) -> _Other | None:
    """A figure to compare with: as it is worked out, or as another part kind has it typed."""
    if found.worked is not None:
        return _Other((found.worked,), "is not what is worked out", f"{_exactly(found.worked)} ({home})")
    value = quantity_of(found)
    if value is None:
        return None  # a word, such as the grain
    return _Other((value,), "is not what is borrowed", f"{found.typed} ({home})")


def _differs(typed: str, found: Quantity, *, from_rib: bool) -> bool:
    """True when the typed figure is another than the worked one, by more than it was rounded."""
    if isinstance(found.value, str):
        return False
    try:
        given = read_number(typed, found.unit or "count")
    except KioskError:
        return False  # named where a step uses it
    hair = 1e-9  # what binary arithmetic leaves over
    return abs(given - found.value) > _rounding(typed, found.unit, from_rib=from_rib) + hair


def _typed(kind: PartKind, name: str) -> str | None:
    written = kind.dimensions.get(name)
    return written if isinstance(written, str) or written is None else written.plans


def _worked(
    kind: PartKind, figures: Figures, procedures: Procedures, homes: OtherHomes
) -> Iterator[tuple[str, _Other, bool]]:
    """Each typed dimension with the same figure from elsewhere, and whether a rib gives it.

    Faults are named where the figures are worked out.
    """
    compared = set()
    for name, other, from_rib in _by_its_name(kind, figures, procedures):
        compared.add(name)
        yield name, other, from_rib
    for name, written in kind.dimensions.items():
        if not isinstance(written, str) or name in compared or kind.written(written) is not None:
            continue
        found = homes.of(kind, name)
        if found is not None:
            values = dict.fromkeys(_exactly(one) for one in found.values)
            told = f"{' or '.join(values)} ({found.by})"
            yield name, _Other(found.values, found.told, told), False


def _by_its_name(
    kind: PartKind, figures: Figures, procedures: Procedures
) -> Iterator[tuple[str, _Other, bool]]:
    """What says itself where it comes from, or is called as a figure of the rib or of a step's calculator."""
    for name, written in kind.dimensions.items():
        if isinstance(written, str):
            if name not in RIB_FIGURES or kind.written("section") is None:
                continue
            source: Elsewhere = OfRib(rib=name)
        elif written.plans is None:
            continue
        else:
            source = written
        try:
            found = figures.worked(kind, name, source)
        except KioskError:
            continue
        other = _other(found, "rib" if isinstance(source, OfRib) else found.home)
        if other is not None:
            yield name, other, isinstance(source, OfRib)
    yield from _asked_by_steps(kind, figures, procedures)


def _asked_by_steps(
    kind: PartKind, figures: Figures, procedures: Procedures
) -> Iterator[tuple[str, _Other, bool]]:
    seen: set[str] = set()
    for on_route in steps_on_route(kind, figures, procedures):
        for wanted in on_route.step.numbers:
            if not isinstance(wanted, NumberWanted):
                continue
            used = {item.strip() for text in wanted.inputs.values() for item in text.split(",")}
            try:
                result = figures.step_number(kind, wanted).result
            except KioskError:
                continue
            if result is None:
                continue
            named = {one.name: one for one in result.figures() if not one.is_list}
            for name in kind.dimensions:
                if name in used or name in seen or not isinstance(kind.dimensions[name], str):
                    continue
                if name == result.calculator:
                    found, what = result.headline, result.title.lower()
                elif name in named and getattr(result, named[name].field) is not None:
                    found = result.figure(name)
                    what = f"{found.name}, by {result.calculator}"
                else:
                    continue
                seen.add(name)
                figure = f"{_exactly(found)} ({what})"
                yield name, _Other((found,), "is not what is worked out", figure), False


def _rounding(typed: str, unit: str, *, from_rib: bool) -> float:
    """How far the typed figure may lie from the true one by its own rounding."""
    decimals = _DECIMALS.search(typed)
    if unit == "in":
        least = SAME_ON_A_RIB_IN if from_rib else SAME_LENGTH_IN
        if "/" in typed:
            return max(least, A_RULE_READS_IN)
        return max(least, min(A_RULE_READS_IN, 0.5 * 10.0 ** -len(decimals[1]))) if decimals else least
    if unit in ("deg", "min", "F", "%", "lb", "lbf", "in-lb"):
        return 0.5 * 10.0 ** -len(decimals[1]) if decimals else 0.5
    return 1e-9


def _exactly(found: Quantity) -> str:
    """Enough figures to tell it from the typed one."""
    if found.unit == "in" and not isinstance(found.value, str):
        return f"{found.value:.4f} in"
    return found.show()
