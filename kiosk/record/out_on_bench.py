"""What is set up on the bench now: it needs no setting up again."""

from collections.abc import Iterable, Iterator
from contextlib import suppress
from typing import NamedTuple

from kiosk.errors import KioskError
from kiosk.record.context import Context
from kiosk.record.state import DoneSince
from kiosk.shop.procedure import Family, Procedure, Step, StepRef
from kiosk.shop.shop import Shop

Out = dict[Family, list[tuple[Procedure, Step]]]


class MinutesOut(NamedTuple):
    """What is set up of a family, in the procedure's minutes."""

    set_up: float
    put_away: float


NOTHING_OUT = MinutesOut(0.0, 0.0)


def out_on_bench(context: Context) -> Out:
    """Each family that was set up since the bench was last closed, with its steps; steps in hand too."""
    sitting = context.state.sitting
    run = sitting.run if sitting is not None else None
    works = [one for one in context.state.works.values() if one.status == "running" or one.run == run]
    found = {family: list(steps) for family, steps in done_at_bench(context).items()}
    for family, step in _steps(context.shop, ((work.ref, work.turned_to) for work in works)):
        found.setdefault(family, []).append(step)
    return found


def done_at_bench(context: Context) -> Out:
    """As :func:`out_on_bench`, without the steps in hand."""
    return context.kept.of(DoneAtBench).of(context)


def minutes_out(out: Out) -> dict[Family, MinutesOut]:
    """What of each family that is out was set up: the most that one of the steps wants which it was set up
    for."""
    return {
        family: MinutesOut(
            max(step.minutes.set_up for _, step in steps), max(step.minutes.put_away for _, step in steps)
        )
        for family, steps in out.items()
    }


def set_up_left(out: Out, procedure: Procedure, step: Step) -> float:
    """Minutes by the procedure to set up for a step what is not out yet: of a family that is out, what this
    step wants more than those that it was set up for."""
    done = (one.minutes.set_up for _, one in out.get(procedure.family_of(step), ()))
    return max(0.0, step.minutes.set_up - max(done, default=0.0))


class DoneAtBench:
    """The families of what was finished since the bench was last closed, kept until one thing more is."""

    def __init__(self) -> None:
        self._made_from: tuple[Shop, tuple[DoneSince, ...]] | None = None
        self._found: Out = {}

    def of(self, context: Context) -> Out:
        """Each with its steps, each step once."""
        shop, done_since = context.shop, context.state.done_since
        if self._made_from is None or self._made_from[0] is not shop or self._made_from[1] is not done_since:
            self._made_from, self._found = (shop, done_since), {}
            # By the ids, which are told apart quicker than their pair; its minutes may follow from the kind.
            parts = shop.parts
            done = {
                (one.ref.procedure, one.ref.step, parts[one.mark].kind): one
                for one in reversed(done_since)
                if one.mark in parts
            }
            for family, step in _steps(shop, ((one.ref, one.mark) for one in reversed(done.values()))):
                self._found.setdefault(family, []).append(step)
        return self._found


def _steps(
    shop: Shop, done: Iterable[tuple[StepRef, str]]
) -> Iterator[tuple[Family, tuple[Procedure, Step]]]:
    """The steps as they are for these parts, with their families; without those that are no longer there."""
    for ref, mark in done:
        with suppress(KioskError):  # a figure that cannot be worked out: `kiosk check` names it
            procedure, step = shop.find_step(ref.procedure, ref.step, mark)
            if procedure is not None and step is not None and mark in shop.parts:
                yield procedure.family_of(step), (procedure, step)
