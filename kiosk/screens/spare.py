"""I have a few minutes: what fits, and why."""

from collections.abc import Callable, Collection, Iterator, Sequence
from functools import partial

from kiosk.catalogue import said, to_be_said
from kiosk.planning.reasons import MayNotBeLeft
from kiosk.planning.set_up_ahead import SetUpAhead
from kiosk.planning.spare import MOST_CHOICES, SpareAnswer
from kiosk.planning.suggestion import Suggestion
from kiosk.plural import so_many
from kiosk.record.context import NOBODY
from kiosk.record.rules import Refused
from kiosk.record.rules.things import SHORTEST_SLOT, slot_minutes
from kiosk.screens.action import BIG, Action, Shown
from kiosk.screens.all_the_same import begin, carry_on
from kiosk.screens.asking import ASK_KEY, ASK_LABEL, Asking
from kiosk.screens.base import Drawn
from kiosk.screens.beside import BesideScreen
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.keypad import NOT_WHOLE, KeypadScreen, why_not_whole
from kiosk.screens.large import SecondColumn, first_width, scale_of
from kiosk.screens.page_text import ACCENT, BOLD, LONGEST_LINE, PLAIN, POINTER, QUIET, Lines, Paragraph
from kiosk.screens.paging import Block, TextPage, block, paged
from kiosk.screens.part_column import part_column
from kiosk.screens.pin import ask_pin
from kiosk.screens.taps import SAME_TAP_S
from kiosk.shop.parts import marks_in_full
from kiosk.views.clocks import RunningClock, running_clocks
from kiosk.views.in_hand import InHand, in_hand
from kiosk.views.preparing import next_slot_words, not_now_words, preparation_words, read_room_words
from kiosk.views.suggestion import set_up_ahead_words, suggestion_words, sum_of_slot
from kiosk.views.wishes import asked_line
from kiosk.views.wording import chance_in_words

USUAL = 15
USUAL_MINUTES = (5, 10, 15, 30, 60)
_SHOWN: dict[int, Shown] = {10: "roomy", 30: "wide"}  # where a number has a target; any can be typed
NUMBER_BEGINS = frozenset("0123456789-+.,")
MOST_TYPED = 8
KEPT_S = 300
# What the line of the step in hand is about, and those of what helpers do; the plan's things count from 0.
_UNDER_WAY, _THEIRS = -1, -2
MEANWHILE, THEN = to_be_said("meanwhile"), to_be_said("then")


class SpareScreen(BesideScreen[SpareAnswer]):
    """Takes a number or a tap, shows at most three things, walks the chosen one."""

    NAME = "spare"
    HINT = to_be_said("Type minutes or a mark, then Enter.")

    def __init__(self) -> None:
        super().__init__()
        self.minutes = 0  # until it is drawn first
        self.at = 0
        self._moment = 0  # at which the answer was worked out, in stretches of KEPT_S
        self.typed = ""
        self.turned_to: int | None = None  # the page; None: that of what is chosen
        self._near: RunningClock | None = None  # the limit that runs out soon
        # What is chosen, as it was drawn last; None: not known yet.
        self._pointed: tuple[tuple[str, ...], str, str] | None = None
        self._chose = False  # somebody pointed at it
        self._paged_for: tuple[object, SpareAnswer] | None = None  # the room and the answer of its pages
        self._second = SecondColumn()
        self._in_hand: InHand | None = None

    def answer(self) -> SpareAnswer | None:
        """The planner's answer, worked out again when something or somebody changed, else every few minutes,
        so that it does not move under the finger; None meanwhile."""
        if not self.minutes:
            return None
        moment = int(self.bench.now.timestamp() // KEPT_S)
        left = self.bench.left_of_slot() if moment != self._moment else None
        if left is not None:  # of those that were given, some have gone by while the page stood open
            self.minutes = max(SHORTEST_SLOT, min(self.minutes, left))
        self._moment = moment
        here = (self.bench.doer_id, *(one.id for one in self.bench.people))
        asked = (self.bench.state.seq, moment, self.minutes, here)
        return self.worked_out(asked, self._begin_answer)

    def _begin_answer(self) -> Callable[[object], SpareAnswer]:
        work = self.bench.spare_apart(self.minutes)
        return lambda _: work()

    def choices(self) -> list[Suggestion]:
        """What can be chosen: the plan's things in order, then what could be done instead."""
        answer = self.answer()
        return [*answer.suggestions, *answer.instead][:MOST_CHOICES] if answer is not None else []

    @property
    def subject(self) -> Collection[str]:
        """The parts of the chosen suggestion."""
        return self._pointed[0] if self._pointed is not None else ()

    def text_was_lost(self) -> None:
        """What is left of a number is no number."""
        self.typed = ""
        super().text_was_lost()

    @property
    def part_shown(self) -> str:
        """The part of the chosen suggestion, where it is of one."""
        choices = self.choices()
        marks = choices[self.at].marks if self.at < len(choices) else ()
        return marks[0] if len(marks) == 1 else ""

    def draw(self) -> Drawn:
        """The question, the answer and the reasons; begin, and the usual numbers of minutes."""
        if not self.minutes:  # those that were given and are left, where some were
            left = self.bench.left_of_slot()
            self.minutes = max(SHORTEST_SLOT, left) if left is not None else USUAL
        answer = self.answer()
        if answer is None:
            return self._draw_working()
        choices = self.choices()
        self._near = self._runs_out_soon()
        self._in_hand = in_hand(self.bench.context) if self.bench.doer_id != NOBODY else None
        self._point_again(answer, choices)
        large, pages = self._laid_out(answer, choices, max(4, self.body_rows))
        if self.turned_to is None and self._comes_first is not None:
            self.turned_to = 0  # where what is under way stands
        if self.turned_to is None:
            self.turned_to = next((at for at, page in enumerate(pages) if self.at in page.about), 0)
        self.turned_to = max(0, min(self.turned_to, len(pages) - 1))
        about = [at for at in pages[self.turned_to].about if at >= 0]
        if about and self.at not in about:
            self.at, self._pointed, self._chose = (
                about[0],
                None,
                True,
            )  # what is begun is what stands on the page
            return self.draw()
        lines = self._head(large=large and self.turned_to == 0)
        head = lines.paragraphs[-1]
        for row, of in zip(pages[self.turned_to].rows, pages[self.turned_to].of, strict=True):
            lines.picture([row], of=of)
        first = self._comes_first
        if self._has_second and (first is not None or about):
            self._put_beside(lines, head, first.marks if first is not None else choices[self.at].marks)
        actions = [
            self._big(answer, choices, off_page=not about),
            *self._others(answer, choices, pages),
        ]
        after = next((at for at in about if at >= self._next_at(choices)), None)
        if after is None and len(pages) == 1:
            after = about[0] if len(about) > 1 else None
        on = partial(self._turn, 1, len(pages)) if after is None else partial(self._choose, after)
        on_row = partial(self._point, choices, on)
        if len(pages) == 1:
            one_page = Action("Next", "", on, repeats=True) if after is not None else None
            return Drawn(lines, actions, one_page, on_row)
        places = {"page": self.turned_to + 1, "pages": len(pages)}
        taps = (
            said("Page {page} of {pages}: a tap on this text turns it.", **places)
            if after is None
            else said("Page {page} of {pages}: a tap on this text chooses the next.", **places)
        )
        lines.row(taps, QUIET)
        return Drawn(lines, actions, Action("Next", "", on, repeats=True), on_row)

    def _point(self, choices: Sequence[Suggestion], on: Callable[[], None], number: int) -> Action:
        """What a finger on a line does: points at it, and on the line that is pointed at goes on. A finger
        that bounces only points. What is under way is no choice of the plan's: its line leads back to it."""
        if number == _UNDER_WAY:
            return Action("Back to it", "", self._back_to_it, called="under way")
        if number == _THEIRS:
            return Action("Next", "", on, repeats=True)
        deed = on if self._is_pointed_at(number, choices[number]) else partial(self._choose, number)
        return Action("Point", "", deed, called=f"line {number}")

    def _is_pointed_at(self, number: int, suggestion: Suggestion) -> bool:
        """Where what is in hand comes first, no other line is pointed at before one is chosen."""
        first = self._comes_first
        return number == self.at and (first is None or suggestion.work == first.work)

    def _next_at(self, choices: Sequence[Suggestion]) -> int:
        """The line after the one that is pointed at; the first that stands there where none is."""
        is_pointed = self.at < len(choices) and self._is_pointed_at(self.at, choices[self.at])
        return self.at + 1 if is_pointed else self.at

    @property
    def _comes_first(self) -> InHand | None:
        """What is under way and to be gone on with, until something else is chosen."""
        under_way = self._in_hand
        return under_way if under_way is not None and under_way.comes_first and not self._chose else None

    @property
    def _has_second(self) -> bool:
        """A second column stands only where the text is as wide without it."""
        columns = self.app.size.width - 2
        return bool(scale_of(self.app.size)) and first_width(columns) == LONGEST_LINE

    def _put_beside(self, lines: Lines, below: Paragraph, marks: tuple[str, ...]) -> None:
        """What is chosen, drawn, and what comes after it, under the number of minutes."""
        make = partial(part_column, self.bench, marks, drawn=True, named=True)
        size = self.app.size.width - 2, self._text_rows
        self._second.put(lines, below, size, self.drawn_from, (marks,), make)

    def _point_again(self, answer: SpareAnswer, choices: Sequence[Suggestion]) -> None:
        """Point at what was pointed at, wherever it stands now; at the first where it is gone, which is said.

        What moved under a finger by itself is not begun by the press that was on its way.
        """
        self.at = max(0, min(self.at, len(choices) - 1))
        if self._paged_for is None or self._paged_for[0] != self._room or self._paged_for[1] is not answer:
            self._paged_for, self.turned_to = (self._room, answer), None
        things = [(one.marks, one.procedure, one.step) for one in choices]
        if self._pointed is not None and things and things[self.at] != self._pointed:
            self.kiosk.taps.deafen(SAME_TAP_S)
            gone = self._pointed not in things
            # The first is what the advice would have done, not somebody's choice.
            self.at = 0 if gone or not self._chose else things.index(self._pointed)
            if gone and self._chose:
                self._chose = False
                self.kiosk.say(said("What was chosen is no longer offered: look again"), trouble=True)
        self._pointed = things[self.at] if things else None

    def _draw_working(self) -> Drawn:
        """The question, while the answer is worked out. Nothing is begun meanwhile, and other minutes can be
        asked for."""
        lines = self._head(large=True)
        lines.add(said("Working it out…"), BOLD)
        wait = partial(self.kiosk.say, said("Working it out: one moment"))
        big = self._find_typed() if self.typed else Action("WORKING IT OUT…", BIG, wait)
        return Drawn(lines, [big, *self._minutes(), *self._asking()])

    def _head(self, *, large: bool) -> Lines:
        """The number of minutes; on a large screen what runs out soon is larger than they."""
        lines = self.lines()
        if self._has_second:
            lines = Lines(LONGEST_LINE, lines.scale)
        typed = self.typed or f"{self.minutes}"
        cursor = "▌" if self.typed else ""
        near = self._near
        if large and near is not None and lines.figures((near.figure, near.figure_unit)):
            lines.add(near.words_beside, ACCENT, most=2)
            lines.raw(said("{typed} minutes to spare", typed=f"{typed}{cursor}"), ACCENT)
        elif large:
            caption = said("minutes to spare. Type a number or tap one.")
            lines.big(typed, caption=f"{cursor} {caption}".lstrip())
        else:
            lines.raw(said("{typed} minutes to spare", typed=f"{typed}{cursor}"), ACCENT)
        return lines

    def tick(self) -> None:
        """What runs out soon goes on, and stands here no longer once it was missed."""
        super().tick()
        before, self._near = self._near, self._runs_out_soon()
        if self._near is not None or before is not None:
            self.show()

    def _runs_out_soon(self) -> RunningClock | None:
        """The limit that runs out soon, on a screen large enough to show it so."""
        if not scale_of(self.app.size):
            return None
        return next((one for one in running_clocks(self.bench.context) if one.is_near), None)

    def _laid_out(
        self, answer: SpareAnswer, choices: list[Suggestion], rows: int
    ) -> tuple[bool, list[TextPage]]:
        """Whether the number is large, and everything there is to say on as many pages as it takes.

        What is to be done first stands on the first page, if need be under a small number or before what was
        asked for.
        """
        first, asked, rest = self._blocks(answer, choices)
        for large, blocks in (
            (True, [*asked, *first, *rest]),
            (False, [*asked, *first, *rest]),
            (False, [*first, *asked, *rest]),
        ):
            pages = self._paged(
                [*self._under_way(), self._sum(answer), *blocks], rows, self._head(large=large).rows
            )
            if not choices or 0 in pages[0].about:
                break
        return large, pages

    def _paged(self, blocks: Sequence[Block], rows: int, head: int) -> list[TextPage]:
        if sum(len(one.rows) for one in blocks) <= rows - head:
            return paged(blocks, rows - head, rows)
        return paged(blocks, rows - head - 1, rows - 2)  # a row says which page it is

    def _blocks(
        self, answer: SpareAnswer, choices: list[Suggestion]
    ) -> tuple[list[Block], list[Block], list[Block]]:
        """What is to be done first, what was asked for, and all else."""
        things = [self._suggestion(answer, number, one) for number, one in enumerate(choices)]
        asked = asked_line(self.bench.context, self.bench.asked_for())
        planned = min(len(answer.suggestions), MOST_CHOICES)
        later = [one for thing in things[max(1, planned) :] for one in thing]
        rest = [*(one for thing in things[1:planned] for one in thing), *self._besides(answer), *later]
        if answer.read_room is not None:
            rest.append(self._said(read_room_words(answer.read_room, for_helper=self._helps), BOLD))
        if not answer.exact:
            rest.append(self._said(said("There are too many ways to look at all of them."), QUIET))
        rest += [
            self._said(said("Not now: {what}", what=not_now_words(one)), QUIET) for one in answer.not_now[:3]
        ]
        takes_back = said("{asked} {ask_key} takes it back.", asked=asked, ask_key=ASK_KEY.upper())
        first = things[0] if things else []
        return first, [self._said(takes_back, BOLD)] if asked else [], rest

    @property
    def _helps(self) -> bool:
        return self.bench.doer.role == "helper"

    def _said(self, text: str, style: str = PLAIN, indent: str = "") -> Block:
        lines = self.lines()
        lines.add(text, style, indent=indent)
        return block(lines)

    def _under_way(self) -> list[Block]:
        """What is in hand, and what stands still and may not be left so."""
        if self._in_hand is None:
            return []
        lines = self.lines()
        lines.add(self._in_hand.words, ACCENT if self._in_hand.comes_first else BOLD)
        found = [block(lines, _UNDER_WAY)]
        return [*found, *(self._said(words, BOLD) for words in self._in_hand.left_so)]

    def _sum(self, answer: SpareAnswer) -> Block:
        """What the plan takes in all; while other minutes are typed, for which minutes it still is."""
        lines = self.lines()
        if self.typed:
            lines.add(
                said(
                    "Enter takes the new number. Still shown: what fits in {minutes} min.",
                    minutes=self.minutes,
                ),
                ACCENT,
            )
        left = self.bench.left_of_slot()
        if not self.typed and left is not None and left < self.minutes == SHORTEST_SLOT:
            left_words = so_many(max(0, left), "minute is", "minutes are")
            lines.add(
                said(
                    "{left} left. Shown: what fits in {minutes} min.", left=left_words, minutes=self.minutes
                ),
                ACCENT,
            )
        if answer.suggestions:
            lines.add(
                said(
                    "Done in time {chance}: {sum}.",
                    chance=chance_in_words(answer.chance),
                    sum=sum_of_slot(answer),
                ),
                PLAIN,
            )
            if answer.set_up_ahead is not None:
                lines.add(set_up_ahead_words(answer.set_up_ahead, for_helper=self._helps), ACCENT)
        elif self.bench.doer_id == NOBODY:
            lines.add(said("Nobody has the screen yet. F4: choose your name, then F7."), BOLD)
        elif answer.prepare:
            lines.add(said("Nothing can be finished in that time. Worth doing all the same:"), BOLD)
            for one in answer.prepare:
                lines.add(preparation_words(one, for_helper=self._helps), PLAIN, indent="- ")
            if answer.next_slot is not None:
                begins = next_slot_words(answer.next_slot, for_helper=self._helps)
                lines.add(said("The next slot begins with {begins}", begins=begins), PLAIN)
        else:
            nothing = said("Nothing for you fits in that time.")
            ask = said("Ask the builder what to do.") if self._helps else ""
            lines.add(f"{nothing} {ask}".rstrip(), BOLD)
        return block(lines)

    def _besides(self, answer: SpareAnswer) -> Iterator[Block]:
        """What each helper does meanwhile, what fits as well, and what prepares the next slot."""
        more = answer.suggestions[MOST_CHOICES:]
        if more:
            minutes = sum(one.minutes for one in more)
            yield self._said(
                said("and {number} more that fit: {minutes} min", number=len(more), minutes=minutes), BOLD
            )
        for one, when in theirs_in_turn(answer):
            name = self.bench.shop.people[one.by].name
            lines = self.lines()
            lines.add(
                said(
                    "{name} {when}, {minutes} min: {what}",
                    name=name,
                    when=said(when),
                    minutes=one.minutes,
                    what=suggestion_words(one).what,
                ),
                BOLD,
            )
            yield block(lines, _THEIRS)
        if answer.suggestions and answer.minutes <= 5:
            for thing in answer.prepare[:2]:
                yield self._said(preparation_words(thing, for_helper=self._helps), QUIET, "- ")

    def _suggestion(self, answer: SpareAnswer, number: int, suggestion: Suggestion) -> list[Block]:
        """What it is and why; what to fetch for it may stand on the page after."""
        here = self._is_pointed_at(number, suggestion)
        pointer = POINTER if here else " "
        told = suggestion_words(suggestion)
        if number >= len(answer.suggestions):
            chance = chance_in_words(suggestion.chance)
            lead = (
                said("or {minutes} min, done in time {chance}:", minutes=suggestion.minutes, chance=chance)
                + " "
            )
        else:
            figures = {"number": number + 1, "minutes": suggestion.minutes}
            lead = (
                said("{number}. up to {minutes} min:", **figures)
                if isinstance(suggestion.reason, MayNotBeLeft)  # the line above it says what it usually takes
                else said("{number}. {minutes} min:", **figures)
            ) + " "
        lines = self.lines()
        lines.add(f"{pointer}{lead}{told.what}", ACCENT if here else BOLD)
        if suggestion.beside:
            name = self.bench.shop.people[suggestion.beside].name
            lines.add(said("Takes two: {name} is in it with you.", name=name), BOLD, indent="    ")
        lines.add(told.reason, PLAIN, indent="    ")
        found = [block(lines, number)]
        if (
            suggestion.fetch
        ):  # of each, chosen or not: pages that are cut anew with each turn leave things out
            fetch = self.lines()
            fetch.add(said("Fetch: {fetch}", fetch=", ".join(suggestion.fetch)), QUIET, indent="    ")
            found.append(block(fetch))
        return found

    def _big(self, answer: SpareAnswer, choices: list[Suggestion], *, off_page: bool) -> Action:
        """What stands on the big target: the number just typed first, then what is chosen."""
        if self.typed:
            return self._find_typed()
        under_way = self._comes_first
        if under_way is not None:
            return Action("BACK TO IT" if under_way.is_known else "TO THE PLACE", BIG, self._back_to_it)
        if not choices and self.bench.doer_id == NOBODY:
            return Action("SAY WHO YOU ARE", BIG, partial(self.kiosk.go, "people"))
        if not choices and answer.read_room is not None:
            return Action("READ THE ROOM", BIG, partial(self.kiosk.open_part, answer.read_room.marks[0]))
        if not choices:
            return Action("TO THE PLACE", BIG, partial(self.kiosk.go, "place"))
        if answer.set_up_ahead is not None and not self._chose:
            return Action("SET UP FIRST…", BIG, partial(self._ask_set_up, answer.set_up_ahead))
        if off_page:  # what is begun is what stands on the page
            return Action("BACK TO THE FIRST", BIG, partial(self._choose, 0))
        chosen = choices[self.at]
        return Action(self._begins(chosen), BIG, partial(self._begin, answer, chosen))

    def _back_to_it(self) -> None:
        """To what is in hand; to the place where it has to be looked at first."""
        under_way = self._in_hand
        if under_way is not None and under_way.is_known:
            self.kiosk.walk(under_way.work)
        else:
            self.kiosk.go("place")

    def _begins(self, chosen: Suggestion) -> str:
        """What the yellow key does with what is chosen."""
        if chosen.ready_in:
            return said("READY IN {minutes} MIN", minutes=chosen.ready_in)
        work = self.bench.state.works.get(chosen.work or "")
        if work is None:
            return said("BEGIN THIS")
        runs = work.status == "running" and work.worker == self.bench.doer_id
        return said("BACK TO IT") if runs else said("CARRY ON")

    def _find_typed(self) -> Action:
        is_whole = not why_not_whole(slot_minutes, self.typed)
        label = said("FIND {minutes} MIN", minutes=self.typed) if is_whole else said(NOT_WHOLE)
        return Action(label, BIG, partial(self._take_typed, self.typed))

    def _minutes(self) -> list[Action]:
        """The usual numbers of minutes."""
        return [
            Action(
                said("{minutes} min", minutes=minutes),
                "",
                partial(self._take, minutes),
                shown=_SHOWN.get(minutes, "always"),
                here=minutes == self.minutes,
            )
            for minutes in USUAL_MINUTES
        ]

    def _asking(self) -> list[Action]:
        """What comes first, and any other number of minutes."""
        other = Action("Other minutes", "", self._ask_minutes, shown="key")
        return [other] if self.bench.doer_id == NOBODY else [Action(ASK_LABEL, ASK_KEY, self._ask), other]

    def _others(
        self, answer: SpareAnswer, choices: Sequence[Suggestion], pages: Sequence[TextPage]
    ) -> list[Action]:
        actions = [*self._minutes(), *self._asking()]
        for key, at in (("up", self.at - 1), ("down", self._next_at(choices))):
            choose = partial(self._choose, at)
            actions.append(Action("Choose", key, choose, shown="key", repeats=True))
        for key, by in (("left", -1), ("right", 1)) if len(pages) > 1 else ():
            turn = partial(self._turn, by, len(pages))
            actions.append(Action("Page", key, turn, shown="key", repeats=True))
        if answer.helper_does:
            # Nobody begins what they have not read: it may stand on another page than this one.
            theirs = [at for at, page in enumerate(pages) if _THEIRS in page.about]
            unread = bool(theirs) and self.turned_to not in theirs
            begin_theirs = self._helpers_part(answer, theirs[0]) if unread else self._helpers_begin(answer)
            actions.append(Action(*begin_theirs, shown="key"))
        return actions

    def _helpers_part(self, answer: SpareAnswer, page: int) -> tuple[str, str, Callable[[], None]]:
        """The key that turns to what helpers do."""
        names = dict.fromkeys(self.bench.shop.people[one.by].name for one in answer.helper_does)

        def turn() -> None:
            self.turned_to = page

        return said("See what {names} can do", names=", ".join(names)), "f7", turn

    def _helpers_begin(self, answer: SpareAnswer) -> tuple[str, str, Callable[[], None]]:
        """The key that hands a helper the screen and begins the first of theirs; of several it asks whose."""
        people = self.bench.shop.people
        firsts = [one for one, when in theirs_in_turn(answer) if when == MEANWHILE]
        if len(firsts) == 1:
            return (
                said("{name} begins theirs", name=people[firsts[0].by].name),
                "f7",
                partial(self._begin_theirs, answer, firsts[0]),
            )

        def ask() -> None:
            choices = [Choice(f"{people[one.by].name}: {marks_in_full(one.marks)}", one) for one in firsts]
            self.kiosk.ask(
                ChoiceScreen(said("Who begins theirs?"), choices), partial(self._begin_theirs, answer)
            )

        return said("Helpers begin"), "f7", ask

    def _ask(self) -> None:
        choices = self.choices()
        Asking(self.kiosk, choices[self.at].marks if self.at < len(choices) else ()).ask()

    def _ask_minutes(self, refused: str = "") -> None:
        """Any number of minutes, by finger."""

        def typed(text: str) -> None:
            try:
                self._take(slot_minutes(text))
            except Refused as error:
                self._ask_minutes(said("NOT DONE: {error}", error=error))

        title = said("How many minutes are there?")
        self.kiosk.ask(KeypadScreen(title, slot_minutes, faces=(), refused=refused), typed)

    def _take_typed(self, text: str) -> None:
        self.typed = ""
        self._take(slot_minutes(text))

    def _take(self, minutes: int) -> None:
        self.minutes, self.typed, self.at, self.turned_to = minutes, "", 0, None
        if self.bench.doer_id != NOBODY:
            self.kiosk.begin_slot(minutes)  # they run from now on, whatever is begun in them
        self._pointed, self._chose = None, False

    def _choose(self, at: int) -> None:
        self.at, self.turned_to, self._pointed, self._chose = at, None, None, True

    def _turn(self, by: int, pages: int) -> None:
        """The next page; after the last the first, so that a finger comes round."""
        self.turned_to = ((self.turned_to or 0) + by) % pages

    @property
    def has_text(self) -> bool:
        """Minutes that are being typed."""
        return bool(self.typed)

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

    def _begin_theirs(self, answer: SpareAnswer, helper: Suggestion) -> None:
        person = self.bench.shop.people[helper.by]
        if self.bench.asks_pin_to_take(person):
            ask_pin(self.kiosk, person, partial(self._hand_to, answer, helper))
        else:
            self._hand_to(answer, helper)

    def _hand_to(self, answer: SpareAnswer, helper: Suggestion, pin: str = "") -> None:
        self._require_free(helper)
        left = self.bench.left_of_slot()  # whoever hands the screen on has no more than that
        self.minutes = self.minutes if left is None else max(SHORTEST_SLOT, min(self.minutes, left))
        self.bench.hand_over(helper.by, pin)
        if left is not None:  # whatever was given them before
            self.kiosk.begin_slot(self.minutes)
        self.kiosk.say(said("{name} has the screen. F4 takes it back.", name=self.bench.doer.name))
        self._begin(answer, helper)

    def _ask_set_up(self, ahead: SetUpAhead) -> None:
        """What is to be set up for which parts, and whether it is: no press says so by habit."""
        shop = self.bench.shop
        fetch = ", ".join(shop.tool_names(ahead.step) + shop.consumable_names(ahead.step))
        detail = [
            set_up_ahead_words(ahead, for_helper=self._helps),
            said("For {parts}.", parts=marks_in_full(ahead.marks)),
            said("Fetch: {fetch}", fetch=fetch) if fetch else "",
        ]
        choices = [Choice(said("Not yet"), False), Choice(said("It is set up"), True)]
        dialog = ChoiceScreen[bool](said("Is it set up?"), choices, detail=[one for one in detail if one])
        self.kiosk.ask(dialog, lambda is_so: self._set_up(ahead) if is_so else None)

    def _set_up(self, ahead: SetUpAhead) -> None:
        self.bench.set_up(ahead.marks[0], ahead.procedure.ref(ahead.step), tap=self.tap)
        self.kiosk.say(said("It is set up. Undo takes that back."))

    def _begin(self, answer: SpareAnswer, suggestion: Suggestion) -> None:
        if suggestion.work is not None:
            carry_on(self.kiosk, suggestion.work, partial(self._walk, suggestion.work))
            return
        self._require_free(suggestion)
        marks, at = suggestion.marks, (suggestion.procedure, suggestion.step)
        apart = self._shared_out(answer, suggestion)
        begin(self.kiosk, marks, *at, self._walk, together=len(marks) > 1, apart=apart)

    def _require_free(self, suggestion: Suggestion) -> None:
        """Refuse what somebody took in hand since the answer."""
        self.bench.refresh()
        for mark in suggestion.marks if suggestion.work is None else ():
            if self.bench.state.part(mark).work in self.bench.state.works:
                raise Refused(f"{mark} is in hand by now", "look again at what is offered")

    def _walk(self, work: str) -> None:
        if self.bench.left_of_slot() is None:
            self.kiosk.begin_slot(self.minutes)
        self.kiosk.walk(work)

    def _shared_out(self, answer: SpareAnswer, begun: Suggestion) -> list[str]:
        """Where a batch is shared out between people, each goes on with their own parts of it alone: those
        that are begun now leave it."""
        others = {
            mark
            for one in (*answer.suggestions, *answer.helper_does)
            if one.by != begun.by
            for mark in one.marks
        }
        return [mark for mark in begun.marks if others & set(self.bench.batch_of(mark))]


def theirs_in_turn(answer: SpareAnswer) -> Iterator[tuple[Suggestion, str]]:
    """All that helpers do, person by person, each with when: meanwhile, then after it."""
    for person in dict.fromkeys(one.by for one in answer.helper_does):
        theirs = [one for one in answer.helper_does if one.by == person]
        yield from ((one, MEANWHILE if number == 0 else THEN) for number, one in enumerate(theirs))
