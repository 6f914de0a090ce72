"""Walks the road ahead once, sitting by sitting, as the kiosk's own advice would: greedily by the same worth.

The advice itself looks at every way to fill one slot, which takes it some hundredths of a second; here are
thousands of slots. So at each moment what is worth most for its minutes is taken on as many parts as fit,
then the next, until the slot is full; what stands meanwhile costs nothing. What holds parts up is kept:
waits, tools held through them, what must be finished first, quiet hours, and what does not fit.
"""

import heapq
import math
import random
from bisect import bisect_right
from collections import deque
from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import NamedTuple

from kiosk.dataclass import dataclass
from kiosk.planning.forecast.pace import TrialMinutes
from kiosk.planning.forecast.road import Point, Road
from kiosk.planning.forecast.supplies import Stock, added_up
from kiosk.planning.work.worth import IN_HAND, USUAL_SLOT_MINUTES, Valued, begun_is_worth, worth_of

DAY = 1440.0
OWN_SPREAD = 0.3  # of the log minutes of one piece, from piece to piece
CHANGE_OVER = 1.0  # minutes to put one thing down and find the place of the next
SHORTEST = 0.05  # minutes of a piece
# Minutes of a sitting whose end was known: planned are whole minutes, and leaving with some to spare. One
# that ended when its work did is on record without them.
KEPT_BACK = 2.0
LEAST_ROOM = 3.0  # with fewer minutes left nobody looks for more to do
LEAST_BEGUN = 5.0  # nothing is taken up, to be left half way, for less
# Minutes of a step, with what is set up for it, below which the steps that follow it are looked at with it,
# and how many of those.
SHORT_OF_A_RUN, MOST_OF_A_RUN = 20.0, 6
LONGER = 45.0  # minutes that are taken over what is needed, once a sitting is made longer
NEVER_FITS = 8  # sittings without anything, before what is too long for all of them is done all the same
ASKED_AFTER = 2  # sittings without anything, before somebody is asked to come and lift
MOST_SITTINGS = 20_000
MOST_PIECES = 60

OutMinutes = dict[int, tuple[float, float]]  # of each family that is out, what was set up and is put away


def _beyond(out: tuple[float, float], to_set_up: float, to_put_away: float) -> tuple[float, float]:
    """What a step wants more of its family than is out of it."""
    return max(0.0, to_set_up - out[0]), max(0.0, to_put_away - out[1])


def _as_planned(normal: float) -> list[float]:
    """Minutes that so many pieces are planned with, in those of one."""
    return [0.0] + [
        count * math.exp(normal * OWN_SPREAD / math.sqrt(count)) for count in range(1, MOST_PIECES + 1)
    ]


STEADY = _as_planned(1.28)  # nine times in ten enough, for what has to come to an end
EASY = _as_planned(0.13)  # more often than not, for what can be left at any moment


class Slot(NamedTuple):
    """A sitting to come: when it begins, in minutes from now, and how many minutes there are."""

    begins: float
    minutes: float
    quiet_in: float = math.inf  # minutes until what is loud has to end
    helper: bool = False  # a helper's own, beside the builder
    away_days: int = 0  # of breaks before it
    two: bool = True  # somebody is there to lift with
    kept_back: float = KEPT_BACK  # of the minutes


@dataclass(frozen=True)
class Walked:
    """How one walk went: minutes are from now, and of work with setting up and putting away."""

    finished: float
    kinds_finished: tuple[float, ...]  # of each kind of the road
    minutes: float
    at_bench: float  # minutes of the builder's sittings, used or not
    away_days: int  # of breaks
    sittings: int
    idle: int  # sittings in which nothing could be done
    too_long: int | None  # a point that fitted in no sitting, and was done all the same


class Walk:
    """One walk along the road."""

    def __init__(
        self, road: Road, pace: TrialMinutes, again: Sequence[int], helps: Sequence[bool], seed: int
    ) -> None:
        """``again`` are the parts of each kind that are made once more; ``helps`` which points a helper may
        do."""
        self.road, self.pace, self.helps = road, pace, helps
        self.random_numbers = random.Random(seed)
        points = road.points
        self.ready = list(road.ready)
        self.wanted, self.done = list(road.wanted), list(road.done)
        self.to_do = sum(self.wanted)
        self.kinds_finished = [0.0] * len(road.kinds)
        self.held = list(road.held)
        self.gates: dict[int, deque[float]] = {}
        self.waits: list[tuple[float, int]] = list(road.waits)
        heapq.heapify(self.waits)
        for at, minutes in sorted(road.gates, key=lambda one: one[1]):
            self.gates.setdefault(at, deque()).append(minutes)
        # What one part takes through the stretch that begins at each point.
        sums = [0.0]
        for minutes in pace.each:
            sums.append(sums[-1] + minutes)
        self.minutes_of = [sums[point.last + 1] - sums[point.number] for point in points]
        self._facts = [
            (
                tuple(tool for one in points[point.number : point.last + 1] for tool in one.takes),
                self._families_of(point),
                point.sat_out,
                point.loud,
                point.takes_two,
                max(SHORTEST, self.minutes_of[point.number]),
                EASY if point.anywhere else STEADY,
                point.anywhere,
            )
            for point in points
        ]
        self._follows = [self._that_follow(point) for point in points]
        self.begun: dict[int, float] = {}  # minutes already spent on the piece in hand, by point
        self.left_first = [0] * len(road.kinds)  # parts that have begun since
        self.locked = [0] * len(road.kinds)  # those at the first point whose parts to build in are missing
        for kind, count in enumerate(again):
            self.wanted[kind] += count
            self.to_do += count
            self.ready[road.first[kind]] += count
        for kind in range(len(road.kinds)):
            self._lock(kind)
        self.open = {point.number for point in points if self.ready[point.number] and self._needs_met(point)}
        self.stock = Stock(road.supplies)
        self._supplies = [
            added_up([one.supplies for one in points[point.number : point.last + 1]]) for point in points
        ]
        self._now = 0.0
        self._worth: dict[tuple[int, int], float] = {}  # by point and parts
        self._stale = True
        self._behind: list[float | None] = []
        self._behind_one: list[float | None] = []
        self.minutes = 0.0
        self.too_long: int | None = None

    def _families_of(self, point: Point) -> tuple[tuple[int, float, float], ...]:
        """What has to be set up for a stretch: each family, and the most that one of the steps wants to set
        up and to put away."""
        found: dict[int, tuple[int, float, float]] = {}
        for at in range(point.number, point.last + 1):
            family = self.road.family_of[at]
            if family >= 0:
                _, set_up, away = found.get(family, (family, 0.0, 0.0))
                found[family] = family, max(set_up, self.pace.set_up[at]), max(away, self.pace.put_away[at])
        return tuple(found.values())

    def _lock(self, kind: int) -> None:
        """Keep back those untouched parts of a kind that are made from what is not finished."""
        wants = self.road.built_in[kind]
        if not wants or not wants[-1]:
            return
        done = self.done
        free = sum(1 for of in wants if all(done[other] >= count for other, count in of))
        first = self.road.first[kind]
        all_here = self.ready[first] + self.locked[kind]
        if free == len(wants):
            here = all_here  # those made again, too
        else:
            here = max(0, min(all_here, free - self.left_first[kind]))
        self.ready[first], self.locked[kind] = here, all_here - here

    def _needs_met(self, point: Point) -> bool:
        return all(self.done[kind] >= count for kind, count in point.needs)

    # Sittings

    def along(self, slots: Iterator[Slot]) -> Walked:
        """Walk to the end through these slots."""
        sittings = idle = idle_in_a_row = 0
        finished = at_bench = 0.0
        away_days = 0
        for slot in slots:
            if self.to_do <= 0 or sittings >= MOST_SITTINGS:
                break
            self._release(slot.begins)
            before = self.minutes
            finished = slot.begins + slot.minutes
            self._sit(slot)
            if self.minutes == before and not slot.two and idle_in_a_row >= ASKED_AFTER:
                self._sit(slot._replace(two=True))
            if slot.helper:
                continue
            sittings += 1
            at_bench += slot.minutes
            away_days = slot.away_days
            if self.minutes > before:
                idle_in_a_row = 0
                continue
            idle += 1
            idle_in_a_row += 1
            if idle_in_a_row >= NEVER_FITS and not self._waits_soon(slot.begins):
                self._do_what_never_fits(slot)
                idle_in_a_row = 0
        return Walked(
            finished,
            tuple(self.kinds_finished),
            self.minutes,
            at_bench,
            away_days,
            sittings,
            idle,
            self.too_long,
        )

    def _release(self, now: float) -> None:
        """What waited until now is ready."""
        waits = self.waits
        while waits and waits[0][0] <= now:
            _, at = heapq.heappop(waits)
            self.ready[at] += 1
            if at not in self.open and self._needs_met(self.road.points[at]):
                self.open.add(at)

    def _waits_soon(self, now: float) -> bool:
        return bool(self.waits and self.waits[0][0] < now + 60 * DAY) or self.stock.is_waited_for(now)

    def _sit(self, slot: Slot) -> None:
        """One thing after another until nothing more fits. What comes after a wait is done at the end: all
        that is done besides fills it."""
        if self._stale:  # what waits for what has changed since the last sitting
            self._stale = False
            self._worth.clear()
            self._behind = [None] * len(self.road.kinds)
            self._behind_one = [None] * len(self.road.kinds)
        out: OutMinutes = {}
        now = self._now = slot.begins
        self.stock.come(now)
        left = slot.minutes - self.pace.closing - slot.kept_back
        while left >= LEAST_ROOM:
            found = self._best(left, slot.quiet_in - (now - slot.begins), out, slot.helper, slot.two)
            if found is None:
                return
            at, count, room = found
            took, away = self._do(at, count, room, out, now)
            left -= took + away + CHANGE_OVER
            now += took + CHANGE_OVER
            if self.waits and self.waits[0][0] <= now:
                self._release(now)

    def _best(
        self, left: float, quiet_in: float, out: OutMinutes, helper: bool, two: bool
    ) -> tuple[int, int, float] | None:
        """What is worth most for its minutes: the point, how many parts (0: begun only), and the room."""
        ready, facts, worths, begun_at = self.ready, self._facts, self._worth, self.begun
        best, found = -1.0, None  # what takes no time is worth nothing, and is done all the same
        for at in self.open:
            if helper and not self.helps[at]:
                continue
            takes, families, waits, loud, lifted, each, planned, anywhere = facts[at]
            if lifted and not two:
                continue
            count = ready[at]
            if takes:
                count = min(count, min(self.road.tools[one].have - self.held[one] for one in takes))
            if self._supplies[at]:
                count = self.stock.enough_for(count, self._supplies[at], self._now)
            if count <= 0:
                continue
            set_up = owed = 0.0
            for family, to_set_up, to_put_away in families:
                if family not in out:
                    set_up += to_set_up
                    owed += to_set_up + to_put_away
                else:
                    more, more_away = _beyond(out[family], to_set_up, to_put_away)
                    set_up += more
                    owed += more + more_away
            room = left - owed - waits - CHANGE_OVER
            if loud and quiet_in - set_up - waits < room:
                room = quiet_in - set_up - waits
            if room <= 0:
                continue
            begun = begun_at.get(at, 0.0) if begun_at else 0.0
            fits = bisect_right(planned, (room + begun) / each) - 1
            if fits >= count:
                fits = count
            elif fits <= 0 and (not anywhere or room < LEAST_BEGUN):
                continue
            worth = worths.get((at, fits))
            if worth is None:
                worth = worths[at, fits] = self._worth_of(self.road.points[at], max(1, fits))
            if fits > 0:
                worth += IN_HAND if begun else 0
                spent = fits * each + owed + CHANGE_OVER
                value = worth / spent
                if spent < SHORT_OF_A_RUN:
                    value = self._with_what_follows(at, fits, worth, spent, room - fits * each, value)
            else:
                share = begun_is_worth(room) / each
                value = (worth * share + (IN_HAND if begun else 0)) / (room + owed + 1)
            if value > best or (value == best and found is not None and at < found[0]):
                best, found = value, (at, fits, room)
        return found

    def _with_what_follows(
        self, at: int, parts: int, worth: float, spent: float, room: float, value: float
    ) -> float:
        """What a minute is worth where the next steps of the same parts follow at once: nobody puts them down
        after two minutes, and what is short is no less worth than what is long."""
        for after in self._follows[at]:
            minutes = parts * self._facts[after][5]
            if minutes > room:
                break
            more = self._worth.get((after, parts))
            if more is None:
                more = self._worth[after, parts] = self._worth_of(self.road.points[after], parts)
            room, worth, spent = room - minutes, worth + more, spent + minutes
            value = max(value, worth / spent)
        return value

    def _that_follow(self, point: Point) -> tuple[int, ...]:
        """The points at which the same parts go on at once, set up as they are, as far as anybody looks."""
        found: list[int] = []
        families = {self.road.family_of[point.number], -1}
        last = point
        while len(found) < MOST_OF_A_RUN and not last.is_end:
            last = self.road.points[last.last]
            if last.is_end or last.sets:
                break
            last = self.road.points[last.number + 1]
            bars = last.needs or last.takes or last.loud or last.takes_two or last.sat_out
            if bars or self.road.family_of[last.number] not in families or last.kind != point.kind:
                break
            found.append(last.number)
        return tuple(found)

    def _do(self, at: int, count: int, room: float, out: OutMinutes, now: float) -> tuple[float, float]:
        """Do it: minutes at it, and minutes kept back to put away."""
        road, pace, point = self.road, self.pace, self.road.points[at]
        took = away = 0.0
        for one in range(at, point.last + 1):
            family = road.family_of[one]
            if family >= 0:
                was = out.get(family, (0.0, 0.0))
                more, more_away = _beyond(was, pace.set_up[one], pace.put_away[one])
                out[family] = was[0] + more, was[1] + more_away
                took += more
                away += more_away
        each = self.minutes_of[at]
        if count == 0:
            self.begun[at] = self.begun.get(at, 0.0) + room
            took += room
            self.minutes += took + away
            return took, away
        drawn = max(0.2, 1 + self.random_numbers.gauss(0.0, OWN_SPREAD) / math.sqrt(count))
        work = max(0.1, each * count * drawn - self.begun.pop(at, 0.0))
        if work > room and count > 1 and point.last == at and point.step.batch != "together":
            count = max(1, int(count * room / work))  # no other piece is begun that there is no room for
            work = each * count * drawn
        took += work
        self.minutes += took + away
        self._move(point, count, now + took + point.sat_out)
        return took, away

    def _move(self, point: Point, count: int, now: float) -> None:
        """Take so many parts to the end of the stretch."""
        road, at = self.road, point.number
        if at == road.first[point.kind]:
            self.left_first[point.kind] += count
        self.ready[at] -= count
        if self.ready[at] <= 0:
            self.open.discard(at)
        for one in range(at, point.last + 1):
            passed = road.points[one]
            if passed.supplies:
                self.stock.use(count, passed.supplies, now)
            for tool in passed.takes:
                self.held[tool] += count
            for tool in passed.gives:
                self.held[tool] = max(0, self.held[tool] - count)
            for to, minutes in passed.sets:
                if to > point.last:
                    gate = self.gates.setdefault(to, deque())
                    gate.extend([now + minutes] * count)
            gates = self.gates.get(one)
            if gates and one != at:
                for _ in range(min(count, len(gates))):
                    gates.popleft()
        end = road.points[point.last]
        if end.is_end:
            self._finish(point.kind, count, now)
        else:
            self._arrive(road.points[point.last + 1], count, now)

    def _arrive(self, point: Point, count: int, now: float) -> None:
        at = point.number
        gate = self.gates.get(at)
        for _ in range(count if gate else 0):
            if not gate:
                break
            until = gate.popleft()
            if until > now:
                heapq.heappush(self.waits, (until, at))
                count -= 1
        self.ready[at] += count
        if self.ready[at] > 0 and self._needs_met(point):
            self.open.add(at)

    def _finish(self, kind: int, count: int, now: float) -> None:
        """Parts are finished: what waited for them may begin."""
        self.done[kind] += count
        self.wanted[kind] -= count
        self.to_do -= count
        if self.wanted[kind] <= 0:
            self.kinds_finished[kind] = now
        if not self.road.users[kind]:
            return
        self._stale = True
        for user in self.road.users[kind]:
            self._lock(user)
            for at in self.road.begins[user]:
                if self.ready[at] > 0 and self._needs_met(self.road.points[at]):
                    self.open.add(at)

    def _do_what_never_fits(self, slot: Slot) -> None:
        """What is longer than every sitting is done all the same: somebody finds the time for a long one."""
        able = [
            at
            for at in self.open
            if self.ready[at] > 0
            and all(self.held[tool] < self.road.tools[tool].have for tool in self._facts[at][0])
        ]
        if not able:  # nothing more can begin: what is missing is nowhere on the road
            able = [at for at, count in enumerate(self.ready) if count > 0]
            for kind, locked in enumerate(self.locked):
                if not able and locked:
                    self.ready[self.road.first[kind]] += locked
                    self.locked[kind] = 0
                    able = [self.road.first[kind]]
        if not able:
            if not self.waits:
                self.to_do = 0
            return
        at = min(able, key=lambda one: self.minutes_of[one])
        self.too_long = at
        if at not in self.open:
            self._do(at, 1, math.inf, {}, slot.begins)
            return
        _, families, waits, _, _, each, planned, _ = self._facts[at]
        owed = sum(to_set_up + to_put_away for _, to_set_up, to_put_away in families)
        minutes = each * planned[1] + owed + waits + CHANGE_OVER + self.pace.closing + KEPT_BACK
        self._sit(Slot(slot.begins, max(slot.minutes, minutes + LONGER)))

    # Worth

    def _worth_of(self, point: Point, parts: int) -> float:
        """What so many parts at a point are worth, through its stretch: as the advice has it."""
        minutes = parts * self.minutes_of[point.number]
        unbroken = 0.0 if point.anywhere else self.minutes_of[point.number]
        if unbroken and (point.last > point.number or point.step.batch == "together"):
            unbroken = minutes + point.sat_out  # of all the parts, before any of it can be left
        beside = 0.0
        if point.sat_out:
            families = self._facts[point.number][1]
            beside = point.sat_out + sum(set_up + put_away for _, set_up, put_away in families)
            if self.minutes_of[point.number] + beside <= USUAL_SLOT_MINUTES[1]:
                beside = 0.0
        return worth_of(
            Valued(
                minutes=minutes,
                parts=parts,
                unbroken_minutes=unbroken,
                behind_minutes=self._behind_part(point.kind),
                own_minutes=point.minutes_left,
                done_share=point.share_done,
                drying_minutes=point.drying,
                spoils=False,
                in_hand=False,
                running=False,
                ends_part=self.road.points[point.last].is_end,
                beside_minutes=beside,
            )
        )

    def _behind_part(self, kind: int) -> float:
        """Minutes of work that wait for one more part of a kind."""
        known = self._behind_one[kind]
        if known is not None:
            return known
        minutes = 0.0
        for user in self.road.users[kind]:
            if self.wanted[user] <= 0:
                continue
            if self._short(user, kind):
                minutes += self._minutes_of_kind(user) + self._behind_kind(user)
            elif self.locked[user]:
                minutes += self._route[user] + self._behind_kind(user) / max(1, self.wanted[user])
        self._behind_one[kind] = minutes
        return minutes

    def _short(self, user: int, kind: int) -> bool:
        return any(
            other == kind and self.done[kind] < count
            for at in self.road.begins[user]
            for other, count in self.road.points[at].needs
        )

    def _behind_kind(self, kind: int) -> float:
        known = self._behind[kind]
        if known is None:
            self._behind[kind] = 0.0  # the cross-check of the shop refuses circles
            known = self._behind[kind] = sum(
                self._minutes_of_kind(user) + self._behind_kind(user)
                for user in self.road.users[kind]
                if self.wanted[user] > 0 and (self._short(user, kind) or self.locked[user])
            )
        return known

    def _minutes_of_kind(self, kind: int) -> float:
        return self.wanted[kind] * self._route[kind]

    @cached_property
    def _route(self) -> list[float]:
        return [self.road.points[at].minutes_left for at in self.road.first]
