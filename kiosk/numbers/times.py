"""Times of work that is done several times over, or along a length."""

from dataclasses import dataclass

from kiosk.numbers.result import Result, calculator, require

__all__ = [
    "LengthTime",
    "RepeatedTime",
    "length_time",
    "repeated_time",
]

MOST_TIMES = 10_000
LONGEST_MINUTES = 1440.0  # a day: anything longer is a step to divide
LONGEST_IN = 1_000.0  # over 80 ft: no part that is made in a garage


@dataclass(frozen=True, kw_only=True)
class RepeatedTime(Result):
    """What a repeated piece of work takes in all."""

    total_minutes: float


@calculator(
    subject="times",
    title="Minutes in all",
    formula="minutes once + how many x minutes each",
    source="plain arithmetic: set-up time and run time, as work is usually estimated",
    holds="0 to 10,000 times, up to 1,440 minutes each; every time takes as long as the next",
)
def repeated_time(count: int, each_minutes: float, once_minutes: float = 0.0) -> RepeatedTime:
    """Minutes that a step takes which does the same thing several times.

    Parameters
    ----------
    count : int
        How many times it is done, 0 to 10,000; the flutes of a rib, say.
    each_minutes : float
        Minutes for each time, 0 to 1,440.
    once_minutes : float, default 0
        Minutes for what is done once, such as setting up, 0 to 1,440.

    Returns
    -------
    RepeatedTime
        ``total_minutes`` [1]_.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    References
    ----------
    .. [1] Plain arithmetic: set-up time and run time, as work is usually estimated (common practice, no
       source).

    Examples
    --------
    Eleven flutes at a minute and a half each, and five minutes to mark them out:

    >>> repeated_time(11, 1.5, once_minutes=5).total_minutes
    21.5
    """
    require(0 <= count <= MOST_TIMES, "count", f"count {count} is outside 0 to 10,000", "give a whole number")
    for argument, minutes in (("each_minutes", each_minutes), ("once_minutes", once_minutes)):
        require(
            0 <= minutes <= LONGEST_MINUTES,
            argument,
            f"{minutes:g} minutes are outside 0 to 1,440",
            "divide the step where it takes more than a day",
        )
    return RepeatedTime(total_minutes=once_minutes + count * each_minutes)


@dataclass(frozen=True, kw_only=True)
class LengthTime(Result):
    """What work along a length takes in all."""

    total_minutes: float


@calculator(
    subject="times",
    title="Minutes in all",
    formula="minutes once + length in feet x minutes a foot",
    source="plain arithmetic: set-up time and run time, as work is usually estimated",
    holds="0 to 1,000 in, up to 1,440 minutes a foot; every foot takes as long as the next",
)
def length_time(length_in: float, foot_minutes: float, once_minutes: float = 0.0) -> LengthTime:
    """Minutes that a step takes whose work goes along a length: a routed edge, a filed one, a bend.

    Parameters
    ----------
    length_in : float
        The length that is worked along, in inches, 0 to 1,000.
    foot_minutes : float
        Minutes for each foot of it, 0 to 1,440.
    once_minutes : float, default 0
        Minutes for what is done once, such as laying the piece down, 0 to 1,440.

    Returns
    -------
    LengthTime
        ``total_minutes`` [1]_.

    Raises
    ------
    OutOfRange
        When an input is outside its range.

    References
    ----------
    .. [1] Plain arithmetic: set-up time and run time, as work is usually estimated (common practice, no
       source).

    Examples
    --------
    A spar of 140 in routed at two minutes and a half a foot, the straightedge clamped three times:

    >>> round(length_time(140, 2.5, once_minutes=9).total_minutes, 3)
    38.167
    """
    require(
        0 <= length_in <= LONGEST_IN,
        "length_in",
        f"length {length_in:g} in is outside 0 to 1,000",
        "give inches",
    )
    for argument, minutes in (("foot_minutes", foot_minutes), ("once_minutes", once_minutes)):
        require(
            0 <= minutes <= LONGEST_MINUTES,
            argument,
            f"{minutes:g} minutes are outside 0 to 1,440",
            "divide the step where it takes more than a day",
        )
    return LengthTime(total_minutes=once_minutes + length_in / 12 * foot_minutes)
