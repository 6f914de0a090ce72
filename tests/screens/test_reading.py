"""What a terminal sends: bytes that are no characters are no keys, and no end of the kiosk."""

import os
from collections.abc import Iterable
from pathlib import Path

import pytest
from textual import events
from textual.message import Message
from textual.pilot import Pilot

from kiosk.crash import CRASH_FILE
from kiosk.screens.app import KioskApp
from kiosk.screens.pastes import LONGEST_S, MOST, QUIET_S, STALLED_S
from kiosk.screens.reading import PasteLost, Reading
from tests.driver import TapsClock, foot_text, press, settled
from tests.faults.closed_terminal import drawn, gone, is_up, opened
from tests.screens.moment import with_app

PASTE = b"a\x1b[200~NR-04\x1b[201~b"  # between the two marks of xterm's bracketed paste

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


def pasted(messages: Iterable[Message]) -> list[str]:
    return [one.text for one in messages if isinstance(one, events.Paste)]


def test_a_paste_is_whole_however_it_is_cut_into_reads() -> None:
    for cut in range(len(PASTE) + 1):
        reading = Reading(TapsClock())
        found = [*reading.read(PASTE[:cut]), *reading.quiet(), *reading.read(PASTE[cut:])]
        assert pasted(found) == ["NR-04"] and keys(found) == "ab"


def test_of_a_paste_that_is_too_long_the_end_is_kept() -> None:
    found = [*Reading().read(b"\x1b[200~" + b"x\n" * 100_000 + b"NR-04\x1b[201~z")]
    assert pasted(found)[0].endswith("\nNR-04") and len(pasted(found)[0]) == MOST and keys(found) == "z"


def test_a_paste_whose_end_never_comes_is_given_up() -> None:
    clock = TapsClock()
    reading = Reading(clock)
    found = [*reading.read(b"\x1b[200~NR-04")]
    clock.go(QUIET_S - 0.1)
    found += reading.quiet()
    assert not any(isinstance(one, PasteLost) for one in found)
    clock.go(0.2)
    found += reading.quiet()
    assert not any(pasted(found)) and isinstance(found[-1], PasteLost)
    assert keys(reading.read(b"a\r\x1b[201~b")) == "b", "what comes late of it is no key, its Enter neither"
    assert keys(reading.read(b"a")) == "a"


def test_what_comes_late_of_a_paste_is_no_key_until_a_pause() -> None:
    """It counted a flute, and began a step."""
    clock = TapsClock()
    reading = Reading(clock)
    found = [*reading.read(b"\x1b[200~NR-04")]
    clock.go(QUIET_S + 0.7)
    found += reading.quiet()
    for _ in range(3):
        found += [*reading.read(b"n\r"), *reading.quiet()]
        clock.go(0.4)
    assert not keys(found)
    clock.go(QUIET_S)
    assert keys(reading.read(b"a")) == "a"


def test_keys_that_are_pressed_after_a_paste_without_an_end_are_heard_at_last() -> None:
    clock = TapsClock()
    reading = Reading(clock)
    found = [*reading.read(b"\x1b[200~")]
    for _ in range(30):
        clock.go(0.5)
        found += [*reading.read(b"n"), *reading.quiet()]
    assert len(keys(found)) <= 1, "they may be of it"
    for _ in range(30):
        clock.go(0.5)
        found += [*reading.read(b"n"), *reading.quiet()]
    assert len(keys(found)) >= 60 - (LONGEST_S + STALLED_S) / 0.5 - 1


@pytest.mark.parametrize("open_first", [(), ("f5",)], ids=["page", "dialog"])
def test_a_paste_without_an_end_is_said(new_shop: Path, open_first: tuple[str, ...]) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *open_first)
        app.post_message(PasteLost())
        await settled(app, pilot)
        assert "What was pasted had no end" in foot_text(app)

    with_app(new_shop, walk)
