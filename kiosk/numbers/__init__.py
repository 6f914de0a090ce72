"""Bench arithmetic for light sheet metal: bends, channels, flanges, holes, rivets, joints, bolts, sizes,
weight, sections, times.

Pure functions, no input or output, nothing imported from the rest of the kiosk but its error. A calculator
takes numbers whose names end in their unit and returns a result whose fields do too:

>>> from kiosk.numbers import flat_width
>>> worked = flat_width((1.0, 2.0, 1.0), (90.0, 90.0), thickness_in=0.032, inside_radius_in=0.125)
>>> round(worked.width_in, 3)
3.809
>>> worked.show()
'3.809 in'
>>> worked.formula
'each leg less its setbacks, added up, and a bend allowance for each bend'

Every result carries its ``inputs``, its ``formula`` in words, its ``source`` and ``warnings``, so that the
working can be shown and checked. What is outside a formula's range is refused, and the guilty argument named:

>>> from kiosk.numbers import OutOfRange, setback
>>> try:
...     setback(thickness_in=0.064, inside_radius_in=0.25, bend_angle_deg=178)
... except OutOfRange as error:
...     print(error.argument, "-", error.mend)
bend_angle_deg - give the degrees bent from flat (180 less the angle between the legs)

``help(flat_width)`` tells each argument's meaning, unit and range, and where the formula is published.
``CALCULATORS`` holds all of them by name, for a program that reads written values, and ``NOMENCLATURE`` what
each argument's name means. Modules are loaded when a name of theirs is first used.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kiosk.numbers.bends import *  # noqa: F403
    from kiosk.numbers.bolts import *  # noqa: F403
    from kiosk.numbers.catalogue import CALCULATORS as CALCULATORS
    from kiosk.numbers.channels import *  # noqa: F403
    from kiosk.numbers.coatings import *  # noqa: F403
    from kiosk.numbers.flanges import *  # noqa: F403
    from kiosk.numbers.holes import *  # noqa: F403
    from kiosk.numbers.joints import *  # noqa: F403
    from kiosk.numbers.nomenclature import NOMENCLATURE as NOMENCLATURE
    from kiosk.numbers.result import Calculator as Calculator
    from kiosk.numbers.result import OutOfRange as OutOfRange
    from kiosk.numbers.result import Quantity as Quantity
    from kiosk.numbers.result import Result as Result
    from kiosk.numbers.rivets import *  # noqa: F403
    from kiosk.numbers.sections import *  # noqa: F403
    from kiosk.numbers.sizes import *  # noqa: F403
    from kiosk.numbers.times import *  # noqa: F403
    from kiosk.numbers.units import *  # noqa: F403
    from kiosk.numbers.weight import *  # noqa: F403

# What is no calculator, and the module that has it.
_HOMES = {
    "CALCULATORS": "catalogue",
    "NOMENCLATURE": "nomenclature",
    "Calculator": "result",
    "OutOfRange": "result",
    "Quantity": "result",
    "Result": "result",
}


if not TYPE_CHECKING:  # a type checker would otherwise take every name for one that is here

    def _public() -> dict[str, str]:
        """Every public name with the module that has it."""
        subjects = [*import_module(f"{__name__}.catalogue").SUBJECTS, import_module(f"{__name__}.units")]
        return _HOMES | {name: module.__name__ for module in subjects for name in module.__all__}

    def __getattr__(name: str) -> object:
        """Load the module of a public name when the name is first used."""
        if name in _HOMES:
            return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
        if name == "__all__":
            return sorted(_public(), key=lambda one: (not one.isupper(), one[0].islower(), one))
        if not name.startswith("_"):
            home = _public().get(name)
            if home is not None:
                return getattr(import_module(home), name)
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")

    def __dir__() -> list[str]:
        """The public names too, loaded or not."""
        return sorted({*globals(), *_public()})
