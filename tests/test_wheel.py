"""What is built for others: everything that the kiosk needs is in it, and it runs away from the clone."""

import os
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

from kiosk import __version__

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built without a network."""
    folder = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return next(folder.glob("*.whl"))


def _inside(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as opened:
        return set(opened.namelist())


def test_every_file_of_the_kiosk_is_in_the_wheel(wheel: Path) -> None:
    inside = _inside(wheel)
    own = [path for path in (ROOT / "kiosk").rglob("*") if path.is_file() and path.suffix != ".pyc"]
    assert {path.relative_to(ROOT).as_posix() for path in own} <= inside
    for name in ("procedures", "scenarios"):
        data = [path for path in (ROOT / name).rglob("*") if path.is_file()]
        assert data and {f"kiosk/_data/{path.relative_to(ROOT).as_posix()}" for path in data} <= inside


def test_nothing_else_is_in_the_wheel(wheel: Path) -> None:
    folders = {name.split("/")[0] for name in _inside(wheel)}
    assert folders == {"kiosk", f"bench_kiosk-{__version__}.dist-info"}


def test_the_licence_is_in_the_wheel_and_named_by_it(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as opened:
        about = f"bench_kiosk-{__version__}.dist-info"
        said = opened.read(f"{about}/METADATA").decode()
        assert "License-Expression: MIT\n" in said and "License-File: .project/LICENSE\n" in said
        text = (ROOT / ".project" / "LICENSE").read_bytes()
        assert opened.read(f"{about}/licenses/.project/LICENSE") == text


def test_the_kiosk_runs_from_the_wheel_alone(wheel: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(wheel) as opened:
        opened.extractall(tmp_path / "installed")
    done = subprocess.run(
        [sys.executable, "-m", "kiosk", "demo", "--folder", str(tmp_path / "demo")],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(tmp_path / "installed"), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "CARRY ON" in done.stdout


def test_the_version_is_the_same_everywhere() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == __version__
    changes = (ROOT / ".project" / "CHANGELOG.md").read_text(encoding="utf-8")
    assert f"## {__version__}\n" in changes and "## Unreleased\n" in changes
