"""The kiosk in another language, for tests."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from kiosk import catalogue
from tests.catalogue import gathered


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
