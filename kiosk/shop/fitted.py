"""What trial strips found of a sheet, as the figures of a part kind take it.

The record holds the strips and the bench hands their fits over; a fit is used for parts of the same alloy,
thickness, inside radius and grain direction, and never for others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:  # what works figures out is loaded when one is wanted: a start does without
    from kiosk.numbers.result import Calculator, Result
    from kiosk.numbers.trial import TrialFit

SAME_IN = 0.0015  # thickness and radius closer than this are the same sheet and the same bar
FITTED_CALCULATORS = frozenset({"flat_width", "overbend"})  # which a fit answers better than their formula


@dataclass(frozen=True)
class Bent:
    """What has to be the same for a strip to speak for a part: inches, and the bend's lie to the grain."""

    alloy: str
    thickness_in: float
    inside_radius_in: float
    grain: Literal["along", "across"]

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
    """The fit of the strips that speak for a part; None when there are none."""
    return next((one.fit for one in fits if one.of.is_like(wanted)), None)


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
    calculator: Calculator, arguments: Mapping[str, object], result: Result, fit: TrialFit
) -> Result:
    """A calculator's answer as strips have it, or the formula's with the reason why that one stands.

    ``result`` is the formula's answer to ``arguments``. Raises OutOfRange as the calculator does.
    """
    from kiosk.numbers.bends import FlatWidth, Overbend
    from kiosk.numbers.trial import setting_known, width_known

    if isinstance(result, FlatWidth) and "neutral_factor" not in arguments:
        known = width_known(
            fit,
            _floats(arguments["legs_in"]),
            _floats(arguments["bend_angles_deg"]),
            _float(arguments["thickness_in"]),
            _float(arguments["inside_radius_in"]),
        )
        if known.used:
            result = calculator.work({**arguments, "neutral_factor": fit.neutral_factor.value})
        return replace(result, warnings=(known.says, *result.warnings))
    if isinstance(result, Overbend) and "springback_factor" not in arguments:
        wanted = _float(arguments.get("bend_angle_deg", 90.0))
        known_setting = setting_known(fit, wanted, result.angle_deg)
        if known_setting.used:
            result = calculator.work({**arguments, "springback_factor": fit.springback_factor.value})
        return replace(result, warnings=(known_setting.says, *result.warnings))
    return result


def _float(value: object) -> float:
    assert isinstance(value, int | float)
    return float(value)


def _floats(values: object) -> tuple[float, ...]:
    assert isinstance(values, tuple)
    return tuple(_float(value) for value in values)
