"""Walking a step: cautions first, then one action, its numbers, its checks and its clock."""

from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import suppress
from functools import partial

from rich.cells import cell_len

from kiosk.catalogue import said, to_be_said
from kiosk.drawing.cells import LEAST_COLUMNS
from kiosk.plural import so_many
from kiosk.record.alike import Alike
from kiosk.record.rules import Refused
from kiosk.screens.action import BIG, Action, Shown, with_key
from kiosk.screens.all_the_same import carry_on, goes_on_unasked, next_piece, pause, put_back, turn_to
from kiosk.screens.base import Drawn, KioskScreen
from kiosk.screens.big_text import ROWS, solid_lines
from kiosk.screens.caution_pages import caution_pages
from kiosk.screens.choice import Choice, ChoiceScreen, same, words
from kiosk.screens.drawing import DRAWING_KEY, DrawingScreen
from kiosk.screens.keypad import FACES, NOT_WHOLE, TEMPERATURE_FACES, KeypadScreen, Reads, why_not_whole
from kiosk.screens.large import SecondColumn, put_headline, scale_of, whole_or_plainer
from kiosk.screens.page import Page
from kiosk.screens.page_text import ACCENT, BOLD, LONGEST_LINE, PLAIN, POINTER, QUIET, Lines, Runs
from kiosk.screens.picture_of import picture_of
from kiosk.screens.read_room import read_room
from kiosk.screens.result_page import number_page
from kiosk.shop.measures import read_number
from kiosk.shop.parts import marks_in_full
from kiosk.shop.procedure import StepRef
from kiosk.views.one_row import told_apart
from kiosk.views.step import CheckView, StepView
from kiosk.views.wording import clock_line, span

DEFERS = to_be_said("The plans, the designer and local rules come before this screen.")
TAP_WORDS = to_be_said("Drawing: tap here.")
_TO_COME, _NOTE, _FIGURE = "to come", "note", "figure"  # what is left out for want of room
LEAST_ROWS_UNDER = 11  # of a drawing under the text: in fewer its words leave their places
PICTURE_GAP = 2  # columns between the text and a drawing beside it
DEFERS_HERE = to_be_said("Plans, designer and local rules come first. F9: sources.")
FIGURE_BEGINS = frozenset("0123456789.#-")
FIGURE_GOES_ON = frozenset("0123456789./-#\"' minfthcdeg%")
DEGREES = frozenset("FfCc")  # end a temperature
_GRAVEST_FIRST = ("WARNING", "CAUTION")


class WalkScreen(KioskScreen):
    """The step in hand."""

    NAME = "walk"
    HINT = to_be_said("The plans and the designer come before this screen.")
    TELLS_WHAT_IS_LEFT_OUT = True
    OF_THE_SITTING = True

    def __init__(self, work: str) -> None:
        super().__init__()
        self.work = work
        self.chosen_check = ""
        self._pages_of: tuple[object, ...] = ()  # what the pages of cautions were made for
        self._page = 0
        self._shown: set[int] = set()  # the pages of cautions that were on the screen
        self._second = SecondColumn()
        self._asked: object = None  # what was asked at the last look
        self._answered_since: dict[tuple[str, str], str] = {}  # by part and check, since the page was drawn
        # By part, the count and what is enough of it, since the page was drawn that a press is of.
        self._counted_since: dict[str, tuple[int, str]] = {}
        # The part, trial strip and check of a figure half typed here, and what was answered there by then.
        self._typed_for: tuple[str, int, str, str] | None = None
        self._look_again = False  # what it was typed for is not asked any more
        self._looked: tuple[object, StepView] | None = None  # the step at the last look, and what it was of

    @property
    def about(self) -> str:
        """The work."""
        return self.work

    @property
    def hint(self) -> str:
        """That the plans come first, unless the page says so."""
        told = any(said(one) in self._body.text for one in (DEFERS, DEFERS_HERE))
        return "" if told else super().hint

    @property
    def is_gone(self) -> bool:
        """True once the step is in hand no more."""
        return self.work not in self.bench.state.works

    @property
    def part_shown(self) -> str:
        """The piece in hand; none once the step is no more."""
        return "" if self.is_gone else self._view().mark

    def _view(self) -> StepView:
        """The step: as it stands on the screen, while nothing was recorded since but time went on."""
        if self._looked is None or self._looked[0] != self.drawn_from:
            self._look()
        assert self._looked is not None
        return self._looked[1]

    def _look(self) -> StepView:
        view = self.bench.step_view(self.work)
        self._looked = (self.drawn_from, view)
        return view

    def _check(self, view: StepView) -> CheckView | None:
        if view.counting:
            return None
        for check in view.checks:
            if check.id == self.chosen_check:
                return check
        return view.active_check

    def tick(self) -> None:
        """The step's clock goes on."""
        super().tick()
        if not self.is_gone:
            self.show()

    def on_mount(self) -> None:
        """Once the cautions are read there are more targets than there were."""
        self.call_after_refresh(self._own.make_all)

    def asked_anew(self) -> None:
        """A figure was half typed for what is not asked any more, or answered meanwhile; or one that nobody
        typed here stands there. What comes next is not meant for that."""
        view = self._view()
        check = self._check(view)
        half_typed = _half_typed(view, check)
        if self._look_again or (half_typed == self._typed_for and not self.kiosk.typed):
            return
        self._ask_to_look()

    @property
    def subject(self) -> Collection[str]:
        """The parts in hand."""
        return () if self.is_gone else self.bench.work(self.work).marks

    def text_was_lost(self) -> None:
        """What is left of a figure is no figure."""
        view = self._view()
        check = self._check(view)
        if check is not None and check.draft and not self._look_again:
            self._keep_half_typed(view, check, "")
        self._ask_to_look()

    def _ask_to_look(self) -> None:
        self.chosen_check = self.kiosk.typed = ""
        self._look_again, self._typed_for = True, None
        self.kiosk.say(said("Another screen changed what is asked: look again."), trouble=True)
        self.show()

    def _looked_again(self) -> None:
        view = self._view()
        self._look_again, self._typed_for = False, _half_typed(view, self._check(view))

    @property
    def asks(self) -> object:
        """Two checks after each other may both be answered by YES."""
        return (super().asks, self._asked)

    def draw(self) -> Drawn:
        """The page of this step, and what the keys do now."""
        view = self._look()
        self._answered_since.clear()
        self._counted_since = {}
        check = self._check(view)
        if self._asked is None:  # what was half typed at this screen is gone on with
            self._typed_for = _half_typed(view, check)
        asked = (view.mark, view.cautions, self._page, check.id if check is not None else "", view.strips)
        if asked != self._asked:
            self._asked = asked
            self.kiosk.taps.deafen_to_same()
        status = self.bench.work(self.work).status  # perhaps cut short or paused at another screen
        unknown, paused = status == "unknown", status == "paused" and not view.too_late
        if scale_of(self.app.size) and not (view.barred or view.cautions or unknown or paused):
            return self._acted(view, check, self._large_page(view, check))
        lines = self.lines()
        self._add_heading(lines, view)
        if unknown:
            lines.add(said("STARTED, UNKNOWN: look at the part and say how it stands."), ACCENT)
            lines.add(view.do, BOLD, most=3)
            return Drawn(lines, [Action("TO THE PLACE", BIG, partial(self.kiosk.go, "place"))])
        if view.barred:
            lines.add(said("STOP: {barred}.", barred=view.barred), ACCENT)
            lines.add(view.do, BOLD, most=3)
            self._add_changed(lines, view.changes)
            to_place = Action("TO THE PLACE", BIG, partial(self.kiosk.go, "place"))
            return Drawn(lines, [to_place, *self._always(view)])
        if paused:
            lines.add(said("PAUSED: its clock stands still until you carry on."), ACCENT)
            lines.add(view.do, BOLD, most=3)
            self._add_changed(lines, view.changes)
            return Drawn(lines, [Action("CARRY ON", BIG, self._carry_on), self._snag(view)])
        if view.cautions:
            return Drawn(lines, self._cautions(lines, view))
        self._add_step(lines, view, check)
        if view.drawing:
            self._add_drawing(lines)
        return self._acted(view, check, lines)

    def _acted(self, view: StepView, check: CheckView | None, lines: Lines) -> Drawn:
        """The page with what can be done on it."""
        if view.too_late:
            to_part = Action("TIME RAN OUT", BIG, partial(self.kiosk.open_part, view.too_late))
            return Drawn(lines, [to_part, *self._always(view)])
        if self._look_again:
            looked = Action("I HAVE LOOKED", BIG, self._looked_again)
            return Drawn(lines, [looked, *self._always(view)])
        actions = self._step_actions(view, check)
        return Drawn(lines, actions, with_key(actions, DRAWING_KEY), partial(self._point, view))

    # What stands on the page

    def _large_page(self, view: StepView, check: CheckView | None) -> Lines:
        """The page of a large screen: larger figures, the step's clock and its action among them, and a
        second column."""
        columns, rows = self.app.size.width - 2, self._text_rows

        def head(lines: Lines, large_clock: bool) -> None:
            self._add_heading(lines, view, large_clock=large_clock)
            self._add_near(lines, view, large_clock=large_clock)

        def body(lines: Lines, large_clock: bool) -> None:
            self._add_step(lines, view, check, large_clock=large_clock, in_second=True)

        soon = view.near is not None or (view.first_limit is not None and view.first_limit.is_near)
        scale = scale_of(self.app.size)
        lines, below = whole_or_plainer(head, body, columns, scale, rows, clock_first=soon)
        to_type = check is not None and check.kind in ("measure", "count") and not check.draft
        do = next(at for at, one in enumerate(lines.paragraphs) if one.is_action)
        for_figure = ROWS[max(1, lines.scale)] if to_type else 0
        below = put_headline(lines, do, view.do, columns, rows - for_figure, view.other_clocks) or below
        shows = (view.mark, view.drawing, view.other_clocks)
        make = partial(self._second_column, view)
        self._second.put(lines, below, (columns, rows), self.drawn_from, shows, make)
        return lines

    def _second_column(self, view: StepView, columns: int, rows: int) -> Sequence[Runs]:
        from kiosk.screens.second_column import second_column

        work = self.bench.work(self.work)
        ahead = self.bench.ahead(view.mark, StepRef(work.procedure, work.step), (view.mark,))
        drawing = self.bench.step_drawing(self.work) if view.drawing else None
        return second_column(ahead, view.other_clocks, drawing, columns, rows)

    def _add_heading(self, lines: Lines, view: StepView, *, large_clock: bool = False) -> None:
        batch = f" · {view.in_batch}" if view.in_batch is not None and not view.in_batch.is_alone else ""
        if not batch and view.batch_left > 1:
            batch = "   " + said("{batch_left} left", batch_left=view.batch_left)
        if view.together and view.batch_left > 1:
            batch = "   " + said("{batch_left} together", batch_left=view.batch_left)
        hand = (
            said(", {hand} hand", hand=view.hand) if view.hand != "none" and "," not in view.kind_name else ""
        )
        before, end = (
            (f"{view.mark}{batch}", hand) if batch and view.in_batch else (view.mark, f"{hand}{batch}")
        )
        names = [kind.name for kind in self.bench.shop.kinds.values()]
        kind = told_apart(view.kind_name, lines.width - cell_len(f"{before}  {end}"), names)
        lines.add(f"{before}  {kind}{end}", ACCENT, most=1)
        step = said("step {number} of {of}", number=view.number, of=view.of)
        usual = clock_line(view.elapsed_s, view.estimate_minutes)
        clock = (
            ""
            if large_clock
            else "   " + said("{span} so far, {usual}", span=span(view.elapsed_s), usual=usual)
        )
        lines.row(view.procedure_title, QUIET, end=f"   {step}{clock}", importance=5)
        limits = list(view.limits)
        first = view.first_limit
        if large_clock and first is not None and lines.figures((first.figure, first.figure_unit)):
            limits[0] = first.words_beside
        for limit in limits:
            lines.add(limit, ACCENT, most=2)
        aside = [mark for mark in view.held_marks if mark != view.mark]
        if aside and not view.held:
            lines.add(
                said("Left out, held by a snag: {parts}", parts=marks_in_full(aside)),
                PLAIN,
                importance=4,
                most=1,
            )

    def _add_near(self, lines: Lines, view: StepView, *, large_clock: bool) -> None:
        """What runs out soon elsewhere is as large as what does here, unless that runs out soon too."""
        near, first = view.near, view.first_limit
        if near is None:
            return
        large = large_clock and not (first is not None and first.is_near)
        large = large and lines.figures((near.figure, near.figure_unit))
        lines.add(near.words_beside if large else near.words, ACCENT, most=2)

    def _cautions(self, lines: Lines, view: StepView) -> list[Action]:
        """The cautions, on as many pages as they need, and what can be done on this one."""
        then = self.lines()
        then.add(said("Then: {do}", do=view.do), PLAIN)
        needed = self.lines()
        for signal, text in view.cautions:
            needed.add(f"{signal}: {text}")
        if 1 + needed.rows + then.rows <= self.body_rows:
            self._add_cautions(lines, view)
            return self._caution_actions(view, tuple(text for _, text in view.cautions))
        pages = caution_pages(view.cautions, lines.width, max(1, self.body_rows - 2))
        made_for = (view.cautions, lines.width, self.body_rows)
        if self._pages_of != made_for:  # at another size or with other cautions nothing was shown yet
            self._pages_of, self._page, self._shown = made_for, 0, set()
        lines.paragraphs = lines.paragraphs[:1]
        lines.row(said("CAUTIONS   page {page} of {number}", page=self._page + 1, number=len(pages)), BOLD)
        for row, style in pages[self._page].rows:
            lines.raw(row, style)
        if self.is_current:
            self._shown.add(self._page)
        shown = tuple(text for number in sorted(self._shown) for text in pages[number].ends)
        if len(self._shown) == len(pages):
            actions = self._caution_actions(view, shown)
        else:
            actions = [Action("NEXT PAGE", BIG, partial(self._turn, 1, len(pages))), *self._always(view)]
        if self._page:
            back = partial(self._turn, -1, len(pages))
            actions.insert(1, Action("Page back", "left", back, repeats=True))
        return actions

    def _turn(self, by: int, pages: int) -> None:
        self._page = max(0, min(pages - 1, self._page + by))

    def _add_cautions(self, lines: Lines, view: StepView) -> None:
        """What each says. A large screen has the gravest in solid letters, as a whole or by its signal alone,
        as far as there is room."""
        above = len(lines.paragraphs)
        for signal, text in view.cautions:
            lines.gap()
            lines.add(f"{signal}: {text}", BOLD if signal == "CAUTION" else ACCENT)
        lines.gap()
        lines.add(said("Then: {do}", do=view.do), PLAIN)
        lines.add(said(DEFERS), QUIET, importance=8)
        if not scale_of(self.app.size):
            return
        gravest = min(view.cautions, key=lambda pair: _GRAVEST_FIRST.index(pair[0]))
        at = above + 1 + 2 * view.cautions.index(gravest)
        rows = self.body_rows - lines.rows - 1
        instead = rows + len(lines.paragraphs[at].lines)
        whole = solid_lines(": ".join(gravest), lines.width, instead // ROWS[1])
        if whole is not None and whole[1]:
            lines.paragraphs[at] = lines.solid(whole[0], ACCENT)
            return
        letters = solid_lines(gravest[0], lines.width, rows // ROWS[1])
        if letters is not None:
            lines.gap()
            lines.paragraphs.insert(above, lines.paragraphs.pop())
            lines.paragraphs.insert(above + 1, lines.solid(letters[0], ACCENT))

    def _add_step(
        self,
        lines: Lines,
        view: StepView,
        check: CheckView | None,
        *,
        large_clock: bool = False,
        in_second: bool = False,
    ) -> None:
        """The step. ``in_second`` are what comes next and the drawing, on a large screen."""
        lines.add(view.do, BOLD, most=3)
        lines.paragraphs[-1].is_action = True
        lines.add(view.why, QUIET, importance=7, most=2)
        lines.add(view.note, PLAIN, importance=6, most=2, told=_NOTE)
        if view.held:
            lines.add(said("HELD: {held}. Decide the snag on the part's page.", held=view.held), ACCENT)
        lines.add(view.lacking, ACCENT, most=2)
        if large_clock:
            lines.gap()
            self._add_large_clock(lines, view)
        elif view.counting:
            lines.big(str(view.count), caption=view.count_caption)
        if view.counting:
            if view.enough_when:
                lines.add(
                    said("Enough sooner when: {enough_when}.", enough_when=view.enough_when),
                    PLAIN,
                    importance=1,
                    most=1,
                )
        elif view.count_wanted:
            lines.add(f"[x] {view.count_words}", PLAIN, importance=2)
        warned: set[str] = set()
        for number in view.numbers:
            lines.add(f"{number.title}: {number.shown}", PLAIN, importance=2, most=1, told=_FIGURE)
            new = [warning for warning in number.warnings if warning not in warned]
            warned.update(new)  # two figures of one calculator have the same
            for warning in new:
                lines.add(f"  {warning}", ACCENT, importance=2, most=1)
        lines.add(view.strip_thickness, PLAIN, importance=4, most=2)
        lines.add(view.trial, PLAIN, importance=4, most=2)
        lines.add(view.strip_lots, PLAIN, importance=3, most=3)
        self._add_changed(lines, (*view.no_longer_asked, *view.outdated, *view.changes))
        if lines.scale > 1:
            lines.gap()
        for place, one in enumerate(view.checks):
            self._add_check(lines, one, place, here=one is check)
        after_checks = len(lines.paragraphs)
        if view.has_figures:
            lines.add(said(DEFERS_HERE), QUIET, importance=5, most=1)
        lines.add(f"{view.stop}{self._tap_words(view, lines)}", QUIET, importance=3, most=1)
        if view.next_do and not in_second:
            lines.add(said("Next: {next_do}", next_do=view.next_do), QUIET, importance=8, most=1)
        if view.tools or view.consumables:
            fetch = ", ".join((*view.tools, *view.consumables))
            lines.add(said("Tools: {fetch}", fetch=fetch), QUIET, importance=9, most=1)
        self._tell_left_out(lines, after_checks)

    def _add_changed(self, lines: Lines, changes: Sequence[str]) -> None:
        """What is not as it was when the step was begun. No caution, check in hand or action goes for it."""
        for changed in changes:
            lines.add(said("CHANGED: {changed}", changed=changed), ACCENT, importance=1, most=3)

    def _add_large_clock(self, lines: Lines, view: StepView) -> None:
        """The count and the step's clock, side by side where they have the room."""
        usual = clock_line(view.elapsed_s, view.estimate_minutes)
        clock = (span(view.elapsed_s), said("so far, {usual}", usual=usual))
        count = [(str(view.count), view.count_caption)] if view.counting else []
        if not lines.figures(*count, clock):
            for text, caption in (*count, clock):
                lines.big(text, caption=caption)

    def _tell_left_out(self, lines: Lines, at: int) -> None:
        """Say what has no room here, where it would stand: checks to come, answers given, the note."""
        left_out: list[str] = []
        for rows in (self.body_rows, self.body_rows - 1):  # saying it takes a row itself
            left_out = lines.told_left_out(rows)
            if not left_out:
                return
        open_checks = left_out.count(_TO_COME)
        answers = [one for one in left_out if one not in (_TO_COME, _NOTE, _FIGURE)]
        told = [said("{open_checks} to come", open_checks=open_checks)] if open_checks else []
        told += [said("answered: {answers}", answers=", ".join(answers))] if answers else []
        beside = [name for name in (_FIGURE, _NOTE) if name in left_out]
        if beside:
            told.append(
                said("a figure and a note: F9")
                if len(beside) > 1
                else said("a note: F9")
                if beside == [_NOTE]
                else said("a figure: F9")
            )
        lines.insert(at, f"    … {'; '.join(told)}", BOLD)

    def _tap_words(self, view: StepView, lines: Lines) -> str:
        """That a tap on the text opens the drawing, where that takes no row."""
        words = f"  {said(TAP_WORDS)}"
        return words if view.drawing and len(view.stop + words) <= min(lines.width, LONGEST_LINE) else ""

    def _add_drawing(self, lines: Lines) -> None:
        """The drawing beside the text or under it, where everything else has its room."""
        column = LONGEST_LINE + PICTURE_GAP
        columns, under = lines.width - column, self.body_rows - lines.rows
        if columns < LEAST_COLUMNS and under < LEAST_ROWS_UNDER:
            return  # a key or a tap away
        found = self.bench.step_drawing(self.work)
        if found is None or found.sketch is None:
            lines.add(said("The drawing cannot be shown; its key says why."), QUIET, importance=9, most=1)
        elif columns >= LEAST_COLUMNS:
            lines.beside(picture_of(found.sketch, columns, self.body_rows), column)
        else:
            lines.picture(picture_of(found.sketch, lines.width, under), importance=9)

    def _add_check(self, lines: Lines, check: CheckView, number: int, *, here: bool) -> None:
        pointer = POINTER if here else " "
        # On a small screen what is asked now, and what is out, stay; figures go before neither.
        importance = 0 if here or check.state_word == "OUT" else (6 if check.answered else 4)
        box = {"GOOD": "[x]", "OUT": "[!]", "TYPING": "[…]", "OPEN": "[ ]"}[check.state_word]
        style = ACCENT if here else (BOLD if check.state_word == "OUT" else PLAIN)
        given = ""
        if check.answered:
            word = "" if check.passed else " OUT"
            given = f"  {check.answer}{word}"
        wanted = f"  ({check.wanted})" if check.kind != "yes_no" else ""
        lines.add(
            f"{pointer}{box} {check.ask}{wanted}{given}",
            style,
            importance=importance,
            most=2,
            told=given.strip() or _TO_COME,
            of=number,
        )
        if check.none_in_stock:
            none = said("No lot of the stock is {wanted}. Take no other.", wanted=check.wanted)
            lines.add(none, BOLD, importance=importance, indent="    ", of=number)
        if here and check.kind in ("measure", "count") and check.draft:
            lines.big(check.draft, caption=said("▌ half typed"), importance=1)
        elif check.elsewhere:
            theirs = said("{figure} is half typed at another screen.", figure=check.elsewhere)
            lines.add(theirs, QUIET, importance=4, indent="    ", of=number)

    # What can be done

    def _caution_actions(self, view: StepView, shown: tuple[str, ...]) -> list[Action]:
        def read() -> None:
            self.bench.acknowledge(self.work, tap=self.tap, shown=shown)

        return [
            Action("I HAVE READ THESE", BIG, read),
            Action("Put back", "f7", self._put_back),
            *self._always(view),
        ]

    def _step_actions(self, view: StepView, check: CheckView | None) -> list[Action]:
        """Done is far from undo; what stands between them depends on the check."""
        actions = self._main(view, check)
        if view.enough:
            actions.append(Action("Count on", "right", partial(self._count_on, view)))
        if view.can_try_again:
            again = partial(self._try_again, view)
            shown: Shown = "key" if self._trial_goes_on(view) else "always"
            actions.append(Action(said("Another {trial}", trial=view.trial_of), "f7", again, shown=shown))
        elif view.other_pieces and not view.together:
            actions.append(Action("Other piece", "f7", lambda: self._other_piece(self._view())))
        elif not view.held and not (view.count or view.enough or any(one.answered for one in view.checks)):
            actions.append(Action("Put back", "f7", self._put_back))
        actions += self._always(view)
        label = said("Working") if view.numbers else said("Sources")
        actions.insert(-1, Action(label, "f9", lambda: self._show_working(view), shown="roomy"))
        if view.drawing:
            actions.append(Action("Drawing", DRAWING_KEY, lambda: self._show_drawing(view), shown="key"))
        if view.checks and not view.counting:
            for key, by in (("up", -1), ("down", 1)):
                move = partial(self._move, view, check, by)
                actions.append(Action("Check", key, move, shown="key", repeats=True))
        if len(view.checks) > 1 and not view.counting:
            actions.append(Action("Another check", "", partial(self._ask_check, view), shown="key"))
        return actions

    def _always(self, view: StepView) -> list[Action]:
        return [Action("Pause", "f12", self._pause, shown="wide"), self._snag(view)]

    def _snag(self, view: StepView) -> Action:
        return Action("Snag", "f5", partial(self._raise_snag, view))

    def _raise_snag(self, view: StepView) -> None:
        self.kiosk.ask_snag(view.batch_marks if view.together else (view.mark,))

    def _main(self, view: StepView, check: CheckView | None) -> list[Action]:
        """The big target, and the one that answers the same question otherwise."""
        if view.counting and not view.held:
            return self._counting(view)
        if check is not None and not view.counting:
            return self._answering(view, check)
        if self._trial_goes_on(view):
            again = partial(self._try_again, view)
            trial, wanted = view.trial_of.upper(), view.trials_wanted
            more = said("ANOTHER {trial} ({wanted} more wanted)", trial=trial, wanted=wanted)
            return [Action(more, BIG, again), Action("Done with these", "f8", lambda: self._end_trial(view))]
        if view.can_finish:
            return [Action(done_words(view), BIG, lambda: self._finish(view))]
        held = view.mark if view.mark in view.held_marks else next(iter(view.held_marks), view.mark)
        actions = [Action("LOOK AT THE SNAG", BIG, lambda: self.kiosk.open_part(held))]
        if view.together and 0 < len(view.held_marks) < view.batch_left:
            without = partial(self.bench.split_batch, view.held_marks)
            label = said("Without {parts}", parts=marks_in_full(view.held_marks))
            actions.append(Action(label, "f8", lambda: without(tap=self.tap)))
        return actions

    @staticmethod
    def _trial_goes_on(view: StepView) -> bool:
        """True while so few trials are done that they say nothing: the next is then the thing to do."""
        return view.can_try_again and view.can_finish and view.trials_wanted > 0

    def _counting(self, view: StepView) -> list[Action]:
        since = self._counted_since

        def by(more: int) -> Callable[[], None]:
            return lambda: self._count(view, since, lambda count: count + more)

        def enough() -> None:
            at, _ = _counted(view, since)
            self.bench.say_enough(self.work, view.mark, at, tap=self.tap)
            since[view.mark] = at, view.enough_when
            self.kiosk.say(said("Saved: {count}.", count=self._view().count_words))

        # Where the number is the most, the page says so; the target has neighbours and little room.
        next_one, of = view.count + 1, view.count_wanted
        one_more = said("ONE MORE ({number} of {of})", number=next_one, of=of)
        if view.enough_when:
            one_more = said("ONE MORE ({number})", number=next_one)
        actions = [Action(one_more, BIG, by(1))]
        if view.enough_when:
            actions.append(Action(said("ENOUGH AT {number}", number=view.count), "right", enough))
        if view.count:
            actions.append(Action("One less", "f8", by(-1)))
        if view.in_batch is not None and view.count_wanted - view.count > 1:
            shown: Shown = "key" if view.enough_when else "always"  # the row is full there
            count_all = partial(self._count, view, since, lambda _: of)
            all_of_them = partial(self._ask_all, view, count_all)
            everything = Action(said("ALL {number}", number=of), "up", all_of_them, shown=shown)
            actions.append(everything)
        return actions

    def _count(self, view: StepView, since: dict[str, tuple[int, str]], to: Callable[[int], int]) -> None:
        """Count from what is shown. Two presses may come before the page is drawn anew: what the first one
        counted is no other screen's."""
        seen = _counted(view, since)
        now = to(seen[0])
        self.bench.count(self.work, view.mark, now, tap=self.tap, in_place_of=seen)
        since[view.mark] = now, ""

    def _ask_all(self, view: StepView, count_all: Callable[[], None]) -> None:
        """Once more in words: what stands in the record as counted, nobody may have looked at one by one."""
        of = {"number": view.count_wanted, "of": view.count_of}
        alike = self.bench.alike(self.work)
        if view.together and view.batch_left > 1:
            parts = marks_in_full(view.batch_marks)
            title = said("Are all {number} {of} done, on each of {parts}?", parts=parts, **of)
        else:
            title = said("Are all {number} {of} done on {mark}?", mark=view.mark, **of)
        everything = said("All {number} are done", number=view.count_wanted)
        choices: list[Choice[Callable[[], None] | None]] = [
            Choice(said("Not yet: go on one by one"), None),
            Choice(everything, count_all),
        ]
        if alike is not None:
            choices[1] = Choice(said("{words}, on {mark} alone", words=everything, mark=view.mark), count_all)
            parts = marks_in_full(alike.marks)
            label = said("{words}, on each of {parts}", words=everything, parts=parts)
            choices.append(Choice(label, partial(self._count_each, view, alike)))
        dialog = ChoiceScreen(title, choices, detail=[said("So far: {count}.", count=view.count_words)])
        self.kiosk.ask(dialog, lambda chosen: chosen() if chosen is not None else None)

    def _count_each(self, view: StepView, alike: Alike) -> None:
        self.bench.count_each(self.work, alike, view.count_wanted, self.tap)
        self._said_of_each(view, alike)

    def _ask_each(self, view: StepView, check: CheckView, alike: Alike) -> None:
        """Once more in words, as with the counts: of each part the record then says that it was looked at."""
        answer, parts = _wanted(check), marks_in_full(alike.marks)
        label = said("{answer} on each of the {number}", answer=answer, number=len(alike.marks))
        if alike.ends:
            label = said("{words}, and the step is done", words=label)
        choices = [
            Choice(said("Not yet: go on one by one"), False),
            Choice(label, True),
        ]
        title = said("{ask} {answer} on each of {parts}?", ask=check.ask, answer=answer, parts=parts)
        dialog = ChoiceScreen(title, choices, detail=[said("Say it of parts that you looked at one by one.")])
        each = partial(self._answer_each, view, check, alike)
        self.kiosk.ask(dialog, lambda looked: each() if looked else None)

    def _answer_each(self, view: StepView, check: CheckView, alike: Alike) -> None:
        self.bench.answer_each(self.work, alike, check.id, check.wanted, self.tap)
        self.chosen_check = ""
        self._said_of_each(view, alike)

    def _said_of_each(self, view: StepView, alike: Alike) -> None:
        """Something was recorded of each of some parts; those that wanted nothing else are done."""
        self.kiosk.say(said("Saved on each of {parts}.", parts=marks_in_full(alike.marks)))
        if alike.ends:
            self._finish(view, f"{self.tap}/done", alike.marks[1:])

    def _answering(self, view: StepView, check: CheckView) -> list[Action]:
        def answer(text: str) -> Callable[[], None]:
            return lambda: self._answer_on_the_way(view, check, text)

        done = f", {done_words(view)}" if self._ends_with(view, check) else ""
        if check.kind == "yes_no" and check.wanted == "no":
            return [
                Action(said("NO") + done if done else said("NO, AS WANTED"), BIG, answer("no")),
                Action("YES", "f8", answer("yes")),
                *self._on_each(view, check),
            ]
        if check.kind == "yes_no":
            yes = said("YES") + done if done else said("YES, SEEN SO")
            actions = [Action(yes, BIG, answer("yes")), Action("NO", "f8", answer("no"))]
            return [*actions, *self._on_each(view, check)]
        if check.kind == "lot":
            return [Action("CHOOSE THE MARK", BIG, lambda: self._choose_lot(view, check))]
        keypad = Action("Keypad", "f8", lambda: self._keypad(view, check))
        if check.reads_room:
            return [Action("READ THE ROOM", BIG, partial(read_room, self.kiosk)), keypad]
        if check.draft:
            why = why_not_whole(_reads(check), check.draft)
            if why:
                tell = partial(self.kiosk.say, said("NOT DONE: {why}", why=why), trouble=True)
                return [Action(said(NOT_WHOLE), BIG, tell), keypad]
            record = said("RECORD {figure}", figure=check.draft) + done
            return [Action(record, BIG, answer(check.draft)), keypad]
        return [Action("TYPE THE FIGURE", BIG, keypad.deed), keypad]

    def _on_each(self, view: StepView, check: CheckView) -> Iterator[Action]:
        """For who looked at all the parts in hand before coming to the screen."""
        alike = None if view.enough else self.bench.alike(self.work, check.id)
        if alike is not None:  # the key counts on where there is enough
            label = said("ALL {number}: {answer}", number=len(alike.marks), answer=_wanted(check))
            yield Action(label, "right", partial(self._ask_each, view, check, alike))

    # Typed and scanned

    @property
    def has_text(self) -> bool:
        """The figure of the check in hand, as far as it is typed."""
        with suppress(Refused):
            check = self._check(self._view())
            return check is not None and bool(check.draft) and not self._look_again
        return False

    def take_text(self, character: str) -> bool:
        """Figures go to the check in hand; anything else begins a part mark."""
        try:
            view = self._view()
        except Refused:
            return False
        check = self._check(view)
        if view.cautions or view.barred or check is None or check.kind not in ("measure", "count"):
            return False
        if self._look_again:
            return True
        if character == "," and check.draft:
            self.kiosk.say(
                said("A point stands before the decimals: {draft}.5", draft=check.draft), trouble=True
            )
            self.show()
            return True
        goes_on = FIGURE_GOES_ON | DEGREES if check.unit == "F" else FIGURE_GOES_ON
        allowed = goes_on if check.draft else FIGURE_BEGINS
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
        self._keep_half_typed(view, check, text)
        self.show()

    def _keep_half_typed(self, view: StepView, check: CheckView, text: str) -> None:
        def keep() -> None:
            before, taken_in = self.drawn_from, self.bench.taken_in
            self.bench.type_draft(self.work, view.mark, check.id, text, strip=view.strips)
            if self.bench.taken_in == taken_in:  # no other act came in with it
                self._second.stands(before, self.drawn_from)  # a digit stands nowhere there

        self.kiosk.attempt("draft", keep)
        self.chosen_check = check.id if text else ""  # whatever others answer before it
        self._typed_for = (view.mark, view.strips, check.id, check.answer) if text else None

    def scanned(self, text: str) -> None:
        """A scanned lot is looked up on the lots that this step asks for, to be taken by a press."""
        view = self._view()
        check = self._check(view)
        if view.cautions or view.barred or check is None or check.kind != "lot":
            super().scanned(text)
        elif text.upper() in check.choices:
            self._choose_lot(view, check, check.choices.index(text.upper()))
        elif text.upper() in self.bench.shop.lots:
            self.kiosk.say(
                said(
                    "{text} is not what this step asks for: {wanted}.", text=text.upper(), wanted=check.wanted
                ),
                trouble=True,
            )
        else:
            super().scanned(text)

    def typed_does(self, text: str) -> tuple[str, str]:
        """Where a lot is asked for, what is typed may be the mark of one."""
        check = self._check(self._view())
        lot = text.upper()
        if check is not None and check.kind == "lot" and lot in self.bench.shop.lots:
            return said("RECORD {mark}", mark=lot), said("Enter records {mark}", mark=lot)
        return super().typed_does(text)

    def entered(self, text: str) -> None:
        """A typed lot answers the lot check; a part mark goes to the part."""
        view = self._view()
        check = self._check(view)
        if self._look_again:
            return
        if check is not None and check.kind == "lot" and text.upper() in self.bench.shop.lots:
            self.kiosk.attempt(f"lot {text}", lambda: self._answer(view, check, text))
            self.show()
        else:
            super().entered(text)

    # What is done

    def _ends_with(self, view: StepView, check: CheckView) -> bool:
        """True for the one answer that a part of a batch still wants: the same press then says that it is
        done, as the target says."""
        waits = [one for one in view.checks if not one.answered or not one.passed]
        return view.in_batch is not None and waits == [check] and not (view.trial_of or view.held)

    def _answer_on_the_way(self, view: StepView, check: CheckView, text: str) -> None:
        """Answer; a part of a batch is done with the last answer that it wants, as the target says."""
        ends = self._ends_with(view, check)
        self._answer(view, check, text)
        if ends and self.work in self.bench.state.works:
            now = self._view()
            if now.mark == view.mark and now.can_finish:
                self._finish(now, f"{self.tap}/done")

    def _answer(self, view: StepView, check: CheckView, text: str) -> None:
        # Two presses may come before the page is drawn anew: the first one's answer is no other screen's.
        seen = self._answered_since.get((view.mark, check.id), check.answer)
        self.bench.answer(
            self.work, view.mark, check.id, text, tap=self.tap, in_place_of=seen, strip=view.strips
        )
        work = self.bench.state.works.get(self.work)
        piece = work.piece(view.mark) if work is not None else None
        if piece is not None and check.id in piece.answers:
            self._answered_since[view.mark, check.id] = piece.answers[check.id].text
        self.chosen_check, self._typed_for = "", None
        after = next((one for one in self._view().checks if one.id == check.id), None)
        if after is not None and not after.answer:  # by the press before, of which nothing was told
            self.kiosk.say(said("Recorded already. Look at what is asked now."))
        elif after is not None and not after.passed:
            self.kiosk.say(
                said(
                    "{text} is not as wanted ({wanted}). Do it again, or F5 snag.",
                    text=text,
                    wanted=after.wanted,
                ),
                trouble=True,
            )
        else:
            self.kiosk.say(said("Saved."))

    def _finish(self, view: StepView, tap: str = "", others: Sequence[str] = ()) -> None:
        """Say that it is done, and on others with it; ``tap`` where the same press was recorded as an answer
        before."""
        done = self.bench.work(self.work).ref
        self.bench.finish(self.work, view.mark, tap=tap or self.tap, others=others)
        self.chosen_check = ""
        odd = self._odd_strip() if view.trial_of else ""
        if view.in_batch is not None:
            self._go_on(view, odd, done, others)
        elif self._runs():
            self._say_saved(odd, said("{mark} is done; take the next piece.", mark=view.mark))
            self._next_piece()
        else:
            self._say_saved(odd, said("This step is done."))
            self.kiosk.go("place")

    def _end_trial(self, view: StepView) -> None:
        """End a trial with fewer strips than tell anything: the key was NO a moment before."""
        wanted = so_many(view.trials_wanted, "more is wanted", "more are wanted")
        title = said("End the trial already? {wanted}.", wanted=wanted)
        choices = [Choice(said("Go on with it"), False), Choice(said("End it with these"), True)]

        def chosen(end: bool) -> None:
            if end:
                self._finish(self._view())

        self.kiosk.ask(ChoiceScreen(title, choices), chosen)

    def _next_piece(self) -> None:
        next_piece(self.kiosk, self.work, partial(self.kiosk.go, "place"))

    def _say_saved(self, odd: str, told: str) -> None:
        """Say what was saved; in its place what is odd about a trial strip."""
        self.kiosk.say(said("Saved. {told}", told=odd or told), trouble=bool(odd))

    def _go_on(self, view: StepView, odd: str, step: StepRef, others: Sequence[str]) -> None:
        """What follows for a batch: the next piece in hand, what goes straight on, or the place card with the
        next step of the same batch as its big action."""
        if self._runs():
            after = self._view()
            in_batch = after.in_batch or said("alone")
            done = marks_in_full((view.mark, *others))
            place = {"mark": done, "next_mark": after.mark, "in_batch": in_batch}
            self._say_saved(odd, said("{mark} is done; now {next_mark}, {in_batch}.", **place))
            self._next_piece()
            return
        going = self.bench.batch_goes_on(view.mark)
        if going is not None and goes_on_unasked(self.kiosk, going):
            on = {"mark": view.mark, "next_mark": going.marks[0]}
            told = said("{mark} is done; now {next_mark}.", **on)
            if going.marks[0] == view.mark:
                told = said("{mark} goes straight on.", mark=view.mark)
            self._say_saved(odd, told)
            ref = going.procedure.ref(going.step)
            tap = f"{self.tap}/next"
            self.kiosk.walk(self.bench.begin_batch(going.marks, ref.procedure, ref.step, tap=tap))
            return
        parts = marks_in_full(view.batch_marks if view.together else (view.mark, *others))
        if (
            view.in_batch is not None
            and not view.in_batch.is_alone
            and (going is None or not (going.behind or going.procedure.ref(going.step) == step))
        ):
            parts = said("all {number}", number=view.in_batch.of)
        self._say_saved(odd, said("This step is done on {parts}.", parts=parts))
        self.kiosk.go("place")

    def _odd_strip(self) -> str:
        from kiosk.views.trial import told_when_saved  # a start without strips does without

        return told_when_saved(self.bench.state)

    def _try_again(self, view: StepView) -> None:
        self.bench.another_trial(self.work, view.mark, tap=self.tap)
        self.chosen_check = ""
        self._say_saved(self._odd_strip(), said("Now the next {trial}.", trial=view.trial_of))

    def _count_on(self, view: StepView) -> None:
        """It was not enough after all: what was said is taken back, and the count stays."""
        self._count(view, self._counted_since, lambda count: count)

    def _runs(self) -> bool:
        work = self.bench.state.works.get(self.work)
        return work is not None and work.status == "running"

    def _carry_on(self) -> None:
        carry_on(self.kiosk, self.work, lambda: None)

    def _pause(self) -> None:
        def paused() -> None:
            self.kiosk.say(said("Paused. Its clock stands still until you carry on."))
            self.kiosk.go("place")

        pause(self.kiosk, self.work, paused)

    def _put_back(self) -> None:
        put_back(self.kiosk, self.work, partial(self.kiosk.go, "place"))

    def _other_piece(self, view: StepView) -> None:
        """Which piece next, of those that nothing holds; or the one in hand out of hand again."""

        def chosen(mark: str) -> None:
            if mark:
                turn_to(self.kiosk, self.work, mark)
                return
            self.bench.put_back(self.work, [view.mark], tap=self.tap)
            self.kiosk.say(said("Put back {mark} as not begun; the others go on.", mark=view.mark))

        choices = same(view.other_pieces)
        if view.may_put_back and not view.held:
            choices.append(Choice(said("Put {mark} back as not begun", mark=view.mark), ""))
        dialog = ChoiceScreen(said("Which piece next?"), choices, goes=True, by_scan=True)
        self.kiosk.ask(dialog, chosen)

    def _keypad(self, view: StepView, check: CheckView) -> None:
        keep = partial(self._keep_half_typed, view, check)
        faces = TEMPERATURE_FACES if check.unit == "F" else FACES
        dialog = KeypadScreen(f"{check.ask}: {check.wanted}", _reads(check), check.draft, keep, faces)
        self.kiosk.ask(dialog, partial(self._answer, view, check), held=True)

    def _choose_lot(self, view: StepView, check: CheckView, at: int | None = None) -> None:
        lots = self.bench.shop.lots
        choices = [Choice(f"{mark}  {lots[mark].name}", mark) for mark in check.choices]
        none = said(
            "Nothing in shop.yaml fits: {wanted}. Add what you have to its lots.", wanted=check.wanted
        )
        detail = () if choices else (none,)
        hint = words(said("Or scan or type its mark:"))
        key = f"lot/{view.mark}/{self.bench.work(self.work).ref}/{check.id}"
        dialog = ChoiceScreen(check.ask, choices, detail=detail, words=hint, by_scan=True, kept_as=key)
        dialog.at = at
        self.kiosk.ask(dialog, partial(self._answer, view, check), held=True)

    def _move(self, view: StepView, check: CheckView | None, by: int) -> None:
        ids = [one.id for one in view.checks]
        at = ids.index(check.id) if check is not None else (0 if by > 0 else len(ids))
        self.chosen_check = ids[max(0, min(len(ids) - 1, at + by))]

    def _ask_check(self, view: StepView) -> None:
        """Which check is to be answered now, or again."""
        choices = [Choice(f"{one.ask}  {one.answer}".strip(), one.id) for one in view.checks]
        self.kiosk.ask(ChoiceScreen(said("Which check?"), choices, goes=True), self._choose_check)

    def _choose_check(self, check: str) -> None:
        self.chosen_check = check

    def _point(self, view: StepView, number: int) -> Action | None:
        """A finger on a check chooses it; on the one that is asked now it is a tap on the page."""
        check = view.checks[number]
        if view.counting or check == self._check(view):
            return None
        return Action("Check", "", partial(self._choose_check, check.id), repeats=True)

    def _show_drawing(self, view: StepView) -> None:
        found = self.bench.step_drawing(self.work)
        if found is not None:
            self.kiosk.ask(DrawingScreen(view.mark, found), lambda _: None)

    def _show_working(self, view: StepView) -> None:
        pages: list[Page] = [*map(number_page, view.numbers), _where_from(view)]
        title = (
            said("The working of the numbers on this step") if view.numbers else said("Where this comes from")
        )
        self.kiosk.read(title, pages)


def _half_typed(view: StepView, check: CheckView | None) -> tuple[str, int, str, str] | None:
    """The part, trial strip and check of the figure that is half typed at this screen, and what is answered
    there."""
    return (view.mark, view.strips, check.id, check.answer) if check is not None and check.draft else None


def _wanted(check: CheckView) -> str:
    """The answer that is wanted of one who looks, as on its key."""
    return said("NO") if check.wanted == "no" else said("YES")


def _counted(view: StepView, since: dict[str, tuple[int, str]]) -> tuple[int, str]:
    """The count of the part, and what is enough of it: as shown, or as counted here since."""
    return since.get(view.mark, (view.count, view.enough))


def _reads(check: CheckView) -> Reads:
    """How a figure typed for a check is read."""
    return partial(read_number, unit=check.unit or "count")


def done_words(view: StepView) -> str:
    """What DONE does, plain from two metres: with this part, and what comes after it."""
    if view.together and view.batch_left > 1:
        return said("DONE, ALL TOGETHER")
    if view.then in ("next piece", "next part"):
        return said("DONE, THEN {mark}", mark=view.then_mark)
    if view.then == "straight on":
        return said("DONE, STRAIGHT ON")
    return said("DONE, THE LAST") if view.then == "last" else said("DONE")


def _where_from(view: StepView) -> Page:
    """Where a step comes from: what comes before it, its reason, its procedure's sources."""
    return [
        (said("Where this comes from"), BOLD),
        (said(DEFERS), ACCENT),
        (
            said(
                "{procedure_title}, revision {revision}: {revision_reason}",
                procedure_title=view.procedure_title,
                revision=view.revision,
                revision_reason=view.revision_reason,
            ),
            PLAIN,
        ),
        *((said("Why: {text}", text=text), PLAIN) for text in (view.why, view.note) if text),
        *((said("Source: {text}", text=text), QUIET) for text in view.sources),
    ]
