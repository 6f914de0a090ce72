"""A product of one part: no hardener to pour, nothing that says a ratio, and no clock of a mix."""

from datetime import UTC, datetime

import pytest

from kiosk.numbers.coatings import coat_to_mix
from kiosk.numbers.result import OutOfRange
from kiosk.numbers.weight import primer_needed
from kiosk.planning.work.chain import waits_along
from kiosk.record.events import ClockSet
from kiosk.record.state import State
from kiosk.record.waits import holds
from kiosk.shop.at_hand import ORDINARY_DAY
from kiosk.shop.shop import Shop
from tests.record.finishes import replace_finish, shop_with
from tests.record.moments import brambling
from tests.shop.test_finishes import primed

PRIME = "clean-and-prime"
PAIRS = ((PRIME, "mix", "stir", "CA-01"), ("rib-to-spar", "mix-little", "stir-little", "NJ-01"))


def one_part() -> Shop:
    """The example shop with a product of one part."""
    return shop_with(brambling(), replace_finish(base_parts="1", hardener_parts="0"))


def ids(shop: Shop, procedure: str, mark: str) -> list[str]:
    """The steps of a procedure for a part."""
    return [step.id for step in shop.steps_for(shop.kind_of(mark), shop.procedures[procedure])]


@pytest.mark.parametrize(("procedure", "mix", "stir", "mark"), PAIRS)
def test_it_is_stirred_where_another_is_mixed(procedure: str, mix: str, stir: str, mark: str) -> None:
    two, one = ids(brambling(), procedure, mark), ids(one_part(), procedure, mark)
    assert mix in two and stir not in two
    assert one == [stir if name == mix else name for name in two]
    _, step = one_part().find_step(procedure, stir, mark)
    assert step is not None and not step.waits  # no stand time, no pot life
    assert [check.kind for check in step.checks if check.id == "lot"] == [
        "lot"
    ]  # and it is traced all the same


@pytest.mark.parametrize(("procedure", "mix", "stir", "mark"), PAIRS)
def test_no_hazard_of_it_is_lost(procedure: str, mix: str, stir: str, mark: str) -> None:
    bad = {"chromate": "yes", "isocyanate": "yes", "epoxy": None}
    sheet = replace_finish(base_parts="1", hardener_parts="0", contains=bad)
    found = {}
    for shop, name in (
        (shop_with(brambling(), sheet), stir),
        (shop_with(brambling(), replace_finish(contains=bad)), mix),
    ):
        _, step = shop.find_step(procedure, name, mark)
        assert step is not None
        found[name] = set(step.hazards)
    assert {"CR6", "ISO", "EPOXY_SKIN", "SOLVENT", "EYES"} <= found[stir] == found[mix]


def test_it_is_said_to_be_ready_and_all_that_is_poured_is_base() -> None:
    shop = one_part()
    clip = shop.kinds["rib-clip"]
    poured, ratio, *_ = primed(shop, "stir").numbers
    assert shop.figures.step_number(clip, ratio, ORDINARY_DAY).shown == "none, ready to use, product's sheet"
    base = shop.figures.step_number(clip, poured, ORDINARY_DAY)
    other = brambling()
    of_two = [
        other.figures.step_number(other.kinds["rib-clip"], one, ORDINARY_DAY).value
        for one in primed(other, "mix").numbers[:2]
    ]
    both = sum(one or 0 for one in of_two)  # in whole millilitres each, in their ratio
    assert base.value is not None and base.value <= both <= base.value + 2
    read = primed(shop, "read-data-sheet").numbers
    assert any("ready to use" in shop.figures.step_number(clip, one, ORDINARY_DAY).shown for one in read)


def test_no_hardener_is_no_volume() -> None:
    """By hand: 1 ft2 of .001 in of half solids, half lost: 144 x .001 / .5 / .5 in3 of 16.387064 ml."""
    needed = primer_needed(
        area_ft2=1, dry_film_in=0.001, solids_percent=50, loss_percent=50, base_parts=1, hardener_parts=0
    )
    assert needed.hardener_ml == 0 and needed.base_ml == needed.mixed_ml
    assert needed.mixed_ml == pytest.approx(0.576 * 16.387064, rel=1e-6)
    coat = coat_to_mix(12, 6, 0.001, 50, 50, base_parts=1, hardener_parts=0, rest_ml=20)
    assert coat.hardener_ml == 0 and coat.base_ml == pytest.approx(needed.mixed_ml + 20)
    with pytest.raises(OutOfRange):
        primer_needed(
            area_ft2=1, dry_film_in=0.001, solids_percent=50, loss_percent=50, base_parts=0, hardener_parts=1
        )


def test_the_ratio_still_has_two_parts() -> None:
    with pytest.raises(ValueError, match="the latter 0 where it is ready to use"):
        replace_finish(base_parts=None, hardener_parts="0")


def test_washed_metal_is_dry_before_it_is_stirred() -> None:
    """The drying names the mix, a step that such a primer has not: it is before the next that it has."""
    for shop, before in ((one_part(), "stir"), (brambling(), "mix")):
        _, dry = shop.find_step(PRIME, "dry", "CA-01")
        assert dry is not None and [wait.before for wait in dry.waits if wait.must_pass] == [before]
        steps = shop.steps_for(shop.kinds["rib-clip"], shop.procedures[PRIME])
        assert {wait.step for step in steps for wait in step.waits} <= {step.id for step in steps}


@pytest.mark.parametrize("named", ["mix", "stir"])
def test_drying_holds_the_stirring_and_nothing_sooner(named: str) -> None:
    """Also where it was recorded as one before the mix: the tin was changed while the part dried."""
    shop = one_part()
    drying = ClockSet(
        what="part drying",
        kind="must_pass",
        minutes=20,
        until=datetime(2026, 11, 26, 12, tzinfo=UTC),
        procedure=PRIME,
        step=named,
        set_by="dry",
    )
    procedure = shop.procedures[PRIME]
    steps = shop.steps_for(shop.kinds["rib-clip"], procedure)
    held = [one.id for one in steps if holds(shop, drying, "CA-01", procedure, one)]
    first = ids(shop, PRIME, "CA-01").index("stir")
    assert held == ids(shop, PRIME, "CA-01")[first:]


def test_drying_is_in_what_the_advice_counts() -> None:
    shop = one_part()
    procedure = shop.procedures[PRIME]
    steps = shop.steps_for(shop.kinds["rib-clip"], procedure)
    chain = [(procedure, step) for step in steps]
    waits = dict(zip((step.id for step in steps), waits_along(State(), "CA-01", chain), strict=True))
    assert waits["stir"] == 20 and sum(waits.values()) == 20 + waits["film"]
