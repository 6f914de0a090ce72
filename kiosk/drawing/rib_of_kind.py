"""The rib of a part kind, from the dimensions that its plans give."""

from pathlib import Path

from kiosk.errors import KioskError
from kiosk.numbers.aerofoil import Section, naca, read_coordinates
from kiosk.numbers.result import OutOfRange
from kiosk.numbers.rib import Rib, RibInputs, lay_out
from kiosk.numbers.units import parse_length_in
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
        return parse_length_in(values.get(name, default))

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
    )
    return lay_out(section_named(values["section"], folder), inputs)


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
