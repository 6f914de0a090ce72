"""The logbook: complete, readable by other programs, never markup or formula from what was typed."""

import csv
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.logbook.chart import forecast_chart
from kiosk.logbook.entries import entries
from kiosk.record.events import StepFinished


class Texts(HTMLParser):
    """The tags and the text of a page, as an independent parser reads them."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def read_page(path: Path) -> Texts:
    parser = Texts()
    parser.feed(path.read_text(encoding="utf-8"))
    return parser


def read_table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_finished_step_is_an_entry_with_who_when_and_what_was_measured(demo_bench: Bench) -> None:
    finished = [event for event in demo_bench.record.journal.stream() if isinstance(event.body, StepFinished)]
    page, table = demo_bench.write_logbook(trials=100)
    rows = [row for row in read_table(table) if row["what"] == "step"]
    assert [int(row["number"]) for row in rows] == [event.seq for event in finished]
    assert all(row["who"] and row["when"] and row["parts"] and row["entry"] for row in rows)
    # The question, the answer and what was wanted, as they stood when it was answered.
    assert any(
        "Edge radius by the gauge " in row["measured"] and "(wanted: 0.125 to 0.1406 in)" in row["measured"]
        for row in rows
    )
    text = " ".join(read_page(page).text)
    assert "Brambling: builder's record" in text and "unbroken" in text
    assert "approves nothing" in text
    assert "8 times in 10 by" in text and "How past forecasts did" in text
    for mark in demo_bench.shop.parts:
        assert mark in text


def test_the_builders_share_is_of_steps_not_hours(demo_bench: Bench) -> None:
    page, table = demo_bench.write_logbook(trials=100)
    rows = [row for row in read_table(table) if row["what"] == "step"]
    own = sum(row["who"] == "Wren" for row in rows) / len(rows)
    assert f"{own:.0%}" in " ".join(read_page(page).text)


def test_what_was_typed_is_text_in_the_page_and_no_formula_in_the_table(demo_bench: Bench) -> None:
    demo_bench.note('<script>alert(1)</script> & "quoted", with a comma', "NR-05")
    demo_bench.raise_snag("NR-05", "=1+1")
    demo_bench.note("=HYPERLINK(1)", "NR-04")
    page, table = demo_bench.write_logbook(trials=100)
    parsed = read_page(page)
    assert "script" not in parsed.tags
    assert any("<script>alert(1)</script>" in text for text in parsed.text)
    cells = [row["entry"] for row in read_table(table)]
    assert any('& "quoted", with a comma' in cell for cell in cells)
    assert "'=HYPERLINK(1)" in cells and not any(cell.startswith("=") for cell in cells)


def test_what_was_taken_back_stays_and_says_so(demo_bench: Bench) -> None:
    demo_bench.raise_snag("NR-05", "Dent near the heel")
    entry = demo_bench.latest_undoable()
    assert entry is not None
    demo_bench.undo(entry.event)
    found = entries(demo_bench.shop, demo_bench.record.journal.stream())
    assert [one.taken_back for one in found if "Dent near the heel" in one.text] == [True]


def test_the_page_stands_alone(demo_bench: Bench) -> None:
    text = demo_bench.write_logbook(trials=100)[0].read_text(encoding="utf-8")
    assert "http" not in text.replace("http://www.w3.org/2000/svg", "")
    assert "src=" not in text and "<link" not in text


def test_the_chart_draws_each_what_if_to_its_date(demo_bench: Bench) -> None:
    table = demo_bench.forecasts(trials=200)
    chart = forecast_chart(table)
    assert chart is not None
    lines = [one for one in chart.iter("polyline") if one.attrib["stroke-width"] == "1.6"]
    assert len(lines) == 2 * len(table)  # the line and its key
    assert len({one.attrib.get("stroke-dasharray", "") for one in lines}) == len(table)
    ET.fromstring(ET.tostring(chart))
    # The middle of the first line stands at its middle date: even heights of the axis are even chances.
    points = [tuple(map(float, pair.split(","))) for pair in lines[0].attrib["points"].split()]
    ys = [y for _, y in points]
    assert ys == sorted(ys, reverse=True)


def test_a_folder_that_cannot_be_written_is_said_plainly(demo_bench: Bench, tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("x")
    with pytest.raises(KioskError, match="cannot be written"):
        demo_bench.write_logbook(blocked / "logbook", trials=50)


def test_an_answer_out_of_limits_says_so_and_one_within_does_not(bench: Bench) -> None:
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    bench.acknowledge(work)
    bench.answer(work, "FB-NR", "bar", "9-1/2")
    out = bench.record.journal.after(0)
    bench.answer(work, "FB-NR", "bar", "10")
    bench.finish(work, "FB-NR")
    (good,) = [one for one in entries(bench.shop, bench.record.journal.stream()) if one.what == "step"]
    assert len(good.measured) == 1 and good.measured[0].endswith(" 10 (wanted: 9.980 to 10.020 in)")
    finished = bench.record.journal.after(0)[-1]
    (bad,) = [one for one in entries(bench.shop, [*out, finished]) if one.what == "step"]
    assert bad.measured[0].endswith(") OUT OF LIMITS") and " 9-1/2 (wanted" in bad.measured[0]
