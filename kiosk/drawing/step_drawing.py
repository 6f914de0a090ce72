"""What makes a plain function a drawing that a step may ask for.

It takes the piece in hand, the laid-out rib where it shows one, and numbers whose names end in their unit
(``numbers/nomenclature.py``), and returns a :class:`Sketch`. Names and words of its inputs are its own
signature's, as a calculator's are.
"""

import functools
import inspect
from collections.abc import Callable, Mapping

from kiosk.dataclass import dataclass
from kiosk.drawing.sketch import InHand, Sketch
from kiosk.numbers.result import OutOfRange, Parameter, parameters_of, require_finite
from kiosk.shop.figures import Figures
from kiosk.shop.parts import PartKind

_GIVEN = ("in_hand", "rib")  # by who draws, not by the step
_NAMES = {"Rib": object}  # a rib's own module is slow to load, and no input is one


@dataclass(frozen=True, eq=False)
class StepDrawing:
    """One kind of drawing, by the name that a step writes."""

    function: Callable[..., Sketch]

    @property
    def name(self) -> str:
        """What a step writes under ``drawing:``."""
        return self.function.__name__

    @functools.cached_property
    def of_rib(self) -> bool:
        """True when it shows the laid-out rib of the part kind."""
        return "rib" in inspect.signature(self.function).parameters

    @functools.cached_property
    def parameters(self) -> tuple[Parameter, ...]:
        """Its inputs in order."""
        return tuple(one for one in parameters_of(self.function, _NAMES) if one.argument not in _GIVEN)

    def try_out(self, figures: Figures, kind: PartKind, arguments: Mapping[str, object]) -> Sketch:
        """Draw it for a piece of which nothing is known. Raises OutOfRange and FigureFault."""
        return self.draw(figures, kind, arguments, InHand())

    def draw(
        self, figures: Figures, kind: PartKind, arguments: Mapping[str, object], in_hand: InHand
    ) -> Sketch:
        """Draw it for the piece in hand. Raises OutOfRange and FigureFault."""
        require_finite(arguments)
        rib = {"rib": figures.rib(kind)} if self.of_rib else {}
        try:
            return self.function(in_hand=in_hand, **rib, **arguments)
        except (OverflowError, ZeroDivisionError):
            raise OutOfRange(
                "an input is too large or too small to draw", "give sizes as they are at a bench"
            ) from None


def step_drawing(function: Callable[..., Sketch]) -> StepDrawing:
    """Make a function a drawing that a step may ask for by the function's name."""
    return StepDrawing(function)
