"""``kiosk wall``: have the wall screen come up with the machine, or no longer."""

from __future__ import annotations

import argparse
import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.command import FAILED, OK, Command, Misused
from kiosk.commands.shop_argument import existing_shop
from kiosk.errors import KioskError

if TYPE_CHECKING:  # loaded when it is run, not for the help
    from kiosk.commands.wall_files import Machine, WallFile

ROOT = Path("/")
WORD = "YES"


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("shop", type=Path, metavar="SHOP", nargs="?", help="the shop folder")
    parser.add_argument("--yes", action="store_true", help="write without asking for a typed word")
    parser.add_argument("--remove", action="store_true", help="take away what this command wrote")
    parser.add_argument(
        "--font", type=int, default=26, metavar="PIXELS", help="how high the letters are (default: 26)"
    )


def _run(arguments: argparse.Namespace) -> int:
    if arguments.remove:
        return _remove(ask=not arguments.yes)
    if arguments.shop is None:
        raise Misused("no shop folder is named", "write: kiosk wall SHOP")
    from kiosk.commands.wall_files import wall_files

    if not 8 <= arguments.font <= 96:
        raise Misused(f"letters of {arguments.font} pixels cannot be read", "write 8 to 96")
    folder = existing_shop(arguments.shop).resolve()
    machine = _machine(folder, arguments.font)
    try:
        files = wall_files(machine, ROOT)
    except ValueError as error:
        raise Misused(str(error), "rename the folder") from None
    _require_own(files)
    _print_plan(machine, files)
    _require_rights(files, f"sudo {shlex.join([*machine.kiosk, 'wall', str(folder)])}")
    if not arguments.yes and not _typed("write them"):
        print("Nothing was written.")
        return FAILED
    _write(files)
    _systemctl("daemon-reload")
    _systemctl("enable", files[0].path.name)
    print("Written. It comes up with the machine; at once with: sudo systemctl start bench-kiosk")
    return OK


def _machine(folder: Path, font_pixels: int) -> Machine:
    """What of this machine goes into the files. Raises Misused where it cannot be done, in one line."""
    from kiosk.commands.wall_files import Machine

    if not (ROOT / "run/systemd/system").is_dir():  # sd_booted(3)
        raise Misused("this machine is not started by systemd", "start it otherwise: kiosk open SHOP --wall")
    if (ROOT / "etc/systemd/system/display-manager.service").exists():
        raise Misused(
            "a desktop starts on this machine, and would have the same screen",
            "start this on the desktop: foot --fullscreen kiosk open SHOP --wall",
        )
    programs = {name: shutil.which(name) for name in ("cage", "foot")}
    missing = [name for name, path in programs.items() if path is None]
    if missing:
        raise Misused(
            f"{' and '.join(missing)} cannot be found", "install: sudo apt install cage xwayland foot"
        )
    owner = folder.stat().st_uid
    if owner == 0:
        raise Misused(f"{folder} belongs to root", "give it to whoever works at the bench: chown -R NAME")
    user = _user_name(owner)
    kiosk = _kiosk()
    for path in (Path(kiosk[0]), Path(sys.executable).resolve(), folder / "shop.yaml"):
        if not _can_be_reached(path, owner):
            raise Misused(f"{user} cannot get to {path}", "put it where they can, such as their home")
    return Machine(
        user=user,
        cage=Path(programs["cage"] or ""),
        foot=Path(programs["foot"] or ""),
        kiosk=kiosk,
        shop=folder,
        keyboard=_keyboard(ROOT / "etc/default/keyboard"),
        font_pixels=font_pixels,
    )


def _user_name(number: int) -> str:
    import pwd

    try:
        return pwd.getpwuid(number).pw_name
    except KeyError:
        raise Misused(f"nobody on this machine has the number {number}", "chown the shop folder") from None


def _kiosk() -> list[str]:
    """The command that is this kiosk, wherever it is started from."""
    script = Path(sys.executable).parent / "kiosk"
    return [str(script)] if script.is_file() else [sys.executable, "-P", "-m", "kiosk"]


def _can_be_reached(path: Path, user: int) -> bool:
    """True when every folder on the way lets this user through, as far as the owner and all others go."""
    for folder in path.absolute().parents:
        mode = folder.stat()
        bit = 0o100 if mode.st_uid == user else 0o011  # a group may let them through: not looked up
        if not mode.st_mode & bit:
            return False
    return True


def _keyboard(file: Path) -> str:
    """The machine's layout, where Debian keeps it; empty when there is none, or more than a layout's name."""
    with suppress(OSError, ValueError, UnicodeDecodeError):
        for word in shlex.split(file.read_text(encoding="utf-8"), comments=True):
            name, _, value = word.partition("=")
            if name == "XKBLAYOUT" and value and all(one.isalnum() or one in ",_-" for one in value):
                return value
    return ""


def _require_own(files: Sequence[WallFile]) -> None:
    """Nobody else's file is written over."""
    from kiosk.commands.wall_files import MARK

    for file in files:
        if os.path.lexists(file.path) and not _is_own(file.path):
            raise Misused(
                f"{file.path} was not written by kiosk wall ({MARK!r} is not in it)", "move it away"
            )


def _is_own(path: Path) -> bool:
    from kiosk.commands.wall_files import MARK

    with suppress(OSError, UnicodeDecodeError):
        return path.is_file() and not path.is_symlink() and MARK in path.read_text(encoding="utf-8")
    return False


def _print_plan(machine: Machine, files: Sequence[WallFile]) -> None:
    print(f"The wall screen of {machine.shop} comes up with the machine, as {machine.user}.")
    print("These files are written, and nothing else:")
    for file in files:
        print(f"\n==> {file.path}")
        print(file.text, end="")
    print("\nThen: systemctl daemon-reload; systemctl enable bench-kiosk.service")
    print("Taken away again by: kiosk wall --remove\n")


def _require_rights(files: Sequence[WallFile], again: str) -> None:
    if not os.access(files[0].path.parent, os.W_OK):
        raise Misused(
            "nothing was written: that needs the machine's own rights", f"when it is right: {again}"
        )


def _typed(what: str) -> bool:
    if not sys.stdin.isatty():
        raise Misused("nothing was changed: there is nobody to ask", "add --yes when it is meant")
    try:
        return input(f"Type {WORD} to {what}: ").strip() == WORD
    except EOFError:
        return False


def _write(files: Sequence[WallFile]) -> None:
    for file in files:
        try:
            file.path.parent.mkdir(mode=0o755, exist_ok=True)
            file.path.write_text(file.text, encoding="utf-8")
            file.path.chmod(0o644)
        except OSError as error:
            raise KioskError(
                f"{file.path} cannot be written ({error.strerror})", "mend it, then again"
            ) from None


def _systemctl(*words: str) -> None:
    done = subprocess.run(["systemctl", *words], capture_output=True, text=True, check=False)
    if done.returncode:
        said = (done.stderr.strip().splitlines() or ["it said nothing"])[0]
        raise KioskError(
            f"systemctl {' '.join(words)} failed: {said}", "the files stand; mend it, then again"
        )


def _remove(*, ask: bool) -> int:
    from kiosk.commands.wall_files import OWN_FOLDER, UNIT, paths

    found = [path for path in paths(ROOT) if os.path.lexists(path)]
    own = [path for path in found if _is_own(path)]
    for path in set(found) - set(own):
        print(f"{path} was not written by kiosk wall, and stays.")
    if not own:
        print("There is nothing to take away.")
        return OK
    print("These files are taken away, and nothing else:")
    for path in own:
        print(f"  {path}")
    if not os.access(own[0].parent, os.W_OK):
        again = f"sudo {shlex.join([*_kiosk(), 'wall', '--remove'])}"
        raise Misused(
            "nothing was taken away: that needs the machine's own rights", f"when it is right: {again}"
        )
    if ask and not _typed("take them away"):
        print("Nothing was taken away.")
        return FAILED
    if ROOT / "etc/systemd/system" / UNIT in own:
        _systemctl("disable", UNIT)
    for path in own:
        path.unlink()
    with suppress(OSError):  # somebody else's file is in it
        (ROOT / OWN_FOLDER).rmdir()
    _systemctl("daemon-reload")
    print("Taken away. A wall screen that is up now stays until it is left.")
    return OK


COMMAND = Command(
    "wall",
    "have the wall screen come up with the machine; prints every file first, and asks",
    _run,
    _add_arguments,
)
