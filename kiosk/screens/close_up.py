"""Closing up: what may be left as it is, what may not, and a word to your later self."""

from kiosk.screens.base import KioskScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET
from kiosk.screens.target import Tap


class CloseUpScreen(KioskScreen):
    """Keeps the place and leaves the kiosk."""

    NAME = "close-up"

    def __init__(self) -> None:
        super().__init__()
        self.note = ""

    def taps(self) -> list[Tap]:
        """Close up; going back is beside it, leaving it wrong is a key apart."""
        return [
            Tap("big", "", "Enter", classes="big"),
            Tap("back", "Back", "Esc"),
            Tap("leave so", "", "F9"),
        ]

    def draw(self) -> None:
        """The two lists, the clocks, and the note."""
        view = self.bench.close_up_view()
        lines = self.lines()
        if view.must_not:
            lines.add("MUST NOT BE LEFT SO:", ACCENT)
            for text in view.must_not:
                lines.add(text, BOLD, indent="[!] ", most=3)
        else:
            lines.add("Everything can be left as it is.", BOLD)
        for text in view.may:
            lines.add(text, PLAIN, indent="[x] ", importance=2, most=2)
        for text in view.clocks:
            lines.add(text, ACCENT, importance=1, most=2)
        if view.put_away:
            lines.add(f"Put away: {', '.join(view.put_away)}", PLAIN, importance=3, most=2)
        if view.next_step:
            lines.add(f"Next time begin with {view.next_step}", PLAIN, importance=4, most=2)
        lines.gap()
        lines.add("What is loose or clamped, and what comes next? Type it:", QUIET)
        lines.add(f"{self.note}▌", ACCENT)
        self.set_body(lines)
        if view.must_not:
            self.face("big", "GO BACK AND FINISH", "Enter")
            self.face("leave so", "Leave it so", "F9")
        else:
            self.face("big", "CLOSE UP, KEEP THE PLACE", "Enter")
            self.face("leave so", "")

    def hint(self) -> str:
        """What closing up does."""
        return "The place is kept either way. A note makes the return quick."

    def take_text(self, character: str) -> bool:
        """Everything typed here is the note."""
        self.note = (self.note + character)[:160]
        self.show()
        return True

    def erase(self) -> None:
        """Take back a letter."""
        self.note = self.note[:-1]
        self.show()

    def do(self, action: str) -> bool:
        """Close up, or go back and finish what may not be left."""
        blocked = bool(self.bench.close_up_view().must_not)
        if action == "back" or (action == "big" and blocked):
            self.kiosk.go("place")
        elif action == "big" or (action in ("leave so", "numbers") and blocked):
            self.bench.close_sitting(self.note)
            self.app.exit()
        else:
            return False
        return True
