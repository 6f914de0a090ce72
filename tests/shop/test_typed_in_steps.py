"""A figure that a step has typed is held to what the same step works out, wherever it may stand."""

import math
import re
import shutil
import typing
from collections.abc import Iterator
from pathlib import Path

import pytest

from kiosk.shop.checked import Strict, fields_of, key_of
from kiosk.shop.data import data_folder
from kiosk.shop.faults import Fault
from kiosk.shop.load import load
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import Procedure
from kiosk.shop.written import OfRib

CHANNEL, FLUTING, ROW = "spar/spar-channel", "rib/rib-fluting", "assembly/rib-to-spar"
PANEL = "assembly/practice-panel"
BLOCK = "tooling/form-block"
BLANK, CLIP, CHECK = "rib/rib-blank", "angle/clip-angle", "rib/rib-check"
# FAA-H-8083-31 chapter 4 for the front spar: .032 sheet, 1/8 inside radius, flanges 3/4, web and bends of the
# nose rib. Each bend takes (0.01743 R + 0.0078 T) a degree, and a setback of (R + T) tan(N/2) on both sides.
BENDS_DEG = (84.0408, 89.4320)
WIDTH_IN = 0.75 + 5.69408 + 0.75
WIDTH_IN += sum(one * (0.01743 * 0.125 + 0.0078 * 0.032) for one in BENDS_DEG)
WIDTH_IN -= sum(2 * (0.125 + 0.032) * math.tan(math.radians(one / 2)) for one in BENDS_DEG)
FRONT_SPAR_WIDTH = f"{WIDTH_IN:.4f} in (flat width)"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(data_folder("scenarios") / "brambling", tmp_path / "shop")
    (tmp_path / "shop" / "procedures").mkdir(exist_ok=True)
    return tmp_path / "shop"


def told(folder: Path, procedure: str, *changes: tuple[str, str]) -> list[Fault]:
    """What `kiosk check` says once a procedure of the shop's own has other words in these places."""
    text = (data_folder("procedures") / f"{procedure}.yaml").read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path = folder / "procedures" / f"{Path(procedure).name}.yaml"
    path.write_text(text)
    loaded = load(folder, lint=True)
    assert loaded.errors == []
    assert all(one.file.endswith(path.name) for one in loaded.faults)
    return loaded.faults


@pytest.mark.parametrize(
    ("procedure", "old", "new", "wrong"),
    [
        # What the step shows as a number, beside the very same asked at the other end.
        (CHANNEL, "left end, unit: in, nominal: flat_width", 'left end, unit: in, nominal: "6.987"',
         f"nominal 6.987 is not what this step has for 'front-spar', {FRONT_SPAR_WIDTH}"),
        (CHANNEL, "nominal: sight_line", 'nominal: ".755"',
         "nominal .755 is not what this step has for 'front-spar', 0.7335 in (sight line)"),
        (CHANNEL, "nominal: lower_sight_line", 'nominal: ".755"',
         "nominal .755 is not what this step has for 'front-spar', 0.7195 in (lower sight line)"),
        (CHANNEL, "the middle\", unit: deg, nominal: upper_bend", "the middle\", unit: deg, nominal: \"80\"",
         "nominal 80 is not what this step has for 'front-spar', 84.04 deg "
         "(wanted after release, from flat)"),
        (FLUTING, "times: flutes", 'times: "3"',
         "times 3 is not what this step has for 'nose-rib', 9 flutes (flutes as laid out)"),
        (FLUTING, "want: flutes", 'want: "8"',
         "want 8 is not what this step has for 'nose-rib', 9 flutes (flutes as laid out)"),
        # One end of what is allowed, where the number says which.
        (ROW, "Width of the smaller shop head, unit: in, low: {calculator: shop_head, inputs: {diameter:"
         " rivet_diameter}}",
         'Width of the smaller shop head, unit: in, low: ".12"',
         "low .12 is not what this step has for 'nose-joint', 0.1625 in (least width of a shop head)"),
        # What another check, or the count, has for the same thing.
        (CHANNEL, "Gap at the middle, unit: in, nominal: thickness",
         'Gap at the middle, unit: in, nominal: ".025"',
         "nominal .025 is not what this step has for 'front-spar', 0.0320 in (check 'left' has it so)"),
        (ROW, "amount: spar_rivets", 'amount: "7"',
         "amount 7 is not what this step has for 'nose-joint', 5 (repeat has it so)"),
        # What its arithmetic takes, named in full; and as many as its minutes are for.
        (CHANNEL, "nominal: thickness", 'nominal: ".025"',
         "nominal .025 is not what this step has for 'front-spar', 0.0320 in (thickness)"),
        (CLIP, "nominal: leg,", 'nominal: "1.4",',
         "nominal 1.4 is not what this step has for 'rib-clip', 1.5000 in (leg)"),
        (FLUTING, "want: flange_rivets", 'want: "12"',
         "want 12 is not what this step has for 'nose-rib', 18 (flange_rivets)"),
        (PANEL, "want: spar_rivets", 'want: "4"',
         "want 4 is not what this step has for 'practice-panel', 5 (spar_rivets)"),
    ],
)  # fmt: skip
def test_a_typed_figure_is_told_with_what_the_step_works_out(
    folder: Path, procedure: str, old: str, new: str, wrong: str
) -> None:
    (fault,) = told(folder, procedure, (old, new))
    assert (fault.severity, fault.wrong) == ("warning", wrong)
    line = (folder / "procedures" / f"{Path(procedure).name}.yaml").read_text().splitlines()[fault.line - 1]
    typed = wrong.split()[1]
    assert re.match(rf'"?{re.escape(typed)}\b', line[fault.column - 1 :])


@pytest.mark.parametrize(
    ("procedure", "old", "new"),
    [
        # As closely as it is printed: the block's own hole is the same for every rib.
        (BLANK, "nominal: tooling_hole,", 'nominal: ".188",'),
        (CLIP, "nominal: leg,", 'nominal: "1-1/2",'),
        # The other leg, where the step shows the first, which another question has.
        (CLIP, "nominal: second_leg,", 'nominal: ".75",'),
        # The least that the metal takes is no nominal.
        (BLOCK, "nominal: bend_radius,", 'nominal: ".125",'),
        # A length beside a width, a height at the other end, a leg beside the other leg: who knows?
        (CHANNEL, "Length marked, unit: in, nominal: blank_length",
         'Length marked, unit: in, nominal: "144"'),
        (CHECK, "nominal: front_height", 'nominal: "5.1"'),
        # Corners of a step whose minutes count cut-outs.
        (BLANK, "times: {rib: cut_out_corners}", 'times: "4"'),
        # What must lie between the ends, and does.
        (CLIP, 'low: "89", high: "91"}', 'low: "85", high: "95"}'),
    ],
)  # fmt: skip
def test_what_agrees_or_could_be_two_is_told_nothing(
    folder: Path, procedure: str, old: str, new: str
) -> None:
    assert told(folder, procedure, (old, new)) == []


def test_a_figure_that_fits_one_kind_and_not_another_is_told_for_that(folder: Path) -> None:
    (fault,) = told(folder, CHANNEL, ("left end, unit: in, nominal: flat_width",
                                      'left end, unit: in, nominal: "7.022"'))  # fmt: skip
    assert fault.wrong == "nominal 7.022 is not what this step has for 'rear-spar', 4.9556 in (flat width)"


_FLAT = (
    'calculator: flat_width, inputs: {legs: "flange_width, web_height, flange_width", bend_angles: '
    '"upper_bend, lower_bend", thickness: thickness, inside_radius: bend_radius}'
)
_SHOWN = "{id: left, kind: measure, ask: Width marked at the left end, unit: in, nominal: flat_width,"
_OFF = f'{{plans: ".9", {_FLAT}}}'
_FLUTES = "{calculator: repeated_time, inputs: {count: flutes"
_TIMES = '{plans: "99", calculator: repeated_time, inputs: {count: flutes, each: "0.7"}}'
# Every field of a procedure that may hold a figure, with a place where it stands and one that is wrong.
PLACES = {
    ("CountCheck", "want"): (FLUTING, "want: flutes", 'want: {plans: "99", rib: flutes}'),
    ("MeasureCheck", "nominal"): (CHANNEL, _SHOWN, _SHOWN.replace("flat_width,", f"{_OFF},")),
    ("MeasureCheck", "plus"): (CHANNEL, f'{_SHOWN} plus: "1/64"', f"{_SHOWN} plus: {_OFF}"),
    ("MeasureCheck", "minus"): (
        CHANNEL,
        f'{_SHOWN} plus: "1/64", minus: "1/64"',
        f'{_SHOWN} plus: "1/64", minus: {_OFF}',
    ),
    ("MeasureCheck", "low"): (CHANNEL, _SHOWN + ' plus: "1/64", minus: "1/64"',
                              _SHOWN.replace("nominal: flat_width,", f'low: {_OFF}, high: "9"')),
    ("MeasureCheck", "high"): (CHANNEL, _SHOWN + ' plus: "1/64", minus: "1/64"',
                               _SHOWN.replace("nominal: flat_width,", f"high: {_OFF}")),
    ("Repeat", "times"): (FLUTING, "times: flutes", 'times: {plans: "99", rib: flutes}'),
    ("Uses", "amount"): (ROW, "amount: spar_rivets",
                         'amount: {plans: "9", of: nose-rib, dimension: rear_rivets}'),
    ("StepMinutes", "set_up"): (FLUTING, f"{{set_up: 1, each: {_FLUTES}",
                                f"{{set_up: {_TIMES}, each: {_FLUTES}"),
    ("StepMinutes", "each"): (FLUTING, f"each: {_FLUTES}", f'each: {{plans: "99", {_FLUTES[1:]}'),
    ("StepMinutes", "put_away"): (FLUTING, 'each: "0.7", once: "2"}}, put_away: 1',
                                  f'each: "0.7", once: "2"}}}}, put_away: {_TIMES}'),
}  # fmt: skip


def classes_in(hint: object) -> Iterator[type]:
    if isinstance(hint, type):
        yield hint
    for one in typing.get_args(hint):
        yield from classes_in(one)


def places_of(model: type[Strict], seen: set[type]) -> Iterator[tuple[str, str]]:
    """Every field under a class of the files that may hold a figure, by the class that has it."""
    seen.add(model)
    hints = typing.get_type_hints(model)
    for field in fields_of(model):
        found = set(classes_in(hints[field.name]))
        if OfRib in found:
            yield model.__name__, key_of(field.name)
            continue
        for one in found:
            if issubclass(one, Strict) and one not in seen:
                yield from places_of(one, seen)


def test_no_field_that_may_hold_a_figure_is_left_out_here() -> None:
    assert set(places_of(Procedure, set())) == set(PLACES)
    assert set(places_of(PartKind, set())) == {("PartKind", "dimensions")}, "test_figures.py has those"


@pytest.mark.parametrize("place", PLACES, ids=".".join)
def test_plans_are_compared_in_every_place_that_may_have_them(folder: Path, place: tuple[str, str]) -> None:
    procedure, old, new = PLACES[place]
    (fault,) = told(folder, procedure, (old, new))
    assert fault.severity == "warning"
    assert re.match(rf"{place[1]} \S+ is not what is (worked out|borrowed) for ", fault.wrong)
