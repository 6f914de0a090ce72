"""A suggestion in words: what to do, why, and how it can be left."""

from dataclasses import dataclass

from kiosk.planning.reasons import (
    EndsPart,
    InHand,
    LastStep,
    OneSetUp,
    Opens,
    Reason,
    SetUpOut,
    Spoils,
    StepsBefore,
    Usual,
)
from kiosk.planning.suggestion import Suggestion
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import Step
from kiosk.views.wording import id_in_words


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
    _, last = one.stretch.steps[-1]
    return SuggestionWords(_what(one), why_words(one.reason), left_as_words(last))


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
            f" It waits {stretch.gap_minutes} min after {id_in_words(before.id)!r}:"
            f" do the others meanwhile, then go on to {id_in_words(last.id)!r}."
        )
    elif len(stretch.steps) > 1:
        what += f" Go on to step {id_in_words(last.id)!r} ({len(stretch.steps)} steps)."
    if one.ready_in:
        what += f" Its wait ends in {one.ready_in} min."
    return what


def why_words(reason: Reason) -> str:
    """Why it is worth doing now, to go after "Why:"."""
    match reason:
        case Spoils(at):
            return f"it spoils after {at.astimezone().strftime('%a %H:%M')}"
        case InHand():
            return "it is the step you have in hand"
        case Opens(parts):
            return f"{parts} parts wait for this tool"
        case EndsPart(marks):
            return f"it finishes {marks_in_full(marks)}"
        case SetUpOut(family):
            return f"the set-up is out already ({id_in_words(str(family))})"
        case OneSetUp(parts):
            return f"{parts} parts for one set-up"
        case Usual(minutes, pieces):
            return f"it takes you about {minutes:.0f} min by your last {pieces}"
        case StepsBefore(steps):
            return f"{steps} steps still lie before this part"
        case LastStep():
            return "it is the last step of this part"


def left_as_words(last: Step) -> str:
    """How the work can be left, by the last step of it."""
    if last.stop == "anywhere":
        return "can be left at any moment"
    if last.stop == "between pieces":
        return "can be left after each piece"
    return f"leave it with {id_in_words(last.id)!r} done"
