"""The builder's record as one HTML page that can be printed and read without the kiosk."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from xml.etree import ElementTree as ET

from kiosk.logbook.chart import forecast_chart
from kiosk.logbook.entries import Entry
from kiosk.planning.forecast.past_forecasts import BackTest
from kiosk.planning.forecast.simulation import Forecast
from kiosk.shop.characters import visible
from kiosk.shop.shop import Shop
from kiosk.views.board import BoardRow
from kiosk.views.forecast_text import back_test_lines, forecast_lines, what_if_lines

STYLE = """
body { font: 12pt/1.4 sans-serif; color: #000; background: #fff; margin: 2em auto; max-width: 60em; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 1px solid #888; padding: .2em .4em; text-align: left; vertical-align: top; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
td:first-child { white-space: nowrap; }
.back { text-decoration: line-through; }
@media print { body { margin: 0; font-size: 9pt; } h2 { break-before: page; } }
"""
NOTHING_APPROVED = (
    "This is the builder's own record. It approves nothing: the plans, the designer, local rules and the"
    " authority's inspectors come first. Tasks count, not hours; the times stand here as they were taken."
)


@dataclass(frozen=True)
class Logbook:
    """Everything that the page shows."""

    shop: Shop
    made_at: datetime
    rows: Sequence[BoardRow]
    entries: Sequence[Entry]
    forecasts: Sequence[tuple[str, Forecast]]
    past: BackTest
    unbroken: bool  # the journal's chain of hashes holds


def page(book: Logbook) -> str:
    """The page. Everything from files goes in as text, never as markup."""
    root = ET.Element("html", {"lang": "en"})
    head = ET.SubElement(root, "head")
    ET.SubElement(head, "meta", {"charset": "utf-8"})
    _say(head, "title", f"{book.shop.file.aeroplane.name}: builder's record")
    ET.SubElement(head, "style").text = STYLE
    body = ET.SubElement(root, "body")
    _say(body, "h1", f"{book.shop.file.aeroplane.name}: builder's record")
    _say(body, "p", f"Built from {book.shop.file.aeroplane.plans}. Printed {_time(book.made_at)}.")
    _say(body, "p", NOTHING_APPROVED)
    chain = "unbroken: no entry was changed or removed" if book.unbroken else "BROKEN: entries were changed"
    _say(body, "p", f"{len(book.entries)} entries. The chain of entries is {chain}.")
    _who(body, book)
    _parts(body, book)
    _forecast(body, book)
    _all_entries(body, book)
    return "<!DOCTYPE html>\n" + ET.tostring(root, encoding="unicode", method="html")


def _say(parent: ET.Element, tag: str, text: str, **attributes: str) -> None:
    ET.SubElement(parent, tag, attributes).text = visible(text)


def _time(at: datetime) -> str:
    return at.astimezone().strftime("%Y-%m-%d %H:%M")


def _table(parent: ET.Element, heads: Sequence[str]) -> ET.Element:
    table = ET.SubElement(parent, "table")
    row = ET.SubElement(ET.SubElement(table, "thead"), "tr")
    for text in heads:
        _say(row, "th", text)
    return ET.SubElement(table, "tbody")


def _row(body: ET.Element, cells: Sequence[str], **attributes: str) -> None:
    row = ET.SubElement(body, "tr", attributes)
    for text in cells:
        _say(row, "td", text)


def _who(body: ET.Element, book: Logbook) -> None:
    """Whose hands did how many steps: the builder's own share of the tasks matters to the authority."""
    steps: dict[tuple[str, str], list[float]] = {}
    for entry in book.entries:
        if entry.what == "step" and not entry.taken_back:
            steps.setdefault((entry.by, entry.share), []).append(entry.minutes or 0.0)
    _say(body, "h2", "Who did it")
    rows = _table(body, ("person", "as", "steps recorded", "share of the steps", "hours"))
    total = sum(len(minutes) for minutes in steps.values())
    for (name, share), minutes in sorted(steps.items(), key=lambda item: -len(item[1])):
        part = f"{len(minutes) / total:.0%}"
        _row(rows, (name, share, str(len(minutes)), part, f"{sum(minutes) / 60:.1f}"))


def _parts(body: ET.Element, book: Logbook) -> None:
    _say(body, "h2", "Parts")
    rows = _table(body, ("mark", "part", "drawing", "material", "state", "where"))
    for row in book.rows:
        kind = book.shop.kind_of(row.mark)
        thickness = f" {kind.material.thickness:.3f}" if kind.material.thickness is not None else ""
        material = f"{kind.material.alloy}{thickness}" if kind.material.alloy else kind.material.other or ""
        where = row.where + (f" ({row.reason})" if row.reason else "")
        _row(rows, (row.mark, kind.name, kind.drawing, material, row.state_word, where))


def _forecast(body: ET.Element, book: Logbook) -> None:
    if not book.forecasts:
        return
    _say(body, "h2", "Forecast")
    for text in forecast_lines(book.forecasts[0][1]):
        _say(body, "p", text)
    chart = forecast_chart(book.forecasts)
    if chart is not None:
        body.append(chart)
    listed = ET.SubElement(body, "ul")
    for text in what_if_lines(book.forecasts)[1:]:
        _say(listed, "li", f"What if {text}")
    _say(body, "h3", "How past forecasts did")
    listed = ET.SubElement(body, "ul")
    for text in back_test_lines(book.past):
        _say(listed, "li", text)


def _all_entries(body: ET.Element, book: Logbook) -> None:
    _say(body, "h2", "Entries")
    rows = _table(body, ("no.", "when", "who", "what", "parts", "entry", "measured", "min"))
    for entry in book.entries:
        minutes = (
            "" if entry.minutes is None else f"{entry.minutes:.0f}{'' if entry.exact else ' (not exact)'}"
        )
        text = entry.text + (" (taken back later)" if entry.taken_back else "")
        cells = (
            str(entry.number),
            _time(entry.at),
            f"{entry.by} ({entry.share})",
            entry.what,
            f"{', '.join(entry.marks)} {entry.drawing}".strip(),
            text,
            "; ".join(entry.measured),
            minutes,
        )
        _row(rows, cells, **({"class": "back"} if entry.taken_back else {}))
