"""Ordinates of a wing section as a lofting table prints them, and stations that stand off from others."""

from dataclasses import dataclass
from typing import Literal

from kiosk.numbers.aerofoil import naca
from kiosk.numbers.result import Result, calculator, figure, require

__all__ = ["SectionOrdinates", "StationBeside", "section_ordinates", "station_beside"]

POINTS = 2000  # along each surface: straight lines between them miss the curve by less than a millionth of it
LONGEST_CHORD_IN = 600.0


@dataclass(frozen=True, kw_only=True)
class SectionOrdinates(Result):
    """Where the two surfaces stand above the chord line at one station."""

    upper_in: float = figure("upper surface above the chord line")
    lower_in: float = figure("lower surface above the chord line, minus below")
    height_in: float = figure("from the lower to the upper surface")
    at_in: float = figure("from the leading edge, along the chord")


@calculator(
    subject="sections",
    title="Upper surface above the chord line",
    formula="camber line with half the thickness laid off square to it, read at the station, x the chord",
    source="NACA Report 460 (four digits), NACA Report 537 (five digits)",
    holds="NACA sections of 2 to 40 percent thickness; the skin's outside: a rib is smaller by the skin",
)
def section_ordinates(section: str, chord_in: float, station: float) -> SectionOrdinates:
    """Ordinates of a NACA section at a station of the chord.

    Parameters
    ----------
    section : str
        Four or five digits, such as 2412 or 23012.
    chord_in : float
        The chord in inches, above 0 to 600.
    station : float
        Where along the chord, as a share of it, 0 to 1.

    Returns
    -------
    SectionOrdinates
        ``upper_in`` and ``lower_in`` from the chord line in inches [1]_ [2]_, the ``height_in`` between them,
        and the station as ``at_in`` from the leading edge.

    Raises
    ------
    OutOfRange
        When the section is not one of these, or an input is outside its range.

    Notes
    -----
    The thickness is laid off square to the camber line, as the reports have it. Laid off upright instead, the
    upper surface of 2412 is wrong by up to 0.14 percent of the chord near the nose.

    References
    ----------
    .. [1] NACA Report 460, the four-digit sections.
    .. [2] NACA Report 537, camber lines of the five-digit sections.

    Examples
    --------
    >>> round(section_ordinates("2412", 50, 0.2).upper_in, 3)
    3.63
    """
    require(
        0 < chord_in <= LONGEST_CHORD_IN,
        "chord_in",
        f"a chord of {chord_in:g} in is outside 0 to {LONGEST_CHORD_IN:g}",
        "give it in inches",
    )
    require(
        0 <= station <= 1,
        "station",
        f"station {station:g} is outside 0 to 1",
        "give a share of the chord, such as .2",
    )
    upper, lower = naca(section, POINTS).height(station)
    return SectionOrdinates(
        upper_in=upper * chord_in,
        lower_in=lower * chord_in,
        height_in=(upper - lower) * chord_in,
        at_in=station * chord_in,
    )


@dataclass(frozen=True, kw_only=True)
class StationBeside(Result):
    """A station, as a share of the chord, and where that is."""

    station: float
    at_in: float = figure("from the leading edge, along the chord")


@calculator(
    subject="sections",
    title="Station beside another",
    formula="station + reach / chord when aft of it, station - reach / chord when forward",
    source="derived: stations are shares of the chord",
    holds="what is reached across stands square to the chord, or leans so little that it reaches no less",
)
def station_beside(
    station: float, chord_in: float, reaches_in: tuple[float, ...], side: Literal["aft", "forward"]
) -> StationBeside:
    """Station of an end that stands clear of what is at another station, as a rib of a spar's flange.

    Parameters
    ----------
    station : float
        Where along the chord the other stands, as a share of it, 0 to 1: a spar's back.
    chord_in : float
        The chord in inches, above 0 to 600.
    reaches_in : tuple of float
        What lies between the two in inches, such as a flange and a gap, each 0 or more. One at least.
    side : {"aft", "forward"}
        On which side of the other it stands.

    Returns
    -------
    StationBeside
        ``station`` as a share of the chord [1]_, and the same as ``at_in`` from the leading edge.

    Raises
    ------
    OutOfRange
        When an input is outside its range, or the station comes out off the chord.

    References
    ----------
    .. [1] Derived: stations are shares of the chord.

    Examples
    --------
    A rib that ends 1/16 clear of a 3/4 spar flange, on a chord of 50:

    >>> round(station_beside(0.2, 50, (0.75, 0.0625), "aft").station, 5)
    0.21625
    """
    require(
        0 <= station <= 1,
        "station",
        f"station {station:g} is outside 0 to 1",
        "give a share of the chord, such as .2",
    )
    require(
        0 < chord_in <= LONGEST_CHORD_IN,
        "chord_in",
        f"a chord of {chord_in:g} in is outside 0 to {LONGEST_CHORD_IN:g}",
        "give it in inches",
    )
    require(len(reaches_in) >= 1, "reaches_in", "nothing lies between the two", "give what is reached across")
    for item, reach in enumerate(reaches_in):
        require(reach >= 0, "reaches_in", f"a reach of {reach:g} in is below nothing", "measure it", item)
    at_in = station * chord_in + (sum(reaches_in) if side == "aft" else -sum(reaches_in))
    require(
        0 <= at_in <= chord_in,
        "reaches_in",
        f"{at_in:.3f} in from the leading edge is off the chord",
        "reach less far",
    )
    return StationBeside(station=at_in / chord_in, at_in=at_in)
