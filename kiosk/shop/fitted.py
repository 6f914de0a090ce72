"""What trial strips found of a sheet, as the figures of a part kind take it.

The record holds the strips and the bench hands their fits over; a fit is used for parts of the same alloy,
thickness, inside radius and grain direction, and never for others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from kiosk.dataclass import dataclass

if TYPE_CHECKING:  # what works figures out is loaded when one is wanted: a start does without
    from kiosk.numbers.result import Calculator, Result
    from kiosk.numbers.trial import TrialFit

SAME_IN = 0.0015  # thickness and radius closer than this are the same sheet and the same bar
# Which a fit answers better than their formula.
FITTED_CALCULATORS = frozenset(
    {"flat_width", "overbend", "nose_room", "bend_allowance", "bend_deduction", "j_bend"}
)
_J_BEND_DEG = 180.0
_FLANGE_DEG = 90.0
_APART_IN = 0.0015  # less is told by no rule


@dataclass(frozen=True)
class Bent:
    """What has to be the same for a strip to speak for a part: inches, and the bend's lie to the grain."""

    alloy: str
    thickness_in: float
    inside_radius_in: float
    grain: str  # along or across; any or nothing for a part that no strip can speak for

    def is_like(self, other: Bent) -> bool:
        """True when a strip of the one speaks for a part of the other."""
        return (
            self.alloy == other.alloy
            and self.grain == other.grain
            and abs(self.thickness_in - other.thickness_in) < SAME_IN
            and abs(self.inside_radius_in - other.inside_radius_in) < SAME_IN
        )


@dataclass(frozen=True)
class Fitted:
    """What the strips of one sheet, radius and grain direction say."""

    of: Bent
    fit: TrialFit


def plain_alloy(written: str) -> str:
    """An alloy's name as it is compared: in capitals, spaces single, clad told from bare."""
    return " ".join(written.upper().replace("ALCLAD", "CLAD").split())


def fit_for(fits: Sequence[Fitted], wanted: Bent) -> TrialFit | None:
    """The fit of the strips that speak for a part; None when there are none.

    Strips a thousandth apart may be groups by themselves: the most strips speak, then the nearest.
    """
    alike = [one for one in fits if one.of.is_like(wanted)]
    if not alike:
        return None
    off = {id(one): abs(one.of.thickness_in - wanted.thickness_in) for one in alike}
    return max(alike, key=lambda one: (one.fit.strips, -off[id(one)])).fit


def not_told_how_it_lies(fits: Sequence[Fitted], wanted: Bent) -> str:
    """What to say where strips of a sheet count and nothing tells how the bend lies; empty where none do.

    The grain of ``wanted`` is left out of it.
    """
    from kiosk.numbers.trial import setting_known

    grains = sorted(
        one.of.grain
        for one in fits
        if one.of.is_like(replace(wanted, grain=one.of.grain)) and setting_known(one.fit, 90.0, None).used
    )
    if not grains:
        return ""
    return (
        f"Strips of this sheet count, bent {' and '.join(grains)} the grain: the formula stands until"
        " sheet_grain says how this bend lies."
    )


def factor_of_section(fit: TrialFit, arguments: Mapping[str, object]) -> float | None:
    """The neutral factor that strips give a section, None where the formula stands.

    ``arguments`` are those of ``flat_width``. Raises OutOfRange as that does.
    """
    from kiosk.numbers.trial import width_known

    known = width_known(
        fit,
        _floats(arguments["legs_in"]),
        _floats(arguments["bend_angles_deg"]),
        _float(arguments["thickness_in"]),
        _float(arguments["inside_radius_in"]),
    )
    return fit.neutral_factor.value if known.used else None


def with_fit(
    calculator: Calculator,
    arguments: Mapping[str, object],
    result: Result,
    fit: TrialFit,
    figure: str | None = None,
) -> Result:
    """A calculator's answer as strips have it, or the formula's with the reason why that one stands.

    ``result`` is the formula's answer to ``arguments``, and ``figure`` the one of its figures that is asked
    for: what strips say of another names it. Raises OutOfRange as the calculator does.
    """
    from kiosk.numbers.bends import BendAllowance, BendDeduction, FlatWidth, JBend, Overbend
    from kiosk.numbers.channels import NoseRoom
    from kiosk.numbers.trial import allowance_known, setting_known, width_known

    if "neutral_factor" in arguments or "springback_factor" in arguments:
        return result  # as it is written
    named = figure is not None and not _is_headline(result, figure)
    by_fit = {"neutral_factor": fit.neutral_factor.value}
    if isinstance(result, FlatWidth):
        known = width_known(
            fit,
            _floats(arguments["legs_in"]),
            _floats(arguments["bend_angles_deg"]),
            _float(arguments["thickness_in"]),
            _float(arguments["inside_radius_in"]),
            named=named,
        )
        if known.used:
            result = calculator.work({**arguments, **by_fit})
        return replace(result, warnings=(known.says, *result.warnings))
    if isinstance(result, BendAllowance | BendDeduction | JBend):
        turned_deg = (
            _J_BEND_DEG if isinstance(result, JBend) else _float(arguments.get("bend_angle_deg", 90.0))
        )
        inside = 0 <= fit.neutral_factor.value <= 1  # else no calculator takes it, and the formula stands
        fitted = calculator.work({**arguments, **by_fit}) if inside else result
        known = allowance_known(
            fit,
            turned_deg,
            _float(arguments["thickness_in"]),
            _float(fitted.headline.value),
            _float(result.headline.value),
            name=result.headline.name if named else "",
        )
        chosen = fitted if known.used else result
        return replace(chosen, warnings=(known.says, *chosen.warnings))
    if isinstance(result, Overbend | NoseRoom):
        by_formula_deg = result.angle_deg if isinstance(result, Overbend) else result.set_deg
        wanted_deg = (
            _float(arguments.get("bend_angle_deg", 90.0))
            if isinstance(result, Overbend)
            else _floats(arguments["bend_angles_deg"])[-1]
        )
        known_setting = setting_known(fit, wanted_deg, by_formula_deg)
        if known_setting.used:
            result = calculator.work({**arguments, "springback_factor": fit.springback_factor.value})
        return replace(result, warnings=(known_setting.says, *result.warnings))
    return result


def blank_by_formula(fit: TrialFit, thickness_in: float, inside_radius_in: float) -> str:
    """What to say of a rib's blank, which is laid out by the formula, where strips count; else empty.

    Its flanges are formed over a block by hand, so that strips bent in a brake do not move its edge; but
    whoever cuts it has to know how far the two are apart.
    """
    from kiosk.numbers.bends import arc_allowance_in, empirical_allowance_in
    from kiosk.numbers.trial import allowance_known

    formula_in = empirical_allowance_in(thickness_in, inside_radius_in, _FLANGE_DEG)
    arc_in = arc_allowance_in(thickness_in, inside_radius_in, _FLANGE_DEG, fit.neutral_factor.value)
    known = allowance_known(fit, _FLANGE_DEG, thickness_in, arc_in, formula_in)
    apart_in = arc_in - formula_in
    if not known.used or abs(apart_in) < _APART_IN:
        return ""
    return (
        f"Laid out by the formula: {fit.counted} say that each flange takes {abs(apart_in):.3f} in"
        f" {'more' if apart_in > 0 else 'less'} sheet."
    )


def _is_headline(result: Result, figure: str) -> bool:
    """True where a figure is the one that an answer begins with, by whatever name."""
    try:
        found = result.figure(figure)
    except KeyError:
        return True
    return (found.value, found.unit) == (result.headline.value, result.headline.unit)


def _float(value: object) -> float:
    assert isinstance(value, int | float)
    return float(value)


def _floats(values: object) -> tuple[float, ...]:
    assert isinstance(values, tuple)
    return tuple(_float(value) for value in values)
