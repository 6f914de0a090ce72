"""Whether a shop's files were changed since they were read: an open kiosk goes on with what it read."""

import hashlib
import time
from collections.abc import Mapping
from pathlib import Path

from kiosk.shop.files import content_of
from kiosk.shop.shop import Shop, files_of_shop

LOOK_EVERY_S = 5.0
COARSEST_NS = 3_000_000_000  # FAT keeps times by two seconds

_Stamp = tuple[int, int, int]  # when it was changed, its size, and which file it is


class FilesWatch:
    """Looks at the files that a shop was read from, slowly: at their stamps first, then at their bytes."""

    def __init__(self, shop: Shop, monotonic_s: float) -> None:
        self._folder = shop.folder
        sections = shop.figures.sections
        read = {sections.path(name): content for name, content in sections.as_read.items()}
        self._sections = tuple(read)
        self._next_look_s = monotonic_s + LOOK_EVERY_S
        self._stamps = self._stamps_now()
        # What was saved since it was read is looked at however old it is.
        self._young = _any_young(self._stamps) or not sections.are_unchanged()
        self._digests = {
            path: _digest_of(read[path] if path in read else content_of(path)) for path in self._stamps
        }
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
        self.changed = tuple(
            path.name for path in paths if _digest_of(content_of(path)) != self._digests.get(path)
        )
        return self.changed != before

    def _stamps_now(self) -> dict[Path, _Stamp | None]:
        paths = (*(path for _, path in files_of_shop(self._folder)), *self._sections)
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


def _digest_of(content: bytes | None) -> str | None:
    return None if content is None else hashlib.sha256(content).hexdigest()
