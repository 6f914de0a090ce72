"""The rib of a part kind, from the dimensions that its plans give."""

import re
from pathlib import Path

from kiosk.errors import KioskError
from kiosk.numbers.aerofoil import Section, naca, read_coordinates
from kiosk.numbers.cut_outs import CutOut, Edge
from kiosk.numbers.result import OutOfRange
from kiosk.numbers.rib import Rib, RibInputs, lay_out
from kiosk.numbers.units import NotALength, parse_length_in
from kiosk.shop.parts import PartKind

NEEDED = ("section", "chord", "front_station", "rear_station", "skin", "bend_radius", "flange_width")


def rib_of_kind(kind: PartKind, folder: Path) -> Rib:
    """Lay out the rib. ``section`` is NACA digits or a coordinate file in the shop folder.

    Raises OutOfRange or KioskError naming the dimension.
    """
    values = kind.values
    missing = [name for name in (*NEEDED, "thickness") if name not in values]
    if missing:
        raise KioskError(
            f"part kind {kind.id!r} has no {', '.join(missing)}", "add it under its dimensions in shop.yaml"
        )

    def length(name: str, default: str = "") -> float:
        try:
            return parse_length_in(values.get(name, default))
        except NotALength as error:
            raise OutOfRange(f"{name}: {error.wrong}", error.mend) from None

    def share(name: str) -> float:
        try:
            return float(values[name])
        except ValueError:
            raise OutOfRange(f"{name} {values[name]!r} is no share of the chord", "write .2") from None

    inputs = RibInputs(
        chord_in=length("chord"),
        front_station=share("front_station"),
        rear_station=share("rear_station"),
        skin_in=length("skin"),
        thickness_in=length("thickness"),
        bend_radius_in=length("bend_radius"),
        flange_width_in=length("flange_width"),
        rivet_pitch_in=length("rivet_pitch", "1"),
        cut_outs=read_cut_outs(values.get("spar_cut_outs", "")),
    )
    return lay_out(section_named(values["section"], folder), inputs)


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
                f"cut-out {item!r} cannot be read", "write station, width x depth and edge: .5 1 x 3/4 top"
            ) from None
        edge: Edge = "top" if match["edge"] == "top" else "bottom" if match["edge"] == "bottom" else "middle"
        found.append(CutOut(station, parse_length_in(match["width"]), parse_length_in(match["depth"]), edge))
    return tuple(found)


def section_named(name: str, folder: Path) -> Section:
    """NACA digits, or a file of coordinates beside shop.yaml. Raises OutOfRange."""
    digits = name.upper().removeprefix("NACA").strip()
    if digits.isdigit():
        return naca(digits)
    path = folder / name
    try:
        return read_coordinates(path.read_text(encoding="utf-8"), path.stem)
    except OSError as error:
        raise OutOfRange(
            f"section {name!r} cannot be read ({error.strerror})", "give NACA digits or a file in the shop"
        ) from None
