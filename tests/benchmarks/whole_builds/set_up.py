"""What setting up comes to in a simulated sitting: a step pays what it wants more than is out."""

from collections.abc import Mapping

from kiosk.record.out_on_bench import NOTHING_OUT, MinutesOut
from kiosk.shop.procedure import Family, Procedure, Step

Out = Mapping[Family, MinutesOut]


def more_than_out(out: Out, procedure: Procedure, step: Step) -> MinutesOut:
    """Minutes by the procedure that a step wants more to set up, and to put away, than its family has out."""
    found, written = out.get(procedure.family_of(step), NOTHING_OUT), step.minutes
    return MinutesOut(max(0.0, written.set_up - found.set_up), max(0.0, written.put_away - found.put_away))


def with_more(out: Out, family: Family, more: MinutesOut) -> MinutesOut:
    """What is out of a family with that."""
    found = out.get(family, NOTHING_OUT)
    return MinutesOut(found.set_up + more.set_up, found.put_away + more.put_away)
