"""In another language nothing that a screen says of its own is left in English.

Every scene is walked with a catalogue that marks each text of the kiosk: the practice is known as
pseudo-localisation. What stands on the screen outside the marks may come from the shop's files, from the
record, or from the rooms below the views (calculators, drawings, refusals), and never from the code of
screens and views.
"""

from __future__ import annotations

import ast
import asyncio
import re
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

import kiosk
from kiosk.bench import RECORD_FILE
from kiosk.screens import base, dialog, put_text, target
from kiosk.screens.app import SNAGS, KioskApp
from kiosk.screens.page_text import Lines
from tests.driver import press, screen_text
from tests.screens.moment import open_bench, with_app
from tests.screens.scenes import SCENES, Scene, rows_of
from tests.translated import in_language

PACKAGE = Path(kiosk.__file__).parent
SIZE = (120, 36)
LEAST_LETTERS = 3  # of a word alone: shorter ones are units
ON_THE_KEYBOARD = {"Enter", "Esc"}
PLACE = re.compile(r"(\{\w+\})")


def marked(text: str) -> str:
    """A text with all its own words in marks, and what is put into its places outside them."""
    return "".join(
        part if PLACE.fullmatch(part) or not part.strip() else f"«{part}»" for part in PLACE.split(text)
    )


def outside(text: str) -> str:
    """What of a shown text stands outside the marks; what is cut off after one was opened stood in it."""
    return re.sub(r"«[^»]*(»|$)", " | ", text)


@pytest.fixture
def marked_language(tmp_path: Path) -> Iterator[None]:
    with in_language("eo", tmp_path, marked, lambda text, _: marked(text)):
        yield


def texts_of_source(path: Path) -> Iterator[str]:
    """Every text that is written in a module, documentation apart; of one with places the parts between."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    documentation = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in documentation:
            yield from PLACE.split(node.value)


def phrase(text: str) -> str:
    """The words of a text, with what stands between them but not around them."""
    return re.sub(r"^[^A-Za-z]+|[^A-Za-z]+$", "", text)


@cache
def of_screens() -> frozenset[str]:
    """The phrases that are written in the code of screens and views, longer than a unit."""
    paths = [path for room in ("screens", "views") for path in (PACKAGE / room).glob("*.py")]
    found = {phrase(text) for path in paths for text in texts_of_source(path)} - ON_THE_KEYBOARD
    return frozenset(one for one in found if len(one) >= LEAST_LETTERS)


@cache
def of_others() -> str:
    """All that is written elsewhere: in the scenario's files, in procedures, and in the rooms below."""
    below = [
        text
        for path in PACKAGE.rglob("*.py")
        if path.parent.name not in ("screens", "views")
        for text in texts_of_source(path)
    ]
    root = PACKAGE.parent
    files = [path for name in ("scenarios", "procedures") for path in (root / name).rglob("*.y*ml")]
    scenes = [*texts_of_source(Path(__file__).with_name("scenes.py"))]
    text = " ".join([*below, *scenes, *(path.read_text(encoding="utf-8") for path in files)])
    return " ".join(text.split())


def left_in_english(text: str) -> list[str]:
    """The phrases of screens and views that stand in a text outside the marks."""
    rest = outside(text)
    return [
        one
        for one in of_screens()
        if one in rest and re.search(rf"(?<![\w-]){re.escape(one)}(?![\w-])", rest) and one not in of_others()
    ]


def recorded_in(shop: Path) -> str:
    """All that stands in a record."""
    with closing(sqlite3.connect(shop / RECORD_FILE)) as record:
        return "\n".join(body for (body,) in record.execute("SELECT body FROM event"))


def shown_by(scene: Scene, shop: Path, monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """All texts that come onto the screen on the way to a scene, before they are wrapped or cut."""
    found: set[str] = set()

    def watch(of: Any, name: str, place: int = 1) -> None:
        was = getattr(of, name)

        def call(*given: Any, **more: Any) -> Any:
            found.update(
                str(one) for one in (*given[place : place + 1], *more.values()) if isinstance(one, str)
            )
            return was(*given, **more)

        monkeypatch.setattr(of, name, call)

    for name in ("add", "raw", "row", "big"):
        watch(Lines, name)
    watch(Lines, "insert", 2)
    was = put_text.put_text

    def put(widget: Any, text: Any) -> None:
        found.add(str(text))
        was(widget, text)

    for module in (base, dialog, target):
        monkeypatch.setattr(module, "put_text", put)
    asyncio.run(rows_of(scene, shop, (SIZE,)))
    return found


@pytest.mark.usefixtures("marked_language")
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.name)
def test_nothing_of_its_own_is_left_in_english(
    scene: Scene, shop_at_the_moment: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "shop"
    shutil.copytree(shop_at_the_moment, folder)
    shown = shown_by(scene, folder, monkeypatch)
    assert any("«" in text for text in shown)
    recorded = recorded_in(folder)
    left = {
        text: phrases
        for text in sorted(shown)
        if (phrases := [one for one in left_in_english(text) if one not in recorded])
    }
    assert not left


def test_what_is_left_in_english_is_found() -> None:
    assert marked("Saved. {told}") == "«Saved. »{told}"
    assert left_in_english("«Saved. »The place is kept.") == ["The place is kept"]
    assert not left_in_english("«The place is kept.» NR-03 nose rib «25 mi")


@pytest.mark.usefixtures("marked_language")
def test_what_closing_up_writes_down_is_in_english(shop_at_the_moment: Path, tmp_path: Path) -> None:
    """It is read for years, whatever the language is then."""
    folder = tmp_path / "shop"
    shutil.copytree(shop_at_the_moment, folder)
    bench = open_bench(folder)
    bench.start(["FB-TR"], "form-block", "measure-pattern")
    shown = bench.close_up_view()
    assert any("«" in text for text in (*shown.must_not, *shown.may))
    bench.close_sitting("")
    assert bench.state.left is not None and bench.state.left.left
    assert not any("«" in text for text in (*bench.state.left.left, bench.state.left.next_step))
    bench.close()


@pytest.mark.usefixtures("marked_language")
def test_a_reason_is_recorded_in_english_whatever_its_choice_is_called(
    shop_at_the_moment: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "shop"
    shutil.copytree(shop_at_the_moment, folder)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *"NR-07", "enter", "f5", "down")
        assert f"«{SNAGS[0]}»" in " ".join(screen_text(app))
        await press(app, pilot, "enter")
        assert app.bench.state.open_snags("NR-07")[0].text == SNAGS[0]

    with_app(folder, walk)
