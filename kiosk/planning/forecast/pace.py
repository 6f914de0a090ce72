"""How long everything on the road takes in one trial: what is not known of it is drawn, once for all of it.

What all steps share (how far the estimates are out), what all pieces of a step share (its unknown mean), and
what is each piece's own are drawn apart. Without the shared draws an interval is far too narrow (planning
fallacy: Buehler, Griffin & Ross 1994; dependent activities: Trietsch et al. 2012).
"""

import math
import random
from collections import Counter

from kiosk.dataclass import dataclass
from kiosk.planning.forecast.road import Road
from kiosk.planning.times.durations import Duration
from kiosk.planning.times.predictor import Predictor
from kiosk.record.learning import PRIOR_WEIGHT, curve_of
from kiosk.record.state import MOST_REPEATS, PieceTime
from kiosk.record.usual_times import BIAS_WEIGHT, learnt_weight

BIAS_SPREAD = 0.3  # between shops, of the log ratio of real to estimated minutes
WIDEST = 6.0  # a Student t draw is held within this
WIDEST_SQUARE = 1.0  # of log minutes of one piece: the mean of a Student t on the log scale is infinite
ROAD_SPREAD = 0.05  # of the log of what a walk takes, against the same road under the kiosk's advice


@dataclass(frozen=True)
class TrialMinutes:
    """What everything takes in one trial, in minutes."""

    each: list[float]  # of each point, one piece
    set_up: list[float]  # of each point, once in a sitting for its family
    put_away: list[float]
    closing: float


class Pace:
    """Draws the minutes of trials for one road."""

    def __init__(self, road: Road, predictor: Predictor) -> None:
        self.road = road
        shop, state = predictor.context.shop, predictor.context.state
        self.bias_spread = BIAS_SPREAD / math.sqrt(BIAS_WEIGHT + learnt_weight(shop, state))
        self._steps: dict[object, int] = {}
        self._points: list[tuple[Duration, int, float]] = []
        to_do = _pieces(road, predictor)
        for point in road.points:
            of = predictor.piece(point.procedure, point.step, point.kind_id)
            step = self._steps.setdefault(point.procedure.ref(point.step), len(self._steps))
            learnt_as = predictor.learnt_as(point.procedure, point.step, point.kind_id)
            self._points.append((of, step, _practice(of, to_do[learnt_as])))
        self._set_up = _Shares(road, [predictor.set_up(one.procedure, one.step) for one in road.points])
        self._put_away = _Shares(road, [predictor.put_away(one.procedure, one.step) for one in road.points])
        for point in road.points:
            self._set_up.add(point.number, point.step.minutes.set_up)
            self._put_away.add(point.number, point.step.minutes.put_away)
        self._closing = predictor.closing_time(shop.file.put_away)

    def drawn(self, shared: float, random_numbers: random.Random) -> TrialMinutes:
        """One trial; ``shared`` is a standard normal draw for how far all estimates are out."""
        bias = shared * self.bias_spread
        gauss = random_numbers.gauss
        road = gauss(0.0, ROAD_SPREAD)
        unknown = [gauss(0.0, 1.0) for _ in self._steps]
        wide: dict[tuple[int, int], float] = {}
        each = []
        for of, step, practice in self._points:
            # How wide a step's own t is drawn is its own: what all steps share is the bias.
            own = step, of.degrees
            if own not in wide:
                wide[own] = math.sqrt(of.degrees / random_numbers.gammavariate(of.degrees / 2, 2.0))
            each.append(_mean(of, bias, unknown[step] * wide[own]) * math.exp(practice + road))
        closing = 0.0 if self._closing is None else _mean(self._closing, bias, gauss(0.0, 1.0))
        set_up = self._set_up.drawn(bias, random_numbers)
        return TrialMinutes(each, set_up, self._put_away.drawn(bias, random_numbers), closing)


class _Shares:
    """What setting up, or putting away, takes at each point: learnt for a family, shared out by the estimates
    of its steps."""

    def __init__(self, road: Road, of_family: list[Duration | None]) -> None:
        self._road, self._of_family = road, of_family
        self._points: list[tuple[int, int, float]] = []  # point, family, minutes by the estimate
        self._first: dict[int, tuple[Duration, float]] = {}

    def add(self, at: int, minutes: float) -> None:
        """One point's own estimate."""
        family, of = self._road.family_of[at], self._of_family[at]
        if minutes > 0 and of is not None:
            self._first.setdefault(family, (of, minutes))
            self._points.append((at, family, minutes))

    def drawn(self, bias: float, random_numbers: random.Random) -> list[float]:
        """Minutes at each point in one trial."""
        times = {
            family: _mean(of, bias, random_numbers.gauss(0.0, 1.0)) / estimate
            for family, (of, estimate) in self._first.items()
        }
        found = [0.0] * len(self._road.points)
        for at, family, minutes in self._points:
            found[at] = minutes * times[family]
        return found


def _mean(of: Duration, bias: float, unknown: float) -> float:
    """Mean minutes of a piece, its unknown centre as drawn.

    Pieces lie about it as usual: were their spread drawn too, wide draws alone would raise the mean.
    """
    own = PRIOR_WEIGHT / (PRIOR_WEIGHT + of.observed)  # what the shop's own bias still counts for
    shift = max(-WIDEST, min(WIDEST, unknown)) * of.scale * math.sqrt(of.common)
    square = min(WIDEST_SQUARE, of.scale**2 * (1 - of.common))
    return math.exp(of.location + own * bias + shift + square / 2)


def _pieces(road: Road, predictor: Predictor) -> Counter[PieceTime]:
    """How many pieces of each time that is learnt are to do: practice on one kind is practice on all."""
    found: Counter[PieceTime] = Counter()
    waiting = Counter(at for _, at in road.waits)
    standing = 0
    for point in road.points:
        if point.number == road.first[point.kind]:
            standing = 0
        standing += road.ready[point.number] + waiting[point.number]
        found[predictor.learnt_as(point.procedure, point.step, point.kind_id)] += standing
    return found


def _practice(of: Duration, pieces: int) -> float:
    """What practice still brings over so many pieces, in the mean, on the log scale.

    The prediction is for the next one.
    """
    next_one = min(of.observed + 1, MOST_REPEATS)
    if pieces <= 1 or next_one == MOST_REPEATS:
        return 0.0
    repeats = range(next_one, min(MOST_REPEATS, next_one + pieces))
    further = sum(curve_of(repeat) for repeat in repeats)
    further += (pieces - len(repeats)) * curve_of(MOST_REPEATS)
    return further / pieces - curve_of(next_one)
