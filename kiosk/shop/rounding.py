"""Whether a typed figure is the one that is worked out, as far as it was rounded when it was printed."""

import re

from kiosk.errors import KioskError
from kiosk.numbers.result import Quantity
from kiosk.shop.figures import is_nothing
from kiosk.shop.measures import read_number

SAME_LENGTH_IN = 0.0005
SAME_ON_A_RIB_IN = 0.01  # plans round the ordinates of a section; a rib laid out from it differs by as much
SAME_SHARE = 0.0005  # of the chord, as plans print a station
A_RULE_READS_IN = 1 / 128  # a fraction is good to half a sixty-fourth
_HAIR = 1e-9  # what binary arithmetic leaves over
_DECIMALS = re.compile(r"\.(\d+)")
_METRIC = re.compile(r"\d\s*(mm|cm)\b")
_INCHES = {"mm": 1 / 25.4, "cm": 10 / 25.4}


def differs(typed: str, found: Quantity, *, from_rib: bool) -> bool:
    """True when the typed figure is another than the worked one, by more than it was rounded.

    ``none`` is a figure too: nothing of it, where something is worked out.
    """
    if isinstance(found.value, str):
        return False
    try:
        given = 0.0 if is_nothing(typed) else read_number(typed, found.unit or "count")
    except KioskError:
        return False  # named where a step uses it
    return abs(given - found.value) > rounding(typed, found.unit, from_rib=from_rib) + _HAIR


def rounding(typed: str, unit: str, *, from_rib: bool) -> float:
    """How far the typed figure may lie from the true one by its own rounding."""
    decimals, metric = _DECIMALS.search(typed), _METRIC.search(typed)
    if unit == "in":
        least = SAME_ON_A_RIB_IN if from_rib else SAME_LENGTH_IN
        if metric is not None:
            return max(least, 0.5 * 10.0 ** -len(decimals[1] if decimals else "") * _INCHES[metric[1]])
        if "/" in typed:
            return max(least, A_RULE_READS_IN)
        return max(least, min(A_RULE_READS_IN, 0.5 * 10.0 ** -len(decimals[1]))) if decimals else least
    if unit == "" and decimals:  # a share of the chord, or a factor
        return min(SAME_SHARE, 0.5 * 10.0 ** -len(decimals[1]))
    if unit in ("deg", "min", "F", "%", "lb", "lbf", "in-lb"):
        return 0.5 * 10.0 ** -len(decimals[1]) if decimals else 0.5
    return _HAIR


def exactly(found: Quantity) -> str:
    """Enough figures to tell it from the typed one."""
    if found.unit == "in" and not isinstance(found.value, str):
        return f"{found.value:.4f} in"
    return found.show()
