"""What stands in a file is worked out once for the same bytes, and nobody who uses it changes it."""

import shutil
from pathlib import Path

from kiosk.shop import reader
from kiosk.shop.data import data_folder
from kiosk.shop.load import load, load_shop
from kiosk.shop.procedure import Procedure
from kiosk.shop.reader import read_document, validate

SHOP = data_folder("scenarios") / "brambling"


def _as_it_stands(document: reader.Document) -> reader.Document:
    """The same text read afresh, past what is kept."""
    read = reader._document_of(document.file, document.text.encode())
    read.faults = document.faults
    return read


def test_a_check_leaves_what_is_shared_as_it_was_read() -> None:
    first = load(SHOP, lint=True)
    assert len(first.documents) > 10
    for document in first.documents.values():
        assert document == _as_it_stands(document), document.file
    again = load(SHOP, lint=True)
    assert again.faults == first.faults and again.shop == first.shop
    shared = [again.documents[name].data is first.documents[name].data for name in first.documents]
    assert all(shared), "it was read anew"


def test_what_was_made_of_a_file_is_shared_until_it_is_saved(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    shutil.copytree(SHOP, folder)
    own = folder / "procedures" / "form-block.yaml"
    own.parent.mkdir(exist_ok=True)
    text = next(data_folder("procedures").rglob("form-block.yaml")).read_text(encoding="utf-8")
    own.write_text(text, encoding="utf-8")
    first = load_shop(folder)
    again = load_shop(folder)
    assert all(again.procedures[name] is one for name, one in first.procedures.items())
    title = first.procedures["form-block"].title
    own.write_text(text.replace(f"title: {title}", "title: Another block"), encoding="utf-8")
    saved = load_shop(folder)
    assert saved.procedures["form-block"].title == "Another block" != title
    others = saved.procedures.keys() - {"form-block"}
    assert all(saved.procedures[name] is first.procedures[name] for name in others)


def test_a_file_that_makes_nothing_says_so_each_time(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("id: a\n")
    said = []
    for _ in range(2):
        document = read_document(path)
        assert validate(document, Procedure) is None
        said.append(document.faults)
    assert said[0] == said[1] != []


def test_a_file_read_again_has_its_own_faults_alone(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("id: a\nid: b\n")
    first = read_document(path)
    assert len(first.faults) == 1
    first.fault(("id",), "it does not fit", "make it fit")
    assert len(first.faults) == 2
    again = read_document(path)
    assert again.faults == first.faults[:1]
    assert read_document(path, "by another name").faults[0].file == "by another name"


def test_a_file_that_was_saved_is_read_anew(tmp_path: Path) -> None:
    """And the same name in another folder is another file."""
    path = tmp_path / "a.yaml"
    for text in ("id: a\n", "id: b\n", "id: a\n"):
        path.write_text(text)
        assert read_document(path, "a.yaml").data == {"id": text[4]}
    other = tmp_path / "b.yaml"
    other.write_text("id: c\n")
    assert read_document(other, "a.yaml").data == {"id": "c"}
    assert read_document(path, "a.yaml").data == {"id": "a"}


def test_no_more_files_are_kept_than_a_shop_has(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("id: a\n")
    for number in range(2 * reader.MOST_KEPT):
        assert read_document(path, f"{number}.yaml").data == {"id": "a"}
    assert len(reader._newest) <= reader.MOST_KEPT
