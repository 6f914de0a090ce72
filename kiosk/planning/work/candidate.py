"""A candidate for a slot: like parts at one step, the ways to take it up, and what each stands for."""

from dataclasses import dataclass
from datetime import datetime

from kiosk.planning.choose.exact import Option
from kiosk.shop.procedure import Procedure, Step


@dataclass(frozen=True)
class Plan:
    """What an option stands for: which parts, through which steps, and why it is worth it."""

    marks: tuple[str, ...]
    steps: tuple[tuple[Procedure, Step], ...]
    minutes: int
    waiting_minutes: int  # sat out within it
    gap_minutes: int  # of a wait that other things fill
    gap_after: int  # steps before that wait; 0 when the wait runs already
    limit: int | None  # minutes into the slot when its first part must be over
    spoils_at: datetime | None
    opens: int
    ends_part: bool
    head_start: float  # minutes already done of it, as a negative number


@dataclass(frozen=True)
class Candidate:
    """Like parts at one step that can be taken up now; ``shapes`` says what each option stands for."""

    marks: tuple[str, ...]
    chain: tuple[tuple[Procedure, Step], ...]
    work: str | None
    options: tuple[Option, ...]
    shapes: tuple["Shape", ...]
    spoils_at: tuple[datetime | None, ...]
    opens: int
    steps_left: int
    head_start: float
    slot_minutes: int

    @property
    def procedure(self) -> Procedure:
        """The procedure of the first step."""
        return self.chain[0][0]

    @property
    def step(self) -> Step:
        """The first step."""
        return self.chain[0][1]

    def plan(self, place: int, *, from_end: bool = False) -> Plan:
        """What the option at a place stands for, on the first parts or on the last ones."""
        shape, option = self.shapes[place], self.options[place]
        spoils = [at for at in self.spoils_at[: shape.pieces] if at is not None]
        return Plan(
            marks=self.marks[-shape.pieces :] if from_end else self.marks[: shape.pieces],
            steps=self.chain[: shape.steps],
            minutes=option.minutes,
            waiting_minutes=shape.sat_out,
            gap_minutes=option.waits,
            gap_after=shape.gap_after,
            limit=option.limit(self.slot_minutes),
            spoils_at=min(spoils) if spoils else None,
            opens=self.opens,
            ends_part=shape.steps == self.steps_left,
            head_start=self.head_start,
        )


@dataclass(frozen=True)
class Shape:
    """How much of a candidate an option takes: pieces, steps, minutes sat out, steps before a wait."""

    pieces: int
    steps: int
    sat_out: int
    gap_after: int
