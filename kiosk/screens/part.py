"""One part: where it stands, and everything that can be decided about it."""

from collections.abc import Callable, Sequence

from kiosk.record.position import skipped_steps, steps_left
from kiosk.record.readiness import Block, next_blocks
from kiosk.screens.base import KioskScreen
from kiosk.screens.dialogs import ChoiceScreen, PageScreen
from kiosk.screens.page_text import ACCENT, BOLD, PLAIN, QUIET
from kiosk.screens.target import Tap
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import StepRef

LOOKS = ("Lines and sizes agree with the drawing", "Not right: raise a snag")
SKIPS = ("The plans leave it out on this part", "Done already, before the kiosk", "Not needed here")
CLEARED = "They are out of the room"


class PartScreen(KioskScreen):
    """Begin its next step alone or with others like it, decide a snag, look, skip, reopen, complete."""

    NAME = "part"

    def __init__(self, mark: str) -> None:
        super().__init__()
        self.mark = mark
        self.count = 0  # how many go together; 0 until chosen

    def taps(self) -> list[Tap]:
        """The big action depends on where the part stands."""
        return [
            Tap("big", "", "Enter", classes="big"),
            Tap("left", "Fewer", "←"),
            Tap("right", "More", "→"),
            Tap("f7", "Other…", "F7"),
            Tap("snag", "Snag", "F5"),
        ]

    def _together(self) -> tuple[str, ...]:
        marks = self.bench.standing_with(self.mark)
        where = self.bench.position(self.mark)
        if where.step is not None and where.step.batch == "no":
            return marks[:1]
        return marks

    def _marks(self) -> tuple[str, ...]:
        together = self._together()
        return together[: max(1, min(self.count or 1, len(together)))]

    def _blocks(self) -> list[Block]:
        return next_blocks(self.bench.context, self.mark)

    def draw(self) -> None:
        """Where it stands, what is open, and how many go along."""
        bench = self.bench
        kind = bench.shop.kind_of(self.mark)
        where = bench.position(self.mark)
        part = bench.state.part(self.mark)
        lines = self.lines()
        hand = bench.shop.parts[self.mark].hand
        side = f", {hand} hand" if hand != "none" else ""
        lines.add(f"{self.mark}  {kind.name}{side}   drawing {kind.drawing}", ACCENT)
        snags = bench.state.open_snags(self.mark)
        stops = self._blocks()
        big = ""
        for one in part.wants_look:
            words = f"{one.procedure}, {one.step}".replace("-", " ")
            lines.add(f"LOOK OVER: {words}", BOLD, importance=1)
            big = "LOOK IT OVER"
        for snag in snags:
            lines.add(f"HELD: {snag.text}", BOLD)
            big = "DECIDE THE SNAG"
        if part.remade:
            lines.add(f"Scrapped and remade {part.remade} times", QUIET, importance=5)
        if where.completed:
            lines.add("COMPLETE. Nothing is left to do on it.", BOLD)
        elif where.vanished:
            lines.add(f"QUESTION: the step {where.vanished!r} is gone from the procedure.", BOLD)
            big = big or "SAY WHERE TO GO ON"
        elif where.all_done:
            lines.add("ALL STEPS DONE. Look it over; completing it is your own decision.", BOLD)
            lines.add("This says that your list is done. It approves nothing as airworthy.", PLAIN)
            big = big or "IT IS COMPLETE"
        elif where.step is not None and where.procedure is not None:
            lines.add(f"{where.procedure.title}   step {where.number} of {where.of}", QUIET)
            lines.add(where.step.do, BOLD)
            work = bench.state.works.get(part.work or "")
            if work is not None:
                lines.add(f"IN HAND with {', '.join(work.marks)}", BOLD)
                big = big or "GO TO THE STEP"
            for stop in stops:
                lines.add(f"NOT NOW: {stop.text}", ACCENT, importance=1)
            if work is None and not stops:
                marks = self._marks()
                big = big or f"BEGIN ({len(marks)} part{'s' if len(marks) > 1 else ''})"
                lines.add(f"Goes along: {', '.join(marks)}", PLAIN, importance=2)
                others = len(self._together()) - len(marks)
                if others > 0:
                    lines.add(f"{others} more stand at this step: ← fewer, → more", QUIET, importance=3)
            elif stops and not snags:
                big = big or {
                    "late": "DONE AS IT SAYS",
                    "look": "SECOND LOOK",
                    "room": "ROOM IS CLEAR",
                    "room air": "READ THE ROOM",
                }.get(stops[0].kind, "")
        for skipped, reason in skipped_steps(bench.state, self.mark):
            lines.add(f"OPEN: {skipped} skipped, {reason}", BOLD, importance=1)
        left = steps_left(bench.shop, bench.state, self.mark)
        if left:
            minutes = sum(step.minutes.each for _, step in left)
            lines.add(
                f"{len(left)} steps left, about {minutes:.0f} min by the estimates", QUIET, importance=4
            )
        self.set_body(lines)
        self.face("big", big or "BACK TO THE BOARD", "Enter")
        can_batch = len(self._together()) > 1 and not stops
        self.face("left", "Fewer" if can_batch else "", "←")
        self.face("right", "More" if can_batch else "", "→")

    def do(self, action: str) -> bool:
        """The big action, how many go along, and the rarer things behind F7."""
        if action == "big":
            self._big()
        elif action in ("left", "right"):
            by = -1 if action == "left" else 1
            self.count = max(1, min(len(self._together()), (self.count or 1) + by))
        elif action == "f7":
            self._other()
        elif action == "snag":
            self.kiosk.raise_snag(self.mark)
        else:
            return False
        return True

    def _big(self) -> None:
        bench = self.bench
        where = bench.position(self.mark)
        snags = bench.state.open_snags(self.mark)
        work = bench.state.works.get(bench.state.part(self.mark).work or "")
        stops = self._blocks()
        if snags:
            self._decide(snags[0].id, snags[0].text)
        elif bench.state.part(self.mark).wants_look:
            self._look_over(bench.state.part(self.mark).wants_look[0])
        elif where.vanished:
            self.kiosk.ask_place([self.mark])
        elif where.all_done:
            bench.complete(self.mark)
            self.kiosk.say(f"Saved. {self.mark} is complete.")
        elif work is not None:
            if work.status == "unknown":
                self.kiosk.go("place")
            else:
                bench.take_up(work.id)
                bench.turn_to(work.id, self.mark)
                self.kiosk.walk(work.id)
        elif stops:
            self._clear(stops[0].kind)
        elif where.step is not None and where.procedure is not None:
            self.kiosk.walk(bench.start(self._marks(), where.procedure.id, where.step.id))
        else:
            self.kiosk.go("board")

    def _clear(self, kind: str) -> None:
        bench = self.bench
        where = bench.position(self.mark)
        if kind == "late":
            bench.answer_clock(self.mark)
        elif kind == "room" and where.procedure is not None and where.step is not None:
            bench.clear_room(where.procedure.ref(where.step))
        elif kind == "room air":
            self._read_room()
        elif kind == "look":
            self._second_look()
        else:
            self.kiosk.go("board")

    def _read_room(self) -> None:
        def humidity(first: str | None) -> None:
            if first is None:
                return

            def both(second: str | None) -> None:
                if second is not None:
                    self.kiosk.attempt(lambda: self.bench.note_conditions(float(first), float(second)))
                    self.show()

            self.app.push_screen(
                ChoiceScreen("Humidity in the room, percent", ["40", "50", "60", "70"], text_hint="Or type:"),
                both,
            )

        self.app.push_screen(
            ChoiceScreen("Temperature in the room, F", ["60", "65", "70", "75"], text_hint="Or type:"),
            humidity,
        )

    def _second_look(self) -> None:
        bench = self.bench
        names = {
            person.name: person.id for person in bench.shop.people.values() if person.id != bench.doer_id
        }

        def looker(name: str | None) -> None:
            if name not in names:
                return

            def finding(text: str | None) -> None:
                if text == LOOKS[1]:
                    self.kiosk.raise_snag(self.mark)
                elif text is not None:
                    self.kiosk.attempt(lambda: bench.hold_look([self.mark], names[name], text))
                    self.show()

            self.app.push_screen(
                ChoiceScreen(f"{name} looks at {self.mark}. What is seen?", LOOKS, text_hint="Or in words:"),
                finding,
            )

        self.app.push_screen(ChoiceScreen("Who looks? Not the one who does the work.", list(names)), looker)

    def _look_over(self, what: StepRef) -> None:
        good, bad = "It is good", "It is to do again"

        def chosen(text: str | None) -> None:
            if text in (good, bad):
                self.kiosk.attempt(lambda: self.bench.look_over(self.mark, what, good=text == good))
                self.show()

        _, done = self.bench.shop.find_step(what.procedure, what.step)
        self.app.push_screen(
            ChoiceScreen(
                f"{self.mark}: look over what was done", [good, bad], detail=[done.do if done else str(what)]
            ),
            chosen,
        )

    def _decide(self, snag: str, text: str) -> None:
        choices = ("use as is", "rework", "scrap and remake")

        def decided(decision: str | None) -> None:
            if decision not in choices:
                return

            def reasoned(reason: str | None) -> None:
                if reason is None:
                    return
                if decision == "rework":
                    self._rework_from(snag, reason)
                else:
                    self.kiosk.attempt(lambda: self.bench.decide_snag(snag, decision, reason))
                    self.show()

            self.app.push_screen(
                ChoiceScreen(
                    f"Why {decision}? Your name stands under it.",
                    ["As the plans allow", "After asking the designer", "Cannot be mended"],
                    text_hint="Or in your words:",
                ),
                reasoned,
            )

        self.app.push_screen(ChoiceScreen(f"{self.mark}: {text}", choices), decided)

    def _rework_from(self, snag: str, reason: str) -> None:
        done = self._done_steps()

        def chosen(text: str | None) -> None:
            if text in done:
                self.kiosk.attempt(lambda: self.bench.decide_snag(snag, "rework", reason, done[text]))
                self.show()

        if done:
            self.app.push_screen(ChoiceScreen("Rework from which step?", list(done)), chosen)
        else:
            self.kiosk.attempt(lambda: self.bench.decide_snag(snag, "rework", reason))
            self.show()

    def _done_steps(self) -> dict[str, StepRef]:
        """The steps recorded on this part by their words, newest first."""
        found: dict[str, StepRef] = {}
        for procedure_id, done in self.bench.state.part(self.mark).passes.items():
            for step_id in done:
                _, step = self.bench.shop.find_step(procedure_id, step_id)
                ref = StepRef(procedure_id, step_id)
                found[step.do if step else str(ref)] = ref
        return dict(reversed(found.items()))

    def _other(self) -> None:
        skip, reopen, note = "Skip the next step", "A recorded step is not so", "Write a note on it"
        drawing = "See the rib laid out"
        options = [skip, reopen, note]
        kind = self.bench.shop.kind_of(self.mark)
        if kind.written("section") is not None:
            options.insert(0, drawing)

        def chosen(text: str | None) -> None:
            if text == drawing:
                self.kiosk.attempt(lambda: self._show_rib(kind))
            elif text == skip:
                self._ask("Why is it skipped? It stays open.", SKIPS, self._skip)
            elif text == reopen:
                done = self._done_steps()
                self._ask("Which one? It and all after it are to do again.", list(done), self._reopen)
            elif text == note:
                self._ask("A note on this part", [], lambda words: self.bench.note(words, self.mark))

        self.app.push_screen(ChoiceScreen(f"{self.mark}: what else?", options), chosen)

    def _show_rib(self, kind: PartKind) -> None:
        """The plot and the sizes, as `kiosk rib` prints them."""
        # Slow to load and rarely wanted.
        from kiosk.drawing.plot import rib_plot
        from kiosk.views.text import rib_text

        rib = self.bench.shop.figures.rib(kind)
        size = self.app.size
        plot = rib_plot(rib, size.width - 4, max(10, size.height - 6))
        sizes = [(line, PLAIN) for line in rib_text(rib).splitlines()]
        self.app.push_screen(PageScreen(f"{self.mark}  {kind.name}", [[(plot, PLAIN)], sizes]))

    def _skip(self, reason: str) -> None:
        self.bench.skip(self.mark, reason)

    def _reopen(self, words: str) -> None:
        self.bench.reopen(self.mark, self._done_steps()[words], "seen not done")

    def _ask(self, title: str, options: Sequence[str], act: Callable[[str], None]) -> None:
        """Ask for one of the options or free words, then do something with the answer."""

        def given(text: str | None) -> None:
            if text is not None:
                self.kiosk.attempt(lambda: act(text))
                self.show()

        hint = "" if act == self._reopen else "In words:"
        self.app.push_screen(ChoiceScreen(title, options, text_hint=hint), given)
