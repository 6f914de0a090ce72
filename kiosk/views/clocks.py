"""The clocks that run on parts, in words: how long is left, always rounded to the safe side."""

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Literal

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.events import ClockSet
from kiosk.record.waits import LAST_MINUTE_S, clocks_on, is_near, limits_gone_on, mixes_left, seconds_left
from kiosk.shop.parts import marks_in_full

SHORT_S = 180  # below this, seconds are shown
SAME_TIME_S = 1800.0  # limits that are no further apart are told as one
SAME_SHARE = 1 / 3  # and by no more than this share of what the first has left
_TENTH_OF_AN_HOUR_S = 360


@dataclass(frozen=True)
class TimeLeft:
    """How long is left, in the unit in which it is shown: figure and words are both made of this."""

    tenths: int  # of the unit
    unit: Literal["s", "min", "h"]

    @property
    def figure(self) -> str:
        """The number alone, to be shown in large digits."""
        whole, tenth = divmod(self.tenths, 10)
        return f"{whole}.{tenth}" if self.unit == "h" else f"{whole}"

    @property
    def unit_words(self) -> str:
        """The unit alone, beside the figure."""
        return said("min") if self.unit == "min" else self.unit

    @property
    def words(self) -> str:
        """Both in one: ``95 s``, ``25 min``, ``4.5 h``."""
        return (
            said("{minutes} min", minutes=self.figure) if self.unit == "min" else f"{self.figure} {self.unit}"
        )


@dataclass(frozen=True)
class RunningClock:
    """One clock and the parts it runs on; ``left_s`` is None where nobody knows how it stands."""

    clock: ClockSet
    marks: tuple[str, ...]
    left_s: float | None
    ends_at: datetime | None  # by the wall clock; None while that is not believed

    @property
    def is_limit(self) -> bool:
        """True for what must be begun or finished in time; else it must pass."""
        return self.clock.kind == "within"

    @property
    def is_near(self) -> bool:
        """True for a limit that runs out soon, and was not missed."""
        return (
            self.is_limit
            and self.left_s is not None
            and self.left_s >= 0
            and is_near(self.clock, self.left_s)
        )

    @property
    def rank(self) -> tuple[int, float]:
        """The most pressing first: missed, not known, running out, to be waited for."""
        left = self.left_s
        if left is None:
            return 1, 0.0
        return (0 if left < 0 else 2) if self.is_limit else 3, left

    @property
    def need(self) -> tuple[int, float]:
        """What needs a person first comes first: what was missed, is not known or runs out soon, and then
        whatever ends next, a limit or a wait."""
        left = self.left_s
        if left is None:
            return 1, 0.0
        if self.is_limit and left < 0:
            return 0, left
        return (2 if self.is_near else 3), left

    @property
    def stands(self) -> tuple[tuple[str, ...], str, int | None]:
        """What it is of, and whether it runs (1), ends now (0) or has ended (-1); None where nobody knows.
        With it changes what can be done."""
        left = self.left_s
        return self.marks, self.clock.what, None if left is None else (left > 0) - (left < 0)

    @property
    def words(self) -> str:
        """The clock in one line."""
        name, clock, left = marks_in_full(self.marks), self.clock, self.left_s
        if left is None:
            return said("THE CLOCK WAS CHANGED: look at {name}, {what}", name=name, what=clock.what)
        if not self.is_limit:
            return said("WAIT {time}: {name}, {what}", time=self._left_words, name=name, what=clock.what)
        if left < 0:
            places = {"name": name, "what": clock.what, "if_missed": clock.if_missed}
            if not self.ends_at:
                return said("TOO LATE: {name}, {what}. {if_missed}", **places)
            since = time_or_day(self.ends_at, self.ends_at - timedelta(seconds=left))
            return said("TOO LATE since {time}: {name}, {what}. {if_missed}", time=since, **places)
        places = {"time": self._left_words, "name": name, "what": clock.what}
        if clock.ends == "finish":
            return said("FINISH WITHIN {time}: {name}, {what}", **places)
        return said("USE WITHIN {time}: {name}, {what}", **places)

    @property
    def figure(self) -> str:
        """How long is left, to be shown large: ``1:35``, ``25 min``, ``4.5 h``; empty for what is missed or
        not known, which its words say."""
        left = self.left_s
        if left is None or left < 0:
            return ""
        shown = time_left(left, up=not self.is_limit)
        if shown.unit != "s":
            return shown.words
        minutes, seconds = divmod(shown.tenths // 10, 60)
        return f"{minutes}:{seconds:02d}"

    @property
    def figure_unit(self) -> str:
        """What stands beside the figure where it does not say itself what it counts."""
        left = self.left_s
        return "min:s" if left is not None and 0 <= left < SHORT_S else ""

    @property
    def words_beside(self) -> str:
        """The clock in one line that stands under its figure, and does not say that again."""
        verb = (
            said("WAIT")
            if not self.is_limit
            else said("FINISH WITHIN")
            if self.clock.ends == "finish"
            else said("USE WITHIN")
        )
        return f"{verb}{self._until_words}: {marks_in_full(self.marks)}, {self.clock.what}"

    @property
    def _left_words(self) -> str:
        return f"{left_words(self.left_s or 0.0, up=not self.is_limit)}{self._until_words}"

    @property
    def _until_words(self) -> str:
        left = self.left_s or 0.0
        if left < SHORT_S or self.ends_at is None:
            return ""
        return said(
            ", until {time}",
            time=time_words(self.ends_at, up=not self.is_limit, day=left >= 18 * 3600),
        )


def running_clocks(context: Context, *, gone_on: bool = True) -> list[RunningClock]:
    """Every clock that runs on a part or was missed, the most pressing first, like ones gathered.
    ``gone_on``: see :func:`every_clock`."""
    found = every_clock(context, gone_on=gone_on)
    return [one for one in found if one.is_limit or one.left_s is None or one.left_s > 0]


def every_clock(context: Context, *, gone_on: bool = True) -> list[RunningClock]:
    """The same with the waits that are over and whose step was not begun yet; without ``gone_on`` but for the
    limits of an end that was taken back, of which nothing can be said but to end the step again."""
    gathered: dict[ClockSet, list[str]] = {}
    busy = context.positions.busy  # without parts that are gone: it is said of them
    for mark in [one for one in context.state.parts if one in busy]:
        again = limits_gone_on(context, mark) if gone_on else []
        for clock in (*clocks_on(context.shop, context.state, mark), *again):
            gathered.setdefault(clock, []).append(mark)
    found = []
    for clock, marks in gathered.items():
        left = seconds_left(context, clock)
        shown = left is not None and context.doubt is None
        ends_at = context.now + timedelta(seconds=left) if shown and left is not None else None
        found.append(RunningClock(clock, tuple(marks), left, ends_at))
    return sorted(found, key=lambda one: one.rank)


def mixes_left_lines(context: Context) -> list[str]:
    """What was mixed and still stands though its parts went back, until when, and what is done with it."""
    return [
        said(
            "STILL STANDS, {time}: {name}, {what}. {if_missed}",
            time=left_words(seconds_left(context, clock) or 0.0, up=False),
            name=marks_in_full(marks),
            what=clock.what,
            if_missed=clock.if_missed,
        )
        for clock, marks in mixes_left(context).items()
    ]


def told_clocks(context: Context, *, gone_on: bool = True) -> list[RunningClock]:
    """The running clocks as they are told: one for all parts on which the same runs out at about one time.

    Each of a batch was washed in its own minute. The first to run out speaks for all. ``gone_on``: see
    :func:`every_clock`.
    """
    return gathered(context, running_clocks(context, gone_on=gone_on))


def gathered(context: Context, clocks: Sequence[RunningClock]) -> list[RunningClock]:
    """Clocks in the order of their rank, those together that :func:`told_clocks` tells as one."""
    found: list[RunningClock] = []
    for one in clocks:
        at = next((place for place, other in enumerate(found) if _about_one_time(other, one)), None)
        if at is None:
            found.append(one)
        else:
            marks = {*found[at].marks, *one.marks}
            in_order = tuple(mark for mark in context.shop.parts if mark in marks)
            # The first limit to end speaks for all, and the last wait.
            found[at] = replace(found[at] if one.is_limit else one, marks=in_order)
    return found


def _about_one_time(first: RunningClock, other: RunningClock) -> bool:
    """True for two limits of one kind that run out at about one time, and are not missed, and for two waits
    that end within a minute.

    The nearer the end, the closer together: who has a minute left is not told as one with who has twenty.
    """
    if first.is_limit != other.is_limit or first.left_s is None or other.left_s is None:
        return False
    if first.left_s < 0:
        return False
    about_s = LAST_MINUTE_S
    if first.is_limit:
        about_s = min(SAME_TIME_S, max(about_s, SAME_SHARE * first.left_s))
    if other.left_s - first.left_s > about_s:
        return False
    one, another = first.clock, other.clock
    fields = ("procedure", "step", "set_by", "number", "what", "ends", "if_missed")
    return all(getattr(one, name) == getattr(another, name) for name in fields)


def time_left(seconds: float, *, up: bool) -> TimeLeft:
    """How long still. A wait is rounded up, what is left of a limit down."""
    whole = math.ceil if up else math.floor
    slack = -1e-6 if up else 1e-6
    if seconds < SHORT_S:
        return TimeLeft(10 * max(0, whole(seconds + slack)), "s")
    if seconds < 90 * 60:
        return TimeLeft(10 * whole(seconds / 60 + slack), "min")
    return TimeLeft(whole(seconds / _TENTH_OF_AN_HOUR_S + slack), "h")


def left_words(seconds: float, *, up: bool) -> str:
    """The same in words: ``95 s``, ``25 min``, ``4.5 h``."""
    return time_left(seconds, up=up).words


def time_words(at: datetime, *, up: bool, day: bool = False) -> str:
    """A time of day in whole minutes: the one before, or the one after for what must have passed by then."""
    if up and (at.second or at.microsecond):
        at = at.replace(second=0, microsecond=0) + timedelta(minutes=1)
    return at.astimezone().strftime("%a %H:%M" if day else "%H:%M")


def time_or_day(at: datetime, now: datetime) -> str:
    """The time of day by which something has to be over, with its day where that is not today."""
    return time_words(at, up=False, day=at.astimezone().date() != now.astimezone().date())
