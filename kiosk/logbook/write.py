"""Write the logbook: pages and tables, each file replaced as a whole or not at all, the first page last."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import TextIOWrapper
from pathlib import Path

from kiosk.errors import KioskError
from kiosk.logbook import sections
from kiosk.logbook.book import INDEX_FILE, LINES_OF_A_DAY_FILE, PAGES_FOLDER, Book, part_id
from kiosk.logbook.history import day_list, part_history
from kiosk.logbook.sheet import Sheet
from kiosk.logbook.tables import ANSWERS_FILE, ENTRIES_FILE, write_answers, write_entries
from kiosk.logbook.words import day_words

FORECAST_FILE = "forecast.html"
_OWN_PAGES = (
    "part-*.html",
    "days-*.html",
)  # what a logbook puts into its folder of pages, and takes out again
_AFTER_THE_DAYS = (
    ("lots", "Lots and certificates", sections.lots),
    ("open", "Open items and snags", sections.open_items),
    ("people", "People, and whose hands did what", sections.people),
    ("checks", "What was checked of this record", sections.checks),
)


@contextmanager
def replaced(path: Path) -> Iterator[TextIOWrapper]:
    """A file open for writing that takes its place when it is whole. Raises KioskError where it cannot."""
    fresh = path.with_name(f".{path.name}.new")
    try:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            with fresh.open("w", encoding="utf-8", newline="") as out:
                yield out
            fresh.replace(path)
        except BaseException:
            fresh.unlink(missing_ok=True)
            raise
    except OSError as error:
        raise KioskError(f"{path} cannot be written ({error.strerror})", "check the disk") from None


def write_logbook(book: Book, folder: Path) -> list[Path]:
    """Write the pages and the tables; gives the first page and the tables. Raises KioskError."""
    pages = set() if book.in_one_file else _write_pages(book, folder)
    tables: tuple[tuple[str, Callable[[Book, TextIOWrapper], None]], ...] = (
        (INDEX_FILE, lambda book, out: _first_page(book, out, pages)),
        (ENTRIES_FILE, write_entries),
        (ANSWERS_FILE, write_answers),
    )
    for name, write in reversed(tables):
        with replaced(folder / name) as out:
            write(book, out)
    _take_out_old(folder / PAGES_FOLDER, pages)
    return [folder / name for name, _ in tables]


def _take_out_old(folder: Path, pages: set[str]) -> None:
    """Pages of an earlier printing that this one does not have; whatever else is there stays."""
    for pattern in _OWN_PAGES:
        for path in folder.glob(pattern):
            if path.name not in pages:
                path.unlink(missing_ok=True)


def _first_page(book: Book, out: TextIOWrapper, pages: set[str]) -> None:
    """The cover and all sections; with the histories in it where one file holds all."""
    sheet = Sheet(out, book.title, book.title)
    with sheet.within("section", {"class": "cover", "id": "cover"}):
        sections.cover(sheet, book)
    with sheet.within("section", {"id": "contents"}):
        sections.contents(sheet, book, _places(book, pages))
    if book.in_one_file:
        for mark in book.marks:
            with sheet.within("section", {"id": part_id(mark)}):
                _part(sheet, book, mark)
        with sheet.within("section", {"id": "days"}):
            sheet.say("h2", "Day by day")
            sheet.say("p", "In the order in which it was recorded.", class_="small")
            day_list(sheet, book, book.index.entries())
    for name, _, section in _AFTER_THE_DAYS:
        with sheet.within("section", {"id": name}):
            section(sheet, book)
    sheet.end()


def _places(book: Book, pages: set[str]) -> list[tuple[str, str]]:
    if book.in_one_file:
        days = [("Day by day", "#days")]
    else:
        named = sorted(name for name in pages if name.startswith("days-"))
        days = [(f"Day by day, {number}", f"{PAGES_FOLDER}/{name}") for number, name in enumerate(named, 1)]
    return [
        ("One page for each part: the list of parts, below", ""),
        *days,
        *((words, f"#{name}") for name, words, _ in _AFTER_THE_DAYS),
    ]


def _part(sheet: Sheet, book: Book, mark: str) -> None:
    sections.part_head(sheet, book, mark)
    part_history(sheet, book, mark)
    sections.part_foot(sheet)


def _write_pages(book: Book, folder: Path) -> set[str]:
    """A file for each part, and one for each run of days; gives their names."""
    names = set()
    for mark in book.marks:
        path = folder / book.part_file(mark)
        with replaced(path) as out, _page(book, out, mark) as sheet:
            _part(sheet, book, mark)
        names.add(path.name)
    for number, (before, last, at) in enumerate(book.index.runs(LINES_OF_A_DAY_FILE), 1):
        path = folder / PAGES_FOLDER / f"days-{number:04d}.html"
        with replaced(path) as out, _page(book, out, f"day by day from {day_words(at)}") as sheet:
            sheet.say("h2", f"Day by day from {day_words(at)}")
            day_list(sheet, book, book.index.entries(before, last))
        names.add(path.name)
    return names


@contextmanager
def _page(book: Book, out: TextIOWrapper, about: str) -> Iterator[Sheet]:
    sheet = Sheet(out, f"{book.title}, {about}", f"{book.title}, {about}")
    with sheet.within("nav"), sheet.within("p"):
        sheet.link("Contents", f"../{INDEX_FILE}#contents")
    yield sheet
    sheet.end()
