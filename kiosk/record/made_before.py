"""Tooling that was made to a formula before trial strips said otherwise: it keeps what it was made to.

Nothing here decides. The parts that are made on it are worked by the strips, so whoever makes them has to
know that the tooling is not: `kiosk check` says it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kiosk.errors import KioskError
from kiosk.record.since import Since
from kiosk.record.state import State
from kiosk.shop.measures import MeasureLimits
from kiosk.shop.parts import PartKind, marks_in_full
from kiosk.shop.procedure import MeasureCheck, StepRef
from kiosk.shop.shop import SHOP_FILE, Shop

if TYPE_CHECKING:
    from kiosk.shop.fitted import Fitted


def made_before_strips(shop: Shop, state: State, fits: Callable[[], Sequence[Fitted]]) -> Iterator[Since]:
    """Each figure that tooling was made to by the formula and that strips refuse, like parts together.

    ``fits`` are what the strips on record say; the shop's figures know them afterwards.
    """
    asked = _measured_on_tooling(shop, state)
    shop.figures.take_fits(None)
    formulas = [_limits(shop, one) for one, _ in asked]
    shop.figures.take_fits(fits)
    kinds = list(shop.kinds)
    for (one, values), by_formula in zip(asked, formulas, strict=True):
        now = _limits(shop, one)
        if by_formula is None or now is None or now == by_formula:
            continue
        gathered: dict[float, list[str]] = {}
        for mark, value in values.items():
            if by_formula.within(value) and not now.within(value):
                gathered.setdefault(value, []).append(mark)
        for value, marks in gathered.items():
            verb, them = ("was", "it") if len(marks) == 1 else ("were", "them")
            step, unit = one.ref.step, one.check.unit
            yield Since(
                f"{marks_in_full(marks)} {verb} made before trial strips counted: {one.check.id} of step"
                f" {step!r} is {value:g} {unit}, and they ask for {now.words(unit)}",
                f"do step {step!r} again on {them}, or go by the figure on each step and not by {them}",
                SHOP_FILE,
                ("part_kinds", kinds.index(one.kind.id)),
            )


@dataclass(frozen=True)
class _Asked:
    """A measured check of a step that tooling went through."""

    kind: PartKind
    ref: StepRef
    check: MeasureCheck


def _measured_on_tooling(shop: Shop, state: State) -> list[tuple[_Asked, dict[str, float]]]:
    """What was measured, by mark, at each check that is still asked."""
    found: dict[tuple[str, StepRef, str], tuple[_Asked, dict[str, float]]] = {}
    for mark, part in state.parts.items():
        kind = shop.kinds[shop.parts[mark].kind] if mark in shop.parts else None
        if kind is None or not kind.tooling:
            continue
        for ref, values in part.measured.items():
            for name, value in values.items():
                check = _check(shop, ref, name)
                if check is not None:
                    key = (kind.id, ref, name)
                    found.setdefault(key, (_Asked(kind, ref, check), {}))[1][mark] = value
    return list(found.values())


def _check(shop: Shop, ref: StepRef, check: str) -> MeasureCheck | None:
    procedure = shop.procedures.get(ref.procedure)
    step = procedure.step(ref.step) if procedure is not None else None
    found = next((one for one in step.checks if one.id == check), None) if step is not None else None
    return found if isinstance(found, MeasureCheck) else None


def _limits(shop: Shop, asked: _Asked) -> MeasureLimits | None:
    """The limits of a check as the figures have them now; None where they cannot be told."""
    with suppress(KioskError):  # named elsewhere
        return shop.figures.limits(asked.kind, asked.check)
    return None
