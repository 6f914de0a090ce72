"""What is called out over every screen: a step that may not go on, what runs out or was missed, a wait that
ended, a doubtful clock."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Literal

from kiosk.catalogue import said, to_be_said
from kiosk.dataclass import dataclass
from kiosk.record.authority import room_to_clear, runs_in_room
from kiosk.record.belief import Doubt
from kiosk.record.context import Context
from kiosk.record.waits import LAST_MINUTE_S, is_near
from kiosk.shop.parts import marks_in_full
from kiosk.views.barred import barred
from kiosk.views.clocks import RunningClock, every_clock, left_words, time_or_day
from kiosk.views.one_row import one_row
from kiosk.views.slot import put_away_words
from kiosk.views.wording import action_words

SOON_S = 600.0  # before the last moment to begin something
TOLD_FOR_S = 300.0  # how long a wait that ended is called out

Level = Literal[
    "stopped", "missed", "last minute", "near", "put away", "over", "not known", "ended", "wall clock"
]
_PRESSING = ("missed", "last minute")  # spoils now: said before that it is time to put away


@dataclass(frozen=True)
class Alarm:
    """One thing to call out. The bell rings once for each ``about`` and ``level``."""

    about: tuple[str, ...]
    level: Level
    words: str


def alarms(context: Context) -> list[Alarm]:
    """Everything that is to be called out now, the most pressing first."""
    found = [*_stopped(context), *_stopped_room(context)]
    first = len(found)
    for one in every_clock(context):
        if not one.is_limit and all(context.state.open_snags(mark) for mark in one.marks):
            continue  # its wait may be over: nothing goes on with it before its snag is decided
        level, words = _of_clock(one)
        if level is not None:
            clock = one.clock
            which = (clock.set_by, str(clock.number), clock.until.isoformat())
            about = (clock.procedure, clock.step, clock.what, *which)
            found.append(Alarm(about, level, words))
    at = first + sum(alarm.level in _PRESSING for alarm in found)
    found[at:at] = [*_last_moments(context), *_of_slots(context)]
    if context.doubt is not None:
        found.append(Alarm((context.boot,), "wall clock", doubt_words(context.doubt)))
    return found


def _stopped(context: Context) -> Iterator[Alarm]:
    """That a step under way may not go on as people stand now: in the hands of whoever has the screen for any
    reason, in another's for who is in the room. What lies over its page, such as a keypad, does not hide it,
    nor does the page of somebody else."""
    for work in context.state.works.values():
        _, step = context.shop.find_step(work.procedure, work.step, work.turned_to)
        if work.status != "running" or step is None:
            continue
        own = work.worker == context.doer.id
        why = barred(context, work, step).text if own else room_to_clear(context, step)
        if not why:
            continue
        worker = context.shop.people.get(work.worker)
        if own or worker is None:
            words = said("STOP {mark}: {barred}.", mark=work.turned_to, barred=why)
        else:
            words = said(
                "STOP {mark} of {name}: {barred}.", mark=work.turned_to, name=worker.name, barred=why
            )
        yield Alarm((work.id, why), "stopped", words)


def _stopped_room(context: Context) -> Iterator[Alarm]:
    """That whoever has the screen may not be beside what another runs."""
    beside = runs_in_room(context)
    if beside:
        yield Alarm((context.doer.id, beside), "stopped", said("STOP: {barred}.", barred=beside))


def _of_slots(context: Context) -> Iterator[Alarm]:
    """That it is time to put away, and again when the minutes are over: for whoever has the screen, and for
    who is here and gave it to somebody else."""
    others = (person for person in context.people if person.id != context.doer.id)
    for person in (context.doer, *others):
        slot = context.state.slots.get(person.id)
        if slot is None:
            continue
        from kiosk.planning.put_away import put_away  # a start without a slot does without

        leaving = put_away(replace(context, doer=person))
        if leaving is None or not leaving.now:
            continue
        level: Level = "over" if leaving.over else "put away"
        words = put_away_words(leaving)
        if person.id != context.doer.id:
            words = said("{name}: {words}", name=person.name, words=words)
        yield Alarm(("slot", person.id, slot.began.at.isoformat()), level, words)


_LAST_MOMENT = {
    "begin": to_be_said("BEGIN BY {time}, or quiet hours come first: {name}: {do}"),
    "go on": to_be_said("GO ON BY {time}, or quiet hours come first: {name}: {do}"),
    "end": to_be_said("END BY {time}, or quiet hours come first: {name}: {do}"),
}


def _last_moments(context: Context) -> Iterator[Alarm]:
    """What can soon be begun, or ended, no more in time before quiet hours: its own limit may have hours to
    run."""
    if not context.shop.file.quiet_hours:
        return
    from kiosk.record.last_moment import LastMoments  # a start by day does without

    for one in context.kept.of(LastMoments).of(context, SOON_S / 60):
        left_s = (one.at - context.now).total_seconds()
        if not 0 <= left_s <= SOON_S:
            continue
        places = {
            "time": time_or_day(one.at, context.now),
            "name": marks_in_full(one.marks),
            "do": action_words(context, one.step),
        }
        words = said(_LAST_MOMENT[one.what], **places)
        about = ("quiet hours", *one.marks, one.procedure.id, one.step.id, one.at.date().isoformat())
        yield Alarm(about, "last minute" if left_s <= LAST_MINUTE_S else "near", words)


def _of_clock(one: RunningClock) -> tuple[Level | None, str]:
    name, what, left = marks_in_full(one.marks), one.clock.what, one.left_s
    if left is None:
        return "not known", one.words
    if not one.is_limit:
        over = -TOLD_FOR_S < left <= 0
        return (
            ("ended", said("THE WAIT IS OVER: {name}, {what}", name=name, what=what)) if over else (None, "")
        )
    if left < 0:
        return "missed", one.words
    if not is_near(one.clock, left):
        return None, ""
    places = {"time": left_words(left, up=False), "name": name, "what": what}
    words = (
        said("FINISH NOW, {time} left: {name}, {what}", **places)
        if one.clock.ends == "finish"
        else said("USE NOW, {time} left: {name}, {what}", **places)
    )
    return "last minute" if left <= LAST_MINUTE_S else "near", words


def strip_words(found: Sequence[Alarm], width: int) -> str:
    """The strip: the most pressing in full, and how many more there are."""
    if not found:
        return ""
    more = ("  " + said("(and {number} more)", number=len(found) - 1)) if len(found) > 1 else ""
    return one_row(found[0].words, width, more)


def doubt_words(doubt: Doubt) -> str:
    """That the wall clock is not believed, in one line."""
    return said(
        "THE CLOCK IS NOT BELIEVED: it shows {date}",
        date=doubt.shows.astimezone().strftime("%a %d %b %Y %H:%M"),
    )


def doubt_lines(doubt: Doubt) -> list[str]:
    """What a person is told who is to say whether the wall clock is right."""
    shows = doubt.shows.astimezone().strftime("%a %d %b %Y %H:%M")
    lines = [said("The clock says {shows}.", shows=shows)]
    if doubt.last is not None:
        lines.append(
            said(
                "The last entry was {date}.",
                date=doubt.last.astimezone().strftime("%a %d %b %Y %H:%M"),
            )
        )
    if doubt.why == "changed":
        lines.append(said("The clock was changed meanwhile."))
    return lines
