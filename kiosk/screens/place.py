"""The place card: where the work stopped, and one big action."""

from collections.abc import Callable
from datetime import date

from kiosk.screens.base import KioskScreen
from kiosk.screens.dialogs import ChoiceScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET
from kiosk.screens.target import Tap
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import StepRef
from kiosk.views.place_card import PlaceCard

STANDS = "It stands as the screen shows: carry on"
NOT_BEGUN = "Nothing was done yet: put it back"
SOMETHING_ELSE = "Something is not right: raise a snag"


class PlaceScreen(KioskScreen):
    """Home. Nothing runs until the big action is pressed."""

    NAME = "place"

    def __init__(self) -> None:
        super().__init__()
        self._kept: tuple[tuple[int, date], list[str]] | None = None

    def taps(self) -> list[Tap]:
        """One big action; what is not so is said beside it."""
        return [
            Tap("big", "", "Enter", classes="big"),
            Tap("not so", "Not so", "F7"),
            Tap("numbers", "Numbers", "F9", classes="optional"),
            Tap("snag", "Snag", "F5"),
        ]

    def draw(self) -> None:
        """The card, the most needed first."""
        card = self.bench.place_card()
        lines = self.lines()
        step = f"   step {card.number} of {card.of}" if card.number else ""
        lines.add(f"{card.standing}{step}", ACCENT)
        lines.add(card.title, BOLD)
        if card.count_line:
            count, _, rest = card.count_line.partition(" of ")
            wanted, _, of = rest.partition(" ")
            lines.big(count, caption=f"of {wanted} {of}", importance=2)
        lines.add(card.do, BOLD, most=3)
        lines.add(card.draft_line, ACCENT)
        if card.blocked:
            lines.add(f"NOT NOW: {card.blocked}", ACCENT)
        for line in card.clocks[:3]:
            lines.add(line, ACCENT, importance=1, most=2)
        lines.add(card.when, PLAIN, importance=2)
        if card.note:
            lines.add(f"Your note: {card.note}", BOLD, importance=1)
        for text in card.changes:
            lines.add(f"CHANGED: {text}", ACCENT, importance=1)
        if card.fetch:
            lines.add(f"Fetch: {', '.join(card.fetch)}", PLAIN, importance=3, most=2)
        for text in card.left:
            lines.add(f"Left so: {text}", QUIET, importance=6, most=1)
        if self.bench.state.sitting is None and card.look_back:
            lines.add("Look at the parts. Still true? If not, F7.", PLAIN, importance=4)
            for back in card.look_back[::-1]:
                lines.add(f"[x] {', '.join(back.marks)}: {back.text}", QUIET, importance=5, most=1)
        if card.to_look_over:
            names = marks_in_full(card.to_look_over)
            lines.add(f"LOOK OVER what a helper did: {names}", ACCENT, importance=2, most=1)
        if self.bench.state.sitting is None:
            for text in self._momentum():
                if card.do not in text:  # what the card says already
                    lines.add(text, PLAIN, importance=2 if "Small beginning" in text else 6, most=2)
        if card.snags:
            held = "; ".join(card.snags)
            lines.add(f"HELD: {held}", PLAIN, importance=3, most=1)
        self.set_body(lines)
        self.face("big", card.action_label, "Enter")
        self.face("not so", "Not so" if card.look_back else "", "F7")

    def _momentum(self) -> list[str]:
        """Worked out once a record and day: it may ask the planner for a small beginning."""
        key = (self.bench.state.seq, self.bench.now.astimezone().date())
        if self._kept is None or self._kept[0] != key:
            self._kept = (key, self.bench.momentum_lines())
        return self._kept[1]

    def do(self, action: str) -> bool:
        """The big action of the card, or: a recorded step is not so."""
        if action == "big":
            self._go_on(self.bench.place_card())
        elif action in ("not so", "f7"):
            self._not_so(self.bench.place_card())
        else:
            return False
        return True

    def _go_on(self, card: PlaceCard) -> None:
        bench = self.bench
        if card.action == "look" and card.work is not None:
            self.app.push_screen(
                ChoiceScreen(
                    "The step was under way when the power went",
                    [STANDS, NOT_BEGUN, SOMETHING_ELSE],
                    detail=[
                        f"Look at {card.title}",
                        card.do,
                        " ".join(part for part in (card.count_line, card.draft_line) if part)
                        or "Nothing was counted or typed.",
                        "How does it stand?",
                    ],
                ),
                self._looked(card),
            )
        elif card.action == "resume" and card.work is not None:
            bench.take_up(card.work)
            self.kiosk.walk(card.work)
        elif card.action == "begin":
            self.kiosk.walk(bench.start(card.marks, card.procedure, card.step))
        elif card.action == "complete":
            self.kiosk.open_part(card.marks[0])
        elif card.action == "question":
            self._ask_place(card)
        elif card.action in ("late", "second look"):
            self.kiosk.open_part(card.marks[0])
        else:
            self.kiosk.go("spare")

    def _looked(self, card: PlaceCard) -> Callable[[str | None], None]:
        work = card.work or ""

        def chosen(text: str | None) -> None:
            if text is None:
                return
            if text == NOT_BEGUN:
                self.kiosk.attempt(lambda: self.bench.looked(work, as_shown=False))
                self.show()
            else:
                self.kiosk.attempt(lambda: self.bench.looked(work, as_shown=True))
                if text == SOMETHING_ELSE:
                    self.kiosk.raise_snag(self.bench.work(work).turned_to)
                else:
                    self.kiosk.walk(work)

        return chosen

    def _ask_place(self, card: PlaceCard) -> None:
        if card.work is not None:
            # The step in hand is gone from its procedure; what was counted stays in the record.
            self.bench.set_aside(card.work)
            self.show()
            return
        self.kiosk.ask_place(card.marks)

    def _not_so(self, card: PlaceCard) -> None:
        options = {
            f"{mark}: {back.text}": (mark, StepRef(back.procedure, back.step))
            for back in card.look_back[::-1]
            for mark in back.marks
        }

        def chosen(text: str | None) -> None:
            if text in options:
                mark, ref = options[text]
                self.kiosk.attempt(lambda: self.bench.reopen(mark, ref, "seen not done on return"))
                self.show()

        self.app.push_screen(
            ChoiceScreen("What is not so? It and all after it are to do again.", list(options)), chosen
        )
