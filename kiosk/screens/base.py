"""What every screen shares: the header, the big action, the way to the other places, keys, pedal, scanner."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Collection, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import ClassVar, cast

from rich.cells import cell_len
from textual import events, on
from textual.app import ComposeResult
from textual.timer import Timer
from textual.widgets import Static

from kiosk.bench import Bench
from kiosk.catalogue import said, to_be_said
from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.plural import so_many
from kiosk.record.context import NOBODY
from kiosk.record.rules import Refused
from kiosk.record.stopped import RecordBusy, RecordingStopped
from kiosk.screens.action import BIG, Action, in_words, with_key
from kiosk.screens.kiosk import Kiosk
from kiosk.screens.large import scale_of
from kiosk.screens.least_size import is_too_small, too_small
from kiosk.screens.more import MORE, READ_KEY, ask_more, behind_more, whole_page
from kiosk.screens.opaque import OpaqueScreen
from kiosk.screens.page_text import ACCENT, BOLD, MORE_TO_READ, PLAIN, Lines
from kiosk.screens.put_text import put_text
from kiosk.screens.strip import Strip
from kiosk.screens.taps import BOUNCE_S
from kiosk.screens.target import Body, Target, Targets
from kiosk.screens.width import know_width
from kiosk.shop.characters import visible
from kiosk.shop.parts import marks_from_to
from kiosk.views.fault_line import fault_line
from kiosk.views.one_row import one_row
from kiosk.views.wording import time_of_day

POLL_S = 0.4  # how often another screen's changes are looked for
MOST_TARGETS = 9  # of a screen's own, beside one another
MOST_PLACES = 7
MOST_FOOT_ROWS = 2
CLOSED_ELSEWHERE = to_be_said("The sitting was closed on another screen. The place is kept.")
_NO_BREAK = "\u00a0"  # a blank at which no row ends
WIDTHS = ("-small", "-narrow", "-wide", "-roomy")


@dataclass(frozen=True)
class Drawn:
    """What a screen shows at one look at the state: its text, and what can be done, the big action first."""

    lines: Lines
    actions: Sequence[Action]
    on_page: Action | None = None  # what a tap on the text does
    on_row: Callable[[int], Action | None] | None = None  # and on a row that is about one of its things


class KioskScreen(OpaqueScreen[None]):
    """The base of the full screens. A subclass says in one function what it shows and what can be done."""

    NAME: ClassVar[str] = ""
    HINT: ClassVar[str] = to_be_said("Type or scan a part mark.")
    TELLS_WHAT_IS_LEFT_OUT: ClassVar[bool] = False  # the screen says itself what has no room on it
    IS_TYPED_IN: ClassVar[bool] = False  # every letter is text, whatever changed meanwhile
    OF_THE_SITTING: ClassVar[bool] = False  # it is left once its sitting was closed on another screen
    inherit_bindings = False

    def __init__(self) -> None:
        super().__init__()
        self._sitting = 0  # the number of the sitting it was drawn in; 0: none was open yet
        self._actions: Sequence[Action] = ()
        self._drawn: Drawn | None = None
        self._drawn_for: tuple[object, ...] | None = None  # the room that the page was drawn for
        self._polling: Timer | None = None
        self._stood: tuple[int, object] | None = None  # others' acts, and what a press meant, as it was drawn
        self._anew_until = 0.0  # what is typed by then was meant for what stood there before
        self._head_line, self._foot_line = Static(id="head", markup=False), Static(id="foot", markup=False)
        self._body = Body(id="body")
        self._own, self._places = Targets(MOST_TARGETS, id="actions"), Targets(MOST_PLACES, id="places")

    @property
    def kiosk(self) -> Kiosk:
        """The app, as far as a screen knows it."""
        return cast(Kiosk, self.app)

    @property
    def bench(self) -> Bench:
        """The shop and its record."""
        return self.kiosk.bench

    @property
    def drawn_from(self) -> tuple[object, ...]:
        """What a page is drawn from, time apart: the record, the files, and who is here with the screen."""
        bench = self.bench
        return (bench.state.seq, id(bench.shop), bench.doer_id, tuple(one.id for one in bench.people))

    @property
    def tap(self) -> str:
        """The id of the press being done: the bench records it once, however often it is pressed again."""
        return self.kiosk.taps.id

    @property
    def about(self) -> str:
        """What the screen is about, when there can be several of its kind."""
        return ""

    def point_at(self, mark: str) -> None:
        """Point at the part that was shown until now, where this screen has parts to point at."""

    @property
    def part_shown(self) -> str:
        """The mark of the part that this screen shows or points at, for a snag; empty when there is none."""
        return ""

    @property
    def is_gone(self) -> bool:
        """True where what the screen is about is there no more: the place is shown instead."""
        return False

    @property
    def hint(self) -> str:
        """What the foot says besides the keys."""
        return said(self.HINT) if self.HINT else ""

    def everywhere(self) -> Sequence[Action]:
        """The actions that every screen has."""
        return self.kiosk.everywhere(self.NAME)

    def draw(self) -> Drawn:
        """Look at the newest state."""
        raise NotImplementedError

    def _draw(self) -> Drawn:
        """The page, unless it is of a sitting that was closed elsewhere. Raises Refused then."""
        self.require_sitting()
        if self._was_closed_elsewhere:
            self.kiosk.say(said(CLOSED_ELSEWHERE), trouble=True)
        self.follow_sitting()
        drawn = self.draw()
        onward = self.kiosk.onward(self.NAME)
        return replace(drawn, actions=[*drawn.actions, *onward]) if onward else drawn

    def require_sitting(self) -> None:
        """Raises Refused where the page is of a sitting that was closed elsewhere."""
        if self.OF_THE_SITTING and self._was_closed_elsewhere:
            raise Refused(said(CLOSED_ELSEWHERE))

    @property
    def _was_closed_elsewhere(self) -> bool:
        left = self.bench.state.left
        return self._sitting not in (0, self._sitting_now) and left is not None and not left.cut_short

    @property
    def _sitting_now(self) -> int:
        state = self.bench.state
        return state.sittings if state.sitting is not None else 0

    def follow_sitting(self) -> None:
        """From now on it is of the sitting that is open."""
        self._sitting = self._sitting_now

    def compose(self) -> ComposeResult:
        """Header, body, actions, places, foot; what is so stands on them before anything is laid out."""
        know_width(self)
        if not is_too_small(self.app.size):
            with suppress(KioskError):  # told once the screen stands
                self._put(self._told_whole(self._draw()))
        yield self._head_line
        yield Strip()
        yield self._body
        yield self._own
        yield self._places
        yield self._foot_line

    def on_mount(self) -> None:
        """Show what is so where it does not stand yet or when the sizes turn out to be others, and look for
        other screens' changes."""
        if self._drawn is None:
            self.show()
        self.call_after_refresh(self.settle)
        self._polling = self.set_interval(POLL_S, self._poll)

    def on_screen_suspend(self) -> None:
        """Covered by another: nothing is looked for meanwhile."""
        self._drawn_for = None
        if self._polling is not None:
            self._polling.pause()

    def on_screen_resume(self, event: events.ScreenResume) -> None:
        """Back on this screen: show the newest."""
        if self._polling is not None:
            self._polling.reset()
        if self.is_mounted:
            self.call_after_refresh(self.settle)

    def settle(self) -> None:
        """Draw again where the page has another room now, or where it was covered meanwhile."""
        if self._drawn_for != self._room:
            self.show()

    @property
    def _room(self) -> tuple[object, ...]:
        """What a page is drawn for."""
        return (self.app.size, self._text_rows, *(self.has_class(name) for name in WIDTHS))

    def _poll(self) -> None:
        if self.is_current:
            try:
                changed = self.bench.refresh()
            except RecordBusy:
                return  # looked at again at the next poll
            except RecordingStopped as error:
                self.kiosk.recording_stopped(error, pressed=False)
                return
            changed = self.kiosk.tell_record_trouble() or changed
            told, stood = self.kiosk.message, self.asks
            if changed:
                self.show()
            else:
                self.tick()
            if self.asks != stood:
                self._is_asked_anew()
                if changed and self.kiosk.message is told and not told[1]:
                    self.kiosk.say("")  # "Saved." of what was taken back
                    self._show_foot()

    def _is_asked_anew(self) -> None:
        """A press means another thing now, and not for what was pressed here: another screen acted, or died,
        or a wait is over. One that is on its way was meant for what stood there."""
        self.kiosk.taps.deafen(BOUNCE_S, text=True)
        self._anew_until = self.kiosk.taps.clock() + BOUNCE_S
        self.asked_anew()

    def _notice(self) -> None:
        """What another did may have come in with an act of one's own, or while a dialog lay over the page."""
        stood, self._stood = self._stood, (self.bench.taken_in, self.asks)
        if stood is not None and stood[1] != self.asks and self.bench.changed_since(stood[0], self.subject):
            self._is_asked_anew()

    def text_was_lost(self) -> None:
        """A character was typed that is not taken, for it was meant for what stood there before."""
        self.kiosk.typed = ""
        self.kiosk.say(said("This page changed as you typed: type it again."), trouble=True)
        self.show()

    @property
    def subject(self) -> Collection[str] | None:
        """The parts that the page asks about; None where anything may change what it asks."""
        return ()

    def asked_anew(self) -> None:
        """Another screen's act changed what a press means here."""

    @property
    def asks(self) -> object:
        """What a press means here: another, once somebody else's act has changed it."""
        return tuple((action.key, action.label) for action in self._actions)

    def tick(self) -> None:
        """Once every poll while nothing changed: the header's clock."""
        if self._head_line.is_attached:  # not looked for by its name: it is asked twice a second
            self._show_head()

    def show(self) -> None:
        """Draw the newest state."""
        if not self._foot_line.is_attached or self not in self.app.screen_stack:
            return  # not composed yet, or left already: what it was about is nothing to who looks elsewhere
        if is_too_small(self.app.size):
            self._show_too_small()
            return
        try:
            drawn = self._draw()
        except Refused as error:  # what it is about is gone
            self.kiosk.leave_page(error)
            return
        except KioskError as error:
            drawn = self._not_drawn(error)
        self._put(self._told_whole(drawn))

    def _put(self, drawn: Drawn) -> None:
        """Let it stand on the widgets."""
        self._body.put(drawn.lines.whole_rows(self._text_rows))
        self._drawn = drawn
        self._drawn_for = self._room if self.app.screen is self else None
        self._put_own()
        self._places.put(self._row_of_places())
        self._show_head()
        self._show_foot()
        self._notice()

    def _put_own(self) -> None:
        """The page's own actions; while a mark is typed the yellow one is what Enter does then."""
        actions = [] if self._drawn is None else self._drawn.actions
        if self.kiosk.typed:
            go_there = Action(self.typed_does(self.kiosk.typed.strip())[0], BIG, self._enter)
            actions = [go_there, *(one for one in actions if one.key != BIG)]
        self._actions = actions
        self._own.put([one for one in actions if self._has_target(one)])

    @property
    def _text_rows(self) -> int:
        return max(4, self.body_rows)

    def _told_whole(self, drawn: Drawn) -> Drawn:
        """Nothing is left unsaid: a message too long for the foot stands over the text, and what has no room
        on the page is read on pages of its own."""
        lines = drawn.lines
        message, _ = self.kiosk.message
        if message and len(self._wrapped(visible(message))) > MOST_FOOT_ROWS:
            over = Lines(lines.width)
            over.add(message, ACCENT)
            lines.paragraphs[:0] = over.paragraphs
        if lines.is_whole(self._text_rows):
            return drawn
        read = whole_page(self.kiosk, said("The whole page"), lines)
        on_page = drawn.on_page
        if not self.TELLS_WHAT_IS_LEFT_OUT:
            lines.tell_more(self._text_rows)
            on_page = on_page or read
        return replace(drawn, actions=[*drawn.actions, read], on_page=on_page)

    def _row_of_places(self) -> list[Action]:
        """The way to the other places, and last to all that has no target at this width."""
        shown = [one for one in self.everywhere() if self._has_target(one)]
        if self._behind_more():
            shown.append(Action(MORE, "", partial(ask_more, self.kiosk, self._behind_more)))
        return shown

    def _behind_more(self) -> list[Action]:
        """All that has no target at this width, as it is now."""
        return behind_more(self._actions, self.everywhere(), self._has_target)

    def _show_too_small(self) -> None:
        """Say so, and offer nothing: what is not seen is not answered."""
        self._actions, self._drawn, self._drawn_for = (), None, self._room
        self.kiosk.typed = ""
        self._body.put(too_small(self.app.size))
        self._own.put([])
        self._places.put([])
        self._show_head()
        self._lengthen_foot(False)
        leaves = "" if self.kiosk.on_wall else (" " + said("F10 leaves; the place is kept."))
        put_text(self._foot_line, said("Nothing is taken here.{leaves}", leaves=leaves))

    def _not_drawn(self, error: KioskError) -> Drawn:
        """What stands here instead of a page that cannot be drawn; the keys to the other places work."""
        lines = self.lines()
        lines.add(said("THIS PAGE CANNOT BE SHOWN"), ACCENT)
        lines.add(fault_line(self.bench.shop, error), BOLD)
        lines.add(
            said("What is recorded is safe. Mend the file, then leave with F10 and open the kiosk again."),
            PLAIN,
        )
        at_place = self.NAME == "place"
        label, name = (said("CLOSE UP"), "close-up") if at_place else (said("BACK TO THE PLACE"), "place")
        return Drawn(lines, [Action(label, BIG, partial(self.kiosk.go, name))])

    @property
    def body_rows(self) -> int:
        """Rows between the header and the actions, guessed before the sizes are settled."""
        return self._body.size.height or self.app.size.height - 9

    def lines(self) -> Lines:
        """An empty page as wide as the body."""
        return Lines(self.app.size.width - 2, scale_of(self.app.size))

    def _show_head(self) -> None:
        doer = self.bench.doer
        people = ", ".join(person.name for person in self.bench.people) or said("nobody yet")
        slot = self.kiosk.slot_left()
        right = f"{slot}{time_of_day(self.bench.now)}"
        room = max(0, self.app.size.width - 2 - len(right) - 1)
        # Who has the screen counts most: the aeroplane's name gives way first.
        forms = [said("at the bench: {people}", people=people)]
        if len(self.bench.people) > 1 or (self.bench.people and doer.id == NOBODY):
            forms = [
                said("{people}  hands: {hands}", people=people, hands=doer.name),
                said("hands: {hands}  here: {people}", people=people, hands=doer.name),
            ]
        forms.insert(0, f"{self.bench.shop.file.aeroplane.name}  {forms[0]}")
        left = next((form for form in forms if cell_len(visible(form)) <= room), forms[-1])
        left = one_row(visible(left), room)
        put_text(self._head_line, f"{left}{' ' * (room - cell_len(left))} {right}")

    def _show_foot(self) -> None:
        text, trouble = self.kiosk.message
        if self.kiosk.typed:
            typed = self.kiosk.typed
            text = said("Find: {typed}▌  {does}", typed=typed, does=self.typed_does(typed.strip())[1])
            trouble = False
        in_trouble = {"trouble": trouble and bool(text)}
        self._foot_line.update_classes(in_trouble, update=self._foot_line.is_attached)
        text = visible(text) or self._hint()
        # What does not fit in one line takes a second, from the gap above the places: no target for a
        # finger on this step moves.
        self._lengthen_foot("\n" in text or cell_len(text) > self.app.size.width - 2)
        put_text(self._foot_line, text)

    def _lengthen_foot(self, long: bool) -> None:
        self._foot_line.update_classes({"long-foot": long}, update=self._foot_line.is_attached)
        # Its margin by itself: with a class all targets in it would be styled anew at each press.
        if long != self._own.styles.inline.has_rule("margin"):
            if long:
                self._own.styles.margin = 0
            else:
                self._own.styles.inline.clear_rule("margin")
            self._own.refresh(layout=True)

    def _wrapped(self, text: str) -> list[str]:
        return textwrap.wrap(text, self.app.size.width - 2) or [""]

    def _hint(self) -> str:
        """The foot's text when there is no message: the keys that have no target at this width and are not
        told on the page, as far as they stand whole in the foot. No key is parted from its words."""
        told = {READ_KEY} if said(MORE_TO_READ) in self._body.text else set()
        own = [one for one in self._actions if not self._has_target(one) and one.key not in told]
        others = [
            action
            for action in self.everywhere()
            if not (self._has_target(action) or action.here) and with_key(self._actions, action.key) is None
        ]
        keys = [one.replace(" ", _NO_BREAK) for one in in_words(own)]
        texts = [*keys, *filter(None, [self.hint])]
        texts += [one.replace(" ", _NO_BREAK) for one in in_words(others)]
        while len(texts) > 1 and len(self._wrapped("  ".join(texts))) > MOST_FOOT_ROWS:
            texts.pop()
        return "\n".join(self._wrapped("  ".join(texts))).replace(_NO_BREAK, " ")

    def _has_target(self, action: Action) -> bool:
        if action.shown == "narrow":
            return not self.has_class("-small")
        if action.shown == "wide":
            return not (self.has_class("-small") or self.has_class("-narrow"))
        if action.shown == "roomy":
            return self.has_class("-roomy")
        return action.shown == "always"

    # Keys, pedal, scanner, touch

    def on_key(self, event: events.Key) -> None:
        """Every key comes here: nothing on a screen takes the focus."""
        event.stop()
        event.prevent_default()
        if self.app.screen is not self:
            return  # read together with the press that covered or left this screen
        key = event.key
        self.kiosk.taps.read(event.time, key)
        if is_too_small(self.app.size):
            if key == "f10" and not self.kiosk.on_wall:
                self.app.exit()
            return
        types_blank = key == "space" and (self.kiosk.typed or self.has_text)
        if key == self.kiosk.taps.pedal and not types_blank:
            self.act(BIG)
        elif key == "enter":
            self._enter()
        elif key == "space" and not self.kiosk.typed:
            if not self.take_text(" "):
                self.act(BIG)
        elif key == "space" and len(self.bench.shop.parts_meant(self.kiosk.typed)) == 1:
            self._enter()  # as the yellow key says; until one part is meant it is a blank: nr 4
        elif key == "backspace":
            if self.kiosk.typed:
                self.kiosk.typed = self.kiosk.typed[:-1]
                self._show_typed()
            else:
                self.erase()
        elif key == "escape":
            typed, self.kiosk.typed = self.kiosk.typed, ""
            self.kiosk.say("")
            self._show_typed()
            if not typed:
                self.act(key)
        elif event.is_printable and event.character:
            self._type(event.character)
        else:
            self.act(key)

    def scanned(self, text: str) -> None:
        """A label was scanned: go to the part that it names. Nothing is pressed, and nothing typed."""
        if not is_too_small(self.app.size):
            self.kiosk.find_scanned(text)

    def _type(self, character: str) -> None:
        if not self.IS_TYPED_IN and not self.kiosk.taps.hears_text():
            if self.kiosk.taps.clock() < self._anew_until:
                self.text_was_lost()
            return
        if not self.kiosk.typed and self.take_text(character):
            return
        self.kiosk.typed += character
        self._show_typed()

    def _show_typed(self) -> None:
        """The mark as far as it is typed, and what the yellow key does with it."""
        self._put_own()
        self._show_foot()
        if self._stood is not None:
            self._stood = (self._stood[0], self.asks)

    def _enter(self) -> None:
        typed, self.kiosk.typed = self.kiosk.typed.strip(), ""
        if typed:
            self.kiosk.say("")  # what was said of the page that is left
            self.entered(typed)
            self._show_typed()
        else:
            self.act(BIG)

    def take_text(self, character: str) -> bool:
        """Use a typed character here; False lets it be the beginning of a part mark."""
        return False

    @property
    def has_text(self) -> bool:
        """Whether text stands half typed here, a mark apart: a pedal that sends a blank types one then."""
        return False

    def erase(self) -> None:
        """Backspace while no mark is being typed."""

    def typed_does(self, text: str) -> tuple[str, str]:
        """What Enter does with the mark as far as it is typed: for the yellow key, and in words."""
        found = self.bench.shop.parts_meant(text)
        if len(found) == 1:
            return said("GO TO {mark}", mark=found[0]), said("Enter opens {mark}", mark=found[0])
        if found:
            many = so_many(len(found), "part", "parts")
            words = said("Enter asks which of {parts}: {marks}", parts=many, marks=marks_from_to(found))
            return said("ASK WHICH PART"), words
        return said("GO TO THE MARK"), said("No part is marked so")

    def entered(self, text: str) -> None:
        """A mark was typed."""
        self.kiosk.find(text)

    @on(Target.Pressed)
    def _tapped(self, message: Target.Pressed) -> None:
        message.stop()
        if self.app.screen is self and not is_too_small(self.app.size):
            self.kiosk.taps.read(self.kiosk.taps.finger_at)
            self.do(message.action)

    @on(Body.Tapped)
    def _page_tapped(self, message: Body.Tapped) -> None:
        message.stop()
        drawn = self._drawn
        if drawn is None or self.app.screen is not self or is_too_small(self.app.size):
            return
        about = drawn.lines.of_row(message.row, self._text_rows)
        if drawn.lines.is_beside(message.row, message.column, self._text_rows):
            about = None  # a finger on the second column means none of the first
        of_row = drawn.on_row(about) if drawn.on_row is not None and about is not None else None
        action = of_row or drawn.on_page
        if action is not None:
            self.kiosk.taps.read(self.kiosk.taps.finger_at)
            self.do(action)

    def act(self, key: str) -> None:
        """Do what a key does here, or what it does everywhere; a key that does nothing does that."""
        action = with_key(self._actions, key) or with_key(self.everywhere(), key)
        if action is not None:
            self.do(action)

    def do(self, action: Action) -> None:
        """Do an action once, wherever it came from; refusals are said at the foot."""
        if not self.kiosk.taps.accept(action.name, repeats=action.repeats):
            return
        self.kiosk.say("")
        if action in self._actions and self._was_overtaken():
            return
        self.kiosk.attempt(f"{self.NAME}/{self.about}/{action.name}", action.deed)
        if self.is_current:
            self.show()

    def _was_overtaken(self) -> bool:
        """True, and said, where another screen did something about these parts since the page was drawn:
        what is pressed rests on all that stands there, on answers and counts too."""
        if self._stood is None:
            return False
        taken_in = self._stood[0]
        with suppress(RecordingStopped):  # told where something is to be recorded
            self.bench.refresh()
        if self.bench.taken_in == taken_in or not self.bench.changed_since(taken_in, self.subject):
            return False
        why = overtaken(self.bench, taken_in)
        self.show()
        if self.is_current:
            self.kiosk.say(said("NOT DONE: {error}", error=why), trouble=True)
            self._show_foot()
        return True


def overtaken(bench: Bench, taken_in: int) -> Refused:
    """That what is answered or pressed rests on what another screen changed, since so many of their acts had
    come in; with what it was."""
    what = bench.what_changed(taken_in)
    what = f": {what}" if what else ""
    return Refused(f"another screen changed this meanwhile{what}", "look at it again")
