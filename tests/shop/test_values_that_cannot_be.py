"""Values that no shop has: each is refused, or warned of, on its line and with what to write."""

import re
import shutil
from datetime import date
from pathlib import Path

import pytest
from textual.keys import Keys

from kiosk.shop.data import data_folder
from kiosk.shop.faults import Fault
from kiosk.shop.lint import lint_procedure
from kiosk.shop.load import load, load_shop
from kiosk.shop.procedure import Procedure
from kiosk.shop.reader import read_document, validate
from kiosk.shop.shop import PEDAL_KEYS
from kiosk.shop.verbs import PLAIN_VERBS, VERBS

TODAY = date(2027, 5, 8)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(data_folder("scenarios") / "brambling", tmp_path / "shop")
    (tmp_path / "shop" / "procedures").mkdir()
    return tmp_path / "shop"


def _with(folder: Path, old: str, new: str) -> tuple[list[Fault], int]:
    """The faults of a shop file with something else in it, and the line that was changed."""
    path = folder / "shop.yaml"
    before = path.read_text()
    assert old in before
    path.write_text(before.replace(old, new, 1))
    line = before[: before.index(old)].count("\n") + 1 + old[: len(old) - len(old.lstrip("\n"))].count("\n")
    return load(folder, lint=True, today=TODAY).faults, line


PIP = "born: 2013-06-14"
PRIMER = "lead_days: 21, expires: 2028-03-31"
GRAIN = "      grain: along"
WEEK = '{start: "20:30", end: "08:00", days: [sun, mon, tue, wed, thu]}'
SHOP = [
    (PIP, "born: 2035", "'2035' is not a date; write year, month and day like", "error"),
    (PIP, "born: 2013-06", "not a date", "error"),
    (PIP, "born: 14.6.2013", "not a date", "error"),
    (PIP, "born: 2013-02-30", "not a date in the calendar", "error"),
    (PIP, "born: 2035-01-01", "Pip is born on a day to come", "error"),
    (PIP, "born: 0013-06-14", "not between 1900 and 2100", "error"),
    (PIP, "born: 1371168000", "not a date", "error"),
    (PRIMER, "lead_days: 21, expires: next year", "'next year' is not a date", "error"),
    (PRIMER, "lead_days: 21, expires: 2026-03-31", "expired on 2026-03-31, and 0.8 litre are", "warning"),
    (PRIMER, "lead_days: 21.5", "'21.5' is not a whole number", "error"),
    (PRIMER, "lead_days: 99999", "not between 0 and 3,650", "error"),
    (PRIMER, "lead_days: -1", "not between 0 and 3,650", "error"),
    ("name: steel rule, have: 2", "name: steel rule, have: 1e9", "'1e9' is not a whole number", "error"),
    ("name: steel rule, have: 2", "name: steel rule, have: 1000000", "between 0 and 100,000", "error"),
    ("left: 900", "left: nan", "'nan' is not a number", "error"),
    ("left: 900", "left: 99999999", "not between 0 and 1,000,000", "error"),
    ("order_below: 300", "order_below: -5", "not between 0 and 1,000,000", "error"),
    ("min_age_operate: 18", "min_age_operate: 180", "not between 0 and 120", "error"),
    ("min_age_operate: 18", "min_age_operate: adult", "'adult' is not a whole number", "error"),
    ("needs: {block-nose: 1}", "needs: {block-nose: one}", "'one' is not a whole number", "error"),
    (WEEK, '{start: "25:00", end: "08:00"}', "'25:00' is not a time of day", "error"),
    (WEEK, '{start: "20:30:15", end: "08:00"}', "not a time of day", "error"),
    (WEEK, '{start: "20:30+02:00", end: "08:00"}', "not a time of day", "error"),
    (WEEK, '{start: 2030, end: "08:00"}', "not a time of day", "error"),
    (WEEK, '{start: "08:00", end: "08:00"}', "last a whole day", "warning"),
    (WEEK, '{start: "08:00", end: "09:00", days: []}', "'days' is empty", "error"),
    (
        "quiet_hours:",
        'quiet_hours:\n  - {start: "00:00", end: "00:00"}',
        "no hour of the week is left",
        "warning",
    ),
    ("aeroplane:", "screen: {pedal: banana}\naeroplane:", "'banana' is no key that a pedal can be", "error"),
    ("aeroplane:", "screen: {pedal: page-down}\naeroplane:", "did you mean 'pagedown'?", "error"),
    ("aeroplane:", "screen: {pedal: f5}\naeroplane:", "'f5' is no key that a pedal can be", "error"),
    ("aeroplane:", "put_away: 3 days\naeroplane:", "putting away takes 4320 min", "error"),
    ("aeroplane:", "verbs: [Reef it]\naeroplane:", "not a name the kiosk can use", "error"),
    (GRAIN, f"{GRAIN}\n      cap: 0.9 mmm", "cap '0.9 mmm' has no unit that is known", "warning"),
    (GRAIN, f"{GRAIN}\n      cap: 0,9 mm", "write the decimals after a point", "warning"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "words", "severity"), SHOP, ids=[case[1][:40] for case in SHOP])
def test_a_value_that_cannot_be_is_said(folder: Path, old: str, new: str, words: str, severity: str) -> None:
    faults, line = _with(folder, old, new)
    found = [fault for fault in faults if words in str(fault)]
    assert found, faults
    assert found[0].severity == severity and line <= found[0].line <= line + new.count("\n")
    assert [fault for fault in faults if fault.severity == "error"] == found * (severity == "error")


def test_what_can_be_is_left_alone(folder: Path) -> None:
    for old, new in (
        (PIP, "born: 2013-06-14"),
        ("aeroplane:", "screen: {pedal: F13}\nverbs: [reef, sheave]\naeroplane:"),
        (
            "      grain: along",
            "      grain: along\n      ply: 3 plies\n      cap: 12.5 mm\n      bend: 95 deg",
        ),
        (WEEK, '{start: 9:30, end: "10:00"}'),
    ):
        faults, _ = _with(folder, old, new)
        assert not faults, faults


def test_every_pedal_key_is_one_that_a_terminal_sends() -> None:
    assert {str(key.value) for key in Keys} | {"enter", "space", "tab"} >= PEDAL_KEYS


# Procedures

STEP = """\
id: test-work
title: Test work
revision: "1"
revised: {revised}
reason: first issue
sources: [common practice]
steps:
  - id: first
    do: {do}
    minutes: {{each: 2}}
    checks:
      - {check}
    {more}
"""
SEEN = "{id: seen, kind: yes_no, ask: Is the line there?}"
USUAL = {"revised": "2027-05-01", "do": "Mark the line.", "check": SEEN, "more": ""}
PROCEDURES = [
    ({"revised": "last tuesday"}, 4, "'last tuesday' is not a date", "warning"),
    ({"revised": "2028-01-01"}, 4, "on a day to come, 2028-01-01", "warning"),
    (
        {"check": '{id: gap, kind: measure, ask: Gap, low: "5", high: "2"}'},
        12,
        "low end 5 above its high end 2",
        "error",
    ),
    (
        {"check": '{id: gap, kind: measure, ask: Gap, nominal: "1", plus: "-1/64", minus: "1/64"}'},
        12,
        "plus -0.015625, below nothing",
        "error",
    ),
    (
        {"check": '{id: gap, kind: measure, ask: Gap, nominal: "1", plus: "0", minus: "-1/64"}'},
        12,
        "minus -0.015625, below nothing",
        "error",
    ),
    (
        {"check": '{id: gap, kind: measure, ask: Gap, low: "1/4", high: ".25"}'},
        12,
        "takes 0.25 alone",
        "error",
    ),
    (
        {"check": "{id: t, kind: measure, ask: T, unit: F, low: 17 C, high: 60 F}"},
        12,
        "low end 62.6 above",
        "error",
    ),
    ({"more": "conditions: {temperature_f: {low: 90, high: 50}}"}, 13, "low 90 is above high 50", "error"),
    ({"more": "conditions: {humidity_percent: {low: -5}}"}, 13, "'-5' is not between 0 and 100", "error"),
    ({"more": "conditions: {temperature_f: {high: 400}}"}, 13, "'400' is not between -40 and 140", "error"),
    ({"more": "conditions: {temperature_f: {high: warm}}"}, 13, "'warm' is not a number", "error"),
    ({"more": "conditions: {loud: maybe}"}, 13, "neither yes nor no", "error"),
    ({"more": "waits: [{what: glue, within: 0, begin: first, if_missed: x}]"}, 13, "within 0 min", "error"),
    ({"do": "Flibber the line."}, 9, "not an action; start with a verb, or add it", "warning"),
]  # fmt: skip


def _procedure(folder: Path, **given: str) -> list[Fault]:
    (folder / "procedures" / "test.yaml").write_text(STEP.format(**{**USUAL, **given}))
    return load(folder, lint=True, today=TODAY).faults


@pytest.mark.parametrize(("given", "line", "words", "severity"), PROCEDURES)
def test_a_step_that_cannot_be_is_said(
    folder: Path, given: dict[str, str], line: int, words: str, severity: str
) -> None:
    faults = _procedure(folder, **given)
    assert [(fault.line, fault.severity, words in str(fault)) for fault in faults] == [
        (line, severity, True)
    ], faults


def test_a_largest_gap_needs_no_low(folder: Path) -> None:
    assert not _procedure(folder, check="{id: gap, kind: measure, ask: Gap, high: 1/32}")


def test_a_shop_adds_its_own_verbs(folder: Path) -> None:
    path = folder / "shop.yaml"
    path.write_text("verbs: [flibber]\n" + path.read_text())
    assert not _procedure(folder, do="Flibber the line.")


@pytest.mark.parametrize(
    "verb",
    [
        "Weld",
        "Steam",
        "Iron",
        "Cement",
        "Finish",
        "Run",
        "Ream",
        "Braze",
        "Glue",
        "Varnish",
        "Stitch",
        "Plane",
    ],
)
def test_what_other_trades_do_is_a_verb(folder: Path, verb: str) -> None:
    # common practice, no source: welded tube, fabric, wood and boats
    assert not _procedure(folder, do=f"{verb} the joint.")


def test_the_verbs_are_words_and_the_plain_ones_among_them() -> None:
    assert PLAIN_VERBS < VERBS and all(re.fullmatch("[a-z]+", verb) for verb in VERBS)


def test_no_day_is_to_come_where_the_clock_is_not_believed(tmp_path: Path) -> None:
    path = tmp_path / "test.yaml"
    path.write_text(STEP.format(**USUAL))
    document = read_document(path)
    procedure = validate(document, Procedure)
    assert procedure is not None
    lint_procedure(procedure, document)
    assert not document.faults


# What passed though it was wrong


def test_a_thickness_alone_under_dimensions_is_refused(folder: Path) -> None:
    path = folder / "shop.yaml"
    text = path.read_text()
    at = text.index("  - id: rib-clip\n")
    old = "material: {alloy: 2024-T3, thickness: "
    begin = text.index(old, at)
    end = text.index("\n", begin)
    spoilt = text[:begin] + "material: {alloy: 2024-T3}" + text[end:]
    under = spoilt.index("    dimensions:\n", at) + len("    dimensions:\n")
    path.write_text(f"{spoilt[:under]}      thickness: .063\n{spoilt[under:]}")
    found = [
        fault
        for fault in load(folder).errors
        if "under dimensions, where the lots do not look" in fault.wrong
    ]
    assert len(found) == 1 and "write it under material" in found[0].mend
    assert path.read_text().splitlines()[found[0].line - 1].strip() == "thickness: .063"


def test_wood_may_have_its_thickness_among_the_dimensions(folder: Path) -> None:
    faults, _ = _with(
        folder,
        "      sheet_thickness: {of: nose-rib, dimension: thickness}\n",
        "      sheet_thickness: {of: nose-rib, dimension: thickness}\n      thickness: 3/4\n",
    )
    assert not faults


@pytest.mark.parametrize(
    ("plans", "words"),
    [
        ("1/8", ""),
        (".125", ""),
        (".13", ""),
        ("3/16", "bend_radius 3/16 is not what is borrowed, 1/8 (nose rib: bend radius); correct it"),
        ("3.2 mm", ""),
    ],
)
def test_a_borrowed_figure_that_is_itself_typed_is_compared(folder: Path, plans: str, words: str) -> None:
    faults, line = _with(
        folder,
        "      bend_radius: {of: nose-rib, dimension: bend_radius}",
        f"      bend_radius: {{of: nose-rib, dimension: bend_radius, plans: {plans}}}",
    )
    assert [words in str(fault) and fault.severity == "warning" for fault in faults] == [True] * bool(words)
    assert all(fault.line == line for fault in faults)


def test_the_shipped_shop_reads_as_before() -> None:
    shop = load_shop(data_folder("scenarios") / "brambling")
    assert shop.people["pip"].born == date(2013, 6, 14)
    assert shop.tools["steel-rule"].have == 2 and shop.consumables["rivets-ad4"].left == 900.0
