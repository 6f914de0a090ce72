"""Pastes on their way to the parser, each given to it whole: a paste whose end never comes swallows no keys.

A terminal puts a paste between two marks (xterm's bracketed paste). After the first, Textual's parser takes
everything for the paste until the second has come; where that is lost, as when a connection breaks or a
program writes a half one, it would take every key that is ever pressed.
"""

START, END = "\x1b[200~", "\x1b[201~"
QUIET_S = 1.0  # nothing more of a paste came for so long: the rest is lost
LONGEST_S = 5.0  # and where keys are pressed meanwhile
STALLED_S = 10.0  # for so long after that, what comes may still be of it
MOST = 4096  # characters that are kept of one, its last: the mark that was scanned is the last line
SEQUENCE_S = 0.1  # in which the characters of a mark follow one another


class Pastes:
    """Takes what is read, with the second at which it was, and gives what the parser may have now."""

    def __init__(self) -> None:
        self._begun_at: float | None = None  # when the paste began that has not ended; None: there is none
        self._read_at = 0.0  # when the last was read
        self._before = ""  # the last characters, in which a mark may have begun
        self._held = ""
        self._lost_at: float | None = None  # when one was given up of which more may come
        self._dropped_at: float | None = None  # when something of it came, and was dropped

    def read(self, text: str, at: float) -> str:
        """This was read."""
        if at - self._read_at > SEQUENCE_S and self._begun_at is None:
            self._before = ""
        self._read_at = at
        text = self._without_the_lost(text, at)
        found = ""
        while text:
            if self._begun_at is None:
                given, text = self._to_start(text, at)
            else:
                given, text = self._to_end(text)
            found += given
        return found

    def _without_the_lost(self, text: str, at: float) -> str:
        """What comes of a paste that was given up is no key: all up to its end, or to a pause."""
        if self._lost_at is None:
            return text
        quiet = self._dropped_at is not None and at - self._dropped_at >= QUIET_S
        if quiet or at - self._lost_at >= STALLED_S:
            self._lost_at = self._dropped_at = None
            self._held = ""
            return text
        whole = self._held + text
        end = whole.find(END)
        if end < 0:
            self._held, self._dropped_at = whole[1 - len(END) :], at
            return ""
        self._lost_at = self._dropped_at = None
        self._held = ""
        return whole[end + len(END) :]

    def _to_start(self, text: str, at: float) -> tuple[str, str]:
        """What comes before a paste with the mark of its beginning, and what comes after that."""
        whole = self._before + text
        start = whole.find(START)
        if start < 0:
            self._before = whole[1 - len(START) :]
            return text, ""
        self._begun_at = at
        ends = start + len(START) - len(self._before)
        self._before = ""
        return text[:ends], text[ends:]

    def _to_end(self, text: str) -> tuple[str, str]:
        """The end of a paste with its mark, and what comes after that."""
        whole = self._held + text
        end = whole.find(END)
        if end < 0:
            self._held = whole[-MOST:]
            return "", ""
        self._begun_at, self._held = None, ""
        return whole[max(0, end - MOST) : end] + END, whole[end + len(END) :]

    def given_up(self, at: float) -> bool:
        """Whether the end of a paste is waited for no longer: nothing of it is taken, for nobody knows what
        was pasted and what was pressed."""
        if self._begun_at is None or (at - self._read_at < QUIET_S and at - self._begun_at < LONGEST_S):
            return False
        self._begun_at, self._held, self._lost_at, self._dropped_at = None, "", at, None
        return True
