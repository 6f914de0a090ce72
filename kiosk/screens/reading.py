"""What a terminal sends, made into what Textual reads.

Textual's own drivers decode strictly, so that one byte of another encoding, as a Latin-1 console or a scanner
set to it sends, would end the kiosk. Here such a byte is no key. Keys and taps are told by Textual's parser.
"""

import codecs
from collections.abc import Iterator

from textual._xterm_parser import XTermParser
from textual.message import Message

_NO_CHARACTER = "\N{REPLACEMENT CHARACTER}"  # stands for bytes that are no UTF-8


class Reading:
    """Takes the bytes as they come, and gives the messages that they make."""

    def __init__(self) -> None:
        self._decoder = codecs.getincrementaldecoder("utf-8")("replace")
        self._parser = XTermParser()

    def read(self, data: bytes) -> Iterator[Message]:
        """These bytes were read."""
        text = self._decoder.decode(data).replace(_NO_CHARACTER, "")
        if text:  # for the parser, nothing is the end of all
            yield from self._parser.feed(text)

    def quiet(self) -> Iterator[Message]:
        """It was looked for more: what was waited for in vain, as after an Esc, is given too."""
        yield from self._parser.tick()
