"""The minutes of several things timed as one, told apart: setting up and the first pieces, putting away and
closing up.

Of a sum only the sum is seen. Its logarithm is made straight where all are as expected, as in an extended
Kalman filter (Jazwinski 1970, Stochastic Processes and Filtering Theory, with the second-order term); each
thing is then seen with what was expected of the others taken off, and with their spread for noise. What is
not known of the others is off alike in every such value: it stays, however many there are (``shared``).
"""

import math
from collections.abc import Sequence

from kiosk.dataclass import dataclass
from kiosk.record.learning import Expected

LEAST_WEIGHT = 0.05  # less is not worth keeping
FARTHEST = 50.0  # of a logarithm from what was expected: so far only what weighs far less than that is put


@dataclass(frozen=True)
class Unseen:
    """One of the things: what is expected of it by all that is known, and what by all but such sums.

    ``pieces`` of it are in the sum.
    """

    now: Expected
    apart: Expected
    pieces: float = 1


@dataclass(frozen=True)
class ToldApart:
    """What a sum says of one thing: minutes of one piece, what they count for, and the share of it that is
    off alike in all of them (``Times.shared``)."""

    minutes: float
    weight: float
    shared: float


def expected_sum(things: Sequence[Unseen]) -> Expected:
    """The sum of things, near the middle of each, as log minutes too."""
    logs = [one.now.location for one in things]
    total = _total(things, logs)
    shares = _shares(things, logs, total)
    curved = sum(a * (1 - a) * one.now.square for a, one in zip(shares, things, strict=True)) / 2
    return Expected(
        degrees=min(one.now.degrees for one in things),
        location=math.log(total) + curved,
        variance=sum(a * a * one.now.variance for a, one in zip(shares, things, strict=True)),
        unknown=sum(a * a * one.now.unknown for a, one in zip(shares, things, strict=True)),
    )


def tell_apart(things: Sequence[Unseen], minutes: float) -> tuple[ToldApart, ...]:
    """What ``minutes`` (above 0) for all of them say of each, in the order given."""
    logs = [one.now.location for one in things]
    shares = _shares(things, logs, _total(things, logs))
    over = math.log(minutes) - expected_sum(things).location
    found = []
    for own, share in zip(things, shares, strict=True):
        others = [(a / share, one) for one, a in zip(things, shares, strict=True) if one is not own]
        off = sum(ratio * (one.now.location - one.apart.location) for ratio, one in others)
        noise = sum(ratio**2 * one.apart.variance for ratio, one in others)
        unknown = sum(ratio**2 * one.apart.unknown for ratio, one in others)
        variance = own.now.variance
        weight = variance / (variance + noise)
        # Of a thing that is next to nothing of the whole the line says anything, and weighs next to nothing.
        moved = max(-FARTHEST, min(FARTHEST, over / share + off))
        value = own.now.location + moved
        found.append(ToldApart(math.exp(value), weight, weight * math.sqrt(unknown / variance)))
    return tuple(found)


def _total(things: Sequence[Unseen], logs: Sequence[float]) -> float:
    return sum(one.pieces * math.exp(log) for one, log in zip(things, logs, strict=True))


def _shares(things: Sequence[Unseen], logs: Sequence[float], total: float) -> list[float]:
    return [one.pieces * math.exp(log) / total for one, log in zip(things, logs, strict=True)]
