"""What a terminal sends, made into what Textual reads.

Textual's own drivers decode strictly, so that one byte of another encoding, as a Latin-1 console or a scanner
set to it sends, would end the kiosk; and a paste that has no end takes every key after it. Here such a byte
is no key, and such a paste is given up. Keys and taps are told by Textual's parser.
"""

import codecs
import time
from collections.abc import Callable, Iterator

from textual._xterm_parser import XTermParser
from textual.message import Message

from kiosk.screens.pastes import END, Pastes

_NO_CHARACTER = "\N{REPLACEMENT CHARACTER}"  # stands for bytes that are no UTF-8


class PasteLost(Message):
    """The end of a paste did not come: nothing of it is taken."""


class Reading:
    """Takes the bytes as they come, and gives the messages that they make."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._decoder = codecs.getincrementaldecoder("utf-8")("replace")
        self._pastes = Pastes()
        self._parser = XTermParser()

    def read(self, data: bytes) -> Iterator[Message]:
        """These bytes were read."""
        text = self._decoder.decode(data).replace(_NO_CHARACTER, "")
        text = self._pastes.read(text, self._clock())
        if text:  # for the parser, nothing is the end of all
            yield from self._parser.feed(text)

    def quiet(self) -> Iterator[Message]:
        """It was looked for more: what was waited for in vain, as after an Esc, is given too."""
        yield from self._parser.tick()
        if self._pastes.given_up(self._clock()):
            yield from self._parser.feed(END)
            yield PasteLost()


def raise_in_app(error: Exception) -> None:
    """Have a fault of the thread that reads be one of the app, which says so and keeps where it happened."""
    raise error
