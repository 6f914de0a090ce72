"""What is at hand at a moment: how many parts go through together, and the room as it was last read."""

from kiosk.record.context import Context
from kiosk.record.room import is_fresh
from kiosk.record.state import Work
from kiosk.shop.at_hand import PARTS_IN_HAND, ROOM_HUMIDITY, ROOM_TEMPERATURE, AtHand
from kiosk.shop.procedure import Step


def at_hand(context: Context, work: Work, step: Step) -> AtHand:
    """The figures by name for a step in hand; a reading of the room that is too old is left out."""
    found = {PARTS_IN_HAND: str(len(work.pieces) if step.batch == "together" else 1)}
    state = context.state
    if is_fresh(context):
        for name, value in ((ROOM_TEMPERATURE, state.temperature_f), (ROOM_HUMIDITY, state.humidity_percent)):
            if value is not None:
                found[name] = f"{value:.8g}"
    return found
