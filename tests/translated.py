"""The kiosk in another language, for tests."""

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from kiosk import catalogue
from tests.catalogue import gathered

PLACE = re.compile(r"(\{\w+\})")
# Letters, and for each one of its own that is as wide, has its capital, and stands in no text of the kiosk.
_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_ACCENTED = "àḃċḋėḟġḣịĵķḷṁṅȯṗɋṙṡṫụṽẇẋẏż"
_TO_ACCENTED = str.maketrans(_LETTERS + _LETTERS.upper(), _ACCENTED + _ACCENTED.upper())
_TO_PLAIN = str.maketrans(_ACCENTED + _ACCENTED.upper(), _LETTERS + _LETTERS.upper())


def accented(text: str) -> str:
    """A text with its own letters accented, and its places for other words as they are."""
    return "".join(
        part if PLACE.fullmatch(part) else part.translate(_TO_ACCENTED) for part in PLACE.split(text)
    )


def plain(text: str) -> str:
    """A text with no letter accented: letter by letter the English of what :func:`accented` made."""
    return text.translate(_TO_PLAIN)


@contextmanager
def in_accented_letters(folder: Path) -> Iterator[None]:
    """All that the kiosk says of its own is accented, letter by letter, so that what is not stands out.

    The practice is known as pseudo-localisation. Nothing is wrapped or cut elsewhere than in English.
    """
    with in_language("eo", folder, accented, lambda text, _: accented(text)):
        yield


@contextmanager
def in_language(
    locale: str, folder: Path, one: Callable[[str], str], form: Callable[[str, int], str]
) -> Iterator[None]:
    """Every text of the kiosk is what ``one`` makes of it. One with a number is, in each form of a language,
    what ``form`` makes of the English one: the singular for form 0, else the plural."""
    words = Catalog(locale=locale, charset="utf-8")
    for text in gathered():
        if isinstance(text.id, tuple):
            forms = range(words.num_plurals)
            words.add(text.id, tuple(form(text.id[min(number, 1)], number) for number in forms))
        elif isinstance(text.id, str) and text.id:
            words.add(text.id, one(text.id))
    to = folder / "catalogues" / locale / "LC_MESSAGES"
    to.mkdir(parents=True)
    with (to / "kiosk.mo").open("wb") as file:
        write_mo(file, words)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(catalogue, "CATALOGUES", folder / "catalogues")
        patch.setenv("LANGUAGE", locale)
        catalogue.translations.cache_clear()
        yield
    catalogue.translations.cache_clear()
