"""What does not show is refused in files and made visible in what is printed.

Held to Python's own copy of the Unicode Character Database (categories Cc, Cf, Cs, Zl, Zp).
"""

import unicodedata

import pytest

from kiosk.shop.characters import first_hidden, name_of, visible

SEEN = {0x600, 0x601, 0x602, 0x603, 0x604, 0x605, 0x6DD, 0x70F, 0x890, 0x891, 0x8E2, 0x110BD, 0x110CD}
RESERVED = {0x2065, *range(0xE0002, 0xE0020), *range(0x13439, 0x13460)}  # assigned later, or not yet


def test_every_character_that_unicode_calls_control_or_format_is_found() -> None:
    hidden = {"Cc", "Cf", "Cs", "Zl", "Zp"}
    for code in range(0x110000):
        character = chr(code)
        wanted = unicodedata.category(character) in hidden and character not in "\n\t" and code not in SEEN
        if code not in RESERVED:
            assert (first_hidden(f"a{character}b") is not None) == wanted, hex(code)


@pytest.mark.parametrize(
    "text",
    [
        "plain, with\nlines and\ttabs",
        "5/32 in, 17 °C, ½, ±, →, ·",
        "نمی\u200cدانم",  # Persian spelling needs the joiner's opposite
        "👩\u200d🔧 at the bench",
        "日本語",
        "é and e\u0301",
    ],
)
def test_what_people_write_is_left_alone(text: str) -> None:
    assert first_hidden(text) is None and visible(text) == text


@pytest.mark.parametrize(
    ("text", "at", "shown"),
    [
        ("\x1b[2J", 0, "<U+001B>[2J"),
        ("a\x1b]0;owned\x07", 1, "a<U+001B>]0;owned<U+0007>"),
        ("NR\u200d-01", 2, "NR<U+200D>-01"),
        ("end\u200c", 3, "end<U+200C>"),
        ("\u202egnp", 0, "<U+202E>gnp"),
        ("a\x9bb", 1, "a<U+009B>b"),
        ("a\udce9", 1, "a<U+DCE9>"),
        ("a\rb", 1, "a<U+000D>b"),
        ("\U000e0041", 0, "<U+E0041>"),
    ],
)
def test_what_hides_is_found_and_made_visible(text: str, at: int, shown: str) -> None:
    assert first_hidden(text) == at
    assert visible(text) == shown
    assert first_hidden(visible(text)) is None


@pytest.mark.parametrize(
    ("character", "name"),
    [
        ("\x1b", "ESCAPE (U+001B)"),
        ("\u202e", "RIGHT-TO-LEFT OVERRIDE (U+202E)"),
        ("\x85", "a control character (U+0085)"),
        ("\udc80", "half a character (U+DC80)"),
    ],
)
def test_a_hidden_character_has_a_name(character: str, name: str) -> None:
    assert name_of(character) == name
