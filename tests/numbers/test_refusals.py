"""Refusals name the input to blame, as the function or the data class calls it."""

import inspect
import json
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import MISSING, fields
from fractions import Fraction
from typing import Any

import pytest

from kiosk.numbers import CALCULATORS, OutOfRange
from kiosk.numbers.aerofoil import naca, read_coordinates
from kiosk.numbers.cutting import Blank, Sheet, plan_cuts
from kiosk.numbers.result import Parameter
from kiosk.numbers.rib import lay_out
from kiosk.numbers.rib_inputs import RibInputs
from kiosk.numbers.rivets import rivet_row
from kiosk.numbers.trial import TrialStrip, fit
from tests.published.values import BAD, GOOD, REFUSES_NOTHING


def test_every_calculator_that_refuses_is_tried() -> None:
    assert set(GOOD) == set(CALCULATORS)
    assert {name for name, _, _ in BAD} == set(CALCULATORS) - REFUSES_NOTHING


@pytest.mark.parametrize(("name", "argument", "value"), BAD)
def test_a_refusal_names_the_guilty_argument(name: str, argument: str, value: Any) -> None:
    about = CALCULATORS[name]
    assert about.work(GOOD[name]).headline.value is not None
    with pytest.raises(OutOfRange) as caught:
        about.work({**GOOD[name], argument: value})
    assert caught.value.argument == argument
    assert caught.value.mend
    assert about.parameter_of(argument) is not None


@pytest.mark.parametrize("name", sorted(GOOD))
def test_what_is_asked_again_is_the_same_answer_and_what_differs_in_anything_is_another(name: str) -> None:
    about = CALCULATORS[name]
    first = about.work(GOOD[name])
    assert about.work(dict(reversed(GOOD[name].items()))) is first
    assert about.function(**GOOD[name]) == first
    for argument, value in GOOD[name].items():
        if isinstance(value, float):
            other = about.work({**GOOD[name], argument: value * (1 + 1e-9)})
            assert other.inputs != first.inputs, argument


NO_NUMBERS = (math.nan, math.inf, -math.inf)
NUMBERS_OF = [
    (name, one)
    for name, about in CALCULATORS.items()
    for one in about.parameters
    if one.kind in (float, tuple)
]


@pytest.mark.parametrize("value", NO_NUMBERS)
@pytest.mark.parametrize(("name", "parameter"), NUMBERS_OF, ids=lambda one: getattr(one, "name", one))
def test_what_is_no_number_never_reaches_a_formula(name: str, parameter: Parameter, value: float) -> None:
    good = GOOD[name].get(parameter.argument)
    given = (*(good or (1.0,))[:-1], value) if parameter.is_list else value
    with pytest.raises(OutOfRange) as caught:
        CALCULATORS[name].work({**GOOD[name], parameter.argument: given})
    assert caught.value.argument == parameter.argument
    assert "is not a number" in caught.value.wrong


@pytest.mark.parametrize("value", [1e308, 1e-308, 5e-324, -1e308, 0.0])
@pytest.mark.parametrize(("name", "parameter"), NUMBERS_OF, ids=lambda one: getattr(one, "name", one))
def test_the_largest_and_least_numbers_are_refused_or_answered(
    name: str, parameter: Parameter, value: float
) -> None:
    given = (value,) * len(GOOD[name].get(parameter.argument, (0,))) if parameter.is_list else value
    try:
        made = CALCULATORS[name].work({**GOOD[name], parameter.argument: given})
    except OutOfRange:
        return
    json.dumps(made.as_data(), allow_nan=False)


def test_a_rib_a_cutting_plan_a_trial_and_coordinates_take_numbers_alone() -> None:
    rib: dict[str, Any] = {one.name: 1.0 for one in fields(RibInputs) if one.default is MISSING}
    refused: dict[str, Callable[[], object]] = {
        "skin_in": lambda: lay_out(naca("2412"), RibInputs(**{**rib, "skin_in": math.nan})),
        "width_in": lambda: plan_cuts([Blank("rib", 10, math.inf, 1)], Sheet(144, 48)),
        "trim_in": lambda: plan_cuts([Blank("rib", 10, 5, 1)], Sheet(144, 48, math.nan)),
        "kerf_in": lambda: plan_cuts([Blank("rib", 10, 5, 1)], Sheet(144, 48), math.nan),
        "leg_a_in": lambda: fit([TrialStrip(2, math.nan, 1, 90, 94, 0.032, 0.125)], lambda _, __: 2.0),
        "section": lambda: read_coordinates("wing\n" + "1 0\n" * 10 + "nan 0\n"),
    }
    for argument, work in refused.items():
        with pytest.raises(OutOfRange) as caught:
            work()
        assert caught.value.argument == argument


@pytest.mark.parametrize("factor", [7.0, -3.0, 1.001])
def test_the_neutral_line_lies_within_the_sheet(factor: float) -> None:
    with pytest.raises(OutOfRange, match="outside the sheet") as caught:
        CALCULATORS["flat_width"].work({**GOOD["flat_width"], "neutral_factor": factor})
    assert caught.value.argument == "neutral_factor"


def test_what_is_missing_or_cannot_be_read_is_named_too() -> None:
    for written, argument in (
        ({"thickness": ".032"}, "inside_radius_in"),
        ({"thickness": "thin", "inside_radius": "1/8"}, "thickness_in"),
        ({"thickness": ".032", "inside_radius": "1/8", "bend_angle": "square"}, "bend_angle_deg"),
    ):
        with pytest.raises(OutOfRange) as caught:
            CALCULATORS["setback"].work_out(written)
        assert caught.value.argument == argument


@pytest.mark.parametrize("name", ["24", "99999", "2012", "2445"])
def test_a_section_is_named(name: str) -> None:
    refusals: tuple[Callable[[], object], ...] = (
        lambda: naca(name),
        lambda: read_coordinates("wing\n0 0\n1 0"),
    )
    for refused in refusals:
        with pytest.raises(OutOfRange) as caught:
            refused()
        assert caught.value.argument == "section"


@pytest.mark.parametrize(
    ("blank", "argument"),
    [
        (Blank("rib", 10, 5, 0), "count"),
        (Blank("rib", 0, 5, 1), "length_in"),
        (Blank("rib", 10, 0, 1), "width_in"),
        (Blank("rib", 200, 5, 1), "length_in"),
    ],
)
def test_a_blank_names_its_guilty_size(blank: Blank, argument: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        plan_cuts([blank], Sheet(144, 48))
    assert caught.value.argument == argument


@pytest.mark.parametrize(
    ("strip", "argument"),
    [
        (TrialStrip(2, 1, 1, 0, 94, 0.032, 0.125), "angle_deg"),
        (TrialStrip(2, 1, 1, 90, 180, 0.032, 0.125), "set_angle_deg"),
        (TrialStrip(2, 1, 1, 90, 94, 0, 0.125), "thickness_in"),
    ],
)
def test_a_trial_strip_names_its_guilty_measurement(strip: TrialStrip, argument: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        fit([strip], lambda chance, degrees: 2.0)
    assert caught.value.argument == argument


LISTS = [
    (name, argument, item)
    for name, good in GOOD.items()
    for argument, given in good.items()
    if isinstance(given, tuple) and isinstance(given[0], float | int)
    for item in range(len(given))
]


@pytest.mark.parametrize("bad", [-1e6, math.nan], ids=str)
@pytest.mark.parametrize(("name", "argument", "item"), LISTS, ids=str)
def test_of_a_list_the_very_one_is_blamed(name: str, argument: str, item: int, bad: float) -> None:
    given = list(GOOD[name][argument])
    given[item] = bad
    try:
        CALCULATORS[name].work({**GOOD[name], argument: tuple(given)})
    except OutOfRange as refused:
        assert (refused.argument, refused.item) == (argument, item)
    else:
        assert not math.isnan(bad)  # an arm may be below nothing


CHOOSES = [(name, one) for name, about in CALCULATORS.items() for one in about.parameters if one.choices]


@pytest.mark.parametrize("value", ["X", "", None, 3])
@pytest.mark.parametrize(("name", "parameter"), CHOOSES, ids=lambda one: getattr(one, "name", one))
def test_what_is_no_choice_is_refused_by_name(name: str, parameter: Parameter, value: object) -> None:
    with pytest.raises(OutOfRange) as caught:
        CALCULATORS[name].work({**GOOD[name], parameter.argument: value})
    assert caught.value.argument == parameter.argument and caught.value.mend


@pytest.mark.parametrize("value", ["many", 1.5, True])
@pytest.mark.parametrize(
    ("name", "parameter"),
    [(name, one) for name, about in CALCULATORS.items() for one in about.parameters if one.kind is int],
    ids=lambda one: getattr(one, "name", one),
)
def test_what_is_no_whole_number_is_refused_by_name(name: str, parameter: Parameter, value: object) -> None:
    with pytest.raises(OutOfRange) as caught:
        CALCULATORS[name].work({**GOOD[name], parameter.argument: value})
    assert caught.value.argument == parameter.argument


_LIMIT = r"(-?[\d.,]+(?:/\d+)?)"


def stated_outside(name: str) -> Iterator[tuple[Parameter, float]]:
    """Values just out of the range that the documentation of a calculator states of its inputs."""
    text = inspect.cleandoc(CALCULATORS[name].function.__doc__ or "")
    given = text.split("Parameters\n----------\n")[1].split("\nReturns\n")[0]
    for one in re.finditer(r"^(\w+) : .*\n((?:    .*\n?)+)", given, re.MULTILINE):
        parameter = CALCULATORS[name].parameter_of(one[1])
        assert parameter is not None, one[1]
        said = " ".join(one[2].split())
        if parameter.is_text:
            continue
        both = re.search(rf"(above )?{_LIMIT} to (below )?{_LIMIT}", said.replace(" (flat sheet)", ""))
        more = re.search(rf"{_LIMIT} or more", said)
        if both is not None:
            low, high = (float(Fraction(both[at].strip(".,").replace(",", ""))) for at in (2, 4))
            step = 1.0 if parameter.kind is int else 0.1 * (low or 1.0)  # sizes are nominal
            yield parameter, low if both[1] else low - step
            yield parameter, high if both[3] else high + (1.0 if parameter.kind is int else 0.1 * high)
        elif "above 0" in said:
            yield parameter, 0.0
        elif more is not None and "diameters" not in said:
            low = float(more[1])
            yield parameter, low - (1e-6 if parameter.kind is not int else 1)


STATED = [(name, *one) for name in CALCULATORS for one in stated_outside(name)]


def test_ranges_are_found_in_what_is_stated() -> None:
    assert len(STATED) > 120
    assert ("coat_to_mix", "count", 0) in [(name, one.argument, value) for name, one, value in STATED]


@pytest.mark.parametrize(("name", "parameter", "value"), STATED, ids=lambda one: getattr(one, "name", one))
def test_what_is_just_out_of_its_stated_range_is_refused_by_name(
    name: str, parameter: Parameter, value: float
) -> None:
    given = (*GOOD[name][parameter.argument][:-1], value) if parameter.is_list else value
    with pytest.raises(OutOfRange) as caught:
        CALCULATORS[name].work({**GOOD[name], parameter.argument: given})
    assert caught.value.argument == parameter.argument


# What may be below nothing: arms lie on both sides of a datum, and temperatures are Fahrenheit.
BELOW_NOTHING = {"arms_in"}


@pytest.mark.parametrize(("name", "parameter"), NUMBERS_OF, ids=lambda one: getattr(one, "name", one))
def test_what_is_below_nothing_is_refused_by_name(name: str, parameter: Parameter) -> None:
    if parameter.argument in BELOW_NOTHING:
        return
    given = (*GOOD[name][parameter.argument][:-1], -1.0) if parameter.is_list else -1.0
    with pytest.raises(OutOfRange) as caught:
        CALCULATORS[name].work({**GOOD[name], parameter.argument: given})
    assert caught.value.argument == parameter.argument


@pytest.mark.parametrize(
    "given",
    [
        {"solids_percent": 1e-20},
        {"solids_percent": 1e-300},
        {"length_in": 1e300},
        {"others_in2": 1e300},
        {"count": 10**30},
        {"loss_percent": math.nextafter(100.0, 0.0)},
        {"length_in": 1e6, "width_in": 1e6, "count": 10**6, "solids_percent": 1.0},
    ],
)
def test_a_mixture_of_any_size_is_refused_or_poured(given: dict[str, Any]) -> None:
    """The search for marks on a cup never ended where one mark more was lost in so large a number."""
    with pytest.raises(OutOfRange):
        CALCULATORS["coat_to_mix"].work({**GOOD["coat_to_mix"], **given})


def test_a_row_of_less_than_no_rivets_has_no_pitch() -> None:
    with pytest.raises(OutOfRange) as caught:
        rivet_row(0.5, 0.228, 1 / 16, wanted_pitch_in=3, count=-1)
    assert caught.value.argument == "count"
