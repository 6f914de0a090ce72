"""What is at hand at a moment: which parts go through together, and the room as it was last read."""

from contextlib import suppress

from kiosk.record.context import Context
from kiosk.record.room import is_fresh
from kiosk.record.state import Work
from kiosk.record.together import other_blanks_in2
from kiosk.shop.at_hand import OTHER_BLANKS_IN_HAND, PARTS_IN_HAND, ROOM_HUMIDITY, ROOM_TEMPERATURE, AtHand
from kiosk.shop.figures import FigureFault
from kiosk.shop.procedure import Step


def at_hand(context: Context, work: Work, step: Step) -> AtHand:
    """The figures by name for a step in hand; a reading of the room that is too old is left out."""
    marks = work.marks if step.batch == "together" else work.marks[:1]
    kinds = [context.shop.kind_of(mark) for mark in marks if mark in context.shop.parts]
    found = {PARTS_IN_HAND: str(kinds.count(kinds[0]) if kinds else 1)}
    with suppress(FigureFault):  # where a blank's size is not known, what rests on it is not shown
        found[OTHER_BLANKS_IN_HAND] = f"{other_blanks_in2(context.shop, kinds):.8g}"
    state = context.state
    if is_fresh(context):
        for name, value in ((ROOM_TEMPERATURE, state.temperature_f), (ROOM_HUMIDITY, state.humidity_percent)):
            if value is not None:
                found[name] = f"{value:.8g}"
    return found
