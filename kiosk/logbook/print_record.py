"""Print a record as a logbook: read it, check it, write it; and say where it could not be read on."""

from collections.abc import Sequence
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from sqlite3 import OperationalError

from kiosk.errors import KioskError
from kiosk.logbook.book import Book
from kiosk.logbook.entries import read
from kiosk.logbook.forecast_page import write_forecast
from kiosk.logbook.proved import proved
from kiosk.logbook.write import FORECAST_FILE, replaced, write_logbook
from kiosk.planning.forecast.past_forecasts import BackTest
from kiosk.planning.forecast.simulation import Forecast
from kiosk.record.journal import Journal
from kiosk.record.stopped import RecordingStopped
from kiosk.shop.kept import open_shop
from kiosk.shop.shop import Shop
from kiosk.views.board import BoardRow


def print_record(
    shop: Shop, journal: Journal, now: datetime, folder: Path, rows: Sequence[BoardRow] = ()
) -> list[Path]:
    """Write the pages and tables of a record; ``rows`` is where each part stands, when that is known.

    Raises KioskError when the disk refuses. A record that is damaged is printed as far as it can be read, and
    RecordingStopped is raised then, which names the event.
    """
    try:
        with read(shop, journal.read_on()) as index:
            book = Book(shop, now, index, proved(journal, index.last), rows)
            written = write_logbook(book, folder)
            if book.trouble:
                raise RecordingStopped(book.trouble, f"printed to event {index.last} in {written[0]}")
    except OperationalError as error:  # of the index: the disk that holds it while it is printed
        raise KioskError(f"the logbook cannot be put together ({error})", "check the disk") from None
    return written


def print_what_can_be_read(folder: Path, record: Path, into: Path) -> list[Path]:
    """The logbook of a record from which how things stand cannot be worked out. Raises RecordingStopped."""
    shop = open_shop(folder)
    with closing(Journal(record, reading=True)) as journal:
        return print_record(shop, journal, datetime.now(UTC), into)


def print_forecast(shop: Shop, table: Sequence[tuple[str, Forecast]], past: BackTest, folder: Path) -> Path:
    """Write the builder's forecast beside the record."""
    path = folder / FORECAST_FILE
    with replaced(path) as out:
        write_forecast(out, f"{shop.file.aeroplane.name}: forecast", table, past)
    return path
