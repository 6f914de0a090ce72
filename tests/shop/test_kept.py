"""What is kept of a shop's files is found only while every byte is the same, and never trusted damaged."""

import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from kiosk.numbers.aerofoil import naca
from kiosk.packed import pack
from kiosk.shop import kept as keeping
from kiosk.shop import load as reading
from kiosk.shop.data import data_folder
from kiosk.shop.faults import ShopFaults
from kiosk.shop.kept import KEPT_FILE, KeptFiles, open_shop
from kiosk.shop.load import Loaded, load_shop
from tests.conftest import other_code


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(data_folder("scenarios") / "brambling", tmp_path / "shop")
    (tmp_path / "shop" / "procedures").mkdir(exist_ok=True)
    return tmp_path / "shop"


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Every folder whose files are read as YAML."""
    found: list[Path] = []
    read = reading.load

    def counted(folder: Path, *, lint: bool = False) -> Loaded:
        found.append(folder)
        return read(folder, lint=lint)

    monkeypatch.setattr(reading, "load", counted)
    return found


def test_what_was_kept_is_what_the_files_say(folder: Path, reads: list[Path]) -> None:
    fresh = load_shop(folder)
    reads.clear()
    assert open_shop(folder) == fresh
    assert len(reads) == 1
    assert open_shop(folder) == fresh
    assert len(reads) == 1, "the second start read the YAML again"


def _edit_the_shop(folder: Path) -> None:
    path = folder / "shop.yaml"
    path.write_text(path.read_text().replace("name: Brambling", "name: Bramblinh"))


def _add_a_procedure(folder: Path) -> None:
    shipped = next(path for path in data_folder("procedures").rglob("*.yaml"))
    text = shipped.read_text()
    title = next(line for line in text.splitlines() if line.startswith("title:"))
    (folder / "procedures" / shipped.name).write_text(text.replace(title, "title: Our own way"))


@pytest.mark.parametrize("edit", [_edit_the_shop, _add_a_procedure])
def test_an_edit_is_seen_at_the_next_start(folder: Path, edit: Callable[[Path], None]) -> None:
    before = open_shop(folder)
    edit(folder)
    after = open_shop(folder)
    assert after == load_shop(folder)
    assert (after.file, after.procedures) != (before.file, before.procedures)


def coordinates_of(digits: str) -> str:
    section = naca(digits, 100)
    points = [*reversed(section.upper), *section.lower[1:]]
    return "\n".join([section.name, *(f"{x:.6f} {y:.6f}" for x, y in points)])


@pytest.mark.parametrize("name", ["wing.dat", "sections/wing.dat", "../wing.dat", ".wing.dat", "record.dat"])
def test_edited_coordinates_of_a_section_are_seen_at_the_next_start(
    folder: Path, reads: list[Path], name: str
) -> None:
    wing = folder / name
    wing.parent.mkdir(exist_ok=True)
    wing.write_text(coordinates_of("2412"))
    path = folder / "shop.yaml"
    path.write_text(path.read_text().replace('section: "2412"', f"section: {name}"))

    def height() -> float:
        shop = open_shop(folder)
        return shop.figures.number(shop.kinds["nose-rib"], "front_height", "in")

    before = height()
    assert height() == before
    assert len(reads) == 1, "coordinates that stand as they stood are no reason to read YAML"
    wing.write_text(coordinates_of("2409"))
    assert height() < before
    assert len(reads) == 2


def test_a_fault_is_said_at_every_start_and_never_kept(folder: Path) -> None:
    open_shop(folder)
    path = folder / "shop.yaml"
    path.write_text(path.read_text().replace("role: builder", "role: bilder"))
    for _ in range(2):
        with pytest.raises(ShopFaults, match=r"shop\.yaml:\d+:\d+: 'bilder'"):
            open_shop(folder)


def _sealed(folder: Path, packed: bytes) -> bytes:
    content = keeping._content(folder)
    assert content is not None
    return keeping._seal(content, packed) + b"\n" + packed


@pytest.mark.parametrize(
    "damage", ["half", "letter", "empty", "not text", "sealed but no shop", "sealed but not packed"]
)
def test_damage_is_as_good_as_nothing_kept(folder: Path, reads: list[Path], damage: str) -> None:
    fresh = open_shop(folder)
    path = folder / KEPT_FILE
    kept = path.read_bytes()
    damaged = {
        "half": kept[: len(kept) // 2],
        "letter": kept.replace(b"Brambling", b"Bramblinh", 1),
        "empty": b"",
        "not text": b"\xff" * 100,
        "sealed but no shop": _sealed(folder, pack({"models": 1})),
        "sealed but not packed": _sealed(folder, b"\x80\x05."),
    }[damage]
    path.write_bytes(damaged)
    reads.clear()
    assert open_shop(folder) == fresh
    assert len(reads) == 1
    assert open_shop(folder) == fresh
    assert len(reads) == 1, "it was not kept anew"


@pytest.mark.parametrize("file", ["plural.py", "errors.py", "shop/cross_check.py", "numbers/rivets.py"])
def test_other_code_does_not_trust_what_was_kept(
    folder: Path, reads: list[Path], tmp_path: Path, file: str
) -> None:
    open_shop(folder)
    reads.clear()
    told: list[str] = []
    with other_code(tmp_path, file):
        open_shop(folder, told.append)
    assert len(reads) == 1 and not told


def _wrong(folder: Path, name: str, value: Any) -> KeptFiles:
    shop = load_shop(folder)
    kept = KeptFiles(shop.file, dict(shop.procedures), {}, {})
    if name == "people":
        return replace(kept, file=shop.file.model_copy(update={"people": value}))
    return replace(kept, **{name: value})


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("file", "shop.yaml", "KeptFiles.file is str"),
        ("procedures", {"rib": "hammer it"}, "KeptFiles.procedures is str"),
        ("people", ("odile",), "ShopFile.people is str"),
        ("known", {"flat_width": "1/2"}, "KeptFiles.known is str"),
        ("sections", {"wing.dat": 5}, "KeptFiles.sections is int"),
    ],
)
def test_what_is_sealed_and_of_wrong_types_is_thrown_away_and_said(
    folder: Path, reads: list[Path], name: str, value: object, said: str
) -> None:
    fresh = open_shop(folder)
    (folder / KEPT_FILE).write_bytes(_sealed(folder, pack(_wrong(folder, name, value))))
    reads.clear()
    told: list[str] = []
    assert open_shop(folder, told.append) == fresh
    assert len(reads) == 1
    assert told == [f"{folder / KEPT_FILE} was wrong ({said}): the shop's files were read anew"]
    assert open_shop(folder, told.append) == fresh
    assert len(reads) == len(told) == 1, "it was not kept anew"


def test_a_folder_that_cannot_be_written_opens_all_the_same(folder: Path) -> None:
    (folder / ".cache").write_text("a file where the folder would be")
    assert open_shop(folder) == load_shop(folder)
