"""What a screen says of its own and not through the catalogue, found while the texts of that are accented.

What stands on the screen in plain letters may come from the shop's files, from the record, or from the rooms
below the views (calculators, drawings, refusals), and never from the code of screens and views.
"""

from __future__ import annotations

import ast
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import kiosk
from kiosk.bench import RECORD_FILE
from kiosk.screens import base, dialog, put_text, target
from kiosk.screens.page_text import Lines
from tests.translated import PLACE

PACKAGE = Path(kiosk.__file__).parent
LEAST_LETTERS = 3  # of a word alone: shorter ones are units
ON_THE_KEYBOARD = {"Enter", "Esc"}


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
    """The phrases of screens and views that stand in a text in plain letters."""
    return [
        one
        for one in of_screens()
        if one in text and re.search(rf"(?<![\w-]){re.escape(one)}(?![\w-])", text) and one not in of_others()
    ]


def recorded_in(shop: Path) -> str:
    """All that stands in a record."""
    with closing(sqlite3.connect(shop / RECORD_FILE)) as record:
        return "\n".join(body for (body,) in record.execute("SELECT body FROM event"))


def watch_shown(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """All texts that come onto the screen from now on, before they are wrapped or cut."""
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
    return found
