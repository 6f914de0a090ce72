"""A candidate for a slot: like parts at one step, the ways to take it up, and what each stands for."""

from collections.abc import Mapping, Sequence
from dataclasses import field
from datetime import datetime

from kiosk.dataclass import dataclass
from kiosk.planning.choose.option import Option, SetUp
from kiosk.planning.work.asked import Wanted
from kiosk.planning.work.ways_ahead import WayAhead
from kiosk.shop.procedure import Family, Procedure, Step
from kiosk.shop.shop import Shop


@dataclass(frozen=True)
class Meanwhile:
    """Parts that something is done beside while they wait, and the minutes that they still do."""

    marks: tuple[str, ...]
    minutes: int
    leave: bool  # it takes longer than they wait: it is left then, or as soon as it can be


@dataclass(frozen=True)
class Stretch:
    """Like parts through one or more steps in one go, to where they can be left: an option in full."""

    kind: str
    marks: tuple[str, ...]
    steps: tuple[tuple[Procedure, Step], ...]
    work: str | None  # the work in hand that it goes on with
    minutes: int
    waiting_minutes: int  # sat out within it
    gap_minutes: int  # of a wait that other things fill
    gap_after: int  # steps before that wait; 0 when the wait runs already
    last_minutes: int  # of its minutes, those after that wait
    limit: int | None  # minutes into the slot when its first part must be over
    spoils_at: datetime | None
    opens: int  # unfinished parts that wait for these
    steps_left: int  # on each part, these included
    done: float  # pieces of its first step: up to 1, or all where they go at once
    minutes_left: int = 0  # of its one step, where that is begun only and left half way
    in_a_run: bool = False  # its parts may not be left as they are
    wanted: Wanted = ""  # what was asked of its parts at the bench
    set_ups: tuple[SetUp, ...] = ()  # that it needs before its wait, in order
    in_wait: tuple[SetUp, ...] = ()  # and those of what comes after it
    meanwhile: Meanwhile | None = None  # what it fills the wait of
    begin_by: int | None = None  # minutes into the slot when what waits already must be begun
    waits_at_most: int | None = None  # minutes after its first part by which the last has to begin

    @property
    def family(self) -> Family:
        """The family that it begins with."""
        return self.steps[0][0].family_of(self.steps[0][1])

    @property
    def ends_part(self) -> bool:
        """True when nothing is left to do on the parts after it."""
        return len(self.steps) == self.steps_left and not self.minutes_left

    @property
    def has_to_end(self) -> bool:
        """True when some of it may not be left before it is finished."""
        return any(step.has_to_end for _, step in self.steps)

    @property
    def can_be_left(self) -> bool:
        """True when it can be left at any moment or after each of several pieces, though not all is done."""
        return not self.has_to_end and (len(self.marks) > 1 or self.steps[0][1].stop == "anywhere")

    @property
    def ready_in(self) -> int:
        """Minutes until it can begin, where its wait runs already; 0 when it can begin now."""
        return 0 if self.gap_after else self.gap_minutes

    @property
    def starts_limit(self) -> bool:
        """True where several parts start a limit that another of its steps ends: fewer of them could go."""
        if len(self.marks) < 2 or self.in_a_run or self.spoils_at is not None:
            return False
        ids = {step.id for _, step in self.steps}
        waits = (wait for _, step in self.steps for wait in step.waits)
        return any(wait.within is not None and wait.step in ids for wait in waits)

    def holds(self, shop: Shop) -> frozenset[str]:
        """What nobody else can have meanwhile: its parts, and the tools of which there is only one."""
        tools = {
            f"tool {name}"
            for _, step in self.steps
            for name in step.tools
            if name in shop.tools and shop.tools[name].have < 2
        }
        return frozenset({f"part {mark}" for mark in self.marks} | tools)


@dataclass(frozen=True)
class LikeParts:
    """Parts of one kind at one step, and how far they could go on: what the options are made from."""

    kind: str
    marks: tuple[str, ...]
    untorn: frozenset[int]  # how many of them go along without tearing a batch
    left: Sequence[tuple[Procedure, Step]]  # every step still to do on them
    minutes_left: float  # of one of them, by the estimates
    minutes_behind: float  # of work that waits for the first of them
    chain: tuple[tuple[Procedure, Step], ...]  # those that can follow one another now
    gap_after: int = 0  # steps of the chain before a wait that other things fill; 0: none
    runs: tuple[int, ...] = ()  # for so many of them, the minutes left of waits that run already
    work: str | None = None  # when they are in hand
    done: float = 0.0  # pieces of the step in hand: up to 1, or all where they go at once
    unlike_others: bool = False  # something of it spoils, or others wait for it
    in_a_run: bool = False  # they may not be left before the next step
    done_share: float = 0.0  # of the whole route, 0 to 1
    shelf_share: float = 0.0  # 0 to 1: pressed by the date of something they need
    wanted: Wanted = ""  # what was asked of them at the bench
    by_parts: float = 0.0  # what a minute on them is worth more, whatever is done (worth.of_parts)
    way: WayAhead | None = None  # that they go, where it is known
    spoils: bool = False  # a limit runs on one of them
    waits: bool = False  # a step of the chain starts a wait or a limit, or waits for one that runs already
    running: Mapping[tuple[str, str], float] = field(default_factory=dict)  # those, where they can't be left


@dataclass(frozen=True)
class Candidate:
    """Like parts at one step that can be taken up now, and the ways to do it."""

    like: LikeParts
    options: tuple[Option, ...]
    spoils_at: tuple[datetime | None, ...]
    opens: int
    slot_minutes: int

    @property
    def marks(self) -> tuple[str, ...]:
        """The parts, in the order in which they are taken."""
        return self.like.marks

    @property
    def procedure(self) -> Procedure:
        """The procedure of the first step."""
        return self.like.chain[0][0]

    @property
    def step(self) -> Step:
        """The first step."""
        return self.like.chain[0][1]

    def stretch(self, place: int, *, from_end: bool = False, last_parts: int = 0) -> Stretch:
        """What the option at a place stands for, on the first parts or on the last ones.

        ``last_parts`` is the minutes of all that is done after other waits of its plan.
        """
        option = self.options[place]
        spoils = [at for at in self.spoils_at[: option.pieces] if at is not None]
        return Stretch(
            kind=self.like.kind,
            marks=self.marks[-option.pieces :] if from_end else self.marks[: option.pieces],
            steps=self.like.chain[: option.steps],
            work=self.like.work,
            minutes=option.minutes + option.past_slot,
            waiting_minutes=option.sat_out,
            gap_minutes=option.waits + option.gap_past_slot,
            gap_after=option.gap_after,
            last_minutes=option.after + option.after_past_slot,
            limit=option.limit(self.slot_minutes, last_parts),
            spoils_at=min(spoils) if spoils else None,
            opens=self.opens,
            steps_left=len(self.like.left),
            done=self.like.done,
            minutes_left=option.minutes_left,
            in_a_run=self.like.in_a_run,
            wanted=self.like.wanted,
            set_ups=tuple(one for one in option.families if one not in dict(option.in_wait)),
            in_wait=tuple(one for one, _ in option.in_wait),
            begin_by=option.start_by if option.waits_already else None,
            waits_at_most=option.waits_at_most,
        )
