"""The command line: what a new user types first, and what goes wrong."""

import json
import shutil
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from kiosk import demo_player
from kiosk.bench import Bench
from kiosk.commands import main
from kiosk.commands.command import Misused
from kiosk.commands.make_shop import make_shop
from kiosk.record.troubles import disk_full
from kiosk.views.text import spare_text
from tests.conftest import SteadyClocks, room_for
from tests.driver import set_pins


def test_without_a_terminal_open_prints_the_place_and_the_minutes(
    demo_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["open", str(demo_shop)]) == 0
    out = capsys.readouterr().out
    assert "5 of at most 9 flutes" in out and "Next: CARRY ON" in out and "You have 15 minutes" in out


def test_the_demo_opens_in_mid_work(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["demo", "--folder", str(tmp_path / "demo")]) == 0
    assert "5 of at most 9 flutes" in capsys.readouterr().out


def test_new_makes_a_shop_without_history_and_touches_no_full_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "mine"
    assert main(["new", str(folder)]) == 0
    assert not (folder / "record.db").exists() and not (folder / "history.yaml").exists()
    assert main(["new", str(folder)]) == 2
    assert "not empty" in capsys.readouterr().err
    assert main(["new", str(tmp_path / "x"), "--from", "bramling"]) == 2
    assert "brambling" in capsys.readouterr().err


def test_new_takes_no_file_for_a_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "mine").write_text("a letter")
    assert main(["new", str(tmp_path / "mine")]) == 2
    err = capsys.readouterr().err
    assert "cannot be made" in err and err.count("\n") == 1
    assert (tmp_path / "mine").read_text() == "a letter"


@pytest.mark.parametrize("there", [True, False])
def test_new_leaves_nothing_where_the_disk_fills_up_while_its_history_is_played(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, there: bool
) -> None:
    """A disk of 200 kB took the files, and not the record."""
    folder = tmp_path / "stick" if there else tmp_path / "stick" / "shops" / "mine"
    if there:
        folder.mkdir()

    def full(shop: Path) -> None:
        (shop / "record.db").write_text("half of it")
        raise disk_full()

    monkeypatch.setattr(demo_player, "play", full)
    assert main(["new", str(folder), "--with-history"]) == 1
    err = capsys.readouterr().err
    assert "cannot be made: its disk is too small" in err and err.count("\n") == 1
    assert list(tmp_path.rglob("*")) == ([folder] if there else [])


def test_new_leaves_no_half_of_a_shop_where_there_is_no_room(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise shutil.Error([("a", "b", "[Errno 28] No space left on device")])  # which names no reason itself

    with monkeypatch.context() as patch:
        room_for(patch, 50_000)
        assert main(["new", str(tmp_path / "a" / "mine")]) == 1
    assert "has no room, 0.2 MB are wanted and 0.0 MB are free" in capsys.readouterr().err and not list(
        tmp_path.iterdir()
    )
    monkeypatch.setattr("shutil.copytree", full)
    assert main(["new", str(tmp_path / "mine")]) == 2
    assert "cannot be made (some files cannot be written there)" in capsys.readouterr().err
    assert not (tmp_path / "mine").exists()


def test_of_two_who_make_a_shop_in_one_folder_the_first_does(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """They wrote over and took away each other's files."""
    copytree, folder = shutil.copytree, tmp_path / "mine"
    second = []

    def meanwhile(*given: Any, **named: Any) -> Any:
        monkeypatch.setattr("shutil.copytree", copytree)
        second.append(main(["new", str(folder)]))
        return copytree(*given, **named)

    monkeypatch.setattr("shutil.copytree", meanwhile)
    assert main(["new", str(folder)]) == 0 and second == [2]
    said = capsys.readouterr()
    assert "a shop is being made in" in said.err and said.err.count("\n") == 1
    assert (folder / "shop.yaml").is_file()


@pytest.mark.parametrize("there", [True, False])
def test_new_that_is_interrupted_leaves_nothing_of_its_own_and_takes_nothing_else_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, there: bool
) -> None:
    """Ctrl-C left half a shop, and what was put into the folder meanwhile was taken away with a failure."""
    folder = tmp_path / "shops" / "mine"
    if there:
        folder.mkdir(parents=True)

    def interrupted(shop: Path) -> None:
        (shop / "record.db").write_text("half of it")
        (shop / "photos" / "rib.jpg").write_text("a photo")
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(demo_player, "play", interrupted)
        assert main(["new", str(folder), "--with-history"]) == 1
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == [folder / "photos" / "rib.jpg"]
    (folder / "photos" / "rib.jpg").unlink()
    (folder / "photos").rmdir()
    assert main(["new", str(folder)]) == 0


def test_new_that_is_ended_leaves_nothing_that_opens_as_a_shop(tmp_path: Path) -> None:
    """A signal leaves no time to take it away: what makes a folder a shop is copied last."""
    folder = tmp_path / "mine"

    class Ended(BaseException):
        pass

    def ended(source: Path, to: Path) -> None:
        assert (source.name, to.exists()) == ("shop.yaml", False)
        raise Ended

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("shutil.copy2", ended)
        patch.setattr("kiosk.commands.make_shop._take_away", lambda *_: None)
        with pytest.raises(Ended):
            make_shop(folder, "brambling", with_history=False)
    assert (folder / "history.yaml").exists() and (folder / "photos").is_dir()
    assert main(["open", str(folder)]) == 2


def test_spare_is_for_the_builder_also_where_a_pin_guards_the_screen(
    demo_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["spare", "12", str(demo_shop)]) == 0
    without = capsys.readouterr().out
    set_pins(demo_shop, wren="2468")
    assert main(["spare", "12", str(demo_shop)]) == 0
    assert capsys.readouterr().out == without


def test_spare_names_who_helps(demo_shop: Path) -> None:
    """It printed the id of a person, as the shop's file writes it."""
    with closing(Bench(demo_shop, SteadyClocks())) as bench:
        bench.come("odile")
        said = spare_text(bench.spare(60), bench.shop.people)
    assert "Odile meanwhile: " in said and "odile" not in said


def test_where_nothing_is_left_nothing_is_promised(new_shop: Path) -> None:
    """ "Worth doing all the same:" stood there, and nothing under it."""
    with closing(Bench(new_shop, SteadyClocks())) as bench:
        answer = replace(bench.spare(12), suggestions=(), prepare=(), next_slot=None)
        told = spare_text(answer, bench.shop.people)
        assert "Nothing for you fits in that time." in told and "all the same" not in told
        with_some = replace(answer, prepare=bench.spare(3).prepare)
        assert with_some.prepare and "all the same:" in spare_text(with_some, bench.shop.people)


def test_spare_answers_and_says_why(demo_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["spare", "12", str(demo_shop)]) == 0
    out = capsys.readouterr().out
    assert "1. " in out and "Why: " in out
    assert main(["spare", "2", str(demo_shop)]) == 2
    assert "3 to 120" in capsys.readouterr().err


def test_where_prints_every_part_one_kind_or_one_mark(
    demo_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["where", str(demo_shop)]) == 0
    assert capsys.readouterr().out.count("\n") > 111
    assert main(["where", str(demo_shop), "--kind", "nose-rib"]) == 0
    assert "NR-20" in capsys.readouterr().out
    assert main(["where", str(demo_shop), "--mark", "nr66"]) == 2
    assert "no part is marked 'nr66'" in capsys.readouterr().err
    assert main(["where", str(demo_shop), "--mark", "nr-0"]) == 2
    assert "'nr-0' may be NR-01 … NR-09; write the whole mark" in capsys.readouterr().err
    for mark in ("nr6", "nr06"):
        assert main(["where", str(demo_shop), "--mark", mark]) == 0
        assert "HELD" in capsys.readouterr().out


def test_check_exits_one_and_names_file_and_line(demo_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(demo_shop)]) == 0
    assert "0 faults, 0 warnings" in capsys.readouterr().out
    path = demo_shop / "shop.yaml"
    path.write_text(path.read_text().replace("spar_rivets: 5", "spar_rivets: many"))
    assert main(["check", str(demo_shop)]) == 1
    assert "shop/shop.yaml:" in capsys.readouterr().out
    assert main(["open", str(demo_shop)]) == 1
    assert "shop.yaml:" in capsys.readouterr().err


def test_schema_is_json(capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("procedure", "shop"):
        assert main(["schema", name]) == 0
        assert json.loads(capsys.readouterr().out)["$schema"]


def test_a_folder_that_is_no_shop_is_said_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["open", str(tmp_path)]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_a_record_that_is_no_database_is_said_in_one_line(
    demo_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("record.db-wal", "record.db-shm"):
        (demo_shop / name).unlink(missing_ok=True)
    (demo_shop / "record.db").write_bytes(b"not a database" * 100)
    assert main(["open", str(demo_shop)]) == 1
    err = capsys.readouterr().err
    assert "is damaged (file is not a database)" in err and err.count("\n") == 1


@pytest.mark.parametrize("option", ["--pdf", "--svg", "--dxf"])
def test_a_drawing_is_never_written_over_what_is_no_drawing(
    demo_shop: Path, capsys: pytest.CaptureFixture[str], option: str
) -> None:
    for name in ("shop.yaml", "record.db"):
        before = (demo_shop / name).read_bytes()
        assert main(["rib", "nose-rib", str(demo_shop), option, str(demo_shop / name)]) == 2
        assert "so nothing was written" in capsys.readouterr().err
        assert (demo_shop / name).read_bytes() == before


def test_pictures_go_into_a_folder(demo_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["picture", str(demo_shop), "--into", str(demo_shop / "shop.yaml")]) == 2
    assert "is no folder" in capsys.readouterr().err


@pytest.mark.parametrize("size", ["²x³", "80", "0x5", "1x1", "99999x99999", "80x24x3", ""])
def test_what_is_no_size_of_a_picture_is_one_line(
    demo_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], size: str
) -> None:
    assert main(["picture", str(demo_shop), "--into", str(tmp_path / "out"), "--size", size]) == 2
    said = capsys.readouterr().err
    assert "is no size" in said and said.count("\n") == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("option", ["--kind", "--mark"])
def test_an_empty_name_is_no_name(demo_shop: Path, capsys: pytest.CaptureFixture[str], option: str) -> None:
    assert main(["where", str(demo_shop), option, ""]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_a_shop_that_is_there_is_not_written_over_by_another_way_to_it(tmp_path: Path) -> None:
    """`gone/..` was made on the way, and the folder had looked as if it were not there."""
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "shop.yaml").write_text("my own shop")
    with pytest.raises(Misused, match="is not empty"):
        make_shop(tmp_path / "gone" / ".." / "mine", "brambling", with_history=False)
    assert (tmp_path / "mine" / "shop.yaml").read_text() == "my own shop"
    assert not (tmp_path / "gone").exists()
