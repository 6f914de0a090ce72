"""What everything that is read from a shop's files is held to, and what an editor is told of it."""

import json
from typing import Any

import jsonschema
import pytest
from pydantic import ValidationError

from kiosk.dataclass import dataclass
from kiosk.shop.checked import Strict
from kiosk.shop.parts import Material, PartKind
from kiosk.shop.procedure import Conditions, Procedure
from kiosk.shop.schema import json_schema
from kiosk.shop.shop import Screen, Tool
from tests.record.moments import brambling

PLAIN = {
    "id": "doubler",
    "title": "Cut and clean a doubler",
    "revision": "1",
    "revised": "2026-11-28",
    "reason": "the first",
    "sources": ["common practice, no source"],
    "steps": [{"id": "cut", "do": "Cut the blank.", "minutes": {"each": 5}}],
}


@dataclass(frozen=True, kw_only=True)
class Weighed(Strict):
    """A figure that nothing reads first."""

    weight_lb: float


def _with(**fields: Any) -> dict[str, Any]:
    return {**PLAIN, "steps": [{**PLAIN["steps"][0], **fields}]}  # type: ignore[dict-item]


def _fits(written: dict[str, Any]) -> bool:
    return not list(jsonschema.Draft202012Validator(json_schema("procedure")).iter_errors(written))


@pytest.mark.parametrize(
    ("field", "value", "fits"),
    [
        ("drawing", "rib", True),
        ("drawing", {"draw": "rib", "inputs": {"hand": "left"}}, True),
        ("drawing", {"drawing": "rib"}, False),
        ("hold_point", True, True),
        ("hold_point", {"by": "builder"}, True),
        ("hold_point", {"who": "builder"}, False),
    ],
)
def test_an_editor_takes_each_way_of_writing_that_the_kiosk_takes(
    field: str, value: object, fits: bool
) -> None:
    written = _with(**{field: value})
    assert _fits(written) == fits
    if fits:
        assert Procedure.model_validate(written)
    else:
        with pytest.raises(ValidationError):
            Procedure.model_validate(written)


def test_an_editor_is_told_what_holds_where_nothing_is_written() -> None:
    of_shop, of_procedure = json_schema("shop"), json_schema("procedure")

    def default(schema: dict[str, Any], name: str, field: str) -> object:
        whole = schema["$defs"][name] if name else schema
        return whole["properties"][field]["default"]

    assert default(of_shop, "", "screen") == {"pedal": Screen().pedal, "calm_after": Screen().calm_after}
    assert default(of_shop, "PartKind", "material") == {"alloy": None, "thickness": None, "other": None}
    assert default(of_shop, "PartKind", "dimensions") == {}
    assert default(of_shop, "Tool", "have") == 1
    assert default(of_procedure, "Step", "tools") == []
    assert of_procedure["$defs"]["Step"]["description"] == "One action on a part or a batch."
    assert "default" not in of_shop["$defs"]["PartKind"]["properties"]["route"]


@pytest.mark.parametrize("figure", [float("inf"), float("nan"), "nan"])
def test_no_figure_is_without_bounds_or_no_number(figure: object) -> None:
    assert Weighed.model_validate({"weight_lb": "2.5"}).weight_lb == 2.5
    with pytest.raises(ValidationError):
        Weighed.model_validate({"weight_lb": figure})


def test_blanks_around_a_text_are_taken_off_and_a_name_has_none() -> None:
    assert Tool.model_validate({"id": "rule", "name": "  steel rule "}).name == "steel rule"
    for wrong in ({"id": "rule", "name": "  "}, {"id": " rule ", "name": "steel rule"}):
        with pytest.raises(ValidationError):
            Tool.model_validate(wrong)


@pytest.mark.parametrize("field", ["route", "marks"])
def test_a_part_kind_has_a_way_to_be_made_and_a_mark(field: str) -> None:
    whole = brambling().kinds["nose-rib"].as_written()
    with pytest.raises(ValidationError):
        PartKind.model_validate({**whole, field: []})


def test_of_what_was_made_in_the_code_only_what_is_not_the_usual_is_written() -> None:
    assert Conditions().as_written() == {}
    assert Conditions(loud=True).as_written() == {"loud": True}
    assert Material(alloy="6061-T6").as_written() == {"alloy": "6061-T6"}


def test_what_is_changed_is_written_and_what_the_file_says_as_usual_stays_written() -> None:
    tool = Tool.model_validate({"id": "rule", "name": "steel rule", "have": 1})
    assert tool.as_written() == {"id": "rule", "name": "steel rule", "have": 1}
    bare = Tool.model_validate({"id": "rule", "name": "steel rule"})
    assert bare.as_written() == {"id": "rule", "name": "steel rule"}
    assert bare.model_copy(update={"have": 2}).as_written() == {"id": "rule", "name": "steel rule", "have": 2}
    assert bare.have == 1


def test_a_change_of_a_field_that_is_not_there_is_refused_by_its_name() -> None:
    with pytest.raises(TypeError, match="Tool has no field haev"):
        Tool(id="rule", name="steel rule").model_copy(update={"haev": 2})


def test_every_procedure_can_be_written_down_as_text() -> None:
    for procedure in brambling().procedures.values():
        assert json.loads(json.dumps(procedure.as_written()))["id"] == procedure.id


def test_a_procedure_without_another_one_named_reads_back_as_it_was_written() -> None:
    once = Procedure.model_validate(_with(hold_point=True, conditions={"loud": "yes"}))
    again = Procedure.model_validate(once.as_written())
    assert again == once and again.as_written() == once.as_written()
