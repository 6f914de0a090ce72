"""Taps at a bench for ever, any act that suits, until it is killed; says before and after each tap.

What comes next is read off the state, so a walker goes on wherever the one before it was killed.
"""

import random
import shutil
import traceback
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any
from unittest.mock import patch

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.record.events import AnyBody, Event
from kiosk.record.state import State
from kiosk.record.stopped import RecordingStopped
from kiosk.shop.load import load_shop
from kiosk.shop.shop import Shop
from tests.faults.deeds import PROCEDURE, Deed, Moment, next_deed
from tests.faults.jumping_clocks import Hands, JumpingClocks

SMALL_SHOP = Path(__file__).with_name("small_shop")
# Not what a tap asked for: in which boot a screen writes, that the power went, and a PIN that was refused.
UNASKED = frozenset({"pin_tried", "run_started", "screen_lost", "sitting_cut"})


def make_small_shop(folder: Path) -> None:
    """A new shop with nothing done."""
    shutil.copytree(SMALL_SHOP, folder)


@cache
def shop_of_trials(without: str = "") -> Shop:
    """The small shop, read once for all openings; ``without`` is a step that its procedure has lost."""
    if not without:
        return load_shop(SMALL_SHOP)
    shop = shop_of_trials()
    procedure = shop.procedures[PROCEDURE]
    kept = tuple(step for step in procedure.steps if step.id != without)
    fewer = procedure.model_copy(update={"steps": kept})
    return replace(shop, procedures={**shop.procedures, PROCEDURE: fewer})


def open_bench(folder: Path, clocks: JumpingClocks | None = None, *, without: str = "") -> Bench:
    """A screen's bench; the shop's files are not what is tried here, so they are read once. What the kiosk
    keeps beside them, as which screens live, is in the trial's own folder."""
    shop = replace(shop_of_trials(without), folder=folder)
    with patch("kiosk.bench.open_shop", lambda *_: shop):
        return Bench(folder, clocks or JumpingClocks(), watch=True)


@dataclass(frozen=True)
class Walk:
    """How to walk: by which luck, from where the clocks stand, and what was under way when the last fell."""

    seed: int
    hands: Hands = field(default_factory=Hands)
    asked: dict[str, int] = field(default_factory=dict)
    again: Deed | None = None  # announced by the walker before, and never confirmed
    without: str = ""  # a step that the procedure has lost since
    closes_after: int = -1  # taps until the bench is let go of in order; -1 is never


@dataclass(frozen=True)
class Said:
    """What a walker says of a tap: before it which events it would record, after it how the state then is."""

    word: str  # opened, will, did, refused, closing, closed, fell
    deed: Deed | None = None
    kinds: tuple[str, ...] = ()
    state: State | None = None
    hands: Hands = field(default_factory=Hands)
    asked: dict[str, int] = field(default_factory=dict)
    why: str = ""


class _Rehearsed(Exception):
    """Raised in the middle of a transaction, so that it records nothing."""


def rehearse(bench: Bench, deed: Deed) -> tuple[str, ...]:
    """The kinds of event that a tap would record now; nothing is recorded. None of them when refused."""
    found: list[str] = []
    transact = bench.record.transact

    def rehearsing(
        decide: Callable[[State], Sequence[AnyBody]], *, by: str, tap: str | None, **more: Any
    ) -> list[Event]:
        def decided(state: State) -> Sequence[AnyBody]:
            found[:] = [body.kind for body in decide(state) if body.kind not in UNASKED]
            raise _Rehearsed

        return transact(decided, by=by, tap=tap, **more)

    with patch.object(bench.record, "transact", rehearsing):
        try:
            deed.do(bench)
        except _Rehearsed:
            return tuple(found)
        except KioskError:
            return ()
    return ()


def walk(folder: str, says: Connection, how: Walk) -> None:
    """Tap until killed."""
    try:
        _walk(Path(folder), says, how)
    except Exception:
        says.send(Said("fell", why=traceback.format_exc()))


def _walk(folder: Path, says: Connection, how: Walk) -> None:
    clocks = JumpingClocks(how.hands)
    bench = open_bench(folder, clocks, without=how.without)
    asked = dict(how.asked)
    at = Moment(bench, random.Random(how.seed))
    says.send(Said("opened", state=bench.state))
    if how.again is not None:
        tap(bench, how.again, says, asked)
    taps = 0
    while taps != how.closes_after:
        clocks.move(at.luck)
        tap(bench, next_deed(at, asked), says, asked)
        taps += 1
    says.send(Said("closing"))
    bench.close()
    says.send(Said("closed"))


def tap(bench: Bench, deed: Deed, says: Connection, asked: dict[str, int]) -> None:
    """Say what is to be tapped, tap it, and say how that ended."""
    clocks = bench.record.clocks
    assert isinstance(clocks, JumpingClocks)
    says.send(Said("will", deed, rehearse(bench, deed), hands=clocks.hands, asked=asked))
    try:
        deed.do(bench)
    except RecordingStopped:
        raise  # no disk is at fault here
    except KioskError as error:
        says.send(Said("refused", deed, state=bench.state, why=str(error)))
    else:
        says.send(Said("did", deed, state=bench.state))


shop_of_trials()  # before the walkers are forked
