"""`kiosk rib` and `kiosk flat` from the command line: every file that they write, and what they refuse."""

from pathlib import Path

import ezdxf
import pypdfium2
import pytest

from kiosk.commands import main
from kiosk.commands.command import MISUSED, OK
from kiosk.shop.data import data_folder


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    assert main(["new", str(tmp_path / "shop")]) == OK
    return tmp_path / "shop"


@pytest.mark.parametrize(
    "asked",
    [
        ["rib", "nose-rib"],
        ["rib", "main-rib", "--draw", "block", "--hand", "right"],
        ["rib", "tailplane-rib", "--draw", "dies"],
        ["flat", "front-spar"],
        ["flat", "rib-clip"],
    ],
)
def test_every_drawing_is_written_in_every_way(
    shop: Path, tmp_path: Path, asked: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    command, kind, *options = asked
    files = {"--pdf": "a.pdf", "--svg": "a.svg", "--svg-pages": "pages", "--dxf": "a.dxf"}
    written = [text for option, name in files.items() for text in (option, str(tmp_path / name))]
    assert main([command, kind, str(shop), *options, "--paper", "a4", *written]) == OK
    said = capsys.readouterr().out
    pages = len(pypdfium2.PdfDocument(tmp_path / "a.pdf"))
    assert f"{pages} pages" in said and len(list((tmp_path / "pages").iterdir())) == pages >= 2
    assert "<svg" in (tmp_path / "a.svg").read_text(encoding="utf-8")
    assert len(ezdxf.readfile(tmp_path / "a.dxf").modelspace()) > 5


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (["rib", "nose-rib", "--draw", "dies"], "no finished_hole"),
        (["flat", "nose-rib"], "no flat_width"),
        (["rib", "nose-rib", "--pdf", "none/such/a.pdf"], "cannot write"),
        (["rib", "front-spar"], "no section"),
    ],
)
def test_what_cannot_be_drawn_is_said_in_a_line(
    shop: Path, asked: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    command, kind, *options = asked
    assert main([command, kind, str(shop), *options]) in (MISUSED, 1)
    said = capsys.readouterr().err
    assert words in said and "Traceback" not in said and said.count("\n") == 1


def test_a_kind_without_that_hand_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    text = (data_folder("scenarios") / "brambling" / "shop.yaml").read_text(encoding="utf-8")
    (folder / "shop.yaml").write_text(
        text.replace("{first: NR-11, last: NR-20, hand: right}", "{first: NR-11, last: NR-20, hand: left}"),
        encoding="utf-8",
    )
    assert main(["rib", "nose-rib", str(folder), "--hand", "right"]) == MISUSED
    assert "give left" in capsys.readouterr().err


def test_an_end_without_a_flange_names_no_spar(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # The nose rib begins where nothing stands; a bend printed for it would be bent by somebody.
    assert main(["rib", "nose-rib", str(shop)]) == 0
    printed = capsys.readouterr().out
    assert "rear spar, upper flange" in printed and "front spar" not in printed
