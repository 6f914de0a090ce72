"""Whether a shop's files were changed since they were read: an open kiosk goes on with what it read."""

import hashlib
import time
from collections.abc import Mapping
from pathlib import Path

from kiosk.shop.files import Unreadable, read_bytes
from kiosk.shop.shop import PROCEDURES_FOLDER, SHOP_FILE, procedure_files

LOOK_EVERY_S = 5.0
COARSEST_NS = 3_000_000_000  # FAT keeps times by two seconds

_Stamp = tuple[int, int, int]  # when it was changed, its size, and which file it is


class FilesWatch:
    """Looks at the files of a shop, slowly: at their stamps first, and at their bytes when one is another."""

    def __init__(self, folder: Path, monotonic_s: float) -> None:
        self._folder = folder
        self._next_look_s = monotonic_s + LOOK_EVERY_S
        self._stamps = self._stamps_now()
        self._young = _any_young(self._stamps)
        self._digests = {path: _digest(path) for path in self._stamps}
        self.changed: tuple[str, ...] = ()  # the names of the files that are not as they were read

    def look(self, monotonic_s: float) -> bool:
        """Look again when it is time. True when other files are changed than were."""
        if monotonic_s < self._next_look_s:
            return False
        self._next_look_s = monotonic_s + LOOK_EVERY_S
        stamps = self._stamps_now()
        if stamps == self._stamps and not self._young:
            return False
        self._stamps, self._young = stamps, _any_young(stamps)
        before = self.changed
        paths = sorted({*stamps, *self._digests})
        self.changed = tuple(path.name for path in paths if _digest(path) != self._digests.get(path))
        return self.changed != before

    def _stamps_now(self) -> dict[Path, _Stamp | None]:
        paths = [self._folder / SHOP_FILE, *procedure_files(self._folder / PROCEDURES_FOLDER)]
        return {path: _stamp(path) for path in paths}


def _any_young(stamps: Mapping[Path, _Stamp | None]) -> bool:
    """True where a file may be saved once more without another stamp: a stick keeps times by two seconds."""
    since_ns = time.time_ns() - COARSEST_NS
    return any(stamp is not None and stamp[0] >= since_ns for stamp in stamps.values())


def _stamp(path: Path) -> _Stamp | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


def _digest(path: Path) -> str | None:
    try:
        return hashlib.sha256(read_bytes(path)).hexdigest()
    except Unreadable:
        return None
