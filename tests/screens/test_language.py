"""In another language what is recorded stays English, and what is shown of the kiosk's own does not.

That of every scene is looked at where its picture is: ``test_pictures.py``.
"""

import shutil
import string
from collections.abc import Iterator
from pathlib import Path

import pytest
from rich.cells import cell_len
from textual.pilot import Pilot

from kiosk.screens.app import SNAGS, KioskApp
from tests.driver import press, screen_text
from tests.screens.left_in_english import left_in_english
from tests.screens.moment import open_bench, with_app
from tests.screens.scenes import SCENES, picture
from tests.translated import accented, in_accented_letters, in_language, plain


@pytest.fixture
def accented_letters(tmp_path: Path) -> Iterator[None]:
    with in_accented_letters(tmp_path):
        yield


def test_what_is_left_in_english_is_found() -> None:
    assert accented("Saved. {told}") == "Ṡàṽėḋ. {told}" and plain("Ṡàṽėḋ. {told}") == "Saved. {told}"
    assert left_in_english(f"{accented('Saved. ')}The place is kept.") == ["The place is kept"]
    assert not left_in_english(f"{accented('The place is kept.')} NR-03 nose rib {accented('25 min')}")


def test_every_letter_has_an_accented_one_of_its_own_as_wide_and_with_its_capital() -> None:
    letters = string.ascii_lowercase
    for one in (letters, letters.upper()):
        assert not set(accented(one)) & set(string.printable) and plain(accented(one)) == one
        assert len(set(accented(one))) == len(one) == cell_len(accented(one))
    assert accented(letters).upper() == accented(letters.upper())
    assert accented(letters.upper()).lower() == accented(letters)


@pytest.mark.usefixtures("accented_letters")
def test_what_closing_up_writes_down_is_in_english(shop_at_the_moment: Path, tmp_path: Path) -> None:
    """It is read for years, whatever the language is then."""
    folder = tmp_path / "shop"
    shutil.copytree(shop_at_the_moment, folder)
    bench = open_bench(folder)
    bench.start(["FB-TR"], "form-block", "measure-pattern")
    shown = bench.close_up_view()
    assert any(plain(text) != text for text in (*shown.must_not, *shown.may))
    bench.close_sitting("")
    assert bench.state.left is not None and bench.state.left.left
    assert not any(plain(text) != text for text in (*bench.state.left.left, bench.state.left.next_step))
    bench.close()


@pytest.mark.usefixtures("accented_letters")
def test_a_reason_is_recorded_in_english_whatever_its_choice_is_called(
    shop_at_the_moment: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "shop"
    shutil.copytree(shop_at_the_moment, folder)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"NR-07", "enter", "f5", "down")
        assert accented(SNAGS[0]) in " ".join(screen_text(app))
        await press(app, pilot, "enter")
        assert app.bench.state.open_snags("NR-07")[0].text == SNAGS[0]

    with_app(folder, walk)


@pytest.mark.parametrize(
    "name", ["calm-clocks", "place-limit-near", "place-clocks", "step-counting", "place"]
)
def test_figures_stand_alone_where_another_language_puts_words_around_them(
    name: str, shop_at_the_moment: Path, tmp_path: Path
) -> None:
    """Every text begins and ends otherwise than in English: one that is read back gives other pieces."""
    scene = next(one for one in SCENES if one.name == name)
    with in_language("de", tmp_path, lambda text: f"ja {text} doch", lambda text, _: f"ja {text} doch"):
        shown = picture(scene, shop_at_the_moment, tmp_path / "shops")
    assert "ja " in shown and " doch" in shown
