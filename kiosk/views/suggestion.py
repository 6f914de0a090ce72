"""A suggestion in words: what to do, why, and how it can be left."""

from collections.abc import Sequence

from kiosk.dataclass import dataclass
from kiosk.planning.reasons import (
    AllTheSame,
    AskedFor,
    EndsPart,
    InHand,
    LastStep,
    MayNotBeLeft,
    OneSetUp,
    Opens,
    OpensAsked,
    Reason,
    SetUpOut,
    Spoils,
    StepsBefore,
    Usual,
)
from kiosk.planning.spare import SpareAnswer
from kiosk.planning.suggestion import Suggestion
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
        return f"Why: {self.why}; {self.left_as}."


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
        what += f" {stretch.waiting_minutes} min of it is waiting."
    if stretch.gap_after:
        before = stretch.steps[stretch.gap_after - 1][1]
        what += (
            f" Then it waits {stretch.gap_minutes} min ({_words_of(before, one)}):"
            f" do the others meanwhile, then go on to: {_words_of(last, one)}."
        )
    elif len(stretch.steps) > 1:
        what += f" Go on, {len(stretch.steps)} steps, to: {_words_of(last, one)}."
    if stretch.minutes_left:
        what += f" Begin it: about {stretch.minutes_left} min of it will be left."
    if one.ready_in:
        what += f" Its wait ends in {one.ready_in} min."
    return what


def _words_of(step: Step, one: Suggestion) -> str:
    """A step in its own words, as the end of a sentence."""
    return ((step.plain or step.do) if one.for_helper else step.do).rstrip(".")


def why_words(reason: Reason, *, for_helper: bool = False) -> str:
    """Why it is worth doing now, to go after "Why:"."""
    match reason:
        case AllTheSame(why):
            return f"not today, you said, but {why_words(why)}"
        case MayNotBeLeft():
            return "it may not be left as it is"
        case AskedFor():
            return "it was asked for" if for_helper else "you asked for it"
        case OpensAsked():
            return "what was asked for waits for it" if for_helper else "what you asked for waits for it"
        case Spoils(at):
            return f"it spoils after {at.astimezone().strftime('%a %H:%M')}"
        case InHand():
            return "it is the step you have in hand"
        case Opens(parts):
            return so_many(parts, "part waits for it", "parts wait for it")
        case EndsPart(marks):
            return f"it finishes {marks_in_full(marks)}"
        case SetUpOut():
            return "the set-up is out already"
        case OneSetUp(parts):
            return f"{so_many(parts, 'part', 'parts')} for one set-up"
        case Usual(minutes, pieces):
            return f"it takes you about {minutes:.0f} min by your last {pieces}"
        case StepsBefore(steps):
            return f"{so_many(steps, 'step still lies', 'steps still lie')} before this part"
        case LastStep():
            return "it is the last step of this part"


def sum_of_slot(answer: SpareAnswer) -> str:
    """The whole of a plan as a sum of what stands on its lines: the work, a wait, setting up and away.

    What may not be left as it is can take longer than there is: then it is said by how much.
    """
    work = sum(one.minutes for one in answer.suggestions)
    idle = answer.total_minutes - work - answer.set_up_minutes
    waiting = f" + {idle} waiting" if idle else ""
    away = answer.set_up_minutes
    over = answer.total_minutes - answer.minutes
    too_long = f", {over} more than there are" if over > 0 else ""
    total = f"about {answer.total_minutes} min{too_long}"
    beside = (
        "setting up, putting away and looking over" if answer.helper_does else "setting up and putting away"
    )
    return f"{total} = {work} work{waiting} + {away} {beside}"


def left_as_words(steps: Sequence[Step], *, for_helper: bool = False) -> str:
    """How the work of these steps can be left: by the last of them that may not be left as it is."""
    has_to_end = [step for step in steps if step.has_to_end]
    if has_to_end:
        last = has_to_end[-1]
        do = (last.plain or last.do) if for_helper else last.do
        return f"leave it when this is done: {do.rstrip('.')}"
    if all(step.stop == "anywhere" for step in steps):
        return "can be left at any moment"
    return "can be left after each piece"
