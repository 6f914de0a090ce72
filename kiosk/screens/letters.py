"""Letters for fingers: words, marks and figures are typed without a keyboard.

Laid out as on a keyboard, for that is where a hand looks for a letter. A key is a tenth of the screen wide
and three rows high: some 21 by 16 mm on a screen of 10.1 in (size for a finger: common practice, no source).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Literal

from textual.app import ComposeResult
from textual.containers import Container

from kiosk.screens.action import Action
from kiosk.screens.target import Targets

Face = Literal["letters", "figures"]

FACES: dict[Face, tuple[str, ...]] = {
    "letters": ("qwertyuiop", "asdfghjkl-", "zxcvbnm,./"),
    "figures": ("1234567890", "+-./=%()#:", "'\"*&?!°;@,"),
}
_OTHER: dict[Face, tuple[Face, str]] = {"letters": ("figures", "123 #"), "figures": ("letters", "ABC")}
IN_A_ROW = 10


@dataclass
class Hand:
    """Which face is up, and whether the next letter is a capital."""

    face: Face = "letters"
    shift: bool = False

    def rows(self, text: str, typed: Callable[[str], None]) -> list[list[Action]]:
        """The keys, row by row. The first letter of all is a capital, as anybody would write it."""
        big = self.face == "letters" and (self.shift or not text)
        return [
            [
                Action(one, "", partial(self._type, one, typed), repeats=True)
                for one in (row.upper() if big else row)
            ]
            for row in FACES[self.face]
        ]

    def bar(self, typed: Callable[[str], None], erase: Callable[[], None]) -> list[Action]:
        """The keys under the letters."""
        return [
            Action("⇧", "", self._shift, repeats=True, here=self.shift),
            Action(_OTHER[self.face][1], "", self._turn, repeats=True),
            Action("space", "", partial(self._type, " ", typed), repeats=True),
            Action("⌫", "", erase, repeats=True),
        ]

    def _type(self, character: str, typed: Callable[[str], None]) -> None:
        self.shift = False
        typed(character)

    def _shift(self) -> None:
        self.shift = not self.shift

    def _turn(self) -> None:
        self.face = _OTHER[self.face][0]


class Letters(Container):
    """The rows of keys, or nothing while they are put away."""

    def compose(self) -> ComposeResult:
        """Three rows and the bar under them."""
        for number in range(len(FACES["letters"])):
            yield Targets(IN_A_ROW, id=f"row-{number}")
        yield Targets(4, id="bar")

    def put(self, rows: Sequence[Sequence[Action]]) -> None:
        """Let these keys stand there, the bar last; none at all puts them away."""
        self.set_class(not rows, "gone")
        for targets, actions in zip(self.query(Targets), rows, strict=False):
            targets.put(actions)
