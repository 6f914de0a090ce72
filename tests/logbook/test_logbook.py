"""The logbook: complete, readable by other programs, never markup or formula from what was typed."""

from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.logbook import book
from kiosk.logbook.chart import forecast_chart
from kiosk.logbook.style import style
from kiosk.record.events import NoteWritten, StepFinished
from tests.driver import undo_newest
from tests.logbook.reading import read_page, read_table, recorded, write_record


def test_every_finished_step_is_an_entry_with_who_when_and_what_was_measured(demo_bench: Bench) -> None:
    finished = [
        event for event in demo_bench.record.journal.read_on() if isinstance(event.body, StepFinished)
    ]
    page, table, answers, forecast = demo_bench.write_logbook(trials=4)
    rows = [row for row in read_table(table) if row["what"] == "step"]
    assert [int(row["number"]) for row in rows] == [event.seq for event in finished]
    assert all(row["who"] and row["when"] and row["parts"] and row["entry"] for row in rows)
    # The question, the answer with its unit and what was wanted, as they stood when it was answered.
    radius = [row for row in read_table(answers) if row["question"].startswith("Edge radius by the gauge")]
    assert radius and all(row["answer"].endswith(" in") for row in radius)
    assert {row["wanted or lot"] for row in radius} >= {"wanted: 0.125 to 0.1406 in"}
    text = " ".join(read_page(page).text)
    assert "Brambling: builder's record" in text and "It approves nothing" in text
    for mark in demo_bench.shop.parts:
        assert mark in text
    said = " ".join(read_page(forecast).text)
    assert "8 times in 10 by" in said and "How past forecasts did" in said
    assert "8 times in 10 by" not in text  # it is no part of the record


def test_every_part_with_entries_has_its_page_and_every_link_leads_somewhere(demo_bench: Bench) -> None:
    page = read_page(write_record(demo_bench)[0])
    assert len(page.ids) == len(set(page.ids))
    marks = {mark for entry in recorded(demo_bench) for mark in entry.marks}
    assert {f"part-{mark}" for mark in marks} <= set(page.ids) and len(marks) > 15
    assert {link.removeprefix("#") for link in page.links} <= set(page.ids)
    assert {f"#part-{mark}" for mark in marks} <= set(page.links)


def test_a_long_record_has_a_file_for_each_part_and_takes_out_those_of_before(
    demo_bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = write_record(demo_bench)[0]
    in_one = read_page(whole)
    monkeypatch.setattr(book, "LINES_OF_ONE_FILE", 100)
    monkeypatch.setattr("kiosk.logbook.write.LINES_OF_A_DAY_FILE", 50)
    index = read_page(write_record(demo_bench)[0])
    pages = whole.parent / "pages"
    names = {path.name for path in pages.iterdir()}
    marks = {mark for entry in recorded(demo_bench) for mark in entry.marks}
    days = {name for name in names if name.startswith("days-")}
    assert names == {f"part-{mark}.html" for mark in marks} | days and len(days) > 2
    assert {f"pages/{name}" for name in names} <= set(index.links)
    # The same rows, wherever they stand.
    apart = [
        row.cells for name in sorted(days) for row in read_page(pages / name).rows if len(row.cells) == 6
    ]
    headless = [row.cells for row in in_one.in_section("days") if len(row.cells) == 6]
    assert [cells for cells in apart if cells[0] != "no."] == headless[1:]
    nose = [row.cells for row in read_page(pages / "part-NR-01.html").rows]
    assert nose == [row.cells for row in in_one.in_section("part-NR-01")]
    (pages / "notes-of-mine.txt").write_text("stays")
    (pages / "part-XX-01.html").write_text("of an earlier printing")
    monkeypatch.undo()
    write_record(demo_bench)
    assert [path.name for path in pages.iterdir()] == ["notes-of-mine.txt"]


def test_the_share_counts_steps_on_parts_of_the_aeroplane_and_says_so(demo_bench: Bench) -> None:
    demo_bench.come("pip")
    page, table = write_record(demo_bench)[:2]
    on_parts = [
        (row["who"], mark)
        for row in read_table(table)
        if row["what"] == "step" and not row["correction"]
        for mark in row["parts"].split()
    ]
    tooling = {mark for mark in demo_bench.shop.parts if demo_bench.shop.kind_of(mark).tooling}
    own = {who: sum(one == who and mark not in tooling for one, mark in on_parts) for who, _ in on_parts}
    jigs = {who: sum(one == who and mark in tooling for one, mark in on_parts) for who, _ in on_parts}
    rows = {row.cells[0]: row.cells for row in read_page(page).in_section("people") if len(row.cells) == 8}
    assert own and sum(jigs.values())
    for who, steps in own.items():
        cells = rows[who]
        assert sum(int(cell or 0) for cell in cells[2:5]) == steps
        assert (cells[5] or "0", cells[6]) == (str(jigs[who]), f"{steps / sum(own.values()):.0%}")
    text = " ".join(read_page(page).text)
    assert "one step on a batch of six parts counts six" in text
    assert "An authority counts tasks of its own checklist" in text
    assert rows["person"][2:6] == ["fabricated", "assembled", "other, not said", "tooling, jigs"]
    assert int(rows["Wren"][2]) > 0


def test_what_was_typed_is_text_in_the_page_and_no_formula_in_the_table(demo_bench: Bench) -> None:
    demo_bench.note('<script>alert(1)</script> & "quoted", with a comma', "NR-05")
    demo_bench.raise_snag("NR-05", "=1+1")
    demo_bench.note("=HYPERLINK(1)", "NR-04")
    page, table = write_record(demo_bench)[:2]
    parsed = read_page(page)
    assert "script" not in parsed.tags
    assert any("<script>alert(1)</script>" in text for text in parsed.text)
    cells = [row["entry"] for row in read_table(table)]
    assert any('& "quoted", with a comma' in cell for cell in cells)
    assert "'=HYPERLINK(1)" in cells and not any(cell.startswith("=") for cell in cells)


def test_controls_and_unseen_characters_are_made_visible(bench: Bench) -> None:
    older = NoteWritten(text="\x1b]0;owned\a then \u202eevil\u202c, \x00 and \x9b2Jend", mark="FB-NR")
    bench.record.transact(lambda _: [older], by="wren", tap=None)  # an older kiosk took it
    bench.note("two\nlines", "FB-NR")
    for path in write_record(bench)[:3]:
        raw = path.read_bytes().decode("utf-8")
        assert not [one for one in raw if (ord(one) < 32 and one not in "\r\n") or 127 <= ord(one) < 160]
        assert "\u202e" not in raw
    page = " ".join(read_page(write_record(bench)[0]).text)
    said = "<U+001B>]0;owned<U+0007> then <U+202E>evil<U+202C>, <U+0000> and <U+009B>2Jend"
    assert said in page
    assert "two\nlines" in page


def test_the_foot_of_a_printed_page_cannot_leave_its_style(bench: Bench) -> None:
    text = style('x"; } </style><script>\\ \n Bé')
    assert "</" not in text and "<script" not in text
    assert "\\3c \\2f style\\3e " in text


def test_what_was_taken_back_stays_and_says_so(demo_bench: Bench) -> None:
    demo_bench.raise_snag("NR-05", "Dent near the heel")
    undo_newest(demo_bench)
    snag, taken = recorded(demo_bench)[-2:]
    assert "Dent near the heel" in snag.text and snag.taken_back == taken.number
    assert (
        taken.what == "taken back" and f"Took back entry {snag.number}, snag: Not right: Dent" in taken.text
    )
    page = read_page(write_record(demo_bench)[0])
    for section in ("days", "part-NR-05"):
        (row,) = [one for one in page.in_section(section) if one.cells[0] == str(snag.number)]
        assert "Dent near the heel" in row.struck
        assert f"(taken back by entry {taken.number})" in row.cells[3]
    assert not [row for row in page.in_section("open") if "Dent" in " ".join(row.cells)]


def test_the_page_stands_alone(demo_bench: Bench) -> None:
    for path in demo_bench.write_logbook(trials=4):
        if path.suffix == ".html":
            text = path.read_text(encoding="utf-8")
            assert "http" not in text.replace("http://www.w3.org/2000/svg", "")
            assert "src=" not in text and "<link" not in text and "url(" not in text


def test_the_chart_draws_each_what_if_to_its_date(demo_bench: Bench) -> None:
    table = demo_bench.forecasts(trials=20)
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
        demo_bench.write_logbook(blocked / "logbook", trials=4)


def test_an_answer_out_of_limits_says_so_and_one_within_does_not(bench: Bench) -> None:
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    bench.acknowledge(work)
    bench.answer(work, "FB-NR", "bar", "9-1/2")
    bench.answer(work, "FB-NR", "bar", "10")
    bench.finish(work, "FB-NR")
    bad, good = recorded(bench)[-1].given
    assert (bad.said, bad.wanted, bad.passed) == ("9-1/2 (9.5 in)", "wanted: 9.990 to 10.010 in", False)
    assert (good.said, good.wanted, good.passed) == ("10 in", "wanted: 9.990 to 10.010 in", True)
    assert bad.replaced == good.number and good.stands and not bad.stands
    (row,) = read_page(write_record(bench)[0]).in_section("part-FB-NR")[2:]
    asked = "Length of the 10 inch scale bar, on the worst page"
    assert row.struck == f"{asked} 9-1/2 (9.5 in) (wanted: 9.990 to 10.010 in) OUT OF LIMITS"
    assert f"(answered anew, entry {good.number})" in row.cells[4]
    assert f"{asked} 10 in (wanted: 9.990 to 10.010 in)" in row.cells[4].replace(row.struck, "")
