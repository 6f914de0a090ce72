"""The one catalogue of the kiosk's own words, by gettext: English is in the code, another language is a file.

It is looked for as ``kiosk/catalogues/<language>/LC_MESSAGES/kiosk.mo``, by the language of the environment.
What screens say is taken from it; what a procedure or a shop file says is its author's, and what is recorded
is in English. DEVELOPERS.md, "Words", says how a catalogue is made.
"""

import gettext
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path

DOMAIN = "kiosk"
CATALOGUES = Path(__file__).parent / "catalogues"

_ENGLISH = gettext.NullTranslations()
_IS_WRITTEN: ContextVar[bool] = ContextVar("_IS_WRITTEN", default=False)


@cache
def translations() -> gettext.NullTranslations:
    """The catalogue of the language of the environment; English where there is none that can be read."""
    try:
        found = gettext.translation(DOMAIN, CATALOGUES, fallback=True)
        found.ngettext("part", "parts", 2)  # the rule for its forms is tried: a wrong one fails only then
        return found
    except Exception:  # a half or a foreign file fails in many ways, and never stops the kiosk
        return gettext.NullTranslations()


def spoken() -> gettext.NullTranslations:
    """The catalogue that holds here: that of the environment, but English for what is written down."""
    return _ENGLISH if _IS_WRITTEN.get() else translations()


@contextmanager
def written_down() -> Iterator[None]:
    """What is said in here is recorded: in English, so that a record has one language for all its years."""
    token = _IS_WRITTEN.set(True)
    try:
        yield
    finally:
        _IS_WRITTEN.reset(token)


def said(text: str, /, **values: object) -> str:
    """A text of the kiosk's own in the language of the environment, with these values in its places."""
    found = spoken().gettext(text) if text else ""  # gettext has the head of the catalogue under ""
    if not values:
        return found
    try:
        return found.format(**values)
    except (LookupError, ValueError, AttributeError):  # a translation with another name, or half a brace
        return text.format(**values)


def to_be_said(text: str) -> str:
    """The text itself; marks what is said later, so that it is found for the catalogue."""
    return text
