"""I have a few minutes: what fits, and why."""

from functools import partial

from kiosk.planning.spare import MOST_CHOICES, SpareAnswer
from kiosk.planning.suggestion import Suggestion
from kiosk.planning.work.found_work import NotNow
from kiosk.record.context import NOBODY
from kiosk.record.rules.things import slot_minutes
from kiosk.screens.action import BIG, Action
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET, Lines
from kiosk.screens.pin import ask_pin
from kiosk.views.preparing import next_slot_words, not_now_words, preparation_words, read_room_words
from kiosk.views.suggestion import suggestion_words, sum_of_slot
from kiosk.views.wording import chance_in_words

USUAL_MINUTES = (5, 10, 15, 30, 60)
NUMBER_BEGINS = frozenset("0123456789-+.,")
MOST_TYPED = 8
KEPT_S = 300
MOST_OF_HELPER = 2  # things of a helper's that are shown in words


class SpareScreen(KioskScreen):
    """Takes a number or a tap, shows at most three things, walks the chosen one."""

    NAME = "spare"
    HINT = "Type minutes, 3 to 120, then Enter.  Marks begin with a letter."

    def __init__(self, minutes: int = 15) -> None:
        super().__init__()
        self.minutes = minutes
        self.at = 0
        self.typed = ""
        self._answer: tuple[int, int, int, SpareAnswer] | None = None

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

    @property
    def part_shown(self) -> str:
        """The part of the chosen suggestion, where it is of one."""
        choices = self.choices()
        marks = choices[self.at].marks if self.at < len(choices) else ()
        return marks[0] if len(marks) == 1 else ""

    def draw(self) -> Drawn:
        """The question, the answer and the reasons; begin, and the usual numbers of minutes."""
        answer = self.answer()
        choices = self.choices()
        self.at = max(0, min(self.at, len(choices) - 1))
        return Drawn(
            self._page(answer, choices), [self._big(choices, answer.read_room), *self._others(answer)]
        )

    def _page(self, answer: SpareAnswer, choices: list[Suggestion]) -> Lines:
        lines = self.lines()
        typed = f"{self.typed}▌" if self.typed else f"{self.minutes}"
        lines.big(typed, caption="minutes to spare. Type a number or tap one.")
        if answer.suggestions:
            lines.add(f"Fits {chance_in_words(answer.chance)}: {sum_of_slot(answer)}.", PLAIN, importance=2)
        elif self.bench.doer_id == NOBODY:
            lines.add("Nobody has the screen yet. F4: choose your name, then F7.", BOLD)
        else:
            lines.add("Nothing can be finished in that time. Worth doing all the same:", BOLD)
            for one in answer.prepare:
                lines.add(preparation_words(one), PLAIN, indent="- ", most=2)
            if answer.next_slot is not None:
                begins = next_slot_words(answer.next_slot)
                lines.add(f"The next slot begins with {begins}", PLAIN, importance=3, most=2)
        for number, suggestion in enumerate(choices):
            self._add_suggestion(lines, answer, number, suggestion)
        for person in dict.fromkeys(one.by for one in answer.helper_does):
            theirs = [one for one in answer.helper_does if one.by == person]
            self._add_theirs(lines, self.bench.shop.people[person].name, theirs)
        more = len(answer.suggestions) - MOST_CHOICES
        if more > 0:
            minutes = sum(one.minutes for one in answer.suggestions[MOST_CHOICES:])
            lines.add(f"and {more} more that fit  {minutes} min", BOLD, importance=2)
        if answer.suggestions and answer.minutes <= 5:
            for one in answer.prepare[:2]:
                lines.add(preparation_words(one), QUIET, importance=5, indent="- ", most=1)
        if answer.read_room is not None:
            lines.add(read_room_words(answer.read_room), BOLD, importance=3, most=2)
        if not answer.exact:
            lines.add("There are too many ways to look at all of them.", QUIET, importance=6, most=1)
        for waiting in answer.not_now[:3]:
            lines.add(f"Not now: {not_now_words(waiting)}", QUIET, importance=7, most=1)
        return lines

    def _add_suggestion(self, lines: Lines, answer: SpareAnswer, number: int, suggestion: Suggestion) -> None:
        here = number == self.at
        pointer = "▶" if here else " "
        instead = number >= len(answer.suggestions)
        lead = f"or, fits {chance_in_words(suggestion.chance)}: " if instead else f"{number + 1}. "
        said = suggestion_words(suggestion)
        # What each does comes before what could be done instead; that shows again once it is chosen.
        importance = 4 if instead and not here and answer.helper_does else 0
        line = f"{pointer}{lead}{said.what}  {suggestion.minutes} min"
        lines.add(line, ACCENT if here else BOLD, importance=importance, most=2)
        if suggestion.beside:
            name = self.bench.shop.people[suggestion.beside].name
            lines.add(f"Takes two: {name} is in it with you.", BOLD, indent="    ", most=1)
        lines.add(said.reason, PLAIN, importance=importance + 1, indent="    ", most=2)
        if here and suggestion.fetch:
            lines.add(f"Fetch: {', '.join(suggestion.fetch)}", QUIET, importance=3, indent="    ", most=1)

    def _add_theirs(self, lines: Lines, name: str, theirs: list[Suggestion]) -> None:
        """What a helper does meanwhile: the first, the second where there is room, the rest in sum."""
        for number, suggestion in enumerate(theirs[:MOST_OF_HELPER]):
            when = "meanwhile" if number == 0 else "then"
            what = suggestion_words(suggestion).what
            importance = 2 * number
            lines.add(f"{name} {when}: {what}  {suggestion.minutes} min", BOLD, importance=importance, most=2)
        rest = theirs[MOST_OF_HELPER:]
        if rest:
            minutes = sum(one.minutes for one in rest)
            lines.add(f"{name} then: {len(rest)} more that fit  {minutes} min", BOLD, importance=2)

    def _big(self, choices: list[Suggestion], read_room: NotNow | None) -> Action:
        """What stands on the big target: the number just typed first, then what is chosen."""
        if self.typed:
            return Action(f"FIND {self.typed} MIN", BIG, partial(self._take_typed, self.typed))
        if not choices and self.bench.doer_id == NOBODY:
            return Action("SAY WHO YOU ARE", BIG, partial(self.kiosk.go, "people"))
        if not choices and read_room is not None:
            return Action("READ THE ROOM", BIG, partial(self.kiosk.open_part, read_room.marks[0]))
        if not choices:
            return Action("BACK TO THE PLACE", BIG, partial(self.kiosk.go, "place"))
        chosen = choices[self.at]
        label = f"READY IN {chosen.ready_in} MIN" if chosen.ready_in else "BEGIN THIS"
        return Action(label, BIG, partial(self._begin, chosen))

    def _others(self, answer: SpareAnswer) -> list[Action]:
        actions = [
            Action(
                f"{minutes} min",
                "",
                partial(self._take, minutes),
                shown="wide" if minutes in (10, 30) else "always",
                here=minutes == self.minutes,
            )
            for minutes in USUAL_MINUTES
        ]
        for key, by in (("up", -1), ("down", 1)):
            actions.append(Action("Choose", key, partial(self._move, by), shown="key", repeats=True))
        for helper in answer.helper_does[:1]:
            name = self.bench.shop.people[helper.by].name
            begin = partial(self._begin_theirs, helper)
            actions.append(Action(f"{name} begins theirs", "f7", begin, shown="key"))
        return actions

    def _take_typed(self, text: str) -> None:
        self.typed = ""
        self._take(slot_minutes(text))

    def _take(self, minutes: int) -> None:
        self.minutes, self.typed, self.at = minutes, "", 0

    def _move(self, by: int) -> None:
        self.at += by

    def take_text(self, character: str) -> bool:
        """Digits are minutes, and so is what is no number at all once one was begun: it is refused whole."""
        if not self.typed and character not in NUMBER_BEGINS:
            return False
        self.typed = (self.typed + character)[:MOST_TYPED]
        self.show()
        return True

    def erase(self) -> None:
        """Take back a digit."""
        self.typed = self.typed[:-1]
        self.show()

    def _begin_theirs(self, helper: Suggestion) -> None:
        person = self.bench.shop.people[helper.by]
        if self.bench.asks_pin_to_take(person):
            ask_pin(self.kiosk, person, partial(self._hand_to, helper))
        else:
            self._hand_to(helper)

    def _hand_to(self, helper: Suggestion, pin: str = "") -> None:
        self.bench.hand_over(helper.by, pin)
        self.kiosk.say(f"{self.bench.doer.name} has the screen. F4 takes it back.")
        self._begin(helper)

    def _begin(self, suggestion: Suggestion) -> None:
        if suggestion.work is not None:
            self.bench.take_up(suggestion.work, tap=self.tap)
            work = suggestion.work
        else:
            begin = self.bench.begin_batch if len(suggestion.marks) > 1 else self.bench.start
            work = begin(suggestion.marks, suggestion.procedure, suggestion.step, tap=self.tap)
        self.kiosk.begin_slot(self.minutes)
        self.kiosk.walk(work)
