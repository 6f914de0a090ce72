"""What the recorded trial strips say of a sheet and a radius."""

from collections.abc import Sequence

from kiosk.errors import KioskError
from kiosk.numbers.trial import TrialFit, fit
from kiosk.planning.times.student_t import quantile
from kiosk.record.events import TrialBent
from kiosk.record.state import State
from kiosk.record.strips import strip_of
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import NumberWanted, Step
from kiosk.shop.shop import Shop

SAME_IN = 0.0015  # thickness and radius closer than this are the same sheet and the same bar


def trial_fit(trials: Sequence[TrialBent]) -> TrialFit:
    """The fit of some strips. Raises OutOfRange when there is none or a figure cannot be."""
    return fit([strip_of(trial) for trial in trials], quantile)


def trials_like(state: State, alloy: str, thickness_in: float, radius_in: float) -> list[TrialBent]:
    """The strips of the same alloy, thickness and radius."""
    return [
        trial
        for trial in state.trials
        if trial.alloy == alloy
        and abs(trial.thickness_in - thickness_in) < SAME_IN
        and abs(trial.inside_radius_in - radius_in) < SAME_IN
    ]


def trials_by_sheet(state: State) -> dict[tuple[str, float, float], list[TrialBent]]:
    """All strips by alloy, thickness and radius, in the order they were first bent."""
    groups: dict[tuple[str, float, float], list[TrialBent]] = {}
    for one in state.trials:
        key = (one.alloy, one.thickness_in, one.inside_radius_in)
        if key not in groups:
            groups[key] = trials_like(state, *key)
    return groups


def trial_line(shop: Shop, state: State, kind: PartKind, step: Step) -> str:
    """What the strips say, for a step that asks for a bend of this kind; empty when there are none."""
    bends = [
        wanted
        for wanted in step.numbers
        if isinstance(wanted, NumberWanted) and wanted.calculator in ("bend_deduction", "overbend")
    ]
    if not bends:
        return ""
    try:
        inputs = bends[0].inputs
        radius = shop.figures.number(kind, inputs["inside_radius"], "in")
        thickness = shop.figures.number(kind, inputs["thickness"], "in")
        like = trials_like(state, shop.figures.text(kind, "alloy"), thickness, radius)
        fitted = trial_fit(like)
    except KioskError:  # no strips, or figures that `kiosk check` names
        return ""
    factor, spring = fitted.neutral_factor, fitted.springback_factor
    return (
        f"Your {len(like)} strips: neutral {factor.value:.3f} ({factor.low:.2f} to {factor.high:.2f}),"
        f" set the brake to {90 / spring.value:.1f} for 90"
    )
