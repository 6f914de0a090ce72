"""The calm card over whatever stands on a wall screen that nobody works at. Any press lifts it."""

from contextlib import suppress
from dataclasses import replace
from typing import cast

from textual.app import ComposeResult
from textual.widgets import Static

from kiosk.catalogue import said, to_be_said
from kiosk.errors import KioskError
from kiosk.plural import so_many
from kiosk.record.stopped import RecordBusy, RecordingStopped
from kiosk.screens.big_text import scale_that_fits, solid_rows
from kiosk.screens.kiosk import Kiosk
from kiosk.screens.opaque import OpaqueScreen
from kiosk.screens.page_text import Lines
from kiosk.screens.put_text import put_text
from kiosk.screens.rows import Rows
from kiosk.screens.strip import Strip
from kiosk.views.calm import CalmCard, calm_card
from kiosk.views.clocks import every_clock
from kiosk.views.place_card import PlaceCard
from kiosk.views.wording import time_of_day

LOOK_S = 1.0  # how often the clocks are looked at: they are shown to the second at the shortest
PLACE_S = 300.0  # how often the place is looked up where nothing is seen to move it: quiet hours, another day
CALM = "#9a9a9a"  # on black 7.5:1, and not a lamp in a dark garage
CALM_BOLD = "bold #b4b4b4"
CALM_DIGITS = "#c0b030"
WAKES = to_be_said("Touch, a key, the pedal or a scan brings it back, and does nothing else.")
OTHER_ROWS = 7  # beside the digits, before those grow


class CalmScreen(OpaqueScreen[None]):
    """Says little, in dim colours, and asks for nothing. The screen or dialog beneath it stays as it was."""

    def __init__(self) -> None:
        super().__init__()
        self._shown: object = None
        self._place: tuple[object, PlaceCard | None] = (None, None)

    @property
    def kiosk(self) -> Kiosk:
        """The app, as far as a screen knows it."""
        return cast(Kiosk, self.app)

    def compose(self) -> ComposeResult:
        """The time, what is called out, the card."""
        yield Static(id="head", markup=False)
        yield Strip()
        yield Rows(id="body")

    def on_mount(self) -> None:
        """Show what is so, and go on looking."""
        self.call_after_refresh(self.settle)
        self.set_interval(LOOK_S, self.look)

    def settle(self) -> None:
        """Other digits fit now."""
        self.show()

    def look(self) -> None:
        """Take in what other screens wrote. What has to be seen at once, such as a full disk, wakes."""
        if not self.is_current:
            return
        try:
            self.kiosk.bench.refresh()
        except RecordBusy:
            return
        except RecordingStopped as error:
            self.kiosk.wake()
            self.kiosk.recording_stopped(error, pressed=False)
            return
        if self.kiosk.tell_record_trouble():
            self.kiosk.wake()
            return
        self.show()

    def show(self) -> None:
        """Draw the card, if it is another than the one that stands there."""
        if not self.query("#body"):
            return
        bench = self.kiosk.bench
        context = bench.context
        # A limit that is missed and a wait that is over move the place as a press does.
        now = int(context.monotonic_s // PLACE_S)
        made_for = (context.state.seq, now, tuple(one.stands for one in every_clock(context)))
        if self._place[0] != made_for:
            place = None
            with suppress(KioskError):
                place = bench.place_card()
            self._place = (made_for, place)
        card = calm_card(context, self._place[1], left_alone=bench.is_left_alone)
        said = self.query_one(Strip).said
        card = replace(card, others=tuple(text for text in card.others if text not in said))
        body = self.query_one("#body", Rows)
        looks = (card, time_of_day(bench.now), body.size)
        if looks == self._shown:
            return
        self._shown = looks
        put_text(self.query_one("#head", Static), f"{looks[1]:>{max(0, self.app.size.width - 2)}}")
        lines = _lines(card, self.app.size.width - 2, body.size.height)
        body.put(lines.whole_rows(max(4, body.size.height)))


def _lines(card: CalmCard, columns: int, rows: int) -> Lines:
    """The card on so many columns and rows, with as many of the other clocks as leave nothing else out."""
    for others in range(len(card.others), -1, -1):
        lines = _with_clocks(card, others, columns, rows)
        if lines.is_whole(rows):
            break
    return lines


def _with_clocks(card: CalmCard, shown: int, columns: int, rows: int) -> Lines:
    """The words first, and the digits as large as is left. It is said how many clocks are not ``shown``."""
    lines = Lines(columns)
    lines.add(card.heading, CALM_BOLD, most=2)
    if card.figure:
        others = min(len(card.others), 3)
        scale = scale_that_fits(card.figure, columns - len(card.unit) - 2, rows - OTHER_ROWS - others)
        digits = (solid_rows(card.figure, scale) if scale else None) or (card.figure,)
        tails = [""] * (len(digits) - 1) + [f"  {card.unit}" if card.unit else ""]
        lines.gap()
        lines.picture(
            [[(row, CALM_DIGITS), (tail, CALM_BOLD)] for row, tail in zip(digits, tails, strict=True)]
        )
        lines.gap()
    lines.add(card.until, CALM_BOLD)
    for number, text in enumerate(card.others[:shown]):
        lines.add(text, CALM, importance=1 + number, most=1)
    if more := len(card.others) - shown:
        lines.add(said("and {more_clocks}", more_clocks=so_many(more, "more clock", "more clocks")), CALM)
    lines.gap()
    lines.add(card.running, CALM, importance=2, most=1)
    lines.add(
        said("The place is kept: {place}", place=card.place) if card.place else said("The place is kept."),
        CALM,
        most=2,
    )
    lines.add(said(WAKES), CALM, importance=1)
    return lines
