"""A keypad for fingers."""

from collections.abc import Callable, Sequence
from functools import partial

from textual.app import ComposeResult

from kiosk.catalogue import said, to_be_said
from kiosk.errors import KioskError
from kiosk.screens.action import BIG, Action
from kiosk.screens.dialog import Answer, Dialog
from kiosk.screens.keys import Keys, Row
from kiosk.screens.page_text import Lines

FACES = ("/", "mm", ".", "-")
TEMPERATURE_FACES = (".", "C", "-")
LONGEST = 20
NOT_WHOLE = to_be_said("NOT WHOLE YET")
DIGITS = "7894561230"  # as on a calculator, row by row
_BESIDE = 2  # other faces beside each row of digits


Reads = Callable[[str], object]  # raises KioskError for what is no whole figure


def _not_kept(text: str) -> None:
    """For what is not kept half typed."""


def why_not_whole(reads: Reads, text: str) -> str:
    """Why what was typed is no figure yet, such as ``1/``; empty where it is one."""
    try:
        reads(text)
    except KioskError as error:
        return str(error)
    return ""


class KeypadScreen(Dialog[str]):
    """Gives the typed figure, once ``reads`` takes it for a whole one. Every key goes to ``keep`` at once, so
    a half-typed figure survives."""

    def __init__(
        self,
        title: str,
        reads: Reads,
        text: str = "",
        keep: Callable[[str], None] = _not_kept,
        faces: Sequence[str] = FACES,
        refused: str = "",
    ) -> None:
        """``faces`` are keys beside the digits, four at most; ``refused`` says why it is asked again."""
        super().__init__(title)
        self.reads = reads
        self.text = text
        self.keep = keep
        self.faces = faces
        self.said = refused  # what a press had to be told

    @property
    def is_typed_in(self) -> bool:
        """Figures are typed as quickly as a finger can."""
        return True

    @property
    def has_text(self) -> bool:
        """A figure may have blanks: ``8 ft 2-1/4``."""
        return bool(self.text)

    def targets(self) -> ComposeResult:
        """The keys."""
        self._keys = Keys(id="keys", between=1, gap=1)
        yield self._keys

    def put(self, actions: Sequence[Action]) -> None:
        """Let digits and faces stand on the keys, row by row, and what ends it at the right."""
        *faces, back, take, leave = actions
        digits, beside = faces[: len(DIGITS)], faces[len(DIGITS) :]
        places: list[Action | None] = [*beside, *[None] * (2 * _BESIDE - len(beside))]
        rows: list[Row] = [
            [*digits[3 * row : 3 * row + 3], *places[_BESIDE * row : _BESIDE * (row + 1)], ends]
            for row, ends in enumerate((back, leave))
        ]
        self._keys.put([*rows, [*digits[6:], take, take]])  # what takes it is as wide as two

    def put_away(self) -> None:
        """Let no key stand there."""
        self._keys.put([])

    def lines(self, rows: int) -> Lines:
        """The figure as typed so far."""
        lines = self.empty_page()
        lines.big(self.text, caption="▌")
        return lines

    def actions(self) -> list[Action]:
        """The faces, back, and OK."""
        return [
            *(Action(face, "", partial(self.type, face), repeats=True) for face in (*DIGITS, *self.faces)),
            Action("⌫", "", self.erase, repeats=True),
            Action(self._take_words(), BIG, self._take),
            Action("Leave", "escape", self.leave),
        ]

    def _take_words(self) -> str:
        if not self.text:
            return said("TYPE FIRST")
        return said(NOT_WHOLE) if why_not_whole(self.reads, self.text) else "OK"

    def foot(self) -> str:
        """What ends it."""
        if self.said:
            return self.said
        kept = "" if self.keep is _not_kept else (" " + said("Esc keeps it half typed."))
        return said("OK or Enter records it.{kept}", kept=kept)

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
            self.said = said("Nothing is typed yet.")
            return
        why = why_not_whole(self.reads, self.text)
        if why:
            self.said = said("NOT DONE: {why}", why=why)
            return
        self.leave(Answer(self.text, self.text))
