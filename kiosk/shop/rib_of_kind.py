"""The rib of a part kind, from the dimensions that its plans give, and the figures that it yields."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.numbers.aerofoil import Section, naca, read_coordinates
from kiosk.numbers.cut_outs import CutOut, Edge
from kiosk.numbers.materials import sheet_of
from kiosk.numbers.result import Calculator, OutOfRange, Quantity, Result
from kiosk.numbers.rib_inputs import END_WAYS, ENDS, End, EndWay, LighteningHole, RibInputs
from kiosk.numbers.units import NotALength, parse_length_in
from kiosk.shop.characters import first_hidden, name_of
from kiosk.shop.files import ReadOnce, Unreadable

if TYPE_CHECKING:  # the geometry behind it is loaded when a rib is drawn
    from kiosk.numbers.rib import Rib
    from kiosk.numbers.rib_flange import FlangePiece

NEEDED = ("section", "chord", "front_station", "rear_station", "skin", "bend_radius", "flange_width")
# Where the rib's own name for an input is not the dimension's.
_DIMENSION_OF = {"cut_outs": "spar_cut_outs", "lightening_holes": "lightening_hole_stations"}
# Lengths that may be left out: the rib has a default for each.
_OPTIONAL_LENGTHS = (
    "front_flange_width",
    "rear_flange_width",
    "nose_relief",
    "rivet_pitch",
    "rivet_end",
    "rivet_diameter",
    "rivet_edge",
    "rivet_clear",
    "flute_width",
    "flute_depth",
    "cut_out_radius",
    "tooling_hole",
)
Ask = Callable[[str], str | float | None]  # a dimension by name: as typed, as worked out, or not given


class RibFault(KioskError):
    """The dimensions make no rib; names the guilty one where it is one."""

    def __init__(self, wrong: str, mend: str, dimension: str = "") -> None:
        super().__init__(wrong, mend)
        self.dimension = dimension


def dimension_of(argument: str) -> str:
    """The dimension that stands for an input of the rib."""
    name = argument.removesuffix("_in")
    return _DIMENSION_OF.get(name, name)


def rib_of_kind(kind: str, ask: Ask, files: ReadOnce) -> Rib:
    """Lay out the rib of a part kind. ``section`` is NACA digits or one of the coordinate files.

    Raises RibFault naming the dimension.
    """
    missing = [name for name in (*NEEDED, "thickness") if ask(name) is None]
    if missing:
        raise RibFault(
            f"part kind {kind!r} has no {', '.join(missing)}",
            _where_to_add(missing),
            "" if "section" in missing else "section",
        )
    asked = _Asked(ask)
    try:
        optional = {f"{name}_in": asked.length(name) for name in _OPTIONAL_LENGTHS if ask(name) is not None}
        inputs = RibInputs(
            chord_in=asked.length("chord"),
            front_station=asked.front_station(),
            rear_station=asked.share("rear_station"),
            skin_in=asked.length("skin"),
            thickness_in=asked.length("thickness"),
            bend_radius_in=asked.length("bend_radius"),
            flange_width_in=asked.length("flange_width"),
            front_flange=asked.way("front"),
            rear_flange=asked.way("rear"),
            front_rivets=asked.count("front_rivets"),
            rear_rivets=asked.count("rear_rivets"),
            cut_outs=read_cut_outs(asked.text("spar_cut_outs")),
            tooling_hole_stations=asked.stations("tooling_hole_stations"),
            lightening_holes=asked.lightening_holes(),
            **optional,
        )
        section = section_named(str(ask("section")), files)
    except OutOfRange as error:
        raise _fault_of(error) from None
    found = _laid_out(section, inputs)
    if isinstance(found, OutOfRange):
        raise _fault_of(found)
    return found


def _fault_of(error: OutOfRange) -> RibFault:
    return RibFault(error.wrong, error.mend, dimension_of(error.argument))


@lru_cache(maxsize=32)
def _laid_out(section: Section, inputs: RibInputs) -> Rib | OutOfRange:
    """The rib of one section and inputs, or why it is none, once: most files that change change no rib, and
    one that cannot be is asked for by every step and screen."""
    from kiosk.numbers.rib import lay_out

    try:
        return lay_out(section, inputs)
    except OutOfRange as error:
        return error.with_traceback(None)


class _Asked:
    """The dimensions of a kind, each read as what it is. Raises RibFault naming the one that cannot be."""

    def __init__(self, ask: Ask) -> None:
        self._ask = ask

    def text(self, name: str) -> str:
        """A dimension as it is written; empty where it is not, or is none."""
        found = str(self._ask(name) or "").strip()
        return "" if found.lower() == "none" else found

    def length(self, name: str) -> float:
        """A length in inches."""
        found = self._ask(name)
        if isinstance(found, float):
            return found
        try:
            return parse_length_in(found or "")
        except NotALength as error:
            raise RibFault(f"{name}: {error.wrong}", error.mend, name) from None

    def share(self, name: str) -> float:
        """A share of the chord."""
        return self._share(name, str(self._ask(name) or ""))

    def front_station(self) -> float:
        """Where the rib begins: a share of the chord, or 0 for the nose."""
        return 0.0 if self.text("front_station").lower() == "nose" else self.share("front_station")

    def stations(self, name: str) -> tuple[float, ...] | None:
        """Shares of the chord, one after the other; None where the dimension is not given."""
        if self._ask(name) is None:
            return None
        return tuple(self._share(name, one.strip()) for one in self.text(name).split(",") if one.strip())

    def way(self, end: End) -> EndWay:
        """Which way an end flange goes."""
        name = f"{end}_flange"
        found = self.text(name).lower() or "none"
        for way in END_WAYS:
            if found == way:
                return way
        raise RibFault(f"{name} {found!r} is no way for a flange", f"write {', '.join(END_WAYS)}", name)

    def count(self, name: str) -> int:
        """A whole number; 0 where it is not given."""
        found = self._ask(name)
        if found is None:
            return 0
        try:
            value = float(found)
            if value != int(value):
                raise ValueError
        except (ValueError, OverflowError):
            raise RibFault(f"{name} {found!r} is no whole number", "write 4", name) from None
        return int(value)

    def lightening_holes(self) -> tuple[LighteningHole, ...]:
        """The lightening holes, all of one size; their flange reaches out by its slant."""
        stations = self.stations("lightening_hole_stations") or ()
        if not stations:
            return ()
        if self._ask("cut_out") is None and self._ask("finished_hole") is None:
            raise RibFault(
                "lightening_hole_stations without the holes' size",
                "add finished_hole, or cut_out and flange_slant",
                "lightening_hole_stations",
            )
        cut = self.length("finished_hole" if self._ask("cut_out") is None else "cut_out")
        slant = 0.0 if self._ask("flange_slant") is None else self.length("flange_slant")
        return tuple(LighteningHole(station, cut, cut + 2 * slant) for station in stations)

    @staticmethod
    def _share(name: str, text: str) -> float:
        try:
            return float(text)
        except ValueError:
            raise RibFault(f"{name} {text!r} is no share of the chord", "write .2", name) from None


def _where_to_add(missing: list[str]) -> str:
    if missing == ["thickness"]:
        return "add it under its material in shop.yaml"
    thickness = ", thickness under its material," if "thickness" in missing else ""
    return f"add it under its dimensions{thickness} in shop.yaml"


_CUT_OUT = re.compile(
    r"^(?P<station>\S+)\s+(?P<width>.+?)\s+x\s+(?P<depth>.+?)\s+(?P<edge>top|bottom|middle)$"
)


def read_cut_outs(text: str) -> tuple[CutOut, ...]:
    """Cut-outs as the plans give them: ``.35 5/8 x 7/8 middle; .5 1 x 3/4 top``. Raises OutOfRange."""
    found = []
    for item in (part.strip() for part in text.split(";")):
        if not item:
            continue
        match = _CUT_OUT.match(item)
        try:
            if match is None:
                raise ValueError
            station = float(match["station"])
        except ValueError:
            raise OutOfRange(
                f"cut-out {item!r} cannot be read",
                "write station, width x depth and edge: .5 1 x 3/4 top",
                "cut_outs",
            ) from None
        edge: Edge = "top" if match["edge"] == "top" else "bottom" if match["edge"] == "bottom" else "middle"
        try:
            width, depth = parse_length_in(match["width"]), parse_length_in(match["depth"])
        except NotALength as error:
            raise OutOfRange(f"cut-out {item!r}: {error.wrong}", error.mend, "cut_outs") from None
        found.append(CutOut(station, width, depth, edge))
    return tuple(found)


def _naca_digits(name: str) -> str:
    digits = name.upper().removeprefix("NACA").strip()
    return digits if digits.isdigit() else ""


def is_coordinate_file(name: str) -> bool:
    """True when a section is read from a file, not worked out from NACA digits."""
    return not _naca_digits(name)


def section_named(name: str, files: ReadOnce) -> Section:
    """NACA digits, or a file of coordinates beside shop.yaml. Raises OutOfRange."""
    digits = _naca_digits(name)
    if digits:
        return naca(digits)
    try:
        text = files.text(name)
    except Unreadable as error:
        raise OutOfRange(
            f"section {name!r} {error.wrong}", "give NACA digits or a file of coordinates", "section"
        ) from None
    plain = text.replace("\r\n", "\n")
    hidden = first_hidden(plain)
    if hidden is not None:
        raise OutOfRange(
            f"section {name!r} holds a character that does not show: {name_of(plain[hidden])}",
            "give a file of coordinates as plain text",
            "section",
        )
    return read_coordinates(plain, Path(name).stem)


@dataclass(frozen=True)
class _Of:
    """How a figure is read off a rib."""

    words: str
    unit: str
    read: Callable[[Rib], float | int]
    each_piece: Callable[[Rib], tuple[float, ...]] = lambda rib: ()  # what differs from piece to piece


def _flange_of(end: End) -> Callable[[Rib], float]:
    return lambda rib: next((one.length_in for one in rib.ends if one.end == end), 0.0)


def _bevel_of(end: End, side: str) -> Callable[[Rib], float]:
    return lambda rib: next((one.slope_deg for one in rib.bevels if one.end == end and one.side == side), 0.0)


def _spar_bend_of(end: End, side: str, way: str) -> Callable[[Rib], float]:
    def read(rib: Rib) -> float:
        found = next((one for one in rib.bevels if one.end == end and one.side == side), None)
        if found is None:
            return 90.0
        return found.aft_bend_deg if way == "aft" else found.forward_bend_deg

    return read


def _pieces_of(rib: Rib, side: str) -> tuple[FlangePiece, ...]:
    return (rib.upper if side == "upper" else rib.lower).pieces


def _pitches_of(side: str) -> Callable[[Rib], tuple[float, ...]]:
    return lambda rib: tuple(piece.pitch_in for piece in _pieces_of(rib, side))


def _widest_pitch_of(side: str) -> Callable[[Rib], float]:
    return lambda rib: max(_pitches_of(side)(rib))


def _first_rivets_of(side: str) -> Callable[[Rib], tuple[float, ...]]:
    return lambda rib: tuple(piece.first_rivet_in for piece in _pieces_of(rib, side))


def _first_rivet_of(side: str) -> Callable[[Rib], float]:
    return lambda rib: _first_rivets_of(side)(rib)[0]


def _flute_to_rivet(rib: Rib) -> float:
    """From the middle of a flute to the nearest rivet, where that is least; 0 without flutes."""
    return min(
        (
            abs(flute.at_in - rivet)
            for side in (rib.upper, rib.lower)
            for flute in side.flutes
            for rivet in side.rivets_in
        ),
        default=0.0,
    )


def _rivet_line_of(end: End) -> Callable[[Rib], float]:
    return lambda rib: rib.inputs.end_rivet_line_in(end) if rib.inputs.end_way(end) != "none" else 0.0


SPAR_WAYS = ("aft", "forward")  # that a spar's flanges point


def spar_bend(end: End, side: str, way: str) -> str:
    """What the rib calls the bend of a spar's flange at one of its ends."""
    return f"{end}_{side}_bend_{way}"


_SPAR_BENDS = {
    spar_bend(end, side, way): _Of(
        f"Bend of the {end} spar's {side} flange, pointing {way}", "deg", _spar_bend_of(end, side, way)
    )
    for end in ENDS
    for side in ("upper", "lower")
    for way in SPAR_WAYS
}

RIB_FIGURES: Mapping[str, _Of] = {
    "front_height": _Of("Height at the front end", "in", lambda rib: rib.front_height_in),
    "rear_height": _Of("Height at the rear end", "in", lambda rib: rib.rear_height_in),
    "blank_length": _Of("Length of the blank", "in", lambda rib: rib.blank_length_in),
    "blank_width": _Of("Width of the blank", "in", lambda rib: rib.blank_width_in),
    "turning_angle": _Of(
        "How far both flanges turn", "deg", lambda rib: rib.upper.turning_deg + rib.lower.turning_deg
    ),
    "edge_stretch": _Of(
        "Greatest stretch of a hollow edge",
        "%",
        lambda rib: max(rib.upper.stretch_percent, rib.lower.stretch_percent),
    ),
    "flutes": _Of("Flutes as laid out", "flutes", lambda rib: len(rib.upper.flutes) + len(rib.lower.flutes)),
    "rivets": _Of("Rivets as laid out", "rivets", lambda rib: len(rib.upper.rivets) + len(rib.lower.rivets)),
    "tooling_holes": _Of("Tooling holes as laid out", "holes", lambda rib: len(rib.tooling_holes)),
    "lightening_holes": _Of("Lightening holes as laid out", "holes", lambda rib: len(rib.lightening_holes)),
    "cut_outs": _Of(
        "Spar and stringer cut-outs as laid out", "cut-outs", lambda rib: len(rib.inputs.cut_outs)
    ),
    "cut_out_corners": _Of("Corners of cut-outs to drill", "holes", lambda rib: len(rib.cut_out_corners)),
    "cut_out_drill": _Of("Drill for a cut-out's corners", "in", lambda rib: 2 * rib.inputs.cut_out_radius_in),
    "cut_out_width": _Of(
        "Width of the narrowest cut-out",
        "in",
        lambda rib: min((one.width_in for one in rib.inputs.cut_outs), default=0.0),
    ),
    "cut_out_depth": _Of(
        "Depth of the shallowest cut-out",
        "in",
        lambda rib: min((one.depth_in for one in rib.inputs.cut_outs), default=0.0),
    ),
    "relief_hole": _Of(
        "Diameter of the relief holes",
        "in",
        lambda rib: max((relief.diameter_in for relief in rib.reliefs), default=0.0),
    ),
    "reliefs": _Of("Reliefs where flanges end", "reliefs", lambda rib: len(rib.reliefs)),
    "upper_pitch": _Of(
        "Rivet pitch along the upper flange", "in", _widest_pitch_of("upper"), _pitches_of("upper")
    ),
    "lower_pitch": _Of(
        "Rivet pitch along the lower flange", "in", _widest_pitch_of("lower"), _pitches_of("lower")
    ),
    "upper_first_rivet": _Of(
        "First rivet of the upper flange, from its front end",
        "in",
        _first_rivet_of("upper"),
        _first_rivets_of("upper"),
    ),
    "lower_first_rivet": _Of(
        "First rivet of the lower flange, from its front end",
        "in",
        _first_rivet_of("lower"),
        _first_rivets_of("lower"),
    ),
    "flute_to_rivet": _Of("Least distance from a flute's middle to a rivet", "in", _flute_to_rivet),
    "rivet_line": _Of("Flange's free edge to its rivet line", "in", lambda rib: rib.inputs.rivet_line_in),
    "front_rivet_line": _Of("Front end flange's free edge to its rivet line", "in", _rivet_line_of("front")),
    "rear_rivet_line": _Of("Rear end flange's free edge to its rivet line", "in", _rivet_line_of("rear")),
    "front_flange_length": _Of("Front end flange, lower to upper end", "in", _flange_of("front")),
    "rear_flange_length": _Of("Rear end flange, lower to upper end", "in", _flange_of("rear")),
    "front_upper_bevel": _Of("Spar flange off square, front upper", "deg", _bevel_of("front", "upper")),
    "front_lower_bevel": _Of("Spar flange off square, front lower", "deg", _bevel_of("front", "lower")),
    "rear_upper_bevel": _Of("Spar flange off square, rear upper", "deg", _bevel_of("rear", "upper")),
    "rear_lower_bevel": _Of("Spar flange off square, rear lower", "deg", _bevel_of("rear", "lower")),
    **_SPAR_BENDS,
}


# What a rib may be laid out from or give, and need not: a name that a step may ask after in any shop.
OF_A_RIB = frozenset({*RIB_FIGURES, *_OPTIONAL_LENGTHS})


@dataclass(frozen=True, kw_only=True)
class RibFigure(Result):
    """One figure of a laid-out rib, with what the rib was laid out from.

    Where cut-outs part a flange and the figure is one of each piece, ``pieces`` are all of them, from the
    front; ``found`` is then the one that a limit is held to.
    """

    found: Quantity
    pieces: tuple[Quantity, ...] = ()

    @property
    def headline(self) -> Quantity:
        """The figure itself."""
        return self.found

    @property
    def beside(self) -> tuple[Quantity, ...]:
        """The figure of each piece of a flange that is in more than one."""
        return self.pieces

    def show(self) -> str:
        """What a hand marks by: every piece's own, one after the other."""
        shown = [one.show() for one in self.pieces]
        if not shown:
            return self.found.show()
        return f"{shown[0]} on each piece" if len(set(shown)) == 1 else ", then ".join(shown)


def over_stretched(rib: Rib, alloy: str | None) -> str:
    """In words, where a hollow edge stretches past the least elongation specified for its alloy; else empty.

    An alloy that has no such value is left alone.
    """
    try:
        limit = sheet_of(alloy or "").elongation_percent
    except OutOfRange:
        return ""
    worst, name = max(
        ((one, side.name) for side in (rib.upper, rib.lower) for one in side.hollows),
        key=lambda found: found[0].stretch_percent,
        default=(None, ""),
    )
    if worst is None or worst.stretch_percent <= limit:
        return ""
    return (
        f"the {name} flange is hollow from {worst.first_in:.2f} to {worst.last_in:.2f} in along it, where "
        f"its edge stretches {worst.stretch_percent:.1f} %, over the {limit:g} % elongation "
        f"specified for {alloy}"
    )


def rib_figure(rib: Rib, name: str, alloy: str | None = None) -> RibFigure:
    """A figure of the rib by name, with a warning where it cracks the alloy. Raises KeyError."""
    of = RIB_FIGURES[name]
    given = rib.inputs
    inputs = (
        Quantity("section", rib.section),
        Quantity("chord", given.chord_in, "in"),
        Quantity("from", given.front_station, "of the chord"),
        Quantity("to", given.rear_station, "of the chord"),
        Quantity("skin", given.skin_in, "in"),
        Quantity("flange width", given.flange_width_in, "in"),
        Quantity("rivet pitch", given.rivet_pitch_in, "in"),
    )
    each = of.each_piece(rib)
    cracks = over_stretched(rib, alloy) if name == "edge_stretch" else ""
    pieces = tuple(Quantity(f"piece {number}", value, of.unit) for number, value in enumerate(each, 1))
    differ = len({one.show() for one in pieces}) > 1  # what is the same on each says so itself
    words = f"{of.words}, piece by piece" if differ else of.words
    made = RibFigure(
        found=Quantity(words, of.read(rib), of.unit),
        pieces=pieces if len(pieces) > 1 else (),
        inputs=inputs,
        warnings=(f"{cracks[:1].upper()}{cracks[1:]}.",) if cracks else (),
    )
    return dataclasses.replace(made, about=_LAID_OUT)


_LAID_OUT = Calculator(
    function=rib_figure,
    subject="ribs",
    title="Rib as laid out",
    formula="the section between its stations, less the skin; flanges developed; flutes where the edge turns",
    source="the rib as it is laid out from the part kind's dimensions",
    holds="the drawing and this figure are one layout",
)
