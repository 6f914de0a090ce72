"""Makes a shop folder from a scenario that came with the kiosk."""

import shutil
from contextlib import suppress
from pathlib import Path

from kiosk.commands.command import Misused
from kiosk.shop.data import data_folder

OWN_FOLDERS = ("procedures", "photos", "logbook")


def scenario_folder(scenario: str) -> Path:
    """Where a scenario is. Raises Misused when there is none of this name."""
    known = sorted(path.name for path in data_folder("scenarios").iterdir() if path.is_dir())
    if scenario not in known:
        raise Misused(f"there is no scenario {scenario!r}", f"use one of {', '.join(known)}")
    return data_folder("scenarios") / scenario


def make_shop(
    folder: Path, scenario: str, *, with_history: bool, mark: tuple[str, str] | None = None
) -> None:
    """Copy a scenario into a new folder and play its history.

    Raises Misused or CannotWrite when it cannot be made; then nothing of it is left.

    ``mark`` is the name and text of a file that is written before any other.
    """
    from kiosk.record.stopped import CannotWrite
    from kiosk.record.troubles import disk_full

    source = scenario_folder(scenario)
    folder = folder.resolve()  # of `gone/../mine` nothing can be told before its parents are made
    before = _there(folder)
    try:
        _make(source, folder, with_history=with_history, mark=mark)
    except Exception as error:  # no half of a shop is left
        _take_away(folder, before)
        if isinstance(error, OSError):
            reason = error.strerror or "some files cannot be written there"
            raise Misused(f"{folder} cannot be made ({reason})", "choose another folder") from None
        if isinstance(error, CannotWrite) and error.wrong == disk_full().wrong:
            raise CannotWrite(
                f"{folder} cannot be made: its disk is too small", "make room there, then try again"
            ) from None
        raise


def _there(folder: Path) -> Path | None:
    """The nearest folder above a new one that is there; None where it is there itself, and empty."""
    try:
        if folder.exists():
            if any(folder.iterdir()):
                raise Misused(f"{folder} is not empty", "choose a new folder; nothing was changed")
            return None
    except OSError as error:
        raise Misused(f"{folder} cannot be made ({error.strerror})", "choose another folder") from None
    return next(path for path in folder.parents if path.exists())


def _make(source: Path, folder: Path, *, with_history: bool, mark: tuple[str, str] | None) -> None:
    from kiosk.demo_player import HISTORY_FILE, play
    from kiosk.record.troubles import require_room

    needed = sum(path.stat().st_size for path in source.rglob("*"))
    above = next(path for path in (folder, *folder.parents) if path.exists())
    require_room(above, needed, f"{folder} cannot be made")
    folder.mkdir(parents=True, exist_ok=True)
    if mark is not None:
        name, text = mark
        (folder / name).write_text(text, encoding="utf-8")
    shutil.copytree(source, folder, dirs_exist_ok=True)
    for name in OWN_FOLDERS:
        (folder / name).mkdir(exist_ok=True)
    if with_history:
        play(folder)
    (folder / HISTORY_FILE).unlink(missing_ok=True)


def _take_away(folder: Path, above: Path | None) -> None:
    """What was begun of a shop, with the folders that were made for it: all below ``above``, or where that is
    None all within a folder that was empty."""
    if above is None:
        for path in folder.iterdir() if folder.is_dir() else ():
            if path.is_dir() and not path.is_symlink():
                shutil.rmtree(path, ignore_errors=True)
            else:
                with suppress(OSError):
                    path.unlink()
        return
    made = [path for path in (folder, *folder.parents) if above in path.parents]
    shutil.rmtree(made[-1], ignore_errors=True)
