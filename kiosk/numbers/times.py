"""Times of work that is done several times over."""

from dataclasses import dataclass

from kiosk.numbers.result import Result, calculator, require

__all__ = [
    "RepeatedTime",
    "repeated_time",
]

MOST_TIMES = 10_000
LONGEST_MINUTES = 1440.0  # a day: anything longer is a step to divide


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
