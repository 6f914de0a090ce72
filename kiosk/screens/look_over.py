"""Looking over what a helper did: all of it is shown before it is asked whether it is good."""

from collections.abc import Callable, Sequence

from kiosk.catalogue import said, to_be_said
from kiosk.screens.action import BIG, Action
from kiosk.screens.choice import Choice, ChoiceScreen
from kiosk.screens.dialog import Answer
from kiosk.screens.kiosk import Kiosk
from kiosk.screens.page import PageScreen
from kiosk.screens.page_text import BOLD, Lines

_OTHER_ROWS = 12  # of the dialog that asks: its title, two answers, the actions and the foot


class _ReadFirst(PageScreen):
    """What was done, page by page; it is asked for only after the last."""

    LEFT_WHEN = to_be_said("when this is read")

    def actions(self) -> list[Action]:
        """On, and after the last page to the question."""
        last = self.at >= self.screens - 1
        return [
            Action("SAY HOW IT IS" if last else "READ ON", BIG, self._on),
            Action("Leave", "escape", self.leave),
        ]

    def _on(self) -> None:
        if self.at < self.screens - 1:
            self._next()
        else:
            self.leave(Answer(None, "read"))


def ask_look_over(
    kiosk: Kiosk, mark: str, lines: Sequence[str], size: tuple[int, int], then: Callable[[bool], None]
) -> None:
    """Show what was done and ask how it is; what does not fit beside the question is read before it.

    ``size`` is columns and rows of the screen.
    """
    title = said("{mark}: look over what was done", mark=mark)

    def answered(good: bool) -> None:
        if good:
            then(True)
            return
        # "It is to do again" can lie where the tap that opened this was: it is asked once more, the other way
        # round, so that no further tap on that spot says it.
        again: list[Choice[bool | None]] = [
            Choice(said("It is to do again"), False),
            Choice(said("No: ask me again"), None),
        ]
        kiosk.ask(
            ChoiceScreen[bool | None](said("{mark}: is it not good?", mark=mark), again, detail=lines[:2]),
            sure,
        )

    def sure(good: bool | None) -> None:
        if good is not None:
            then(good)
        else:
            ask(None)

    choices = [Choice(said("It is good"), True), Choice(said("It is to do again"), False)]

    def ask(_: None) -> None:
        kiosk.ask(ChoiceScreen(title, choices, detail=lines[:2]), answered)

    width, height = size
    page = Lines(width - 2)
    for line in lines:
        page.add(line)
    if page.rows <= height - _OTHER_ROWS:
        kiosk.ask(ChoiceScreen(title, choices, detail=lines), answered)
        return
    kiosk.ask(_ReadFirst(title, [[(line, BOLD) for line in lines]]), ask)
