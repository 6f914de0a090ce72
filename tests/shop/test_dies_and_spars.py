"""Dies are set as they were made; a spar is bent to the slope of the skin, and cut for those bends."""

import math
import random

import pytest

from kiosk.shop.figures import Figures
from kiosk.shop.measures import MeasureLimits
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import MeasureCheck
from kiosk.shop.shop import Shop
from tests.numbers.channel_sections import channel, swung_over
from tests.record.moments import brambling

CHORD_IN, SKIN_IN = 50.0, 0.025


def limits(shop: Shop, figures: Figures, kind: PartKind, place: str) -> MeasureLimits:
    """The limits of a measurement, named ``procedure/step/check``, for a kind."""
    procedure, step, check = place.split("/")
    found = shop.procedures[procedure].step(step)
    assert found is not None
    (asked,) = [one for one in found.checks if one.id == check]
    assert isinstance(asked, MeasureCheck)
    return figures.limits(kind, asked)


@pytest.mark.parametrize(("rib", "dies"), [("main-rib", "dies-3in"), ("tailplane-rib", "dies-1in")])
def test_the_press_takes_every_die_that_the_lathe_passes(rib: str, dies: str) -> None:
    """And each enters every cut-out that passes: a free fit is smaller than the hole, whatever its size."""
    shop, random_numbers = brambling(), random.Random(6)
    for _ in range(40):
        hole, slant = random_numbers.uniform(0.75, 5), random_numbers.choice(["1/8", "3/16", "1/4"])
        own = {**shop.kinds[rib].dimensions, "finished_hole": f"{hole:.4f}", "flange_slant": slant}
        kinds = {**shop.kinds, rib: shop.kinds[rib].model_copy(update={"dimensions": own})}
        figures = Figures(kinds, shop.folder)
        turned = limits(shop, figures, kinds[dies], "hole-dies/turn-pilot/pilot")
        set_up = limits(shop, figures, kinds[rib], "rib-hole-flanging/set-dies/pilot")
        assert (set_up.low, set_up.high) == pytest.approx((turned.low, turned.high), abs=1e-9)
        cut = limits(shop, figures, kinds[rib], "rib-blank/cut-lightening-holes/hole")
        assert turned.high is not None and cut.low is not None and turned.high < cut.low


def naca_slope_deg(station: float, side: int) -> float:
    """The slope of a NACA 2412's skin at a station, degrees up going aft; side 1 upper, -1 lower.

    NACA Report 460: thickness and mean line; the surface lies half a thickness off that line.
    """

    def point(x: float) -> tuple[float, float]:
        m, p, t = 0.02, 0.4, 0.12
        half = 5 * t * (0.2969 * x**0.5 - 0.126 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)
        front = x < p
        mean = m / p**2 * (2 * p * x - x**2) if front else m / (1 - p) ** 2 * (1 - 2 * p + 2 * p * x - x**2)
        turn = math.atan(2 * m / p**2 * (p - x) if front else 2 * m / (1 - p) ** 2 * (p - x))
        return x - side * half * math.sin(turn), mean + side * half * math.cos(turn)

    low, high = 1e-4, 0.999
    for _ in range(60):  # where the surface itself stands at the station
        middle = (low + high) / 2
        low, high = (middle, high) if point(middle)[0] < station else (low, middle)
    (x0, y0), (x1, y1) = point(low - 1e-5), point(low + 1e-5)
    return math.degrees(math.atan2(y1 - y0, x1 - x0))


@pytest.mark.parametrize(
    ("spar", "station", "points"), [("front-spar", 0.2, "aft"), ("rear-spar", 0.7, "forward")]
)
def test_a_spar_is_bent_to_the_slope_of_the_skin(spar: str, station: float, points: str) -> None:
    """Up going aft, the upper skin opens an angle with the web that a flange pointing aft has to follow.

    Where the aft flange rises by s its bend from flat is 90 - s; a flange pointing forward, or below, the
    other way round. The kiosk takes the slope under the skin's inside, .025 in off: half a degree allowed.
    """
    shop = brambling()
    kind = shop.kinds[spar]
    way = 1 if points == "aft" else -1
    for name, side in (("upper_bend", 1), ("lower_bend", -1)):
        wanted = 90 - way * side * naca_slope_deg(station, side)
        assert shop.figures.number(kind, name, "deg") == pytest.approx(wanted, abs=0.5), name


@pytest.mark.parametrize("spar", ["front-spar", "rear-spar", "tailplane-front-spar", "tailplane-rear-spar"])
def test_width_and_both_sight_lines_are_the_handbooks_for_these_bends(spar: str) -> None:
    """FAA-H-8083-31 ch. 4: setback = tan(half the bend) x (T + R), allowance = (.01743 R + .0078 T) N; a
    sight line lies one radius into the bend from its tangent line, each from its own edge.
    """
    shop = brambling()
    kind = shop.kinds[spar]

    def number(name: str, unit: str = "in") -> float:
        return shop.figures.number(kind, name, unit)

    thick, radius, flange, web = (
        number(one) for one in ("thickness", "bend_radius", "flange_width", "web_height")
    )
    bends = number("upper_bend", "deg"), number("lower_bend", "deg")
    setbacks = [math.tan(math.radians(bend / 2)) * (thick + radius) for bend in bends]
    allowances = [(0.01743 * radius + 0.0078 * thick) * bend for bend in bends]
    width = 2 * flange + web - 2 * sum(setbacks) + sum(allowances)
    assert number("flat_width") == pytest.approx(width, abs=2e-5)
    assert number("sight_line") == pytest.approx(flange - setbacks[0] + radius, abs=1e-6)
    assert number("lower_sight_line") == pytest.approx(flange - setbacks[1] + radius, abs=1e-6)


def test_a_gap_under_the_skin_is_what_a_square_bend_would_leave() -> None:
    """Found at the bench: .079 in over the 3/4 flange, where the front spar was bent 90 and 84.0 follows."""
    shop = brambling()
    bend = shop.figures.number(shop.kinds["front-spar"], "upper_bend", "deg")
    assert bend == pytest.approx(84.0, abs=0.05)
    assert 0.75 * math.tan(math.radians(90 - bend)) == pytest.approx(0.079, abs=0.001)


SPARS = ("front-spar", "rear-spar", "tailplane-front-spar", "tailplane-rear-spar")


@pytest.mark.parametrize("spar", SPARS)
def test_a_spar_bent_as_drawn_passes_what_is_measured_on_it(spar: str) -> None:
    """The section walked round from the kind's own figures, its back upright, between straight jaws."""
    shop = brambling()
    kind = shop.kinds[spar]
    legs = tuple(
        shop.figures.number(kind, one, "in") for one in ("flange_width", "web_height", "flange_width")
    )
    bends = tuple(shop.figures.number(kind, one, "deg") for one in ("upper_bend", "lower_bend"))
    thick, radius = (shop.figures.number(kind, one, "in") for one in ("thickness", "bend_radius"))
    over_all = limits(shop, shop.figures, kind, "spar-channel/bend-second/height")
    assert over_all.within(channel(legs, bends, thick, radius).high_in)
    for way in (1, -1):  # each leg and each bend at its own limit, all the same way: still in
        off = tuple(leg + way / 65 for leg in legs)
        turned = tuple(bend - way * 0.49 for bend in bends)
        assert over_all.within(channel(off, turned, thick, radius).high_in)
    for step, bend in (("bend-first", bends[0]), ("bend-second", bends[1])):
        reach = limits(shop, shop.figures, kind, f"spar-channel/{step}/reach")
        drawn = channel(legs, (bend, bend), thick, radius).deep_in
        assert reach.low == pytest.approx(drawn - 1 / 64, abs=1e-4)
        assert reach.high == pytest.approx(drawn + 1 / 64, abs=1e-4)


@pytest.mark.parametrize("spar", SPARS)
def test_the_nose_is_asked_before_the_sheet_is_cut_and_clears_the_first_flange(spar: str) -> None:
    shop = brambling()
    kind = shop.kinds[spar]
    steps = [step.id for step in shop.procedures["spar-channel"].steps]
    assert steps.index("measure-nose") < steps.index("mark-strip") < steps.index("clamp-first")
    legs = tuple(
        shop.figures.number(kind, one, "in") for one in ("flange_width", "web_height", "flange_width")
    )
    bends = tuple(shop.figures.number(kind, one, "deg") for one in ("upper_bend", "lower_bend"))
    thick, radius = (shop.figures.number(kind, one, "in") for one in ("thickness", "bend_radius"))
    step = shop.procedures["spar-channel"].step("bend-second")
    assert step is not None
    set_deg = shop.figures.step_number(kind, step.numbers[0]).value
    assert set_deg is not None
    drawn = swung_over(legs, bends, set_deg, thick, radius)
    lowest = min(y for x, y in drawn.first_flange if x <= radius) - thick
    asked = limits(shop, shop.figures, kind, "spar-channel/measure-nose/nose")
    assert asked.high == pytest.approx(lowest - 1 / 16, abs=0.003)
