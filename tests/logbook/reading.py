"""Reads a written logbook back as a stranger would: with Python's own HTML parser and CSV reader."""

import csv
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

from kiosk.bench import LOGBOOK_FOLDER, Bench
from kiosk.logbook.entries import read
from kiosk.logbook.lines import Entry
from kiosk.logbook.print_record import print_record

VOID = ("meta", "col")


@dataclass
class Row:
    """One row of a table: its cells as text, what of it is struck through, and the section it stands in."""

    section: str
    cells: list[str] = field(default_factory=list)
    struck: str = ""


class Page(HTMLParser):
    """The tags, the text and the rows of a page. Every element has to be closed, in order."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.text: list[str] = []
        self.rows: list[Row] = []
        self.links: list[str] = []
        self.ids: list[str] = []
        self._open: list[str] = []
        self._section = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.tags.append(tag)
        self.ids += [given["id"] or ""] if "id" in given else []
        self.links += [given["href"] or ""] if "href" in given else []
        if tag == "section":
            self._section = given["id"] or ""
        elif tag == "tr":
            self.rows.append(Row(self._section))
        elif tag in ("td", "th"):
            self.rows[-1].cells.append("")
        if tag not in VOID:
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self._open and self._open[-1] == tag, f"</{tag}> closes {self._open}"
        self._open.pop()

    def handle_data(self, data: str) -> None:
        self.text.append(data)
        if "td" in self._open or "th" in self._open:
            self.rows[-1].cells[-1] += data
            if "s" in self._open:
                self.rows[-1].struck += data

    def close(self) -> None:
        super().close()
        assert not self._open, self._open

    def in_section(self, section: str) -> list[Row]:
        """The rows of a section."""
        return [row for row in self.rows if row.section == section]


def read_page(path: Path) -> Page:
    """The page in a file."""
    page = Page()
    page.feed(path.read_text(encoding="utf-8"))
    page.close()
    return page


def read_table(path: Path) -> list[dict[str, str]]:
    """The rows of a table by column."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def recorded(bench: Bench) -> list[Entry]:
    """Every entry of a bench's record."""
    with read(bench.shop, bench.record.journal.read_on()) as index:
        return list(index.entries())


def write_record(bench: Bench, into: Path | None = None) -> list[Path]:
    """Write the logbook as the bench does, but for the forecast's page, which takes the longest."""
    folder = into or bench.shop.folder / LOGBOOK_FOLDER
    return print_record(bench.shop, bench.record.journal, bench.now, folder, bench.board())
