"""Closing up: what may be left as it is, what may not, and a word to your later self."""

from functools import partial

from kiosk.catalogue import said, to_be_said
from kiosk.record.rules.things import CLOSE_UP
from kiosk.record.stopped import RecordingStopped
from kiosk.screens.action import BIG, Action
from kiosk.screens.all_the_same import carry_on
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.choice import Choice, ChoiceScreen, words
from kiosk.screens.large import put_headline, scale_of
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET
from kiosk.views.close_up import CloseUp

LONGEST = 160  # characters of the note
ROWS_OF_NOTE = 5  # that it takes at most, with what asks for it
ASKS = to_be_said("What is loose or clamped, and what comes next?")


class CloseUpScreen(KioskScreen):
    """Keeps the place and leaves the kiosk. On the wall the screen stays, and is left by a key apart."""

    NAME = "close-up"
    HINT = to_be_said("The place is kept either way. A note makes the return quick.")
    IS_TYPED_IN = True
    OF_THE_SITTING = True

    def __init__(self) -> None:
        super().__init__()
        self.note: str | None = None  # None until what was half typed before is looked up
        self._had_typed = False  # the note was begun here before
        self._is_left = False  # it was left by a screen that lives no more, and is none before it is taken in
        self._unrecorded = False  # closing up could not be recorded: one can leave all the same

    @property
    def subject(self) -> None:
        """All that is in hand."""
        return None

    def draw(self) -> Drawn:
        """The two lists, the clocks, and the note. What may not be left so is left by a key apart."""
        view = self.bench.close_up_view()
        stands = self.bench.half_typed_words(CLOSE_UP)
        if self.note is None:
            self.note = stands.text
            self._had_typed, self._is_left = bool(stands.own), stands.left is not None
        lines = self.lines()
        if view.must_not:
            lines.add(said("MUST NOT BE LEFT SO:"), ACCENT)
            for text in view.must_not:
                lines.add(text, BOLD, indent="[!] ", most=3)
        for text in view.too_late:
            lines.add(text, ACCENT, indent="[!] ", most=3)
        if view.too_late and not self.bench.may_not("answer_limit"):
            lines.add(said("Say on the part's page what was done."), PLAIN, importance=3)
        for name in view.others:
            lines.add(said("{name} is at a step: closing up stops it. Tell them first.", name=name), ACCENT)
        if not view.must_not and not view.too_late:
            lines.add(said("Everything can be left as it is."), BOLD)
        elif not view.must_not:
            lines.add(said("All else can be left as it is."), BOLD)
        for text in view.may:
            lines.add(text, PLAIN, indent="[x] ", importance=2, most=3)
        for text in view.clocks:
            lines.add(text, ACCENT, importance=1, most=2)
        if view.put_away:
            lines.add(
                said("Put away: {put_away}", put_away=", ".join(view.put_away)), PLAIN, importance=3, most=2
            )
        if view.next_step:
            lines.add(
                said("Next time begin with {next_step}", next_step=view.next_step),
                PLAIN,
                importance=4,
                most=2,
            )
        if scale_of(self.app.size) and lines.paragraphs:
            put_headline(lines, 0, lines.paragraphs[0].text, lines.width, self._text_rows - ROWS_OF_NOTE)
        lines.gap()
        lines.add(self._asks(), QUIET)
        lines.add(f"{self.note}▌", QUIET if self._is_left else ACCENT)
        if stands.elsewhere:
            lines.add(said("A note is half typed at another screen; it stays there."), QUIET, importance=1)
        back = Action("Back", "escape", self._go_back)
        write = Action("Write", "f7", self._write)
        if self._is_left:
            write = Action("Use these words", "f7", partial(self._put_note, self.note))
        may_not = self.bench.may_not("close_up") if self.bench.state.sitting is not None else ""
        if may_not:
            lines.add(said("An adult closes up. Ask one."), ACCENT)
            return Drawn(lines, [Action("BACK TO THE PLACE", BIG, self._go_back), back, *self._ways_out()])
        if view.must_not:
            finish = Action("GO BACK AND FINISH", BIG, partial(self._go_back_to, view.finish))
            leave = Action("Leave it so", "f9", partial(self._ask_to_leave, view))
            return Drawn(lines, [finish, write, back, leave, *self._ways_out()])
        if view.others:
            go_back = Action("BACK TO THE PLACE", BIG, self._go_back)
            stop = Action("Stop them, close up", "f9", partial(self._ask_to_leave, view))
            return Drawn(lines, [go_back, write, back, stop, *self._ways_out()])
        close = Action("CLOSE UP, KEEP THE PLACE", BIG, self._close_up)
        return Drawn(lines, [close, write, back, *self._ways_out()])

    def _asks(self) -> str:
        if self._is_left:
            return said("Left half typed, and not in the note yet. Use these words, or type on:")
        return said("You had typed:") if self._had_typed else said("{asks} Type it:", asks=said(ASKS))

    def _ways_out(self) -> list[Action]:
        """Out of the kiosk without closing up."""
        if self.kiosk.on_wall:
            return [Action("Leave wall", "f8", self.kiosk.ask_to_leave)] if self.kiosk.may_leave() else []
        return [Action("Leave unrecorded", "f8", self.app.exit)] if self._unrecorded else []

    def _go_back(self) -> None:
        self.kiosk.go("place")

    def _go_back_to(self, work: str) -> None:
        """To the step that is to be finished; to the place where nobody knows, or has to look first."""
        status = self.bench.work(work).status if work else ""
        if status == "running":
            self.kiosk.walk(work)
        elif status == "paused":
            carry_on(self.kiosk, work, partial(self.kiosk.walk, work))
        else:
            self._go_back()

    def _ask_to_leave(self, view: CloseUp) -> None:
        """Once more in words: what is left so, and who is stopped."""
        stops = said("Stop them, close up") if view.others and not view.must_not else said("Leave it so")
        choices = [Choice(said("Stay"), False), Choice(stops, True)]
        at_it = [said("{name} is at a step: closing up stops it.", name=name) for name in view.others]
        title = said("Close up all the same?")
        dialog = ChoiceScreen[bool](title, choices, detail=[*view.must_not, *at_it])
        self.kiosk.ask(dialog, lambda leaves: self._close_up() if leaves else None)

    def _close_up(self) -> None:
        try:
            self.bench.close_sitting("" if self._is_left else self.note or "", tap=self.tap)
        except RecordingStopped:
            self._unrecorded = True
            raise
        self.follow_sitting()
        self.kiosk.closed_up()

    def _write(self) -> None:
        """The note by finger, with what was noted before to be put in whole."""

        def written(note: str) -> None:
            self._put_note(note[:LONGEST])

        self.note = None  # what is half typed there stands here too
        dialog = ChoiceScreen[str](said(ASKS), [], words=words(said("Your note:")), kept_as=CLOSE_UP)
        self.kiosk.ask(dialog, written, held=True)  # of no part, and whoever acted meanwhile

    @property
    def has_text(self) -> bool:
        """The note as far as it is typed, here or before."""
        return bool(self.note)

    def take_text(self, character: str) -> bool:
        """Everything typed here is the note. A space takes in nothing that was left: elsewhere it presses the
        big target."""
        if self._is_left and character.isspace():
            self.kiosk.say(said("Nothing is taken. F7 uses the words typed before."))
            self.show()
            return True
        self._put_note(((self.note or "") + character)[:LONGEST])
        return True

    def erase(self) -> None:
        """Take back a letter."""
        self._put_note((self.note or "")[:-1])

    def _put_note(self, note: str) -> None:
        if note != self.note or self._is_left:
            self.note = note
            self.kiosk.keep_words(CLOSE_UP, note)
        self._had_typed = self._is_left = False
        self.show()
