"""The place card: where the work stopped, and one big action."""

from collections.abc import Collection, Sequence
from datetime import date, datetime
from functools import partial
from typing import Literal

from kiosk.catalogue import said, to_be_said
from kiosk.record.context import NOBODY
from kiosk.screens.action import BIG, Action
from kiosk.screens.all_the_same import begin, carry_on
from kiosk.screens.asking import ASK_KEY, ASK_LABEL, Asking
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.large import SecondColumn, put_headline, scale_of, whole_or_plainer
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET, Lines, Runs
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import StepRef
from kiosk.views.momentum import MomentumWords
from kiosk.views.place_card import PlaceCard

CLOCKS_SHOWN = 3  # before what else stands on the card; the others after it, or in the second column

Stands = Literal["as shown", "not begun", "something else"]

STANDS: tuple[tuple[str, Stands], ...] = (
    (to_be_said("It stands as the screen shows: carry on"), "as shown"),
    (to_be_said("Nothing was done yet: put it back"), "not begun"),
    (to_be_said("Something is not right: raise a snag"), "something else"),
)


class PlaceScreen(KioskScreen):
    """Home. Nothing runs until the big action is pressed."""

    NAME = "place"

    def __init__(self) -> None:
        super().__init__()
        self._clocks_run = False
        self._minute = 0
        self._kept: tuple[tuple[int, date], MomentumWords] | None = None
        self._second = SecondColumn()
        self._card_asks: object = None  # what the card's big action is about
        self._marks: Collection[str] = ()  # the parts that the card asks about

    @property
    def asks(self) -> object:
        """Two steps after each other may both be begun by the same words."""
        return (super().asks, self._card_asks)

    def tick(self) -> None:
        """The clocks on the card go on; one that ended goes, or is too late at once."""
        super().tick()
        if self._clocks_run or self._minute != _minute(self.bench.now):
            self.show()

    @property
    def subject(self) -> Collection[str]:
        """The parts of the place, and those to look back on."""
        return self._marks

    @property
    def part_shown(self) -> str:
        """The first part of the place."""
        marks = self.bench.place_card().marks
        return marks[0] if marks else ""

    def draw(self) -> Drawn:
        """The card; one big action, and what is not so beside it."""
        card = self.bench.place_card()
        self._marks = {*card.marks, *(mark for one in card.look_back for mark in one.marks)}
        self._card_asks = (card.action, card.work, card.marks, card.procedure, card.step)
        self._clocks_run = bool(card.clocks)
        self._minute = _minute(self.bench.now)  # how long ago something was, is said in minutes
        actions = [self._big(card)]
        if card.look_back and not self.bench.may_not("reopen"):
            actions.append(Action("Not so", "f7", lambda: self._not_so(card)))
        actions += self._of_batch(card)
        if self.bench.doer_id != NOBODY:
            actions.append(
                Action(
                    ASK_LABEL, ASK_KEY, Asking(self.kiosk, (card.shown,) if card.shown else card.marks).ask
                )
            )
        actions.append(Action("Numbers", "f9", lambda: self.kiosk.go("numbers"), shown="wide"))
        if card.marks:
            shown = (card.shown,) if card.shown else card.marks
            actions.append(Action("Snag", "f5", lambda: self.kiosk.ask_snag(shown)))
        if scale_of(self.app.size):
            return Drawn(self._large_card(card), actions)
        lines = self.lines()
        self._add_heading(card, lines)
        self._add_card(lines, card)
        return Drawn(lines, actions)

    def _of_batch(self, card: PlaceCard) -> list[Action]:
        """One key for the batch: what most likely is wanted of it now."""
        batch = card.batch
        if batch is None or card.work is not None:
            return []
        if batch.may_join:
            with_them = (card.marks[0], *batch.may_join)
            take = partial(self.bench.join_batch, with_them)
            label = said("Take {parts}", parts=marks_in_full(batch.may_join))
            return [Action(label, "f8", lambda: take(tap=self.tap))]
        if batch.without:
            leave = partial(self.bench.split_batch, batch.without)
            label = said("Without {parts}", parts=marks_in_full(batch.without))
            return [Action(label, "f8", lambda: leave(tap=self.tap))]
        return [Action("Split", "f8", lambda: self._split(batch.marks))]

    def _split(self, marks: Sequence[str]) -> None:
        from kiosk.screens.batch import ask_split

        ask_split(self.kiosk, marks)

    def _large_card(self, card: PlaceCard) -> Lines:
        """The card of a large screen: larger figures, the action and the first clock among them, and a second
        column."""
        columns, rows = self.app.size.width - 2, self._text_rows

        def body(lines: Lines, large_clock: bool) -> None:
            self._add_card(lines, card, large_clock=large_clock, beside=bool(card.procedure and card.marks))

        head = partial(self._add_heading, card)
        first = card.first_clock
        lines, below = whole_or_plainer(
            head,
            body,
            columns,
            scale_of(self.app.size),
            rows,
            clock_first=first is not None and first.is_near,
        )
        do = next((at for at, one in enumerate(lines.paragraphs) if one.is_action), None)
        if do is not None:
            clocks = card.clocks[CLOCKS_SHOWN:]
            # From two metres nobody reads the small words that say why a step may not be done now.
            text = said("NOT NOW: {do}", do=card.do) if card.blocked else card.do
            below = put_headline(lines, do, text, columns, rows, clocks) or below
        if card.procedure and card.marks:
            shows = (card.marks, card.shown, card.clocks[CLOCKS_SHOWN:])
            make = partial(self._second_column, card)
            self._second.put(lines, below, (columns, rows), self.drawn_from, shows, make)
        return lines

    def _second_column(self, card: PlaceCard, columns: int, rows: int) -> Sequence[Runs]:
        from kiosk.screens.second_column import second_column

        mark, ref = card.shown or card.marks[0], StepRef(card.procedure, card.step)
        named = (mark,) if card.work is not None else card.marks
        drawing = self.bench.drawing_of_part(mark, ref)
        clocks = card.clocks[CLOCKS_SHOWN:]
        return second_column(self.bench.ahead(mark, ref, named), clocks, drawing, columns, rows)

    def _add_heading(self, card: PlaceCard, lines: Lines, _large_clock: bool = False) -> None:
        step = ("   " + said("step {number} of {of}", number=card.number, of=card.of)) if card.number else ""
        lines.add(f"{card.standing}{step}", ACCENT)
        lines.add(card.title, BOLD)

    def _add_card(
        self, lines: Lines, card: PlaceCard, *, large_clock: bool = False, beside: bool = False
    ) -> None:
        """The card below its heading, the most needed first."""
        trouble = self.kiosk.record_gone or self.bench.record_trouble()
        if trouble:
            lines.add(said("THE RECORD: {trouble}", trouble=trouble), ACCENT, most=3)
        if card.count is not None:
            lines.big(str(card.count.done), caption=card.count.caption, importance=2)
        if card.do:
            lines.add(card.do, BOLD, most=3)
            lines.paragraphs[-1].is_action = True
        lines.add("; ".join(one.words for one in card.half_typed), ACCENT)
        if card.blocked:
            lines.add(said("NOT NOW: {blocked}", blocked=card.blocked), ACCENT)
        lines.add(card.could_not_follow, ACCENT, importance=1, most=2)
        lines.add(card.begin_by, ACCENT, importance=1, most=2)
        for text in card.runs_out_first[:2]:
            lines.add(text, ACCENT, importance=1, most=2)
        for text in card.not_to_be_left[:2]:
            lines.add(said("PAUSED, and not to be left so: {text}", text=text), ACCENT, importance=1, most=2)
        if card.batch is not None:
            # With a part in hand, what matters on coming back comes before who walks with it.
            lines.add(card.batch.words, BOLD, importance=1 if card.work is None else 6, most=1)
            for text in card.batch.behind[:3]:
                lines.add(text, ACCENT, importance=1, most=2)
        lines.add(card.opened, BOLD, importance=1, most=1)
        clocks = list(card.clocks)
        first = card.first_clock
        if large_clock and first is not None and lines.figures((first.figure, first.figure_unit)):
            clocks[0] = first.words_beside
        for number, line in enumerate(clocks[:CLOCKS_SHOWN] if beside else clocks):
            lines.add(line, ACCENT, importance=1 if number < CLOCKS_SHOWN else 5, most=2)
        if self.bench.doer.role == "builder":
            for line in card.wrong_pins:
                lines.add(f"{line}.", ACCENT, importance=1, most=1)
        lines.add(card.when, PLAIN, importance=2)
        if card.note:
            lines.add(card.note, BOLD, importance=1)
        for text in card.changes:
            lines.add(said("CHANGED: {text}", text=text), ACCENT, importance=1)
        if card.fetch:
            lines.add(said("Fetch: {fetch}", fetch=", ".join(card.fetch)), PLAIN, importance=3, most=2)
        for text in card.paused[:2]:
            lines.add(said("Paused, on its part's page: {text}", text=text), PLAIN, importance=3, most=1)
        for text in card.left:
            lines.add(said("Left so: {text}", text=text), QUIET, importance=6, most=1)
        self._add_return(lines, card)
        if card.snags:
            held = "; ".join(card.snags)
            lines.add(said("HELD: {held}", held=held), PLAIN, importance=3, most=1)

    def _add_return(self, lines: Lines, card: PlaceCard) -> None:
        """What matters on coming back: what was confirmed, what wants a look, what went before."""
        back = self.bench.state.sitting is None
        if back and card.look_back:
            ask = (
                said("Look at the parts. Still true? If not, tell the builder.")
                if self.bench.may_not("reopen")
                else said("Look at the parts. Still true? If not, F7.")
            )
            lines.add(ask, PLAIN, importance=4)
            for done in card.look_back[::-1]:
                lines.add(f"[x] {', '.join(done.marks)}: {done.text}", QUIET, importance=5, most=1)
        if card.to_look_over:
            names = marks_in_full(card.to_look_over)
            look_over = (
                said("FOR THE BUILDER TO LOOK OVER what a helper did: {parts}", parts=names)
                if self.bench.may_not("look_over")
                else said("LOOK OVER what a helper did: {parts}", parts=names)
            )
            lines.add(look_over, ACCENT, importance=2, most=1)
        if back:
            momentum = self._momentum(card)
            lines.add(momentum.small_beginning, PLAIN, importance=2, most=2)
            lines.add(momentum.meant, PLAIN, importance=6, most=2)
            lines.add(momentum.last_weeks, PLAIN, importance=6, most=2)

    def _momentum(self, card: PlaceCard) -> MomentumWords:
        """Worked out once a record and day: it may ask the planner for a small beginning."""
        key = (self.bench.state.seq, self.bench.now.astimezone().date())
        if self._kept is None or self._kept[0] != key:
            self._kept = (key, self.bench.momentum_words(card))
        return self._kept[1]

    def _big(self, card: PlaceCard) -> Action:
        """What stands on the big target."""
        return Action(card.action_label, BIG, lambda: self._go_on(card))

    def _go_on(self, card: PlaceCard) -> None:
        if card.action == "look" and card.work is not None:
            self._look(card, card.work)
        elif card.action == "resume" and card.work is not None:
            carry_on(self.kiosk, card.work, partial(self.kiosk.walk, card.work))
        elif card.action in ("begin", "loud"):
            begin(self.kiosk, card.marks, card.procedure, card.step, together=card.batch is not None)
        elif card.action == "room air":
            from kiosk.screens.read_room import read_room  # rarely wanted: not at every start

            read_room(self.kiosk)
        elif card.action in ("complete", "late", "snag", "look at clock", "second look"):
            self.kiosk.open_part(card.marks[0])
        elif card.action == "wall clock":
            self.kiosk.ask_clock()
        elif card.action == "room":
            from kiosk.screens.clear_room import clear_room

            ref = StepRef(card.procedure, card.step)
            clear_room(self.kiosk, ref, card.shown or next(iter(card.marks), None))
        elif card.action == "who":
            self.kiosk.go("people")
        elif card.action == "question":
            self._ask_place(card)
        else:
            self.kiosk.go("spare")

    def _look(self, card: PlaceCard, work: str) -> None:
        known = [f"{card.count.words}."] if card.count is not None else []
        view = self.bench.step_view(work)
        known += [f"{one.ask}: {one.answer}, {one.state_word}." for one in view.checks if one.answered]
        known += view.no_longer_asked
        known += [one.words for one in card.half_typed]

        def looked(stands: Stands) -> None:
            def note() -> None:
                self.bench.looked(work, as_shown=stands != "not begun", tap=self.tap)

            if stands == "as shown":
                carry_on(self.kiosk, work, partial(self.kiosk.walk, work), take_up=note)
                return
            if stands == "something else":  # it stands neither as shown nor untouched: that is asked after it
                self.kiosk.ask_snag(self.bench.work(work).marks)
            else:
                note()

        detail = [
            said("Look at {title}", title=card.title),
            card.do,
            " ".join(known) or said("Nothing was counted or typed."),
            said("How does it stand?"),
        ]
        left = self.bench.state.left
        alone = left is not None and left.left_alone
        title = (
            said("The step was under way when the bench was left")
            if alone
            else said("The step was under way when the power went")
        )
        stands = [Choice(said(label), value) for label, value in STANDS]
        self.kiosk.ask(ChoiceScreen(title, stands, detail=detail), looked)

    def _ask_place(self, card: PlaceCard) -> None:
        bar = self.bench.may_not("set_aside" if card.work is not None else "go_on_at")
        if bar:
            self.kiosk.say(said("NOT DONE: {bar}. The builder says where to go on.", bar=bar), trouble=True)
            return
        if card.work is not None and card.gone:
            self._ask_gone(card.work, card.gone)
            return
        if card.work is not None:
            self._ask_step_gone(card, card.work)
            return
        self.kiosk.ask_place(card.marks)

    def _ask_step_gone(self, card: PlaceCard, work: str) -> None:
        """The step in hand is gone from its procedure: what was counted stays in the record."""

        def chosen(set_aside: bool) -> None:
            if set_aside:
                self.bench.set_aside(work, tap=self.tap)
            else:
                self.kiosk.say(
                    said("Leave with F10, write renamed_from: at the step, and open the kiosk again.")
                )

        choices = [
            Choice(said("It is only called otherwise: mend the file"), False),
            Choice(said("Set the step aside: what is recorded stays"), True),
        ]
        title = said("{title}: the step in hand is gone. Which is so?", title=card.title)
        self.kiosk.ask(ChoiceScreen(title, choices, detail=[card.do]), chosen)

    def _ask_gone(self, work: str, gone: tuple[str, ...]) -> None:
        names = marks_in_full(gone)

        def chosen(set_aside: bool) -> None:
            if set_aside:
                self.bench.set_aside(work, tap=self.tap)
            else:
                self.kiosk.say(
                    said(
                        "Leave with F10, put {names} back into shop.yaml, and open the kiosk again.",
                        names=names,
                    )
                )

        choices = [
            Choice(said("Set the step aside: what is recorded stays"), True),
            Choice(said("It should be there: put it back into the file"), False),
        ]
        title = said("{names} no longer in shop.yaml. Which is so?", names=names)
        self.kiosk.ask(ChoiceScreen(title, choices), chosen)

    def _not_so(self, card: PlaceCard) -> None:
        choices = [
            Choice(f"{mark}: {back.text}", (mark, StepRef(back.procedure, back.step)))
            for back in card.look_back[::-1]
            for mark in back.marks
        ]

        def chosen(done: tuple[str, StepRef]) -> None:
            from kiosk.screens.reopen import ask_reopen

            ask_reopen(self.kiosk, *done, "seen not done on return")

        title = said("What is not so? It and all after it are to do again.")
        self.kiosk.ask(ChoiceScreen(title, choices), chosen)


def _minute(at: datetime) -> int:
    """The minute of a moment, counted from the epoch."""
    return int(at.timestamp() // 60)
