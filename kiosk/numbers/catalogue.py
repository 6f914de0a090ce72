"""Every calculator by name. A new calculator module is named here and nowhere else."""

from collections.abc import Mapping

from kiosk.numbers import bends, flanges, holes, rivets, weight
from kiosk.numbers.result import Calculator, known_calculators

SUBJECTS = (bends, flanges, holes, rivets, weight)

CALCULATORS: Mapping[str, Calculator] = known_calculators()
