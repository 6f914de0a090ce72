"""Times, counts and marks in the words that every screen uses."""

import math
from collections.abc import Sequence
from datetime import datetime, timedelta

from kiosk.catalogue import said
from kiosk.plural import so_many
from kiosk.record.context import NOBODY, Context
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Step, Stop, counted
from kiosk.shop.shop import Shop


def stay_words() -> str:
    """How a step is left that starts a wait, and is gone straight on from when that is over."""
    return said("Stay near: when the wait is over, the next step follows at once.")


def stop_words(stop: Stop) -> str:
    """How a step may be left."""
    match stop:
        case "anywhere":
            return said("You can leave this at any moment.")
        case "between pieces":
            return said("Leave it only between pieces.")
        case "only when finished":
            return said("Finish this step before you leave it.")
        case "go straight on":
            return said("Go straight on to the next step. Do not stop here.")


def ago(then: datetime, now: datetime | None) -> str:
    """How long ago, and when: ``3 days ago, Sat 14:10``. None is a clock that is not believed."""
    if now is None:
        return said(
            "{strftime} by the clock of then", strftime=then.astimezone().strftime("%a %d %b %Y %H:%M")
        )
    gap = now - then
    day = then.astimezone().strftime("%a %H:%M")
    if gap < timedelta(0):
        return said("{day} (the clock has been set back since)", day=day)
    if gap < timedelta(minutes=2):
        return said("just now")
    if gap < timedelta(hours=1):
        return said("{minutes} ago", minutes=so_many(int(gap.total_seconds() // 60), "minute", "minutes"))
    if gap < timedelta(hours=20):
        hours = round(gap.total_seconds() / 3600)
        return said("{hours} ago, {day}", hours=so_many(hours, "hour", "hours"), day=day)
    days = (now.astimezone().date() - then.astimezone().date()).days
    if days <= 1:
        return said("yesterday, {day}", day=day)
    return said(
        "{days} ago, {strftime}",
        days=so_many(days, "day", "days"),
        strftime=then.astimezone().strftime("%a %d %b %H:%M"),
    )


def span(seconds: float) -> str:
    """Minutes and seconds on the step's clock: ``4:05``; hours from an hour on: ``1:04:05``."""
    whole = max(0, int(seconds))
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{left:02d}" if hours else f"{minutes}:{left:02d}"


def count_words(done: int, wanted: int, of: str, *, at_most: bool = False, enough: str = "") -> str:
    """How far a count is: ``5 of 11 flutes``; a number that was lowered meanwhile is said to be so.

    ``at_most`` for a number that is the most there can be; ``enough`` are the words of its sooner end.
    """
    if done > wanted:
        return said("{done} {of} counted, and {wanted} are wanted now", done=done, of=of, wanted=wanted)
    words = counted(done, wanted, of, at_most=at_most)
    return said("{words}, enough: {enough}", words=words, enough=enough) if enough else words


def count_caption(done: int, wanted: int, of: str, *, at_most: bool = False, enough: str = "") -> str:
    """The same beside the number done, which stands in large digits: ``of 11 flutes``."""
    if done > wanted:
        return said("{of} counted, and {wanted} are wanted now", of=of, wanted=wanted)
    if wanted == 1:
        words = said("of at most 1: {of}", of=of) if at_most else said("of 1: {of}", of=of)
    else:
        places = {"wanted": wanted, "of": of}
        words = said("of at most {wanted} {of}", **places) if at_most else said("of {wanted} {of}", **places)
    return said("{words}, enough: {enough}", words=words, enough=enough) if enough else words


def clock_line(elapsed_s: float, estimate_minutes: float) -> str:
    """A step's clock against what it usually takes, in words."""
    left = estimate_minutes - elapsed_s / 60
    if round(left) == 0:
        return said("under a minute left") if left > 0 else said("the usual time is up")
    return (
        said("about {left} min left", left=f"{left:.0f}")
        if left > 0
        else said("{value} min over the usual", value=f"{-left:.0f}")
    )


def chance_in_words(chance: float) -> str:
    """A chance as a builder says it."""
    tenths = math.floor(chance * 10 + 0.25)
    if tenths >= 10:
        return said("nearly always")
    if tenths <= 0:
        return said("hardly ever")
    return said("{tenths} times in 10", tenths=tenths)


def kinds_in_words(shop: Shop, marks: Sequence[str]) -> str:
    """What parts are: the names of their kinds, each once."""
    return ", ".join(dict.fromkeys(shop.kind_of(mark).name for mark in marks if mark in shop.parts))


def action_words(context: Context, step: Step) -> str:
    """The action as it is said to whoever has the screen: a helper is told in plain words."""
    helper = context.doer.role != "builder" and context.doer.id != NOBODY
    return (step.plain or step.do) if helper else step.do


def capital(text: str) -> str:
    """A text that begins with a capital."""
    return text[:1].upper() + text[1:]


def id_in_words(name: str) -> str:
    """The id of a step or of a family as it is read: ``drive-home`` is drive home."""
    return name.replace("-", " ")


def time_of_day(moment: datetime) -> str:
    """The time of day at the top of a screen."""
    return moment.astimezone().strftime("%a %H:%M")


def next_step_words(marks: Sequence[str], do: str) -> str:
    """A step to begin with, as closing up writes it down: ``NR-03: Squeeze the flutes.``"""
    return f"{marks_in_full(marks)}: {do}"
