"""One way to take up a candidate, in the numbers that the choice is made by, and what limits it."""

from collections.abc import Container, Iterable, Mapping, Sequence
from typing import NamedTuple, TypeAlias

from kiosk.shop.procedure import Family

NOTHING: Family = ""  # that a step is set up with which needs none: it costs nothing and is always out


class More(NamedTuple):
    """What dearer steps of a family take more to set up and put away than cheaper ones of it, which they need
    too: by its place among the costs of the family."""

    family: Family
    number: int


SetUp: TypeAlias = Family | More  # one thing to set up, paid for once by all that need it


def family_of(set_up: SetUp) -> Family:
    """The family that it is of."""
    return set_up.family if isinstance(set_up, More) else set_up


class Hold(NamedTuple):
    """A tool that is taken and kept through a wait, such as the only jig until the glue is cured."""

    tool: str
    share: float  # of those that are free now
    keeps: bool  # it is kept while other things are done, or when all is over


class Option(NamedTuple):
    """One way to take up a candidate: whole minutes without set-up, worth, and families in order of use.

    A tuple, since an answer makes thousands of them.

    ``start_by`` and ``end_by`` are minutes from the slot's beginning. ``waits`` minutes pass between the
    first part and the ``after`` minutes of it; with nothing before (``after`` equal to ``minutes``) it is a
    clock that runs already, and what must start by a time is its last part. What must end by a time may not
    wait as well.

    ``waits_at_most`` and the others, which say how much of the candidate it takes, the choice does not look
    at.
    """

    minutes: int
    worth: int
    families: tuple[SetUp, ...]
    start_by: int | None = None
    end_by: int | None = None
    waits: int = 0
    after: int = 0
    hold: Hold | None = None
    # Minutes after its first part by which its last has to begin, where that is sooner than the slot ends.
    waits_at_most: int | None = None
    # What its last part is set up with, in minutes: while it waits, where nobody set that up before.
    in_wait: tuple[tuple[SetUp, int], ...] = ()
    # What its families are put away with, in minutes, when the bench is left.
    away: tuple[tuple[SetUp, int], ...] = ()
    pieces: int = 1
    steps: int = 1
    sat_out: int = 0  # minutes of waiting within it that nothing else fills
    gap_after: int = 0  # steps before the wait that other things fill; 0 when it runs already
    minutes_left: int = 0  # of its step, where that is begun only and left half way
    past_slot: int = 0  # minutes that it takes beyond the slot, where it may not be left and is chosen anyhow
    gap_past_slot: int = 0  # and of its wait
    after_past_slot: int = 0  # and of what comes after that
    saves: int = 0  # parts that would go to waste before anybody is back

    @property
    def usual(self) -> bool:
        """True when it has neither a limit nor a wait, nor keeps a tool through one."""
        return not self.waits and self.start_by is None and self.end_by is None and self.hold is None

    @property
    def first(self) -> int:
        """Minutes before the wait: all of them where there is none."""
        return self.minutes - self.after

    @property
    def waits_already(self) -> bool:
        """True when it is all last part."""
        return bool(self.waits) and not self.first

    def minutes_in_wait(self, out: Container[SetUp]) -> int:
        """Minutes of set-ups that its wait holds, of those that are not ``out``."""
        return min(self.waits, sum(minutes for family, minutes in self.in_wait if family not in out))

    def limit(self, slot_minutes: int, last_parts: int = 0) -> int | None:
        """When its first part must be over; None when that does not matter.

        ``last_parts`` is the minutes of all that is done after other waits of the plan.
        """
        if self.waits_already:
            return None
        limits = []
        if self.start_by is not None:
            limits.append(self.start_by + self.first)
        if self.end_by is not None:
            limits.append(self.end_by)
        if self.waits and self.first:
            limits.append(slot_minutes - self.waits - self.after - last_parts)
        return min(limits) if limits else None


def set_up_of(families: Iterable[SetUp], set_up: Mapping[SetUp, int], free: frozenset[SetUp]) -> int:
    """Minutes to set up and put away families, those that are out already for nothing."""
    return sum(set_up.get(name, 0) for name in families if name not in free)


def in_order(
    picked: Iterable[tuple[int, Option]], set_up: Mapping[SetUp, int], minutes: int, free: frozenset[SetUp]
) -> bool:
    """True when the options with limits can be done in the order of their limits, set-ups at first use.

    ``picked`` is candidate number and option. Several may wait side by side, such as two kinds of parts whose
    primer stands: their last parts are done one after the other at the very end, before putting away, and
    each of them by its limit.
    """
    picked = list(picked)
    if not _tools_suffice([option.hold for _, option in picked if option.hold is not None]):
        return False
    last_parts = sum(option.after for _, option in picked if option.waits)
    limited: list[tuple[int, int, Option]] = []
    for number, option in picked:
        if option.waits and option.waits + last_parts > minutes:
            return False
        limit = option.limit(minutes, last_parts - option.after)
        if limit is not None:
            limited.append((limit, number, option))
    clock = 0
    out = set(free)
    limited.sort(key=lambda entry: entry[:2])
    for limit, _, option in limited:
        meanwhile = option.minutes_in_wait(out) if option.in_wait else 0
        for family in option.families:
            if family not in out:
                out.add(family)
                clock += set_up.get(family, 0)
        if option.start_by is not None and clock > option.start_by:
            return False
        clock += option.first
        if clock - meanwhile > limit:
            return False
    if not any(option.waits for _, option in picked):
        return True
    first = [option for _, _, option in limited]
    return _last_parts_in_time([option for _, option in picked], first, set_up, minutes, free)


def _last_parts_in_time(
    picked: Sequence[Option],
    first: Sequence[Option],
    set_up: Mapping[SetUp, int],
    minutes: int,
    free: frozenset[SetUp],
) -> bool:
    """True when the last parts begin by their limits and leave the time to put all away. They come after all
    else and all setting up, in the order in which their waits end; ``first`` are the first parts in order."""
    away: dict[SetUp, int] = {}
    for option in picked:
        for family, takes in option.away:
            if family not in free:
                away[family] = takes
    waits: list[tuple[int, int, int | None]] = []  # of each: its end, its last part, and by when that begins
    clock = 0
    out = set(free)
    for option in first:
        meanwhile = {family for family, _ in option.in_wait} if option.waits else set()
        for family in option.families:
            if family not in out and family not in meanwhile:
                out.add(family)
                clock += set_up.get(family, 0) - away.get(family, 0)
        clock += option.first
        if option.waits:
            waits.append((clock + option.waits, option.after, None))
    waits += [(option.waits, option.after, option.start_by) for option in picked if option.waits_already]
    families = dict.fromkeys(family for option in picked for family in option.families)
    to_put_away = sum(away.values())
    clock = sum(option.minutes for option in picked) + set_up_of(families, set_up, free)
    clock -= to_put_away + sum(after for _, after, _ in waits)
    for ready, after, begins_by in sorted(waits, key=lambda one: one[:2]):
        clock = max(clock, ready)
        if begins_by is not None and clock > begins_by:
            return False
        clock += after
    return clock + to_put_away <= minutes


def can_be_all(option: Option, set_up: Mapping[SetUp, int], minutes: int, free: frozenset[SetUp]) -> bool:
    """True when the option can be done with nothing else in the slot, its set-ups and its wait included."""
    if option.minutes + set_up_of(option.families, set_up, free) > minutes:
        return False
    if option.usual:
        return True
    return not (option.waits and option.end_by is not None) and in_order([(0, option)], set_up, minutes, free)


def _tools_suffice(holds: Sequence[Hold]) -> bool:
    """False where one keeps of a tool what another wants too, whichever of them is first."""
    for kept in {hold.tool for hold in holds if hold.keeps}:
        if sum(hold.share for hold in holds if hold.tool == kept) > 1 + 1e-9:
            return False
    return True
