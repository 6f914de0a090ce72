"""The files that bring a wall screen up with its machine: what stands in them, and where they go.

They are kept as they are under ``wall_data``, with a name in ``@{…}`` where this machine comes in.
"""

import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from kiosk.commands.keeper import LEFT_NOTE
from kiosk.dataclass import dataclass

UNIT = "bench-kiosk.service"
OWN_FOLDER = "etc/bench-kiosk"
MARK = "Written by: kiosk wall."  # in each of the files, and by it known as the kiosk's own
_NAMED = re.compile(r"@\{([a-z_]+)\}")  # systemd has its own meanings for % and $
_WHERE = {
    UNIT: "etc/systemd/system",
    "bench-kiosk-stopped.service": "etc/systemd/system",
    "foot.ini": OWN_FOLDER,
    "stopped.txt": OWN_FOLDER,
}


@dataclass(frozen=True)
class Machine:
    """What of the machine goes into the files. Paths are absolute."""

    user: str  # who owns the shop folder: the screen runs as nobody else
    cage: Path
    foot: Path
    kiosk: Sequence[str]  # the command that is the kiosk
    shop: Path
    keyboard: str = ""  # its layout, as xkb names it: scanners and keyboards type by it
    font_pixels: int = 26


@dataclass(frozen=True)
class WallFile:
    """One file, whole."""

    path: Path
    text: str


def wall_files(machine: Machine, root: Path = Path("/")) -> list[WallFile]:
    """Every file, whole. Raises ValueError for a character that no unit file can hold."""
    command = [
        str(machine.cage),
        "-d",
        "--",
        str(machine.foot),
        f"--config=/{OWN_FOLDER}/foot.ini",
        "--",
        *machine.kiosk,
        "open",
        str(machine.shop),
        "--wall",
    ]
    keyboard = f" XKB_DEFAULT_LAYOUT={machine.keyboard}" if machine.keyboard else ""
    return _filled(
        {
            "user": machine.user,
            "start": in_unit(command),
            "keyboard": keyboard,
            "left": LEFT_NOTE,
            "font_pixels": str(machine.font_pixels),
        },
        root,
    )


def paths(root: Path = Path("/")) -> list[Path]:
    """Where the files go."""
    return [root / folder / name for name, folder in _WHERE.items()]


def _filled(names: Mapping[str, str], root: Path) -> list[WallFile]:
    kept = Path(__file__).parent / "wall_data"
    return [
        WallFile(path, _NAMED.sub(lambda found: names[found[1]], (kept / path.name).read_text("utf-8")))
        for path in paths(root)
    ]


def in_unit(words: Sequence[str]) -> str:
    """A command as ExecStart= takes it, the words as they are.

    systemd.service(5), "Command lines": words are parted by spaces, may stand in double quotes with C-style
    escapes, ``$$`` is one dollar sign; systemd.unit(5), "Specifiers": ``%%`` is one percent sign. Raises
    ValueError for control characters, of which no shop folder needs any.
    """
    return " ".join(_quoted(word) for word in words)


def _quoted(word: str) -> str:
    if any(ord(character) < 0x20 or ord(character) == 0x7F for character in word):
        raise ValueError(f"{word!r} has a character that cannot stand in a unit file")
    text = word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%").replace("$", "$$")
    plain = word and all(character.isalnum() or character in "/._-=:,+@" for character in word)
    return text if plain else f'"{text}"'
