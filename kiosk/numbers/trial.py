"""Trial strips: what this brake and this sheet really do.

The builder bends strips, measures them, and gets the effective neutral-line factor and the springback by
least squares, with an interval that says how much so few strips can know.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from kiosk.numbers.bends import LARGEST_ANGLE_DEG, flat_layout, setback_in
from kiosk.numbers.result import require, require_finite

QuantileOfT = Callable[[float, int], float]  # Student t: chance, degrees of freedom

MEASURING_SPREAD_IN = 0.010  # of a flat length less two legs, each by calipers; used while one strip is all
ANGLE_SPREAD_DEG = 0.5  # of a protractor reading
CHANCE = 0.95


@dataclass(frozen=True)
class TrialStrip:
    """One strip with one bend. Legs are outside, corner to corner; angles are degrees bent from flat."""

    flat_length_in: float
    leg_a_in: float
    leg_b_in: float
    angle_deg: float  # measured after release
    set_angle_deg: float  # what the brake was set to
    thickness_in: float
    inside_radius_in: float


@dataclass(frozen=True)
class Estimate:
    """A fitted value with the interval that holds the true one 19 times in 20."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class TrialFit:
    """What the strips say of this brake and sheet, and how well they know it."""

    neutral_factor: Estimate
    springback_factor: Estimate  # angle after release over angle set
    strips: int
    spread_in: float | None
    says: str


def allowance_of(strip: TrialStrip) -> float:
    """Bend allowance in inches that a strip shows: flat length - legs + 2 setbacks.

    Derived from bend deduction = 2 x setback - allowance (FAA-H-8083-31 ch. 4).
    """
    back = setback_in(strip.thickness_in, strip.inside_radius_in, strip.angle_deg)
    return strip.flat_length_in - strip.leg_a_in - strip.leg_b_in + 2 * back


def check_strip(strip: TrialStrip) -> None:
    """Refuse a strip whose figures cannot be. Raises OutOfRange naming the guilty field."""
    for argument, angle in (("angle_deg", strip.angle_deg), ("set_angle_deg", strip.set_angle_deg)):
        require(
            0 < angle < LARGEST_ANGLE_DEG,
            argument,
            "a strip's angle is outside 0 to 175 degrees",
            "give degrees bent from flat",
        )
    require(strip.thickness_in > 0, "thickness_in", "a strip has no thickness", "measure it")


def fit(strips: Sequence[TrialStrip], quantile_of_t: QuantileOfT) -> TrialFit:
    """Least squares through the origin for both factors.

    ``quantile_of_t(p, degrees)`` is Student's t; with n strips it has n - 1 degrees of freedom. With one
    strip the interval comes from how well calipers and protractor measure. Raises OutOfRange without strips
    or for one that cannot be; its ``argument`` is then the guilty field of TrialStrip.
    """
    require(len(strips) >= 1, "strips", "no strip is given", "bend one and measure it")
    for strip in strips:
        require_finite(vars(strip))
    for strip in strips:
        check_strip(strip)
    turns = [math.radians(strip.angle_deg) for strip in strips]
    neutral = _through_origin(
        [turn * strip.thickness_in for turn, strip in zip(turns, strips, strict=True)],
        [
            allowance_of(strip) - turn * strip.inside_radius_in
            for turn, strip in zip(turns, strips, strict=True)
        ],
        MEASURING_SPREAD_IN,
        quantile_of_t,
    )
    spring = _through_origin(
        [strip.set_angle_deg for strip in strips],
        [strip.angle_deg for strip in strips],
        ANGLE_SPREAD_DEG,
        quantile_of_t,
    )
    return TrialFit(neutral[0], spring[0], len(strips), neutral[1], _says(len(strips), neutral[0]))


def _through_origin(
    x: Sequence[float], y: Sequence[float], assumed_spread: float, quantile_of_t: QuantileOfT
) -> tuple[Estimate, float | None]:
    square = sum(value * value for value in x)
    slope = sum(a * b for a, b in zip(x, y, strict=True)) / square
    degrees = len(x) - 1
    if degrees == 0:
        half = 1.96 * assumed_spread / math.sqrt(square)
        return Estimate(slope, slope - half, slope + half), None
    left = sum((b - slope * a) ** 2 for a, b in zip(x, y, strict=True))
    spread = math.sqrt(left / degrees)
    half = quantile_of_t((1 + CHANCE) / 2, degrees) * spread / math.sqrt(square)
    return Estimate(slope, slope - half, slope + half), spread


def _says(strips: int, neutral: Estimate) -> str:
    half = (neutral.high - neutral.low) / 2
    if strips == 1:
        return f"One strip knows little: the factor may be off by {half:.2f}, from measuring alone."
    if strips == 2:
        return f"Two strips can hardly disagree enough to tell: off by {half:.2f} is possible. Bend a third."
    return f"{strips} strips: the factor is known to {half:.2f}, 19 times in 20."


def flat_width_from_trials(
    fitted: TrialFit,
    legs_in: Sequence[float],
    bend_angles_deg: Sequence[float],
    thickness_in: float,
    inside_radius_in: float,
) -> Estimate:
    """Flat width in inches of the real part with the fitted factor, and between which it may lie."""
    factor = fitted.neutral_factor
    low, value, high = (
        flat_layout(legs_in, bend_angles_deg, thickness_in, inside_radius_in, one).width_in
        for one in (factor.low, factor.value, factor.high)
    )
    return Estimate(value, low, high)


def brake_setting_deg(fitted: TrialFit, wanted_angle_deg: float) -> float:
    """What to set the brake to, in degrees from flat, for a wanted angle after release."""
    return wanted_angle_deg / fitted.springback_factor.value
