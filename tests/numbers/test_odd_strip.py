"""One strip among others that agree is found by leaving each out in turn, and never one of those that agree.

The strips are bent by the handbook's own construction (FAA-H-8083-31 chapter 4: flat = legs - 2 setbacks +
allowance), with a neutral line and a springback that are known.
"""

import math
import random
from dataclasses import replace

import pytest

from kiosk.numbers.trial import TrialStrip, fit, odd_strip, setting_known, width_known
from kiosk.planning.times.student_t import quantile

FACTOR, SPRING = 0.42, 0.968
THICKNESS_IN, RADIUS_IN = 0.032, 0.125
CHANNEL = ((0.75, 5.694, 0.75), (90.0, 90.0), THICKNESS_IN, RADIUS_IN)


def bent(set_deg: float, leg_a_in: float = 1.0, leg_b_in: float = 1.0) -> TrialStrip:
    """A strip as this brake and sheet leave it, measured without error."""
    angle = set_deg * SPRING
    setback = math.tan(math.radians(angle) / 2) * (RADIUS_IN + THICKNESS_IN)
    allowance = math.radians(angle) * (RADIUS_IN + FACTOR * THICKNESS_IN)
    flat = leg_a_in + leg_b_in - 2 * setback + allowance
    return TrialStrip(flat, leg_a_in, leg_b_in, angle, set_deg, THICKNESS_IN, RADIUS_IN)


def measured(random_numbers: random.Random, set_deg: float = 93.0) -> TrialStrip:
    """The same as calipers and protractor read it: to .001 in and a tenth of a degree."""
    true = bent(set_deg)
    return replace(
        true,
        flat_length_in=true.flat_length_in + random_numbers.uniform(-0.001, 0.001),
        angle_deg=true.angle_deg + random_numbers.uniform(-0.1, 0.1),
    )


@pytest.mark.parametrize("others", [3, 4, 6])
@pytest.mark.parametrize("place", [0, 1, -1])
def test_a_leg_read_off_the_wrong_mark_is_found_wherever_it_stands(others: int, place: int) -> None:
    strips = [measured(random.Random(number)) for number in range(others)]
    strips.insert(place if place >= 0 else others, replace(bent(93.0), leg_a_in=1.025))
    odd = odd_strip(strips, quantile)
    assert odd is not None and odd.place == (place if place >= 0 else others)
    assert odd.in_length and not odd.in_angle
    assert odd.off_in == pytest.approx(-0.025, abs=0.004)  # by hand: the allowance falls by what a leg gains
    assert not width_known(fit(strips, quantile), *CHANNEL).used
    left = [strip for number, strip in enumerate(strips) if number != odd.place]
    assert width_known(fit(left, quantile), *CHANNEL).used


def test_a_setting_typed_wrong_is_found_by_its_angle() -> None:
    strips = [measured(random.Random(number)) for number in range(3)]
    strips.append(replace(bent(93.0), set_angle_deg=99.0))
    odd = odd_strip(strips, quantile)
    assert odd is not None and (odd.place, odd.in_angle, odd.in_length) == (3, True, False)
    assert odd.off_deg == pytest.approx(90.02 - 0.968 * 99, abs=0.2)  # 5.8 degrees short of what it should be
    assert not setting_known(fit(strips, quantile), 90, None).used


def test_too_few_strips_or_two_odd_ones_accuse_none() -> None:
    """Of three, any one may be the wrong one; and where two are off, no one alone mends it."""
    good = [measured(random.Random(number)) for number in range(4)]
    wrong = replace(bent(93.0), leg_a_in=1.025)
    assert odd_strip([*good[:2], wrong], quantile) is None
    assert odd_strip([], quantile) is None
    other = replace(bent(93.0), leg_b_in=0.98)
    assert odd_strip([*good[:3], wrong, other], quantile) is None


def test_strips_that_agree_accuse_none_whatever_they_were_set_to() -> None:
    """2,000 random sets of four to eight, read as a bench reads: all can be used, and nobody is accused."""
    random_numbers = random.Random(20)
    for _ in range(2000):
        many = random_numbers.randint(4, 8)
        strips = [measured(random_numbers, random_numbers.choice([45, 60, 93, 93])) for _ in range(many)]
        assert odd_strip(strips, quantile) is None


def test_whoever_is_accused_is_the_one_that_was_spoilt() -> None:
    """1,000 random slips of .02 to .04 in or 3 to 8 degrees: the spoilt one or none, and mostly the one."""
    random_numbers = random.Random(21)
    found = 0
    for _ in range(1000):
        strips = [measured(random_numbers) for _ in range(random_numbers.randint(3, 6))]
        spoilt = measured(random_numbers)
        if random_numbers.random() < 0.5:
            slip = random_numbers.uniform(0.02, 0.03) * random_numbers.choice([-1, 1])
            spoilt = replace(spoilt, leg_b_in=spoilt.leg_b_in + slip)
        else:
            spoilt = replace(spoilt, set_angle_deg=spoilt.set_angle_deg + random_numbers.uniform(3, 8))
        place = random_numbers.randint(0, len(strips))
        strips.insert(place, spoilt)
        odd = odd_strip(strips, quantile)
        assert odd is None or odd.place == place
        found += odd is not None
    assert found > 900, found
