"""The rib of a part kind, from the dimensions that its plans give, and the figures that it yields."""

import dataclasses
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from kiosk.errors import KioskError
from kiosk.numbers.aerofoil import Section, naca, read_coordinates
from kiosk.numbers.cut_outs import CutOut, Edge
from kiosk.numbers.result import Calculator, OutOfRange, Quantity, Result
from kiosk.numbers.rib import Rib, RibInputs, lay_out
from kiosk.numbers.units import NotALength, parse_length_in
from kiosk.shop.characters import first_hidden, name_of
from kiosk.shop.files import Unreadable, read_text

NEEDED = ("section", "chord", "front_station", "rear_station", "skin", "bend_radius", "flange_width")
# Where the rib's own name for an input is not the dimension's.
_DIMENSION_OF = {"cut_outs": "spar_cut_outs"}
Ask = Callable[[str], str | float | None]  # a dimension by name: as typed, as worked out, or not given


class RibFault(KioskError):
    """The dimensions make no rib; names the guilty one where it is one."""

    def __init__(self, wrong: str, mend: str, dimension: str = "") -> None:
        super().__init__(wrong, mend)
        self.dimension = dimension


def rib_of_kind(kind: str, ask: Ask, folder: Path) -> Rib:
    """Lay out the rib of a part kind. ``section`` is NACA digits or a coordinate file in the shop folder.

    Raises RibFault naming the dimension.
    """
    missing = [name for name in (*NEEDED, "thickness") if ask(name) is None]
    if missing:
        raise RibFault(
            f"part kind {kind!r} has no {', '.join(missing)}",
            _where_to_add(missing),
            "" if "section" in missing else "section",
        )

    def length(name: str, default: str = "") -> float:
        found = ask(name)
        if isinstance(found, float):
            return found
        try:
            return parse_length_in(default if found is None else found)
        except NotALength as error:
            raise RibFault(f"{name}: {error.wrong}", error.mend, name) from None

    def share(name: str) -> float:
        found = ask(name)
        try:
            return float(found or "")
        except ValueError:
            raise RibFault(f"{name} {found!r} is no share of the chord", "write .2", name) from None

    try:
        inputs = RibInputs(
            chord_in=length("chord"),
            front_station=share("front_station"),
            rear_station=share("rear_station"),
            skin_in=length("skin"),
            thickness_in=length("thickness"),
            bend_radius_in=length("bend_radius"),
            flange_width_in=length("flange_width"),
            rivet_pitch_in=length("rivet_pitch", "1"),
            cut_outs=read_cut_outs(str(ask("spar_cut_outs") or "")),
        )
        return lay_out(section_named(str(ask("section")), folder), inputs)
    except OutOfRange as error:
        name = error.argument.removesuffix("_in")
        raise RibFault(error.wrong, error.mend, _DIMENSION_OF.get(name, name)) from None


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


def section_named(name: str, folder: Path) -> Section:
    """NACA digits, or a file of coordinates beside shop.yaml. Raises OutOfRange."""
    digits = _naca_digits(name)
    if digits:
        return naca(digits)
    path = folder / name
    try:
        text = read_text(path)
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
    return read_coordinates(plain, path.stem)


@dataclass(frozen=True)
class _Of:
    """How a figure is read off a rib."""

    words: str
    unit: str
    read: Callable[[Rib], float | int]


def _span(rib: Rib) -> float:
    heights = [y for _, y in rib.blank]
    return max(heights) - min(heights)


RIB_FIGURES: Mapping[str, _Of] = {
    "front_height": _Of("Height at the front end", "in", lambda rib: rib.front_height_in),
    "rear_height": _Of("Height at the rear end", "in", lambda rib: rib.rear_height_in),
    "blank_length": _Of("Length of the blank", "in", lambda rib: rib.blank_length_in),
    "blank_width": _Of("Width of the blank", "in", _span),
    "turning_angle": _Of(
        "How far both flanges turn", "deg", lambda rib: rib.upper.turning_deg + rib.lower.turning_deg
    ),
    "flutes": _Of(
        "Flutes as laid out", "flutes", lambda rib: len(rib.upper.flutes_in) + len(rib.lower.flutes_in)
    ),
    "rivets": _Of(
        "Rivets as laid out", "rivets", lambda rib: len(rib.upper.rivets_in) + len(rib.lower.rivets_in)
    ),
    "tooling_holes": _Of("Tooling holes as laid out", "holes", lambda rib: len(rib.tooling_holes)),
}


@dataclass(frozen=True, kw_only=True)
class RibFigure(Result):
    """One figure of a laid-out rib, with what the rib was laid out from."""

    found: Quantity

    @property
    def headline(self) -> Quantity:
        """The figure itself."""
        return self.found


def rib_figure(rib: Rib, name: str) -> RibFigure:
    """A figure of the rib by name. Raises KeyError when there is none of that name."""
    of = RIB_FIGURES[name]
    given = rib.inputs
    inputs = (
        Quantity("section", rib.section),
        Quantity("chord", given.chord_in, "in"),
        Quantity("from", given.front_station),
        Quantity("to", given.rear_station),
        Quantity("skin", given.skin_in, "in"),
        Quantity("flange width", given.flange_width_in, "in"),
        Quantity("rivet pitch", given.rivet_pitch_in, "in"),
    )
    made = RibFigure(found=Quantity(of.words, of.read(rib), of.unit), inputs=inputs)
    return dataclasses.replace(made, about=_LAID_OUT)


_LAID_OUT = Calculator(
    function=rib_figure,
    subject="ribs",
    title="Rib as laid out",
    formula="the section between its stations, less the skin; flanges developed; rivets and flutes spaced",
    source="the rib as it is laid out from the part kind's dimensions",
    holds="the drawing and this figure are one layout",
)
