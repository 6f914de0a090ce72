"""A recorded trial strip as the arithmetic takes it."""

from dataclasses import fields

from kiosk.numbers.trial import TrialStrip
from kiosk.record.events import TrialBent


def strip_of(trial: TrialBent) -> TrialStrip:
    """A recorded strip as the fit takes it: the record's fields have the same names."""
    return TrialStrip(**{one.name: getattr(trial, one.name) for one in fields(TrialStrip)})
