"""The drawing of a step over the whole screen."""

from kiosk.catalogue import said, to_be_said
from kiosk.screens.action import BIG, Action
from kiosk.screens.dialog import Dialog
from kiosk.screens.page_text import ACCENT, PLAIN, Lines
from kiosk.screens.picture_of import picture_of
from kiosk.views.step_drawing import StepDrawingView

DRAWING_KEY = "left"
LEAST_PICTURE_ROWS = 10  # with fewer, the words under it give way


class DrawingScreen(Dialog[None]):
    """As large as the screen allows, what it says in words under it; any key goes back."""

    MOST_TARGETS = 1
    LEFT_WHEN = to_be_said("when this is left")

    def __init__(self, mark: str, view: StepDrawingView) -> None:
        title = view.sketch.title if view.sketch is not None else said("no drawing")
        super().__init__(f"{mark}  {title}")
        self.view = view

    @property
    def has_large_title(self) -> bool:
        """The drawing has all the room."""
        return False

    def lines(self, rows: int) -> Lines:
        """The drawing, and its words as far as they leave it enough rows."""
        page = self.empty_page()
        sketch = self.view.sketch
        if sketch is None:
            page.add(said("THIS DRAWING CANNOT BE SHOWN"), ACCENT)
            page.add(self.view.wrong, PLAIN)
            return page
        under = self.empty_page()
        for line in sketch.words:
            under.add(line, PLAIN)
        while under.paragraphs and rows - under.rows < LEAST_PICTURE_ROWS:
            under.paragraphs.pop()
        page.picture(picture_of(sketch, page.width, rows - under.rows))
        page.paragraphs += under.paragraphs
        return page

    def actions(self) -> list[Action]:
        """Back, by the key that led here too."""
        return [
            Action("BACK", BIG, self.leave),
            Action("Back", DRAWING_KEY, self.leave, shown="key"),
        ]

    def foot(self) -> str:
        """How to go back without the big target, and who decides."""
        return said(
            "{key_face} or any key goes back. The plans and the designer decide.",
            key_face=self.actions()[1].key_face,
        )

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
