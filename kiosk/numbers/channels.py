"""A channel with bevelled flanges as a garage can measure it, and the room that its second bend needs.

A channel is a web with a flange at each end, both to one side. Its legs are given from the upper edge of the
flat: upper flange, web, lower flange, each outside, mould line to mould line. Only where both bends are 90
degrees does anything stand at a mould line that a caliper could hold.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from kiosk.numbers.bends import FlatLayout, flat_layout, overbend
from kiosk.numbers.result import Result, calculator, figure, require

__all__ = ["ChannelHeight", "FlangeReach", "NoseRoom", "channel_height", "flange_reach", "nose_room"]

# What a bend and a leg may each be off: the limits of the procedures that bend, this shop's own.
ANGLE_LIMIT_DEG = 0.5
LEG_LIMIT_IN = 1 / 64
NOSE_CLEAR_IN = 1 / 16  # between the nose and what swings over it
_ROUND_STEPS = 32
_SWING_STEPS = 30  # of the second half of the swing
_SIDES = ("upper", "lower")


def _require_channel(legs_in: Sequence[float], bend_angles_deg: Sequence[float]) -> None:
    require(len(legs_in) == 3, "legs_in", "a channel has three legs", "give upper flange, web, lower flange")
    require(
        len(bend_angles_deg) == 2,
        "bend_angles_deg",
        "a channel has two bends",
        "give the upper bend and the lower",
    )
    for item, angle in enumerate(bend_angles_deg):
        require(
            0 < angle < 175,
            "bend_angles_deg",
            f"bend angle {angle:g} is outside 0 to 175 degrees",
            "it is measured from flat",
            item,
        )


@dataclass(frozen=True, kw_only=True)
class ChannelHeight(Result):
    """What calipers read over all, how far it may be off, and what their jaws touch."""

    height_in: float
    limit_in: float = figure("either way")
    touches: str = figure("calipers touch")


@calculator(
    subject="channels",
    title="Channel over all",
    formula="web + for each flange: its width x cos(bend) at 90 degrees or less,"
    " else (R + T)(1 - tan(half the bend))",
    source="derived: plain geometry, with the setback of AC 43.13-1B paragraph 4-56b",
    holds="calipers square to the web's back; flange ends cut square to the sheet",
)
def channel_height(
    legs_in: tuple[float, ...],
    bend_angles_deg: tuple[float, ...],
    thickness_in: float,
    inside_radius_in: float,
) -> ChannelHeight:
    """Height of a bevelled channel over all, as calipers square to its back hold it.

    Parameters
    ----------
    legs_in : tuple of float
        Upper flange, web, lower flange, in inches, each outside, mould line to mould line.
    bend_angles_deg : tuple of float
        Degrees bent from flat, the upper bend and the lower, above 0 to below 175.
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.26.
    inside_radius_in : float
        Inside radius of both bends in inches, 0 to 10.

    Returns
    -------
    ChannelHeight
        ``height_in`` is the web's mould-line height, with what each flange stands out by [1]_: one that leans
        out is touched at its tip, one that leans in at the round of its bend, its heel. ``limit_in`` is what
        is off where web and flange are 1/64 off and the bends half a degree, all the same way. ``touches``
        says where the jaws lie.

    Raises
    ------
    OutOfRange
        When it is no channel, a leg is shorter than its setbacks, or an input is outside its range.

    References
    ----------
    .. [1] Derived: plain geometry; setback K(R + T), FAA AC 43.13-1B paragraph 4-56b and Table 4-7.

    Examples
    --------
    >>> worked = channel_height((0.75, 1.452, 0.75), (102.8, 102.8), 0.032, 0.125)
    >>> round(worked.height_in, 3), worked.touches
    (1.373, 'the heels of both bends')
    >>> channel_height((0.75, 5.694, 0.75), (84.0, 89.4), 0.032, 0.125).touches
    'the tips of both flanges'
    """
    _require_channel(legs_in, bend_angles_deg)
    flat_layout(legs_in, bend_angles_deg, thickness_in, inside_radius_in)
    outer = inside_radius_in + thickness_in
    off = math.radians(ANGLE_LIMIT_DEG)
    height, limit, at_tip = legs_in[1], LEG_LIMIT_IN, []
    for flange, bend_deg in zip((legs_in[0], legs_in[2]), bend_angles_deg, strict=True):
        bend = math.radians(bend_deg)
        at_tip.append(bend_deg <= 90)
        if at_tip[-1]:
            height += flange * math.cos(bend)
            limit += LEG_LIMIT_IN * math.cos(bend) + flange * math.sin(bend) * off
        else:
            height += outer * (1 - math.tan(bend / 2))
            limit += outer / 2 / math.cos(bend / 2) ** 2 * off
    return ChannelHeight(height_in=height, limit_in=limit, touches=_touches(at_tip))


def _touches(at_tip: Sequence[bool]) -> str:
    if all(at_tip):
        return "the tips of both flanges"
    if not any(at_tip):
        return "the heels of both bends"
    tip, heel = (_SIDES[at_tip.index(one)] for one in (True, False))
    return f"the {tip} flange's tip and the {heel} bend's heel"


@dataclass(frozen=True, kw_only=True)
class FlangeReach(Result):
    """How far a flange reaches from the back of the web."""

    reach_in: float


@calculator(
    subject="channels",
    title="Flange square off the back",
    formula="width x sin(bend), and thickness x cos(bend) more where the bend is below 90 degrees",
    source="derived: plain geometry",
    holds="calipers with one jaw flat on the web's back; flange end cut square to the sheet",
)
def flange_reach(flange_width_in: float, bend_angle_deg: float, thickness_in: float) -> FlangeReach:
    """How far the tip of a flange stands from the back of its web, square to it.

    Parameters
    ----------
    flange_width_in : float
        Width of the flange in inches, outside, from the mould line to its edge; above 0.
    bend_angle_deg : float
        Degrees bent from flat, above 0 to below 175.
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.26.

    Returns
    -------
    FlangeReach
        ``reach_in`` to the corner of the edge that stands furthest out [1]_.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    References
    ----------
    .. [1] Derived: plain geometry.

    Examples
    --------
    >>> round(flange_reach(0.75, 102.8, 0.032).reach_in, 3)
    0.731
    """
    require(
        0 < flange_width_in <= 100,
        "flange_width_in",
        f"a flange of {flange_width_in:g} in is outside 0 to 100",
        "measure it outside, from the mould line",
    )
    require(
        0 < bend_angle_deg < 175,
        "bend_angle_deg",
        f"bend angle {bend_angle_deg:g} is outside 0 to 175 degrees",
        "give degrees bent from flat",
    )
    require(
        0 < thickness_in <= 0.26,
        "thickness_in",
        f"thickness {thickness_in} in is outside 0 to 0.26 in",
        "this is for sheet",
    )
    bend = math.radians(bend_angle_deg)
    reach = flange_width_in * math.sin(bend) + max(0.0, thickness_in * math.cos(bend))
    return FlangeReach(reach_in=reach)


@dataclass(frozen=True, kw_only=True)
class NoseRoom(Result):
    """The highest nose that a channel's second bend clears, and from where to where the nose matters."""

    nose_in: float
    behind_in: float = figure("as far behind its edge")
    flange_in: float = figure("the first flange comes down to")
    other_order_in: float = figure("highest, the lower bend first")
    set_deg: float = figure("swung to")


@calculator(
    subject="channels",
    title="Highest nose that the second bend clears",
    formula="where the first flange's lowest point comes to above the sheet at full swing, less 1/16",
    source="derived: plain geometry; springback as for a bend's setting",
    holds="upper bend first; the lower flange under the nose, the web and the first flange swung up over it",
)
def nose_room(
    legs_in: tuple[float, ...],
    bend_angles_deg: tuple[float, ...],
    thickness_in: float,
    inside_radius_in: float,
    alloy: str,
    springback_factor: float | None = None,
) -> NoseRoom:
    """How high the nose of a brake may be, so that the first flange of a channel swings over it.

    Parameters
    ----------
    legs_in : tuple of float
        Upper flange, web, lower flange, in inches, each outside, mould line to mould line.
    bend_angles_deg : tuple of float
        Degrees bent from flat, the upper bend and the lower, above 0 to below 175.
    thickness_in : float
        Sheet thickness in inches, above 0 to 0.26.
    inside_radius_in : float
        Inside radius of both bends in inches, above 0 to 10.
    alloy : str
        Alloy and temper, such as ``2024-T3``, for how far the second bend is swung past its angle.
    springback_factor : float, optional
        Angle after release over angle set, 0.5 to 1.05, as trial strips find it: what the second bend is
        swung to follows it. Left out, the alloy's formula is used.

    Returns
    -------
    NoseRoom
        ``nose_in`` is the highest nose from its underside, measured as far behind its edge as ``behind_in``
        says, that the first flange clears by 1/16 [1]_; ``flange_in`` is where that flange comes to above
        the clamped sheet, and ``other_order_in`` the highest nose where the lower bend is made first.

    Raises
    ------
    OutOfRange
        When it is no channel, a leg is shorter than its setbacks, or an input is outside its range.

    References
    ----------
    .. [1] Derived: plain geometry.

    Examples
    --------
    >>> worked = nose_room((0.75, 1.452, 0.75), (102.8, 102.8), 0.032, 0.125, "2024-T3")
    >>> round(worked.flange_in, 2), round(worked.nose_in, 2)
    (0.97, 0.9)
    """
    _require_channel(legs_in, bend_angles_deg)
    sheet = (thickness_in, inside_radius_in, alloy, springback_factor)
    low, behind, set_deg = _swung(legs_in, bend_angles_deg, *sheet)
    other, _, _ = _swung(legs_in[::-1], bend_angles_deg[::-1], *sheet)
    return NoseRoom(
        nose_in=max(0.0, low - NOSE_CLEAR_IN),
        behind_in=behind,
        flange_in=low,
        other_order_in=max(0.0, other - NOSE_CLEAR_IN),
        set_deg=set_deg,
    )


@lru_cache(maxsize=64)  # a step asks for two figures of it and holds a check to it
def _swung(
    legs_in: tuple[float, ...],
    bends_deg: tuple[float, ...],
    thickness_in: float,
    radius_in: float,
    alloy: str,
    springback_factor: float | None,
) -> tuple[float, float, float]:
    """The first flange's lowest point over the sheet, how far it lies behind the nose's edge, and the swing.

    The tangent line under the nose is at 0, the sheet's upper face at height 0, and the nose's edge one
    inside radius into the bend. The flange comes down from in front: it is lowest at the end of the swing, or
    a little before, where its bend passes over the edge.
    """
    layout: FlatLayout = flat_layout(legs_in, bends_deg, thickness_in, radius_in)
    setting = overbend(thickness_in, radius_in, alloy, bends_deg[1], springback_factor=springback_factor)
    over: list[float] = []
    last: list[tuple[float, float]] = []
    for step in range(_SWING_STEPS + 1):
        share = 0.5 + 0.5 * step / _SWING_STEPS
        last = _flange(layout, bends_deg[0], share * setting.angle_deg, thickness_in, radius_in)
        over += _heights_behind(last, radius_in)
    behind = max(0.0, radius_in - min(x for x, _ in last))
    return max(0.0, min(over or [y for _, y in last])), behind, setting.angle_deg


def _flange(
    layout: FlatLayout, bend_deg: float, swung_deg: float, thickness_in: float, radius_in: float
) -> list[tuple[float, float]]:
    """The outline of first bend and first flange, the web swung up by so much."""
    turn, first = math.radians(swung_deg), math.radians(bend_deg)
    web, ahead = layout.flats_in[1], layout.flats_in[0]
    x, y = web * math.cos(turn), radius_in + web * math.sin(turn)  # the first bend's centre, swung up
    sides = []
    for radius in (radius_in, radius_in + thickness_in):
        points = []
        for step in range(_ROUND_STEPS + 1):
            heading = turn + first * step / _ROUND_STEPS
            points.append((x + radius * math.sin(heading), y - radius * math.cos(heading)))
        end, heading = points[-1], turn + first
        points.append((end[0] + ahead * math.cos(heading), end[1] + ahead * math.sin(heading)))
        sides.append(points)
    return [*sides[0], *reversed(sides[1])]


def _heights_behind(outline: Sequence[tuple[float, float]], edge_in: float) -> list[float]:
    """The heights of a closed outline's corners at or behind the nose's edge, and of where it crosses it.

    Between those its sides are straight, so that its lowest point over the nose is one of them.
    """
    found = [y for x, y in outline if x <= edge_in]
    for (x, y), (next_x, next_y) in zip(outline, [*outline[1:], outline[0]], strict=True):
        if (x < edge_in) != (next_x < edge_in):
            found.append(y + (edge_in - x) / (next_x - x) * (next_y - y))
    return found
