"""Makes a shop folder from a scenario that came with the kiosk."""

import fcntl
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from kiosk.commands.command import Misused
from kiosk.shop.data import HISTORY_FILE, data_folder

OWN_FOLDERS = ("procedures", "photos", "logbook")
KEPT_FOLDERS = (".cache", ".screens", "copies")  # the kiosk fills them as it runs, in every shop
KEPT_FILES = ("record.db", "record.head", "record.replaced-", "crash.txt")  # and these files begin so


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

    Raises Misused or CannotWrite when it cannot be made. Then, and when it is interrupted, nothing of it is
    left; what others put there meanwhile is.

    ``mark`` is the name and text of a file that is written before any other.
    """
    source = scenario_folder(scenario)
    with _said_if_it_cannot_be_made(folder):
        folder = folder.resolve()  # of `gone/../mine` nothing can be told before its parents are made
        above = _there(folder)
        _require_room(source, folder)
        folder.mkdir(parents=True, exist_ok=True)
        with _alone_in(folder):  # whoever is refused there takes nothing away: another may be at work in it
            try:
                _make(source, folder, with_history=with_history, mark=mark)
            except BaseException:
                _take_away(folder, source, mark)
                _take_away_empty(folder, above)
                raise


@contextmanager
def _said_if_it_cannot_be_made(folder: Path) -> Iterator[None]:
    from kiosk.record.stopped import CannotWrite
    from kiosk.record.troubles import disk_full

    try:
        yield
    except RuntimeError:  # of links, until Python 3.13
        raise Misused(
            f"{folder} cannot be made (its links lead in a circle)", "choose another folder"
        ) from None
    except OSError as error:
        reason = error.strerror or "some files cannot be written there"
        raise Misused(f"{folder} cannot be made ({reason})", "choose another folder") from None
    except CannotWrite as error:
        if error.wrong == disk_full().wrong:
            raise CannotWrite(
                f"{folder} cannot be made: its disk is too small", "make room there, then try again"
            ) from None
        raise


@contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    """Hold the folder, so that of two who make a shop in it the first does. A kill lets go of it.

    Raises Misused for who comes second, also where the first is through by then.
    """
    held = os.open(folder, os.O_RDONLY)
    try:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise Misused(f"a shop is being made in {folder} already", "choose another folder") from None
        except OSError:
            pass  # a network's disk may lock no folder: whoever comes second there finds it not empty
        if not os.path.samestat(os.fstat(held), folder.stat()):
            raise Misused(f"{folder} was taken away meanwhile", "try again")
        _require_empty(folder)
        yield
    finally:
        os.close(held)


def _require_empty(folder: Path) -> None:
    if any(folder.iterdir()):
        raise Misused(f"{folder} is not empty", "choose a new folder; nothing was changed")


def _require_room(source: Path, folder: Path) -> None:
    from kiosk.record.troubles import require_room

    needed = sum(path.stat().st_size for path in source.rglob("*"))
    there = next(path for path in (folder, *folder.parents) if path.exists())
    require_room(there, needed, f"{folder} cannot be made")


def _there(folder: Path) -> Path:
    """The nearest of a folder and those above it that is there. Raises Misused where it is not empty."""
    if folder.exists():
        _require_empty(folder)
    return next(path for path in (folder, *folder.parents) if path.exists())


def _make(source: Path, folder: Path, *, with_history: bool, mark: tuple[str, str] | None) -> None:
    from kiosk.demo_player import play
    from kiosk.shop.shop import SHOP_FILE

    if mark is not None:
        name, text = mark
        (folder / name).write_text(text, encoding="utf-8")
    shutil.copytree(source, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns(SHOP_FILE))
    for name in OWN_FOLDERS:
        (folder / name).mkdir(exist_ok=True)
    shutil.copy2(source / SHOP_FILE, folder / SHOP_FILE)  # the last: what was cut off is no shop
    if with_history:
        play(folder)
    (folder / HISTORY_FILE).unlink(missing_ok=True)


def _take_away(folder: Path, source: Path, mark: tuple[str, str] | None) -> None:
    """What was begun of a shop: the scenario's files, what a kiosk writes, and nothing else."""
    made = {path.relative_to(source).as_posix() for path in source.rglob("*")} | {*OWN_FOLDERS}
    made |= {mark[0]} if mark is not None else set()
    for path in sorted(folder.rglob("*"), reverse=True):  # what lies in a folder before the folder
        name = path.relative_to(folder)
        if name.as_posix() in made or name.parts[0] in KEPT_FOLDERS or name.as_posix().startswith(KEPT_FILES):
            with suppress(OSError):
                path.rmdir() if path.is_dir() and not path.is_symlink() else path.unlink()


def _take_away_empty(folder: Path, above: Path) -> None:
    """The folders that were made for a shop, below the one that was there, as far as nothing lies in them."""
    for path in (folder, *folder.parents):
        if path == above:
            return
        with suppress(OSError):
            path.rmdir()
