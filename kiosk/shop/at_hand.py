"""Figures that nobody can write in a file: which parts are in hand, and what the room's instruments show.

A calculator's input may name one of them as it names a dimension. They are known at the bench alone; what is
checked before anybody is there is tried with the values of an ordinary day.
"""

from collections.abc import Mapping
from types import MappingProxyType

PARTS_IN_HAND = "parts_in_hand"  # of the kind whose figures are shown
OTHER_BLANKS_IN_HAND = "other_blanks_in_hand"  # square inches, one face, of those of other kinds
ROOM_TEMPERATURE = "room_temperature"  # degrees Fahrenheit
ROOM_HUMIDITY = "room_humidity"  # percent

AtHand = Mapping[str, str]
ORDINARY_DAY: AtHand = MappingProxyType(
    {PARTS_IN_HAND: "1", OTHER_BLANKS_IN_HAND: "0", ROOM_TEMPERATURE: "68", ROOM_HUMIDITY: "50"}
)
NOTHING_AT_HAND: AtHand = MappingProxyType({})
READ_FIRST = MappingProxyType(
    {
        PARTS_IN_HAND: "take the parts in hand first",
        OTHER_BLANKS_IN_HAND: "take the parts in hand first",
        ROOM_TEMPERATURE: "read the room first",
        ROOM_HUMIDITY: "read the room first",
    }
)


def with_what_is_at_hand(inputs: Mapping[str, str], at_hand: AtHand) -> dict[str, str]:
    """Inputs with the values of what is at hand in the place of their names; what is not is left as it is."""
    return {name: at_hand.get(text.strip(), text) for name, text in inputs.items()}


def not_at_hand(inputs: Mapping[str, str]) -> str:
    """The first name among the inputs that only the bench knows; empty when there is none."""
    return next((text.strip() for text in inputs.values() if text.strip() in READ_FIRST), "")
