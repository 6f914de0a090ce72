"""Pages of text to read, such as the working of a number."""

from collections.abc import Sequence

from kiosk.catalogue import said, to_be_said
from kiosk.screens.action import BIG, Action
from kiosk.screens.dialog import Dialog
from kiosk.screens.large import scale_of
from kiosk.screens.page_text import PLAIN, Lines

Page = Sequence[tuple[str, str]]  # text and its style; text with line ends is a plot and stays as it is


class PageScreen(Dialog[None]):
    """The big action and Right turn the page; after the last the big action, and any other key, go back."""

    MOST_TARGETS = 2
    LEFT_WHEN = to_be_said("when this is left")

    def __init__(self, title: str, pages: Sequence[Page]) -> None:
        super().__init__(title)
        self.pages = list(pages) or [[(said("Nothing to show."), PLAIN)]]
        self.at = 0
        self._screens: list[Lines] = []  # the pages as they fit this screen
        self._fitted_to = (0, 0)

    @property
    def screens(self) -> int:
        """How many screens the pages take."""
        return len(self._screens)

    @property
    def has_large_title(self) -> bool:
        """Not over one page of several."""
        return len(self._screens) == 1

    def lines(self, rows: int) -> Lines:
        """The page; one that is longer than the screen goes on over the next."""
        if self._fitted_to != (self.size.width, rows):
            self._screens = self.fitted(max(4, rows))
            self._fitted_to = (self.size.width, rows)
        self.at = min(self.at, len(self._screens) - 1)
        return self._screens[self.at]

    def fitted(self, height: int) -> list[Lines]:
        """The pages screen by screen: each begins a new one, but on a large screen that holds more."""
        screens = [screen for page in self.pages for screen in self.fit(page, height)]
        found = screens[:1]
        for screen in screens[1:]:
            if scale_of(self.app.size) and found[-1].rows + 1 + screen.rows <= height:
                found[-1].gap()
                found[-1].paragraphs += screen.paragraphs
            else:
                found.append(screen)
        return found

    def fit(self, page: Page, height: int) -> list[Lines]:
        """One page over as many screens as it takes."""
        screens = [self.empty_page()]
        for text, style in page:
            part = self.empty_page()
            if "\n" in text:
                for row in text.splitlines():
                    part.raw(row, style)
            else:
                part.add(text, style)
            if screens[-1].rows and screens[-1].rows + part.rows > height:
                screens.append(self.empty_page())
            screens[-1].paragraphs += part.paragraphs
        return screens

    def actions(self) -> list[Action]:
        """On to the next page while there is one, and back."""
        if len(self._screens) < 2:
            return [Action("BACK", BIG, self.leave)]
        down = Action("Next page", "down", self._next, shown="key", repeats=True)
        if self.at == len(self._screens) - 1:
            return [
                Action("BACK", BIG, self.leave),
                Action("First page", "right", self._next, repeats=True),
                down,
            ]
        return [
            Action("NEXT PAGE", BIG, self._next),
            Action("Back", "escape", self.leave),
            Action("Next page", "right", self._next, shown="key", repeats=True),
            down,
        ]

    def foot(self) -> str:
        """Which page of how many, where they are several."""
        return (
            said("Page {number} of {of}", number=self.at + 1, of=len(self._screens))
            if len(self._screens) > 1
            else ""
        )

    def _next(self) -> None:
        self.at = (self.at + 1) % max(1, len(self._screens))

    def other_key(self) -> None:
        """Any key goes back."""
        self.leave()

    def erase(self) -> None:
        """Any key goes back."""
        self.leave()

    def type(self, character: str) -> None:
        """A letter goes back, and is the first of what is typed there: a mark is whole, and the Enter after
        it is no press of what lies below."""
        self.leave_typing(character)
