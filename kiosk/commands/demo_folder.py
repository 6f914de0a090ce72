"""Where the demo shop is kept between runs, how it is made, and when it may be thrown away.

A shop holds years of work, so the demo throws away only what it made itself: the folder carries a mark
that the demo wrote when it made it, names that very folder, and lists the files put into it.
"""

import hashlib
import json
import os
import shutil
from contextlib import closing
from pathlib import Path
from typing import Any

from kiosk.commands.command import Misused
from kiosk.commands.make_shop import KEPT_FILES, KEPT_FOLDERS, make_shop, scenario_folder
from kiosk.shop.data import HISTORY_FILE

DEMO = "brambling"
MARK_FILE = ".made-by-kiosk-demo.json"
PRINTED = "logbook"  # what it prints lies here, and so may what a builder printed from it
PRINTED_AS = (".html", ".csv")


def demo_folder() -> Path:
    """Where the demo shop is kept between runs."""
    base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "bench-kiosk" / "demo"


def make_demo(folder: Path) -> None:
    """Make the demo shop in this folder, unless it is there already.

    Raises Misused when something else is in the folder, or only half a demo; nothing is changed then.
    """
    if _is_empty(folder):
        source = scenario_folder(DEMO)
        made = {path.relative_to(source).as_posix(): _digest(path) for path in _files(source)}
        make_shop(folder, DEMO, with_history=True, mark=(MARK_FILE, _mark(folder, made)))
    elif _files_made(folder) is None:
        raise _not_the_demo(folder)
    elif _is_half_made(folder):
        raise Misused(f"the demo in {folder} was only half made", "make it again with: kiosk demo --fresh")


def clear_demo(folder: Path) -> None:
    """Throw the demo in this folder away, so that it can be made again.

    Raises Misused when the demo did not make the folder, when there is something of the builder's own in it,
    or when a screen has it open; nothing is removed then.
    """
    if _is_empty(folder):
        return
    made = _files_made(folder)
    if made is None:
        raise _not_the_demo(folder)
    own = [
        path.relative_to(folder).as_posix()
        for path in _files(folder)
        if not _is_the_demos(folder, path, made)
    ]
    if own:
        raise Misused(
            f"{folder} holds {_some(own)}, which the demo did not put there, so nothing was removed",
            "move it out first, or give the demo another --folder",
        )
    if _is_open(folder):
        raise Misused(f"{folder} is open on a screen, so nothing was removed", "close up there first")
    try:
        shutil.rmtree(folder)
    except OSError as error:
        raise Misused(f"{folder} cannot be removed ({error.strerror})", "remove it yourself") from None


def demo_does_not_fit(folder: Path) -> Misused:
    """What to say of a demo that this kiosk cannot read."""
    return Misused(
        f"the demo in {folder} does not fit this kiosk: an older one made it, or it was edited",
        f"kiosk check {folder} says where; make it again with: kiosk demo --fresh",
    )


def _not_the_demo(folder: Path) -> Misused:
    if (folder / "shop.yaml").exists():
        return Misused(
            f"{folder} is a shop that the demo did not make, and it is left as it is",
            f"open it with: kiosk open {folder}, or give the demo another --folder",
        )
    return Misused(
        f"{folder} is not empty and not made by the demo, and it is left as it is",
        "give the demo another --folder",
    )


def _is_empty(folder: Path) -> bool:
    """True when a demo can be made here: nothing there, or an empty folder."""
    return not os.path.lexists(folder) or (
        folder.is_dir() and not folder.is_symlink() and not any(folder.iterdir())
    )


def _is_half_made(folder: Path) -> bool:
    """True when the making was cut off: the history is the last thing to be played and taken away."""
    return not (folder / "shop.yaml").exists() or (folder / HISTORY_FILE).exists()


def _mark(folder: Path, made: dict[str, str]) -> str:
    return json.dumps({"folder": str(folder.resolve()), "files": made}, indent=2) + "\n"


def _files_made(folder: Path) -> dict[str, str] | None:
    """The files that the demo put here with their digests; None when the demo did not make the folder.

    A copy of the demo is not the demo: it is how somebody may begin a shop of their own.
    """
    mark = folder / MARK_FILE
    if folder.is_symlink() or mark.is_symlink() or not mark.is_file():
        return None
    try:
        read: Any = json.loads(mark.read_text(encoding="utf-8"))
        same_place = read["folder"] == str(folder.resolve())
        files = {str(name): str(digest) for name, digest in read["files"].items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
    return files if same_place else None


def _files(folder: Path) -> list[Path]:
    """Everything in the folder but plain folders; a link is not followed."""
    return sorted(path for path in folder.rglob("*") if path.is_symlink() or not path.is_dir())


def _is_the_demos(folder: Path, path: Path, made: dict[str, str]) -> bool:
    """True for a file that the demo or the kiosk put there, unchanged by hand. A link is never theirs."""
    if path.is_symlink():
        return False
    name = path.relative_to(folder)
    if name.as_posix() == MARK_FILE or name.parts[0] in KEPT_FOLDERS:
        return True
    if name.parts[0] == PRINTED and name.suffix in PRINTED_AS:
        return True
    return name.as_posix().startswith(KEPT_FILES) or made.get(name.as_posix()) == _digest(path)


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""


def _some(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{names[0]} and {len(names) - 1} more"


def _is_open(folder: Path) -> bool:
    """True when a screen is running on the demo."""
    from kiosk.bench import SCREENS_FOLDER
    from kiosk.record.presence import Presence

    if not (folder / SCREENS_FOLDER).is_dir():
        return False
    with closing(Presence(folder / SCREENS_FOLDER, "demo-fresh")) as presence:
        return presence.others_alive()
