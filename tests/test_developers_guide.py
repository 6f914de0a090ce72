"""DEVELOPERS.md: its table of folders is the tree, and its words stand once each and in order."""

import re
from pathlib import Path

ROOT = Path(__file__).parent.parent


def _section(title: str) -> str:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    return text.split(f"\n## {title}\n")[1].split("\n## ")[0]


def test_every_folder_of_the_kiosk_has_a_line_and_every_line_a_folder() -> None:
    lines = re.findall(r"^\| `([a-z_/]+)/` \| \S.* \|$", _section("The arrows"), re.MULTILINE)
    kiosk = ROOT / "kiosk"
    folders = {path.parent.relative_to(kiosk).as_posix() for path in kiosk.rglob("*.py")} - {"."}
    assert sorted(lines) == sorted(folders)


def test_every_test_folder_mirrors_a_folder_or_is_named() -> None:
    tests = {path.parent.name for path in (ROOT / "tests").glob("*/*.py")}
    mirrored = {path.parent.name for path in (ROOT / "kiosk").glob("*/*.py")}
    named = set(re.findall(r"`([a-z]+)/`", _section("Tests")))
    assert tests <= mirrored | named


def test_every_module_that_the_guide_names_is_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`((?:[a-z_]+/)*[a-z_]+\.(?:py|md|toml))`", text))
    assert len(named) >= 10
    for name in named:
        places = (
            ROOT,
            ROOT / "kiosk",
            ROOT / "kiosk" / "planning",
            ROOT / "kiosk" / "record",
            ROOT / ".project",
        )
        assert any((place / name).exists() for place in places), name


def test_the_words_stand_once_each_and_in_order() -> None:
    words = re.findall(r"^\| \*\*(.+?)\*\* \| \S.* \|$", _section("Words"), re.MULTILINE)
    assert len(words) > 40 and words == sorted(set(words))
