"""What was read from a shop's files, kept beside them, so that a start need not read YAML nor check it again.

What is kept are the models of files without an error, packed. They are found again only by the bytes of every
file, of the coordinates that its sections name, and of the code that reads and checks them, and taken as they
were made then: a start builds no schema to check them once more.
Whatever does not fit, or is damaged, is as good as not there; what was sealed and is wrong is said.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from textwrap import shorten

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.packed import code_mark, pack, unpack
from kiosk.shop.figures import Figures
from kiosk.shop.files import Unreadable, content_of, read_bytes
from kiosk.shop.procedure import Procedure
from kiosk.shop.shop import SHOP_FILE, Shop, ShopFile, files_of_shop, put_together

KEPT_FILE = Path(".cache") / "shop.packed"
LARGEST_KEPT_BYTES = 64 * 1024 * 1024
_CODE = ("shop", "numbers")  # the packages whose code reads the files and checks them


@dataclass(frozen=True)
class KeptFiles:
    """What was read from the files, the figures that were worked out of it, and the coordinates they took."""

    file: ShopFile
    procedures: dict[str, Procedure]
    known: dict[str, float]
    sections: dict[str, bytes | None]  # as they were read, by name


def open_shop(folder: Path, tell: Callable[[str], None] = lambda _: None) -> Shop:
    """The shop of a folder, from what was kept when nothing changed since. Raises ShopFaults.

    ``tell`` hears in a line of something that was kept and is wrong; the files are then read.
    """
    before = _content(folder)
    if before is not None:
        kept = _read(folder, before, tell)
        if kept is not None:
            return kept
    from kiosk.shop.load import load, usable  # the YAML reader and the checks are slow to load

    loaded = load(folder)
    shop = usable(loaded)
    _read_sections(shop)
    _learn(shop)
    sections = shop.figures.sections
    if before is not None and before == _content(folder) and sections.are_unchanged():
        # Nobody saved a file meanwhile.
        kept_files = KeptFiles(shop.file, dict(shop.procedures), shop.figures.known, sections.as_read)
        _write(folder, before, kept_files)
    return shop


@dataclass(frozen=True)
class CheckedKept:
    """What is kept of a shop's files held to them: whether something is, and what is wrong with it."""

    there: bool
    wrong: str = ""


def check_kept(folder: Path) -> CheckedKept:
    """Read the files anew and compare. What is of other files or other code is never used, and so not there.
    Raises ShopFaults where the files themselves have errors."""
    told: list[str] = []
    content = _content(folder)
    kept = _read(folder, content, told.append) if content is not None else None
    if kept is None:
        return CheckedKept(bool(told), "it cannot be read" if told else "")
    from kiosk.shop.load import load, usable

    shop = usable(load(folder))
    _learn(shop)
    where = [name for name, differs in _differences(kept, shop).items() if differs]
    return CheckedKept(True, (where and f"it is not what the files say in {', '.join(where)}") or "")


def _differences(kept: Shop, read: Shop) -> dict[str, bool]:
    """Where a kept shop is not the one that was read, in words."""
    procedures = {**kept.procedures, **read.procedures}
    other = [name for name in procedures if kept.procedures.get(name) != read.procedures.get(name)]
    return {
        SHOP_FILE: kept.file != read.file,
        f"the procedures {', '.join(other[:3])}": bool(other),
        "the figures worked out": kept.figures.known != read.figures.known,
    }


def throw_away(folder: Path) -> None:
    """Let the next start read the files. Raises OSError."""
    (folder / KEPT_FILE).unlink(missing_ok=True)


def _content(folder: Path) -> str | None:
    """A digest of every file that matters, name and bytes; None when one cannot be read."""
    digest = hashlib.sha256(code_mark(*_CODE).encode())
    for where, path in files_of_shop(folder):
        content = content_of(path)
        if content is None:
            return None
        of_file = hashlib.sha256(content).hexdigest()
        digest.update(b"\0".join((f"{where}/".encode(), os.fsencode(path.name), of_file.encode(), b"")))
    return digest.hexdigest()


def _read_sections(shop: Shop) -> None:
    """Read the file of every section that has one: a rib may not be laid out before it is drawn."""
    from kiosk.shop.rib_of_kind import is_coordinate_file

    for kind in shop.kinds.values():
        with suppress(KioskError):  # a kind without a section, or one that `kiosk check` names
            name = shop.figures.dimension(kind, "section").shown
            if is_coordinate_file(name):
                shop.figures.sections.look(name)


def _learn(shop: Shop) -> None:
    """What takes longest of all, once for these files: the ribs laid out, and the times worked out."""
    shop.figures.lay_out_ribs()
    for kind in shop.kinds.values():
        for _, step in shop.route_steps(kind, repairs=True):
            with suppress(KioskError):  # left to who asks for it
                _ = step.minutes


def _seal(content: str, packed: bytes) -> bytes:
    return hashlib.sha256(content.encode() + b"\n" + packed).hexdigest().encode()


def _read(folder: Path, content: str, tell: Callable[[str], None]) -> Shop | None:
    try:
        seal, _, packed = read_bytes(folder / KEPT_FILE, LARGEST_KEPT_BYTES).partition(b"\n")
    except Unreadable:
        return None
    if seal != _seal(content, packed):
        return None  # of other files or other code, or damaged
    try:
        kept = unpack(packed, KeptFiles)
        kinds = {kind.id: kind for kind in kept.file.part_kinds}
        figures = Figures(kinds, folder, kept.known, kept.sections)
        if not figures.sections.are_unchanged():
            return None
        return put_together(folder, kept.file, kept.procedures, figures)
    except Exception as error:  # foreign bytes may fail in any way
        tell(f"{folder / KEPT_FILE} was wrong ({shorten(str(error), 80)}): the shop's files were read anew")
        return None


def _write(folder: Path, content: str, what: KeptFiles) -> None:
    """Keep it, whole or not at all; a disk that refuses costs only the time of the next start."""
    packed = pack(what)
    path = folder / KEPT_FILE
    half = path.with_name(f"{path.name}.{os.getpid()}.part")
    with suppress(OSError):
        path.parent.mkdir(exist_ok=True)
        half.write_bytes(_seal(content, packed) + b"\n" + packed)
        half.replace(path)
    with suppress(OSError):
        half.unlink(missing_ok=True)
