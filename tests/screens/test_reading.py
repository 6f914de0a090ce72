"""What a terminal sends: bytes that are no characters are no keys, and no end of the kiosk."""

import os
from collections.abc import Iterable
from pathlib import Path

import pytest
from textual import events
from textual.message import Message

from kiosk.crash import CRASH_FILE
from kiosk.screens.reading import Reading
from tests.faults.closed_terminal import drawn, gone, is_up, opened

# ISO/IEC 8859-1: one byte for each of ä, é and ü. In UTF-8 (RFC 3629) each of these bytes begins a character
# that never comes, or none at all.
LATIN_1 = {"ä": b"\xe4", "é": b"\xe9", "ü": b"\xfc"}


def keys(messages: Iterable[Message]) -> str:
    return "".join(one.character or "" for one in messages if isinstance(one, events.Key))


@pytest.mark.parametrize("byte", LATIN_1.values(), ids=LATIN_1)
def test_a_byte_of_another_encoding_is_no_key(byte: bytes) -> None:
    reading = Reading()
    assert keys(reading.read(b"nr" + byte)) == "nr"
    assert keys(reading.read(b"4")) == "4"


def test_a_character_that_comes_in_two_reads_is_whole() -> None:
    reading = Reading()
    first, rest = "ü".encode()[:1], "ü".encode()[1:]
    assert keys(reading.read(first)) == "" and keys(reading.read(rest)) == "ü"


def test_a_byte_of_another_encoding_does_not_end_the_kiosk(new_shop: Path) -> None:
    process, terminal = opened(new_shop, deaf_to_hang_up=False)
    drawn(terminal, is_up)
    os.write(terminal, b"\xfc\xe4r")
    drawn(terminal, lambda shown: b"Find:" in shown)  # the r is the beginning of a mark
    os.close(terminal)
    gone(process)
    assert not (new_shop / CRASH_FILE).exists()
