"""Each rule of how a procedure is written, broken alone, gives its own warning and no other.

The published rules: ASD-STE100 (at most 20 words in a sentence that instructs, 25 in one that tells; one
instruction to a sentence; the condition first) and Gawande's checklist for checklists (fewer than ten
items to a pause point). The rest are common practice, no source.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from kiosk.shop.data import data_folder
from kiosk.shop.faults import Fault
from kiosk.shop.lint import lint_procedure
from kiosk.shop.load import check_shipped_procedures
from kiosk.shop.procedure import Procedure
from kiosk.shop.reader import read_document, validate

SEEN = {"id": "seen", "kind": "yes_no", "ask": "Is the line there?"}
STEP: dict[str, Any] = {"id": "mark", "do": "Mark the line.", "minutes": {"each": 2}, "checks": [SEEN]}
LONG_20 = "Mark the long line from the front edge to the back edge with a soft pencil and a steel rule."
TOLD_25 = (
    "The line shows where the sheet bends on the brake and where the flange of the rib has to end when it is"
    " hammered over."
)

# The rule, what is written into the step, the warning, and the field that is named; none names the step.
RULES: list[tuple[str, dict[str, Any], str, str]] = [
    (
        "one action",
        {"do": "Mark the line. Look at its end."},
        "step 'mark' holds 2 sentences",
        "do",
    ),
    (
        "20 words to do",
        {"do": LONG_20.replace("soft", "soft grey")},
        "21 words in one sentence, over 20",
        "do",
    ),
    ("a verb first", {"do": "The line is marked."}, "step 'mark' starts with 'The', not an action", "do"),
    (
        "a verb after the condition",
        {"do": "When it is dry, the line is marked."},
        "step 'mark' starts with 'the', not an action",
        "do",
    ),
    (
        "the condition first",
        {"do": "Mark the line when it is dry."},
        "the condition comes after the action",
        "do",
    ),
    (
        "no second action",
        {"do": "Mark the line and drill the hole."},
        "a second action ('drill') is in this step",
        "do",
    ),
    (
        "no second action after a comma",
        {"do": "Mark the line, clamp it to the bench."},
        "a second action ('clamp') is in this step",
        "do",
    ),
    (
        "nothing vague",
        {"do": "Mark the line properly."},
        "'properly' leaves it to the reader",
        "do",
    ),
    ("an end that is seen", {"checks": []}, "step 'mark' ends in nothing seen or measured", "checks"),
    (
        "a check that asks",
        {"checks": [{**SEEN, "ask": "Done."}]},
        "check 'seen' says only 'Done.'",
        "checks",
    ),
    (
        "an upper limit",
        {"checks": [{"id": "gap", "kind": "measure", "ask": "Gap", "low": "1/32"}]},
        "check 'gap' has no upper limit",
        "checks",
    ),
    (
        "few cautions",
        {"cautions": [f"The edge is sharp at end {number}." for number in range(5)]},
        "step 'mark' has over 4 cautions",
        "",
    ),
    (
        "20 words to warn",
        {"cautions": [LONG_20.replace("soft", "soft grey")]},
        "a caution has a sentence over 20 words",
        "cautions",
    ),
    (
        "25 words to say why",
        {"why": TOLD_25.replace("brake", "bending brake")},
        "a sentence has over 25 words",
        "why",
    ),
    (
        "25 words to note",
        {"note": TOLD_25.replace("brake", "bending brake")},
        "a sentence has over 25 words",
        "note",
    ),
    (
        "no action in a note",
        {"note": "Clean it first with a rag."},
        "a note hides an action",
        "note",
    ),
    (
        "plain words for a helper",
        {"who": "anyone"},
        "a helper may do step 'mark' but it has no plain words",
        "",
    ),
    (
        "no trade words for a helper",
        {"who": "anyone", "plain": "Draw where the flute goes."},
        "the plain words use 'flute'",
        "plain",
    ),
    (
        "20 words for a helper",
        {"who": "anyone", "plain": LONG_20.replace("soft", "soft grey")},
        "a plain sentence has over 20 words",
        "plain",
    ),
    (
        "a check before what cannot be undone",
        {"checks": [], "repeat": {"of": "lines", "times": "3"}, "irreversible": True},
        "nothing is checked before this step, which cannot be undone",
        "irreversible",
    ),
]

# What comes as near to breaking a rule as it may.
KEPT: list[tuple[str, dict[str, Any]]] = [
    ("20 words to do", {"do": LONG_20}),
    ("a condition first", {"do": "When the glue is dry, mark the line."}),
    ("nouns joined by and", {"do": "Mark every bend and flute."}),
    ("a thing repeated", {"checks": [], "repeat": {"of": "lines", "times": "3"}}),
    ("a largest gap", {"checks": [{"id": "gap", "kind": "measure", "ask": "Gap", "high": "1/32"}]}),
    ("a nominal", {"checks": [{"id": "gap", "kind": "measure", "ask": "Gap", "nominal": "1", "plus": ".1"}]}),
    ("four cautions", {"cautions": [f"The edge is sharp at end {number}." for number in range(4)]}),
    ("20 words to warn", {"cautions": [LONG_20]}),
    ("25 words to tell", {"why": TOLD_25, "note": TOLD_25}),
    ("a trade word for the builder", {"plain": "Draw where the flute goes."}),
    ("plain words", {"who": "anyone", "plain": "Draw the line."}),
    ("checked, not undone", {"irreversible": True}),
]


def linted(folder: Path, *steps: dict[str, Any]) -> tuple[list[Fault], list[str]]:
    """The warnings on a procedure of these steps, and the lines of its file."""
    path = folder / "test.yaml"
    whole = {
        "id": "test-work",
        "title": "Test work",
        "revision": "1",
        "revised": "2031-01-01",
        "reason": "first issue",
        "sources": ["common practice"],
        "steps": steps,
    }
    path.write_text(json.dumps(whole, indent=1), encoding="utf-8")  # JSON is YAML, with a field to a line
    document = read_document(path)
    procedure = validate(document, Procedure)
    assert procedure is not None, document.faults
    lint_procedure(procedure, document)
    return document.faults, path.read_text(encoding="utf-8").splitlines()


@pytest.mark.parametrize(
    ("written", "warning", "field"), [one[1:] for one in RULES], ids=[r[0] for r in RULES]
)
def test_a_rule_broken_alone_gives_its_own_warning_on_its_line(
    written: dict[str, Any], warning: str, field: str, tmp_path: Path
) -> None:
    faults, lines = linted(tmp_path, {**STEP, **written})
    assert [fault.wrong for fault in faults] == [warning]
    assert faults[0].severity == "warning" and faults[0].mend
    named = lines[faults[0].line - 1].strip()
    assert named.startswith(f'"{field}":') if field else named == "{"


@pytest.mark.parametrize("written", [one[1] for one in KEPT], ids=[one[0] for one in KEPT])
def test_what_just_keeps_a_rule_gives_none(written: dict[str, Any], tmp_path: Path) -> None:
    assert linted(tmp_path, {**STEP, **written})[0] == []


def straight_on(count: int, minutes: float) -> Iterator[dict[str, Any]]:
    """So many steps without a safe stop between them, and one more after the stop."""
    for number in range(count):
        last = number == count - 1
        stop = "between pieces" if last else "go straight on"
        yield {**STEP, "id": f"mark-{number}", "minutes": {"each": minutes}, "stop": stop}
    yield {**STEP, "id": "after"}


@pytest.mark.parametrize(
    ("count", "minutes", "warnings"),
    [
        (9, 2, []),
        (10, 2, ["10 steps from here have no safe stop between them"]),
        (3, 10, []),
        (3, 10.5, ["31.5 minutes from here without a safe stop"]),
        (1, 45, []),  # one long step is between pieces
    ],
)
def test_a_stretch_without_a_safe_stop_is_short(
    count: int, minutes: float, warnings: list[str], tmp_path: Path
) -> None:
    faults, lines = linted(tmp_path, {**STEP, "id": "before"}, *straight_on(count, minutes))
    assert [fault.wrong for fault in faults] == warnings
    assert all('"id": "mark-0"' in lines[fault.line] for fault in faults)


def test_a_check_up_to_three_steps_before_makes_ready_for_what_cannot_be_undone(tmp_path: Path) -> None:
    unseen = {**STEP, "checks": [], "repeat": {"of": "lines", "times": "3"}}
    between = [{**unseen, "id": f"mark-{number}"} for number in range(3)]
    cut = {**unseen, "id": "cut", "do": "Cut the line.", "irreversible": True}
    assert linted(tmp_path, STEP, *between[:2], cut)[0] == []
    assert linted(tmp_path, {**unseen, "hold_point": True}, *between[:2], cut)[0] == []
    assert len(linted(tmp_path, STEP, *between, cut)[0]) == 1


def test_a_dearer_step_of_the_family_does_not_hide_it(tmp_path: Path) -> None:
    times = {"a": {"set_up": 10, "each": 2}, "b": {"each": 2, "put_away": 10}}
    times["c"] = {"set_up": 10, "each": 2, "put_away": 10}
    steps = [{**STEP, "id": name, "family": "brake", "minutes": one} for name, one in times.items()]
    assert [fault.wrong.rsplit(": ", 1)[1] for fault in linted(tmp_path, *steps[:2])[0]] == [
        "a plan of both leaves out 10 min"
    ]
    assert len(linted(tmp_path, *steps)[0]) == 1


@pytest.mark.parametrize(
    ("clamp", "bend", "left_out"),
    [
        ({"set_up": 5, "each": 2}, {"each": 2, "put_away": 3}, 3),
        ({"set_up": 5, "each": 2, "put_away": 1}, {"set_up": 1, "each": 2, "put_away": 3}, 2),
        ({"set_up": 5, "each": 2}, {"each": 2, "put_away": 1}, 0),  # a minute is rounding
        ({"set_up": 5, "each": 2, "put_away": 3}, {"each": 2, "put_away": 3}, 0),
        ({"set_up": 2, "each": 2}, {"set_up": 5, "each": 2, "put_away": 3}, 0),
    ],
)
def test_what_one_step_sets_up_is_put_away_by_its_own_minutes(
    clamp: dict[str, float], bend: dict[str, float], left_out: float, tmp_path: Path
) -> None:
    """The brake was set up by the clamp and put away by the bend: a plan of both took the dearer one."""
    first = {**STEP, "id": "clamp", "family": "brake", "minutes": clamp}
    faults, lines = linted(tmp_path, first, {**STEP, "id": "bend", "family": "brake", "minutes": bend})
    wanted = f"a plan of both leaves out {left_out:g} min"
    assert [fault.wrong.rsplit(": ", 1)[1] for fault in faults] == ([wanted] if left_out else [])
    assert all('"minutes"' in lines[fault.line - 1] for fault in faults)


def test_the_shipped_procedures_are_linted_and_break_no_rule(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []
    monkeypatch.setattr(
        "kiosk.shop.load.lint_procedure", lambda procedure, document: seen.append(procedure.id)
    )
    check_shipped_procedures()
    files = list(data_folder("procedures").rglob("*.yaml"))
    assert len(seen) == len(files) >= 10
    monkeypatch.undo()
    assert check_shipped_procedures() == []
