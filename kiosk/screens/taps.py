"""Presses: which count, which are the same one again, and the id under which one is recorded."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Protocol

from kiosk.bench import new_tap
from kiosk.record.stopped import RecordingStopped

SAME_TAP_S = 0.4  # the same press again within this counts once
# A finger that bounces comes down where it was, on what has come there meanwhile; common practice, no source.
BOUNCE_S = 0.8
MOST_BOUNCES_S = 3 * BOUNCE_S  # a press that is repeated for longer is meant
_SAME_PLACE = (6, 2)  # columns and rows to each side: half of the least target
Cell = tuple[int, int]  # column and row


class Taps:
    """Every press of a key, the pedal or a target asks here whether it counts. ``clock`` gives seconds."""

    def __init__(self, pedal: str, clock: Callable[[], float] = time.monotonic) -> None:
        self.pedal = pedal
        self.clock = clock
        self.finger_at = float("inf")  # when the last finger was read
        self._finger_on: Cell | None = None  # where it came down
        self._deaf_on: Cell | None = None
        self._deaf_on_until = self._deaf_on_most = 0.0
        self._read_at: float | None = None
        self._last: tuple[str, float] = ("", 0.0)
        self._deaf_name_until: tuple[str, float] = ("", 0.0)
        self._deaf_name_most = 0.0
        self._deaf_until = 0.0
        self._hears_but: str | None = None  # the one key that it is deaf to; None: to all presses
        self._key: str | None = None  # by which the press came that is done now; None: by finger
        self._deaf_to_text_until = 0.0
        self._id = ""
        self._id_given = False
        self._unrecorded: tuple[str, str] | None = None  # what was pressed when recording stopped, and its id

    def read(self, at: float, key: str | None = None) -> None:
        """The press that is done next was read at this second, however long it waited until now, from this
        ``key``; None for a finger."""
        self._read_at, self._key = at, key

    def accept(self, name: str, *, repeats: bool = False) -> bool:
        """False for the same press again within 0.4 s: a bounced key, a held pedal, a double tap.

        Also false while deaf: the press was meant for what has just gone. ``repeats`` is for a press that may
        follow itself at once, such as an arrow.
        """
        read_at, self._read_at = self._read_at, None
        at = self.clock() if read_at is None else min(read_at, self.clock())
        last, self._last = self._last, (name, at)  # a held pedal counts from its last repeat
        if at < self._deaf_until and (self._hears_but is None or self._key in (None, self._hears_but)):
            return False
        name_until, until = self._deaf_name_until
        if name == name_until and at < until:
            self._deaf_name_until = name, min(at + BOUNCE_S, self._deaf_name_most)
            return False
        return repeats or last[0] != name or at - last[1] >= SAME_TAP_S

    def finger(self, at: float, cell: Cell) -> bool:
        """A finger came down at this second. False where it only bounced: where it was as a question opened
        or closed under it, it means neither the question nor what lies below."""
        on, self._finger_on = self._deaf_on, cell
        if on is None or at >= self._deaf_on_until:
            return True
        if any(abs(one - other) > far for one, other, far in zip(on, cell, _SAME_PLACE, strict=True)):
            self._deaf_on = None  # it went on: what comes down there again is meant
            return True
        self._deaf_on_until = min(at + BOUNCE_S, self._deaf_on_most)  # fingers that drum: all of it is one
        return False

    def deafen_to_bounces(self, *, typing: bool = False) -> None:
        """Something else comes where the last finger was: the same finger again is not meant for it.

        Where a finger is ``typing`` from now on, what it types after the second half of a double tap counts.
        """
        now = self.clock()
        if self._finger_on is not None and now - self.finger_at < BOUNCE_S:
            self._deaf_on = self._finger_on
            self._deaf_on_until = now + (SAME_TAP_S if typing else BOUNCE_S)
            self._deaf_on_most = self._deaf_on_until if typing else now + MOST_BOUNCES_S

    def deafen_to_same(self) -> None:
        """Something else is asked where the last press was: the same press at once is not its answer.

        Nobody reads a caution, or looks at a part, in less than that.
        """
        self.deafen_to_bounces()
        name, at = self._last
        now = self.clock()
        if now - at < BOUNCE_S:
            self._deaf_name_until = name, now + BOUNCE_S
            self._deaf_name_most = now + MOST_BOUNCES_S

    def deafen_to_second_half(self) -> None:
        """What is left by a press hears no second half of a double tap; by a key, it hears the other keys."""
        deaf = self.clock() < self._deaf_until
        self.deafen(SAME_TAP_S)
        self._hears_but = None if deaf else self._key

    def deafen(self, seconds: float, *, text: bool = False) -> None:
        """Take no press for so long, nor any typed text when ``text``."""
        self._hears_but = None
        until = self.clock() + seconds
        self._deaf_until = max(self._deaf_until, until)
        if text:
            self._deaf_to_text_until = max(self._deaf_to_text_until, until)

    def hears_text(self) -> bool:
        """False while typed text was meant for a screen that has gone."""
        return self.clock() >= self._deaf_to_text_until

    @property
    def id(self) -> str:
        """The id of the press being done, for the bench to record under; empty outside one."""
        self._id_given = True
        return self._id

    @contextmanager
    def press(self, what: str) -> Iterator[None]:
        """One press, done inside this block under one id.

        When recording stops, the same press of the same thing keeps its id until it goes well: it may be on
        the disk though nobody was told, and is then not recorded twice. Presses that record nothing, such as
        those that lead back to it, may come between.
        """
        kept = self._unrecorded
        again = kept is not None and kept[0] == what
        self._id = kept[1] if kept is not None and again else new_tap()
        self._id_given = False
        try:
            yield
        except RecordingStopped:
            if self._id_given:
                self._unrecorded = (what, self._id)
            raise
        else:
            if self._id_given:
                self._unrecorded = None
        finally:
            self._id = ""


class HasTaps(Protocol):
    """What a dialog asks of the app."""

    taps: Taps

    def type_below(self, character: str) -> None:
        """Type a letter on the page over which the dialog lay."""
