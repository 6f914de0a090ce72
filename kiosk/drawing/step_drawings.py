"""Every drawing that a step may ask for, by name. A new drawing's module is named here."""

from collections.abc import Mapping
from types import MappingProxyType

from kiosk.drawing import bend_sketch, die_sketch, rib_sketch, rivet_sketch
from kiosk.drawing.step_drawing import StepDrawing

STEP_DRAWINGS: Mapping[str, StepDrawing] = MappingProxyType(
    {
        one.name: one
        for module in (rib_sketch, bend_sketch, die_sketch, rivet_sketch)
        for one in vars(module).values()
        if isinstance(one, StepDrawing)
    }
)
