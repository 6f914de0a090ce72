"""A rib of a light wing, from front to spar, that tests change one thing of at a time."""

from typing import Any

from kiosk.numbers.rib_inputs import RibInputs

NOSE: dict[str, Any] = {
    "chord_in": 50.0,
    "front_station": 0.025,
    "rear_station": 0.2,
    "skin_in": 0.025,
    "thickness_in": 0.025,
    "bend_radius_in": 0.125,
    "flange_width_in": 0.625,
}


def inputs(**changes: Any) -> RibInputs:
    """The inputs of the rib between .025 and .2 of a 50 in chord, with changes."""
    return RibInputs(**{**NOSE, **changes})
