"""Works out every figure of a shop before anybody cuts metal, and notes each fault at the guilty line."""

import difflib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.shop.at_hand import ORDINARY_DAY
from kiosk.shop.blanks import SIZES, grain_of, is_cut_from_sheet, margin_of, sheet_of, size_in
from kiosk.shop.cross_check import Procedures
from kiosk.shop.faults import nearest
from kiosk.shop.figures import FigureFault, Figures, Place, UnknownDimension
from kiosk.shop.finish import FINISH_FIGURES
from kiosk.shop.for_kind import named_figures, require_ends_in_order, wait_minutes
from kiosk.shop.on_route import Routes
from kiosk.shop.parts import OF_THE_MATERIAL, PartKind
from kiosk.shop.procedure import CountCheck, DimensionShown, MeasureCheck, Step
from kiosk.shop.reader import Document, Location
from kiosk.shop.stock_use import amount_used
from kiosk.shop.written import Elsewhere


@dataclass(frozen=True)
class _Asked:
    """One figure of a step: where it stands in the step, what it is written as, and how it is worked out."""

    place: Place
    written: tuple[str | Elsewhere | None, ...]
    work: Callable[[], object]


Missing = dict[str, tuple[UnknownDimension, list[str]]]  # by its name: the first fault, and the steps


def check_figures(
    kinds: Mapping[str, PartKind],
    figures: Figures,
    document: Document,
    routes: Routes,
    *,
    ribs: bool,
) -> None:
    """Work out each dimension and blank of each kind, and each number, limit, count and time of its steps.

    Without ``ribs``, what needs a rib laid out is left to `kiosk check`: it takes too long for every start.
    """
    for number, kind in enumerate(kinds.values()):
        here: Location = ("part_kinds", number)
        missing: Missing = {}
        for name in kind.dimensions:
            if ribs or not figures.needs_rib(kind, name):
                note_fault(partial(figures.dimension, kind, name), (document, here), kinds)
                note_fault(partial(_require_size, figures, kind, name), (document, here), kinds)
        if ribs and kind.written("section") is not None:
            note_fault(partial(figures.rib, kind), (document, here), kinds)
        for work in _of_blank(figures, kind, ribs=ribs):
            note_fault(work, (document, here), kinds)
        for on_route in routes.steps_of(kind):
            for asked in _asked_of(figures, kind, on_route.step):
                if not ribs and any(figures.needs_rib(kind, one) for one in asked.written):
                    continue
                note_fault(
                    asked.work,
                    (document, here),
                    kinds,
                    (on_route.source, (*on_route.location, *asked.place)),
                    used_by=f"{on_route.procedure!r} step {on_route.step.id!r}",
                    missing=missing,
                )
        for error, users in missing.values():
            _note_missing((document, here), error, _used_by(list(dict.fromkeys(users))))


def _note_missing(of_kind: tuple[Document, Location], error: UnknownDimension, used_by: str) -> None:
    document, here = of_kind
    location: Location = (*here, "material" if error.name in OF_THE_MATERIAL else "dimensions")
    known = location in document.values
    document.fault(location if known else here, error.wrong + used_by, error.mend, key=True)


def _used_by(steps: Sequence[str]) -> str:
    """The steps that use it: one slip is one fault, however many there are."""
    if len(steps) > 2:
        return f", which {steps[0]} and {len(steps) - 1} other steps use"
    return f", which {' and '.join(steps)} {'uses' if len(steps) == 1 else 'use'}"


_SIZE_ENDS = ("_height", "_width", "_radius", "_diameter")


def _require_size(figures: Figures, kind: PartKind, name: str) -> None:
    """Refuse a size typed below nothing. Raises FigureFault."""
    written = kind.written(name)
    typed = written if isinstance(written, str) or written is None else written.plans
    if typed is None or not name.endswith(_SIZE_ENDS) or not typed.strip().startswith("-"):
        return
    raise FigureFault(f"{name} is {typed}, which is no size", "correct it", kind=kind.id, dimension=name)


def check_names(kinds: Mapping[str, PartKind], procedures: Procedures) -> None:
    """Note a wait or a condition that is neither a value nor a figure of any part kind.

    Those of procedures on a route are worked out for their kinds; here are the others.
    """
    on_route = {name for kind in kinds.values() for name in kind.procedures}
    for procedure, source in procedures.values():
        if procedure.id in on_route:
            continue
        for number, step in enumerate(procedure.steps):
            for place, name, unit in named_figures(step):
                what = "time" if unit == "min" else "number"
                at: Location = ("steps", number, *place)
                if not any(kind.written(name) is not None for kind in kinds.values()):
                    source.fault(
                        at,
                        f"{name!r} is not a {what}, nor a dimension of any part kind",
                        "write a value, or the name of a dimension",
                    )
                elif name in FINISH_FIGURES and FINISH_FIGURES[name].unit != unit:
                    source.fault(at, f"{name} of a finish is no figure in {unit}", "name another figure")


def _of_blank(figures: Figures, kind: PartKind, *, ribs: bool) -> Iterator[Callable[[], object]]:
    """What the cutting list asks of a kind, each by itself: a size may have to wait for its rib."""
    if not is_cut_from_sheet(kind):
        return
    yield partial(sheet_of, kind)
    for name in ("grain", "bend_grain"):
        yield partial(grain_of, figures, kind, name)
    yield partial(margin_of, figures, kind)
    for name in SIZES:
        if kind.written(name) is not None and (ribs or not figures.needs_rib(kind, name)):
            yield partial(size_in, figures, kind, name)


def _asked_of(figures: Figures, kind: PartKind, step: Step) -> Iterator[_Asked]:
    for place, wanted in enumerate(step.numbers):
        if wanted.only_if is not None and not figures.has(kind, wanted.only_if):
            continue
        written = (
            (wanted.dimension,)
            if isinstance(wanted, DimensionShown)
            else tuple(item.strip() for text in wanted.inputs.values() for item in text.split(","))
        )
        yield _Asked(("numbers", place), written, partial(figures.step_number, kind, wanted, ORDINARY_DAY))
    for place, check in enumerate(step.checks):
        if check.only_if is not None and not figures.has(kind, check.only_if):
            continue
        if isinstance(check, MeasureCheck):
            ends = (check.low, check.high, check.nominal, check.plus, check.minus)
            yield _Asked(("checks", place), ends, partial(figures.limits, kind, check, ORDINARY_DAY))
        elif isinstance(check, CountCheck):
            yield _Asked(("checks", place), (check.want,), partial(figures.count, kind, check))
    if step.repeat is not None:
        yield _Asked(("repeat",), (step.repeat.times,), partial(figures.count, kind, step.repeat))
    for place, uses in enumerate(step.uses):
        yield _Asked(("uses", place), (uses.amount,), partial(amount_used, figures, kind, uses))
    for place, wait in enumerate(step.waits):
        if isinstance(wait.written, str):
            field = "within" if wait.must_pass is None else "must_pass"
            yield _Asked(("waits", place, field), (wait.written,), partial(wait_minutes, figures, kind, wait))
    for named, name, unit in named_figures(step):
        if named[0] == "conditions":
            yield _Asked(named, (name,), partial(figures.number, kind, name, unit))
    if step.conditions.named:
        in_order = partial(require_ends_in_order, figures, kind, step.conditions)
        yield _Asked(("conditions",), (), in_order)
    if step.times_are_worked:
        times = step.written_minutes
        written_times = tuple(
            one for one in (times.set_up, times.each, times.put_away) if not isinstance(one, float)
        )
        yield _Asked(("minutes",), written_times, partial(figures.minutes, kind, times))


def note_fault(
    work: Callable[[], object],
    of_kind: tuple[Document, Location],
    kinds: Mapping[str, PartKind],
    of_step: tuple[Document, Location] | None = None,
    used_by: str = "",
    missing: Missing | None = None,
) -> None:
    """Work a figure out; a fault is noted at the dimension, or at the step, that is to blame. One that is
    ``missing`` is gathered there, with the step that it is ``used_by``."""
    document, here = of_kind
    try:
        work()
    except FigureFault as error:
        if error.dimension:
            _once(document, _location(document, kinds, error), error.wrong, error.mend)
        elif isinstance(error, UnknownDimension) and of_step is not None and _misspelt(error, kinds):
            source, at = of_step
            mend = (
                f"{nearest(error.name, _known_to(kinds[error.kind]))} If not, {error.mend} in {document.file}"
            )
            # Worded without the kind: one fault for all kinds on whose route the step stands.
            source.fault((*at, *error.place), f"no part kind has a dimension {error.name!r}", mend)
        elif isinstance(error, UnknownDimension) and missing is not None:
            missing.setdefault(error.name, (error, []))[1].append(used_by)
        elif isinstance(error, UnknownDimension):
            _note_missing(of_kind, error, used_by)
        elif of_step is not None:
            source, at = of_step
            _once(source, (*at, *error.place), error.wrong, error.mend)
        else:
            document.fault(here, error.wrong, error.mend)
    except KioskError as error:
        document.fault(here, error.wrong, error.mend)


def _misspelt(error: UnknownDimension, kinds: Mapping[str, PartKind]) -> bool:
    """True when no kind has the dimension that a step names, but its own has one that is nearly called so."""
    if any(kind.written(error.name) is not None for kind in kinds.values()):
        return False
    return bool(difflib.get_close_matches(error.name, _known_to(kinds[error.kind]), 1, 0.8))


def _known_to(kind: PartKind) -> tuple[str, ...]:
    """What a step may name of a kind: its dimensions, and the figures of a finish."""
    return (*kind.names, *FINISH_FIGURES)


def _once(document: Document, location: Location, wrong: str, mend: str) -> None:
    """Note a fault of a place that many kinds or steps may run into: the first that does says it."""
    if not document.told(location):
        document.fault(location, wrong, mend)


def _location(document: Document, kinds: Mapping[str, PartKind], error: FigureFault) -> Location:
    """Where the guilty dimension stands: under its kind's dimensions, or in its material."""
    here: Location = ("part_kinds", list(kinds).index(error.kind))
    under: Location = (*here, "dimensions", error.dimension)
    if under in document.values:
        return (*under, *error.place)
    material: Location = (*here, "material", error.dimension)
    if material in document.values:
        return material
    named: Location = (*here, "finish")
    if error.dimension in FINISH_FIGURES:  # a figure of its finish: where the finish gives it
        ids = [finish.get("id") for finish in document.data.get("finishes", ())]
        own = kinds[error.kind].finish
        entered: Location = ("finishes", ids.index(own), error.dimension) if own in ids else ()
        if entered in document.values and entered:
            return entered
    return named if named in document.values else here


_A_FIGURE = re.compile(r"^(?P<number>\d[\d./\s-]*|[.]\d+)\s*(?P<unit>[A-Za-z]+)$")
_SPELLED = frozenset({"in", "mm", "cm", "ft", "deg", "min", "h", "F", "C", "lb", "lbf", "psi", "ml"})
_COMMA = re.compile(r"^\d+,\d+\s*(?:in|mm|cm|ft)$")


def check_units(kinds: Iterable[PartKind], document: Document) -> None:
    """Warn of a dimension that looks like a figure in a unit that there is none of, used or not."""
    for number, kind in enumerate(kinds):
        for name, written in kind.dimensions.items():
            if not isinstance(written, str):
                continue
            location: Location = ("part_kinds", number, "dimensions", name)
            figure = _A_FIGURE.match(written.strip())
            near = difflib.get_close_matches(figure["unit"], sorted(_SPELLED), 1, 0.6) if figure else []
            if figure is not None and near and figure["unit"] not in _SPELLED:
                document.fault(
                    location,
                    f"{name} {written!r} has no unit that is known",
                    f"did you mean {near[0]!r}?",
                    warning=True,
                )
            elif _COMMA.match(written.strip()):
                document.fault(
                    location,
                    f"{name} {written!r} has a comma",
                    "write the decimals after a point",
                    warning=True,
                )
