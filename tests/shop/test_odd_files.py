"""Files that are none, that nobody can read, or that say another thing than they seem to: one line each."""

import os
import shutil
import socket
from collections.abc import Callable
from pathlib import Path

import pytest

from kiosk.shop.data import data_folder
from kiosk.shop.faults import Fault, ShopFaults
from kiosk.shop.files import LARGEST_BYTES, Unreadable, read_bytes
from kiosk.shop.kept import KEPT_FILE, open_shop
from kiosk.shop.load import load, load_shop


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(data_folder("scenarios") / "brambling", tmp_path / "shop")
    (tmp_path / "shop" / "procedures").mkdir()
    return tmp_path / "shop"


def _socket(path: Path) -> None:
    here = Path.cwd()
    os.chdir(path.parent)  # a socket's whole name may be no longer than 107 bytes
    try:
        socket.socket(socket.AF_UNIX).bind(path.name)
    finally:
        os.chdir(here)


ODD: dict[str, tuple[Callable[[Path], object], str]] = {
    "a pipe": (os.mkfifo, "is a pipe, not a file"),
    "a folder": (Path.mkdir, "is a folder, not a file"),
    "a socket": (_socket, "is a socket, not a file"),
    "a device": (lambda path: path.symlink_to("/dev/zero"), "is a device, not a file"),
    "a link to nothing": (lambda path: path.symlink_to("nowhere"), "cannot be read (no such file"),
    "a link to itself": (lambda path: path.symlink_to(path.name), "cannot be read (too many levels"),
    "a huge one": (lambda path: path.write_bytes(b"#" * (LARGEST_BYTES + 1)), "over the limit of 1 MiB"),
    "no UTF-8": (lambda path: path.write_bytes(b"caf\xe9: 1\n"), "not UTF-8"),
    "UTF-16": (lambda path: path.write_bytes("id: x\n".encode("utf-16")), "not UTF-8"),
    "nothing": (lambda path: path.write_bytes(b""), "the file is empty"),
    "comments": (lambda path: path.write_text("# to be written\n\n# soon\n"), "holds only comments"),
}  # fmt: skip


@pytest.mark.parametrize(("make", "words"), ODD.values(), ids=ODD)
def test_an_odd_procedure_is_one_line_at_every_start(
    folder: Path, make: Callable[[Path], object], words: str
) -> None:
    make(folder / "procedures" / "odd.yaml")
    for lint in (False, True):
        faults = load(folder, lint=lint).errors
        assert [words in str(fault) and fault.file.endswith("odd.yaml") for fault in faults] == [True], faults
    with pytest.raises(ShopFaults, match=r"odd\.yaml"):
        open_shop(folder)


@pytest.mark.parametrize(("make", "words"), ODD.values(), ids=ODD)
def test_an_odd_shop_file_is_one_line(folder: Path, make: Callable[[Path], object], words: str) -> None:
    (folder / "shop.yaml").unlink()
    make(folder / "shop.yaml")
    with pytest.raises(ShopFaults) as refused:
        open_shop(folder)
    assert words in str(refused.value) and len(refused.value.faults) == 1


@pytest.mark.parametrize("name", [name for name in ODD if name not in ("no UTF-8", "UTF-16", "comments")])
def test_odd_coordinates_of_a_section_are_one_line(folder: Path, name: str) -> None:
    make, words = ODD[name]
    make(folder / "wing.dat")
    path = folder / "shop.yaml"
    path.write_text(path.read_text().replace('section: "2412"', "section: wing.dat"))
    found = [str(fault) for fault in load(folder, lint=True).errors]
    assert found and all("wing.dat" in text or "fewer than 10 points" in text for text in found), found
    open_shop(folder)  # ribs are laid out when they are wanted
    with pytest.raises(Exception, match=r"wing\.dat|fewer than 10 points"):
        shop = open_shop(folder)
        shop.figures.rib(shop.kinds["nose-rib"])
    if name != "nothing":
        assert words.split(" (")[0] in " ".join(found)


def test_coordinates_with_a_control_character_are_refused(folder: Path) -> None:
    (folder / "wing.dat").write_text("MY \x1b[2J SECTION\n1 0\n")
    path = folder / "shop.yaml"
    path.write_text(path.read_text().replace('section: "2412"', "section: wing.dat"))
    assert any("ESCAPE (U+001B)" in str(fault) for fault in load(folder, lint=True).errors)


@pytest.mark.parametrize("make", [os.mkfifo, Path.mkdir])
def test_an_odd_kept_file_is_as_good_as_none(folder: Path, make: Callable[[Path], object]) -> None:
    (folder / KEPT_FILE).parent.mkdir()
    make(folder / KEPT_FILE)
    assert open_shop(folder) == load_shop(folder)


@pytest.mark.parametrize("name", ["._rib.yaml", ".#rib.yaml", "rib.yaml~", "#rib.yaml#", ".hidden/rib.yaml"])
def test_an_editors_own_files_are_not_read(folder: Path, name: str) -> None:
    path = folder / "procedures" / name
    path.parent.mkdir(exist_ok=True)
    path.write_text("no: procedure\n")
    assert not load(folder, lint=True).faults


def test_a_file_where_the_procedures_would_be_is_said(folder: Path) -> None:
    (folder / "procedures").rmdir()
    (folder / "procedures").write_text("id: x\n")
    assert [fault.file.rpartition("/")[2] for fault in load(folder).errors][:1] == ["procedures"]


def test_a_file_that_may_not_be_read_is_said(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder / "procedures" / "mine.yaml").write_text("id: mine\n")

    def refuse(path: Path, *_: object) -> int:
        raise PermissionError(13, "Permission denied", str(path))

    with monkeypatch.context() as patch:
        patch.setattr(os, "open", refuse)  # as for anybody but the administrator
        with pytest.raises(Unreadable, match="permission denied"):
            read_bytes(folder / "procedures" / "mine.yaml")


def test_a_file_whose_name_is_no_text_is_named_all_the_same(folder: Path) -> None:
    (folder / "procedures" / os.fsdecode(b"caf\xe9.yaml")).write_text("id: [")
    (fault,) = load(folder).errors
    assert "caf" in fault.file
    with pytest.raises(ShopFaults):
        open_shop(folder)


# What a text holds, and the line and column at which it is to be named.
HIDDEN = {
    "an escape in quotes": ('id: x\ntitle: "clear \\e[2J"\n', 2, 15),
    "a retitled terminal": ('id: x\ntitle: "\\x1b]0;owned\\a"\n', 2, 9),
    "ESC itself": ("id: x\ntitle: a\x1b[2J\n", 2, 9),
    "NUL": ('id: "\\0"\n', 1, 6),
    "a bidi override": ('id: x\ntitle: "\\u202Edlog"\n', 2, 9),
    "the same, itself": ("id: x\ntitle: a \u202edlog\n", 2, 10),
    "in a comment": ("id: x  # \u2066 hidden\n", 1, 10),
    "a joiner that hides": ("id: x\ntitle: rib\u200d\n", 2, 11),
    "a soft hyphen": ("id: x\ntitle: ri\u00adb\n", 2, 10),
    "C1": ("id: x\ntitle: a\x9b2J\n", 2, 9),
    "DEL": ("id: x\ntitle: a\x7f\n", 2, 9),
    "in a key": ('"i\\td": x\n"k\\e": y\n', 2, 3),
    "in a list": ('a: [b, "c\\x07"]\n', 1, 10),
    "next line": ('id: "a\\Nb"\n', 1, 7),
    "an odd byte order mark": ("id: x\ntitle: \ufeffa\n", 2, 8),
    "after lines of Windows": ('id: x\r\ntitle: "a\\e"\r\n', 2, 10),
}


@pytest.mark.parametrize(("text", "line", "column"), HIDDEN.values(), ids=HIDDEN)
def test_a_character_that_does_not_show_is_refused_where_it_stands(
    folder: Path, text: str, line: int, column: int
) -> None:
    (folder / "procedures" / "x.yaml").write_bytes(text.encode())
    (fault,) = [one for one in load(folder).errors if "does not show" in one.wrong]
    assert (fault.line, fault.column) == (line, column)
    assert str(fault).isprintable()


def test_half_a_character_is_refused(folder: Path) -> None:
    (folder / "procedures" / "x.yaml").write_text('id: "\\ud800"\n')
    (fault,) = load(folder).errors
    assert fault.line == 1


def _faults_of(folder: Path, text: str) -> list[Fault]:
    (folder / "procedures" / "x.yaml").write_text(text)
    return [fault for fault in load(folder, lint=True).faults if "begin a comment" in fault.wrong]


@pytest.mark.parametrize(
    ("text", "line", "column", "severity"),
    [
        ("id: x\ntitle: Drill the holes #30\n", 2, 24, "error"),
        ("id: x\ntools: [a #8-32, b]\n", 2, 11, "error"),
        ("id: x\nnote: Drill with #  30\n", 0, 0, ""),
        ("id: x\nnote: Drill with # 30 bit\n", 2, 18, "warning"),
        ("id: x\nnote: See #below\n", 2, 11, "warning"),
        ("id: x\nnote: See below  # by hand\n", 0, 0, ""),
        ('id: x\nnote: "Drill the holes #30"\n', 0, 0, ""),
        ("id: x\nnote: 'See #30'  #30\n", 0, 0, ""),
        ("id: x\nnote: Drill#30\n", 0, 0, ""),
        ("id: x\nnote: >-\n  Drill #30\n", 0, 0, ""),
        ("id: x  #30\n", 1, 8, "error"),
    ],
)
def test_a_text_that_ends_in_a_comment_is_said(
    folder: Path, text: str, line: int, column: int, severity: str
) -> None:
    found = [(fault.line, fault.column, fault.severity) for fault in _faults_of(folder, text)]
    assert found == ([(line, column, severity)] if severity else [])


def test_the_id_of_a_broken_procedure_is_not_said_to_be_unknown(folder: Path) -> None:
    text = (data_folder("procedures") / "finish" / "deburr.yaml").read_text()
    broken = text.replace("id: deburr", 'id: "my-deburr"', 1).replace("steps:\n", "steps: [\n", 1)
    (folder / "procedures" / "another name.yaml").write_text(broken)
    path = folder / "shop.yaml"
    path.write_text(path.read_text().replace("procedure: deburr\n", "procedure: my-deburr\n"))
    assert {fault.file.rpartition("/")[2] for fault in load(folder).errors} == {"another name.yaml"}
