"""Aircraft bolts: the torque to set on a nut, and the dash number for a grip."""

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from kiosk.numbers.result import Result, calculator, figure, require

__all__ = ["BoltGrip", "BoltTorque", "bolt_grip", "bolt_torque"]

# AC 43.13-1B Table 7-1, inch-pounds, cadmium-plated steel, oil-free threads: low, high and most for a
# tension nut (MS20365, AN310), then for a shear nut (MS20364, AN320).
TABLE_7_1 = MappingProxyType(
    {
        "8-36": ((12, 15, 20), (7, 9, 12)),
        "10-32": ((20, 25, 40), (12, 15, 25)),
        "1/4-28": ((50, 70, 100), (30, 40, 60)),
        "5/16-24": ((100, 140, 225), (60, 85, 140)),
        "3/8-24": ((160, 190, 390), (95, 110, 240)),
        "8-32": ((12, 15, 20), (7, 9, 12)),
        "10-24": ((20, 25, 35), (12, 15, 21)),
        "1/4-20": ((40, 50, 75), (25, 30, 45)),
        "5/16-18": ((80, 90, 160), (48, 55, 100)),
        "3/8-16": ((160, 185, 275), (95, 100, 170)),
    }
)
Thread = Literal[
    "8-36", "10-32", "1/4-28", "5/16-24", "3/8-24", "8-32", "10-24", "1/4-20", "5/16-18", "3/8-16"
]


@dataclass(frozen=True, kw_only=True)
class BoltTorque(Result):
    """The torque to set, drag included, and the table's range without it."""

    torque_in_lb: float
    table_low_in_lb: int
    table_high_in_lb: int
    table_most_in_lb: int
    never_over_in_lb: float = figure("never over, drag included")


@calculator(
    subject="bolts",
    title="Bolt torque, drag included",
    formula="the middle of the table's range, plus the friction drag of a locking nut",
    source="AC 43.13-1B Table 7-1 and paragraph 7-40",
    holds="steel bolts 8-36 to 3/8, cadmium-plated, oil-free threads; the plans come first",
)
def bolt_torque(
    thread: Thread, nut: Literal["tension", "shear"] = "tension", drag_in_lb: float = 0.0
) -> BoltTorque:
    """Torque to set on a small bolt's nut.

    Parameters
    ----------
    thread : str
        Size of the thread: fine (``10-32`` is AN3, ``1/4-28`` AN4, ``5/16-24`` AN5, ``3/8-24`` AN6) or
        coarse.
    nut : {'tension', 'shear'}, default 'tension'
        Kind of nut: MS20365 and AN310, or the thinner MS20364 and AN320.
    drag_in_lb : float, default 0
        Friction drag of a locking nut in inch-pounds, 0 to below the table's most.

    Returns
    -------
    BoltTorque
        ``torque_in_lb`` in inch-pounds is the middle of ``table_low_in_lb`` and ``table_high_in_lb`` [1]_
        with the drag added; ``table_most_in_lb`` is the table's limit, ``never_over_in_lb`` the limit with
        the drag [2]_.

    Raises
    ------
    OutOfRange
        When the drag is negative or more than the bolt may have.

    References
    ----------
    .. [1] FAA AC 43.13-1B, Table 7-1, cadmium-plated steel, oil-free threads.
    .. [2] FAA AC 43.13-1B, paragraph 7-40: add the drag; a castle nut starts at the least and never goes over
       the most.

    Examples
    --------
    >>> bolt_torque("10-32", drag_in_lb=4).torque_in_lb
    26.5
    """
    low, high, most = TABLE_7_1[thread][0 if nut == "tension" else 1]
    require(
        0 <= drag_in_lb < most, "drag_in_lb", "the drag is more than the bolt may have", "use another nut"
    )
    return BoltTorque(
        torque_in_lb=(low + high) / 2 + drag_in_lb,
        table_low_in_lb=low,
        table_high_in_lb=high,
        table_most_in_lb=most,
        never_over_in_lb=most + drag_in_lb,
        warnings=("Add the drag of the nut you have in hand.",),
    )


# From the dash number counted in eighths of an inch to the bolt's grip: the thread's length under the nut.
# Reworked from catalogue lengths (AN4-7 is .906 long; AN4-15 grips 1-3/16, AN5-27 2-7/16, AN6-20 1-7/16).
_LESS_IN = MappingProxyType({"AN3": 3 / 8, "AN4": 7 / 16, "AN5": 7 / 16, "AN6": 9 / 16})
_LONGEST_EIGHTHS = 40


@dataclass(frozen=True, kw_only=True)
class BoltGrip(Result):
    """The bolt to take, its grip, and what washers have to take up."""

    bolt: str
    grip_in: float
    to_take_up_in: float = figure("longer than the stack, washers take it up")


@calculator(
    subject="bolts",
    title="Bolt for a grip",
    formula="the shortest bolt whose plain shank reaches through the stack: dash number in eighths, less the "
    "thread; what the shank is longer goes into washers",
    source="grips of AN3 to AN6 as catalogues list them, reworked from length less thread",
    holds="AN3 to AN6; no thread may bear in the hole; three washers at most (common practice, no source)",
)
def bolt_grip(
    stack_in: float, bolt: Literal["AN3", "AN4", "AN5", "AN6"] = "AN3", washer_in: float = 0.0625
) -> BoltGrip:
    """Dash number of the AN bolt that grips a stack.

    Parameters
    ----------
    stack_in : float
        Everything between head and washer added up, in inches, above 0 to 4.
    bolt : {'AN3', 'AN4', 'AN5', 'AN6'}, default 'AN3'
        Diameter: 3/16, 1/4, 5/16 or 3/8.
    washer_in : float, default 0.0625
        Thickness of the washer under the nut in inches, 0 to 0.125; AN960 is 1/16, its thin one 1/32.

    Returns
    -------
    BoltGrip
        ``bolt`` is the number without letters for drilling, ``grip_in`` its plain shank [1]_, and
        ``to_take_up_in`` what that is over the stack, 0 to 1/8: the washer under the nut, or more, takes it
        up.

    Raises
    ------
    OutOfRange
        When an input is outside its range, or the stack is longer than the bolts covered here.

    Notes
    -----
    Dash numbers count whole inches and eighths: -7 is 7/8, -10 an inch, -11 an inch and an eighth. The grip
    must reach through the stack, so that no thread bears in the hole (AC 43.13-1B 7-37); what is over goes
    into washers.

    References
    ----------
    .. [1] Catalogue grips: AN4-15A 1-3/16, AN5-27A 2-7/16, AN6-20 1-7/16.

    Examples
    --------
    >>> worked = bolt_grip(0.25, "AN3")
    >>> worked.bolt, worked.grip_in
    ('AN3-5', 0.25)
    """
    require(0 < stack_in <= 4.0, "stack_in", f"a stack of {stack_in} in is outside 0 to 4", "add it up")
    require(0 <= washer_in <= 0.125, "washer_in", "the washer is outside 0 to 1/8 in", "measure it")
    less = _LESS_IN[bolt]
    # The shortest bolts of each size break the rule: none shorter than a 1/16 grip is offered.
    eighths = max(math.ceil((stack_in + less) * 8 - 1e-9), math.ceil((1 / 16 + less) * 8 - 1e-9))
    require(eighths <= _LONGEST_EIGHTHS, "stack_in", "no bolt here is so long", "ask the designer")
    grip = eighths / 8 - less
    over = grip - stack_in
    warnings = []
    if over > washer_in + 1e-9:
        more = math.ceil((over - washer_in) / 0.0625 - 1e-9)
        warnings.append(f"One washer is not enough: {more} more of 1/16, or try the shorter bolt's grip.")
    dash = eighths if eighths < 8 else 10 * (eighths // 8) + eighths % 8
    return BoltGrip(
        bolt=f"{bolt}-{dash}", grip_in=grip, to_take_up_in=max(0.0, over), warnings=tuple(warnings)
    )
