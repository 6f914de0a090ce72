"""Write the logbook: a page and a table beside it, replaced as a whole or not at all."""

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from kiosk.errors import KioskError
from kiosk.logbook.entries import Entry
from kiosk.logbook.page import Logbook, page
from kiosk.shop.characters import visible

PAGE_FILE = "index.html"
TABLE_FILE = "entries.csv"
FORMULA_BEGINS = ("=", "+", "-", "@", "\t", "\r")
COLUMNS = (
    "number",
    "when",
    "who",
    "share",
    "what",
    "parts",
    "drawing",
    "entry",
    "measured",
    "minutes",
    "taken back",
)


def write_logbook(book: Logbook, folder: Path) -> list[Path]:
    """Write ``index.html`` and ``entries.csv``. Raises KioskError when the disk refuses."""
    written = []
    for name, text in ((PAGE_FILE, page(book)), (TABLE_FILE, table(book.entries))):
        path = folder / name
        fresh = path.with_name(f".{name}.new")
        try:
            folder.mkdir(parents=True, exist_ok=True)
            fresh.write_text(text, encoding="utf-8", newline="")
            fresh.replace(path)
        except OSError as error:
            raise KioskError(f"{path} cannot be written ({error.strerror})", "check the disk") from None
        written.append(path)
    return written


def table(found: Sequence[Entry]) -> str:
    """The entries as CSV (RFC 4180). A cell that a spreadsheet would run is given an apostrophe."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for entry in found:
        cells = (
            entry.number,
            entry.at.isoformat(),
            entry.by,
            entry.share,
            entry.what,
            " ".join(entry.marks),
            entry.drawing,
            entry.text,
            "; ".join(entry.measured),
            "" if entry.minutes is None else f"{entry.minutes:.1f}",
            "yes" if entry.taken_back else "",
        )
        writer.writerow([_plain(cell) for cell in cells])
    return out.getvalue()


def _plain(cell: object) -> object:
    """A text that begins like a formula is kept from being one."""
    if not isinstance(cell, str):
        return cell
    return f"'{visible(cell)}" if cell.startswith(FORMULA_BEGINS) else visible(cell)
