"""What was read from a shop's files, kept beside them, so that a start need not read YAML nor check it again.

What is kept is the plain data of files without an error. It is found again only by the bytes of every file
and of the code that reads and checks them, and the models are built from it as from the files themselves.
Whatever does not fit, or is damaged, is as good as not there.
"""

from __future__ import annotations

import hashlib
import json
import os
from contextlib import suppress
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from kiosk.errors import KioskError
from kiosk.shop.data import data_folder
from kiosk.shop.figures import Figures
from kiosk.shop.procedure import Procedure
from kiosk.shop.shop import PROCEDURES_FOLDER, SHOP_FILE, Shop, ShopFile, procedure_files, put_together

KEPT_FILE = Path(".cache") / "shop.json"
LARGEST_BESIDE = 1024 * 1024  # bytes: a file of coordinates is far smaller
_CODE = ("shop", "numbers")  # the packages whose code reads the files and checks them


def open_shop(folder: Path) -> Shop:
    """The shop of a folder, from what was kept when nothing changed since. Raises ShopFaults."""
    before = _content(folder)
    if before is not None:
        kept = _read(folder, before)
        if kept is not None:
            return kept
    from kiosk.shop.load import load, usable  # the YAML reader and the checks are slow to load

    loaded = load(folder)
    shop = usable(loaded)
    if before is not None and before == _content(folder):  # nobody saved a file meanwhile
        _learn(shop)
        _write(folder, before, {**loaded.plain, "known": shop.figures.known})
    return shop


def _content(folder: Path) -> str | None:
    """A digest of every file that matters, name and bytes; None when one cannot be read."""
    package = Path(__file__).parent.parent
    shipped, own = data_folder(PROCEDURES_FOLDER), folder / PROCEDURES_FOLDER
    files = [(f"code/{part}", path) for part in _CODE for path in sorted((package / part).glob("*.py"))]
    files += [("shipped", path) for path in procedure_files(shipped)]
    files += [("own", path) for path in procedure_files(own)]
    files += [("shop", path) for path in _beside(folder)]
    digest = hashlib.sha256()
    try:
        for where, path in files:
            with path.open("rb") as handle:  # whatever its size: too large a file is refused by the reader
                digest.update(f"{where}/{path.name}\0".encode())
                digest.update(hashlib.file_digest(handle, "sha256").digest())
    except OSError:
        return None
    return digest.hexdigest()


def _learn(shop: Shop) -> None:
    """What takes longest of all, once for these files: the ribs laid out, and the times worked out."""
    shop.figures.lay_out_ribs()
    for kind in shop.kinds.values():
        for _, step in shop.route_steps(kind):
            with suppress(KioskError):  # left to who asks for it
                _ = step.minutes


def _beside(folder: Path) -> list[Path]:
    """The shop file, and what lies beside it that a section may be read from."""
    found = [folder / SHOP_FILE]
    with suppress(OSError):
        for path in sorted(folder.iterdir()):
            small = path.is_file() and path.stat().st_size <= LARGEST_BESIDE
            if small and path.name != SHOP_FILE and not path.name.startswith((".", "record.")):
                found.append(path)
    return found


def _seal(content: str, text: str) -> str:
    return hashlib.sha256(f"{content}\n{text}".encode()).hexdigest()


def _read(folder: Path, content: str) -> Shop | None:
    try:
        seal, _, text = (folder / KEPT_FILE).read_text(encoding="utf-8").partition("\n")
        if seal != _seal(content, text):
            return None
        plain = json.loads(text)
        file = ShopFile.model_validate(plain["shop"])
        procedures = [Procedure.model_validate(data) for data in plain["procedures"]]
        known = {str(name): float(value) for name, value in plain["known"].items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError, ValidationError):
        return None
    figures = Figures({kind.id: kind for kind in file.part_kinds}, folder, known)
    return put_together(folder, file, {procedure.id: procedure for procedure in procedures}, figures)


def _write(folder: Path, content: str, plain: dict[str, Any]) -> None:
    """Keep it, whole or not at all; a disk that refuses costs only the time of the next start."""
    text = json.dumps(plain, ensure_ascii=False)
    path = folder / KEPT_FILE
    half = path.with_name(f"{path.name}.{os.getpid()}.part")
    with suppress(OSError):
        path.parent.mkdir(exist_ok=True)
        half.write_text(f"{_seal(content, text)}\n{text}", encoding="utf-8")
        half.replace(path)
    with suppress(OSError):
        half.unlink(missing_ok=True)
