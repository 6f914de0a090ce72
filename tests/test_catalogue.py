"""The catalogue of the kiosk's own words: gathered whole, and shown in another language when there is one."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from textual.pilot import Pilot

import kiosk
from kiosk import catalogue
from kiosk.plural import so_many
from kiosk.screens.app import KioskApp
from kiosk.screens.target import Target
from kiosk.views.wording import stop_words
from tests.catalogue import TEMPLATE, gathered, sayings
from tests.driver import press
from tests.screens.moment import with_app
from tests.translated import in_language


def test_the_template_holds_what_the_kiosk_says() -> None:
    """Else: python -m tests.catalogue."""
    with TEMPLATE.open("rb") as file:
        kept = read_po(file)
    assert {one.id for one in kept if one.id} == {one.id for one in gathered() if one.id}


def test_texts_are_found_where_they_are_said() -> None:
    source = 'Action("OK" if done else said("Wait {n}", n=1), "f1", so_many(n, "part", "parts"))\nprint("no")'
    assert set(sayings(source)) == {"OK", "Wait {n}", ("part", "parts")}


def test_no_label_is_put_together_by_hand() -> None:
    """A label with a name or a number in it is one saying with a place for it, so that it can be turned."""
    for path in (Path(kiosk.__file__).parent / "screens").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Action":
                label = node.args[0]
                written = ast.unparse(label)
                letters = isinstance(label, ast.JoinedStr) and any(
                    isinstance(part, ast.Constant) and any(map(str.isalpha, str(part.value)))
                    for part in label.values
                )
                assert not letters, f"{path.name}:{label.lineno}: {written}"


# What is said to nobody: what a press is called, what may go wrong, and what the code compares.
_SAID = {"said", "to_be_said", "Action", "so_many", "word_for"}
_NOT_SHOWN = {"attempt", "Refused", "AssertionError", "print"}
_COMMAND_LINE = {"verify_text.py"}  # prints for a terminal, and no screen shows it
_LEAST_WORDS = 3
# What things are called in the code and in files, and what is recorded.
_NAMES = {
    "go straight on",
    "helper with the builder",
    "look at clock",
    "only when finished",
    "scrap and remake",
    "seen not done",
    "seen not done on return",
    "use as is",
}


def unsaid(source: str) -> Iterator[tuple[int, str]]:
    """The texts of three words and more that a module would show without saying them: line and text."""
    tree = ast.parse(source)
    done = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}  # documentation
    for node in ast.walk(tree):
        name = ast.unparse(node.func).split(".")[-1] if isinstance(node, ast.Call) else ""
        if name in _SAID | _NOT_SHOWN or isinstance(node, ast.Compare):
            done |= {id(one) for one in ast.walk(node)}
    for node in ast.walk(tree):
        if id(node) in done or not isinstance(node, ast.Constant | ast.JoinedStr):
            continue
        parts = node.values if isinstance(node, ast.JoinedStr) else [node]
        texts = [str(one.value) for one in parts if isinstance(one, ast.Constant)]
        words = max((len(re.findall(r"(?<!\S)\W?[A-Za-z]{2,}", text)) for text in texts), default=0)
        if words >= _LEAST_WORDS and texts[0] not in _NAMES:
            done |= {id(one) for one in ast.walk(node)}
            yield node.lineno, " … ".join(texts)


def test_whatever_screens_and_views_say_is_said_through_the_catalogue() -> None:
    package = Path(kiosk.__file__).parent
    paths = [path for room in ("screens", "views") for path in (package / room).glob("*.py")]
    left = [
        f"{path.name}:{line}: {text}"
        for path in paths
        if path.name not in _COMMAND_LINE
        for line, text in unsaid(path.read_text(encoding="utf-8"))
    ]
    assert not left


def test_what_is_not_said_is_found() -> None:
    source = '''lines.add(f"It takes {n} of these now", said("And that is well"))\nwords = "Not so much"'''
    assert {line for line, _ in unsaid(source)} == {1, 2}


_READS_BACK = {"split", "rsplit", "partition", "rpartition", "removeprefix", "removesuffix", "startswith"}


def read_back(source: str) -> Iterator[tuple[int, str]]:
    """Where a module takes apart, or tries the beginning of, what was made to be shown: line and code."""
    for node in ast.walk(ast.parse(source)):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
            continue
        shown = node.func.value
        made_by = shown.func if isinstance(shown, ast.Call) else shown
        name = made_by.attr if isinstance(made_by, ast.Attribute) else getattr(made_by, "id", "")
        is_said = isinstance(shown, ast.Call) and name in _SAID
        if node.func.attr in _READS_BACK and (is_said or name.split("_")[-1] == "words"):
            yield node.lineno, ast.unparse(node)


def test_no_text_that_is_shown_is_taken_apart_again() -> None:
    """A language words it otherwise: figure, unit and noun are had from what the text was made of."""
    rooms = Path(kiosk.__file__).parent
    paths = [
        path
        for room in ("screens", "views", "record", "logbook", "commands")
        for path in (rooms / room).rglob("*.py")
    ]
    assert not [
        f"{path.name}:{line}: {code}"
        for path in paths
        for line, code in read_back(path.read_text(encoding="utf-8"))
    ]
    source = "\n".join(
        (
            "left_words(9.0, up=True).split()",
            "view.count_words.partition(' ')",
            "said('a {b}', b=b).startswith(c)",
            "row.split()",
        )
    )
    assert {line for line, _ in read_back(source)} == {1, 2, 3}


@pytest.fixture
def another_language(tmp_path: Path) -> Iterator[None]:
    """A language in which every word stands in quotation marks, with the forms of number of Polish.

    The rule for the forms is the one that the GNU gettext manual gives for Polish, section "Plural forms".
    """
    with in_language("pl", tmp_path, lambda text: f"«{text}»", lambda text, form: f"«{text}:{form}»"):
        yield


@pytest.mark.usefixtures("another_language")
def test_a_number_has_the_forms_of_its_language() -> None:
    forms = {number: so_many(number, "step", "steps")[-2] for number in (1, 2, 4, 5, 11, 12, 21, 22, 25)}
    assert forms == {1: "0", 2: "1", 4: "1", 5: "2", 11: "2", 12: "2", 21: "2", 22: "1", 25: "2"}


@pytest.mark.usefixtures("another_language")
def test_every_target_and_how_a_step_is_left_is_in_the_language(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "escape")  # a question with choices of the shop's own
        for keys in (("f1",), ("f2",), ("f3",), ("enter",), ("f4",), ("f1", "enter")):
            await press(app, pilot, *keys)
            targets = [one for one in app.screen.query(Target) if one.action is not None]
            assert targets
            for one in targets:
                assert "«" in str(one.content), (keys, one.content)

    with_app(demo_shop, walk, (120, 36))
    assert stop_words("anywhere") == "«You can leave this at any moment.»"


@pytest.mark.parametrize("spoilt", [b"", b"\xde\x12\x04\x95", b"no catalogue", None, "charset", "forms"])
def test_a_catalogue_that_cannot_be_read_counts_as_none(
    spoilt: bytes | str | None, tmp_path: Path, another_language: None
) -> None:
    (path,) = tmp_path.rglob("kiosk.mo")
    whole = path.read_bytes()
    if spoilt == "charset":
        path.write_bytes(whole.replace(b"charset=utf-8", b"charset=klng9"))
    elif spoilt == "forms":
        path.write_bytes(whole.replace(b"plural=n == 1", b"plural=n % 0 "))
    else:
        path.write_bytes(spoilt if isinstance(spoilt, bytes) else whole[: len(whole) // 2])
    assert whole != path.read_bytes()
    catalogue.translations.cache_clear()
    assert so_many(2, "part", "parts") == "2 parts" and catalogue.said("BACK") == "BACK"


def test_a_translation_with_a_wrong_place_in_it_falls_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = Catalog(locale="de", charset="utf-8")
    words.add("COUNT {thing}", "ZAEHLE {ding}")
    words.add("ALL {number}", "ALLE {number")
    words.add("FIND {minutes} MIN", "{minutes} MIN SUCHEN")
    folder = tmp_path / "de" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    with (folder / "kiosk.mo").open("wb") as file:
        write_mo(file, words)
    monkeypatch.setattr(catalogue, "CATALOGUES", tmp_path)
    monkeypatch.setenv("LANGUAGE", "de")
    catalogue.translations.cache_clear()
    try:
        assert catalogue.said("COUNT {thing}", thing="GLUE {x}") == "COUNT GLUE {x}"
        assert catalogue.said("ALL {number}", number=3) == "ALL 3"
        assert catalogue.said("FIND {minutes} MIN", minutes=12) == "12 MIN SUCHEN"
    finally:
        catalogue.translations.cache_clear()
