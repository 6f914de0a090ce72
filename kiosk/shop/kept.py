"""What was read from a shop's files, kept beside them, so that a start need not read YAML nor check it again.

What is kept are the models of files without an error, packed. They are found again only by the bytes of every
file, of the coordinates that its sections name, and of the code that reads and checks them, and taken as they
were made then: a start builds no schema to check them once more.
Whatever does not fit, or is damaged, is as good as not there; what was sealed and is wrong is said.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from textwrap import shorten

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.packed import code_mark, pack, unpack
from kiosk.shop.data import data_folder
from kiosk.shop.figures import Figures
from kiosk.shop.files import Unreadable, read_bytes
from kiosk.shop.procedure import Procedure
from kiosk.shop.shop import PROCEDURES_FOLDER, SHOP_FILE, Shop, ShopFile, procedure_files, put_together

KEPT_FILE = Path(".cache") / "shop.packed"
LARGEST_KEPT_BYTES = 64 * 1024 * 1024
_CODE = ("shop", "numbers")  # the packages whose code reads the files and checks them


@dataclass(frozen=True)
class KeptFiles:
    """What was read from the files, the figures that were worked out of it, and the coordinates they took."""

    file: ShopFile
    procedures: dict[str, Procedure]
    known: dict[str, float]
    sections: dict[str, str | None]


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
    sections = {name: _digest_of(folder / name) for name in _coordinate_files(shop)}
    _learn(shop)
    if before is not None and before == _content(folder) and _unchanged(folder, sections):
        # Nobody saved a file meanwhile.
        _write(folder, before, KeptFiles(shop.file, dict(shop.procedures), shop.figures.known, sections))
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
    shipped, own = data_folder(PROCEDURES_FOLDER), folder / PROCEDURES_FOLDER
    files = [("shipped", path) for path in procedure_files(shipped)]
    files += [("own", path) for path in procedure_files(own)]
    files.append(("shop", folder / SHOP_FILE))
    digest = hashlib.sha256(code_mark(*_CODE).encode())
    for where, path in files:
        of_file = _digest_of(path)
        if of_file is None:
            return None
        digest.update(b"\0".join((f"{where}/".encode(), os.fsencode(path.name), of_file.encode(), b"")))
    return digest.hexdigest()


def _digest_of(path: Path) -> str | None:
    """A digest of a file's bytes; None when it cannot be read."""
    try:
        return hashlib.sha256(read_bytes(path)).hexdigest()
    except Unreadable:
        return None


def _coordinate_files(shop: Shop) -> list[str]:
    """The file of every section that is read from one, as the shop file names it."""
    from kiosk.shop.rib_of_kind import is_coordinate_file

    names: set[str] = set()
    for kind in shop.kinds.values():
        with suppress(KioskError):  # a kind without a section, or one that `kiosk check` names
            name = shop.figures.dimension(kind, "section").shown
            if is_coordinate_file(name):
                names.add(name)
    return sorted(names)


def _unchanged(folder: Path, sections: Mapping[str, str | None]) -> bool:
    return all(_digest_of(folder / name) == digest for name, digest in sections.items())


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
        if not _unchanged(folder, kept.sections):
            return None
        figures = Figures({kind.id: kind for kind in kept.file.part_kinds}, folder, kept.known)
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
