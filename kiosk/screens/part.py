"""One part: where it stands, and everything that can be decided about it."""

from collections.abc import Callable, Collection, Sequence
from functools import partial

from kiosk.catalogue import said, to_be_said
from kiosk.dataclass import dataclass
from kiosk.plural import so_many
from kiosk.record.context import NOBODY
from kiosk.record.position import Position, never_done, skipped_steps
from kiosk.record.readiness import Block, in_order_of_clearing, next_blocks
from kiosk.record.state import PartState, Snag, Work
from kiosk.screens.action import BIG, Action
from kiosk.screens.all_the_same import begin, carry_on
from kiosk.screens.asking import ASK_KEY, ASK_LABEL, Asking
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.choice import Choice, ChoiceScreen, Words, same, words
from kiosk.screens.correct import Correcting
from kiosk.screens.decide_snag import DecidingSnag
from kiosk.screens.large import SecondColumn, first_width, put_headline, scale_of
from kiosk.screens.look_over import ask_look_over
from kiosk.screens.marks import MarksScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET, Lines
from kiosk.screens.part_column import part_column
from kiosk.screens.read_room import read_room
from kiosk.screens.reopen import ask_reopen, done_steps
from kiosk.screens.second_look import SecondLook
from kiosk.shop.measures import read_number
from kiosk.shop.parts import PartKind, marks_in_full
from kiosk.shop.procedure import Step, StepRef
from kiosk.views.clocks import left_words
from kiosk.views.left import left_line
from kiosk.views.part_words import part_words
from kiosk.views.past_step import look_over_lines
from kiosk.views.piece_count import piece_count
from kiosk.views.wishes import asked_line
from kiosk.views.wording import id_in_words

SKIPS = (
    to_be_said("The plans leave it out on this part"),
    to_be_said("Done already, before the kiosk"),
    to_be_said("Not needed here"),
)


@dataclass(frozen=True)
class Standing:
    """A part at one look: where it stands, what holds it, and what goes along."""

    kind: PartKind
    part: PartState
    where: Position
    work: Work | None
    snags: tuple[Snag, ...]
    stops: tuple[Block, ...]
    together: tuple[str, ...]  # all that stand at this step
    other_kinds: tuple[str, ...]  # those besides that may go through it all at once with it
    marks: tuple[str, ...]  # those of both that would go along


class PartScreen(KioskScreen):
    """Begin its next step alone or with others like it, decide a snag, look, skip, reopen, complete."""

    NAME = "part"

    def __init__(self, mark: str) -> None:
        super().__init__()
        self.mark = mark
        self.count = 0  # how many go together, in order; 0: as it stands; or
        self.chosen: tuple[str, ...] = ()  # those that were chosen one by one
        self._second = SecondColumn()
        self._deciding: DecidingSnag | None = None
        self._now: Standing | None = None  # as it was drawn last

    @property
    def about(self) -> str:
        """The part."""
        return self.mark

    @property
    def part_shown(self) -> str:
        """The part."""
        return self.mark

    @property
    def subject(self) -> Collection[str]:
        """The part, and those that are chosen to go along."""
        return {self.mark, *(self._now.marks if self._now is not None else ())}

    @property
    def asks(self) -> object:
        """The same label may begin another step, or on others."""
        now = self._now
        where = (now.where.procedure, now.where.step) if now is not None else ()
        ids = [one.id for one in where if one is not None]
        return (super().asks, now.marks if now is not None else (), *ids)

    @property
    def _asking(self) -> Asking:
        return Asking(self.kiosk, [self.mark])

    def _standing(self) -> Standing:
        bench = self.bench
        state = bench.state
        part = state.part(self.mark)
        where = bench.position(self.mark)
        together = bench.standing_with(self.mark)
        if where.step is not None and where.step.batch == "no":
            together = together[:1]
        stops = next_blocks(bench.context, self.mark)
        others = tuple(mark for mark in bench.of_other_kinds(self.mark) if mark not in together)
        chosen = tuple(mark for mark in (*together, *others) if mark in self.chosen)
        return Standing(
            bench.shop.kind_of(self.mark),
            part,
            where,
            state.works.get(part.work or ""),
            tuple(state.open_snags(self.mark)),
            tuple(stops),
            together,
            others,
            chosen or (together[: self.count] if self.count else self._as_it_stands(where, together)),
        )

    def _as_it_stands(self, where: Position, together: tuple[str, ...]) -> tuple[str, ...]:
        """The part alone; its batch where that goes through all at once: a pot for one is no pot for five."""
        parts = self.bench.state.parts
        batch = self.bench.state.part(self.mark).batch
        if where.step is None or where.step.batch != "together" or not batch:
            return (self.mark,)
        return tuple(one for one in together if one in parts and parts[one].batch == batch)

    def draw(self) -> Drawn:
        """Where it stands, and what can be done: rarer things are behind F7."""
        now = self._now = self._standing()
        actions = [self._big(now)]
        if len(now.together) + len(now.other_kinds) > 1 and not now.stops:
            actions.append(Action("Which…", "up", partial(self._ask_which, now)))
        if len(now.together) > 1 and not now.stops:
            fewer, more = (said("Fewer"), "left", -1), (said("More"), "right", 1)
            for label, key, by in (fewer, more) if len(now.marks) > 1 else (more,):
                along = partial(self._take_along, now, by)
                actions.append(Action(label, key, along, repeats=True, shown="key"))
        actions.append(Action("Other…", "f7", self._other))
        if not now.where.completed and self.bench.doer_id != NOBODY:
            actions.append(Action(ASK_LABEL, ASK_KEY, self._asking.ask, shown="roomy"))
        actions.append(Action("Its life", "f8", lambda: self.kiosk.show_life(self.mark), shown="wide"))
        actions.append(Action("Snag", "f5", lambda: self.kiosk.raise_snag(self.mark)))
        lines = self._page(now)
        if scale_of(self.app.size):
            self._make_large(lines)
        return Drawn(lines, actions)

    # What stands on the page

    def _make_large(self, lines: Lines) -> None:
        """On a large screen: what holds it, or its next action, in solid letters, and a second column."""
        columns, rows = self.app.size.width - 2, self._text_rows
        below = lines.paragraphs[0]
        first = next((at for at, one in enumerate(lines.paragraphs) if one.is_action), None)
        if first is not None:
            below = put_headline(lines, first, lines.paragraphs[first].text, columns, rows) or below
        make = partial(part_column, self.bench, (self.mark,), drawn=True, named=True)
        self._second.put(lines, below, (columns, rows), self.drawn_from, (self.mark,), make)

    def _page(self, now: Standing) -> Lines:
        bench = self.bench
        large = scale_of(self.app.size)
        columns = self.app.size.width - 2
        lines = Lines(first_width(columns), large, generous=True) if large else self.lines()
        lines.add(part_words(bench.shop, self.mark), ACCENT)
        for one in now.part.wants_look:
            lines.add(self._to_look_over(one), BOLD, importance=1)
            lines.paragraphs[-1].is_action = not (now.snags or bench.may_not("look_over"))
        for snag in now.snags:
            decides = (" " + said("The builder decides.")) if self.bench.may_not("decide_snag") else ""
            lines.add(
                said("HELD: {text}.{decides}", text=snag.text, decides=decides)
                if decides
                else said("HELD: {text}", text=snag.text),
                BOLD,
            )
            lines.paragraphs[-1].is_action = True
        of_it = [one for one in bench.asked_for() if one.mark == self.mark or one.part_kind == now.kind.id]
        lines.add(asked_line(bench.context, of_it), BOLD, importance=1)
        if now.part.remade:
            lines.add(
                said("Scrapped and remade {times}", times=so_many(now.part.remade, "time", "times")),
                QUIET,
                importance=5,
            )
        if now.where.completed:
            lines.add(said("COMPLETE. Nothing is left to do on it."), BOLD)
            lines.paragraphs[-1].is_action = True
        elif now.where.question is not None:
            lines.add(said("QUESTION: {words}.", words=now.where.question.words), BOLD)
        elif now.where.all_done:
            decides = (
                said("ALL STEPS DONE. Look it over; completing it is the builder's decision.")
                if self.bench.may_not("complete")
                else said("ALL STEPS DONE. Look it over; completing it is your own decision.")
            )
            lines.add(decides, BOLD)
            lines.add(said("This says that your list is done. It approves nothing as airworthy."), PLAIN)
        else:
            self._add_next_step(lines, now)
        for ref, reason in skipped_steps(bench.state, self.mark):
            _, step = bench.shop.find_step(ref.procedure, ref.step)
            name = step.do if step is not None else id_in_words(ref.step)
            lines.add(said("OPEN: skipped, {reason}: {name}", reason=reason, name=name), BOLD, importance=1)
        for ref in never_done(bench.shop, bench.state, self.mark):
            _, step = bench.shop.find_step(ref.procedure, ref.step)
            if step is not None:
                lines.add(said("OPEN: put in since, never done: {do}", do=step.do), BOLD, importance=1)
        lines.add(left_line(bench.context, self.mark), QUIET, importance=4)
        return lines

    def _add_next_step(self, lines: Lines, now: Standing) -> None:
        where = now.where
        if where.step is None or where.procedure is None:
            return
        lines.add(
            said(
                "{title}   step {number} of {of}",
                title=where.procedure.title,
                number=where.number,
                of=where.of,
            ),
            QUIET,
        )
        lines.add(self._in_their_words(where.step), BOLD)
        lines.paragraphs[-1].is_action = not (now.snags or now.stops) or now.work is not None
        if now.work is not None:
            self._add_in_hand(lines, now.work, where.step)
        told = {"snag"} if now.snags else {"in hand"} if now.work is not None else set()
        for stop in now.stops:
            if stop.kind not in told:
                lines.add(said("NOT NOW: {text}", text=stop.text), ACCENT, importance=1)
                lines.paragraphs[-1].is_action = not now.snags
        if now.work is None and not now.stops:
            if len(now.marks) > 1:
                lines.add(said("Goes along: {marks}", marks=", ".join(now.marks)), PLAIN, importance=2)
            others = len([mark for mark in now.together if mark not in now.marks])
            if others > 0:
                parts = so_many(others, "more part stands", "more parts stand")
                ways = said("↑ which, ← fewer, → more") if len(now.marks) > 1 else said("↑ which, → more")
                at_this_step = said("{parts} at this step: {ways}", parts=parts, ways=ways)
                lines.add(at_this_step, QUIET, importance=3)
            others = len([mark for mark in now.other_kinds if mark not in now.marks])
            if others > 0:
                lines.add(
                    said("{others} of other kinds may go along: ↑ which", others=others), QUIET, importance=3
                )

    def _add_in_hand(self, lines: Lines, work: Work, step: Step) -> None:
        """With which others it is in hand, and how far it is."""
        others = ", ".join(mark for mark in work.marks if mark != self.mark)
        words = said("IN HAND with {marks}", marks=others) if others else said("IN HAND")
        lines.add(words + (said(", PAUSED") if work.status == "paused" else ""), BOLD)
        piece = work.piece(self.mark)
        if step.repeat is not None and piece is not None and step.batch != "together":
            lines.add(piece_count(self.bench.shop, piece, step.repeat), PLAIN, importance=1)

    def _to_look_over(self, ref: StepRef) -> str:
        _, step = self.bench.shop.find_step(ref.procedure, ref.step)
        whose = said("FOR THE BUILDER TO LOOK OVER") if self.bench.may_not("look_over") else said("LOOK OVER")
        return f"{whose}: {self._in_their_words(step) if step is not None else id_in_words(ref.step)}"

    def _in_their_words(self, step: Step) -> str:
        """The step in the words for whoever has the screen."""
        return (step.plain or step.do) if self.bench.doer.role == "helper" else step.do

    # The big target

    def _big(self, now: Standing) -> Action:
        """What stands on the big target: what holds the part first, then its next step."""
        where = now.where
        may_not = self.bench.may_not
        if now.snags and may_not("decide_snag"):
            return self._back_to_the_board()
        if now.snags:
            return Action("DECIDE THE SNAG", BIG, lambda: self._decide(now.snags[0]))
        if now.part.wants_look and not may_not("look_over"):
            return Action("LOOK IT OVER", BIG, lambda: self._look_over(now.part.wants_look[0]))
        if (where.vanished and may_not("go_on_at")) or (where.all_done and may_not("complete")):
            return self._back_to_the_board()
        if where.vanished:
            return Action("SAY WHERE TO GO ON", BIG, lambda: self.kiosk.ask_place([self.mark]))
        if where.all_done:
            return Action("IT IS COMPLETE", BIG, self._complete)
        clock = next((stop for stop in now.stops if stop.kind in ("late", "look at clock")), None)
        if clock is not None:
            return self._clearing(now, clock)
        work = now.work
        if work is not None and may_not("take_up", work.id):
            return self._back_to_the_board()
        if work is not None:
            return Action("GO TO THE STEP", BIG, lambda: self._go_to_step(work))
        if now.stops:
            return self._clearing(now, in_order_of_clearing(now.stops)[0])
        if where.step is not None and where.procedure is not None:
            procedure, step = where.procedure.id, where.step.id
            many = so_many(len(now.marks), "part", "parts")
            return Action(
                said("BEGIN ({parts})", parts=many),
                BIG,
                lambda: self._begin(now.marks, procedure, step),
            )
        return self._back_to_the_board()

    def _clearing(self, now: Standing, stop: Block) -> Action:
        """What clears the first thing that stops the next step, where the screen can."""
        kind = stop.kind
        where = now.where
        if kind == "late" and not self.bench.may_not("answer_limit"):
            return Action("SAY WHAT WAS DONE", BIG, self._answer_limit)
        if kind == "look at clock" and not self.bench.may_not("look_at_clock"):
            return Action("SAY HOW IT STANDS", BIG, self._look_at_clock)
        if kind == "wall clock" and not self.bench.may_not("mark_clock"):
            return Action("THE CLOCK", BIG, self.kiosk.ask_clock)
        if kind == "look":
            return Action("SECOND LOOK", BIG, lambda: self._second_look(now))
        if (
            kind == "room"
            and not self.bench.may_not("clear_room")
            and where.procedure is not None
            and where.step is not None
        ):
            ref = where.procedure.ref(where.step)
            return Action("LOOK ROUND…", BIG, partial(self._clear_room, ref))
        if kind == "room air":
            return Action("READ THE ROOM", BIG, partial(read_room, self.kiosk))
        if kind == "quiet" and where.procedure is not None and where.step is not None:
            at = where.procedure.id, where.step.id
            marks = self.bench.batch_of(self.mark) or (self.mark,)
            if self.bench.too_loud_but(marks, *at):
                return Action("ALL THE SAME…", BIG, lambda: self._begin(marks, *at))
        return self._back_to_the_board()

    def _clear_room(self, ref: StepRef) -> None:
        from kiosk.screens.clear_room import clear_room  # rarely wanted: not at every start

        clear_room(self.kiosk, ref, self.mark)

    def _back_to_the_board(self) -> Action:
        return Action("BACK TO THE BOARD", BIG, lambda: self.kiosk.go("board"))

    def _begin(self, marks: Sequence[str], procedure: str, step: str) -> None:
        begin(self.kiosk, marks, procedure, step, together=len(marks) > 1)

    def _complete(self) -> None:
        together = self.bench.batch_of(self.mark)
        self.bench.complete(self.mark, tap=self.tap)
        self.kiosk.say(said("Saved. {mark} is complete.", mark=self.mark))
        if together:
            self.kiosk.go("place")  # the next of its batch, or what they opened

    def _go_to_step(self, work: Work) -> None:
        if work.status == "unknown":
            self.kiosk.go("place")
            return

        def go() -> None:
            paused = self.bench.just_paused
            self.bench.turn_to(work.id, self.mark)
            self.kiosk.walk(work.id, paused)

        carry_on(self.kiosk, work.id, go, mark=self.mark)

    def _take_along(self, now: Standing, by: int) -> None:
        self.count, self.chosen = max(1, min(len(now.together), len(now.marks) + by)), ()

    def _ask_which(self, now: Standing) -> None:
        """Choose those that go along, several at once."""

        def chosen(marks: tuple[str, ...]) -> None:
            self.chosen = marks

        dialog = MarksScreen(
            said("Which go through this step together?"),
            (*now.together, *now.other_kinds),
            takes=said("TAKE"),
            chosen=now.marks,
            always=self.mark,
            first=now.together,
        )
        self.kiosk.ask(dialog, chosen)

    # What is asked

    def _answer_limit(self) -> None:
        """A limit ran out: what was done about it, chosen or written; nothing is chosen beforehand."""
        asked = self.bench.missed_limit(self.mark)
        if asked is None:
            return
        choices: list[Choice[bool | str]] = [Choice(asked.if_missed, False)] if asked.back_to else []
        if asked.may_be_in_time:
            choices.append(Choice(asked.in_time, True))

        def answered(in_time: bool | str) -> None:
            did = in_time if isinstance(in_time, str) else asked.in_time if in_time else asked.if_missed
            about, tap = asked.clock, self.tap
            self.bench.answer_clock(asked.marks, did, in_time=in_time is True, asked=about, tap=tap)
            self.kiosk.say(said("Saved. It stands in the record."))

        then = (
            said("Then back to: {back_to}", back_to=asked.back_to)
            if asked.back_to
            else said("The time then runs anew.")
        )
        dialog = ChoiceScreen[bool | str](
            said(
                "{what} ran out on {parts}. What was done?", what=asked.what, parts=marks_in_full(asked.marks)
            ),
            choices,
            detail=[*asked.stands_too, then] if asked.back_to else [asked.if_missed, then],
            words=Words[bool | str](said("In your words:"), str),
        )
        self.kiosk.ask(dialog, answered)

    def _look_at_clock(self) -> None:
        """The wall clock was changed: a person looks at the part and says how much of the time is left."""
        asked = self.bench.unknown_clock(self.mark)
        if asked is None:
            return
        if asked.is_limit:
            choices = [Choice(said("It ran out: no minute is left"), "0")]
        else:
            whole = left_words(asked.minutes * 60, up=True)
            choices = [
                Choice(said("It is over: ready for the next step"), "0"),
                Choice(said("Wait anew: all of the {whole}", whole=whole), f"{asked.minutes:g}"),
            ]

        def looked(text: str) -> None:
            self.bench.look_at_clock(asked.marks, _in_minutes(text), tap=self.tap)

        dialog = ChoiceScreen(
            said("Look at {parts}: {what}", parts=marks_in_full(asked.marks), what=asked.what),
            choices,
            detail=[said("The clock was changed, so nobody knows how long it has been.")],
            words=Words(said("Or the minutes that are left:"), str, face="figures", reads=_in_minutes),
        )
        self.kiosk.ask(dialog, looked)

    def _second_look(self, now: Standing) -> None:
        bar = next((stop.text for stop in now.stops if stop.kind in ("person", "room")), "")
        procedure, step = now.where.procedure, now.where.step
        hold = step.hold_point if step is not None else None
        if bar or procedure is None or step is None or hold is None:
            self.kiosk.say(said("NOT DONE: {bar}", bar=bar), trouble=True)
        else:
            SecondLook(self.kiosk, self.mark, procedure.ref(step), hold.by).ask()

    def _look_over(self, what: StepRef) -> None:
        def chosen(good: bool) -> None:
            self.bench.look_over(self.mark, what, good=good, tap=self.tap)

        _, step = self.bench.shop.find_step(what.procedure, what.step, self.mark)
        lines = list(look_over_lines(self.bench.shop, self.bench.past_step(self.mark, what), step))
        ask_look_over(self.kiosk, self.mark, lines, self.app.size, chosen)

    def _decide(self, snag: Snag) -> None:
        """What was said of this snag before stays, when the dialog was left or the disk refused."""
        if self._deciding is None or self._deciding.snag.id != snag.id:
            self._deciding = DecidingSnag(self.kiosk, snag)
        self._deciding.go_on_or_anew([*self._repairs(), *self._in_hand(), *done_steps(self.bench, self.mark)])

    def _in_hand(self) -> list[Choice[StepRef]]:
        """The step in hand: what went wrong there may want no more than that."""
        work = self.bench.state.works.get(self.bench.state.part(self.mark).work or "")
        if work is None:
            return []
        _, step = self.bench.shop.find_step(work.procedure, work.step, self.mark)
        return [] if step is None else [Choice(said("In hand: {do}", do=step.do), work.ref)]

    def _repairs(self) -> list[Choice[StepRef]]:
        """The repairs on this part's route, each from its first step on."""
        shop = self.bench.shop
        kind = shop.kind_of(self.mark)
        found = []
        for name in kind.repairs:
            procedure = shop.procedures[name]
            first = shop.steps_for(kind, procedure)[0]
            found.append(
                Choice(said("{title}, from its beginning", title=procedure.title), procedure.ref(first))
            )
        return found

    # The rarer things

    def _other(self) -> None:
        kind = self.bench.shop.kind_of(self.mark)
        choices: list[Choice[Callable[[], None]]] = []
        # What is pointed at first only shows something.
        choices.append(Choice(said("See its life"), lambda: self.kiosk.show_life(self.mark)))
        choices.append(Choice(said("Write a note on it"), self._note))
        if not self.bench.may_not("skip"):
            choices.append(Choice(said("Skip the next step"), self._skip))
        if not self.bench.may_not("reopen"):
            choices.append(Choice(said("A recorded step is not so"), self._reopen))
        choices.append(Choice(said("Ask for it first, or not today"), self._asking.ask))
        if self.bench.state.part(self.mark).passes:
            choices.append(Choice(said("Correct what was mistyped"), Correcting(self.kiosk, self.mark).ask))
        if self.bench.batch_of(self.mark):
            choices.append(Choice(said("Split it from its batch"), self._split))
        if kind.written("section") is not None:
            choices.insert(0, Choice(said("See the rib laid out"), lambda: self._show_rib(kind)))
        dialog = ChoiceScreen(said("{mark}: what else?", mark=self.mark), choices, goes=True)
        self.kiosk.ask(dialog, lambda chosen: chosen())

    def _split(self) -> None:
        self.bench.split_batch([self.mark], tap=self.tap)
        self.kiosk.say(said("Saved. {mark} goes its own way.", mark=self.mark))

    def _skip(self) -> None:
        title = said("Why is it skipped? It stays open.")
        where = self.bench.position(self.mark)
        at = where.procedure.ref(where.step) if where.procedure and where.step else ""
        key = f"skip/{self.mark}/{at}"
        dialog = ChoiceScreen(title, same(SKIPS), words=words(said("In words:")), kept_as=key)
        self.kiosk.ask(dialog, partial(self.bench.skip, self.mark))

    def _reopen(self) -> None:
        def chosen(step: StepRef) -> None:
            ask_reopen(self.kiosk, self.mark, step, "seen not done")

        title = said("Which one? It and all after it are to do again.")
        self.kiosk.ask(ChoiceScreen(title, done_steps(self.bench, self.mark)), chosen)

    def _note(self) -> None:
        own, key = words(said("In words:")), f"note/{self.mark}"
        dialog = ChoiceScreen[str](said("A note on this part"), [], words=own, kept_as=key)
        self.kiosk.ask(dialog, lambda text: self.bench.note(text, self.mark))

    def _show_rib(self, kind: PartKind) -> None:
        """The plot and the sizes, as `kiosk rib` prints them."""
        # Slow to load and rarely wanted.
        from kiosk.drawing.plot import rib_plot
        from kiosk.views.text import rib_text

        rib = self.bench.shop.figures.rib(kind)
        size = self.app.size
        plot = rib_plot(rib, size.width - 4, max(10, size.height - 6))
        sizes = [(line, PLAIN) for line in rib_text(rib).splitlines()]
        self.kiosk.read(f"{self.mark}  {kind.name}", [[(plot, PLAIN)], sizes])


def _in_minutes(text: str) -> float:
    """Minutes as they are typed. Raises KioskError."""
    return read_number(text, "min")
