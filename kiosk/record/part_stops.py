"""What lies in the parts and stops their next steps: kept for each group of like parts until it may differ.

It follows from where the parts of the group stand and what was done on them, and from the parts of the kinds
that they wait for: tooling, and what they are made from (``PartsAtStep.waits_for``). ``Positions`` numbers
the changes of each kind, so one number tells whether a group has to be asked again. After an event these are
the groups of the kinds that it touched, and of those that wait for them; after a change of files all are.

Asked at every moment is what hangs on more than that: clocks, steps in hand, snags, and tools that parts hold
through a wait, wherever those are. Few parts have any.
"""

from collections.abc import Iterator, Sequence

from kiosk.dataclass import dataclass
from kiosk.record.context import Context
from kiosk.record.holding import HeldTools
from kiosk.record.position import left_in_a_run
from kiosk.record.positions import GroupKey, PartsAtStep
from kiosk.record.readiness import Block, blocks_but_snags, part_blocks
from kiosk.shop.procedure import Procedure, Step
from kiosk.shop.shop import Person


@dataclass(frozen=True)
class Together:
    """Parts of one kind at one step that the same reasons in the parts stop, or none; in the shop's order.

    What lies in the step, the people, the house and the room is :func:`step_blocks`, the same for all. Of a
    part in hand it is not asked what would stop it.
    """

    at: PartsAtStep  # the group that they are of
    marks: Sequence[str]
    in_hand: bool
    stops: Sequence[Block]
    plain: bool = False  # no clock runs on any of them, and each may be left as it is

    @property
    def procedure(self) -> Procedure:
        """The procedure that they are in."""
        return self.at.procedure

    @property
    def step(self) -> Step:
        """Their next step."""
        return self.at.step


@dataclass(frozen=True)
class _Kept:
    """What was found of one group, and for what it holds."""

    at: PartsAtStep
    change: int  # the newest on the parts that it follows from
    doer: Person | None  # whoever gave a second look does not do the step; None where nobody looks
    takes: bool  # the step takes a tool that is held through waits: none may be free, whatever the parts
    together: tuple[Together, ...]
    each_time: tuple[str, ...]  # parts that are asked at every moment


class PartStops:
    """What stops the next steps of all parts, group by group."""

    def __init__(self) -> None:
        self._kept: dict[GroupKey, _Kept] = {}

    def now(self, context: Context) -> Iterator[Together]:
        """What lies in the part and stops its next step, for every part that has one.

        Where a part has nothing of its own, neither clock nor snag, it is asked for once for all its like.
        """
        positions, state = context.positions, context.state
        tools = HeldTools(context)
        held = {snag.mark for snag in state.open_snags()}
        with_held = {positions.group(mark) for mark in held if mark in context.shop.parts}
        groups = positions.at_steps()
        for at in groups:
            kept = self._kept.get(at.key)
            change = positions.changed(at.waits_for)
            doer = context.doer if at.step.hold_point else None
            if kept is None or kept.change != change or kept.doer is not doer or kept.at is not at:
                kept = self._kept[at.key] = _made(context, tools, at, change, doer)
            if kept.takes or at.key in with_held:
                yield from _asked(context, tools, at, held)
                continue
            yield from kept.together
            for mark in kept.each_time:
                yield _of_one(context, tools, at, mark, snags=False)
        if len(self._kept) > 2 * len(groups):  # of groups that went on, nothing is kept for ever
            self._kept = {at.key: self._kept[at.key] for at in groups if at.key in self._kept}


def all_parts(context: Context) -> Iterator[Together]:
    """What :meth:`PartStops.now` gives, kept from one moment to the next."""
    return context.kept.of(PartStops).now(context)


def _made(context: Context, tools: HeldTools, at: PartsAtStep, change: int, doer: Person | None) -> _Kept:
    """What is kept of a group from now on."""
    parts = context.state.parts
    each_time = tuple(
        mark for mark in at.own if (part := parts.get(mark)) is not None and (part.clocks or part.work)
    )
    found = [_of_all(context, tools, at, tuple(at.alike))] if at.alike else []
    found += [_of_one(context, tools, at, mark, snags=False) for mark in at.own if mark not in each_time]
    takes = tools.may_be_held(at.step) or bool(tools.taken(at.procedure, at.step))
    return _Kept(at, change, doer, takes, tuple(found), each_time)


def _asked(context: Context, tools: HeldTools, at: PartsAtStep, held: set[str]) -> Iterator[Together]:
    """The same of a group of which something is asked at every moment."""
    free = tuple(mark for mark in at.alike if mark not in held)
    if free:
        yield _of_all(context, tools, at, free)
    for mark in (*at.own, *(mark for mark in at.alike if mark in held)):
        yield _of_one(context, tools, at, mark, snags=mark in held)


def _of_all(context: Context, tools: HeldTools, at: PartsAtStep, marks: Sequence[str]) -> Together:
    stops = blocks_but_snags(context, tools, marks[0], at.procedure, at.step)
    parts = [part for mark in marks if (part := context.state.parts.get(mark)) is not None]
    plain = not any(left_in_a_run(context.shop, part) for part in parts)
    return Together(at, marks, False, stops, plain)


def _of_one(context: Context, tools: HeldTools, at: PartsAtStep, mark: str, *, snags: bool) -> Together:
    if context.state.part(mark).work in context.state.works:
        return Together(at, (mark,), True, ())
    stops = (
        part_blocks(context, mark, at.procedure, at.step)
        if snags
        else blocks_but_snags(context, tools, mark, at.procedure, at.step)
    )
    return Together(at, (mark,), False, stops)
