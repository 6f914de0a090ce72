"""Walking a step: cautions first, then one action, its numbers, its checks and its clock."""

from kiosk.record.rules import Refused
from kiosk.screens.base import KioskScreen
from kiosk.screens.dialogs import ChoiceScreen, KeypadScreen, PageScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET, Lines
from kiosk.screens.result_page import number_page
from kiosk.screens.target import Tap
from kiosk.views.step import CheckView, StepView
from kiosk.views.wording import clock_line, span

FIGURE_BEGINS = frozenset("0123456789.#-")
FIGURE_GOES_ON = frozenset("0123456789./-#\"' minfthcdeg%")


class WalkScreen(KioskScreen):
    """The step in hand."""

    NAME = "walk"

    def __init__(self, work: str) -> None:
        super().__init__()
        self.work = work
        self.chosen_check = ""

    def taps(self) -> list[Tap]:
        """Done far from undo; what the other two are depends on the check."""
        return [
            Tap("big", "", "Enter", classes="big"),
            Tap("second", "", "F8"),
            Tap("third", "", "F7"),
            Tap("pause", "Pause", "F12", classes="optional"),
            Tap("working", "Working", "F9", classes="roomy"),
            Tap("snag", "Snag", "F5"),
        ]

    def _view(self) -> StepView:
        return self.bench.step_view(self.work)

    def _check(self, view: StepView) -> CheckView | None:
        if view.count < view.count_wanted:
            return None
        for check in view.checks:
            if check.id == self.chosen_check:
                return check
        return view.active_check

    def tick(self) -> None:
        """The step's clock goes on."""
        super().tick()
        if self.bench.state.works.get(self.work) is not None:
            self.show()

    def draw(self) -> None:
        """The page of this step, and what the keys do now."""
        view = self._view()
        lines = self.lines()
        batch = f"   {view.batch_left} left" if view.batch_left > 1 else ""
        if view.together and view.batch_left > 1:
            batch = f"   {view.batch_left} together"
        lines.add(f"{view.mark}  {view.kind_name}{batch}", ACCENT, most=1)
        lines.add(
            f"{view.procedure_title}   step {view.number} of {view.of}"
            f"   {span(view.elapsed_s)}, {clock_line(view.elapsed_s, view.estimate_minutes)}",
            QUIET,
            importance=3,
            most=1,
        )
        if view.cautions:
            self._draw_cautions(view, lines)
            return
        lines.add(view.do, BOLD, most=3)
        lines.add(view.why, QUIET, importance=7, most=2)
        lines.add(view.note, PLAIN, importance=6, most=2)
        if view.held:
            lines.add(f"HELD: {view.held}. Decide the snag on the part's page.", ACCENT)
        check = self._check(view)
        if view.count_wanted:
            if view.count < view.count_wanted:
                caption = f"of {view.count_wanted} {view.count_of}"
                lines.big(str(view.count), caption=caption)
            else:
                lines.add(f"[x] {view.count} of {view.count_wanted} {view.count_of}", PLAIN, importance=2)
        for number in view.numbers:
            lines.add(f"{number.title}: {number.shown}", PLAIN, importance=4, most=1)
            for warning in number.warnings:
                lines.add(f"  {warning}", ACCENT, importance=5, most=1)
        lines.add(view.trial, PLAIN, importance=4, most=2)
        for one in view.checks:
            self._draw_check(lines, one, one is check)
        lines.add(view.stop, QUIET, importance=3, most=1)
        if view.next_do:
            lines.add(f"Next: {view.next_do}", QUIET, importance=8, most=1)
        if view.tools or view.consumables:
            fetch = ", ".join((*view.tools, *view.consumables))
            lines.add(f"Tools: {fetch}", QUIET, importance=9, most=1)
        self.set_body(lines)
        self._faces(view, check)

    def _draw_cautions(self, view: StepView, lines: Lines) -> None:
        for signal, text in view.cautions:
            lines.gap()
            lines.add(f"{signal}: {text}", BOLD if signal == "CAUTION" else ACCENT)
        lines.gap()
        lines.add(f"Then: {view.do}", PLAIN)
        lines.add("The plans, the designer and local rules come before this screen.", QUIET, importance=8)
        self.set_body(lines)
        self.face("big", "I HAVE READ THESE", "Enter")
        self.face("second", "")
        self.face("third", "Put back", "F7")
        self.face("working", "")

    def _draw_check(self, lines: Lines, check: CheckView, here: bool) -> None:
        pointer = "▶" if here else " "
        box = {"GOOD": "[x]", "OUT": "[!]", "TYPING": "[…]", "OPEN": "[ ]"}[check.state_word]
        style = ACCENT if here else (BOLD if check.state_word == "OUT" else PLAIN)
        given = ""
        if check.answered:
            word = "" if check.passed else " OUT"
            given = f"  {check.answer}{word}"
        wanted = f"  ({check.wanted})" if check.kind != "yes_no" else ""
        lines.add(f"{pointer}{box} {check.ask}{wanted}{given}", style, indent="", most=2)
        if here and check.kind in ("measure", "count") and check.draft:
            lines.big(check.draft, caption="▌ half typed", importance=1)

    def _faces(self, view: StepView, check: CheckView | None) -> None:
        big, second, third = "", "", "Put back"
        if view.count < view.count_wanted:
            big = f"ONE MORE ({view.count + 1} of {view.count_wanted})"
            second = "One less" if view.count else ""
        elif check is not None:
            if check.kind == "yes_no":
                wanted_no = check.wanted == "no"
                big = "NO, AS WANTED" if wanted_no else "YES, SEEN SO"
                second = "YES" if wanted_no else "NO"
            elif check.kind == "lot":
                big = "CHOOSE THE MARK"
            elif check.draft:
                big = f"RECORD {check.draft}"
                second = "Keypad"
            else:
                big = "TYPE THE FIGURE"
                second = "Keypad"
        elif view.can_finish:
            big = "DONE, ALL TOGETHER" if view.together and view.batch_left > 1 else "DONE"
        else:
            big = "LOOK AT THE SNAG"
        if view.batch_left > 1 and not view.together:
            third = "Other piece"
        elif view.count or any(one.answered for one in view.checks):
            third = ""
        self.face("big", big, "Enter")
        self.face("second", second, "F8")
        self.face("third", third, "F7")
        self.face("working", "Working" if view.numbers else "", "F9")

    def hint(self) -> str:
        """What else can be done here."""
        return "↑ ↓ choose a check.  F9 working.  F10 close up.  F12 pause."

    # What the keys do

    def take_text(self, character: str) -> bool:
        """Figures go to the check in hand; anything else begins a part mark."""
        try:
            view = self._view()
        except Refused:
            return False
        check = self._check(view)
        if view.cautions or check is None or check.kind not in ("measure", "count"):
            return False
        allowed = FIGURE_GOES_ON if check.draft else FIGURE_BEGINS
        if character not in allowed:
            return False
        self._draft(view, check, check.draft + character)
        return True

    def erase(self) -> None:
        """Take back the last character of the figure."""
        view = self._view()
        check = self._check(view)
        if check is not None and check.draft:
            self._draft(view, check, check.draft[:-1])

    def _draft(self, view: StepView, check: CheckView, text: str) -> None:
        self.kiosk.attempt(lambda: self.bench.type_draft(self.work, view.mark, check.id, text))
        self.show()

    def entered(self, text: str) -> None:
        """A scanned lot answers the lot check; a part mark goes to the part."""
        view = self._view()
        check = self._check(view)
        if check is not None and check.kind == "lot" and text.upper() in self.bench.shop.lots:
            self._answer(view, check, text)
            self.show()
        else:
            super().entered(text)

    def do(self, action: str) -> bool:
        """The big action, the two beside it, and moving between checks."""
        view = self._view()
        check = self._check(view)
        if action == "big":
            self._big(view, check)
        elif action in ("second", "f8"):
            self._second(view, check)
        elif action in ("third", "f7"):
            self._third(view)
        elif action in ("working", "numbers"):
            self._show_working(view)
        elif action in ("up", "down"):
            self._move(view, check, -1 if action == "up" else 1)
        elif action == "snag":
            self.kiosk.raise_snag(view.mark)
        elif action in ("pause", "f12"):
            self.bench.pause(self.work)
            self.kiosk.say("Paused. Its clock stands still until you carry on.")
            self.kiosk.go("place")
        else:
            return False
        return True

    def _big(self, view: StepView, check: CheckView | None) -> None:
        if view.cautions:
            self.bench.acknowledge(self.work)
        elif view.count < view.count_wanted:
            self.bench.count(self.work, view.mark, view.count + 1)
        elif check is None:
            if view.can_finish:
                self._finish(view)
            else:
                self.kiosk.open_part(view.mark)
        elif check.kind == "yes_no":
            self._answer(view, check, check.wanted)
        elif check.kind == "lot":
            self._choose_lot(view, check)
        elif check.draft:
            self._answer(view, check, check.draft)
        else:
            self._keypad(view, check)

    def _second(self, view: StepView, check: CheckView | None) -> None:
        if view.cautions:
            return
        if view.count < view.count_wanted:
            if view.count:
                self.bench.count(self.work, view.mark, view.count - 1)
        elif check is not None and check.kind == "yes_no":
            self._answer(view, check, "yes" if check.wanted == "no" else "no")
        elif check is not None and check.kind in ("measure", "count"):
            self._keypad(view, check)

    def _third(self, view: StepView) -> None:
        if view.batch_left > 1 and not view.together and not view.cautions:

            def chosen(mark: str | None) -> None:
                if mark is not None:
                    self.kiosk.attempt(lambda: self.bench.turn_to(self.work, mark))
                    self.show()

            self.app.push_screen(ChoiceScreen("Which piece next?", list(view.batch_marks)), chosen)
            return
        self.bench.put_back(self.work)
        self.kiosk.say("Put back as not begun.")
        self.kiosk.go("place")

    def _answer(self, view: StepView, check: CheckView, text: str) -> None:
        self.bench.answer(self.work, view.mark, check.id, text)
        self.chosen_check = ""
        after = next((one for one in self._view().checks if one.id == check.id), None)
        if after is not None and not after.passed:
            self.kiosk.say(
                f"{text} is not as wanted ({after.wanted}). Do it again, or F5 snag.", trouble=True
            )
        else:
            self.kiosk.say("Saved.")

    def _finish(self, view: StepView) -> None:
        self.bench.finish(self.work, view.mark)
        self.chosen_check = ""
        if self.work in self.bench.state.works:
            self.kiosk.say(f"Saved. {view.mark} is done; take the next piece.")
        else:
            self.kiosk.say("Saved. This step is done.")
            self.kiosk.go("place")

    def _keypad(self, view: StepView, check: CheckView) -> None:
        def typed(text: str) -> None:
            self.kiosk.attempt(lambda: self.bench.type_draft(self.work, view.mark, check.id, text))

        def done() -> None:
            text = next((one.draft for one in self._view().checks if one.id == check.id), "")
            self.kiosk.attempt(lambda: self._answer(view, check, text))
            self.show()

        self.app.push_screen(
            KeypadScreen(check.ask, check.wanted, check.draft, typed, done), lambda _: self.show()
        )

    def _choose_lot(self, view: StepView, check: CheckView) -> None:
        lots = self.bench.shop.lots
        options = {f"{mark}  {lots[mark].name}": mark for mark in check.choices}

        def chosen(text: str | None) -> None:
            if text is None:
                return
            mark = options.get(text, text)
            self.kiosk.attempt(lambda: self._answer(view, check, mark))
            self.show()

        self.app.push_screen(
            ChoiceScreen(check.ask, list(options), text_hint="Or scan or type its mark:"), chosen
        )

    def _move(self, view: StepView, check: CheckView | None, by: int) -> None:
        ids = [one.id for one in view.checks]
        if not ids or view.count < view.count_wanted:
            return
        at = ids.index(check.id) if check is not None else (0 if by > 0 else len(ids))
        self.chosen_check = ids[max(0, min(len(ids) - 1, at + by))]

    def _show_working(self, view: StepView) -> None:
        pages = [number_page(number) for number in view.numbers]
        self.app.push_screen(PageScreen("The working of the numbers on this step", pages))
