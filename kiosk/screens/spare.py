"""I have a few minutes: what fits, and why."""

from kiosk.planning.spare import LONGEST_MINUTES, MOST_CHOICES, SHORTEST_MINUTES, SpareAnswer
from kiosk.planning.suggest import Suggestion
from kiosk.planning.times.chance import in_words
from kiosk.screens.base import KioskScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET
from kiosk.screens.target import Tap

USUAL_MINUTES = (5, 10, 15, 30, 60)
KEPT_S = 300


class SpareScreen(KioskScreen):
    """Takes a number or a tap, shows at most three things, walks the chosen one."""

    NAME = "spare"

    def __init__(self, minutes: int = 15) -> None:
        super().__init__()
        self.minutes = minutes
        self.at = 0
        self.typed = ""
        self._answer: tuple[int, int, int, SpareAnswer] | None = None

    def taps(self) -> list[Tap]:
        """Begin, and the usual numbers of minutes."""
        usual = [
            Tap(f"minutes {n}", f"{n} min", classes="minutes" + " optional" * (n in (10, 30)))
            for n in USUAL_MINUTES
        ]
        return [Tap("big", "", "Enter", classes="big"), *usual]

    def answer(self) -> SpareAnswer:
        """The planner's answer, worked out again when something changed, else every few minutes, so that it
        does not move under the finger."""
        seq = self.bench.state.seq
        moment = int(self.bench.now.timestamp() // KEPT_S)
        if self._answer is None or self._answer[:3] != (seq, moment, self.minutes):
            self._answer = (seq, moment, self.minutes, self.bench.spare(self.minutes))
        return self._answer[3]

    def choices(self) -> list[Suggestion]:
        """What can be chosen: the plan's things in order, then what could be done instead."""
        answer = self.answer()
        return [*answer.suggestions, *answer.instead][:MOST_CHOICES]

    def draw(self) -> None:
        """The question, the answer and the reasons."""
        answer = self.answer()
        choices = self.choices()
        self.at = max(0, min(self.at, len(choices) - 1))
        lines = self.lines()
        typed = f"{self.typed}▌" if self.typed else f"{self.minutes}"
        lines.big(typed, caption="minutes to spare. Type a number or tap one.")
        if answer.suggestions:
            lines.add(
                f"Fits {in_words(answer.chance)}: about {answer.total_minutes} min with"
                f" {answer.set_up_minutes} for setting up and putting away.",
                PLAIN,
                importance=4,
            )
        else:
            lines.add("Nothing can be finished in that time. Worth doing all the same:", BOLD)
            for text in answer.prepare:
                lines.add(text, PLAIN, indent="- ", most=2)
            if answer.next_slot:
                lines.add(f"The next slot begins with {answer.next_slot}", PLAIN, importance=3, most=2)
        for number, suggestion in enumerate(choices):
            here = number == self.at
            pointer = "▶" if here else " "
            instead = number >= len(answer.suggestions)
            lead = f"or, fits {in_words(suggestion.chance)}: " if instead else f"{number + 1}. "
            lines.add(
                f"{pointer}{lead}{suggestion.what}  {suggestion.minutes} min",
                ACCENT if here else BOLD,
                most=2,
            )
            lines.add(
                f"Why: {suggestion.why}; {suggestion.left_as}.", PLAIN, importance=1, indent="    ", most=1
            )
            if here and suggestion.fetch:
                lines.add(f"Fetch: {', '.join(suggestion.fetch)}", QUIET, importance=3, indent="    ", most=1)
        for suggestion in answer.helper_does:
            name = self.bench.shop.people[suggestion.by].name
            lines.add(f"{name} meanwhile: {suggestion.what}  {suggestion.minutes} min", BOLD, most=2)
        more = len(answer.suggestions) - MOST_CHOICES
        if more > 0:
            lines.add(f"and {more} more that fit", QUIET, importance=6)
        if answer.suggestions and answer.minutes <= 5:
            for text in answer.prepare[:2]:
                lines.add(text, QUIET, importance=5, indent="- ", most=1)
        if not answer.exact:
            lines.add("There are too many ways to look at all of them.", QUIET, importance=6, most=1)
        for text in answer.not_now[:3]:
            lines.add(f"Not now: {text}", QUIET, importance=7, most=1)
        self.set_body(lines)
        ready_in = choices[self.at].ready_in if choices else 0
        begin = f"READY IN {ready_in} MIN" if ready_in else "BEGIN THIS"
        self.face("big", begin if choices else "BACK TO THE PLACE", "Enter")
        for tap in self.query(".minutes").results(Tap):
            tap.set_class(tap.action == f"minutes {self.minutes}", "here")

    def hint(self) -> str:
        """How to choose."""
        helper = self.answer().helper_does
        if helper:
            return (
                f"↑ ↓ choose.  F7 {self.bench.shop.people[helper[0].by].name} begins theirs.  Type minutes."
            )
        return "↑ ↓ choose.  Type minutes, 3 to 120, then Enter.  Marks begin with a letter."

    def take_text(self, character: str) -> bool:
        """Digits are minutes."""
        if not character.isdigit():
            return False
        self.typed = (self.typed + character)[-3:]
        self.show()
        return True

    def erase(self) -> None:
        """Take back a digit."""
        self.typed = self.typed[:-1]
        self.show()

    def do(self, action: str) -> bool:
        """Take a number, move, or begin."""
        if action == "big" and self.typed:
            self.minutes = max(SHORTEST_MINUTES, min(LONGEST_MINUTES, int(self.typed)))
            self.typed, self.at = "", 0
        elif action == "big":
            choices = self.choices()
            if choices:
                self._begin(choices[self.at])
            else:
                self.kiosk.go("place")
        elif action.startswith("minutes "):
            self.minutes, self.typed, self.at = int(action.split()[1]), "", 0
        elif action == "f7" and self.answer().helper_does:
            helper = self.answer().helper_does[0]
            self.bench.hand_over(helper.by)
            self.kiosk.say(f"{self.bench.doer.name} has the screen. F4 takes it back.")
            self._begin(helper)
        elif action in ("up", "down"):
            self.at += -1 if action == "up" else 1
        else:
            return False
        return True

    def _begin(self, suggestion: Suggestion) -> None:
        if suggestion.work is not None:
            self.bench.take_up(suggestion.work)
            work = suggestion.work
        else:
            work = self.bench.start(suggestion.marks, suggestion.procedure, suggestion.step)
        self.kiosk.begin_slot(self.minutes)
        self.kiosk.walk(work)
