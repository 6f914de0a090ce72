"""What a rib says of the spar that its end stands at: how the spar's flanges bend, how high its web is, and
how far off the rib ends.

A spar's bends are known by who bends them: a kind whose section has the angle beside a web as high as an end
of a rib, or takes the angle over from a rib. Which of an end's flanges it is the words upper and lower tell,
and which way they point the other bend of the section. Where neither does, it may be any of them.
"""

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise

from kiosk.errors import KioskError
from kiosk.numbers.result import Quantity
from kiosk.numbers.rib_inputs import ENDS, End
from kiosk.shop.figures import Figures
from kiosk.shop.on_route import StepOnRoute
from kiosk.shop.other_figure import OtherHome
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import NumberWanted
from kiosk.shop.rib_of_kind import SPAR_WAYS, spar_bend
from kiosk.shop.written import OfRib, Worked

_STATION = "station_beside"  # the calculator
_OTHER_END: Mapping[str, str] = {"front": "rear", "rear": "front"}
_OTHER_SIDE: Mapping[str, str] = {"aft": "forward", "forward": "aft"}
_SIDE_OF: Mapping[str, str] = {"front": "aft", "rear": "forward"}  # of its spar: a rib's end beside it
_SIDES = ("upper", "lower")

Home = tuple[str, str]  # a dimension by its kind's id and its name there


def spar_bends(
    kinds: Iterable[PartKind], figures: Figures, steps: Mapping[str, tuple[StepOnRoute, ...]]
) -> dict[Home, OtherHome]:
    """Each dimension that is the angle of a spar's bend, where it has its home, and what the rib gives."""
    found: dict[Home, OtherHome] = {}
    for kind in kinds:
        for legs, angles in _sections(kind, steps[kind.id]):
            written = [name for name in angles if kind.written(name) is not None]
            for name in written:
                home, own_name = figures.home_of(kind, name)
                if (home.id, own_name) in found:
                    continue
                ends = _ends(kind, figures, legs, home)
                others = [_read_off(kind, figures, one) for one in written if one != name]
                values = _bends_of(figures, ends, (name, own_name), others)
                if values:
                    rib, end = ends[0]
                    at = f"the {end} end" if len(ends) == 1 else "an end"
                    by = f"the bend of a spar at {at} of {rib.id!r}"
                    found[home.id, own_name] = OtherHome(tuple(dict.fromkeys(values)), by)
    return found


def spar_webs(
    kinds: Iterable[PartKind], figures: Figures, steps: Mapping[str, tuple[StepOnRoute, ...]]
) -> dict[Home, OtherHome]:
    """Each typed height of a web between two bends that a rib's end gives, and the height of that end."""
    found: dict[Home, OtherHome] = {}
    for kind in kinds:
        for legs, angles in _sections(kind, steps[kind.id]):
            for web, (before, after) in zip(legs[1:], pairwise(angles), strict=False):
                of, of_other = (_end_of(kind, figures, name) for name in (before, after))
                if kind.written(web) is None or of is None or of != of_other:
                    continue
                home, own_name = figures.home_of(kind, web)
                rib, end = of
                if home.id == rib.id:
                    continue  # its own height
                try:
                    worked = figures.worked(rib, "", OfRib(rib=f"{end}_height")).worked
                except KioskError:
                    continue  # the rib is none: named elsewhere
                if worked is not None:
                    by = f"the height of {rib.id!r} at its {end} end, which gives both bends"
                    found[home.id, own_name] = OtherHome((worked,), by)
    return found


def _end_of(kind: PartKind, figures: Figures, name: str) -> tuple[PartKind, End] | None:
    """The rib and its end that an angle is read off, beside which the spar stands; None for any other."""
    figure = _read_off(kind, figures, name) if kind.written(name) is not None else None
    rib, _ = figures.home_of(kind, name) if figure is not None else (kind, "")
    bends = ((end, spar_bend(end, side, way)) for end in ENDS for side in _SIDES for way in SPAR_WAYS)
    return next(((rib, end) for end, bend in bends if bend == figure), None)


def _sections(kind: PartKind, steps: Iterable[StepOnRoute]) -> Iterator[tuple[list[str], list[str]]]:
    """The legs and the angles of each section that a kind works out, or that its steps work out or draw."""
    asked = [one.inputs for one in kind.dimensions.values() if isinstance(one, Worked)]
    for on_route in steps:
        asked += [one.inputs for one in on_route.step.numbers if isinstance(one, NumberWanted)]
        if on_route.step.drawing is not None:
            asked.append(on_route.step.drawing.inputs)
    for inputs in asked:
        if "legs" in inputs and "bend_angles" in inputs:
            legs, angles = (inputs[name].split(",") for name in ("legs", "bend_angles"))
            yield [one.strip() for one in legs], [one.strip() for one in angles]


def _ends(kind: PartKind, figures: Figures, legs: list[str], home: PartKind) -> list[tuple[PartKind, End]]:
    """The end of the rib that the section's web is as high as; else both of the rib that has the angle."""
    for leg in legs:
        if kind.written(leg) is None:
            continue
        rib, own_name = figures.home_of(kind, leg)
        for end in ENDS:
            if rib.written("section") is not None and own_name == f"{end}_height":
                return [(rib, end)]
    return [(home, end) for end in ENDS] if home.written("section") is not None else []


def _read_off(kind: PartKind, figures: Figures, name: str) -> str | None:
    """The figure of a rib that a dimension is, by name; None for any other."""
    home, own_name = figures.home_of(kind, name)
    form = home.written(own_name)
    return form.rib if isinstance(form, OfRib) else None


def _bends_of(
    figures: Figures, ends: list[tuple[PartKind, End]], names: tuple[str, ...], others: list[str | None]
) -> Iterable[Quantity]:
    sides = [one for one in _SIDES if any(one in name.split("_") for name in names)] or _SIDES
    ways = [way for way in SPAR_WAYS if any(one is not None and one.endswith(way) for one in others)]
    values = []
    for rib, end in ends:
        for side in sides:
            for way in ways or SPAR_WAYS:
                try:
                    worked = figures.worked(rib, "", OfRib(rib=spar_bend(end, side, way))).worked
                except KioskError:
                    return []  # the rib is none: named elsewhere
                assert worked is not None
                values.append(worked)
    return values


def station_clear_of_spar(kind: PartKind, name: str, figures: Figures) -> OtherHome | None:
    """Where a rib's end stands that its plans keep clear of a spar: as its other end is worked out, or as the
    spar's own station and what it is reached across stand in the same kind."""
    end = next((one for one in ENDS if name == f"{one}_station"), None)
    if end is None or kind.written("section") is None:
        return None
    for form, by in (
        (_mirrored(kind, end), f"as its {_OTHER_END[end]} station is worked out"),
        (_as_it_stands(kind, end), "clear of the spar that it gives"),
    ):
        if form is None:
            continue
        try:
            worked = figures.worked(kind, name, form).worked
        except KioskError:
            continue  # what it needs is not there, or named elsewhere
        if worked is not None:
            return OtherHome((worked,), by)
    return None


def _mirrored(kind: PartKind, end: End) -> Worked | None:
    """How the other end is worked out, for this one: what is called after that end is called after this."""
    other = _OTHER_END[end]
    form = kind.dimensions.get(f"{other}_station")
    if not isinstance(form, Worked) or form.calculator != _STATION:
        return None
    inputs = {key: text.replace(other, end) for key, text in form.inputs.items()}
    inputs["side"] = _OTHER_SIDE.get(inputs.get("side", ""), "")
    return Worked(calculator=_STATION, inputs=inputs)


def _as_it_stands(kind: PartKind, end: End) -> Worked | None:
    """From the dimensions that the kind has of that spar; None where one is not there."""
    station, reaches = f"{end}_spar_station", [f"{end}_spar_flange", "spar_gap"]
    if any(kind.written(one) is None for one in (station, reaches[0])):
        return None
    across = ", ".join(one for one in reaches if kind.written(one) is not None)
    return Worked(
        calculator=_STATION,
        inputs={"station": station, "chord": "chord", "reaches": across, "side": _SIDE_OF[end]},
    )
