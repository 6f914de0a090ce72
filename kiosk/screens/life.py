"""The life of a part, to read: the newest first, a page at a time."""

from collections.abc import Sequence

from kiosk.catalogue import said
from kiosk.logbook.life import LifeEntry
from kiosk.screens.action import BIG, Action
from kiosk.screens.page import Page, PageScreen
from kiosk.screens.page_text import BOLD, PLAIN, QUIET, Lines

_STRUCK = f"{QUIET} strike"  # the words say it too: no terminal has to know how to strike


class LifeScreen(PageScreen):
    """Right goes to what is older, left to what is newer; any other key goes back."""

    MOST_TARGETS = 3

    def __init__(self, mark: str, entries: Sequence[LifeEntry]) -> None:
        pages = [_page(entry) for entry in entries] or [[(said("Nothing is recorded of it yet."), PLAIN)]]
        super().__init__(said("{mark}: its life, the newest first", mark=mark), pages)

    def fitted(self, height: int) -> list[Lines]:
        """The entries screen by screen; one goes on over the next only where it is longer than a screen."""
        screens: list[Lines] = []
        for page in self.pages:
            parts = self.fit(page, height)
            if screens and len(parts) == 1 and screens[-1].rows + parts[0].rows <= height:
                screens[-1].paragraphs += parts[0].paragraphs
            else:
                screens += parts
        return screens

    def actions(self) -> list[Action]:
        """Back, older and newer."""
        back = Action("BACK", BIG, self.leave)
        if self.screens < 2:
            return [back]
        return [
            back,
            Action("Newer", "left", self._newer, repeats=True),
            Action("Older", "right", self._older, repeats=True),
            Action("Newer", "up", self._newer, shown="key", repeats=True),
            Action("Older", "down", self._older, shown="key", repeats=True),
        ]

    def _newer(self) -> None:
        self.at = max(0, self.at - 1)

    def _older(self) -> None:
        self.at = min(self.at + 1, self.screens - 1)


def _page(entry: LifeEntry) -> Page:
    return [
        (entry.head, BOLD),
        (entry.what.text, _STRUCK if entry.what.struck else PLAIN),
        *((f"- {one.text}", _STRUCK if one.struck else QUIET) for one in entry.lines),
    ]
