"""Trial strips: what this brake and this sheet really do.

The builder bends strips, measures them, and gets the effective neutral-line factor and the springback by
least squares, with an interval that says how much so few strips can know.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields

from kiosk.numbers.bends import (
    LARGEST_ANGLE_DEG,
    arc_allowance_in,
    check_bend,
    flat_layout,
    setback_in,
)
from kiosk.numbers.result import OutOfRange, require, require_finite, split_unit
from kiosk.plural import so_many

QuantileOfT = Callable[[float, int], float]  # Student t: chance, degrees of freedom

MEASURING_SPREAD_IN = 0.010  # of a flat length less two legs, each by calipers; used while one strip is all
ANGLE_SPREAD_DEG = 0.5  # of a protractor reading
READ_TO_IN = 0.001  # calipers: no interval is told narrower, however well strips agree
READ_TO_DEG = 0.1
CHANCE = 0.95

# A width is marked and cut to a sixty-fourth. Wider than that, strips know too little to move it.
WIDEST_HALF_IN = 1 / 64
LEAST_STRIPS = 3
WIDEST_SETTING_DEG = 1.0  # of a brake setting either way; more would miss what a bend is held to

# What no strip shows. Calipers err by far less than this; a bend's neutral line lies within the sheet.
ALLOWANCE_SLACK_IN = 0.020
LEAST_SPRINGBACK = 0.5  # angle after release over angle set; less is a sheet that sprang nearly flat
PROTRACTOR_SLACK_DEG = 1.5  # a bend never goes on bending after release
LONGEST_STRIP_IN = 48.0


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
    unsprung: int = 0  # strips that had after release the angle that was set, or more
    read_to_factor: float = 0.0  # what one reading of the calipers leaves open of the neutral factor
    read_to_springback: float = 0.0  # and one of the protractor of the springback

    @property
    def told_neutral(self) -> Estimate:
        """The neutral factor as it is told: never closer than one reading, however well strips agree."""
        return _no_closer(self.neutral_factor, self.read_to_factor)

    @property
    def told_springback(self) -> Estimate:
        """The springback factor as it is told: never closer than one reading."""
        return _no_closer(self.springback_factor, self.read_to_springback)

    @property
    def counted(self) -> str:
        """How many strips it rests on, in words."""
        return so_many(self.strips, "strip", "strips")


def _no_closer(found: Estimate, half: float) -> Estimate:
    return Estimate(found.value, min(found.low, found.value - half), max(found.high, found.value + half))


def allowance_of(strip: TrialStrip) -> float:
    """Bend allowance in inches that a strip shows: flat length - legs + 2 setbacks.

    Derived from bend deduction = 2 x setback - allowance (FAA-H-8083-31 ch. 4).
    """
    back = setback_in(strip.thickness_in, strip.inside_radius_in, strip.angle_deg)
    return strip.flat_length_in - strip.leg_a_in - strip.leg_b_in + 2 * back


# What a trial strip needs, by name: the unit of each figure, and empty for the two that are words.
TRIAL_FIGURES: dict[str, str] = {
    "alloy": "",
    "grain": "",
    **dict(split_unit(one.name) for one in fields(TrialStrip)),
}


def check_strip(strip: TrialStrip) -> None:
    """Refuse a strip whose figures cannot be. Raises OutOfRange naming the guilty field.

    Legs are held to their setbacks, the angle after release to the angle set, and the bend allowance that
    the three lengths show to a neutral line within the sheet, errors of measuring allowed.
    """
    require_finite(vars(strip))
    for argument, words in (("angle_deg", "the angle after release"), ("set_angle_deg", "the angle set")):
        angle: float = getattr(strip, argument)
        require(
            0 < angle < LARGEST_ANGLE_DEG,
            argument,
            f"{words} of {angle:g} is outside 0 to {LARGEST_ANGLE_DEG:g} degrees",
            "give degrees bent from flat",
        )
    require(
        strip.angle_deg <= strip.set_angle_deg + PROTRACTOR_SLACK_DEG,
        "angle_deg",
        f"{strip.angle_deg:g} degrees after release is more than the {strip.set_angle_deg:g} set",
        "measure the angle again, or give what the brake was set to",
    )
    require(
        strip.angle_deg >= LEAST_SPRINGBACK * strip.set_angle_deg,
        "angle_deg",
        f"{strip.angle_deg:g} degrees after release is less than half of the {strip.set_angle_deg:g} set",
        "give both as degrees bent from flat",
    )
    require(
        strip.thickness_in > 0,
        "thickness_in",
        f"a thickness of {strip.thickness_in:g} in is no sheet",
        "measure it",
    )
    check_bend(strip.thickness_in, strip.inside_radius_in, strip.angle_deg, "angle_deg")
    back = setback_in(strip.thickness_in, strip.inside_radius_in, strip.angle_deg)
    for argument, words in (("leg_a_in", "leg a"), ("leg_b_in", "leg b")):
        leg: float = getattr(strip, argument)
        require(
            back <= leg < LONGEST_STRIP_IN,
            argument,
            f"{words} of {leg:g} in cannot be: its setback alone is {back:.3f} in",
            "measure it outside, from the corner to its edge",
        )
    require(
        0 < strip.flat_length_in < LONGEST_STRIP_IN,
        "flat_length_in",
        f"a flat length of {strip.flat_length_in:g} in is no trial strip",
        f"give what it measured before bending, less than {LONGEST_STRIP_IN:g} in",
    )
    least, most = (
        arc_allowance_in(strip.thickness_in, strip.inside_radius_in, strip.angle_deg, factor)
        for factor in (0.0, 1.0)
    )
    shown = allowance_of(strip)
    require(
        least - ALLOWANCE_SLACK_IN <= shown <= most + ALLOWANCE_SLACK_IN,
        "flat_length_in",
        f"flat {strip.flat_length_in:g} with legs {strip.leg_a_in:g} and {strip.leg_b_in:g} in leaves"
        f" {shown:.3f} in for the bend, which takes {least:.3f} to {most:.3f}",
        "measure the flat length and both legs again",
    )


def fit(strips: Sequence[TrialStrip], quantile_of_t: QuantileOfT) -> TrialFit:
    """Least squares through the origin for both factors.

    ``quantile_of_t(p, degrees)`` is Student's t; with n strips it has n - 1 degrees of freedom. With one
    strip the interval comes from how well calipers and protractor measure. Raises OutOfRange without strips
    or for one that cannot be; its ``argument`` is then the guilty field of TrialStrip.
    """
    require(len(strips) >= 1, "strips", "no strip is given", "bend one and measure it")
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
    # One reading goes into every strip alike: that they agree does not tell how far off it is.
    read_to_factor = READ_TO_IN / max(
        turn * strip.thickness_in for turn, strip in zip(turns, strips, strict=True)
    )
    return TrialFit(
        neutral[0],
        spring[0],
        len(strips),
        neutral[1],
        _says(len(strips), _no_closer(neutral[0], read_to_factor)),
        unsprung=sum(has_not_sprung(strip) for strip in strips),
        read_to_factor=read_to_factor,
        read_to_springback=READ_TO_DEG / max(strip.set_angle_deg for strip in strips),
    )


def has_not_sprung(strip: TrialStrip) -> bool:
    """True for a strip with the angle that was set, or more: every hard sheet springs back on release."""
    return strip.angle_deg >= strip.set_angle_deg


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


_NO_BEND = "The strips disagree with any bend: the formula stands. Measure them again."


@dataclass(frozen=True)
class KnownWidth:
    """What strips say of one part's flat width, and whether it is the one to cut by."""

    estimate: Estimate
    formula_in: float
    used: bool
    says: str


def width_known(
    fitted: TrialFit,
    legs_in: Sequence[float],
    bend_angles_deg: Sequence[float],
    thickness_in: float,
    inside_radius_in: float,
    *,
    named: bool = False,
) -> KnownWidth:
    """The flat width that strips say of a part, beside the handbook's formula, and which of them stands.

    The fitted width is used from three strips on, once its interval is no wider than 1/64 in either way, the
    limit to which the width is cut, and its neutral line lies within the sheet. Otherwise the formula's
    stands, and ``says`` tells why and what to do; ``named`` where another figure stands above it. Raises
    OutOfRange as :func:`flat_layout` does.
    """
    section = (legs_in, bend_angles_deg, thickness_in, inside_radius_in)
    formula_in = flat_layout(*section).width_in
    try:
        estimate = flat_width_from_trials(fitted, *section)
    except OutOfRange:  # of the factor, for the formula took the section
        return KnownWidth(Estimate(formula_in, formula_in, formula_in), formula_in, False, _NO_BEND)
    return _which_stands(fitted, estimate, formula_in, "flat width" if named else "")


def _which_stands(fitted: TrialFit, estimate: Estimate, formula_in: float, name: str) -> KnownWidth:
    """Which of both stands. ``name`` says what they are of, where another figure stands above the words."""
    half = max((estimate.high - estimate.low) / 2, READ_TO_IN)
    of = f"{name[:1].upper()}{name[1:]} by " if name else ""
    strips = f"{of}{fitted.counted}"
    found = f"{strips}: {estimate.value:.3f} ± {half:.3f}"
    if not 0 <= fitted.neutral_factor.value <= 1:
        return KnownWidth(estimate, formula_in, False, _NO_BEND)
    if fitted.strips < LEAST_STRIPS:
        more = LEAST_STRIPS - fitted.strips
        says = f"{strips}: {estimate.value:.3f}. The formula stands until {LEAST_STRIPS}: bend {more} more."
        return KnownWidth(estimate, formula_in, False, says)
    if half > WIDEST_HALF_IN:
        says = f"{found}, too wide: the formula stands. Bend another."
        return KnownWidth(estimate, formula_in, False, says)
    fitted_from = "" if name else "Fitted from "
    return KnownWidth(estimate, formula_in, True, f"{fitted_from}{found}; by formula {formula_in:.3f}.")


def allowance_known(
    fitted: TrialFit,
    turned_deg: float,
    thickness_in: float,
    fitted_in: float,
    formula_in: float,
    *,
    name: str = "",
) -> KnownWidth:
    """What strips say of a length that ``turned_deg`` of bend go into, beside the handbook's formula.

    ``fitted_in`` is the length by the fitted factor and ``formula_in`` by the formula. Which one stands is
    decided as for a flat width (:func:`width_known`). ``name`` is what the length is called, where another
    figure stands above the words. Raises nothing.
    """
    factor = fitted.neutral_factor
    off = math.radians(turned_deg) * thickness_in
    estimate = Estimate(
        fitted_in,
        fitted_in - (factor.high - factor.value) * off,
        fitted_in + (factor.value - factor.low) * off,
    )
    return _which_stands(fitted, estimate, formula_in, name)


def brake_setting_deg(fitted: TrialFit, wanted_angle_deg: float) -> float:
    """What to set the brake to, in degrees from flat, for a wanted angle after release."""
    return wanted_angle_deg / fitted.springback_factor.value


@dataclass(frozen=True)
class KnownSetting:
    """What strips say of the brake setting for an angle, and whether it is the one to bend by."""

    used: bool
    says: str


def setting_known(fitted: TrialFit, wanted_angle_deg: float, formula_deg: float | None) -> KnownSetting:
    """The brake setting that strips say, beside the formula's where it has one, and which of them stands.

    As with the width, a strip or two may be mistyped and nothing would tell: the fitted setting is used from
    three strips on, once it is known to a degree. A strip that did not spring back was not measured off the
    brake, or its setting was: while one counts, no setting is taken from them.
    """
    factor = fitted.springback_factor
    strips = fitted.counted
    found = f"{strips}: set {brake_setting_deg(fitted, wanted_angle_deg):.1f}"
    formula = f"; by formula {formula_deg:.1f}" if formula_deg is not None else ""
    if fitted.strips < LEAST_STRIPS:
        more = LEAST_STRIPS - fitted.strips
        return KnownSetting(False, f"{found}. The formula stands until {LEAST_STRIPS}: bend {more} more.")
    if fitted.unsprung:
        some = strips if fitted.unsprung == fitted.strips else f"{fitted.unsprung} of {strips}"
        return KnownSetting(False, f"{some} did not spring back: the formula stands. Measure again.")
    if factor.low <= 0:
        return KnownSetting(False, f"{strips} disagree: the formula stands. Look at their figures.")
    half = (wanted_angle_deg / factor.low - wanted_angle_deg / factor.high) / 2
    if half > WIDEST_SETTING_DEG:
        return KnownSetting(
            False, f"{found} ± {half:.1f}, too wide: the formula stands. Look at the figures."
        )
    return KnownSetting(True, f"Fitted from {found} ± {max(half, READ_TO_DEG):.1f}{formula}.")


_AGREED_ANGLES_DEG = (90.0, 90.0)  # of a channel: what strips have to agree well enough for


@dataclass(frozen=True)
class OddStrip:
    """The one strip that the others agree without, and by how much it is off what they say of it."""

    place: int  # among the strips, from 0
    off_in: float  # its bend allowance less that of the others' fit
    off_deg: float  # its angle after release less that of the others' fit
    in_length: bool  # its lengths break the agreement
    in_angle: bool  # its angles do


def odd_strip(strips: Sequence[TrialStrip], quantile_of_t: QuantileOfT) -> OddStrip | None:
    """The strip of one sheet, radius and grain without which three or more others agree; None for none.

    Each is left out in turn. Strips agree when they know the flat width of a channel and its brake setting as
    well as they must to be used: to 1/64 in and to a degree, either way. Where the others agree without any
    one of several, it is the one that is furthest off in its spreads. Raises OutOfRange as :func:`fit` does.
    """
    if len(strips) <= LEAST_STRIPS:
        return None
    together = _agreement(fit(strips, quantile_of_t), strips[0].thickness_in)
    if together == (True, True):
        return None
    found: list[tuple[float, OddStrip]] = []
    for place, strip in enumerate(strips):
        others = [one for other, one in enumerate(strips) if other != place]
        fitted = fit(others, quantile_of_t)
        if _agreement(fitted, strip.thickness_in) != (True, True):
            continue
        turn = math.radians(strip.angle_deg)
        neutral_in = strip.inside_radius_in + fitted.neutral_factor.value * strip.thickness_in
        off_in = allowance_of(strip) - turn * neutral_in
        off_deg = strip.angle_deg - fitted.springback_factor.value * strip.set_angle_deg
        odd = OddStrip(place, off_in, off_deg, not together[0], not together[1])
        found.append((abs(off_in) / WIDEST_HALF_IN + abs(off_deg) / WIDEST_SETTING_DEG, odd))
    return max(found, key=lambda one: one[0])[1] if found else None


def _agreement(fitted: TrialFit, thickness_in: float) -> tuple[bool, bool]:
    """Whether strips know the flat width of a channel, and the brake setting, well enough to be used."""
    factor = fitted.neutral_factor
    turn = sum(math.radians(angle) for angle in _AGREED_ANGLES_DEG)
    half_in = turn * thickness_in * (factor.high - factor.low) / 2
    in_length = half_in <= WIDEST_HALF_IN and 0 <= factor.value <= 1
    return in_length, setting_known(fitted, _AGREED_ANGLES_DEG[0], None).used
