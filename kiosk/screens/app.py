"""The wall screen's application: the bench it talks to, the way between screens, and what may stop it."""

import gc
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import ClassVar, TypeVar

from rich.console import RenderableType
from textual import constants, events, on
from textual.app import App
from textual.binding import BindingType
from textual.driver import Driver
from textual.screen import Screen

from kiosk.bench import Bench
from kiosk.catalogue import said, to_be_said
from kiosk.crash import crash_line, keep_crash
from kiosk.errors import KioskError
from kiosk.record.journal import Progress
from kiosk.record.recent import recent_marks
from kiosk.record.rules import Refused
from kiosk.record.state import Undoable
from kiosk.record.stopped import (
    DamagedRecord,
    NotAsWitnessed,
    RecordBusy,
    RecordingStopped,
    RecordRemoved,
)
from kiosk.screens.action import Action
from kiosk.screens.base import KioskScreen, overtaken
from kiosk.screens.calm import CalmScreen
from kiosk.screens.choice import Choice, ChoiceScreen, same, words
from kiosk.screens.dialog import Answer, Dialog
from kiosk.screens.heartbeat import BEAT_S, Heartbeat
from kiosk.screens.least_size import is_too_small
from kiosk.screens.page import Page, PageScreen
from kiosk.screens.page_text import BOLD, PLAIN
from kiosk.screens.quiet import SAID_BEFORE_S, Quiet, keeps_the_screen, quiet_before_calm_s
from kiosk.screens.reading import PasteLost
from kiosk.screens.registry import HOME, PLACES, place
from kiosk.screens.scans import GAP_S, Scan, Scans
from kiosk.screens.taps import SAME_TAP_S, Taps
from kiosk.screens.terminal import TerminalDriver, hung_up, leaving_when_told
from kiosk.shop.faults import nearest
from kiosk.shop.meant import marks_like
from kiosk.shop.parts import marks_from_to, marks_in_full
from kiosk.shop.procedure import StepRef
from kiosk.views.alarms import Level, alarms, doubt_lines, strip_words
from kiosk.views.slot import header_words

T = TypeVar("T")

OBJECTS_OF_A_SCREEN = 10_000  # made before the next look for garbage
MOST_OF_A_SCAN = 30  # characters of one that names nothing are shown
QUIET_LOOK_S = 2.0  # how often a wall screen is looked at whether anybody is there
COMES_BACK = to_be_said("It comes back with the machine, or where somebody types: kiosk open SHOP --wall.")
LEAVING_KEYS = ("ctrl+c", "ctrl+q", "ctrl+z", "ctrl+d", "ctrl+backslash")  # that leave other programs
SNAGS = (
    to_be_said("Crack"),
    to_be_said("Wrong size"),
    to_be_said("Scratch that a nail can feel"),
    to_be_said("Hole in the wrong place"),
)


class KioskApp(App[None], inherit_bindings=False):
    """One shop on one screen. ``taps_clock`` gives the seconds between presses; ``alone`` says that no other
    app is ever opened in this process."""

    CSS_PATH = "kiosk.tcss"
    BINDINGS: ClassVar[list[BindingType]] = []
    ENABLE_COMMAND_PALETTE = False
    ALLOW_SELECT = False
    AUTO_FOCUS = None
    HORIZONTAL_BREAKPOINTS = [(0, "-small"), (72, "-narrow"), (79, "-wide"), (110, "-roomy")]

    def __init__(
        self,
        bench: Bench,
        *,
        taps_clock: Callable[[], float] = time.monotonic,
        wall: bool = False,
        alone: bool = False,
        heartbeat: Heartbeat | None = None,
    ) -> None:
        super().__init__()
        self._alone = alone
        self.bench = bench
        self.on_wall = wall
        self.heartbeat = heartbeat
        self.has_lost_its_keeper = False  # the keeper of this wall screen was killed
        self.quiet = Quiet(taps_clock())
        self.animation_level = "none"
        self.taps = Taps(bench.shop.file.screen.pedal, taps_clock)
        self.scans: Scans[events.Key] = Scans()
        self.typed = ""  # a part mark being typed
        self.message: tuple[str, bool] = ("", False)
        self._rest_said = ""  # that the screen will be nobody's
        self._said_before = ("", False)  # what that took the place of, to be said again
        self._record_trouble = ""  # told already
        self._kept_wrong_said = False
        self._stopped_by = ""  # why nothing is recorded now, as it was said
        self.record_gone = ""  # what is wrong with a record that no press mends, and how to
        self._rung: set[tuple[tuple[str, ...], Level]] = set()
        self.crashed: BaseException | None = None  # a fault of the kiosk's own
        self._scan_kept = ""  # scanned while a dialog was open: the mark of the part to open after it
        # Of the dialogs answered on the way to one act: by its key, what stood in each as it opened.
        self._words_answered: dict[str, str] = {}
        self._finger_counts = True
        self._hands_on_later = False

    def get_default_screen(self) -> Screen[None]:
        """The place card is the first screen, with none beneath it to be laid out."""
        return place(HOME).open()

    def on_mount(self) -> None:
        """Open on the place card."""
        if self._alone:
            self.call_after_refresh(self._settle)
        else:
            gc.set_threshold(OBJECTS_OF_A_SCREEN)
        if self.on_wall:
            self.set_interval(QUIET_LOOK_S, self.look_whether_quiet)
        if self.heartbeat is not None:
            self.beat()
            self.set_interval(BEAT_S, self.beat)

    def _settle(self) -> None:
        """The first frame is drawn: begin what nobody waits for.

        What the start loaded stays for good, so it is left out of every later look for garbage; with it stays
        whatever another app left, so this is for the only one of a process. Only then is it looked for again
        as often as on any day: the first look would go through all that was loaded.
        """
        gc.freeze()
        gc.set_threshold(OBJECTS_OF_A_SCREEN)
        self.bench.begin_check()
        from kiosk.screens.load_ahead import EVERY_S, QUIET_S, LoadAhead

        ahead = LoadAhead()

        def load_one() -> None:
            if self.quiet.lasted_s(self.taps.clock()) >= QUIET_S and not ahead.load_one():
                loads.stop()

        loads = self.set_interval(EVERY_S, load_one)

    def beat(self) -> None:
        """Tell the keeper that this screen answers. Without one it leaves: the shell behind would hear what
        is pressed, and nothing would start it again."""
        if self.heartbeat is not None and not self.heartbeat.beat():
            self.has_lost_its_keeper = True
            self.exit(return_code=1)

    def get_driver_class(self) -> type[Driver]:
        """The terminal, unless the environment names something else to draw on."""
        return super().get_driver_class() if constants.DRIVER else TerminalDriver

    def leave(self) -> None:
        """Leave in order, from wherever: a signal may come at any moment."""
        if self._loop is not None:
            self._loop.call_soon_threadsafe(self.exit)

    # What is read: a scan is told from keys here, before any screen or dialog sees either

    async def on_event(self, event: events.Event) -> None:
        """Everything that is read comes here first."""
        if isinstance(event, events.Key | events.Paste | events.MouseDown | events.MouseUp) and (
            not event.is_forwarded
        ):
            event.time = min(event.time, self.taps.clock())
            if not self._only_wakes(event):
                await self._read(event)
        else:
            await super().on_event(event)

    async def _read(self, event: events.Key | events.Paste | events.MouseDown | events.MouseUp) -> None:
        if isinstance(event, events.Key):
            await self._hand_on(self.scans.key(event.key, event.character, event.time, event))
        elif isinstance(event, events.Paste):
            await self._hand_on(self.scans.paste(event.text, event.time))
        else:
            if isinstance(event, events.MouseDown):
                meant = self.taps.finger(event.time, (event.screen_x, event.screen_y))
                self._finger_counts = self.scans.finger(event.time) and meant
            self.taps.finger_at = event.time
            if self._finger_counts:
                await super().on_event(event)

    @on(PasteLost)
    def _paste_lost(self) -> None:
        told = said("What was pasted had no end: nothing of it is taken. Wait a moment.")
        if isinstance(self.screen, Dialog):
            self.screen.tell(told)
        else:
            self.say(told, trouble=True)
            self._redraw()

    # On the wall: calm when nobody is there, and left by one deliberate act

    def _only_wakes(self, event: events.Key | events.Paste | events.MouseDown | events.MouseUp) -> bool:
        """True for a press that found the calm card there or a sitting that ended by itself, and for what
        still comes of it."""
        if isinstance(event, events.MouseUp):
            return False  # a finger that is lifted goes with the finger that came down
        had_sitting = self.bench.state.sitting is not None
        begins_anew = self.bench.pressed()
        calm = isinstance(self.screen, CalmScreen)
        only = self.quiet.pressed(event.time, calm=calm or begins_anew)
        self.wake()
        if begins_anew:
            self._begin_anew(tell=had_sitting and self.bench.state.sitting is None)
        if only and isinstance(event, events.MouseDown):
            self._finger_counts = False
        return only

    def look_whether_quiet(self) -> None:
        """Rest when nobody pressed anything for as long as the shop says. What stops the recording stays in
        sight, for the calm card would say that the place is kept."""
        if self._stopped_by:
            return
        runs = any(
            work.status == "running" and self.bench.record.run in work.runs
            for work in self.bench.state.works.values()
        )
        wanted = quiet_before_calm_s(self.bench.shop.file.screen.calm_after, step_runs=runs)
        left = wanted - self.quiet.lasted_s(self.taps.clock())
        if left <= 0:
            if self.message[0] == self._rest_said:
                self.message = self._said_before
            self.rest()
        elif left <= min(SAID_BEFORE_S, wanted / 2):
            self._say_that_it_rests(left)

    def _say_that_it_rests(self, left_s: float) -> None:
        """Tell whoever a PIN then shuts out, while a press still keeps the screen theirs."""
        if isinstance(self.screen, CalmScreen) or not self.bench.rest_shuts_out():
            return
        before, self._rest_said = self._rest_said, keeps_the_screen(self.bench.doer.name, left_s)
        if self.message[0] != self._rest_said:
            if self.message[0] != before:
                self._said_before = self.message
            self.say(self._rest_said)
            if isinstance(self.screen, KioskScreen):
                self.screen.show()

    def rest(self) -> None:
        """Show the calm card over whatever stands there; where a PIN guards the screen, over the place, and
        the screen is nobody's."""
        if isinstance(self.screen, CalmScreen):
            return
        if self.bench.rest():
            self.go(HOME)
        self._drop_secrets()
        self.push_screen(CalmScreen())

    def _begin_anew(self, *, tell: bool) -> None:
        """Nobody pressed anything for long: as a kiosk that was closed and is opened again."""
        self._drop_secrets()
        self.typed, self._scan_kept = "", ""
        self.go(HOME)
        if tell:
            self.say(said("Nobody pressed anything for long, so the last sitting has ended by itself."))
        if isinstance(self.screen, KioskScreen):
            self.screen.show()  # it may have stood there all the time

    def _drop_secrets(self) -> None:
        """A PIN that was half typed is not there for whoever comes next."""
        while isinstance(self.screen, Dialog) and self.screen.SECRET:
            self.pop_screen()

    def wake(self) -> None:
        """Lift the calm card, if it is there."""
        if isinstance(self.screen, CalmScreen):
            self.pop_screen()

    def closed_up(self) -> None:
        """The sitting was closed: leave, or rest on the wall."""
        if not self.on_wall:
            self.exit()
            return
        for screen in self.screen_stack:
            if isinstance(screen, KioskScreen):
                screen.follow_sitting()  # it was closed here
        self.say(said("Closed up. The place is kept."))
        self.go(HOME)
        self.rest()

    def may_leave(self) -> bool:
        """Whether whoever has the screen may leave the wall: who may close up, and anybody once the record
        is gone, for no PIN can be taken then either and only leaving mends it."""
        return bool(self.record_gone) or not self.bench.may_not("close_up")

    def ask_to_leave(self) -> None:
        """Ask whether to leave the wall screen; say how it comes back, and what rings nobody meanwhile."""

        def chosen(leave: bool) -> None:
            if leave and self.may_leave():  # a clock or another screen may have changed it meanwhile
                self.exit()

        detail = [self.record_gone] if self.record_gone else []
        with suppress(KioskError):
            clocks = self.bench.close_up_view().clocks
            if clocks:
                detail += [said("These clocks then ring nobody:"), *clocks]
        detail.append(said(COMES_BACK))
        if self.bench.state.sitting is not None and not self.record_gone:
            detail.append(said("Nobody has closed up yet: go back, and close up first."))
        choices = [Choice(said("Stay here"), False), Choice(said("Leave: the wall goes dark"), True)]
        self.ask(
            ChoiceScreen(said("Leave the wall screen?"), choices, detail=detail, back=said("Back")), chosen
        )

    async def hand_on_what_is_due(self) -> None:
        """Hand on what was held back, when nothing has followed it."""
        self._hands_on_later = False
        await self._hand_on(self.scans.quiet(self.taps.clock()))

    async def _hand_on(self, found: Sequence[events.Key | Scan]) -> None:
        for one in found:
            if isinstance(one, Scan):
                self._scanned(one.text)
            else:
                await super().on_event(one)
        if self.scans.due is not None and not self._hands_on_later:
            self._hands_on_later = True
            self.set_timer(
                min(GAP_S, max(0.001, self.scans.due - self.taps.clock())),
                # Behind what has come already: on a slow machine the rest of a scan may wait to be read.
                partial(self.call_later, self.hand_on_what_is_due),
            )

    def _scanned(self, text: str) -> None:
        """Open the part that was scanned; in a dialog, say so and keep it until the dialog was left."""
        screen = self.screen
        if isinstance(screen, KioskScreen):
            self.typed = ""
            self.say("")  # what was said of the page that is left
            self.attempt(f"scan {text}", partial(screen.scanned, text))
            self._redraw()
        elif isinstance(screen, Dialog) and not screen.scanned(text):
            mark = self.bench.shop.find_part(text)
            if mark is not None:
                self._scan_kept = mark
                screen.tell(
                    said(
                        "Scanned {mark}: kept, opened {left_when}.",
                        mark=mark,
                        left_when=said(screen.LEFT_WHEN),
                    )
                )
            elif screen.SECRET:
                screen.tell(said("Scanned: it names no part, and a PIN is typed."))
            else:
                screen.tell(said("Scanned {text}: no part is marked so.", text=text[:MOST_OF_A_SCAN]))

    def _after_dialog(self) -> None:
        """A dialog was left: open the part that was scanned meanwhile, unless one more is asked first."""
        if self._scan_kept and isinstance(self.screen, KioskScreen):
            mark, self._scan_kept = self._scan_kept, ""
            if self.message[1]:  # what was refused is still to be done here, and its words are of this part
                self.say(
                    said(
                        "{message} Scanned {mark}: scan it again when this is done.",
                        message=self.message[0],
                        mark=mark,
                    ),
                    trouble=True,
                )
            else:
                self.open_part(mark)
        self._redraw()

    def leave_from_a_thread(self) -> None:
        """Leave, asked from outside the loop, which may be waiting for something."""
        if self._loop is not None:
            self._loop.call_soon_threadsafe(self.exit)

    def _handle_exception(self, error: Exception) -> None:
        self.crashed = self.crashed or error
        super()._handle_exception(error)

    def _fatal_error(self) -> None:
        """Leave without Textual's traceback, which shows the values of variables: births, PINs and all."""
        self._close_messages_no_wait()

    def panic(self, *_: RenderableType) -> None:
        """Leave in the same way; what there is to tell is kept in a file."""
        self._return_code = 1
        self._close_messages_no_wait()

    # What is done and said

    def say(self, text: str, *, trouble: bool = False) -> None:
        """Put a line at the foot of the screen."""
        self.message = (text, trouble)

    def attempt(self, what: str, deed: Callable[[], object]) -> bool:
        """Do what a press asks; a refusal is said at the foot. True when it was done."""
        try:
            if not self._sitting_goes_on():
                return False
            with self.taps.press(what):
                deed()
        except RecordingStopped as error:
            self.recording_stopped(error)
            return False
        except (KioskError, ValueError) as error:
            self.say(said("NOT DONE: {error}", error=error), trouble=True)
            return False
        return True

    def _sitting_goes_on(self) -> bool:
        """False, with the place shown, where the sitting of a page that is open, under a dialog or not, was
        closed elsewhere: nothing is looked for under a dialog, and what was asked of one person would be
        recorded as another's."""
        pages = [one for one in self.screen_stack if isinstance(one, KioskScreen) and one.OF_THE_SITTING]
        if pages:
            with suppress(RecordingStopped):  # told where something is to be recorded
                self.bench.refresh()
        try:
            for page in pages:
                page.require_sitting()
        except Refused as error:
            self.leave_page(error)
            return False
        return True

    def leave_page(self, error: Refused) -> None:
        """Say why a page cannot stand any more, and show the place; a press that was meant for it does
        nothing there."""
        self.say(str(error), trouble=True)
        self.taps.deafen(2 * SAME_TAP_S, text=True)
        self.go(HOME)

    def recording_stopped(self, error: RecordingStopped, *, pressed: bool = True) -> None:
        """Say that nothing is recorded now: over the whole screen, unless the next press may do. What was
        found without a press is said once."""
        if isinstance(error, RecordBusy):
            self.say(said("NOT RECORDED: {error}", error=error), trouble=True)
            return
        lasting = isinstance(error, RecordRemoved | DamagedRecord | NotAsWitnessed)
        if lasting:
            self.record_gone = str(error)
        told, self._stopped_by = self._stopped_by, str(error)
        if isinstance(self.screen, PageScreen) or (not pressed and told == str(error)):
            return
        safe = "" if lasting else f" {said('What was recorded before is safe.')}"
        again = said("Check the disk, then press Enter and tap again.")
        now = said("Your last tap is not recorded.") if pressed else said("Nothing is recorded now.")
        lines = [
            (f"{now}{safe}", BOLD),
            (said("Why: {error}.", error=error), PLAIN),
            (said("Leave with F10, then F8, and do what it says.") if lasting else again, BOLD),
        ]
        self.read(said("RECORDING STOPPED"), [lines])

    def tell_record_trouble(self) -> bool:
        """Say once what is found wrong with the record. True when it is another thing than before. The record
        itself was just looked at, and can be written as far as that tells."""
        self._stopped_by = self.record_gone = ""
        trouble = self.bench.record_trouble()
        kept_wrong = "" if self._kept_wrong_said else self.bench.kept_wrong
        self._kept_wrong_said = True
        if trouble == self._record_trouble and not kept_wrong:
            return False
        self._record_trouble = trouble
        if trouble:
            self.say(said("THE RECORD: {trouble}", trouble=trouble), trouble=True)
        elif kept_wrong:
            self.say(kept_wrong)
        return True

    def ask(
        self,
        dialog: Dialog[T],
        then: Callable[[T], object],
        *,
        held: bool = False,
        or_else: Callable[[], object] | None = None,
    ) -> None:
        """Open a dialog, and do something with what it gives; ``or_else`` when it is left, and nothing when
        another screen changed meanwhile what it was asked about. ``held``: its act is held against that by
        its own rule."""
        here = ""
        pages = [one for one in self.screen_stack if isinstance(one, KioskScreen)]
        subject, taken_in = pages[-1].subject if pages else None, self.bench.taken_in

        def then_if_so(deed: Callable[[], object]) -> None:
            if not held:
                with suppress(RecordingStopped):  # told where something is to be recorded
                    self.bench.refresh()
                if self.bench.changed_since(taken_in, subject, by_answers=False):
                    raise overtaken(self.bench, taken_in)
            deed()

        if dialog.kept_as and not dialog.SECRET:
            stands = self.bench.half_typed_words(dialog.kept_as)
            here = stands.text
            dialog.go_on_with(here, partial(self.keep_words, dialog.kept_as), stands.elsewhere)
            dialog.offer(self.bench.recent_words(dialog.kept_as))

        def left(answer: Answer[T] | None) -> None:
            if answer is None:
                self._words_answered.clear()
                if or_else is not None and not is_too_small(self.size):  # there nothing is taken
                    self.attempt(f"{dialog.title_text}/", partial(then_if_so, or_else))
            else:
                before = self._recorded_here
                self._words_answered[dialog.kept_as] = here
                deed = partial(then_if_so, partial(then, answer.value))
                done = self.attempt(f"{dialog.title_text}/{answer.words}", deed)
                self._drop_used_words(recorded=done and self._recorded_here > before)
            self._after_dialog()

        self.push_screen(dialog, left)

    @property
    def _recorded_here(self) -> int:
        """How many entries there are, but for what came in of other screens."""
        return self.bench.state.seq - self.bench.taken_in

    def keep_words(self, where: str, text: str) -> None:
        """Keep half-typed words at once, so that they survive anything; nobody's are not kept."""
        if not self.bench.may_not("type_words", where, text):
            self.attempt("words", partial(self.bench.type_words, where, text))

    def _drop_used_words(self, *, recorded: bool) -> None:
        """Words are used when what they were asked for is recorded, which may take one more question: those
        of this screen, and those left over that stood in the dialog."""
        if recorded:
            for where, stood in self._words_answered.items():
                stands = self.bench.half_typed_words(where)
                if stands.own or (stands.text and stands.text == stood):
                    self.keep_words(where, "")
        if recorded or isinstance(self.screen, KioskScreen):
            self._words_answered.clear()

    def read(self, title: str, pages: Sequence[Page]) -> None:
        """Open pages of text to read."""
        self.push_screen(PageScreen(title, pages), lambda _: self._after_dialog())

    def type_below(self, character: str) -> None:
        """Type a letter on the page over which a page to read lay: it begins a mark there, and never a figure
        that the Enter after it would record; on a page of words it is one of them."""
        page = next((one for one in reversed(self.screen_stack) if isinstance(one, KioskScreen)), None)
        if page is None:
            return
        if not (page.IS_TYPED_IN and page.take_text(character)):
            self.typed += character
        page.show()

    def _redraw(self) -> None:
        if isinstance(self.screen, KioskScreen):
            self.screen.show()

    # The clocks

    def called_out(self, width: int) -> str:
        """What the strip says now; the bell rings once for each thing, and again when it gets worse. Under a
        dialog no page looks for what another screen did: then it is looked for here."""
        if not isinstance(self.screen, KioskScreen):
            with suppress(KioskError):  # told where something is to be recorded
                self.bench.refresh()
        found = alarms(self.bench.context)
        now = {(one.about, one.level) for one in found}
        if now - self._rung:
            self.bell()
        self._rung |= now
        if isinstance(self.screen, KioskScreen) and self.bench.clock_to_ask() is not None:
            self.ask_clock()
        return strip_words(found, width)

    def ask_clock(self) -> None:
        """Ask whether the wall clock is right, with nothing chosen beforehand."""
        doubt = self.bench.context.doubt
        if doubt is None:
            self.say(said("The clock is believed."))
            return
        shown = self.bench.clock_was_asked()

        def answered(right: bool) -> None:
            self.bench.mark_clock(right=right, shown=shown, tap=self.taps.id)
            if not right:
                self.say(said("Saved. Set the machine's clock: the kiosk asks again then."), trouble=True)

        choices = [Choice(said("It is right"), True), Choice(said("It is wrong"), False)]
        detail = doubt_lines(doubt)
        self.ask(ChoiceScreen(said("Is the clock right?"), choices, detail=detail), answered)

    # The slot

    def begin_slot(self, minutes: int) -> None:
        """A slot of so many minutes runs from now."""
        self.bench.begin_slot(minutes, tap=f"{self.taps.id}/slot")

    def slot_left(self) -> str:
        """The header's words for the time left in the slot."""
        found = self.bench.put_away()
        return header_words(found) if found is not None else ""

    # Ways between screens

    def everywhere(self, here: str) -> list[Action]:
        """The actions that every screen has, seen from one; those with a target make the row of places."""
        actions = [
            Action(one.label, one.key, partial(self.go, one.name), shown=one.shown, here=one.name == here)
            for one in PLACES
            if not one.leads_from
        ]
        actions.append(Action("Snag", "f5", self._snag_here, shown="key"))
        actions.append(Action("Undo", "f6", self._undo))
        actions.sort(key=lambda action: (len(action.key), action.key))  # F9 before F10
        actions.append(Action("Find a part", "", self._ask_part, shown="key"))
        actions.append(Action("", "escape", partial(self.go, HOME), shown="key"))
        leave = said("F10 closes up and leaves the kiosk.")
        if self.on_wall:
            leave = said("This screen stays on the wall. To leave it on purpose, an adult: F10, then F8.")
        for key in LEAVING_KEYS if self.on_wall else LEAVING_KEYS[:1]:
            actions.append(Action("", key, partial(self.say, leave), shown="key"))
        return actions

    def onward(self, here: str) -> list[Action]:
        """The ways to the places that only this one leads to."""
        return [
            Action(one.label, one.key, partial(self.go, one.name), shown=one.shown)
            for one in PLACES
            if one.leads_from == here
        ]

    def go(self, name: str) -> None:
        """Go to one of the places, leaving whatever is open, a mark that is half typed too."""
        self.typed = ""
        if name == HOME:
            self.taps.deafen_to_bounces()
            while len(self.screen_stack) > 1:
                self.pop_screen()
        else:
            screen = place(name).open()
            screen.point_at(self._part_shown)
            self._show(screen)

    @property
    def _part_shown(self) -> str:
        """The part that stands on the screen now, if one does."""
        return self.screen.part_shown if isinstance(self.screen, KioskScreen) else ""

    def walk(self, work: str, paused: Sequence[str] | None = None) -> None:
        """Walk the step in hand. ``paused`` are the parts whose step going there paused, where the last act
        here was another."""
        from kiosk.screens.walk import WalkScreen  # loaded when it is first wanted: a start does without

        paused = self.bench.just_paused if paused is None else paused
        if paused and not self.message[0]:
            self.say(said("Paused meanwhile: {parts}.", parts=marks_in_full(paused)))
        self._show(WalkScreen(work))

    def open_part(self, mark: str) -> None:
        """Open a part's page."""
        from kiosk.screens.part import PartScreen

        self._show(PartScreen(mark))

    def show_life(self, mark: str) -> None:
        """Show all that is recorded of a part, to read."""
        from kiosk.screens.life import LifeScreen  # with it the logbook is loaded, which a start does without

        self.push_screen(LifeScreen(mark, self.bench.life(mark)), lambda _: self._after_dialog())

    def _show(self, screen: KioskScreen) -> None:
        """Show a screen over the place card, instead of whatever was open over it."""
        self.taps.deafen_to_bounces()
        while len(self.screen_stack) > 2:
            self.pop_screen()
        if len(self.screen_stack) == 2:
            self.switch_screen(screen)
        else:
            self.push_screen(screen)

    def find(self, text: str) -> None:
        """Go to the part with the typed mark; where several may be meant, ask which."""
        self.part_meant(text, self.open_part, goes=True)

    def find_scanned(self, text: str) -> None:
        """Go to the part with the scanned mark: a label says it whole."""
        mark = self.bench.shop.find_part(text)
        if mark is None:
            self._say_unknown(text)
        else:
            self.open_part(mark)

    def part_meant(self, text: str, then: Callable[[str], object], *, goes: bool = False) -> None:
        """Do something with the part whose mark was typed; where several may be meant, ask which. ``goes``
        where it only leads somewhere."""
        shop = self.bench.shop
        found = shop.parts_meant(text)
        if not found:
            self._say_unknown(text)
        elif len(found) == 1:
            then(found[0])
        else:
            choices = [Choice(f"{mark}  {shop.kind_of(mark).name}", mark) for mark in found]
            title = said("{typed}: which part?", typed=text.upper()[:MOST_OF_A_SCAN])
            self.ask(ChoiceScreen(title, choices, by_scan=True, goes=goes), then)

    def _say_unknown(self, text: str) -> None:
        if text.isdecimal() and self.bench.state.pins:  # a PIN that was typed where none is asked for
            self.say(said("No part is marked so."), trouble=True)
            return
        shown = text.upper()[:MOST_OF_A_SCAN]
        like = marks_like(text, self.bench.shop.parts)
        if like:
            told = said(
                "No part is marked {shown}. There are {marks}.", shown=f"{shown!r}", marks=marks_from_to(like)
            )
        else:
            near = nearest(shown, self.bench.shop.parts)
            told = said("No part is marked {shown}: {nearest}", shown=f"{shown!r}", nearest=near)
        self.say(told, trouble=True)

    # What is asked on every screen

    def _ask_part(self) -> None:
        """Ask for a mark, as a finger can type it; the parts worked on last stand first."""
        dialog = ChoiceScreen(
            said("Which part?"),
            self._parts(),
            words=words(said("Scan or type its mark:")),
            by_scan=True,
            goes=True,
        )
        self.ask(dialog, self.find)

    def _parts(self) -> list[Choice[str]]:
        """Every part by mark and kind, those worked on last first."""
        shop = self.bench.shop
        marks = dict.fromkeys([*recent_marks(self.bench.state), *shop.parts])
        return [Choice(f"{mark}  {shop.kind_of(mark).name}", mark) for mark in marks if mark in shop.parts]

    def ask_place(self, marks: Sequence[str]) -> None:
        """What is recorded on parts has no place in the files: ask where they go on."""
        question = self.bench.place_question(marks)
        if question is None:
            return

        def chosen(ref: StepRef | None) -> None:
            if ref is None:
                self.say(
                    said("Nothing was moved. Write renamed_from: in the file, or look at the part first.")
                )
                return
            for mark in question.marks:
                self.bench.answer_place(mark, ref)

        choices: list[Choice[StepRef | None]] = [Choice(one.words, one.ref) for one in question.places]
        choices.insert(1 if question.first_is_likely else 0, Choice(said("Move nothing: look first"), None))
        title = said("{parts}: which step comes next?", parts=marks_in_full(question.marks))
        self.ask(ChoiceScreen(title, choices, detail=[question.words]), chosen)

    def raise_snag(self, mark: str, seen: Mapping[str, int] | None = None) -> None:
        """Ask what is not right on a part and hold it, whatever goes on with it meanwhile; but not the one
        that was made in its place. ``seen`` is how often each had been made anew as it was asked for."""
        made = self.bench.state.part(mark).remade if seen is None else seen.get(mark, 0)

        def answered(text: str) -> None:
            other = self.bench.shop.part_written_out(text)
            if other is not None:  # no words: which part is meant
                self.keep_words(kept_as, "")
                self.raise_snag(other, seen)
                return
            self.bench.raise_snag(mark, text, tap=self.taps.id, made=made)
            if self.bench.doer.role == "builder":
                self.say(said("Saved. {mark} is held until you decide.", mark=mark))
            else:
                self.say(said("Saved. {mark} is held until the builder decides.", mark=mark))

        title = said("What is not right on {mark}?", mark=mark)
        own = words(said("Or in your words:"))
        kept_as = f"snag/{mark}/{made}" if made else f"snag/{mark}"  # not of the one before it
        self.ask(ChoiceScreen(title, same(SNAGS), words=own, kept_as=kept_as), answered, held=True)

    def _made_anew(self) -> dict[str, int]:
        """How often each part was made anew, of those that were."""
        return {one.mark: one.remade for one in self.bench.state.parts.values() if one.remade}

    def ask_snag(self, marks: Sequence[str]) -> None:
        """Raise a snag on one of several parts that are shown: which one is asked."""
        if len(marks) == 1:
            self.raise_snag(marks[0])
        else:
            chosen = partial(self.raise_snag, seen=self._made_anew())
            self.ask(ChoiceScreen(said("Which part is not right?"), same(marks)), chosen, held=True)

    def _snag_here(self) -> None:
        """On the part that the screen shows; where it shows none, ask which."""
        mark = self._part_shown
        if mark:
            self.raise_snag(mark)
            return

        dialog = ChoiceScreen(
            said("Which part is not right?"),
            self._parts(),
            words=words(said("Scan or type its mark:")),
            by_scan=True,
        )
        chosen = partial(self.raise_snag, seen=self._made_anew())
        self.ask(dialog, lambda text: self.part_meant(text, chosen))

    def _undo(self) -> None:
        offer = self.bench.undo_offer()
        if not offer.entries:
            self.say(offer.told, trouble=bool(self.bench.state.undoables))
            return

        def chosen(entry: Undoable | None) -> None:
            if entry is not None:
                label = self.bench.undo_words(entry)
                stands = self.bench.undo(entry.event)
                if isinstance(self.screen, KioskScreen) and self.screen.is_gone:
                    self.go(HOME)  # what is said there is what was done here
                if stands:
                    self.say(said("Taken back, and its step stands paused: {label}.", label=label))
                elif None in entry.works.values() and (paused := self.bench.stands_paused()):
                    parts = marks_in_full(paused)  # what it had paused does not go on by itself
                    self.say(said("Taken back: {label}. {parts} still paused.", label=label, parts=parts))
                else:
                    self.say(said("Taken back: {label}. Both stay in the record.", label=label))

        choices: list[Choice[Undoable | None]] = [
            Choice(said("Take back: {label}", label=self.bench.undo_words(one)), one) for one in offer.entries
        ]
        choices.append(Choice(said("Leave it"), None))
        detail = [offer.told] if offer.told else []
        self.ask(ChoiceScreen(said("Undo"), choices, detail=detail), chosen)


def run(
    folder: Path,
    progress: Progress | None = None,
    *,
    wall: bool = False,
    came_back: bool = False,
    pipe: int | None = None,
) -> int:
    """Open a shop on this terminal; gives the exit code. ``progress`` hears of a long record being read.

    On the ``wall`` nothing leaves it by accident; ``came_back`` says that it stopped by itself before, and on
    ``pipe`` its keeper hears that it still answers.
    """
    bench = Bench(folder, watch=True, progress=progress)
    heartbeat = Heartbeat(pipe) if pipe is not None else None
    app = KioskApp(bench, wall=wall, alone=True, heartbeat=heartbeat)
    if came_back:
        app.say(said("The kiosk stopped by itself and came back. What was saved is here."), trouble=True)
    try:
        with leaving_when_told(app.leave, sys.stdin.fileno()):
            app.run()
    finally:
        if heartbeat is not None:
            heartbeat.end()
        bench.close()
    if hung_up(sys.stderr.fileno()):
        return app.return_code or 0
    if app.has_lost_its_keeper:
        print("kiosk: what keeps this screen up was ended, so it left. Open it again.", file=sys.stderr)
        return app.return_code or 0
    if app.record_gone:  # what mends it stood on a screen that is gone now
        print(f"kiosk: {app.record_gone}", file=sys.stderr)
    if bench.copy_trouble():
        print(f"kiosk: closed up, but no copy was made: {bench.copy_trouble()}", file=sys.stderr)
    if app.return_code:
        kept = keep_crash(app.crashed, folder) if app.crashed is not None else None
        print(crash_line(kept), file=sys.stderr)
    return app.return_code or 0
