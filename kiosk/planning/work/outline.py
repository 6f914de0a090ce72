"""What is told at once of like parts that are ready, before anything is made of them."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from kiosk.planning.work.candidate import LikeParts
from kiosk.planning.work.ways_ahead import WayAhead
from kiosk.shop.procedure import Procedure, Step


class Outline(NamedTuple):
    """What like parts are told apart and kept back by, before anything is made of them.

    A large shop has hundreds of groups, and few of them come into an answer.
    """

    kind: str
    parts: int
    untorn: frozenset[int]  # how many of them go along without tearing a batch
    chain: Sequence[tuple[Procedure, Step]]
    ids: tuple[tuple[str, str], ...]  # of its procedures and steps
    gap_after: int
    ends: bool  # it takes the parts to their end
    way: WayAhead | None  # that they go, where it is known
    by_parts: float
    waits: bool
    unlike_others: bool
    presses: bool  # a limit runs on one of the parts, or something was asked of them
    in_full: Callable[[], LikeParts]
