"""A keypad for fingers."""

from collections.abc import Callable, Sequence
from functools import partial

from textual.app import ComposeResult

from kiosk.screens.action import BIG, Action
from kiosk.screens.dialog import Answer, Dialog
from kiosk.screens.page_text import Lines
from kiosk.screens.target import Targets

FACES = "1234567890./-"
LONGEST = 20


class KeypadScreen(Dialog[str]):
    """Gives the typed figure. Every key is kept at once, so a half-typed figure survives anything."""

    MOST_TARGETS = len(FACES) + 2

    def __init__(self, ask: str, wanted: str, text: str, keep: Callable[[str], None]) -> None:
        super().__init__(f"{ask}: {wanted}")
        self.text = text
        self.keep = keep

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
            *(Action(face, "", partial(self.type, face), repeats=True) for face in FACES),
            Action("⌫", "", self.erase, repeats=True),
            Action("OK", BIG, self._take),
            Action("Leave", "escape", self.leave, shown="key"),
        ]

    def foot(self) -> str:
        """What ends it."""
        return "OK or Enter records it. Esc keeps it half typed."

    def type(self, character: str) -> None:
        """The keyboard works too."""
        self._keep((self.text + character)[:LONGEST])

    def erase(self) -> None:
        """Take back a character."""
        self._keep(self.text[:-1])

    def _keep(self, text: str) -> None:
        self.text = text
        self.keep(text)
        self.draw()

    def _take(self) -> None:
        self.leave(Answer(self.text, self.text))
