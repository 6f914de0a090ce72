"""Makes a shop folder from a scenario that came with the kiosk."""

import shutil
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
    """Copy a scenario into a new folder and play its history. Raises Misused when it cannot be made.

    ``mark`` is the name and text of a file that is written before any other.
    """
    from kiosk.demo_player import HISTORY_FILE, play
    from kiosk.record.troubles import require_room

    source = scenario_folder(scenario)
    was_there = folder.exists()
    try:
        if was_there and any(folder.iterdir()):
            raise Misused(f"{folder} is not empty", "choose a new folder; nothing was changed")
        needed = sum(path.stat().st_size for path in source.rglob("*"))
        above = next(path for path in (folder, *folder.absolute().parents) if path.exists())
        require_room(above, needed, f"{folder} cannot be made")
        folder.mkdir(parents=True, exist_ok=True)
        if mark is not None:
            name, text = mark
            (folder / name).write_text(text, encoding="utf-8")
        shutil.copytree(source, folder, dirs_exist_ok=True)
        for name in OWN_FOLDERS:
            (folder / name).mkdir(exist_ok=True)
    except OSError as error:
        if not was_there:  # no half of a shop is left
            shutil.rmtree(folder, ignore_errors=True)
        reason = error.strerror or "some files cannot be written there"
        raise Misused(f"{folder} cannot be made ({reason})", "choose another folder") from None
    if with_history:
        play(folder)
    (folder / HISTORY_FILE).unlink(missing_ok=True)
