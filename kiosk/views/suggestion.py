"""A suggestion in words: what to do, why, and how it can be left."""

from collections.abc import Sequence
from datetime import datetime

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.planning.reasons import (
    AllTheSame,
    AskedFor,
    EndsPart,
    GoesWithAsked,
    InHand,
    LastStep,
    MayNotBeLeft,
    OneSetUp,
    Opens,
    OpensAsked,
    QuietAfter,
    QuietComesFirst,
    Reason,
    SetUpOut,
    Spoils,
    StepsBefore,
    Usual,
)
from kiosk.planning.set_up_ahead import SetUpAhead
from kiosk.planning.spare import SpareAnswer
from kiosk.planning.suggestion import Suggestion
from kiosk.planning.work.candidate import Meanwhile
from kiosk.plural import so_many
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Step


@dataclass(frozen=True)
class SuggestionWords:
    """What is said of one suggestion."""

    what: str
    why: str
    left_as: str

    @property
    def reason(self) -> str:
        """Why, and how it can be left, in one line."""
        return said("Why: {why}; {left_as}.", why=self.why, left_as=self.left_as)


def suggestion_words(one: Suggestion) -> SuggestionWords:
    """A suggestion in plain words, in a helper's own when it is for one."""
    left_as = left_as_words([step for _, step in one.stretch.steps], for_helper=one.for_helper)
    return SuggestionWords(_what(one), why_words(one.reason, for_helper=one.for_helper), left_as)


def _what(one: Suggestion) -> str:
    stretch = one.stretch
    first, last = stretch.steps[0][1], stretch.steps[-1][1]
    do = (first.plain or first.do) if one.for_helper else first.do
    what = f"{marks_in_full(stretch.marks)}: {do}"
    if stretch.waiting_minutes:
        what += " " + said("{waiting_minutes} min of it is waiting.", waiting_minutes=stretch.waiting_minutes)
    if stretch.gap_after:
        what += " " + _wait_words(one)
    elif len(stretch.steps) > 1:
        what += " " + said(
            "Go on, {number} steps, to: {step}.", number=len(stretch.steps), step=_words_of(last, one)
        )
    if stretch.minutes_left:
        what += " " + said(
            "Begin it: about {minutes_left} min of it will be left.", minutes_left=stretch.minutes_left
        )
    if stretch.meanwhile is not None:
        what += " " + _meanwhile_words(stretch.meanwhile)
    if one.ready_in:
        what += " " + said("Its wait ends in {ready_in} min.", ready_in=one.ready_in)
    return what


def _wait_words(one: Suggestion) -> str:
    """The wait that holds a stretch up: how long it may be filled, where a limit says that."""
    stretch = one.stretch
    before = _words_of(stretch.steps[stretch.gap_after - 1][1], one)
    last = _words_of(stretch.steps[-1][1], one)
    if stretch.waits_at_most is not None:
        return said(
            "Then it waits {gap_minutes} min, {most} at most ({step}): "
            "do what fits meanwhile, then go on to: {next_step}.",
            gap_minutes=stretch.gap_minutes,
            most=stretch.waits_at_most,
            step=before,
            next_step=last,
        )
    return said(
        "Then it waits {gap_minutes} min ({step}): do the others meanwhile, then go on to: {next_step}.",
        gap_minutes=stretch.gap_minutes,
        step=before,
        next_step=last,
    )


def _meanwhile_words(one: Meanwhile) -> str:
    """What something is done beside, and when it gives way to that."""
    parts = marks_in_full(one.marks)
    if one.leave:
        return said(
            "Do it while {parts} wait, and leave it in {minutes} min.", parts=parts, minutes=one.minutes
        )
    return said("Do it while {parts} wait {minutes} min.", parts=parts, minutes=one.minutes)


def _words_of(step: Step, one: Suggestion) -> str:
    """A step in its own words, as the end of a sentence."""
    return ((step.plain or step.do) if one.for_helper else step.do).rstrip(".")


def why_words(reason: Reason, *, for_helper: bool = False) -> str:
    """Why it is worth doing now, to go after "Why:"."""
    match reason:
        case AllTheSame(why):
            return said("not today, you said, but {why}", why=why_words(why))
        case MayNotBeLeft():
            return said("it may not be left as it is")
        case AskedFor(marks):
            return _asked_for(marks, for_helper=for_helper)
        case GoesWithAsked(marks):
            parts = marks_in_full(marks)
            return (
                said("it goes with {parts}, which was asked for", parts=parts)
                if for_helper
                else said("it goes with {parts}, which you asked for", parts=parts)
            )
        case OpensAsked():
            return (
                said("what was asked for waits for it")
                if for_helper
                else said("what you asked for waits for it")
            )
        case QuietAfter(at, in_hand):
            time = at.astimezone().strftime("%H:%M")
            return (
                said("it has to be ended by {time}, then quiet hours come first", time=time)
                if in_hand
                else said("it can be begun until {time}, then quiet hours come first", time=time)
            )
        case QuietComesFirst(until, spoils_at):
            return _too_late_words(until, spoils_at)
        case Spoils(at):
            return said("it spoils after {when}", when=at.astimezone().strftime("%a %H:%M"))
        case InHand():
            return said("it is begun already")
        case Opens(parts):
            return so_many(parts, "part waits for it", "parts wait for it")
        case EndsPart(marks):
            return said("it finishes {parts}", parts=marks_in_full(marks))
        case SetUpOut():
            return said("the set-up is out already")
        case OneSetUp(parts):
            return said("{parts} for one set-up", parts=so_many(parts, "part", "parts"))
        case Usual(minutes, pieces):
            return said(
                "it takes you about {minutes} min by your last {pieces}",
                minutes=f"{minutes:.0f}",
                pieces=pieces,
            )
        case StepsBefore(steps):
            return said(
                "{steps_still_lie} before this part",
                steps_still_lie=so_many(steps, "step still lies", "steps still lie"),
            )
        case LastStep():
            return said("it is the last step of this part")


def _too_late_words(until: datetime, spoils_at: datetime | None) -> str:
    """That only hands that are quicker than ever get it done before quiet hours."""
    quiet = until.astimezone().strftime("%a %H:%M")
    if spoils_at is None or spoils_at >= until:
        return said("quiet hours until {quiet} come first, unless you are quicker than usual", quiet=quiet)
    return said(
        "quiet hours until {quiet} come first and it spoils after {when}, unless you are quicker than usual",
        quiet=quiet,
        when=spoils_at.astimezone().strftime("%a %H:%M"),
    )


def _asked_for(marks: Sequence[str], *, for_helper: bool) -> str:
    """That it was asked for; which of the parts, where that is not so of all."""
    if not marks:
        return said("it was asked for") if for_helper else said("you asked for it")
    parts = marks_in_full(marks)
    if for_helper:
        verb = "were" if len(marks) > 1 else "was"
        return said("{parts} {verb} asked for", parts=parts, verb=verb)
    return said("you asked for {parts}", parts=parts)


def set_up_ahead_words(one: SetUpAhead, *, for_helper: bool = False) -> str:
    """What to set up first, for what of a plan still waits."""
    step = one.step
    return said(
        "SET UP FIRST, about {minutes} min, for what waits {ready_in} min: {step}",
        minutes=one.minutes,
        ready_in=one.ready_in,
        step=(step.plain or step.do) if for_helper else step.do,
    )


MORE_OFTEN_THAN_NOT = 0.5


def sum_of_slot(answer: SpareAnswer) -> str:
    """The whole of a plan as a sum of what stands on its lines: the work, a wait, what is set up for it and
    put away again, and leaving the bench as it stands, which is what the strip and the header count.

    What may not be left as it is can take longer than there is: then it is said by how much.
    """
    work = sum(one.minutes for one in answer.suggestions)
    idle = answer.total_minutes - work - answer.set_up_minutes
    waiting = (" " + said("+ {idle} waiting", idle=idle)) if idle else ""
    set_ups = answer.set_up_minutes - answer.leaving_minutes
    beside = ""
    if set_ups:
        beside = " " + (
            said("+ {minutes} for set-ups and looking over", minutes=set_ups)
            if answer.helper_does
            else said("+ {minutes} for set-ups", minutes=set_ups)
        )
    over = answer.total_minutes - answer.minutes
    too_long = ""
    if over > 0:
        # What has to end is planned for slow evenings: more often than not it is done in time all the same.
        likely = answer.chance >= MORE_OFTEN_THAN_NOT
        too_long = (
            said(", {over} more than there are where it goes slowly", over=over)
            if likely
            else said(", {over} more than there are", over=over)
        )
    total = said("about {total_minutes} min{too_long}", total_minutes=answer.total_minutes, too_long=too_long)
    return said(
        "{total} = {work} work{waiting}{beside} + {leaving} putting away",
        total=total,
        work=work,
        waiting=waiting,
        beside=beside,
        leaving=answer.leaving_minutes,
    )


def left_as_words(steps: Sequence[Step], *, for_helper: bool = False) -> str:
    """How the work of these steps can be left: by the last of them that may not be left as it is, or by what
    follows that at once."""
    has_to_end = [at for at, step in enumerate(steps) if step.has_to_end]
    if has_to_end:
        at = has_to_end[-1]
        last = steps[min(at + 1, len(steps) - 1)] if steps[at].stop == "go straight on" else steps[at]
        do = (last.plain or last.do) if for_helper else last.do
        return said("can be left once this is done: {do}", do=do.rstrip("."))
    if all(step.stop == "anywhere" for step in steps):
        return said("can be left at any moment")
    return said("can be left after each piece")
