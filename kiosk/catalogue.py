"""The one catalogue of the kiosk's own words, by gettext: English is in the code, another language is a file.

It is looked for as ``kiosk/catalogues/<language>/LC_MESSAGES/kiosk.mo``, by the language of the environment.
What stands on a target, how a step may be left, and a number with its word are taken from it; what a
procedure or a shop file says is its author's. DEVELOPERS.md, "Words", says how a catalogue is made.
"""

import gettext
from functools import cache
from pathlib import Path

DOMAIN = "kiosk"
CATALOGUES = Path(__file__).parent / "catalogues"


@cache
def translations() -> gettext.NullTranslations:
    """The catalogue of the language of the environment; English where there is none that can be read."""
    try:
        found = gettext.translation(DOMAIN, CATALOGUES, fallback=True)
        found.ngettext("part", "parts", 2)  # the rule for its forms is tried: a wrong one fails only then
        return found
    except Exception:  # a half or a foreign file fails in many ways, and never stops the kiosk
        return gettext.NullTranslations()


def said(text: str, **values: object) -> str:
    """A text of the kiosk's own in the language of the environment, with these values in its places."""
    found = translations().gettext(text) if text else ""  # gettext has the head of the catalogue under ""
    if not values:
        return found
    try:
        return found.format(**values)
    except (LookupError, ValueError, AttributeError):  # a translation with another name, or half a brace
        return text.format(**values)


def to_be_said(text: str) -> str:
    """The text itself; marks what is said later, so that it is found for the catalogue."""
    return text
