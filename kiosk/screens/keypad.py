"""A keypad for fingers."""

from collections.abc import Callable, Sequence
from functools import partial

from textual.app import ComposeResult

from kiosk.screens.action import BIG, Action
from kiosk.screens.dialog import Answer, Dialog
from kiosk.screens.page_text import Lines
from kiosk.screens.target import Targets

FACES = "1234567890./-"
ROOM_FACES = "1234567890.C-"
LONGEST = 20


def _not_kept(text: str) -> None:
    """For what is not kept half typed."""


class KeypadScreen(Dialog[str]):
    """Gives the typed figure. Every key goes to ``keep`` at once, so a half-typed figure survives."""

    MOST_TARGETS = len(FACES) + 2

    def __init__(
        self,
        title: str,
        text: str = "",
        keep: Callable[[str], None] = _not_kept,
        faces: str = FACES,
        refused: str = "",
    ) -> None:
        """``refused`` says why a figure is asked for again."""
        super().__init__(title)
        self.text = text
        self.keep = keep
        self.faces = faces
        self.said = refused  # what a press had to be told

    def targets(self) -> ComposeResult:
        """Fifteen keys."""
        yield Targets(self.MOST_TARGETS, id="keys")

    def put(self, actions: Sequence[Action]) -> None:
        """Let the faces stand on the keys."""
        self.query_one("#keys", Targets).put(actions)

    def lines(self, rows: int) -> Lines:
        """The figure as typed so far."""
        lines = self.empty_page()
        lines.big(self.text, caption="▌")
        return lines

    def actions(self) -> list[Action]:
        """The faces, back, and OK."""
        return [
            *(Action(face, "", partial(self.type, face), repeats=True) for face in self.faces),
            Action("⌫", "", self.erase, repeats=True),
            Action("OK", BIG, self._take),
            Action("Leave", "escape", self.leave, shown="key"),
        ]

    def foot(self) -> str:
        """What ends it."""
        if self.said:
            return self.said
        kept = "" if self.keep is _not_kept else " Esc keeps it half typed."
        return f"OK or Enter records it.{kept}"

    def type(self, character: str) -> None:
        """The keyboard works too."""
        self._keep((self.text + character).lstrip()[:LONGEST])

    def erase(self) -> None:
        """Take back a character."""
        self._keep(self.text[:-1])

    def _keep(self, text: str) -> None:
        self.text = text
        self.said = ""
        self.keep(text)
        self.draw()

    def _take(self) -> None:
        if not self.text:
            self.said = "Nothing is typed yet."
            return
        self.leave(Answer(self.text, self.text))
