"""Drawings that steps ask for, as far as a shop knows them: a name, inputs, and whether a rib is drawn.

What they show is told elsewhere, and given to those who check: a shop knows no trade.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Protocol, TypeVar

from kiosk.shop.faults import nearest
from kiosk.shop.figures import FigureFault, Figures, UnknownDimension
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import DrawingWanted

if TYPE_CHECKING:
    from kiosk.numbers.result import Parameter

T = TypeVar("T")
_FACTOR = "neutral_factor"  # the argument of what lays out bends


class DrawingKind(Protocol):
    """One kind of drawing: what a step calls it, and what it is drawn from."""

    @property
    def name(self) -> str:
        """What a step writes under ``drawing:``."""

    @property
    def parameters(self) -> tuple[Parameter, ...]:
        """Its inputs in order."""

    @property
    def of_rib(self) -> bool:
        """True when it shows the laid-out rib of the part kind."""

    def try_out(self, figures: Figures, kind: PartKind, arguments: Mapping[str, object]) -> object:
        """Draw it for a part kind. Raises OutOfRange and FigureFault."""


Drawings = Mapping[str, DrawingKind]


def draw(
    figures: Figures,
    kind: PartKind,
    drawing: DrawingKind,
    wanted: DrawingWanted,
    make: Callable[[Mapping[str, object]], T],
) -> T:
    """What ``make`` draws from the inputs of a step's drawing, as a part kind has them. Raises FigureFault.

    An input that the step does not write is the kind's dimension of that name. What shows a bend is drawn by
    the neutral factor that the kind's figures are worked by.
    """
    inputs: dict[str, str] = {}
    chosen: dict[str, object] = {}
    for one in drawing.parameters:
        text = wanted.inputs.get(one.name)
        if one.choices:  # a word of its own, and no dimension
            if text is not None:
                chosen[one.argument] = _choice(one, text)
        elif text is not None:
            inputs[one.name] = text
        elif kind.written(one.name) is not None:
            inputs[one.name] = one.name
        elif one.required:
            raise UnknownDimension(one.name, kind)
    bends = any(one.argument == _FACTOR for one in drawing.parameters)

    def fitted(given: Mapping[str, object]) -> T:
        factor = figures.fitted_factor(kind, inputs, given) if bends and _FACTOR not in given else None
        return make({**given, **chosen, **({} if factor is None else {_FACTOR: factor})})

    return figures.with_inputs(kind, drawing.name, drawing.parameters, inputs, fitted)


def _choice(parameter: Parameter, text: str) -> str:
    """A word that an input takes. Raises FigureFault."""
    word = text.strip().lower()
    if word not in parameter.choices:
        raise FigureFault(
            f"{parameter.name} {text!r} is not known",
            nearest(word, parameter.choices),
            place=("inputs", parameter.name),
        )
    return word
