"""Every calculator by name.

A new calculator module is named here, and once more in the package's ``__init__`` for type checkers. What a
module offers to importers is its own ``__all__``.
"""

from collections.abc import Mapping
from types import MappingProxyType

from kiosk.numbers import (
    bends,
    bolts,
    channels,
    coatings,
    flanges,
    holes,
    joints,
    rivets,
    sections,
    sizes,
    times,
    weight,
)
from kiosk.numbers.result import Calculator, known_calculators

SUBJECTS = (bends, channels, flanges, holes, rivets, joints, bolts, sizes, weight, coatings, sections, times)

# In the order of the subjects, however the modules came to be loaded: the screen lists them so.
CALCULATORS: Mapping[str, Calculator] = MappingProxyType(
    {
        name: one
        for module in SUBJECTS
        for name, one in known_calculators().items()
        if one.function.__module__ == module.__name__
    }
)
