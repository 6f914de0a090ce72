"""What was made by one figure, and is asked for by another since: it keeps what it was made to.

Trial strips that are added, corrected or taken back change what is asked. What was recorded is held against
what is asked now, whatever the figure came from then: strips, other strips, or the formula. Nothing here
decides. Whoever goes on with a part, or makes parts on tooling, has to know of it: `kiosk check`, the place
card and the step say it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.record.since import Since
from kiosk.record.state import State
from kiosk.shop.measures import MeasureLimits
from kiosk.shop.parts import PartKind, marks_in_full
from kiosk.shop.procedure import MeasureCheck, StepRef
from kiosk.shop.shop import SHOP_FILE, Shop

if TYPE_CHECKING:
    from kiosk.shop.fitted import Fitted


@dataclass(frozen=True)
class MadeOtherwise:
    """One figure that a part was made by, and what is asked for it now."""

    ref: StepRef
    check: MeasureCheck
    value: float
    now: MeasureLimits

    @property
    def words(self) -> str:
        """Both figures, in one line."""
        unit = f" {self.check.unit}" if self.check.unit else ""
        asked = self.check.ask.rstrip(" ?:.")
        return f"{asked}: {self.value:g}{unit} on record, {self.now.words(self.check.unit)} is asked now"


def made_otherwise(shop: Shop, state: State, mark: str) -> list[MadeOtherwise]:
    """Each figure that follows trial strips and that a part no longer keeps, in the order of its steps.

    Of several answers to one figure, as a width that is marked and then cut, the last one tells what the part
    is. What was measured of the strips themselves made no part. A part that is complete is left alone;
    tooling is used after it.
    """
    part = state.parts.get(mark)
    if part is None or mark not in shop.parts or not state.trials:
        return []  # no strip was ever recorded: nothing can have changed with one
    kind = shop.kind_of(mark)
    if part.completed_at is not None and not kind.tooling:
        return []
    last: dict[str, tuple[StepRef, MeasureCheck, float]] = {}
    for ref, check in _following(shop, kind):
        value = part.measured.get(ref, {}).get(check.id)
        # Within one step they are answered for different places: the first that is off is told.
        if value is not None:
            key = repr((check.nominal, check.low, check.high))
            before = last.get(key)
            if before is None or before[0] != ref or _keeps(shop, kind, before[1], before[2]):
                last[key] = (ref, check, value)
    found = []
    for ref, check, value in last.values():
        now = _limits(shop, kind, check)
        if now is not None and not now.within(value):
            found.append(MadeOtherwise(ref, check, value, now))
    return found


def made_before_strips(shop: Shop, state: State, fits: Callable[[], Sequence[Fitted]]) -> Iterator[Since]:
    """Each figure that parts and tooling were made by and that is another one now, like parts together.

    ``fits`` are what the strips on record say; the shop's figures know them afterwards.
    """
    shop.figures.take_fits(fits)
    kinds = list(shop.kinds)
    gathered: dict[tuple[str, StepRef, str, float], tuple[MadeOtherwise, list[str]]] = {}
    for mark in state.parts:
        for one in made_otherwise(shop, state, mark):
            key = (shop.parts[mark].kind, one.ref, one.check.id, one.value)
            gathered.setdefault(key, (one, []))[1].append(mark)
    for (kind_id, ref, check, value), (one, marks) in gathered.items():
        verb, them = ("was", "it") if len(marks) == 1 else ("were", "them")
        step, unit = ref.step, one.check.unit
        mend = (
            f"do step {step!r} again on {them}, or go by the figure on each step and not by {them}"
            if shop.kinds[kind_id].tooling
            else f"do step {step!r} again on {them} if metal allows, else raise a snag and decide"
        )
        yield Since(
            f"{marks_in_full(marks)} {verb} made before trial strips said otherwise: {check} of step {step!r}"
            f" is {value:g} {unit}, and {one.now.words(unit)} is asked now",
            mend,
            SHOP_FILE,
            ("part_kinds", kinds.index(kind_id)),
        )


def _following(shop: Shop, kind: PartKind) -> Iterator[tuple[StepRef, MeasureCheck]]:
    """The checks of a kind whose limits follow trial strips, in the order of its steps; a trial's own not."""
    for name in kind.procedures:
        procedure = shop.procedures[name]
        for step in procedure.steps:
            if step.trial is not None:
                continue
            for check in step.checks:
                if isinstance(check, MeasureCheck) and shop.figures.limits_follow_strips(kind, check):
                    yield procedure.ref(step), check


def _keeps(shop: Shop, kind: PartKind, check: MeasureCheck, value: float) -> bool:
    limits = _limits(shop, kind, check)
    return limits is None or limits.within(value)


def _limits(shop: Shop, kind: PartKind, check: MeasureCheck) -> MeasureLimits | None:
    """The limits of a check as the figures have them now; None where they cannot be told."""
    with suppress(KioskError):  # named elsewhere
        return shop.figures.limits(kind, check)
    return None
