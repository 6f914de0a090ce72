"""What was made by one figure, and is asked for by another since: it keeps what it was made to.

A dimension that is changed in the files changes what is asked, and so do trial strips that are added,
corrected or taken back. What was recorded is held against what is asked now, whatever the figure came from
then: the plans, strips, other strips, or the formula. What a builder accepted as it is, is not told again.
Nothing here decides. Whoever goes on with a part, or makes parts on tooling, has to know of it: `kiosk
check`, the place card and the step say it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.record.since import Since
from kiosk.record.state import PartState, State
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


def made_otherwise(shop: Shop, state: State, mark: str, *, at_start: bool = False) -> list[MadeOtherwise]:
    """Each figure that a part no longer keeps, in the order of its steps.

    Of several answers to one figure, as a width that is marked and then cut, the last one tells what the part
    is. What was measured of the strips themselves made no part, and what only the room's air asked of it is
    over. A part that is complete is left alone; tooling is used after it. ``at_start`` leaves out what only
    the plans change and calculators work out: to load them is no part of a start, and the step tells it.
    """
    part = state.parts.get(mark)
    if part is None or mark not in shop.parts or not part.measured:
        return []
    kind = shop.kind_of(mark)
    if part.completed_at is not None and not kind.tooling:
        return []
    last: dict[str, tuple[StepRef, MeasureCheck, float]] = {}
    accepted = {
        StepRef(snag.procedure, snag.step)
        for snag in state.snags.values()
        if snag.mark == mark and snag.decision == "use as is"
    }
    for ref, check in _measured(shop, kind, part):
        if ref in accepted or (at_start and not _is_told_at_start(shop, state, kind, check)):
            continue
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


def made_by_other_figures(shop: Shop, state: State, fits: Callable[[], Sequence[Fitted]]) -> Iterator[Since]:
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
            f"{marks_in_full(marks)} {verb} made by another figure than is asked now: {check} of step"
            f" {step!r} is {value:g} {unit}, and {one.now.words(unit)} is asked now",
            mend,
            SHOP_FILE,
            ("part_kinds", kinds.index(kind_id)),
        )


def _measured(shop: Shop, kind: PartKind, part: PartState) -> Iterator[tuple[StepRef, MeasureCheck]]:
    """The checks that a part was measured by, in the order of its steps; a trial's own not."""
    for name in kind.procedures:
        procedure = shop.procedures[name]
        for step in procedure.steps:
            if step.trial is not None or procedure.ref(step) not in part.measured:
                continue
            for check in step.checks:
                if isinstance(check, MeasureCheck):
                    yield procedure.ref(step), check


def _is_told_at_start(shop: Shop, state: State, kind: PartKind, check: MeasureCheck) -> bool:
    figures = shop.figures
    follows = bool(state.trials) and figures.limits_follow_strips(kind, check)
    return follows or not figures.limits_are_worked_out(kind, check)


def _keeps(shop: Shop, kind: PartKind, check: MeasureCheck, value: float) -> bool:
    limits = _limits(shop, kind, check)
    return limits is None or limits.within(value)


def _limits(shop: Shop, kind: PartKind, check: MeasureCheck) -> MeasureLimits | None:
    """The limits of a check as the figures have them now; None where they cannot be told."""
    with suppress(KioskError):  # named elsewhere
        return shop.figures.limits(kind, check)
    return None
