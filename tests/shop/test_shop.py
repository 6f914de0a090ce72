"""The shop put together: ages to the day, and what is found by id, mark or what was typed."""

from dataclasses import replace
from datetime import date, time
from typing import Any

import pytest
from pydantic import ValidationError

from kiosk.shop.parts import Part
from kiosk.shop.shop import Consumable, Person, QuietHours, Screen, ShopFile, Tool
from tests.record.moments import brambling, step, with_steps, worked_steps


@pytest.mark.parametrize(
    ("day", "years"),
    [
        (date(2026, 6, 13), 12),
        (date(2026, 6, 14), 13),  # the birthday itself
        (date(2026, 6, 15), 13),
        (date(2026, 5, 31), 12),
        (date(2026, 7, 1), 13),
        (date(2013, 6, 14), 0),
    ],
)
def test_an_age_changes_on_the_birthday(day: date, years: int) -> None:
    assert Person(id="pip", name="Pip", role="helper", born=date(2013, 6, 14)).age(day) == years


def test_one_born_on_a_leap_day_is_not_older_before_its_end() -> None:
    person = Person(id="pip", name="Pip", role="helper", born=date(2012, 2, 29))
    assert [person.age(day) for day in (date(2030, 2, 28), date(2030, 3, 1))] == [17, 18]


def test_an_adult_whose_birthday_is_not_given_counts_as_eighteen() -> None:
    assert Person(id="odile", name="Odile", role="helper").age(date(2027, 5, 8)) == 18


def written_in(file: ShopFile, *keys: str) -> dict[str, Any]:
    """What stands in a shop file under these keys."""
    whole = file.as_written()
    return {key: whole[key] for key in keys}


def test_what_is_left_out_of_a_shop_file_means_what_it_says() -> None:
    assert Tool(id="rule", name="steel rule").have == 1
    item = Consumable(id="mat", name="scuff mats", left=2, unit="mats")
    assert (item.order_below, item.lead_days, item.expires) == (0, 0, None)
    assert Screen().pedal == "pagedown"
    file = brambling().file
    assert file.fields_written >= {"people", "quiet_hours"}
    bare = type(file).model_validate(written_in(file, "aeroplane", "people", "part_kinds"))
    assert (bare.put_away, bare.tools, bare.hazards, bare.quiet_hours) == (2.0, (), (), ())


def test_there_can_be_none_of_a_thing_and_never_less() -> None:
    tool = {"id": "rule", "name": "steel rule"}
    item = {"id": "mat", "name": "scuff mats", "unit": "mats", "left": 0}
    assert Tool.model_validate({**tool, "have": 0}).have == 0
    empty = Consumable.model_validate({**item, "order_below": 0, "lead_days": 0})
    assert (empty.left, empty.order_below, empty.lead_days) == (0, 0, 0)
    with pytest.raises(ValidationError):
        Tool.model_validate({**tool, "have": -1})
    for field, value in (("left", -0.5), ("order_below", -0.5), ("lead_days", -1)):
        with pytest.raises(ValidationError):
            Consumable.model_validate({**item, field: value})


@pytest.mark.parametrize("field", ["people", "part_kinds"])
def test_a_shop_has_somebody_and_something_to_make(field: str) -> None:
    whole = brambling().file.as_written()
    with pytest.raises(ValidationError):
        type(brambling().file).model_validate({**whole, field: []})
    assert type(brambling().file).model_validate({**whole, field: whole[field][:1]})


def test_what_was_worked_out_meanwhile_makes_it_no_other_shop() -> None:
    used, new = (replace(brambling(), _steps={}, _marks={}) for _ in range(2))
    used.route_steps(used.kinds["nose-rib"])
    assert used.marks_of("nose-rib") and used == new
    assert "_steps" not in repr(used) and "_marks" not in repr(used)


@pytest.mark.parametrize(
    ("written", "meant"), [("8:05", time(8, 5)), ("21:30", time(21, 30)), ("08:00", time(8))]
)
def test_a_time_of_day_is_read_with_or_without_its_nought(written: str, meant: time) -> None:
    assert QuietHours.model_validate({"start": written, "end": "23:00"}).start == meant


@pytest.mark.parametrize("written", ["half nine", "25:00", "8"])
def test_what_is_no_time_of_day_is_said_to_be_none(written: str) -> None:
    with pytest.raises(ValidationError, match="is not a time of day"):
        QuietHours.model_validate({"start": written, "end": "23:00"})


def test_the_marks_of_a_kind_are_in_the_order_of_the_file() -> None:
    shop = brambling()
    assert shop.marks_of("nose-rib") == tuple(
        mark for mark, part in shop.parts.items() if part.kind == "nose-rib"
    )
    assert len(shop.marks_of("nose-rib")) > 1
    assert shop.marks_of("no such kind") == ()
    assert shop.marks_of("nose-rib")[0] == "NR-01"  # and the second time too


def test_a_step_for_a_dimension_that_a_kind_has_not_is_left_out() -> None:
    shop, procedure = with_steps(
        brambling(),
        "rib-blank",
        step(id="always"),
        step(id="never", only_if="no_such"),
        step(id="has", only_if="thickness"),
    )
    kind = shop.kinds["nose-rib"]
    assert shop.figures.has(kind, "thickness")
    assert [one.id for one in shop.steps_for(kind, procedure)] == ["always", "has"]
    assert shop.steps_for(kind, procedure) is shop.steps_for(kind, procedure)  # worked out once
    again = procedure.model_copy(update={"steps": (step(id="other"),)})
    assert [one.id for one in shop.steps_for(kind, again)] == ["other"]


def test_a_route_is_every_step_of_every_stage_in_order() -> None:
    shop = brambling()
    kind = shop.kinds["nose-rib"]
    found = shop.route_steps(kind)
    assert [one.id for one, _ in found] == [
        name for name in kind.procedures for _ in shop.steps_for(kind, shop.procedures[name])
    ]
    assert all(one.step(entry.id) is not None for one, entry in found)


def test_a_step_is_found_by_its_procedure_and_id_alone() -> None:
    shop = brambling()
    blank = shop.procedures["rib-blank"]
    for one in blank.steps:
        procedure, found = shop.find_step("rib-blank", one.id)
        assert procedure is blank and found is one
    assert shop.find_step("rib-blank", "no-such") == (blank, None)
    assert shop.find_step("no-such", blank.steps[0].id) == (None, None)


def test_worked_times_are_those_of_the_parts_kind() -> None:
    shop = brambling()
    procedure, worked = next(worked_steps(shop))
    kinds = [kind for kind in shop.kinds.values() if procedure.id in kind.procedures]
    for kind in kinds:
        mark = shop.marks_of(kind.id)[0]
        _, found = shop.find_step(procedure.id, worked.id, mark)
        assert found is not None and worked.times_are_worked
        own = shop.figures.minutes(kind, worked.written_minutes)
        assert found.minutes == (own.set_up, own.each, own.put_away)
    # One that the kind does not have can still be in hand, from before its file was changed.
    other, lone = with_steps(shop, procedure.id, worked.model_copy(update={"only_if": "no_such"}))
    _, kept = other.find_step(lone.id, worked.id, shop.marks_of(kinds[0].id)[0])
    assert kept is not None and kept.minutes.each > 0
    _, unknown = shop.find_step(procedure.id, worked.id, "NO-99")
    assert unknown is worked
    _, none = shop.find_step(procedure.id, worked.id)
    assert none is worked


@pytest.mark.parametrize(
    ("typed", "mark"),
    [
        ("NR-01", "NR-01"),
        (" nr-01 ", "NR-01"),
        ("nr 01", "NR-01"),
        ("nr01", "NR-01"),
        ("NR-99", None),
        ("", None),
    ],
)
def test_a_mark_is_found_as_it_is_typed(typed: str, mark: str | None) -> None:
    assert brambling().find_part(typed) == mark


def test_a_mark_that_could_be_two_is_neither() -> None:
    two = {mark: Part(mark=mark, kind="nose-rib") for mark in ("A-11", "A1-1")}
    assert replace(brambling(), parts=two).find_part("a11") is None
    assert replace(brambling(), parts=two).find_part("a1-1") == "A1-1"


def test_tools_and_consumables_are_named_where_they_are_on_the_list() -> None:
    shop = brambling()
    one = step(tools=("micrometer", "no-such"), consumables=("no-such", "sandpaper"))
    assert shop.tool_names(one) == ("micrometer",)
    assert shop.consumable_names(one) == ("fine sandpaper",)


def test_a_pin_does_not_stand_in_the_shop_file() -> None:
    with pytest.raises(ValidationError, match="a PIN does not stand in this file"):
        Person.model_validate({"id": "wren", "name": "Wren", "role": "builder", "pin": "2468"})
    with pytest.raises(ValidationError, match="a dictionary or an instance of Person"):
        Person.model_validate("pinned")  # what is no person at all is told as that


@pytest.mark.parametrize(("written", "kept"), [("1 min", 1.0), ("12 h", 720.0)])
def test_a_wall_screen_rests_after_a_minute_to_half_a_day(written: str, kept: float) -> None:
    assert Screen.model_validate({"calm_after": written}).calm_after == kept
    for wrong in ("0.9 min", "721 min"):
        with pytest.raises(ValidationError, match="the screen rests after"):
            Screen.model_validate({"calm_after": wrong})


def test_putting_away_takes_four_hours_at_the_most() -> None:
    file = brambling().file
    written = written_in(file, "aeroplane", "people", "part_kinds")
    assert type(file).model_validate({**written, "put_away": "4 h"}).put_away == 240
    with pytest.raises(ValidationError, match="putting away takes 241 min"):
        type(file).model_validate({**written, "put_away": "241 min"})


def test_a_pedal_sends_a_key_that_does_nothing_else() -> None:
    assert [Screen.model_validate({"pedal": key}).pedal for key in ("F13", "f24", "space")] == [
        "f13",
        "f24",
        "space",
    ]
    for key in ("f12", "f25", "a", "escape"):
        with pytest.raises(ValidationError, match="no key that a pedal can be"):
            Screen.model_validate({"pedal": key})


def test_stock_is_up_to_a_million_and_ordered_up_to_ten_years_ahead() -> None:
    item = {"id": "mat", "name": "scuff mats", "unit": "mats", "left": 1_000_000, "lead_days": 3_650}
    assert Consumable.model_validate(item).left == 1_000_000
    for field, value in (("left", 1_000_001), ("lead_days", 3_651), ("order_below", 1_000_001)):
        with pytest.raises(ValidationError):
            Consumable.model_validate({**item, field: value})


def test_a_step_whose_minutes_cannot_be_worked_out_is_planned_with_what_is_written_and_else_ten() -> None:
    shop = brambling()
    mark = "NR-01"
    broken = {"dimension": "no_such", "of": shop.parts[mark].kind}
    one = step(minutes={"set_up": broken, "each": broken, "put_away": "3"})
    changed, procedure = with_steps(shop, "rib-blank", one)
    _, found = changed.find_step(procedure.id, one.id, mark)
    assert found is not None and found.minutes == (0.0, 10.0, 3.0)
    one = step(minutes={"set_up": "4", "each": "2", "put_away": broken})
    changed, procedure = with_steps(shop, "rib-blank", one)
    _, found = changed.find_step(procedure.id, one.id, mark)
    assert found is not None and found.minutes == (4.0, 2.0, 0.0)


def test_a_copy_with_a_name_that_is_no_field_is_refused() -> None:
    person = Person(id="wren", name="Wren", role="builder")
    assert person.model_copy(update={"name": "Pip"}).name == "Pip"
    with pytest.raises(TypeError, match="Person has no field nmae"):
        person.model_copy(update={"nmae": "Pip"})
