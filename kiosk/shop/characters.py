"""Characters that show nothing or move what is shown: refused in what is read, made visible in what is said.

A control character can clear a screen or retitle a terminal; a change of direction (Unicode TR 36, 3.1,
Bidirectional Text Spoofing) lets a line read otherwise than it is; a character of no width makes two names
that look the same. None of them has any business in a shop's files or in what is typed at the bench.
"""

import re
import unicodedata

# Unicode's categories Cc, Cf, Cs, Zl and Zp but for line feed and tab, which lay a text out, and for signs of
# Arabic, Syriac and Kaithi numbers, which are seen (property Prepended_Concatenation_Mark).
_HIDDEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u2064\u2066-\u206f"
    "\ud800-\udfff\ufeff\ufff9-\ufffb\U00013430-\U00013438\U0001bca0-\U0001bca3\U0001d173-\U0001d17a"
    "\U000e0001\U000e0020-\U000e007f]"
)
_JOINERS = frozenset("\u200c\u200d")  # between the letters of some scripts, and in emoji, they are spelling
_LAST_LATIN = "\u024f"
_C0_NAMES = {0: "NUL", 7: "BEL", 8: "BACKSPACE", 13: "CARRIAGE RETURN", 27: "ESCAPE", 127: "DELETE"}


def first_hidden(text: str) -> int | None:
    """Where the first character stands that may not be there; None when there is none."""
    return next((found.start() for found in _HIDDEN.finditer(text) if not _spells(found)), None)


def _spells(found: re.Match[str]) -> bool:
    """True for a joiner between two letters or signs that need it; beside Latin ones it only hides."""
    if found[0] not in _JOINERS:
        return False
    beside = (found.string[found.start() - 1 : found.start()], found.string[found.end() : found.end() + 1])
    return all(one > _LAST_LATIN for one in beside)


def name_of(character: str) -> str:
    """A character that cannot be shown, in words: ``ESCAPE (U+001B)``."""
    code = ord(character)
    if code in _C0_NAMES:
        words = _C0_NAMES[code]
    elif unicodedata.category(character) == "Cs":
        words = "half a character"
    else:
        words = unicodedata.name(character, "a control character")
    return f"{words} ({_number(character)})"


def _number(character: str) -> str:
    return f"U+{ord(character):04X}"


def visible(text: str) -> str:
    """The text with each such character written out as ``<U+001B>``, so that it is seen and does nothing."""
    return _HIDDEN.sub(lambda found: found[0] if _spells(found) else f"<{_number(found[0])}>", text)
