"""Targets for a finger: three rows, at least twelve columns, the key written on each."""

from collections.abc import Sequence

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.containers import Container
from textual.message import Message
from textual.widgets import Static

from kiosk.catalogue import said
from kiosk.screens.action import BIG, Action
from kiosk.screens.put_text import put_text
from kiosk.screens.rows import Rows
from kiosk.shop.characters import visible


class Target(Static):
    """Sends :class:`Target.Pressed` with its action when tapped. Never takes the focus, so that a scanner's
    Enter cannot press it again."""

    can_focus = False

    class Pressed(Message):
        """A tap, with the action that stands on the target."""

        def __init__(self, action: Action) -> None:
            self.action = action
            super().__init__()

    def __init__(self) -> None:
        super().__init__(classes="gone", markup=False)
        self.action: Action | None = None
        self._down = ""  # the label that stood there as the finger came down

    def put(self, action: Action | None, *, shade: bool = False, gap: bool = False) -> None:
        """Let an action stand on it, or nothing; it is styled once, and only where its classes are others."""
        classes = {"gone": action is None, "shade": shade, "gap": gap}
        if action is not None:
            text = Text(justify="center", no_wrap=False)
            label = visible(said(action.label))
            text.append(f"{label}\n{action.key_face}" if action.key else label)
            put_text(self, text)
            classes |= {"big": action.key == BIG, "here": action.here, "away": action.key == "escape"}
        self.update_classes(classes, update=self.is_attached)
        self.action = action

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """A finger came down."""
        self._down = self.action.label if self.action is not None else ""

    def on_click(self, event: events.Click) -> None:
        """A finger or the mouse; what came to stand there while it was down is not what it meant."""
        event.stop()
        if self.action is not None and self.action.label == self._down:
            self.post_message(self.Pressed(self.action))


class Body(Rows):
    """The text of a screen, which may be a target as a whole or row by row."""

    class Tapped(Message):
        """A finger or the mouse came down on it, on this row and column of its text."""

        def __init__(self, row: int, column: int) -> None:
            self.row, self.column = row, column
            super().__init__()

    def on_click(self, event: events.Click) -> None:
        """A finger or the mouse."""
        event.stop()
        self.post_message(self.Tapped(event.y, event.x - self.styles.padding.left))


class Targets(Container):
    """Some targets beside one another, filled from the first on; each is made when it is first wanted."""

    def __init__(self, most: int, id: str) -> None:
        super().__init__(id=id)
        self._most = most
        self._targets: list[Target] = []
        self._is_composed = False

    def compose(self) -> ComposeResult:
        """As many targets as were wanted by now."""
        self._is_composed = True
        yield from self._targets

    def put(self, actions: Sequence[Action | None], *, columns: int = 1) -> None:
        """Let these actions stand on the targets; those done by a key alone have none. None leaves a gap.

        Neighbours differ in shade, where there is no gap between them; in several ``columns`` rows do.
        """
        shown = [action for action in actions if action is None or action.shown != "key"][: self._most]
        made = self._made(len(shown))
        for number, target in enumerate(self._targets):
            action = shown[number] if number < len(shown) else None
            gap = number < len(shown) and action is None
            target.put(action, shade=number // columns % 2 == 1, gap=gap)
        if made and self._is_composed:
            self.mount(*made)

    def make_all(self) -> None:
        """Make those that were not wanted yet, where more will be: one that is made as it is shown comes a
        moment after the others were painted as wide as without it."""
        made = self._made(self._most)
        if made:
            self.mount(*made)

    def _made(self, count: int) -> list[Target]:
        made = [Target() for _ in range(count - len(self._targets))]
        self._targets += made
        return made
