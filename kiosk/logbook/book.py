"""What a logbook is printed from, and which of its pages stands in which file."""

import hashlib
import re
from collections.abc import Sequence
from dataclasses import field
from datetime import datetime
from functools import cached_property

from kiosk.dataclass import dataclass
from kiosk.logbook.index import Index
from kiosk.logbook.proved import Proved
from kiosk.logbook.words import Names
from kiosk.shop.shop import Shop
from kiosk.views.board import BoardRow

INDEX_FILE = "index.html"
PAGES_FOLDER = "pages"
# One file is printed at once, with page numbers through, and read without the others. So many lines are about
# 700 printed pages and 3 MB, which a browser lays out in some 20 seconds (tests/benchmarks/long_logbook.py).
# Nobody prints more at once: beyond it each part and each run of days has a file of its own.
LINES_OF_ONE_FILE = 10_000
LINES_OF_A_DAY_FILE = 4_000
_SAFE = re.compile(r"[A-Z0-9][A-Z0-9-]{0,40}")


@dataclass(frozen=True)
class Book:
    """Everything that the pages show."""

    shop: Shop
    made_at: datetime
    index: Index
    checked: Proved
    rows: Sequence[BoardRow] = field(default=(), repr=False)  # where each part stands now; empty: not known

    @cached_property
    def names(self) -> Names:
        """Who people are."""
        return Names(self.shop)

    @cached_property
    def in_one_file(self) -> bool:
        """True when all of it is one page."""
        return self.index.lines() <= LINES_OF_ONE_FILE

    @cached_property
    def counts(self) -> dict[str, int]:
        """How many entries each part has."""
        return self.index.counts()

    @property
    def trouble(self) -> str:
        """Why it is not all of an unchanged record, naming the event; empty where it is."""
        return self.index.stopped or self.checked.trouble

    @property
    def title(self) -> str:
        """What stands on the cover."""
        return f"{self.shop.file.aeroplane.name}: builder's record"

    @cached_property
    def marks(self) -> tuple[str, ...]:
        """The parts that have a page: those of the shop file in its order, then those that it has no more."""
        return (
            *(mark for mark in self.shop.parts if mark in self.counts),
            *(mark for mark in self.counts if mark not in self.shop.parts),
        )

    def part_file(self, mark: str) -> str:
        """The file of a part's page, where it has one of its own."""
        return f"{PAGES_FOLDER}/{part_id(mark)}.html"

    def to_part(self, mark: str, *, inside: bool = False) -> str:
        """The link to a part's page, from the first page or from one in the folder of pages."""
        if mark not in self.counts:
            return ""
        if self.in_one_file:
            return f"#{part_id(mark)}"
        return self.part_file(mark).removeprefix(f"{PAGES_FOLDER}/") if inside else self.part_file(mark)


def part_id(mark: str) -> str:
    """A name for a part's page in a link or a file, whatever an old record calls the part."""
    if _SAFE.fullmatch(mark):
        return f"part-{mark}"
    return f"part-{hashlib.sha256(mark.encode(errors='surrogatepass')).hexdigest()[:16]}"
