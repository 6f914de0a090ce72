"""What the legs of a bent section are called on a drawing."""

from collections.abc import Sequence
from typing import Literal

LegsCalled = Literal["by number", "channel", "angle"]
CHANNEL_LEGS = ("upper flange", "web", "lower flange")


def leg_names(legs_in: Sequence[float], called: LegsCalled = "by number") -> tuple[str, ...]:
    """The names of the legs in order.

    A channel is given from the upper edge of its flat. The legs of an angle go by their length, where that
    tells them apart; anything else goes by number.
    """
    if called == "channel" and len(legs_in) == len(CHANNEL_LEGS):
        return CHANNEL_LEGS
    if called == "angle" and len(legs_in) == 2 and abs(legs_in[0] - legs_in[1]) > 1 / 64:
        return ("long leg", "short leg") if legs_in[0] > legs_in[1] else ("short leg", "long leg")
    return tuple(f"leg {number}" for number in range(1, len(legs_in) + 1))


def the(name: str) -> str:
    """A leg's name within a sentence."""
    return name if name.startswith("leg ") else f"the {name}"


def bend_names(legs_in: Sequence[float], called: LegsCalled = "by number") -> tuple[str, ...]:
    """The names of the bends in order."""
    if called == "channel" and len(legs_in) == len(CHANNEL_LEGS):
        return ("upper bend", "lower bend")
    return tuple(f"bend {number}" for number in range(1, len(legs_in)))
