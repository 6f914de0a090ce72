"""Letters for fingers: words, marks and figures are typed without a keyboard.

Laid out as on a keyboard, for that is where a hand looks for a letter. A key is a tenth of the screen wide
and three rows high: some 21 by 16 mm on a screen of 10.1 in (size for a finger: common practice, no source).
What was said before stands on a face of its own, the newest first: one tap puts it in whole.
"""

from collections.abc import Callable
from dataclasses import field
from functools import partial
from typing import Literal

from kiosk.catalogue import to_be_said
from kiosk.dataclass import dataclass
from kiosk.screens.action import Action

Face = Literal["letters", "figures", "said"]

FACES: dict[Literal["letters", "figures"], tuple[str, ...]] = {
    "letters": ("qwertyuiop", "asdfghjkl-", "zxcvbnm,./"),
    "figures": ("1234567890", "+-./=%()#:", "'\"*&?!°;@,"),
}
_OTHER: dict[Face, tuple[Face, str]] = {
    "letters": ("figures", "123 #"),
    "figures": ("letters", to_be_said("ABC")),
    "said": ("letters", to_be_said("ABC")),
}
IN_A_ROW = 10
SAID_IN_A_ROW = 2
ROWS = 3
MILLIMETRES = "mm"


@dataclass
class Hand:
    """Which face is up, whether the next letter is a capital, and what was ``said`` before."""

    face: Face = "letters"
    shift: bool = False
    said: list[str] = field(default_factory=list)
    page: int = 0

    def rows(
        self, text: str, typed: Callable[[str], None], put_in: Callable[[str], None]
    ) -> list[list[Action]]:
        """The keys, row by row. The first letter of all is a capital, as anybody would write it."""
        if self.face == "said":
            return self._said_rows(text, put_in)
        big = self.face == "letters" and (self.shift or not text)
        return [
            [
                Action(one, "", partial(self._type, one, typed), repeats=True)
                for one in (row.upper() if big else row)
            ]
            for row in FACES[self.face]
        ]

    def _said_rows(self, text: str, put_in: Callable[[str], None]) -> list[list[Action]]:
        """What was said before: what begins as the text does first, then the newest first."""
        begun = text.strip().casefold()
        fits = sorted(self.said, key=lambda one: not one.casefold().startswith(begun))
        each = ROWS * SAID_IN_A_ROW
        self.page %= max(1, -(-len(fits) // each))
        here = fits[self.page * each : (self.page + 1) * each]
        keys = [Action(one, "", partial(put_in, whole(text, one)), repeats=True) for one in here]
        return [keys[first : first + SAID_IN_A_ROW] for first in range(0, each, SAID_IN_A_ROW)]

    def bar(self, typed: Callable[[str], None], erase: Callable[[], None]) -> list[Action]:
        """The keys under the letters."""
        keys = [
            Action(_OTHER[self.face][1], "", self._turn, repeats=True),
            Action("space", "", partial(self._type, " ", typed), repeats=True),
            Action("⌫", "", erase, repeats=True),
        ]
        if self.face == "letters":
            keys.insert(0, Action("⇧", "", self._shift, repeats=True, here=self.shift))
        elif self.face == "figures":
            keys.insert(0, Action(MILLIMETRES, "", partial(self._type, MILLIMETRES, typed), repeats=True))
        elif len(self.said) > ROWS * SAID_IN_A_ROW:
            keys.insert(0, Action("Older", "", self._older, repeats=True))
        if self.said and self.face != "said":
            keys.append(Action("Said before", "", self._say_again, repeats=True))
        return keys

    def _type(self, character: str, typed: Callable[[str], None]) -> None:
        self.shift = False
        typed(character)

    def _shift(self) -> None:
        self.shift = not self.shift

    def _turn(self) -> None:
        self.face = _OTHER[self.face][0]

    def _say_again(self) -> None:
        self.face, self.page = "said", 0

    def _older(self) -> None:
        self.page += 1


def whole(text: str, said: str) -> str:
    """A text with what was said before: in place of its beginning, or after it."""
    begun = text.strip()
    if not begun or said.casefold().startswith(begun.casefold()):
        return said
    return f"{begun} {said}"
