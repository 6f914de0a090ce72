"""Tells a scan from keys, before any screen or dialog sees either: a scan never presses and is never typed.

A label scanner is a keyboard that types faster than anybody. What is assumed of it: at most 30 ms between two
characters (common practice, no source: one every 1 to 30 ms), ended by Enter or Tab, or by nothing when there
are four or more; a key before or after them, or a symbology identifier (ISO/IEC 15424: ``]C1``), may be set
as its prefix or suffix. A terminal may deliver it as a paste instead. A scanner slower than that is somebody
typing.

So what is read is held back for :data:`GAP_S` and handed on when nothing follows. Held back, rather than
handed on and taken out again: a character of a scan that reached a field would be in the record, which
forgets nothing. Typing stays fluid: 60 ms between a key and its letter is less than an eye notices (common
practice, no source: under 100 ms), and keys that are further apart wait for nothing but that. Somebody who
rolls a letter and Enter, or four letters, each within 60 ms of the one before, is taken for a scanner: that
records nothing, is said, and is typed again.

Presses that are read together are one: of keys and taps within the gap of one another only the first counts.
"""

import re
from typing import Generic, TypeVar

from kiosk.dataclass import dataclass

GAP_S = 0.06  # between two characters of a scanner: 30 ms, and as much again for a busy machine
LEAST_ALONE = 4  # characters that make a scan though no Enter follows
LATE_END_S = 0.4  # an Enter so soon after a scan is the scanner's
LONGEST = 200  # characters of a scan that are kept; a page that was pasted is no mark
ENDS = frozenset({"enter", "tab", "ctrl+j"})  # what scanners end with; ctrl+j is the second half of CR LF
MOVES = frozenset({"up", "down", "backspace", "delete"})  # may be held down: never held back
_NEVER = float("-inf")
_SYMBOLOGY = re.compile(r"^\][A-Za-z][0-9]")

T = TypeVar("T")


@dataclass(frozen=True)
class Scan:
    """What a scanner sent, or a paste: its last line, without prefix and suffix."""

    text: str


@dataclass(frozen=True)
class _Held(Generic[T]):
    what: T
    character: str  # empty for a key that types none
    at: float


class Scans(Generic[T]):
    """Takes everything that is read, with the second at which it was, and gives what is to be handed on.

    ``T`` is what the screens are given, such as a key event. All times are seconds of one clock.
    """

    def __init__(self) -> None:
        self._held: list[_Held[T]] = []
        self._pressed_at = _NEVER  # the last press, or the end of the last scan
        self._ended_at = _NEVER  # the end of the last scan, for what else it ends with

    def key(self, key: str, character: str | None, at: float, what: T) -> list[T | Scan]:
        """A key was read, with the character that it types, if any. Gives what is now to be handed on."""
        found = self.quiet(at)
        # A space that nothing was typed before is a press: on most screens it does the big action.
        typed = character if character is not None and character.isprintable() else ""
        if len(typed) == 1 and (typed != " " or self._typed.strip()):
            self._held.append(_Held(what, typed, at))
        elif key in ENDS and self._typed.strip():
            found += self._scan()
            self._pressed_at = self._ended_at = at
        elif key in ENDS and at - self._ended_at < LATE_END_S:
            self._pressed_at = at
        elif key in MOVES:
            found += [*self._hand_on(), what]
        else:
            again, self._pressed_at = at - self._pressed_at < GAP_S, at
            if not again:
                self._held.append(_Held(what, "", at))
        return found

    def paste(self, text: str, at: float) -> list[T | Scan]:
        """Text was pasted: a scan, whatever it holds."""
        found = self._hand_on()
        self._pressed_at = at
        return found + _scan_of(text)

    def finger(self, at: float) -> bool:
        """A finger came down: whether it counts, and is no second half of a press that was read with it."""
        again, self._pressed_at = at - self._pressed_at < GAP_S, at
        return not again

    @property
    def due(self) -> float | None:
        """When what is held is to be handed on if nothing follows; None while nothing is held."""
        if not self._held:
            return None
        since = [one.at for one in self._held if one.character] or [self._held[0].at]
        return since[-1] + GAP_S

    def quiet(self, at: float) -> list[T | Scan]:
        """It is now this time and nothing more was read: gives what is to be handed on."""
        due = self.due
        return self._hand_on() if due is not None and at >= due else []

    @property
    def _typed(self) -> str:
        return "".join(one.character for one in self._held)

    def _hand_on(self) -> list[T | Scan]:
        typed = self._typed.strip()
        # One character again and again is a key that is held down.
        if len(typed) >= LEAST_ALONE and len(set(typed)) > 1:
            self._pressed_at = self._ended_at = self._held[-1].at
            return self._scan()
        held, self._held = self._held, []
        return [one.what for one in held]

    def _scan(self) -> list[T | Scan]:
        typed, self._held = self._typed, []
        return _scan_of(typed)


def _scan_of(text: str) -> list[T | Scan]:
    lines = ["".join(one for one in line if one.isprintable()).strip() for line in text.splitlines()]
    kept = [_SYMBOLOGY.sub("", line) for line in lines if line]
    return [Scan(kept[-1][:LONGEST])] if kept and kept[-1] else []
