"""Each warning of the linter, on a step that departs from one practice alone; none on one that does not."""

import json
from pathlib import Path
from typing import Any

import pytest

from kiosk.shop.data import data_folder
from kiosk.shop.load import load

GOOD: dict[str, Any] = {
    "id": "one",
    "do": "Drill the pilot hole",
    "who": "builder",
    "minutes": {"each": "5"},
    "checks": [{"id": "seen", "kind": "yes_no", "ask": "Is the hole round?"}],
}
MEASURED = {"id": "gap", "kind": "measure", "ask": "Gap?"}
WORDS_20 = "Drill " + " ".join(["word"] * 19)
WORDS_25 = "The hole " + " ".join(["word"] * 23)


def warnings(folder: Path, *steps: dict[str, Any]) -> list[str]:
    """What the linter says of a procedure of these steps, in a shop of its own."""
    (folder / "procedures").mkdir()
    scenario = data_folder("scenarios") / "brambling" / "shop.yaml"
    (folder / "shop.yaml").write_text(scenario.read_text(encoding="utf-8"), encoding="utf-8")
    procedure = {
        "id": "own-work",
        "title": "Own work",
        "revision": "1",
        "revised": "2027-05-01",
        "reason": "first issue",
        "sources": ["common practice, no source"],
        "steps": list(steps),
    }
    # JSON is YAML too.
    (folder / "procedures" / "own.yaml").write_text(json.dumps(procedure, indent=1), encoding="utf-8")
    found = load(folder, lint=True)
    assert not found.errors, found.errors
    return [fault.wrong for fault in found.faults if fault.file.endswith("own.yaml")]


def test_a_step_after_the_practices_gets_no_warning(tmp_path: Path) -> None:
    assert warnings(tmp_path, GOOD) == []


@pytest.mark.parametrize(
    ("change", "warning"),
    [
        ({"do": "Drill the hole. Deburr it."}, "step 'one' holds 2 sentences"),
        ({"do": WORDS_20 + " more"}, "21 words in one sentence, over 20"),
        ({"do": "The hole is drilled"}, "step 'one' starts with 'The', not an action"),
        ({"do": "Drill the hole if it is small"}, "the condition comes after the action"),
        ({"do": "Drill the hole and deburr it"}, "a second action ('deburr') is in this step"),
        ({"do": "Drill the hole carefully"}, "'carefully' leaves it to the reader"),
        ({"checks": []}, "step 'one' ends in nothing seen or measured"),
        ({"checks": [{**GOOD["checks"][0], "ask": "Done?"}]}, "check 'seen' says only 'Done?'"),
        ({"checks": [{**MEASURED, "low": ".1"}]}, "check 'gap' has one limit only"),
        ({"checks": [{**MEASURED, "high": ".1"}]}, "check 'gap' has one limit only"),
        ({"cautions": ["Mind it"] * 3, "hazards": ["EYES", "DRILL"]}, "step 'one' has over 4 cautions"),
        ({"cautions": [WORDS_20 + " more"]}, "a caution has a sentence over 20 words"),
        ({"why": WORDS_25 + " more"}, "a sentence has over 25 words"),
        ({"note": WORDS_25 + " more"}, "a sentence has over 25 words"),
        ({"note": "Deburr the hole"}, "a note hides an action"),
        ({"who": "anyone"}, "a helper may do step 'one' but it has no plain words"),
        ({"who": "anyone", "plain": "Bend it past the springback"}, "the plain words use 'springback'"),
        ({"who": "anyone", "plain": WORDS_20 + " more"}, "a plain sentence has over 20 words"),
        ({"irreversible": True, "checks": [], "repeat": {"of": "holes", "times": "3"}},
         "nothing is checked before this step, which cannot be undone"),
        # At the limit, or with what makes it right, there is none.
        ({"do": WORDS_20}, None),
        ({"do": "If it is small, drill the hole"}, None),
        ({"do": "Drill every bend and flute"}, None),
        ({"checks": [], "repeat": {"of": "holes", "times": "3"}}, None),
        ({"checks": [{**MEASURED, "low": ".1", "high": ".2"}]}, None),
        ({"checks": [{**MEASURED, "nominal": ".1", "plus": ".01"}]}, None),
        ({"cautions": ["Mind it"] * 2, "hazards": ["EYES", "DRILL"]}, None),
        ({"why": WORDS_25}, None),
        ({"note": "The hole is small"}, None),
        ({"who": "anyone", "plain": "Make the hole round"}, None),
        ({"irreversible": True}, None),
    ],
)  # fmt: skip
def test_each_departure_is_warned_of_by_itself(
    tmp_path: Path, change: dict[str, Any], warning: str | None
) -> None:
    assert warnings(tmp_path, {**GOOD, **change}) == ([warning] if warning else [])


def _stretch(count: int, minutes: str) -> list[dict[str, Any]]:
    steps = [
        {**GOOD, "id": f"step-{number}", "minutes": {"each": minutes}, "stop": "go straight on"}
        for number in range(count - 1)
    ]
    return [*steps, {**GOOD, "minutes": {"each": minutes}}]


@pytest.mark.parametrize(
    ("count", "minutes", "found"),
    [
        (9, "1", []),
        (10, "1", ["10 steps from here have no safe stop between them"]),
        (2, "15", []),
        (2, "16", ["32 minutes from here without a safe stop"]),
        (1, "45", []),
    ],
)
def test_a_stretch_without_a_safe_stop_is_short(
    tmp_path: Path, count: int, minutes: str, found: list[str]
) -> None:
    assert warnings(tmp_path, *_stretch(count, minutes)) == found


def test_each_stretch_begins_after_a_safe_stop(tmp_path: Path) -> None:
    two = [{**one, "id": f"{letter}-{one['id']}"} for letter in "ab" for one in _stretch(2, "15")]
    assert warnings(tmp_path, *two) == []
