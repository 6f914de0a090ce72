"""A recorded trial strip as the arithmetic takes it."""

from kiosk.numbers.trial import TrialStrip
from kiosk.record.events import TrialBent


def strip_of(trial: TrialBent) -> TrialStrip:
    """A recorded strip as the fit takes it."""
    return TrialStrip(
        flat_length_in=trial.flat_length_in,
        leg_a_in=trial.leg_a_in,
        leg_b_in=trial.leg_b_in,
        angle_deg=trial.angle_deg,
        set_angle_deg=trial.set_angle_deg,
        thickness_in=trial.thickness_in,
        inside_radius_in=trial.inside_radius_in,
    )
