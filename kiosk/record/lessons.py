"""What times teach: of a piece, of setting a family up and putting it away, and of closing the bench up.

A lesson is one value added to the sums in ``State.times``. An undo takes the same value out again. What a
value counts for is decided when it is taken in, by what was usual until then.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from kiosk.dataclass import dataclass
from kiosk.record.events import FamilySetUp, SittingClosed, StepFinished
from kiosk.record.learning import (
    A_WRITTEN_MINUTE,
    BENCH_WEIGHT,
    PRIOR_BIAS,
    SLOPE_WEIGHT,
    USUAL_SLOPE,
    Expected,
    Prior,
    counts_for,
    curve_of,
    expected,
    known_times,
)
from kiosk.record.state import (
    NOTHING_SEEN,
    ClosingTime,
    Finish,
    Learnt,
    PaceTime,
    PieceTime,
    PutAwayTime,
    SetUpTime,
    State,
    Timed,
    TimedThing,
    Times,
)
from kiosk.record.tell_apart import LEAST_WEIGHT, Unseen, expected_sum, tell_apart
from kiosk.shop.procedure import Family, Procedure, Step, StepRef

PIECE_SLIPS = 0.05  # of times at a step: a timer forgotten, or started late
CLOSING_SLIPS = 0.5  # of times from the last work to closing up: a bench is often left open
PACE_WEIGHT = 8.0  # times that the usual pace counts for: those of one step are not independent
SURELY_A_SLIP = 0.02  # of what counts for less, the minutes are not taken for minutes worked
RARE = 0.9  # what counts for less is far from the usual
RUN_OF_CHANGE = 3  # so many far from it in a row, all on one side, are a change of pace
FADED_WEIGHT = 1.0  # what all earlier times count for after one
LEAST_LEFT = 1e-6  # weight; below it is nothing but rounding
SHORTEST_TIMED_S = 5.0  # quicker than this is a tap-through, not a piece of work to learn from
# A piece may have been made before, and is only told of: to give its answers takes so many minutes at most,
# and a share of what a piece usually takes. That is less where no end before it can hold its time: what is
# then no lesson might be one of who is that much quicker than the estimate.
LONGEST_TO_TELL_MINUTES = 2.0
SHARE_TO_TELL = 0.5
SHARE_TO_TELL_ALONE = 1 / 8


def times_follow_kind(procedure: Procedure, step: Step) -> bool:
    """True when a step takes other times on other part kinds, and so they are learnt for each kind.

    A step as it applies to a kind has its times worked out; the procedure's own says how they are written.
    """
    written = procedure.step(step.id)
    return written is not None and written.times_are_worked


def family_of(body: StepFinished | FamilySetUp) -> Family | None:
    """The family the step was set up with. The record writes a step's own as the step itself."""
    own = StepRef(body.procedure, body.step)
    return own if body.family == str(own) else body.family or None


def sets_up(state: State, body: StepFinished) -> float:
    """Minutes by the procedure of the set-up that the time of a step holds: all of it at the first of a
    family, and at one that wants more than those before it what it wants more."""
    family = family_of(body)
    if family is None:
        return 0.0
    if body.set_up_left_minutes is not None:
        return body.set_up_left_minutes
    out = state.sitting is not None and family in state.sitting.families
    return 0.0 if out else body.set_up_minutes


def planned_minutes(state: State, body: StepFinished) -> float:
    """What the procedure estimated for this: its pieces, and the set-up of what was not out."""
    return body.each_minutes * max(1, len(body.marks)) + sets_up(state, body)


@dataclass(frozen=True)
class Taught:
    """What a finished step's time teaches, and the minutes it took for all that is known: of a timer that was
    forgotten, what was usual."""

    lessons: tuple[Learnt, ...]
    minutes: float
    timed: tuple[TimedThing, ...] = ()  # what it says something of


def taught_by_step(state: State, body: StepFinished, by: str) -> Taught:
    """What a finished step's time says of how long this person takes.

    The first step of a family in a sitting holds the set-up too: set-up and pieces are told apart.
    """
    minutes = body.active_s / 60.0
    piece = PieceTime(StepRef(body.procedure, body.step), by, body.of_kind or None)
    things = [TimedThing(piece, body.each_minutes, max(1, len(body.marks)))]
    family, set_up = family_of(body), sets_up(state, body)
    if family is not None and set_up > 0:
        things.append(TimedThing(SetUpTime(family, by), A_WRITTEN_MINUTE, set_up))
    taught = taught_by_minutes(state, things, minutes)
    if not body.exact:
        return replace(taught, lessons=(), timed=())
    told = _only_told(state, things[0], minutes, SHARE_TO_TELL_ALONE)
    return replace(taught, lessons=(), minutes=minutes, timed=tuple(things)) if told else taught


def _only_told(state: State, pieces: TimedThing, minutes: float, share: float) -> bool:
    """True for pieces that were told of so quickly that they were made before."""
    each = minutes / pieces.pieces
    usual = math.exp(_unseen(state, replace(pieces, pieces=1)).now.location)
    return each < min(LONGEST_TO_TELL_MINUTES, share * usual)


def taught_by_minutes(state: State, things: Sequence[TimedThing], minutes: float) -> Taught:
    """What it teaches that a piece, with its set-up where that was not out yet, took so many minutes."""
    timed = _timed(state, things, minutes, PIECE_SLIPS) if things else None
    if timed is None:
        return Taught((), minutes)
    lessons = (*timed.lessons(state), *_lesson_of_pace(state, timed))
    return Taught(lessons, timed.usual_minutes if timed.far_longer else minutes, tuple(things))


def told_afterwards(state: State, before: Finish, body: StepFinished, by: str) -> Finish | None:
    """The end of the piece before, with the pieces of this end in its time too; None where they were made
    after it.

    Who makes six pieces and then tells the screen of them, one after the other, gives the first the time of
    all: the others are told of in seconds. Learnt by itself, each would take as long as to tell of it.
    """
    piece = PieceTime(StepRef(body.procedure, body.step), by, body.of_kind or None)
    minutes = body.active_s / 60.0
    of_another = not before.timed or before.timed[0].of != piece
    if of_another or not body.exact:
        return None
    told = TimedThing(piece, body.each_minutes, max(1, len(body.marks)))
    if minutes / told.pieces >= SHARE_TO_TELL * before.minutes / before.timed[0].pieces:
        return None
    then = replace(state, times=dict(state.times))
    unlearn(then, before.learnt)
    if not _only_told(then, told, minutes, SHARE_TO_TELL):
        return None
    if before.said:
        return before  # what somebody said is of its own pieces; of these nobody knows
    things = (replace(before.timed[0], pieces=before.timed[0].pieces + told.pieces), *before.timed[1:])
    taught = taught_by_minutes(then, things, before.minutes + minutes)
    return replace(
        before,
        learnt=taught.lessons,
        timed=things,
        minutes=before.minutes + minutes,
        counted=taught.minutes,
        own_pieces=before.own_pieces or before.timed[0].pieces,
    )


def only_its_own(finish: Finish) -> Finish:
    """An end without the pieces that were told of afterwards: a person says what its own took."""
    if not finish.own_pieces:
        return finish
    own = replace(finish.timed[0], pieces=finish.own_pieces)
    return replace(finish, timed=(own, *finish.timed[1:]), own_pieces=0)


def without_told(finish: Finish, told: Finish, minutes: float) -> Finish:
    """An end without pieces that were told of afterwards, of which a person says now what they took."""
    if finish.said or not finish.own_pieces or not told.timed:
        return finish
    pieces = max(finish.own_pieces, finish.timed[0].pieces - told.timed[0].pieces)
    left = finish.minutes - minutes
    if left * 60 < SHORTEST_TIMED_S * pieces:  # more than all of it: then the rest took its share
        left = finish.minutes * pieces / finish.timed[0].pieces
    timed = (replace(finish.timed[0], pieces=pieces), *finish.timed[1:])
    return replace(finish, timed=timed, minutes=left, counted=min(finish.counted, left))


def lessons_of_closing(
    state: State, body: SittingClosed, by: str, run: str, monotonic_s: float
) -> tuple[Learnt, ...]:
    """What closing up teaches: the minutes since work stopped, when they were on one and the same clock.

    They hold the putting away of the families that are out; it is told apart from closing up itself.
    """
    if body.closing_minutes is None or state.last_deed is None or state.last_deed[0] != run:
        return ()
    things = [TimedThing(ClosingTime(by), body.closing_minutes)] if body.closing_minutes > 0 else []
    if state.sitting is not None:
        things += [
            TimedThing(PutAwayTime(family, by), A_WRITTEN_MINUTE, minutes)
            for family, minutes in state.sitting.put_aways
        ]
    minutes = (monotonic_s - state.last_deed[1]) / 60.0
    timed = _timed(state, things, minutes, CLOSING_SLIPS) if things else None
    return timed.lessons(state) if timed is not None else ()


@dataclass(frozen=True)
class _TimedThings:
    """Minutes of some things together, and what was expected of them."""

    things: Sequence[TimedThing]
    minutes: float
    unseen: Sequence[Unseen]
    usual: Expected
    counts: float  # the chance that it is one of the usual
    forgiving: bool  # a run of what is far from the usual is a change of the usual

    @property
    def far_longer(self) -> bool:
        """True when it is surely a slip, such as a timer that was forgotten."""
        return self.counts < SURELY_A_SLIP and math.log(self.minutes) > self.usual.location

    @property
    def usual_minutes(self) -> float:
        """What they take in the middle."""
        return math.exp(self.usual.location)

    def lessons(self, state: State) -> tuple[Learnt, ...]:
        """What it teaches of each thing."""
        if len(self.things) > 1:
            return tuple(self._of_sum(state))
        thing = self.things[0]
        before = state.times.get(thing.of, NOTHING_SEEN)
        judged = self._judged(before.doubted)
        return (
            Learnt(
                thing.of,
                self.minutes / thing.pieces,
                known_times(state.times, thing.of).count + 1,
                before,
                weight=judged.weight,
                doubted=judged.doubted,
                fades=_fades(before) if judged.changed else 1.0,
            ),
        )

    def _of_sum(self, state: State) -> Iterator[Learnt]:
        keys = [_in_sum(one.of) for one in self.things]
        before = [state.times.get(of, NOTHING_SEEN) for of in keys]
        judged = self._judged(min((times.doubted for times in before), key=abs))
        told_apart = tell_apart(self.unseen, self.minutes)
        for one, of, times, told in zip(self.things, keys, before, told_apart, strict=True):
            weight = judged.weight * told.weight
            if judged.doubted == 0 and weight < LEAST_WEIGHT:
                continue
            # A piece counts as what it would have been as the first: of the curve, a sum says nothing.
            curve = _curve(state, one.of)
            yield Learnt(
                of,
                told.minutes / math.exp(curve),
                1,
                times,
                weight=weight,
                shared=judged.weight * told.shared,
                doubted=judged.doubted,
                fades=_fades(times) if judged.changed else 1.0,
            )

    def _judged(self, doubted: int) -> "_Judged":
        """What it counts for: hardly anything far from the usual, until several in a row say that the usual
        has changed.

        One is an outlier, a run of them a change of level (West & Harrison 1986, Monitoring and adaptation in
        Bayesian forecasting models, J. Am. Stat. Assoc. 81).
        """
        if self.counts >= RARE or not self.forgiving:
            return _Judged(self.counts, 0)
        side = 1 if math.log(self.minutes) > self.usual.location else -1
        run = doubted + side if doubted * side > 0 else side
        return _Judged(1.0, 0, changed=True) if abs(run) >= RUN_OF_CHANGE else _Judged(self.counts, run)


@dataclass(frozen=True)
class _Judged:
    """What a time counts for, how many in a row were far from the usual with it, and whether that changed."""

    weight: float
    doubted: int
    changed: bool = False


def _timed(state: State, things: Sequence[TimedThing], minutes: float, slips: float) -> _TimedThings | None:
    """The minutes with what was expected; None where they say nothing."""
    if minutes * 60 < SHORTEST_TIMED_S * things[0].pieces:
        return None
    of_unknown = [one for one in things if one.estimate_minutes <= 0]
    if of_unknown and len(things) > 1:
        return None
    unseen = [_unseen(state, one) for one in things]
    usual = expected_sum(unseen)
    counts = counts_for(usual, math.log(minutes), slips)
    if any(known_times(state.times, one.of).weight <= 0 for one in of_unknown):
        counts = 1.0  # nothing to judge it by
    # A bench that is left open again and again takes no longer to close.
    forgiving = isinstance(things[0].of, PieceTime)
    return _TimedThings(things, minutes, unseen, usual, counts, forgiving)


def _curve(state: State, of: Timed) -> float:
    """What practice has brought by now, on the log scale."""
    return curve_of(known_times(state.times, of).count + 1) if isinstance(of, PieceTime) else 0.0


def _lesson_of_pace(state: State, timed: _TimedThings) -> tuple[Learnt, ...]:
    """How many times the estimates it took, a piece as what it would have been as the first."""
    if any(one.estimate_minutes <= 0 for one in timed.things):
        return ()
    piece = timed.things[0].of
    of = PaceTime(piece.person)
    estimate = sum(one.pieces * one.estimate_minutes for one in timed.things)
    minutes = timed.minutes / estimate / math.exp(_curve(state, piece))
    return (Learnt(of, minutes, 1, state.times.get(of, NOTHING_SEEN), weight=timed.counts),)


def _expected(state: State, of: Timed, estimate_minutes: float, times: Times) -> Expected:
    """What is expected by the estimate, this person's pace and their own times."""
    pace = state.times.get(PaceTime(of.person), NOTHING_SEEN)
    bias = (PACE_WEIGHT * PRIOR_BIAS + pace.sum_y) / (PACE_WEIGHT + pace.weight)
    if estimate_minutes <= 0 and times.weight > 0:  # an older kiosk's entry without one
        estimate_minutes, bias = math.exp(times.sum_y / times.weight), 0.0
    if isinstance(of, PieceTime):
        practised = Prior(bias=bias, slope=USUAL_SLOPE, slope_weight=SLOPE_WEIGHT)
        return expected(estimate_minutes, times, practised)
    return expected(estimate_minutes, times, Prior(weight=BENCH_WEIGHT, bias=bias))


def _unseen(state: State, thing: TimedThing) -> Unseen:
    known = known_times(state.times, thing.of)
    alone = isinstance(thing.of, PieceTime | ClosingTime)
    apart = replace(state.times.get(thing.of, NOTHING_SEEN) if alone else NOTHING_SEEN, count=known.count)
    return Unseen(
        now=_expected(state, thing.of, thing.estimate_minutes, known),
        apart=_expected(state, thing.of, thing.estimate_minutes, apart),
        pieces=thing.pieces,
    )


def _in_sum(of: Timed) -> Timed:
    return replace(of, in_sum=True) if isinstance(of, PieceTime | ClosingTime) else of


def _fades(before: Times) -> float:
    return min(1.0, FADED_WEIGHT / before.weight) if before.weight > 0 else 1.0


def learn(state: State, lessons: Iterable[Learnt], day: str = "") -> None:
    """Add the lessons to the times; ``day`` is the local date they were learnt on.

    One that was taken out and comes back after others counts for as much as if it had stayed.
    """
    for lesson in lessons:
        times = state.times.get(lesson.of, NOTHING_SEEN)
        share, doubted = 1.0, lesson.doubted
        if times == lesson.before:
            times = times.scaled(lesson.fades)
        else:
            share, doubted = _share_now(times, lesson), times.doubted
        times = times.plus(
            lesson.minutes,
            lesson.repeat,
            day=day,
            weight=share * lesson.weight,
            shared=share * lesson.shared,
        )
        state.times[lesson.of] = replace(times, doubted=doubted, taken=times.taken + 1)


def unlearn(state: State, lessons: Iterable[Learnt]) -> bool:
    """Take the lessons out again: as it was where nothing was learnt since, else what they count for now.

    True when everything is as it was.
    """
    as_it_was = True
    for lesson in lessons:
        times = state.times.get(lesson.of)
        if times is None:
            as_it_was = False
            continue
        if times.taken == lesson.before.taken + 1:
            left = lesson.before
        else:
            as_it_was = False
            share = _share_now(times, lesson)
            left = times.plus(
                lesson.minutes,
                lesson.repeat,
                -1,
                weight=share * lesson.weight,
                shared=share * lesson.shared,
            )
            left = replace(left, taken=times.taken + 1)  # nothing before this can be put back as it was
        if left.count > 0 and left.weight > LEAST_LEFT:
            state.times[lesson.of] = left
        else:
            del state.times[lesson.of]
    return as_it_was


def _share_now(times: Times, lesson: Learnt) -> float:
    """What a value counts for now of what it did when it was learnt: a change of pace since fades it."""
    return min(1.0, times.kept / (lesson.before.kept * lesson.fades))


def retimed(
    state: State, timed: Sequence[TimedThing], lessons: Sequence[Learnt], was: float, minutes: float
) -> tuple[Learnt, ...]:
    """What it teaches that a step took other minutes than were recorded, where others were learnt since.

    Somebody stands behind the minutes, and may have typed a nought too many: what is farther from the usual
    of now than what was recorded counts as any such time would. What is nearer counts for no less than
    before. What is too short to be timed is no lesson.
    """
    counts, nearer = _correction_counts(state, timed, lessons, was, minutes)
    found = []
    for lesson in lessons:
        retold = lesson.minutes * minutes / was
        if retold * 60 < SHORTEST_TIMED_S and not isinstance(lesson.of, PaceTime):
            continue
        now = state.times.get(lesson.of, NOTHING_SEEN)
        share = _share_now(now, lesson)
        if lesson.shared == 0:
            weight = max(counts, lesson.weight) if nearer else counts
        else:  # told apart from a sum it counts for less than one, and by how much is known already
            weight = lesson.weight if nearer else lesson.weight * counts
        found.append(
            replace(
                lesson,
                minutes=retold,
                before=now,
                weight=share * weight,
                shared=share * lesson.shared * (weight / lesson.weight if lesson.shared else 1.0),
                doubted=_doubted_less(now.doubted, lesson.doubted) if counts >= RARE else now.doubted,
                fades=1.0,
            )
        )
    return tuple(found)


def _doubted_less(now: int, then: int) -> int:
    """How many in a row are far from the usual, where one that may have been among them is not."""
    side = 1 if then > 0 else -1
    return now - side if now * then > 0 else now


def taught_last(state: State, lessons: Sequence[Learnt]) -> bool:
    """True when no later piece has taught anything, the lessons of this one being taken out."""
    return all(
        lesson.repeat > known_times(state.times, lesson.of).count
        for lesson in lessons
        if isinstance(lesson.of, PieceTime) and not lesson.of.in_sum
    )


def _correction_counts(
    state: State, timed: Sequence[TimedThing], lessons: Sequence[Learnt], was: float, minutes: float
) -> tuple[float, bool]:
    """What corrected minutes count for by what is usual now, and whether they are no farther from it."""
    judged = _timed(state, timed, minutes, PIECE_SLIPS) if timed else None
    if judged is None:
        return 1.0, True  # an older kiosk's entry, or too short to be timed
    piece = timed[0].of
    alone = next((one for one in lessons if one.of == piece), None)
    # An early piece took longer than one takes now: it is judged as what it would be now.
    practised = _curve(state, piece) - curve_of(alone.repeat) if alone is not None else 0.0
    location = judged.usual.location
    log_minutes, log_was = math.log(minutes) + practised, math.log(was) + practised
    counts = counts_for(judged.usual, log_minutes, PIECE_SLIPS)
    return counts, abs(log_minutes - location) <= abs(log_was - location)
