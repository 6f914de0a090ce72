"""The hazards: who is old enough for what, who may be in the room; and a shop can only raise an age."""

import pytest

from kiosk.shop.hazards import HAZARDS, TRAINED_ADULT_ALONE
from kiosk.shop.shop import RaisedAge, ShopFile, hazards_of
from tests.record.moments import brambling

# The ages as they were decided, to do it and to be in the room: an age is changed here and there, with its
# reason in the commit. Common practice and the cautious reading of 29 CFR part 570 that hazards.py states.
AGES = {
    "EYES": (0, 0),
    "EARS_LOUD": (12, 0),
    "RIVET_GUN": (18, 0),
    "BUCK": (16, 0),
    "LATHE": (16, 16),
    "FLY_CUT": (18, 16),
    "SANDER": (18, 16),
    "WOOD_DUST": (16, 16),
    "EARS_RIVET": (16, 0),
    "VIBRATION": (16, 0),
    "ROUTER": (18, 16),
    "DRILL": (16, 0),
    "EDGE_SHEET": (0, 0),
    "SHEAR_POWER": (18, 16),
    "SHEAR_HAND": (16, 0),
    "BRAKE_POWER": (18, 16),
    "BRAKE_HAND": (16, 0),
    "PRESS": (18, 18),
    "ROLLS_POWER": (18, 16),
    "ROLLS_HAND": (18, 16),
    "GRIND": (18, 16),
    "BANDSAW": (18, 16),
    "AIR_BLOW": (18, 0),
    "AL_DUST": (18, 16),
    "SOLVENT": (18, 16),
    "ETCH_ACID": (18, 16),
    "CR6": (99, 99),
    "ISO": (99, 99),
    "SPRAY_FIRE": (18, 18),
    "EPOXY_SKIN": (18, 16),
    "RESP": (18, 18),
    "LIFT": (16, 0),
    "ALONE": (18, 0),
    "SCRATCH": (0, 0),
    "GRAPHITE": (0, 0),
}


def test_every_hazard_has_the_ages_that_were_decided() -> None:
    assert {tag: (row.min_age_operate, row.min_age_present) for tag, row in HAZARDS.items()} == AGES


# 29 CFR 570 subpart E: power-driven woodworking machines (570.55, "router"), power-driven metal-forming,
# punching and shearing machines (570.59: presses, rolls, brakes and shears), band saws (570.65). All 18.
@pytest.mark.parametrize("tag", ["ROUTER", "PRESS", "ROLLS_POWER", "BRAKE_POWER", "SHEAR_POWER", "BANDSAW"])
def test_what_is_barred_to_minors_at_work_is_barred_here(tag: str) -> None:
    assert HAZARDS[tag].min_age_operate >= 18


def test_nobody_may_be_too_young_to_stay_where_they_may_work() -> None:
    for row in HAZARDS.values():
        assert row.min_age_present <= row.min_age_operate, row.tag
        assert row.caution and row.source
    damage = {tag for tag, row in HAZARDS.items() if row.signal == "CAUTION"}
    assert damage == {"SCRATCH", "GRAPHITE"}  # to the sheet; all else can hurt somebody
    assert TRAINED_ADULT_ALONE > 98  # an age that nobody at a bench has


def _file(*raised: RaisedAge) -> ShopFile:
    return brambling().file.model_copy(update={"hazards": raised})


def test_a_shop_raises_each_age_on_its_own() -> None:
    found = hazards_of(
        _file(RaisedAge(tag="DRILL", min_age_operate=17), RaisedAge(tag="EYES", min_age_present=12))
    )
    ages = {tag: (row.min_age_operate, row.min_age_present) for tag, row in found.items()}
    assert ages == {**AGES, "DRILL": (17, 0), "EYES": (0, 12)}
    for tag, row in found.items():  # the caution that is shown stays what it was
        before = HAZARDS[tag]
        assert (row.tag, row.caution, row.source, row.signal) == (
            before.tag,
            before.caution,
            before.source,
            before.signal,
        )


def test_an_age_that_would_be_lower_changes_nothing() -> None:
    lower = RaisedAge(tag="PRESS", min_age_operate=12, min_age_present=0)
    assert hazards_of(_file(lower)) == HAZARDS
    assert hazards_of(_file()) == HAZARDS


def test_an_unknown_hazard_keeps_no_other_from_being_raised() -> None:
    found = hazards_of(
        _file(RaisedAge(tag="SHARP", min_age_operate=20), RaisedAge(tag="LIFT", min_age_operate=18))
    )
    assert "SHARP" not in found
    assert found["LIFT"].min_age_operate == 18


def test_the_example_shop_has_its_raised_age() -> None:
    assert brambling().hazards["SHEAR_HAND"].min_age_operate == 18
