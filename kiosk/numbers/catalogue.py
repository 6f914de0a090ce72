"""Every calculator by name.

A new calculator module is named here. What it offers to importers is listed in the package's ``__init__``;
the tests say what is missing there.
"""

from collections.abc import Mapping
from types import MappingProxyType

from kiosk.numbers import bends, flanges, holes, rivets, times, weight
from kiosk.numbers.result import Calculator, known_calculators

SUBJECTS = (bends, flanges, holes, rivets, weight, times)

# In the order of the subjects, however the modules came to be loaded: the screen lists them so.
CALCULATORS: Mapping[str, Calculator] = MappingProxyType(
    {
        name: one
        for module in SUBJECTS
        for name, one in known_calculators().items()
        if one.function.__module__ == module.__name__
    }
)
