"""One value, one home: what a step, a limit, a count, a drawing and the cutting list say."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from kiosk.errors import KioskError
from kiosk.numbers.bends import flat_width
from kiosk.numbers.cutting import Sheet
from kiosk.record.state import State
from kiosk.shop.at_hand import ORDINARY_DAY
from kiosk.shop.data import data_folder
from kiosk.shop.faults import Fault
from kiosk.shop.figures import FigureFault, Figures
from kiosk.shop.load import load, load_shop
from kiosk.shop.measures import read_number
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import DimensionShown, MeasureCheck, NumberWanted, Procedure, Step
from kiosk.shop.shop import Shop
from kiosk.shop.written import OfKind, OfRib, Worked
from kiosk.views.cutting import cutting_plans

SCENARIO = data_folder("scenarios") / "brambling"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(SCENARIO, tmp_path / "shop")
    (tmp_path / "shop" / "procedures").mkdir()
    return tmp_path / "shop"


def change(folder: Path, old: str, new: str, kind: str = "") -> str:
    """Replace the first ``old`` after a kind's beginning in shop.yaml; gives the new text."""
    path = folder / "shop.yaml"
    text = path.read_text()
    begin = text.index(f"  - id: {kind}\n") if kind else 0
    assert old in text[begin:]
    text = text[:begin] + text[begin:].replace(old, new, 1)
    path.write_text(text)
    return text


def line_of(folder: Path, fault: Fault) -> str:
    return (folder / "shop.yaml").read_text().splitlines()[fault.line - 1]


def steps_of(shop: Shop, kind: PartKind) -> Iterator[tuple[Procedure, Step]]:
    for name in kind.procedures:
        procedure = shop.procedures[name]
        for step in procedure.steps:
            if step.only_if is None or shop.figures.has(kind, step.only_if):
                yield procedure, step


def test_a_thicker_spar_changes_everything_that_hangs_on_it(folder: Path) -> None:
    """The handbook's flat width (FAA-H-8083-31 ch. 4) for .040 stands on the step, in its check, on the sight
    line, in the cutting list and on the brake; nothing keeps the .032 figure."""
    before = load_shop(folder)
    change(folder, "thickness: .032", "thickness: .040", "front-spar")
    shop = load_shop(folder)
    spar = shop.kinds["front-spar"]
    web = shop.figures.number(shop.kinds["nose-rib"], "rear_height", "in")
    bends = tuple(shop.figures.number(spar, name, "deg") for name in ("upper_bend", "lower_bend"))
    worked = flat_width((0.75, web, 0.75), bends, 0.040, 0.125)
    assert worked.width_in == pytest.approx(7.0021, abs=0.0005)

    procedure = shop.procedures["spar-channel"]
    mark, sight = procedure.step("mark-strip"), procedure.step("sight-lines")
    assert mark is not None and sight is not None
    number = shop.figures.step_number(spar, mark.numbers[0])
    assert number.value == worked.width_in
    for check in mark.checks:
        if not isinstance(check, MeasureCheck) or check.nominal != "flat_width":
            continue
        limits = shop.figures.limits(spar, check)
        assert limits.within(7.002) and not limits.within(7.022)
    check = sight.checks[0]
    assert isinstance(check, MeasureCheck)
    assert shop.figures.limits(spar, check).within(worked.sight_lines_in[0])
    assert shop.figures.number(spar, "blank_width", "in") == worked.width_in
    cut = {
        placed.name: min(placed.along_in, placed.across_in)
        for plan in cutting_plans(shop, State(), Sheet(144, 48, 0), 0.25).plans
        for sheet in plan.plan.sheets
        for strip in sheet.strips
        for placed in strip.blanks
    }
    assert cut["front-spar"] == pytest.approx(worked.width_in, abs=0.0005)
    # The brake that bends it reads the same thickness.
    brake = shop.kinds["brake-eighth"]
    assert shop.figures.number(brake, "sheet_thickness", "in") == 0.040
    assert before.figures.number(before.kinds["brake-eighth"], "sheet_thickness", "in") == 0.032
    # And its rivets' grip grows by as much.
    joint = shop.kinds["nose-joint"]
    assert shop.figures.number(joint, "spar_grip", "in") == pytest.approx(0.065)


COUNTS = ("clip_rivets", "front_rivets", "holes", "rear_rivets", "spar_rivets")
OTHER_WORDS = {
    "along": "across",
    "across": "along",
    "up": "down",
    "down": "up",
    "2412": "2415",
    "0009": "0012",
}
# One fifteenth larger and smaller; where that makes no part, a hundredth.
LARGER, SMALLER = (16 / 15, 1.01), (14 / 15, 0.99)
_BETWEEN = re.compile(r"(\s*[,;]\s*|\s+)")  # values of a list, and the sizes and words of a cut-out


def rewritten(name: str, written: str) -> Iterator[tuple[str, list[str]]]:
    """A typed value otherwise: larger and smaller, each value of a list by itself, a word by its other.

    Of each way its name, and what is tried in turn until the part can be made so.
    """
    if written in OTHER_WORDS:
        yield "other", [OTHER_WORDS[written]]
        return
    try:
        read_number(written, "in")
    except KioskError:
        pieces = _BETWEEN.split(written)
    else:
        pieces = [written]
    for at, piece in enumerate(pieces):
        try:
            value = read_number(piece, "in")
        except KioskError:
            continue
        for way, factors in (("larger", LARGER), ("smaller", SMALLER)):
            tried = [f"{value * factor:.6f}" for factor in factors]
            if name in COUNTS:
                tried = [f"{max(0, value + (1 if way == 'larger' else -1)):g}"]
            yield f"{way} {at // 2}", ["".join([*pieces[:at], new, *pieces[at + 1 :]]) for new in tried]


def altered(kind: PartKind) -> Iterator[tuple[str, str, list[PartKind]]]:
    """The kind with each figure that is typed for it made otherwise, one at a time: its dimensions, and what
    is typed among the inputs of those that are worked out."""
    for name, written in kind.dimensions.items():
        if isinstance(written, str):
            for way, tried in rewritten(name, written):
                yield name, way, [_with(kind, name, new) for new in tried]
        elif isinstance(written, Worked):
            for key, value in written.inputs.items():
                for way, tried in rewritten(key, value) if isinstance(value, str) else ():
                    inputs = [{**written.inputs, key: new} for new in tried]
                    others = [written.model_copy(update={"inputs": one}) for one in inputs]
                    yield f"{name}/{key}", way, [_with(kind, name, one) for one in others]
    if kind.material.thickness is not None:
        for way, factors in (("larger", LARGER), ("smaller", SMALLER)):
            materials = [
                kind.material.model_copy(update={"thickness": kind.material.thickness * factor})
                for factor in factors
            ]
            yield "thickness", way, [kind.model_copy(update={"material": one}) for one in materials]


def _with(kind: PartKind, name: str, written: object) -> PartKind:
    return kind.model_copy(update={"dimensions": {**kind.dimensions, name: written}})


def limits_beside_numbers(shop: Shop, figures: Figures, kind: PartKind) -> dict[tuple[str, ...], float]:
    """Of each step, each end of a check less each number or figure on the same step, in the same unit."""
    found: dict[tuple[str, ...], float] = {}
    for procedure, step in steps_of(shop, kind):
        numbers: dict[str, tuple[float, str]] = {}
        dimensions: dict[str, str] = {}  # of a number that is one: two of them may happen to be alike
        for wanted in step.numbers:
            number = figures.step_number(kind, wanted, ORDINARY_DAY)
            if isinstance(wanted, DimensionShown):
                dimensions[number.title] = wanted.dimension
            if number.value is not None:
                numbers[number.title] = (number.value, number.unit)
            for one in number.result.beside if number.result is not None else ():
                # The column of a table that was read is no figure of the part.
                if not isinstance(one.value, str) and one.name != "column used":
                    numbers[f"{number.title}, {one.name}"] = (one.value, one.unit)
        if step.repeat is not None:
            for title, (value, unit) in numbers.items():
                if unit == step.repeat.of:
                    key = (procedure.id, step.id, "repeat", title)
                    found[key] = figures.count(kind, step.repeat) - value
        for check in step.checks:
            if not isinstance(check, MeasureCheck):
                continue
            if check.only_if is not None and not figures.has(kind, check.only_if):
                continue
            limits = figures.limits(kind, check, ORDINARY_DAY)
            nominal = None if check.nominal is None else figures.number(kind, check.nominal, check.unit)
            for end, at in (("low", limits.low), ("high", limits.high), ("nominal", nominal)):
                for title, (value, unit) in numbers.items():
                    dimension = dimensions.get(title.partition(", ")[0])
                    if dimension is not None and check.nominal not in (None, dimension):
                        continue
                    if at is not None and unit == check.unit:
                        found[(procedure.id, step.id, check.id, end, title)] = at - value
    return found


def test_no_step_disagrees_with_its_own_calculator_whatever_dimension_changes() -> None:
    shop = load_shop(SCENARIO)
    shipped = {kind.id: limits_beside_numbers(shop, shop.figures, kind) for kind in shop.kinds.values()}
    together = {name: {key for key, by in one.items() if abs(by) < 2e-4} for name, one in shipped.items()}
    reached = {name: reached_from(shop, name) for name in shop.kinds}
    pairs = 0
    ways: dict[tuple[str, str], set[str]] = {}  # of each figure, in which ways it was altered
    for changed in shop.kinds.values():
        of_it = [kind for kind in shop.kinds.values() if changed.id in reached[kind.id] and together[kind.id]]
        for name, way, tries in altered(changed):
            done = ways.setdefault((changed.id, name), set())
            for new in tries:
                figures = Figures({**shop.kinds, changed.id: new}, SCENARIO)
                try:
                    after = {
                        kind.id: limits_beside_numbers(shop, figures, new if kind is changed else kind)
                        for kind in of_it
                    }
                except FigureFault as fault:
                    # A chord or a hole a fifteenth larger may make no rib: then it is refused, by name.
                    assert fault.dimension, (changed.id, name, way, str(fault))
                    continue
                done.add(way)
                for kind_id, now in after.items():
                    for key in together[kind_id]:
                        pairs += 1
                        as_shipped = shipped[kind_id][key]
                        assert now[key] == pytest.approx(as_shipped, abs=1e-9), (changed.id, name, way, key)
                break
    not_both = {key for key, done in ways.items() if len({way.split()[0] for way in done} - {"other"}) == 1}
    assert not_both == {
        ("tailplane-rib", "front_rivets"),
        ("tailplane-rib", "rear_rivets"),
    }  # two is the least
    assert all(ways.values()) and {name for _, name in ways} >= {"lightening_hole_stations", "spar_cut_outs"}
    assert pairs > 10_000


def reached_from(shop: Shop, kind_id: str) -> set[str]:
    """The kind and every kind that its figures come from, however far down."""
    found, to_see = {kind_id}, [kind_id]
    while to_see:
        for written in shop.kinds[to_see.pop()].dimensions.values():
            if isinstance(written, OfKind) and written.of not in found:
                found.add(written.of)
                to_see.append(written.of)
    return found


def test_a_typed_limit_would_be_caught_by_the_property() -> None:
    """The property above must be able to fail: with the flat width typed, a thicker sheet parts the two."""
    shop = load_shop(SCENARIO)
    spar = shop.kinds["front-spar"]
    typed = spar.model_copy(update={"dimensions": {**spar.dimensions, "flat_width": "7.0215"}})
    shipped = limits_beside_numbers(shop, Figures({**shop.kinds, "front-spar": typed}, SCENARIO), typed)
    together = {key for key, apart in shipped.items() if abs(apart) < 5e-4}
    material = typed.material.model_copy(update={"thickness": 0.040})
    thicker = typed.model_copy(update={"material": material})
    after = limits_beside_numbers(shop, Figures({**shop.kinds, "front-spar": thicker}, SCENARIO), thicker)
    assert any(abs(after[key] - shipped[key]) > 0.01 for key in together)


# What is changed in shop.yaml, in which kind, the words of the fault and of the line that is named.
FAULTS = [
    (
        "circle",
        "flange_width: 3/4",
        "flange_width: blank_width",
        "front-spar",
        "flange_width needs blank_width needs flat_width needs flange_width",
        "flange_width: blank_width",
    ),
    (
        "circle over two kinds",
        "      bend_radius: 1/8",
        "      bend_radius: {of: brake-eighth, dimension: bar_radius}",
        "front-spar",
        "front-spar bend_radius needs brake-eighth bar_radius needs",
        "bend_radius",
    ),
    (
        "unknown name",
        'legs: "flange_width, web_height, flange_width"',
        'legs: "flange_width, web_hight, flange_width"',
        "front-spar",
        "no dimension 'web_hight'",
        "web_hight",
    ),
    (
        "unknown kind",
        "web_height: {of: nose-rib,",
        "web_height: {of: nose-ribs,",
        "front-spar",
        "unknown part kind 'nose-ribs'; did you mean 'nose-rib'?",
        "nose-ribs",
    ),
    (
        "unknown dimension of a kind",
        "{of: nose-rib, dimension: rear_height}",
        "{of: nose-rib, dimension: rear_hight}",
        "front-spar",
        "did you mean 'rear_height'?",
        "rear_hight",
    ),
    (
        "unknown calculator",
        "flat_width: {calculator: flat_width",
        "flat_width: {calculator: flat_widht",
        "front-spar",
        "unknown calculator 'flat_widht'",
        "flat_widht",
    ),
    (
        "unknown input",
        "thickness: thickness, inside_radius: bend_radius",
        "thicknes: thickness, inside_radius: bend_radius",
        "front-spar",
        "flat_width has no input 'thicknes'",
        "thicknes",
    ),
    (
        "unknown figure",
        "figure: sight_lines",
        "figure: sight_line",
        "front-spar",
        "gives no figure 'sight_line'; did you mean 'sight_lines'?",
        "sight_line:",
    ),
    (
        "figure beyond the list",
        "figure: sight_lines",
        "figure: sight_lines, which: 3",
        "front-spar",
        "no sight_lines 3 here",
        "which: 3",
    ),
    (
        "out of range, at the dimension",
        "      bend_radius: 1/8",
        "      bend_radius: 20",
        "front-spar",
        "radius 20.0 in is outside 0 to 10 in",
        "bend_radius: 20",
    ),
    (
        "out of range, at the input",
        'bend_angles: "upper_bend, lower_bend"',
        'bend_angles: "90, 190"',
        "front-spar",
        "bend angle 190.0 is outside",
        'bend_angles: "90, 190"',
    ),
    (
        "the wrong unit",
        "web_height: {of: nose-rib, dimension: rear_height}",
        "web_height: {calculator: overbend, inputs: {thickness: .032, inside_radius: 1/8, alloy: alloy}}",
        "front-spar",
        "not in",
        "web_height",
    ),
    (
        "unknown figure of a rib",
        "front_height: {rib: front_height}",
        "front_height: {rib: front_hight}",
        "main-rib",
        "a rib has no figure 'front_hight'",
        "front_hight",
    ),
    (
        "no number",
        "flange_width: 3/4",
        "flange_width: nan",
        "front-spar",
        "'nan' is not a length",
        "flange_width: nan",
    ),
    (
        "a count that is none",
        "rear_rivets: 5",
        "rear_rivets: nan",
        "nose-rib",
        "'nan' is no whole number",
        "rear_rivets",
    ),
    (
        "an endless count",
        "rear_rivets: 5",
        "rear_rivets: inf",
        "nose-rib",
        "'inf' is no whole number",
        "rear_rivets",
    ),
]


@pytest.mark.parametrize(
    ("old", "new", "kind", "words", "line"), [case[1:] for case in FAULTS], ids=[case[0] for case in FAULTS]
)
def test_a_figure_that_cannot_be_worked_out_names_the_guilty_line(
    folder: Path, old: str, new: str, kind: str, words: str, line: str
) -> None:
    change(folder, old, new, kind)
    errors = load(folder, lint=True).errors
    matching = [fault for fault in errors if words in str(fault)]
    assert matching, errors
    assert matching[0].mend
    assert line in line_of(folder, matching[0]), str(matching[0])


def test_what_needs_no_rib_is_refused_at_every_start_and_the_rest_by_check(folder: Path) -> None:
    change(folder, "chord: 50", "chord: 500", "nose-rib")
    assert not load(folder).errors
    assert [fault.wrong for fault in load(folder, lint=True).errors]
    change(folder, "blank_length: 11 ft 8", "blank_length: long", "front-spar")
    assert load(folder).errors


@pytest.mark.parametrize(
    ("old", "new", "kind", "words"),
    [
        # Typed where it can be worked out: the same figure of a calculator that a step of its route asks.
        ("flat_width: {calculator: flat_width, inputs: {legs: \"flange_width, web_height, flange_width\","
         " bend_angles: \"upper_bend, lower_bend\", thickness: thickness, inside_radius: bend_radius}}",
         "flat_width: 6.987", "front-spar", "flat_width 6.987 is not what is worked out, 7.02"),
        ("front_height: {rib: front_height}", "front_height: 5.74", "main-rib", "front_height 5.74 is not"),
        ("flutes: {rib: flutes}", "flutes: 12", "nose-rib", "flutes 12 is not what is worked out, 9 flutes"),
        # From the plans, beside where it comes from.
        ("cut_out: {calculator: flanged_hole,", "cut_out: {plans: 2.9, calculator: flanged_hole,", "main-rib",
         "cut_out 2.9 is not what is worked out, 2.8536 in"),
    ],
)  # fmt: skip
def test_a_figure_from_the_plans_is_used_and_a_different_one_is_told(
    folder: Path, old: str, new: str, kind: str, words: str
) -> None:
    change(folder, old, new, kind)
    found = load(folder, lint=True)
    assert not found.errors
    warning = next(fault for fault in found.faults if words in str(fault))
    assert warning.severity == "warning"
    assert new.split(",")[0].split("{")[-1] in line_of(folder, warning)
    shop = load_shop(folder)
    name = old.partition(":")[0]
    unit = "count" if name == "flutes" else "in"
    used = shop.figures.number(shop.kinds[kind], name, unit)
    assert f"{used:g}" in new, "the plans' figure is the one that is used"


def test_a_figure_typed_as_closely_as_the_plans_print_it_is_no_difference(folder: Path) -> None:
    change(folder, "cut_out: {calculator: flanged_hole,", "cut_out: {plans: 2.854, calculator: flanged_hole,",
           "main-rib")  # fmt: skip
    change(folder, "front_height: {rib: front_height}", "front_height: 5-25/32", "main-rib")
    assert load(folder, lint=True).faults == []


def test_times_may_follow_from_the_part(folder: Path) -> None:
    shop = load_shop(folder)
    procedure = shop.procedures["rib-hole-flanging"]
    minutes = {
        kind: next(
            step.minutes.each
            for step in shop.steps_for(shop.kinds[kind], procedure)
            if step.id == "press-flanges"
        )
        for kind in ("main-rib", "tailplane-rib")
    }
    assert minutes["main-rib"] > minutes["tailplane-rib"]  # three holes and two
    step = procedure.step("press-flanges")
    assert step is not None and step.times_are_worked
    with pytest.raises(ValueError, match="follow from the part kind"):
        _ = step.minutes


def test_a_check_whose_ends_are_crossed_is_a_fault(folder: Path) -> None:
    (folder / "procedures" / "own.yaml").write_text(
        (data_folder("procedures") / "rib" / "rib-check.yaml")
        .read_text()
        .replace('low: "0", high: "1/32"', 'low: "1", high: bend_radius')
    )
    faults = [fault for fault in load(folder).errors if "low end" in fault.wrong]
    assert faults and faults[0].file.endswith("own.yaml")


@pytest.mark.parametrize(
    ("ends", "place"),
    [
        ({"nominal": "bend_radius", "plus": "below", "minus": "1/64"}, ("plus",)),
        ({"nominal": "bend_radius", "plus": "0", "minus": "0"}, ("nominal",)),
        ({"low": "bend_radius", "high": "bend_radius"}, ("low",)),
    ],
)
def test_limits_that_take_one_value_or_none_are_a_fault(ends: dict[str, str], place: tuple[str]) -> None:
    shop = load_shop(SCENARIO)
    spar = shop.kinds["front-spar"]
    kind = spar.model_copy(update={"dimensions": {**spar.dimensions, "below": "-1/64"}})
    check = MeasureCheck.model_validate({"id": "a", "kind": "measure", "ask": "A", "unit": "in", **ends})
    with pytest.raises(FigureFault) as caught:
        shop.figures.limits(kind, check)
    assert caught.value.place == place


def test_a_name_of_a_dimension_stands_for_it() -> None:
    shop = load_shop(SCENARIO)
    spar = shop.kinds["front-spar"]
    assert shop.figures.dimension(spar, "blank_width") != shop.figures.dimension(spar, "web_height")
    assert shop.figures.number(spar, "blank_width", "in") == shop.figures.number(spar, "flat_width", "in")


def test_every_figure_of_the_shipped_shop_has_one_home() -> None:
    """No dimension of the scenario is typed that another kind, a calculator or the laid-out rib gives."""
    shop = load_shop(SCENARIO)
    for kind in shop.kinds.values():
        for procedure, step in steps_of(shop, kind):
            for wanted in step.numbers:
                if isinstance(wanted, NumberWanted):
                    written = kind.dimensions.get(wanted.calculator)
                    assert not isinstance(written, str), (kind.id, procedure.id, wanted.calculator)
        if kind.written("section") is not None:
            for name in ("front_height", "rear_height", "blank_length", "blank_width", "flutes"):
                assert isinstance(kind.dimensions[name], OfRib), (kind.id, name)
    assert isinstance(shop.kinds["front-spar"].dimensions["flat_width"], Worked)


@pytest.mark.parametrize("none", ["0", "0.0", "00", "none", "{of: nose-rib, dimension: slots}", "slots"])
def test_a_step_is_left_out_for_a_nought_wherever_it_stands(folder: Path, none: str) -> None:
    """A form block borrows how many lightening holes its rib has; with none it is made without them."""
    change(folder, "flange_width: 5/8", "slots: 0\n      flange_width: 5/8", "nose-rib")
    change(folder, "flange_width: 5/8", "slots: 0\n      flange_width: 5/8", "main-rib")
    change(folder, "lightening_holes: {rib: lightening_holes}", f"lightening_holes: {none}", "main-rib")
    assert load(folder).errors == []
    shop = load_shop(folder)
    for name in ("main-rib", "block-main"):
        assert not shop.figures.has(shop.kinds[name], "lightening_holes")
        assert all(step.only_if != "lightening_holes" for _, step in shop.route_steps(shop.kinds[name]))
    assert shop.figures.has(shop.kinds["block-tailplane"], "lightening_holes")


def test_a_count_that_is_worked_out_may_be_nought_and_a_circle_ends(folder: Path) -> None:
    change(
        folder,
        "lightening_holes: {rib: lightening_holes}",
        "lightening_holes: {calculator: flutes, inputs: {flange_width: 1, turning_angle: 0}}\n"
        "      here: there\n      there: here",
        "main-rib",
    )
    loaded = load(folder)
    assert loaded.shop is not None
    kind = loaded.shop.kinds["block-main"]
    assert not loaded.shop.figures.has(kind, "lightening_holes")
    assert loaded.shop.figures.has(loaded.shop.kinds["main-rib"], "here")
    assert any("needs itself" in fault.wrong or "circle" in fault.wrong for fault in loaded.errors)


@pytest.mark.parametrize("figure", ["", "figure: width, "])
def test_a_single_figure_has_no_second(folder: Path, figure: str) -> None:
    change(
        folder,
        "flat_width: {calculator: flat_width, ",
        f"flat_width: {{calculator: flat_width, {figure}which: 2, ",
        "front-spar",
    )
    (fault,) = (fault for fault in load(folder, lint=True).errors if "which" in f"{fault.wrong}{fault.mend}")
    assert "one" in fault.wrong and "delete which:" in fault.mend
    assert "which: 2" in line_of(folder, fault)


def test_plans_in_a_step_are_compared_for_every_kind_once_a_place(folder: Path) -> None:
    """Flanging the holes takes 3.9 minutes for the main rib's three; the channel is the spars' own."""
    for name, old, new in (
        ("rib/rib-hole-flanging", "each: {calculator:", "each: {plans: 9, calculator:"),
        (
            "spar/spar-channel",
            "nominal: flat_width",
            'nominal: {plans: 1.5, calculator: flat_width, inputs: {legs: "1, 1", bend_angles: "90", '
            "thickness: thickness, inside_radius: bend_radius}}",
        ),
    ):  # fmt: skip
        text = (data_folder("procedures") / f"{name}.yaml").read_text()
        assert old in text
        (folder / "procedures" / f"{Path(name).name}.yaml").write_text(text.replace(old, new, 1))
    loaded = load(folder, lint=True)
    assert loaded.errors == []
    time, width = loaded.faults
    assert time.file.endswith("rib-hole-flanging.yaml") and width.file.endswith("spar-channel.yaml")
    assert time.severity == width.severity == "warning"
    assert time.wrong.startswith("each 9 is not what is worked out for 'main-rib', 3.9 min")
    assert width.wrong.startswith("nominal 1.5 is not what is worked out for 'front-spar', 1.9046 in")
    spar = (folder / "procedures" / "spar-channel.yaml").read_text().splitlines()
    assert spar[width.line - 1][width.column - 1 :].startswith("1.5")
    assert load(folder).faults == []
