"""The figures of a shop: every dimension, limit, count and time, worked out once and in order.

What a step, a drawing, the cutting list, a check, the logbook or a command says of a part comes from here and
from nowhere else. A figure is worked out when it is first asked for and kept; a circle, an unknown name or an
input out of range is a :class:`FigureFault` that names the guilty field.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.numbers.units import UNIT_SUFFIXES
from kiosk.shop.at_hand import NOTHING_AT_HAND, READ_FIRST, AtHand, not_at_hand, with_what_is_at_hand
from kiosk.shop.faults import nearest
from kiosk.shop.files import ReadOnce
from kiosk.shop.finish import FINISH_FIGURES, NOT_ENTERED, shown_figure
from kiosk.shop.fitted import (
    FITTED_CALCULATORS,
    Bent,
    Fitted,
    blank_by_formula,
    factor_of_section,
    fit_for,
    not_told_how_it_lies,
    plain_alloy,
    with_fit,
)
from kiosk.shop.measures import MeasureLimits, read_number
from kiosk.shop.parts import OF_THE_MATERIAL, PartKind
from kiosk.shop.procedure import (
    CountCheck,
    DimensionShown,
    MeasureCheck,
    NumberWanted,
    Procedure,
    Repeat,
    Step,
    StepMinutes,
    StepTimes,
)
from kiosk.shop.written import Elsewhere, OfKind, OfRib, Worked

if TYPE_CHECKING:  # what works figures out is loaded when one is wanted: a start does without
    from kiosk.numbers.result import OutOfRange, Parameter, Quantity, Result
    from kiosk.numbers.rib import Rib
    from kiosk.numbers.trial import TrialFit

_A_NAME = re.compile(r"^[a-z][a-z_]*[a-z0-9_]*$")
_UNITS = frozenset(UNIT_SUFFIXES.values())  # anything else counts things and can be read as a plain number
MOST_COUNTED = 10_000
LONGEST_MINUTES = 86_400.0  # 60 days
_IN_WORDS = {
    "": "a count",
    "min": "a time",
    "F": "a temperature",
    "%": "a percentage",
    "in": "a length",
    "deg": "an angle",
}
_NOTHING = 1e-9  # what binary arithmetic may leave of 0, in inches, degrees or whatever it is
NOT_THERE = frozenset({"none", "no", ""})

Place = tuple[str | int, ...]
Figure = str | Elsewhere  # as written
T = TypeVar("T")


class FigureFault(KioskError):
    """A figure cannot be worked out.

    ``kind`` and ``dimension`` name the guilty dimension, and ``place`` the key within it. Without a dimension
    the fault is in the figure that was asked for, at ``place`` within it.
    """

    def __init__(
        self, wrong: str, mend: str, *, kind: str = "", dimension: str = "", place: Place = ()
    ) -> None:
        self.kind = kind
        self.dimension = dimension
        self.place = place
        super().__init__(wrong, mend)


class UnknownDimension(FigureFault):
    """Something names a dimension that the part kind does not give.

    Its ``dimension`` is the one that names it; empty when a step does.
    """

    def __init__(self, name: str, kind: PartKind) -> None:
        self.name = name
        super().__init__(
            f"part kind {kind.id!r} has no dimension {name!r}",
            f"add {name}: … under its {'material' if name in OF_THE_MATERIAL else 'dimensions'}",
            kind=kind.id,
        )


@dataclass(frozen=True)
class Dimension:
    """One dimension of a part kind: as typed, or as worked out with its working."""

    name: str
    typed: str | None  # from the plans; it is what is used
    worked: Quantity | None = None
    result: Result | None = None  # the working behind it
    home: str = ""  # where a worked figure comes from, in words

    @property
    def shown(self) -> str:
        """The value as a screen shows it."""
        return self.typed if self.typed is not None else self.worked.show() if self.worked else ""


@dataclass(frozen=True)
class StepNumber:
    """A bench number on a step: its words, what it is now, and the working where there is one."""

    title: str
    shown: str
    warnings: tuple[str, ...]
    result: Result | None
    value: float | None
    unit: str


class Figures:
    """Works out the figures of part kinds, each once."""

    def __init__(
        self,
        kinds: Mapping[str, PartKind],
        folder: Path,
        known: Mapping[str, float] | None = None,
        sections: Mapping[str, bytes | None] | None = None,
    ) -> None:
        self._kinds = kinds
        # What a laid-out rib gave, and times that were worked out: kept for the next start (kept.py).
        self.known: dict[str, float] = dict(known or {})
        self.sections = ReadOnce(folder, sections)
        self._dimensions: dict[tuple[str, str], Dimension] = {}
        self._ribs: dict[str, Rib] = {}
        self._times: dict[tuple[str, int], tuple[StepMinutes, StepTimes]] = {}
        self._follow_strips: dict[tuple[str, int], tuple[MeasureCheck, bool]] = {}
        self._need_rib: dict[tuple[str, str], bool] = {}
        self._under_way: list[tuple[str, str]] = []
        self._fits: Callable[[], Sequence[Fitted]] | None = None

    def take_fits(self, fits: Callable[[], Sequence[Fitted]] | None) -> None:
        """What the record found of how sheet bends, asked for once a bend is worked out; None for nothing."""
        self._fits = cache(fits) if fits is not None else None
        self._dimensions.clear()
        self._follow_strips.clear()

    # Dimensions

    def has(self, kind: PartKind, name: str) -> bool:
        """True when the kind gives the dimension and it is not none, no or 0, wherever its value stands."""
        if kind.written(name) is None:
            return False
        home, own_name = self.home_of(kind, name)
        written = home.written(own_name)
        if written is None:
            return True  # another name for one that is not there: named where it is worked out
        typed = written if isinstance(written, str) else written.plans
        if typed is not None:
            return not is_nothing(typed)
        key = f"{kind.id} has {name}"
        if key in self.known:
            return bool(self.known[key])
        there = True
        with suppress(FigureFault):  # named where it is worked out
            there = not _is_none(self.dimension(kind, name))
        if self.needs_rib(kind, name) and not self._follows_strips(kind, name):
            self.known[key] = float(there)
        return there

    def does(self, kind: PartKind, procedure: Procedure, step: Step) -> bool:
        """True when the kind does the step: what it hangs on is there, or should be given and is not.

        A step too many is seen and skipped; one too few is not missed by anybody.
        """
        if step.only_if is None or self.has(kind, step.only_if):
            return True
        return step.only_if in procedure.must_give and kind.written(step.only_if) is None

    def dimension(self, kind: PartKind, name: str) -> Dimension:
        """One dimension. Raises FigureFault."""
        key = (kind.id, name)
        if key not in self._dimensions:
            written = kind.written(name)
            if written is None:
                raise UnknownDimension(name, kind)
            with self._working_out(key), within(kind, name):
                self._dimensions[key] = self._dimension(kind, name, written)
        return self._dimensions[key]

    @contextmanager
    def _working_out(self, key: tuple[str, str]) -> Iterator[None]:
        """Refuse a figure that needs itself, however far round."""
        if key in self._under_way:
            circle = [*self._under_way[self._under_way.index(key) :], key]
            many = len({kind for kind, _ in circle}) > 1
            way = " needs ".join(f"{kind} {name}" if many else name for kind, name in circle)
            raise FigureFault(
                f"the figures go round in a circle: {way}",
                "give one of them as a value",
                kind=key[0],
                dimension=key[1],
            )
        self._under_way.append(key)
        try:
            yield
        finally:
            self._under_way.pop()

    def _dimension(self, kind: PartKind, name: str, written: Figure) -> Dimension:
        if isinstance(written, str):
            if kind.written(written) is None or not _A_NAME.match(written):
                return Dimension(name, written)
            same = self.dimension(kind, written)  # another name for a dimension of the same kind
            return Dimension(name, same.typed, same.worked, same.result, same.home)
        if written.plans is not None:
            return Dimension(name, written.plans)
        return self.worked(kind, name, written)

    def worked(self, kind: PartKind, name: str, written: Elsewhere) -> Dimension:
        """A dimension as it is worked out, whatever the plans print. Raises FigureFault."""
        if isinstance(written, OfKind):
            source = self._kind_of(written)
            found = self.dimension(source, written.dimension)
            home = found.home or f"{source.name}: {written.dimension.replace('_', ' ')}"
            return Dimension(name, found.typed, found.worked, found.result, home)
        if isinstance(written, OfRib):
            result = self._of_rib(kind, written)
            return Dimension(name, None, result.headline, result, result.source)
        result = self._work(kind, written)
        return Dimension(name, None, _chosen(result, written), result, result.title)

    def _kind_of(self, written: OfKind) -> PartKind:
        kind = self._kinds.get(written.of)
        if kind is None:
            raise FigureFault(
                f"unknown part kind {written.of!r}", nearest(written.of, self._kinds), place=("of",)
            )
        if kind.written(written.dimension) is None:
            raise FigureFault(
                f"part kind {kind.id!r} has no dimension {written.dimension!r}",
                nearest(written.dimension, kind.names),
                place=("dimension",),
            )
        return kind

    # Ribs

    def rib(self, kind: PartKind) -> Rib:
        """The rib as it is laid out. Raises FigureFault."""
        from kiosk.shop.rib_of_kind import RibFault, rib_of_kind

        if kind.id not in self._ribs:
            try:
                self._ribs[kind.id] = rib_of_kind(
                    kind.id, lambda name: self._rib_input(kind, name), self.sections
                )
            except RibFault as error:
                home, name = kind, error.dimension
                if kind.written(name) is not None:
                    home, name = self.home_of(kind, name)
                raise FigureFault(error.wrong, error.mend, kind=home.id, dimension=name) from None
        return self._ribs[kind.id]

    def _rib_input(self, kind: PartKind, name: str) -> str | float | None:
        if kind.written(name) is None:
            return None
        dimension = self.dimension(kind, name)
        if dimension.typed is not None:
            return dimension.typed
        assert dimension.worked is not None
        value = dimension.worked.value
        return value if isinstance(value, str) else float(value)

    def lay_out_ribs(self) -> None:
        """Learn every number that a laid-out rib gives; a fault is left to who asks for it."""
        for kind in self._kinds.values():
            for name in kind.dimensions:
                if self.needs_rib(kind, name):
                    with suppress(FigureFault):
                        worked = self.dimension(kind, name).worked
                        if worked is not None and not isinstance(worked.value, str):
                            self.number(kind, name, worked.unit if worked.unit in _UNITS else "count")

    def _of_rib(self, kind: PartKind, written: OfRib) -> Result:
        from kiosk.shop.rib_of_kind import RIB_FIGURES, rib_figure

        if written.rib not in RIB_FIGURES:
            raise FigureFault(
                f"a rib has no figure {written.rib!r}", nearest(written.rib, RIB_FIGURES), place=("rib",)
            )
        found = rib_figure(self.rib(kind), written.rib, kind.material.alloy)
        said = self.said_of_blank(kind) if written.rib in ("blank_length", "blank_width") else ""
        return dataclasses.replace(found, warnings=(*found.warnings, said)) if said else found

    def said_of_blank(self, kind: PartKind) -> str:
        """What strips say of a rib's blank, which is laid out by the formula; empty where they say nothing.

        Raises FigureFault.
        """
        given = self.rib(kind).inputs
        fit = self.fit_of_bend(kind, given.thickness_in, given.bend_radius_in)
        return "" if fit is None else blank_by_formula(fit, given.thickness_in, given.bend_radius_in)

    def needs_rib(self, kind: PartKind, written: Figure | None) -> bool:
        """True when a rib has to be laid out for it, however far down."""
        if isinstance(written, Worked) and written.plans is None:  # its inputs are asked for again and again
            return any(
                self.needs_rib(kind, item.strip())
                for text in written.inputs.values()
                for item in text.split(",")
            )
        if not isinstance(written, str):
            return self._reaches(kind, written, _is_of_rib, set())
        key = (kind.id, written)
        if key not in self._need_rib:
            self._need_rib[key] = self._reaches(kind, written, _is_of_rib, set())
        return self._need_rib[key]

    def limits_follow_strips(self, kind: PartKind, check: MeasureCheck) -> bool:
        """True when trial strips may change what is asked of a measurement, however far down."""
        known = self._follow_strips.get((kind.id, id(check)))
        if known is None or known[0] is not check:
            written = (check.nominal, check.plus, check.minus, check.low, check.high)
            known = (check, any(self._follows_strips(kind, one) for one in written))
            self._follow_strips[kind.id, id(check)] = known
        return known[1]

    def limits_are_worked_out(self, kind: PartKind, check: MeasureCheck) -> bool:
        """True when a calculator or a rib's layout gives what is asked of a measurement, however far down."""
        written = (check.nominal, check.plus, check.minus, check.low, check.high)
        return any(self._reaches(kind, one, _is_worked_out, set()) for one in written)

    def _follows_strips(self, kind: PartKind, written: Figure | None) -> bool:
        """True when trial strips may change it, however far down."""

        def is_fitted(one: Elsewhere) -> bool:
            return isinstance(one, Worked) and one.calculator in FITTED_CALCULATORS

        return self._fits is not None and self._reaches(kind, written, is_fitted, set())

    def _reaches(
        self,
        kind: PartKind,
        written: Figure | None,
        wanted: Callable[[Elsewhere], bool],
        seen: set[tuple[str, str]],
    ) -> bool:
        if written is None or (not isinstance(written, str) and written.plans is not None):
            return False
        if not isinstance(written, str) and wanted(written):
            return True
        if isinstance(written, OfRib):
            return False
        if isinstance(written, OfKind):
            other = self._kinds.get(written.of)
            return other is not None and self._name_reaches(other, written.dimension, wanted, seen)
        texts = [written] if isinstance(written, str) else list(written.inputs.values())
        return any(
            self._name_reaches(kind, item.strip(), wanted, seen) for text in texts for item in text.split(",")
        )

    def _name_reaches(
        self, kind: PartKind, name: str, wanted: Callable[[Elsewhere], bool], seen: set[tuple[str, str]]
    ) -> bool:
        if (kind.id, name) in seen:
            return False
        seen.add((kind.id, name))
        return self._reaches(kind, kind.written(name), wanted, seen)

    # Calculators

    def _work(self, kind: PartKind, written: Worked | NumberWanted) -> Result:
        from kiosk.numbers.catalogue import CALCULATORS

        calculator = CALCULATORS.get(written.calculator)
        if calculator is None:
            raise FigureFault(
                f"unknown calculator {written.calculator!r}",
                nearest(written.calculator, CALCULATORS),
                place=("calculator",),
            )
        missing = not_at_hand(written.inputs)
        if missing:
            raise FigureFault(f"the {missing.replace('_', ' ')} is not known", READ_FIRST[missing])

        def work(arguments: Mapping[str, object]) -> Result:
            result = calculator.work(arguments)
            if calculator.name not in FITTED_CALCULATORS:
                return result
            fit = self._fit(kind, written.inputs, arguments)
            if fit is not None:
                return with_fit(calculator, arguments, result, fit, written.figure)
            untold = self._untold_grain(kind, written.inputs, arguments)
            return dataclasses.replace(result, warnings=(untold, *result.warnings)) if untold else result

        return self.with_inputs(kind, calculator.name, calculator.parameters, written.inputs, work)

    def with_inputs(
        self,
        kind: PartKind,
        name: str,
        parameters: Sequence[Parameter],
        inputs: Mapping[str, str],
        make: Callable[[Mapping[str, object]], T],
    ) -> T:
        """What ``make`` gives for the written inputs of what is called ``name``. Raises FigureFault."""
        from kiosk.numbers.result import OutOfRange

        known = {one.name: one for one in parameters}
        arguments: dict[str, object] = {}
        for written, text in inputs.items():
            if written not in known:
                raise FigureFault(
                    f"{name} has no input {written!r}",
                    nearest(written, known),
                    place=("inputs", written),
                )
            with _within_place("inputs", written):
                arguments[known[written].argument] = self._input(kind, known[written], text)
        try:
            return make(arguments)
        except OutOfRange as error:
            raise self._blamed(kind, name, parameters, inputs, error) from None

    def _fit(
        self, kind: PartKind, inputs: Mapping[str, str], arguments: Mapping[str, object]
    ) -> TrialFit | None:
        """What strips say of a bend with these arguments; None where a formula is all there is."""
        wanted = self._bent(kind, inputs, arguments)
        if self._fits is None or wanted is None or wanted.grain not in ("along", "across"):
            return None
        return fit_for(self._fits(), wanted)

    def _untold_grain(
        self, kind: PartKind, inputs: Mapping[str, str], arguments: Mapping[str, object]
    ) -> str:
        """What to say where strips count and tooling does not tell how the sheet's bend lies; else empty."""
        wanted = self._bent(kind, inputs, arguments)
        if self._fits is None or wanted is None or wanted.grain:
            return ""
        return not_told_how_it_lies(self._fits(), wanted)

    def _bent(
        self, kind: PartKind, inputs: Mapping[str, str], arguments: Mapping[str, object]
    ) -> Bent | None:
        """The bend that arguments of a calculator are of; None where they name no sheet or radius.

        ``inputs`` are the arguments as written. A block or a brake has no sheet of its own: where it takes
        the thickness or the alloy from the kind that is bent over it, the bend is of that kind's sheet.
        """
        thickness_in, radius_in = arguments.get("thickness_in"), arguments.get("inside_radius_in")
        if not isinstance(thickness_in, float) or not isinstance(radius_in, float):
            return None
        sheet = self._sheet_of_bend(kind, inputs)
        alloy = str(arguments.get("alloy") or self.text(sheet, "alloy") or self.text(kind, "sheet_alloy"))
        if not alloy:
            return None
        grain = self.text(kind, "sheet_grain")
        if not grain and (sheet is not kind or kind.written("alloy") is not None):
            grain = self.bend_grain(sheet)
        return Bent(plain_alloy(alloy), thickness_in, radius_in, grain)

    def _sheet_of_bend(self, kind: PartKind, inputs: Mapping[str, str]) -> PartKind:
        """The kind whose sheet is bent: the one that thickness or alloy are borrowed from, else this one."""
        for name in ("thickness", "alloy"):
            text = inputs.get(name, "").strip()
            if kind.written(text) is not None:
                home, _ = self.home_of(kind, text)
                if home is not kind:
                    return home
        return kind

    def fitted_factor(
        self, kind: PartKind, inputs: Mapping[str, str], arguments: Mapping[str, object]
    ) -> float | None:
        """The neutral factor of a section's bends as the kind's figures have it; None for the formula's.

        ``arguments`` are those of ``flat_width``, and ``inputs`` the same as they are written. Raises
        OutOfRange as that does.
        """
        fit = self._fit(kind, inputs, arguments)
        return None if fit is None else factor_of_section(fit, arguments)

    def fit_of_bend(
        self,
        kind: PartKind,
        thickness_in: float,
        inside_radius_in: float,
        inputs: Mapping[str, str] | None = None,
    ) -> TrialFit | None:
        """What strips of a sheet and grain direction say of a bend; None when there are none.

        ``inputs`` are those of the calculator that asks, as written: they tell whose sheet is bent. A strip
        across the grain says nothing of a bend along it, and none of a kind whose grain may lie either way.
        """
        given = dict(inputs or {})
        return self._fit(kind, given, self._of_bend(kind, thickness_in, inside_radius_in, given))

    def bend_of(
        self, kind: PartKind, thickness_in: float, inside_radius_in: float, inputs: Mapping[str, str]
    ) -> Bent | None:
        """What a strip must share with the bend that a calculator is asked of; None where that names no
        sheet."""
        return self._bent(kind, inputs, self._of_bend(kind, thickness_in, inside_radius_in, inputs))

    def _of_bend(
        self, kind: PartKind, thickness_in: float, inside_radius_in: float, inputs: Mapping[str, str]
    ) -> dict[str, object]:
        arguments: dict[str, object] = {"thickness_in": thickness_in, "inside_radius_in": inside_radius_in}
        if "alloy" in inputs:
            arguments["alloy"] = self.text(kind, inputs["alloy"].strip(), inputs["alloy"].strip())
        return arguments

    def trial_text(self, kind: PartKind, name: str, source: str) -> str:
        """A word of a trial. How its bend lies to the grain is one thing for strip and part."""
        written = any(kind.written(one) is not None for one in ("grain", "bend_grain"))
        if name == "grain" and source in ("grain", "bend_grain") and written:
            return self.bend_grain(kind)
        return self.text(kind, source, source)

    def bend_grain(self, kind: PartKind) -> str:
        """How the bends of a kind lie to the grain: ``bend_grain``, else as the length of its blank.

        A channel or an angle is bent along its length; a kind that is bent the other way says so.
        """
        return self.text(kind, "bend_grain") or self.text(kind, "grain", "any")

    def _blamed(
        self,
        kind: PartKind,
        name: str,
        parameters: Sequence[Parameter],
        inputs: Mapping[str, str],
        error: OutOfRange,
    ) -> FigureFault:
        """The fault at the dimension that the guilty input names, or at the input itself."""
        parameter = next((one for one in parameters if one.argument == error.argument), None)
        text = inputs.get(parameter.name, "") if parameter is not None else ""
        items = [item.strip() for item in text.split(",")]
        if error.item is not None and error.item < len(items):
            items = [items[error.item]]
        names = [item for item in items if kind.written(item) is not None]
        wrong = f"{name} for {kind.id!r}: {error.wrong}"
        if names and parameter is not None and parameter.is_list and error.item is None:
            # How many there are is wrong, or all of them together: none that stands in the list is to blame.
            home, guilty = self.home_of(kind, names[0])
            written = home.written(guilty)
            if len(items) == 1 and isinstance(written, str) and "," in written:
                return FigureFault(wrong, error.mend, kind=home.id, dimension=guilty)
        elif names:
            home, guilty = self.home_of(kind, names[0])
            return FigureFault(wrong, error.mend, kind=home.id, dimension=guilty)
        place: Place = ("inputs", parameter.name) if text and parameter is not None else ()
        return FigureFault(wrong, error.mend, place=place)

    def home_of(self, kind: PartKind, name: str) -> tuple[PartKind, str]:
        """Where a dimension is given that another one only names; in a circle, where it closes."""
        written = kind.written(name)
        seen: set[tuple[str, str]] = set()
        while (kind.id, name) not in seen:
            seen.add((kind.id, name))
            if isinstance(written, OfKind) and written.plans is None and written.of in self._kinds:
                kind, name = self._kinds[written.of], written.dimension
            elif isinstance(written, str) and _A_NAME.match(written) and kind.written(written) is not None:
                name = written
            else:
                break
            written = kind.written(name)
        return kind, name

    def _input(self, kind: PartKind, parameter: Parameter, text: str) -> object:
        if parameter.is_list:
            return tuple(self.number(kind, item.strip(), parameter.unit) for item in text.split(","))
        text = text.strip()
        if kind.written(text) is None and (text.lower() in parameter.choices or not _A_NAME.match(text)):
            try:
                return parameter.read(text)
            except KioskError as error:
                raise FigureFault(error.wrong, error.mend) from None
        dimension = self.dimension(kind, text)
        if dimension.typed is not None:
            self._require_unit(kind, text, parameter.unit)
            try:
                return parameter.read(dimension.typed)
            except KioskError as error:
                home, name = self.home_of(kind, text)
                raise FigureFault(
                    f"dimension {name!r}: {error.wrong}", error.mend, kind=home.id, dimension=name
                ) from None
        assert dimension.worked is not None
        if parameter.is_text:
            return str(dimension.worked.value)
        value = self._in_unit(kind, dimension, parameter.unit)
        return round(value) if parameter.kind is int else value

    # What steps ask for

    def number(self, kind: PartKind, written: Figure, unit: str) -> float:
        """A figure in a unit (``in``, ``deg``, ``min``, ``count`` …). Raises FigureFault."""
        if isinstance(written, OfRib | OfKind | Worked):
            if written.plans is not None:
                return _read(written.plans, unit)
            return self._as_number(kind, self.worked(kind, "", written), unit)
        if kind.written(written) is None and not _A_NAME.match(written):
            return _read(written, unit)
        # What is kept outlives the strips. Only of ribs is something kept: most figures are asked no further.
        key = f"{kind.id} {written} {unit}"
        may_be_kept = self.needs_rib(kind, written) and not self._follows_strips(kind, written)
        if may_be_kept and key in self.known:
            return self.known[key]
        value = self._as_number(kind, self.dimension(kind, written), unit)
        if may_be_kept:
            self.known[key] = value
        return value

    def _as_number(self, kind: PartKind, dimension: Dimension, unit: str) -> float:
        """A dimension in a unit. Raises FigureFault."""
        if dimension.typed is None:
            return self._in_unit(kind, dimension, unit)
        self._require_unit(kind, dimension.name, unit)
        try:
            return read_number(dimension.typed, unit)
        except KioskError as error:
            home, name = self.home_of(kind, dimension.name)
            raise FigureFault(
                f"dimension {name!r}: {error.wrong}", error.mend, kind=home.id, dimension=name
            ) from None

    def _in_unit(self, kind: PartKind, dimension: Dimension, unit: str) -> float:
        """A worked dimension as a number in the unit that is wanted. Raises FigureFault.

        Where other kinds have that dimension in the unit, this one's is to blame; else what asks for it so.
        """
        assert dimension.worked is not None
        value, own = dimension.worked.value, dimension.worked.unit
        if not isinstance(value, str) and is_unit(own, unit):
            return float(value)
        name = dimension.name
        guilty = bool(name) and any(
            self._is_in_unit(other, name, unit) for other in self._kinds.values() if other.id != kind.id
        )
        raise FigureFault(
            f"{name or 'the figure'} is {dimension.worked.show()}, not {unit or 'a number'}",
            "name another figure",
            kind=kind.id if guilty else "",
            dimension=name if guilty else "",
        )

    def _is_in_unit(self, kind: PartKind, name: str, unit: str) -> bool:
        """True when a kind has a dimension of this name that reads in the unit."""
        if kind.written(name) is None:
            return False
        with suppress(KioskError):  # named where it is worked out
            dimension = self.dimension(kind, name)
            if dimension.worked is None:
                read_number(dimension.typed or "", unit)
                return True
            return not isinstance(dimension.worked.value, str) and is_unit(dimension.worked.unit, unit)
        return False

    def _require_unit(self, kind: PartKind, name: str, unit: str) -> None:
        """Refuse a finish's figure where another unit is wanted: as text, 0.0008 in reads as minutes too.

        Raises FigureFault.
        """
        home, figure = self.home_of(kind, name)
        row = FINISH_FIGURES.get(figure)
        if row is None or not row.unit or figure in home.dimensions:  # a word is refused where it is read
            return
        own, wanted = (one if one in _UNITS else "" for one in (row.unit, unit))
        if own != wanted:
            raise FigureFault(
                f"{figure} is {_IN_WORDS.get(own, f'in {own}')}, not {_IN_WORDS.get(wanted, f'in {wanted}')}",
                "name another figure",
            )

    def text(self, kind: PartKind, name: str, default: str = "") -> str:
        """A dimension that is a word, such as ``grain``."""
        return self.dimension(kind, name).shown if kind.written(name) is not None else default

    def limits(self, kind: PartKind, check: MeasureCheck, at_hand: AtHand = NOTHING_AT_HAND) -> MeasureLimits:
        """The limits of a measurement for this kind, by what is at hand. Raises FigureFault."""

        def number(field: str) -> float | None:
            written = getattr(check, field)
            if written is None:
                return None
            if isinstance(written, Worked):
                written = written.model_copy(update={"inputs": with_what_is_at_hand(written.inputs, at_hand)})
            with _within_place(field):
                return self.number(kind, written, check.unit)

        nominal = number("nominal")
        if nominal is not None:
            plus, minus = number("plus") or 0.0, number("minus") or 0.0
            for field, off in (("plus", plus), ("minus", minus)):
                if off < 0:
                    raise FigureFault(
                        f"check {check.id!r} has {field} {off:g}, below nothing",
                        "write how far it may be off that way, without a sign",
                        place=(field,),
                    )
            found = MeasureLimits(nominal - minus, nominal + plus)
        else:
            found = MeasureLimits(number("low"), number("high"))
        if found.low is not None and found.high is not None and found.low > found.high:
            raise FigureFault(
                f"check {check.id!r} has its low end {found.low:g} above its high end {found.high:g}",
                "nothing could pass it: correct one of them",
                place=("low" if check.nominal is None else "nominal",),
            )
        if found.low is not None and found.low == found.high:
            raise FigureFault(
                f"check {check.id!r} takes {found.low:g} alone, which nobody measures",
                "give it the room that the plans allow",
                place=("low" if check.nominal is None else "nominal",),
            )
        return found

    def count(self, kind: PartKind, item: CountCheck | Repeat) -> int:
        """How many there must be, 1 to 10,000. Raises FigureFault."""
        field = "want" if isinstance(item, CountCheck) else "times"
        written: Figure = getattr(item, field)
        with _within_place(field):
            value = self.number(kind, written, "count")
            if value != int(value) or not 0 < value <= MOST_COUNTED:
                named = isinstance(written, str) and kind.written(written) is not None
                what = repr(written) if isinstance(written, str) else "it"
                raise FigureFault(
                    f"{what} is {value:g}, not a count of 1 to {MOST_COUNTED:,}",
                    "write a whole number",
                    kind=kind.id if named else "",
                    dimension=str(written) if named else "",
                )
        return int(value)

    def minutes(self, kind: PartKind, written: StepMinutes) -> StepTimes:
        """A step's times for this kind, in minutes. Raises FigureFault."""
        key = (kind.id, id(written))
        if key not in self._times:
            times = StepTimes(
                self._time(kind, "set_up", written.set_up),
                self._time(kind, "each", written.each),
                self._time(kind, "put_away", written.put_away),
            )
            self._times[key] = (written, times)  # the written one is kept, so that its id stays its own
        return self._times[key][1]

    def _time(self, kind: PartKind, name: str, written: float | Elsewhere) -> float:
        if isinstance(written, float):
            return written
        key = f"{kind.id} {name} {written!r}"
        if key in self.known:
            return self.known[key]
        with _within_place(name):
            value = self.number(kind, written, "min")
            if not 0 <= value <= LONGEST_MINUTES:
                raise FigureFault(f"{value:g} min is not a time from 0 to 60 days", "correct its inputs")
        self.known[key] = value
        return value

    def is_typical(self, kind: PartKind, *written: Figure | None) -> bool:
        """True when a figure rests on a typical published value, for want of the product's own."""
        return any(
            kind.is_typical(item.strip())
            for one in written
            if one is not None and not isinstance(one, OfRib | OfKind)
            for text in ((one,) if isinstance(one, str) else one.inputs.values())
            for item in text.split(",")
        )

    def step_number(
        self, kind: PartKind, wanted: NumberWanted | DimensionShown, at_hand: AtHand = NOTHING_AT_HAND
    ) -> StepNumber:
        """A bench number that a step shows, by what is at hand. Raises FigureFault."""
        from kiosk.numbers.result import Quantity

        if isinstance(wanted, NumberWanted):
            inputs = with_what_is_at_hand(wanted.inputs, at_hand)
            result = self._work(kind, wanted.model_copy(update={"inputs": inputs}))
            found = _chosen(result, Worked(calculator=wanted.calculator, figure=wanted.figure))
            typical = self.is_typical(kind, *wanted.inputs.values())
            warnings = (*result.warnings, *((_in_words(NOT_ENTERED),) if typical else ()))
            titled = Quantity(f"{found.name[:1].upper()}{found.name[1:]}", found.value, found.unit)
            return _of_quantity(titled, warnings, result)
        dimension = self.dimension(kind, wanted.dimension)
        title = wanted.dimension.replace("_", " ").capitalize()
        if wanted.dimension in FINISH_FIGURES and wanted.dimension not in kind.dimensions:
            whose = NOT_ENTERED if kind.is_typical(wanted.dimension) else "product's sheet"
            shown = shown_figure(wanted.dimension, dimension.shown)
            return StepNumber(title, f"{shown}, {whose}", (), None, None, "")
        if dimension.worked is None:
            return StepNumber(title, f"{dimension.shown}, from the plans", (), None, None, "")
        home, own_name = self.home_of(kind, wanted.dimension)
        # A calculator's answer goes by the dimension's name, of which a kind may have two; a rib's figure by
        # what it is and where it comes from: "Flutes as laid out".
        words = title if isinstance(home.written(own_name), Worked) else dimension.worked.name
        found = Quantity(words[:1].upper() + words[1:], dimension.worked.value, dimension.worked.unit)
        working = dimension.result
        number = _of_quantity(found, working.warnings if working else (), working)
        if working is None or working.headline != dimension.worked:
            return number
        return dataclasses.replace(number, shown=working.show())  # a rib's figure may be one of each piece


def _in_words(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _of_quantity(found: Quantity, warnings: tuple[str, ...], result: Result | None) -> StepNumber:
    value = None if isinstance(found.value, str) else float(found.value)
    return StepNumber(found.name, found.show(), warnings, result, value, found.unit)


def _chosen(result: Result, written: Worked) -> Quantity:
    """The figure that was asked for. Raises FigureFault."""
    if written.figure is None:
        if written.which != 1:
            raise FigureFault(
                f"which: {written.which} asks for one of a list; {written.calculator} gives one figure here",
                "delete which:, or name the list under figure:",
                place=("which",),
            )
        return result.headline
    try:
        return result.figure(written.figure, written.which)
    except KeyError:
        names = [one.name for one in result.figures()]
        if written.figure in names:
            if not next(one.is_list for one in result.figures() if one.name == written.figure):
                raise FigureFault(
                    f"{written.calculator} gives one {written.figure} here at most, not {written.which}",
                    "delete which: or name another figure",
                    place=("which",),
                ) from None
            raise FigureFault(
                f"{written.calculator} gives no {written.figure} {written.which} here",
                "give a lower which:",
                place=("which",),
            ) from None
        raise FigureFault(
            f"{written.calculator} gives no figure {written.figure!r}",
            nearest(written.figure, names),
            place=("figure",),
        ) from None


def is_unit(own: str, wanted: str) -> bool:
    """True for the same unit; what counts things can be read as a plain number."""
    return (own if own in _UNITS else "") == (wanted if wanted in _UNITS else "")


def _is_none(dimension: Dimension) -> bool:
    """True for a figure that is nothing, in any unit: the front height of a rib that begins at the nose."""
    if dimension.worked is None:
        return is_nothing(dimension.typed or "")
    value = dimension.worked.value
    return is_nothing(value) if isinstance(value, str) else abs(value) < _NOTHING


def _is_of_rib(written: Elsewhere) -> bool:
    return isinstance(written, OfRib)


def is_nothing(text: str) -> bool:
    """True for none, no, and 0 however it is written."""
    if text.strip().lower() in NOT_THERE:
        return True
    for unit in ("count", "in"):
        with suppress(KioskError):
            return read_number(text, unit) == 0
    return False


def _read(text: str, unit: str) -> float:
    try:
        return read_number(text, unit)
    except KioskError as error:
        raise FigureFault(error.wrong, error.mend) from None


@contextmanager
def within(kind: PartKind, dimension: str) -> Iterator[None]:
    """A fault without a dimension of its own is this dimension's."""
    try:
        yield
    except FigureFault as error:
        if not error.dimension:
            error.kind, error.dimension = kind.id, dimension
        raise


@contextmanager
def _within_place(*place: str | int) -> Iterator[None]:
    """A fault in the figure that was asked for lies at this key of it."""
    try:
        yield
    except FigureFault as error:
        if not error.dimension:
            error.place = (*place, *error.place)
        raise


def _is_worked_out(one: Elsewhere) -> bool:
    return isinstance(one, Worked | OfRib)
