"""What a typed dimension is worked out as elsewhere, where its own kind does not say how.

A dimension is known by what uses it and never by its name alone. It is what another part kind works out under
that name where a step of a procedure that both go through takes it; of tooling, what other tooling takes from
the parts that need it; it is a width or a sight line of the section that the kind's own steps lay out; and
what a rib says of the spar at its end is worked out in :mod:`kiosk.shop.beside_a_spar`.
Where two homes give two values it could be either, and nothing is said.
"""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from kiosk.errors import KioskError
from kiosk.numbers.bends import FlatWidth
from kiosk.numbers.result import Quantity
from kiosk.shop.beside_a_spar import spar_bends, spar_webs, station_clear_of_spar
from kiosk.shop.blanks import is_cut_from_sheet
from kiosk.shop.figures import Figures
from kiosk.shop.for_kind import named_figures
from kiosk.shop.on_route import Routes, StepOnRoute
from kiosk.shop.other_figure import OtherHome, quantity_of, same
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import CountCheck, DimensionShown, MeasureCheck, NumberWanted, Step
from kiosk.shop.written import OfKind, OfRib, Worked

_SECTION = "flat_width"  # the calculator of a section, and what kinds call its width
_BLANK = "blank_width"  # across the bends: a channel or an angle is bent along its length
_SIGHT_LINE = "sight_line"


class _Bend(NamedTuple):
    """A section as one step of a kind lays it out, and the bend and the leg under the nose that it draws."""

    step: Step
    flat: FlatWidth
    drawn: tuple[int, int] | None  # both from 1; None where nothing is drawn

    @property
    def sight_line(self) -> Quantity | None:
        """From the edge that the drawing marks it from: that of the leg itself where it is the last."""
        if self.drawn is None:
            return None
        bend, leg = self.drawn
        flat, last = self.flat, len(self.flat.flats_in)
        if not 1 <= bend < last or leg not in (bend, bend + 1):
            return None  # named by who draws it
        if leg == bend:
            return Quantity(_SIGHT_LINE, flat.sight_lines_in[bend - 1], "in")
        far_in = flat.far_sight_lines_in[bend - 1]
        return Quantity(_SIGHT_LINE, flat.width_in - far_in if leg == last else far_in, "in")


class OtherHomes:
    """Looks for other homes of the dimensions of a shop's kinds."""

    def __init__(self, kinds: Mapping[str, PartKind], figures: Figures, routes: Routes) -> None:
        self._kinds = kinds
        self._figures = figures
        self._steps = {kind.id: routes.steps_of(kind) for kind in kinds.values()}
        self._taken = {
            kind_id: {(one.procedure, name) for one in steps for name in _names_in(one.step)}
            for kind_id, steps in self._steps.items()
        }
        # What a kind is without is what another's steps hang on, though they take no more of it than that.
        self._hang_on = {
            kind_id: {(one.procedure, one.step.only_if or "") for one in steps}
            for kind_id, steps in self._steps.items()
        }
        # By procedure, what its steps hang on: a kind gives 0 or none there, and may be wrong.
        self._left_out = {
            kind.id: {(one.procedure, one.step.only_if or "") for one in routes.left_out_of(kind)}
            for kind in kinds.values()
        }
        self._bends: dict[str, list[_Bend]] = {}
        of_spars = (kinds.values(), figures, self._steps)
        self._spars = spar_bends(*of_spars) | spar_webs(*of_spars)

    def of(self, kind: PartKind, name: str) -> OtherHome | None:
        """What a dimension of a kind is worked out as elsewhere; None where nothing tells, or two things."""
        beside = self._spars.get((kind.id, name)) or station_clear_of_spar(kind, name, self._figures)
        if beside is not None:
            return beside
        alike = self._by_another_kind(kind, name)
        if not alike:
            return self._by_section(kind, name)
        first, *others = alike
        return first if all(same(first.values[0], one.values[0]) for one in others) else None

    def denied(self, kind: PartKind) -> Iterator[tuple[str, OtherHome]]:
        """What tooling is without, not even saying so, and the parts that it is for are not."""
        if not kind.tooling:
            return
        for name in dict.fromkeys(name for _, name in sorted(self._left_out[kind.id])):
            found = self.of(kind, name) if kind.written(name) is None else None
            if found is not None and found.values[0].value:
                yield name, found

    def _by_another_kind(self, kind: PartKind, name: str) -> list[OtherHome]:
        """As each other kind has it that goes through a procedure whose steps take it."""
        here = {one for one in self._taken[kind.id] if one[1] == name}
        left_out = {one for one in self._left_out[kind.id] if one[1] == name}
        found: list[OtherHome] = []
        for other in self._kinds.values():
            there = (here | left_out) & self._taken[other.id] or left_out & self._hang_on[other.id]
            if other is kind or not there:
                continue
            form = other.written(name)
            if isinstance(form, OfKind):
                found += self._as_taken_by(other, form, kind)
                continue
            value = self._as_of(other, kind, name)
            if value is not None:
                found.append(OtherHome((value,), f"as {other.id!r} works out its own"))
        return found

    def _as_taken_by(self, other: PartKind, form: OfKind, kind: PartKind) -> Iterator[OtherHome]:
        """Of each kind that needs this tooling, what other tooling takes of a kind that needs that."""
        if form.of not in {one.id for one in self._that_need(other)}:
            return
        for needs in self._that_need(kind):
            try:
                value = quantity_of(self._figures.dimension(needs, form.dimension))
            except KioskError:
                continue  # it has none, or that is named elsewhere
            if value is not None:
                yield OtherHome((value,), f"of {needs.id!r}, which needs it", "is not what is taken over")

    def _that_need(self, kind: PartKind) -> list[PartKind]:
        return [one for one in self._kinds.values() if any(kind.id in stage.needs for stage in one.route)]

    def _as_of(self, other: PartKind, kind: PartKind, name: str) -> Quantity | None:
        """A dimension of ``kind`` as ``other`` works its own out; None where that types it."""
        if other.written(name) is None:
            return None
        home, own_name = self._figures.home_of(other, name)
        form = home.written(own_name)
        if home is not other or not isinstance(form, Worked | OfRib):
            return None
        try:
            if own_name != name and kind.written(own_name) is not None:
                return self._figures.dimension(kind, own_name).worked
            return self._figures.worked(kind, name, form).worked
        except KioskError:
            return None  # it lacks an input: its own is another matter

    def _by_section(self, kind: PartKind, name: str) -> OtherHome | None:
        if name == _SECTION or (name == _BLANK and self._is_bent_along_its_length(kind)):
            widths = [(one.step, one.flat.headline) for one in self._bends_of(kind)]
            if not widths or not all(same(widths[0][1], width) for _, width in widths):
                return None
            return OtherHome((widths[0][1],), f"flat width, by step {widths[0][0].id!r}")
        if name.endswith(_SIGHT_LINE) and self._is_marked_on_a_section(kind, name):
            lines = [one.sight_line for one in self._bends_of(kind)]
            told = tuple(dict.fromkeys(line for line in lines if line is not None))
            return OtherHome(told, "as its bends are drawn") if told else None
        return None

    def _is_bent_along_its_length(self, kind: PartKind) -> bool:
        figures = self._figures
        if not is_cut_from_sheet(kind) or kind.written("section") is not None:
            return False
        try:
            return figures.bend_grain(kind) == figures.text(kind, "grain", "any")
        except KioskError:
            return False  # named elsewhere

    def _is_marked_on_a_section(self, kind: PartKind, name: str) -> bool:
        """True where a step that lays the section out has it as the nominal of what is measured there."""
        return any(
            isinstance(check, MeasureCheck) and check.unit == "in" and check.nominal == name
            for one in self._bends_of(kind)
            for check in one.step.checks
        )

    def _bends_of(self, kind: PartKind) -> list[_Bend]:
        if kind.id not in self._bends:
            self._bends[kind.id] = list(self._lay_out(kind))
        return self._bends[kind.id]

    def _lay_out(self, kind: PartKind) -> Iterator[_Bend]:
        """The section of a kind as each of its steps has it; what a trial bends is a strip and no part."""
        for on_route in self._steps[kind.id]:
            if on_route.step.trial is not None:
                continue
            for inputs, drawn in _sections_in(on_route, kind):
                legs = [one.strip() for one in inputs["legs"].split(",")]
                if not any(kind.written(one) is not None for one in legs):
                    continue  # of no dimension of its own: a strip, or somebody else's
                try:
                    result = self._figures.step_number(
                        kind, NumberWanted(calculator=_SECTION, inputs=inputs)
                    ).result
                except KioskError:
                    continue  # named elsewhere
                if isinstance(result, FlatWidth):
                    yield _Bend(on_route.step, result, drawn)


def _sections_in(
    on_route: StepOnRoute, kind: PartKind
) -> Iterator[tuple[dict[str, str], tuple[int, int] | None]]:
    """The inputs of each section that a step works out or draws, and the bend and leg that it draws."""
    step = on_route.step
    for number in step.numbers:
        if isinstance(number, NumberWanted) and number.calculator == _SECTION and "legs" in number.inputs:
            yield dict(number.inputs), None
    drawing = step.drawing
    if drawing is None or not {"legs", "bend_angles"}.issubset(drawing.inputs):
        return
    given = {
        name: drawing.inputs.get(name, name)
        for name in ("legs", "bend_angles", "thickness", "inside_radius", "neutral_factor")
        if name in drawing.inputs or kind.written(name) is not None
    }
    bend, leg = (drawing.inputs.get(name, "1").strip() for name in ("bend", "leg_under_nose"))
    yield given, (int(bend), int(leg)) if bend.isdecimal() and leg.isdecimal() else None


def _names_in(step: Step) -> Iterator[str]:
    """Whatever a step measures, counts, shows, draws or works with; what it only hangs on says no more than
    that there is one."""
    for number in step.numbers:
        if isinstance(number, DimensionShown):
            yield number.dimension
        else:
            yield from _of(number)
    for check in step.checks:
        if isinstance(check, MeasureCheck):
            for end in (check.nominal, check.low, check.high, check.plus, check.minus):
                yield from _of(end)
        elif isinstance(check, CountCheck):
            yield from _of(check.want)
    if step.repeat is not None:
        yield from _of(step.repeat.times)
    times = step.written_minutes
    for time in (times.set_up, times.each, times.put_away):
        yield from _of(time)
    for uses in step.uses:
        yield from _of(uses.amount)
    if step.drawing is not None:
        yield from _items(step.drawing.inputs)
    yield from (name for _, name, _ in named_figures(step))


def _of(written: object) -> Iterator[str]:
    if isinstance(written, str):
        yield written
    elif isinstance(written, Worked | NumberWanted):
        yield from _items(written.inputs)


def _items(inputs: Mapping[str, str]) -> Iterator[str]:
    for text in inputs.values():
        yield from (item.strip() for item in text.split(","))
