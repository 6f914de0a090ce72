"""Student's t distribution for whole degrees of freedom, without a dependency.

Abramowitz & Stegun 26.7.3 and 26.7.4 (finite sums); compared with scipy.stats.t in the tests.
"""

import math


def cumulative(t: float, degrees: int) -> float:
    """P(T <= t) for 1 or more whole degrees of freedom. Raises ValueError below 1."""
    if degrees < 1:
        raise ValueError("degrees of freedom must be 1 or more")
    angle = math.atan2(t, math.sqrt(degrees))
    sine, cosine = math.sin(angle), math.cos(angle)
    if degrees % 2:
        total, term = 0.0, cosine
        for k in range(1, degrees - 1, 2):
            total += term
            term *= cosine * cosine * (k + 1) / (k + 2)
        inside = (angle + sine * total) * 2 / math.pi
    else:
        total, term = 0.0, 1.0
        for k in range(0, degrees, 2):
            total += term
            term *= cosine * cosine * (k + 1) / (k + 2)
        inside = sine * total
    return min(1.0, max(0.0, 0.5 + inside / 2))


def quantile(p: float, degrees: int) -> float:
    """The t with P(T <= t) = p, 0 < p < 1, by bisection. Raises ValueError outside."""
    if not 0 < p < 1:
        raise ValueError("p must lie between 0 and 1")
    if p == 0.5:
        return 0.0
    if p < 0.5:
        return -quantile(1 - p, degrees)
    high = 1.0
    while cumulative(high, degrees) < p:
        high *= 2
    low = 0.0
    for _ in range(100):
        middle = (low + high) / 2
        if cumulative(middle, degrees) < p:
            low = middle
        else:
            high = middle
        if high - low < 1e-13 * high:
            break
    return (low + high) / 2
