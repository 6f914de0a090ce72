"""The demo shop: made once, kept, made afresh, and never in the place of somebody's own shop."""

import errno
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.commands import main
from kiosk.commands.demo_folder import MARK_FILE

Printed = pytest.CaptureFixture[str]


def _demo(folder: Path, *more: str) -> int:
    return main(["demo", "--folder", str(folder), *more])


def _contents(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and not path.name.startswith("record.db")
    }


def _refused(capsys: Printed, *words: str) -> None:
    err = capsys.readouterr().err
    assert err.count("\n") == 1 and all(word in err for word in words), err


@pytest.fixture(autouse=True)
def no_history(monkeypatch: pytest.MonkeyPatch) -> None:
    """Playing the history takes a second or two, and these tests do without it."""
    monkeypatch.setattr("kiosk.demo_player.play", lambda folder: 0)


@pytest.fixture
def demo(tmp_path: Path, capsys: Printed) -> Path:
    """A folder that the demo made."""
    folder = tmp_path / "demo"
    assert _demo(folder) == 0
    capsys.readouterr()
    return folder


def test_the_demo_is_made_once_and_kept(demo: Path) -> None:
    with_note = Bench(demo)
    with_note.note("kept")
    with_note.close()
    before = with_note.state.seq
    assert _demo(demo) == 0
    again = Bench(demo)
    assert again.state.seq == before
    again.close()


def test_a_demo_that_is_there_is_opened_without_what_made_it(demo: Path) -> None:
    """A tenth of ``kiosk spare 12`` went into reading the player of a history that was played long ago."""
    code = (
        "import sys\nfrom pathlib import Path\nfrom kiosk.commands.demo_folder import make_demo\n"
        "make_demo(Path(sys.argv[1]))\nprint(*{'kiosk.demo_player', 'yaml'} & {*sys.modules})"
    )
    done = subprocess.run([sys.executable, "-c", code, demo], capture_output=True, text=True, check=True)
    assert not done.stdout.strip()


def test_fresh_throws_away_what_was_done_in_the_demo(demo: Path) -> None:
    played = Bench(demo)
    at_first = played.state.seq
    played.note("thrown away")
    played.write_logbook(trials=10)
    played.close()
    assert _demo(demo, "--fresh") == 0
    again = Bench(demo)
    assert again.state.seq == at_first and not list((demo / "logbook").iterdir())
    again.close()


def test_a_demo_of_an_older_kiosk_says_how_to_get_a_new_one(demo: Path, capsys: Printed) -> None:
    file = demo / "shop.yaml"
    file.write_text(
        file.read_text(encoding="utf-8").replace(
            "      bend_radius: {of: main-rib, dimension: bend_radius}\n", ""
        ),
        encoding="utf-8",
    )
    capsys.readouterr()
    assert _demo(demo) == 2
    _refused(capsys, "an older one made it", "kiosk demo --fresh")


def test_a_command_that_named_no_shop_says_the_same_of_the_demo(
    demo: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kiosk.commands.demo_folder.demo_folder", lambda: demo)
    (demo / "shop.yaml").write_text("aeroplane: {}\n", encoding="utf-8")
    assert main(["cut"]) == 2
    _refused(capsys, "does not fit this kiosk", "kiosk demo --fresh")
    assert main(["cut", str(demo)]) == 1  # a shop that was named has its faults told, line by line
    assert "shop.yaml:1" in capsys.readouterr().err


def test_fresh_where_nothing_is_makes_the_demo(tmp_path: Path) -> None:
    assert _demo(tmp_path / "a" / "new", "--fresh") == 0
    (tmp_path / "empty").mkdir()
    assert _demo(tmp_path / "empty", "--fresh") == 0


@pytest.mark.parametrize("more", [[], ["--fresh"]])
def test_a_shop_of_ones_own_is_never_the_demo(demo_shop: Path, capsys: Printed, more: list[str]) -> None:
    (demo_shop / "photos" / "rib.jpg").write_bytes(b"a year of work")
    before, record = _contents(demo_shop), (demo_shop / "record.db").read_bytes()
    assert _demo(demo_shop, *more) == 2
    _refused(capsys, str(demo_shop), "the demo did not make", "left as it is", "kiosk open")
    assert _contents(demo_shop) == before and (demo_shop / "record.db").read_bytes() == record


@pytest.mark.parametrize("more", [[], ["--fresh"]])
def test_a_folder_with_other_things_is_left_alone(tmp_path: Path, capsys: Printed, more: list[str]) -> None:
    (tmp_path / "letters.txt").write_text("mine")
    assert _demo(tmp_path, *more) == 2
    _refused(capsys, "not empty", "left as it is")
    assert [path.name for path in tmp_path.iterdir()] == ["letters.txt"]


@pytest.mark.parametrize("more", [[], ["--fresh"]])
def test_a_file_is_no_folder_for_the_demo(tmp_path: Path, capsys: Printed, more: list[str]) -> None:
    (tmp_path / "demo").write_text("mine")
    assert _demo(tmp_path / "demo", *more) == 2
    _refused(capsys, "left as it is")
    assert (tmp_path / "demo").read_text() == "mine"


@pytest.mark.parametrize("moved", [False, True])
def test_a_copy_of_the_demo_is_a_shop_of_ones_own(demo: Path, capsys: Printed, moved: bool) -> None:
    own = demo.parent / "own"
    if moved:
        demo.rename(own)
    else:
        shutil.copytree(demo, own)
    assert _demo(own, "--fresh") == 2
    _refused(capsys, "the demo did not make")
    assert (own / "shop.yaml").exists()


@pytest.mark.parametrize(
    "name",
    ["photos/mine.jpg", "procedures/mine.yaml", "shop.yaml", "records.txt", "record.txt", "logbook/mine.pdf"],
)
def test_fresh_never_removes_what_the_builder_put_there(demo: Path, capsys: Printed, name: str) -> None:
    with (demo / name).open("a") as file:
        file.write("# my own\n")
    before = _contents(demo)
    assert _demo(demo, "--fresh") == 2
    _refused(capsys, name, "nothing was removed")
    assert _contents(demo) == before


def test_fresh_follows_no_link(demo: Path, tmp_path: Path, capsys: Printed) -> None:
    (tmp_path / "link").symlink_to(demo)
    assert _demo(tmp_path / "link", "--fresh") == 2
    _refused(capsys, "the demo did not make")
    (tmp_path / "elsewhere").mkdir()
    (demo / "photos" / "phone").symlink_to(tmp_path / "elsewhere")
    assert _demo(demo, "--fresh") == 2
    _refused(capsys, "photos/phone", "nothing was removed")
    assert demo.exists()


def test_a_link_is_no_mark(demo: Path, demo_shop: Path, capsys: Printed) -> None:
    (demo_shop / MARK_FILE).symlink_to(demo / MARK_FILE)
    assert _demo(demo_shop, "--fresh") == 2
    _refused(capsys, "the demo did not make")
    assert (demo_shop / "record.db").exists()


@pytest.mark.parametrize(
    "text", ["", "null", "[]", '{"folder": 1}', '{"folder": "FOLDER", "files": 3}', "\xff"]
)
def test_a_damaged_mark_is_no_mark(demo_shop: Path, capsys: Printed, text: str) -> None:
    (demo_shop / MARK_FILE).write_bytes(text.replace("FOLDER", str(demo_shop)).encode("latin-1"))
    assert _demo(demo_shop, "--fresh") == 2
    _refused(capsys, "the demo did not make")
    assert (demo_shop / "record.db").exists()


def test_fresh_waits_for_a_screen_that_has_it_open(demo: Path, capsys: Printed) -> None:
    wall = Bench(demo, watch=True)
    assert _demo(demo, "--fresh") == 2
    _refused(capsys, "open on a screen", "nothing was removed")
    wall.close()
    assert _demo(demo, "--fresh") == 0


def test_a_demo_half_made_is_made_again_by_fresh(
    tmp_path: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    def cut_off(folder: Path) -> int:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr("kiosk.demo_player.play", cut_off)
        assert _demo(tmp_path / "demo") == 1
        assert not (tmp_path / "demo").exists(), "Ctrl-C leaves nothing; only a kill does"
        patch.setattr("kiosk.commands.make_shop._take_away", lambda *_: None)
        assert _demo(tmp_path / "demo") == 1
    assert _demo(tmp_path / "demo") == 2
    _refused(capsys, "only half made", "kiosk demo --fresh")
    assert _demo(tmp_path / "demo", "--fresh") == 0


def test_a_place_that_cannot_be_written_is_said_in_one_line(
    tmp_path: Path, capsys: Printed, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(path: object, *_: object, **named: object) -> None:
        raise PermissionError(errno.EACCES, "Permission denied", str(path))

    with monkeypatch.context() as patch:
        patch.setattr(os, "mkdir", refuse)  # as for anybody but the administrator, who may write anywhere
        assert _demo(tmp_path / "demo") == 2
    _refused(capsys, "cannot be made")
