"""What the dialogs share: a page of text, targets, keys, and that each is left once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Generic, TypeVar, cast

from rich.cells import cell_len
from textual import events, on
from textual.app import ComposeResult
from textual.geometry import Size
from textual.screen import ModalScreen
from textual.widgets import Static

from kiosk.catalogue import said, to_be_said
from kiosk.dataclass import dataclass
from kiosk.screens.action import BIG, Action, with_key
from kiosk.screens.big_text import ROWS, solid_lines
from kiosk.screens.large import scale_of
from kiosk.screens.least_size import is_too_small, too_small
from kiosk.screens.opaque import OpaqueScreen
from kiosk.screens.page_text import ACCENT, BOLD, Lines, Paragraph
from kiosk.screens.put_text import put_text
from kiosk.screens.rows import Rows
from kiosk.screens.strip import Strip
from kiosk.screens.taps import SAME_TAP_S, HasTaps, Taps
from kiosk.screens.target import Target, Targets
from kiosk.screens.width import know_width
from kiosk.shop.characters import visible
from kiosk.views.one_row import one_row

T = TypeVar("T")

_MOST_TITLE_LINES = 3  # of solid letters
_OTHER_ROWS = 6  # the title, the actions with the gap under them, and the foot


@dataclass(frozen=True)
class Answer(Generic[T]):
    """What a dialog was left with: its value, and the words that stood for it on the screen."""

    value: T
    words: str


class Dialog(ModalScreen[Answer[T] | None], OpaqueScreen[Answer[T] | None], Generic[T]):
    """Asks or tells one thing, and gives an answer, or None when it was left. It is left once: a press that
    comes in after that is nobody's."""

    MOST_TARGETS = 4
    LEFT_WHEN = to_be_said("when this is answered")
    SECRET = False  # what is typed or scanned is not to be seen, nor kept
    kept_as = ""  # the key under which half-typed words are kept; empty when there are none to keep

    def __init__(self, title: str) -> None:
        super().__init__()
        self.title_text = title
        self._left = False
        self._told = ""
        self._actions: Sequence[Action] = ()
        self._drawn_for: tuple[Size, int] | None = None  # the size, and the rows of its text
        self._head_line, self._foot_line = Static(id="head", markup=False), Static(id="foot", markup=False)
        self._body = Rows(id="body")

    @property
    def taps(self) -> Taps:
        """Which presses count."""
        return cast(HasTaps, self.app).taps

    def compose(self) -> ComposeResult:
        """Title, text, targets and foot; all stands there before anything is laid out."""
        targets = list(self.targets())
        know_width(self)
        self._put_all(self.app.size.height - _OTHER_ROWS)
        yield self._head_line
        yield Strip()
        yield self._body
        yield from targets
        yield self._foot_line

    @property
    def is_typed_in(self) -> bool:
        """Where a finger types: the next key may come soon, and close by."""
        return False

    @property
    def has_large_title(self) -> bool:
        """Where the title is what is asked, or all that is told."""
        return True

    @property
    def has_text(self) -> bool:
        """Whether text stands typed here that is gone on with: a pedal that sends a blank types one then."""
        return False

    def targets(self) -> ComposeResult:
        """Where its actions stand."""
        self._row = Targets(self.MOST_TARGETS, id="actions")
        yield self._row

    def on_mount(self) -> None:
        """Settle once the size is known. The press that opened it may still be coming in."""
        self.taps.deafen(SAME_TAP_S)
        self.taps.deafen_to_bounces(typing=self.is_typed_in)
        self.call_after_refresh(self.settle)

    def draw(self) -> None:
        """Show the newest."""
        if self._left or not self.query("#foot"):
            return
        self._put_all(self._body.size.height)
        self.call_after_refresh(self.settle)

    def _put_all(self, rows: int) -> None:
        """Let all stand on the widgets, with a body of so many rows."""
        self._drawn_for = (self.app.size, rows)
        put_text(self._head_line, one_row(self.title_text, self.app.size.width - 2))
        if is_too_small(self.app.size):
            self._actions = [Action("Leave", "escape", self.leave)]
            self.put_away()
            self._body.put(too_small(self.app.size))
            put_text(self._foot_line, said("Nothing is taken here. Esc leaves."))
            return
        lines = self.lines(rows)
        large = self._with_large_title(lines, rows) if self.has_large_title else None
        if large is not None:
            lines = large
            put_text(self._head_line, "")
        foot = self._told or self.foot()
        if cell_len(visible(foot)) > lines.width:  # the foot has one row, and what mends it stands at the end
            lines.add(foot, ACCENT, importance=1)
        self._body.put(lines.whole_rows(max(2, rows)))
        self._actions = self.actions()
        self.put(self._actions)
        put_text(self._foot_line, one_row(foot, self.app.size.width - 2))

    def _with_large_title(self, lines: Lines, rows: int) -> Lines | None:
        """On a large screen the title stands over the text in solid letters, where all of both has room."""
        if not lines.scale:
            return None
        most = min(_MOST_TITLE_LINES, (rows - lines.rows - 2) // ROWS[1])
        found = solid_lines(self.title_text, lines.width, most)
        if found is None or not found[1]:
            return None
        gap = Paragraph([[("", BOLD)]], importance=9)
        large = Lines(lines.width, lines.scale)
        large.paragraphs = [gap, large.solid(found[0]), gap, *lines.paragraphs]
        return large

    def settle(self) -> None:
        """The targets and the strip take rows from the text: fit it again when they took some."""
        if self._drawn_for != (self.app.size, self._body.size.height):
            self.draw()

    def put(self, actions: Sequence[Action]) -> None:
        """Let the actions stand on the targets."""
        self._row.put(actions)

    def put_away(self) -> None:
        """Let nothing stand on any target."""
        for targets in self.query(Targets):
            targets.put([])

    def lines(self, rows: int) -> Lines:
        """The text, for a body of so many rows."""
        raise NotImplementedError

    def actions(self) -> Sequence[Action]:
        """What can be done in it, the big one first."""
        raise NotImplementedError

    def foot(self) -> str:
        """A line at the foot."""
        return ""

    def tell(self, text: str) -> None:
        """Say something at the foot, until the next press."""
        self._told = text
        self.draw()

    def scanned(self, text: str) -> bool:
        """A label was scanned. True when it has a meaning here; else it is kept until the dialog was left."""
        return False

    def go_on_with(self, text: str, keep: Callable[[str], None], elsewhere: str) -> None:
        """Words were half typed before, at this screen or at one that lives no more, and ``elsewhere`` at one
        that lives; ``keep`` keeps what is typed from now on."""

    def offer(self, said: Sequence[str]) -> None:
        """What was last said where the same is asked for, the newest first."""

    def empty_page(self) -> Lines:
        """A page as wide as the body, begun with the title where the head's one row does not hold it."""
        lines = Lines(self.size.width - 2, scale_of(self.app.size))
        if cell_len(visible(self.title_text)) > lines.width:
            lines.add(self.title_text, BOLD, importance=1)
        return lines

    def leave(self, answer: Answer[T] | None = None) -> None:
        """Go away with an answer or none, once, and only from the top."""
        if self._left or self.app.screen is not self:
            return
        self._left = True
        self.taps.deafen_to_second_half()
        self.taps.deafen_to_bounces()
        self.dismiss(answer)

    def leave_typing(self, character: str) -> None:
        """Go away with a letter that was typed here and is for the page below."""
        on_top = not self._left and self.app.screen is self
        self.leave()
        if on_top and not character.isspace():
            cast(HasTaps, self.app).type_below(character)

    # Keys, pedal, touch

    def on_key(self, event: events.Key) -> None:
        """A key of an action, or typed text."""
        event.stop()
        event.prevent_default()
        if self._left:
            return
        self._told = ""
        self.taps.read(event.time, event.key)
        types_blank = event.key == "space" and self.has_text
        presses = event.key == self.taps.pedal and not types_blank
        action = with_key(self._actions, BIG if presses else event.key)
        if action is not None:
            self.press(action)
        elif is_too_small(self.app.size):
            return
        elif event.key == "backspace":
            self.erase()
        elif event.is_printable and event.character:
            self.type(event.character)
        else:
            self.other_key()

    @on(Target.Pressed)
    def _tapped(self, message: Target.Pressed) -> None:
        message.stop()
        self._told = ""
        self.taps.read(self.taps.finger_at)
        self.press(message.action)

    def press(self, action: Action) -> None:
        """Do an action, wherever it came from."""
        if self._left or not (action.repeats or self.taps.accept(action.name)):
            return
        action.deed()
        self.draw()

    def type(self, character: str) -> None:
        """A character was typed."""

    def erase(self) -> None:
        """Backspace was pressed."""

    def other_key(self) -> None:
        """A key that means nothing here was pressed."""
