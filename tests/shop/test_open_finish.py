"""What is in a product acts wherever it is wet, and where its dry coat makes dust; what it is mixed for."""

import pytest

from kiosk.numbers.coatings import coat_to_mix
from kiosk.numbers.result import OutOfRange, Quantity
from kiosk.shop.measures import MeasureLimits
from kiosk.shop.shop import Shop
from tests.record.finishes import replace_finish, shop_with
from tests.record.moments import brambling

BAD = {"chromate": "yes", "isocyanate": "yes", "epoxy": "yes"}


def bad_shop() -> Shop:
    """The example shop with a product of chromate and isocyanate, of which no consumables are named."""
    return shop_with(brambling(), replace_finish(contains=BAD, consumables=[]))


def hazards(shop: Shop, procedure: str, step: str, mark: str) -> set[str]:
    """The hazards of a step for a part."""
    _, found = shop.find_step(procedure, step, mark)
    assert found is not None
    return set(found.hazards)


@pytest.mark.parametrize("step", ["mix-little", "touch-bare"])
def test_touching_up_has_the_hazards_of_the_coat(step: str) -> None:
    """By what is in it alone: the consumables of a finish may be left out."""
    assert {"CR6", "ISO", "EPOXY_SKIN"} <= hazards(bad_shop(), "rib-to-spar", step, "NJ-01")
    clean = hazards(brambling(), "rib-to-spar", step, "NJ-01")
    assert not {"CR6", "ISO"} & clean and "EPOXY_SKIN" in clean


@pytest.mark.parametrize("step", ["drill-pilot", "drill-size", "deburr-holes"])
def test_a_dry_coat_of_chromate_is_poison_as_dust_and_isocyanate_is_not(step: str) -> None:
    bad = hazards(bad_shop(), "rib-to-spar", step, "NJ-01")
    assert "CR6" in bad and not {"ISO", "EPOXY_SKIN"} & bad
    assert "CR6" not in hazards(brambling(), "rib-to-spar", step, "NJ-01")
    own = brambling().procedures["rib-to-spar"].step(step)
    assert own is not None and set(own.hazards) <= bad  # added, never taken away


@pytest.mark.parametrize(
    ("procedure", "before", "dust"),
    [("rib-to-spar", "clamp-up", "drill-pilot"), ("replace-rivet", "measure-edge", "drill-head")],
)
def test_what_is_in_a_coat_is_asked_before_it_is_drilled_where_no_sheet_was_entered(
    procedure: str, before: str, dust: str
) -> None:
    """Once only the priming asked: a joint was drilled and brushed with nothing known."""
    mark = "NJ-01" if procedure == "rib-to-spar" else "PP-01"
    unknown = shop_with(brambling(), replace_finish(contains={}))
    for shop, asked in ((unknown, True), (brambling(), False)):
        _, step = shop.find_step(procedure, before, mark)
        assert step is not None
        assert ("no-chromate" in [check.id for check in step.checks]) == asked
    ids = [step.id for step in brambling().procedures[procedure].steps]
    assert ids.index(before) < ids.index(dust)


def test_drilling_a_rivet_out_too() -> None:
    assert brambling().procedures["replace-rivet"].step("drill-head").uses_finish == "cured"  # type: ignore[union-attr]


def test_who_mixes_is_dressed_for_it() -> None:
    """An air-fed set is put on before the tin is opened, and its cartridges are no question then."""
    steps = brambling().procedures["clean-and-prime"].steps
    ids = [step.id for step in steps]
    assert ids.index("read-surface") < ids.index("suit-up") < ids.index("mix") < ids.index("strain")
    (asked,) = [one.ask for one in steps[ids.index("suit-up")].checks if one.id == "cartridge"]
    assert "air supply" in asked


@pytest.mark.parametrize(
    ("base", "hardener", "count"), [(1.0, 1.0, 1), (2.0, 1.0, 6), (4.0, 1.0, 12), (1.0, 0.0, 3)]
)
def test_what_cup_and_panel_keep_is_poured_once_and_in_the_ratio(
    base: float, hardener: float, count: int
) -> None:
    """By hand: the rest is one volume more, whatever the parts, split as the ratio splits all of it."""
    coat = (6.0, 2.0, 0.001, 50.0, 40.0, base, hardener, count)
    bare, mixed = coat_to_mix(*coat), coat_to_mix(*coat, rest_ml=25.0)
    assert mixed.mixed_ml - bare.mixed_ml == pytest.approx(25)
    assert mixed.base_ml == pytest.approx(mixed.mixed_ml * base / (base + hardener))
    assert mixed.hardener_ml == pytest.approx(mixed.mixed_ml * hardener / (base + hardener))
    assert mixed.area_ft2 == bare.area_ft2
    # 16.387064 ml to the cubic inch, by definition of the inch.
    film_in3 = 2 * 6 * 2 * count * 0.001 / 0.5 / 0.6
    assert mixed.mixed_ml == pytest.approx(film_in3 * 16.387064 + 25, rel=1e-6)


@pytest.mark.parametrize("rest", [-0.1, 1000.1])
def test_a_rest_that_no_cup_holds_is_refused(rest: float) -> None:
    with pytest.raises(OutOfRange) as refused:
        coat_to_mix(6, 2, 0.001, 50, 40, rest_ml=rest)
    assert refused.value.argument == "rest_ml"


@pytest.mark.parametrize(
    ("value", "shown"),
    [(3.962, "4.0 ml"), (0.26, "0.3 ml"), (17.297, "17 ml"), (207.56, "208 ml"), (9.96, "10.0 ml")],
)
def test_a_volume_is_shown_as_a_cup_reads_it(value: float, shown: str) -> None:
    assert Quantity("base", value, "ml").show() == shown


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (83.923, 103.922, "84 to 103.9 deg"),
        (82.781, 84.78, "82.8 to 84.7 deg"),
        (89.5, 90.5, "89.5 to 90.5 deg"),
        (None, 84.78, "at most 84.7 deg"),
        (82.781, None, "at least 82.8 deg"),
    ],
)
def test_an_angle_is_asked_as_a_protractor_reads_it_and_what_is_shown_would_pass(
    low: float | None, high: float | None, words: str
) -> None:
    asked = MeasureLimits(low, high)
    assert asked.words("deg") == words
    assert all(asked.within(float(one)) for one in words.split() if one[0].isdigit())
