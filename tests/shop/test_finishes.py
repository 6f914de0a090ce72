"""Finishes: entered once, named everywhere, typical where the sheet was not read, and never loosening."""

from pathlib import Path

import pytest

from kiosk.shop.at_hand import ORDINARY_DAY
from kiosk.shop.data import data_folder
from kiosk.shop.finish import CONTENTS, FINISH_FIGURES, NOT_ENTERED, Finish, hazards_of_finish
from kiosk.shop.load import load
from kiosk.shop.procedure import MeasureCheck, Step
from kiosk.shop.shop import Shop
from tests.record.finishes import bare_finish, replace_finish, shop_with
from tests.record.moments import brambling

PRIME = "clean-and-prime"


def primed(shop: Shop, step: str, mark: str = "CA-01") -> Step:
    """A step of priming as it is for a part."""
    _, found = shop.find_step(PRIME, step, mark)
    assert found is not None
    return found


def with_line(tmp_path: Path, old: str, new: str) -> list[str]:
    """Every fault of the example shop with one text of its file changed."""
    folder = tmp_path / "shop"
    folder.mkdir()
    text = (data_folder("scenarios") / "brambling" / "shop.yaml").read_text()
    assert old in text
    (folder / "shop.yaml").write_text(text.replace(old, new, 1))
    return [str(fault) for fault in load(folder, lint=True).faults]


def test_the_sheets_figures_are_those_of_every_step() -> None:
    """P10: ratio, stand time, pot life and drying time stand in one place."""
    shop = brambling()
    mix = {wait.what: wait for wait in primed(shop, "mix").waits}
    assert mix["mixed primer standing"].minutes == 20 and mix["mixed primer"].minutes == 360
    assert not any(wait.is_typical or wait.from_check for wait in mix.values())
    (drying,) = primed(shop, "leftovers").waits
    assert drying.minutes == 240
    _, touched = shop.find_step("rib-to-spar", "touch-bare", "NJ-01")
    assert touched is not None and touched.waits[0].minutes == 240  # another procedure, the same figure
    film = primed(shop, "film").checks[0]
    assert isinstance(film, MeasureCheck)
    limits = shop.figures.limits(shop.kinds["rib-clip"], film)
    assert (limits.low, limits.high) == (0.0008, 0.0012)
    air = primed(shop, "spray").conditions
    assert air.temperature_f is not None and air.temperature_f.low == 55 and not air.is_typical


def test_what_was_not_entered_is_typical_and_said_to_be() -> None:
    """The published values of TO 1-1-8 and TM 55-1500-345-23, as the table of figures cites them."""
    shop = shop_with(brambling(), bare_finish())
    mix = primed(shop, "mix")
    assert [(wait.minutes, wait.is_typical) for wait in mix.waits] == [(30, True), (240, True)]
    assert all(wait.from_check is not None for wait in mix.waits)  # read at the bench it goes before
    assert mix.conditions.is_typical and mix.conditions.humidity_percent is not None
    assert (mix.conditions.humidity_percent.low, mix.conditions.humidity_percent.high) == (40, 75)
    for number in mix.numbers:
        shown = shop.figures.step_number(shop.kinds["rib-clip"], number, ORDINARY_DAY)
        assert NOT_ENTERED in shown.shown or any("ypical" in words for words in shown.warnings)


def test_the_sheet_is_asked_only_for_what_was_not_entered() -> None:
    """Neither a figure in shop.yaml nor what is in the product is asked anew for each batch."""
    whole = [check.id for check in primed(brambling(), "read-data-sheet").checks]
    assert whole == ["agrees"]
    assert [check.id for check in primed(brambling(), "compare-tins").checks] == ["in-date"]
    bare = shop_with(brambling(), bare_finish(pot_life="3 h"))
    assert [check.id for check in primed(bare, "read-data-sheet").checks] == [
        "agrees",
        "ratio",
        "stand",
        "dry",
    ]
    asked = [check.id for check in primed(bare, "compare-tins").checks]
    assert asked == ["in-date", "no-chromate", "no-isocyanate"]  # P15
    none = shop_with(brambling(), None)
    assert len(primed(none, "read-data-sheet").checks) == 5


def test_what_is_in_it_adds_its_hazard_wherever_it_is_open() -> None:
    """P15: chromate and isocyanate act on every step that uses the finish, and on nothing else."""
    for name, tag in CONTENTS.items():
        shop = shop_with(brambling(), replace_finish(contains={name: "yes"}))
        plain = shop.procedures[PRIME].steps
        for step in plain:
            got = primed(shop, step.id).hazards
            assert set(step.hazards) <= set(got)  # added, never taken away
            assert (tag in got) == (step.uses_finish or tag in step.hazards), (step.id, tag)
        _, touched = shop.find_step("rib-to-spar", "touch-bare", "NJ-01")
        assert touched is not None and tag in touched.hazards  # by its consumables
    assert hazards_of_finish(None) == ("EPOXY_SKIN",)  # not known to be without
    assert hazards_of_finish(replace_finish()) == ("EPOXY_SKIN",)
    assert hazards_of_finish(replace_finish(contains={"epoxy": "no"})) == ()


def test_every_act_on_the_open_finish_has_its_cautions() -> None:
    """P15: goggles where it splashes, solvent and mist where it is sprayed, epoxy wherever it is wet."""
    shop = brambling()
    assert {"EYES", "SOLVENT", "EPOXY_SKIN", "RESP", "SPRAY_FIRE"} <= set(primed(shop, "spray").hazards)
    for name in ("mix", "strain", "clean-gun", "leftovers"):
        assert {"EYES", "SOLVENT", "EPOXY_SKIN"} <= set(primed(shop, name).hazards), name
    assert "EYES" in primed(shop, "wash").hazards and "SOLVENT" not in primed(shop, "wash").hazards  # P13


def test_the_order_is_that_of_a_finisher() -> None:
    """P13, P14, P15: a tag before the mark washes off, oil off before it is rubbed in, and again after."""
    ids = [step.id for step in brambling().procedures[PRIME].steps]
    order = ["tag-part", "read-data-sheet", "degrease", "scuff", "wash", "water-test", "dry", "read-surface"]
    order += ["suit-up", "mix", "strain", "test-panel", "final-wipe", "spray", "clean-gun", "leftovers"]
    order += ["film"]
    assert [one for one in ids if one in order] == order
    # P11: the clean surface waits for the gun.
    (clean,) = [wait for wait in primed(brambling(), "dry").waits if wait.within]
    assert clean.begin == "spray" and clean.back_to == "scuff"


def test_the_mix_is_for_the_batch_in_hand() -> None:
    shop = brambling()
    clip = shop.kinds["rib-clip"]
    base, hardener = (
        one.model_copy(update={"figure": figure})  # as worked out, before it is rounded to a cup's marks
        for one, figure in zip(primed(shop, "mix").numbers[:2], ("base", "hardener"), strict=True)
    )
    one = shop.figures.step_number(clip, base, ORDINARY_DAY)
    many = shop.figures.step_number(clip, base, {**ORDINARY_DAY, "parts_in_hand": "12"})
    rest_ml = 25 * 2 / 3  # of the base: two to one
    assert one.value and many.value
    assert many.value - rest_ml == pytest.approx(12 * (one.value - rest_ml))
    other = shop.figures.step_number(clip, hardener, ORDINARY_DAY)
    assert other.value == pytest.approx(one.value / 2)  # two to one
    # By hand: both faces of 3 in by the flat width, .0012 in of 45 % solids, 40 % lost; 16.387 ml to the in3.
    area_in2 = 2 * 3 * shop.figures.number(clip, "flat_width", "in")
    assert one.value + (other.value or 0) - 25 == pytest.approx(
        area_in2 * 0.0012 / 0.45 / 0.6 * 16.387064, rel=1e-4
    )


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("pot_life: 6 h", "pot_life: soon", "'soon' is not a time"),
        ("pot_life: 6 h", "pot_life: 10 min", "stand_time 20 min is above pot_life 10 min"),
        ("film_low: .0008", "film_low: .0028", "film_low 0.0028 in is above film_high 0.0012 in"),
        ("film_low: .0008", "film_low: 0", "film_low 0 in is no coat"),
        (
            "    film_high: .0012\n",
            "    film_high: .0012\n    film_hihg: .0012\n",
            "did you mean 'film_high'?",
        ),
        ("hardener_parts: 1\n", "hardener_parts: -1\n", "'-1' is not between 0 and 100"),
        ("    hardener_parts: 1\n", "", "a ratio has two parts"),
        ("dew_margin: 5", "dew_margin: cold", "'cold' is no difference of temperatures"),
        ("pot_life_at: 70", "pot_life_at: 700", "'700' is not between -40 and 140 F"),
        ("humidity_high: 80", "humidity_high: 20", "humidity_low 30 % is above humidity_high 20 %"),
        ("solids: 45", "solids: 0", "nothing could be coated with this"),
        (
            "[primer-base, primer-hardener]\n    contains",
            "[primer-bass]\n    contains",
            "not among the consum",
        ),
        ("    finish: hedge-grey\n", "    finish: hedge-gray\n", "unknown finish 'hedge-gray'"),
        (
            "      leg: 1-1/2\n",
            "      leg: 1-1/2\n      pot_life: 30\n",
            "written twice, here and at finish 'hedge",
        ),
        ("    finish: hedge-grey\n", "", "names no finish: typical values stand"),
    ],
)
def test_a_finish_that_cannot_be_is_one_line(tmp_path: Path, old: str, new: str, words: str) -> None:
    (found,) = with_line(tmp_path, old, new)
    assert words in found and found.startswith("shop/shop.yaml:")


def test_a_wait_may_name_any_figure_in_minutes(tmp_path: Path) -> None:
    """What is asked for by name is worked out before anybody is at the bench, with file and line."""
    text = (data_folder("procedures") / "finish" / "clean-and-prime.yaml").read_text()
    for name, words in (("pot_lief", "dimension 'pot_lief'"), ("thinner", "not a number")):
        folder = tmp_path / name
        (folder / "procedures").mkdir(parents=True)
        shop = (data_folder("scenarios") / "brambling" / "shop.yaml").read_text()
        (folder / "shop.yaml").write_text(shop)
        (folder / "procedures" / "own.yaml").write_text(text.replace("within: pot_life", f"within: {name}"))
        faults = [str(fault) for fault in load(folder).errors]
        assert faults and all(words in fault for fault in faults), faults


def test_each_figure_has_a_source_and_a_value_that_can_be_read() -> None:
    for name, row in FINISH_FIGURES.items():
        assert row.source and (name in Finish.__annotations__ or name == "product")
    sheet = replace_finish(dew_margin="3 C", air_low="15 C", dry_to_handle="2 days")
    assert sheet.dew_margin == pytest.approx(5.4)
    assert (sheet.air_low, sheet.dry_to_handle) == (59, 2880)
