"""The record as two tables for a spreadsheet (CSV, RFC 4180): a line for each entry, and for each answer."""

import csv
from collections.abc import Iterable, Iterator
from io import TextIOWrapper
from typing import Any

from kiosk.logbook.book import Book
from kiosk.logbook.history import answer_words, correction_of, corrections
from kiosk.logbook.lines import Entry
from kiosk.logbook.words import local
from kiosk.shop.characters import visible

ENTRIES_FILE = "entries.csv"
ANSWERS_FILE = "answers.csv"
FORMULA_BEGINS = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
# A column is only ever added after the others, and none changes its meaning.
ENTRY_COLUMNS = (
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
    "supervised by",
    "what held",
    "correction",
    "doubt about the time",
    "work",
    "done on",
)
ANSWER_COLUMNS = (
    "number",
    "when",
    "who",
    "part",
    "given on",
    "entry",
    "step",
    "question",
    "answer",
    "wanted or lot",
    "lot",
    "passed",
    "correction",
    "doubt about the time",
)


def write_entries(book: Book, out: TextIOWrapper) -> None:
    """A line for each entry, in the order it was made."""
    _write(out, ENTRY_COLUMNS, (_entry_cells(book, entry) for entry in book.index.entries()))


def write_answers(book: Book, out: TextIOWrapper) -> None:
    """A line for each answer on each part: those of a batch stand under every part of it."""
    _write(out, ANSWER_COLUMNS, _answer_rows(book))


def _entry_cells(book: Book, entry: Entry) -> list[object]:
    marks = (book.index.mark_now(mark) for mark in entry.marks)
    drawings = dict.fromkeys(book.shop.kind_of(mark).drawing for mark in marks if mark in book.shop.parts)
    return [
        entry.number,
        local(entry.at).isoformat(),
        book.names.name(entry.by),
        book.names.share(entry.by),
        entry.what,
        " ".join(entry.marks),
        ", ".join(drawings),
        entry.text,
        "; ".join(_measured(book, entry)),
        "" if entry.minutes is None else f"{entry.minutes:.1f}",
        "yes" if entry.taken_back is not None else "",
        book.names.name(entry.supervised_by),
        "; ".join(entry.facts),
        "; ".join(corrections(entry)),
        entry.doubt,
        entry.word,
        _done_on(entry),
    ]


def _done_on(entry: Entry) -> str:
    """The local date of a step: as corrected, else as recorded."""
    if entry.minutes is None:
        return ""
    fix = entry.fixed("day")
    return fix.said if fix is not None else local(entry.at).date().isoformat()


def _measured(book: Book, entry: Entry) -> Iterator[str]:
    """Every answer that stands, for each part: those of a batch under every part of it."""
    if not entry.given:
        return
    for mark, given in book.index.given_by_part(entry.number):
        if given.stands:
            yield f"{mark}: {answer_words(given)}"


def _answer_rows(book: Book) -> Iterator[list[object]]:
    for entry in book.index.entries():
        if not entry.given:
            continue
        ended = {part.mark: part.ended_words for part in entry.parts if part.ended is not None}
        for mark, given in book.index.given_by_part(entry.number):
            taken = f"step taken back by entry {entry.taken_back}" if entry.taken_back is not None else ""
            marks = (correction_of(given), taken, ended.get(mark, ""))
            yield [
                given.number,
                local(given.at).isoformat(),
                book.names.name(given.by),
                mark,
                given.mark,
                entry.number,
                entry.text,
                given.asked,
                given.said,
                given.wanted,
                given.lot,
                "yes" if given.passed else "no",
                "; ".join(one for one in marks if one),
                given.doubt,
            ]


def _write(out: TextIOWrapper, columns: Iterable[str], rows: Iterable[list[Any]]) -> None:
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_plain(cell) for cell in row])


def _plain(cell: object) -> object:
    """A text in which everything is seen; one that begins like a formula is kept from being one."""
    if not isinstance(cell, str):
        return cell
    seen = visible(cell)
    return f"'{seen}" if seen.startswith(FORMULA_BEGINS) else seen
