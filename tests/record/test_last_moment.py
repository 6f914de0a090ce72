"""The last moment before quiet hours at its edges: which minute it is, how far it is looked for, and what
bars it from being called out. What has to follow a step is put in by hand here."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from kiosk.bench import Bench
from kiosk.record import last_moment
from kiosk.record.belief import Doubt
from kiosk.record.last_moment import LOOKED_AHEAD_MINUTES, begin_step_by, quiet_hours_are_near
from kiosk.record.readiness import Block, BlockKind
from tests.conftest import SteadyClocks, local_time
from tests.views.test_runs_out_first import RIBS, THURSDAY, mixed

Told = Callable[..., list[Block]]


def at(hour: int, minute: int, second: int = 0) -> datetime:
    return local_time(*THURSDAY, hour, minute).replace(second=second)


def lost(since: datetime, until: datetime | None = None, kind: BlockKind = "quiet") -> Told:
    """What is told first from one moment on."""

    def told(then: Any, *_: object, **__: object) -> list[Block]:
        is_lost = since <= then.now and (until is None or then.now < until)
        return [Block(kind, "quiet hours")] if is_lost else []

    return told


def asked(bench: Bench, monkeypatch: pytest.MonkeyPatch, told: Told, *within: float) -> datetime | None:
    monkeypatch.setattr(last_moment, "told_first", told)
    where = bench.position("NR-01")
    assert where.procedure is not None and where.step is not None
    return begin_step_by(bench.context, RIBS, where.procedure, where.step, *within)


@pytest.fixture
def ribs(new_shop: Path) -> tuple[Bench, SteadyClocks]:
    bench, clocks = mixed(new_shop, (19, 10))
    clocks.go_to(at(19, 30, 20))
    return bench, clocks


@pytest.mark.parametrize(
    ("since", "found"),
    [
        (at(20, 5), at(20, 4)),
        (at(20, 5, 1), at(20, 5)),
        (at(20, 30), at(20, 29)),
        (at(20, 29, 59), at(20, 29)),
        (at(19, 31), at(19, 30)),  # the minute that has begun
        (at(19, 32), at(19, 31)),
        (at(19, 30, 20), None),  # by now
        (at(19, 30), None),
        (at(20, 30, 1), None),  # it never is before they begin
    ],
)
def test_it_is_the_last_whole_minute(
    ribs: tuple[Bench, SteadyClocks],
    monkeypatch: pytest.MonkeyPatch,
    since: datetime,
    found: datetime | None,
) -> None:
    assert asked(ribs[0], monkeypatch, lost(since)) == found


@pytest.mark.parametrize(
    ("since", "found"), [(at(19, 40), at(19, 39)), (at(19, 41), at(19, 40)), (at(19, 45), None)]
)
def test_it_is_looked_for_as_far_as_it_is_wanted(
    ribs: tuple[Bench, SteadyClocks],
    monkeypatch: pytest.MonkeyPatch,
    since: datetime,
    found: datetime | None,
) -> None:
    assert asked(ribs[0], monkeypatch, lost(since), 10) == found


def test_a_limit_that_comes_first_is_called_out_of_itself(
    ribs: tuple[Bench, SteadyClocks], monkeypatch: pytest.MonkeyPatch
) -> None:
    bench, _ = ribs
    assert asked(bench, monkeypatch, lost(at(20, 0), kind="limit")) is None
    assert asked(bench, monkeypatch, lost(at(20, 0), kind="person")) is None
    wipe = next(one for one in bench.state.part("NR-01").clocks if one.what == "last wipe")
    ends = wipe.until.astimezone(bench.now.tzinfo)  # within three hours, after quiet hours have begun
    assert ends > at(20, 30)


@pytest.mark.parametrize(("kind", "found"), [("within", None), ("must_pass", at(19, 54))])
def test_nothing_is_looked_for_past_a_limit_and_a_wait_is_none(
    ribs: tuple[Bench, SteadyClocks], monkeypatch: pytest.MonkeyPatch, kind: str, found: datetime | None
) -> None:
    bench, _ = ribs
    clock = next(one for one in bench.state.part("NR-01").clocks if one.what == "last wipe")
    short = clock.__class__(**{**clock.__dict__, "kind": kind, "until": at(19, 50), "boot": ""})
    over = clock.__class__(**{**clock.__dict__, "until": at(19, 0), "boot": ""})
    monkeypatch.setattr(last_moment, "clocks_on", lambda *_: [over, short])
    assert asked(bench, monkeypatch, lost(at(19, 55))) == found


@pytest.mark.parametrize(("ends", "found"), [("22:29", at(19, 39)), ("23:30", None)])
def test_short_quiet_hours_are_looked_through_minute_by_minute(
    new_shop: Path, monkeypatch: pytest.MonkeyPatch, ends: str, found: datetime | None
) -> None:
    """What is begun later may come after them; of long ones whatever is lost stays so."""
    path = new_shop / "shop.yaml"
    text = path.read_text(encoding="utf-8").replace(
        'start: "20:30", end: "08:00"', f'start: "20:30", end: "{ends}"'
    )
    path.write_text(text, encoding="utf-8")
    bench, clocks = mixed(new_shop, (19, 10))
    clocks.go_to(at(19, 30))
    assert asked(bench, monkeypatch, lost(at(19, 40), at(19, 42))) == found
    bench.close()


def test_quiet_hours_are_near_three_hours_before_them_and_not_within(new_shop: Path) -> None:
    clocks = SteadyClocks(at(12, 0))
    bench = Bench(new_shop, clocks)
    before = timedelta(minutes=LOOKED_AHEAD_MINUTES)
    for moment, near in (
        (at(20, 30) - before - timedelta(seconds=1), False),
        (at(20, 30) - before, True),
        (at(20, 29, 59), True),
        (at(20, 30), False),
        (at(23, 0), False),
    ):
        clocks.go_to(moment)
        assert quiet_hours_are_near(bench.context) is near, moment
    clocks.go_to(at(20, 0) + timedelta(days=7))
    assert quiet_hours_are_near(bench.context)
    doubted = replace(bench.context, doubt=Doubt("changed", bench.now, None))
    assert not quiet_hours_are_near(doubted)  # nobody knows what time it is
    bench.close()


@pytest.mark.parametrize(
    ("stop", "bars"),
    [
        (Block("wait", "drying", at(20, 0)), False),
        (Block("wait", "drying", at(20, 1)), True),
        (Block("wait", "drying"), True),
        (Block("person", "for the builder"), False),
        (Block("room", "Pip is in the room"), False),
        (Block("room air", "read the room"), False),
        (Block("tool", "the gun is gone"), True),
        (Block("snag", "split"), True),
    ],
)
def test_what_bars_it_from_being_called_out(stop: Block, bars: bool) -> None:
    assert last_moment._stops_for_itself(stop, at(20, 0)) is bars
