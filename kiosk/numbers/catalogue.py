"""Every calculator by name. A new calculator module is named here and nowhere else."""

from types import ModuleType

from kiosk.numbers import bends, flanges, holes, rivets, weight
from kiosk.numbers.result import Calculator

SUBJECTS: tuple[ModuleType, ...] = (bends, flanges, holes, rivets, weight)

CALCULATORS: dict[str, Calculator] = {
    value.name: value
    for module in SUBJECTS
    for value in vars(module).values()
    if isinstance(value, Calculator)
}
