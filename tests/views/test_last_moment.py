"""Until when something can be begun, or has to be ended, before quiet hours: on the card and on the strip."""

import re
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.record.last_moment import LastMoments
from kiosk.views.alarms import alarms
from tests.conftest import SteadyClocks, local_time
from tests.driver import do_step
from tests.views.test_runs_out_first import RIBS, THURSDAY, mixed

SAYS = re.compile(r"(BEGIN|END IT|END) BY (\d\d):(\d\d)\b")


def go_to(clocks: SteadyClocks, said: str, minutes_before: float) -> None:
    """So many minutes before the time that is said."""
    found = SAYS.search(said)
    assert found is not None, said
    last = local_time(*THURSDAY, int(found[2]), int(found[3]))
    clocks.go((last - clocks.at).total_seconds() / 60 - minutes_before)


def called(bench: Bench) -> list[tuple[str, str]]:
    return [(one.level, one.words) for one in alarms(bench.context) if "quiet hours" in one.words]


def test_ten_minutes_before_it_is_too_late_to_begin_it_is_called_out(new_shop: Path) -> None:
    """The card alone said so, to who stood in front of it: a mix of four and a half hours was lost at half
    past eight, and nothing rang."""
    bench, clocks = mixed(new_shop, (19, 30))
    by = bench.place_card().begin_by
    go_to(clocks, by, 10.5)
    assert called(bench) == []
    clocks.go(1)
    ((level, words),) = called(bench)
    assert level == "near" and words.startswith(by[: len("BEGIN BY 20:00")])
    assert words.endswith(", or quiet hours come first: NR-01, NR-02: Try it")
    clocks.go(9)
    assert called(bench) == [("last minute", words)]
    clocks.go(2)
    assert called(bench) == []  # it is lost, which the card says with what becomes of it
    assert bench.place_card().could_not_follow
    bench.close()


def test_what_is_in_hand_says_by_when_it_has_to_be_ended(new_shop: Path) -> None:
    bench, clocks = mixed(new_shop, (19, 30))
    begin = bench.place_card().begin_by
    work = bench.start(list(RIBS), "rib-blank", "strain")
    card = bench.place_card()
    assert SAYS.match(card.begin_by) and card.begin_by.startswith("END IT BY ")
    go_to(clocks, begin, 0)  # a minute of straining is over by now, and one more can pass
    go_to(clocks, bench.place_card().begin_by, 4)
    ((level, words),) = called(bench)
    assert level == "near" and words.startswith("END BY ") and "NR-01, NR-02" in words
    assert not bench.could_not_follow(work)
    go_to(clocks, words, -1)
    bench.pause(work)
    assert bench.could_not_follow(work) and called(bench) == []
    bench.close()


def test_the_bell_rings_once_for_it_and_once_for_its_last_minute(new_shop: Path) -> None:
    bench, clocks = mixed(new_shop, (19, 30))
    go_to(clocks, bench.place_card().begin_by, 10)
    rung = set()
    for _ in range(22):
        rung |= {(one.about, one.level) for one in alarms(bench.context) if "quiet hours" in one.words}
        clocks.go(0.5)
    assert sorted(level for _, level in rung) == ["last minute", "near"]
    bench.close()


@pytest.mark.parametrize("at", [(15, 0), (20, 20)])
def test_far_from_quiet_hours_and_too_late_nothing_is_called_out(new_shop: Path, at: tuple[int, int]) -> None:
    bench, _ = mixed(new_shop, at)
    assert called(bench) == []
    bench.close()


def test_what_is_held_is_not_called_out(new_shop: Path) -> None:
    bench, clocks = mixed(new_shop, (19, 30))
    go_to(clocks, bench.place_card().begin_by, 5)
    assert called(bench)
    for mark in RIBS:
        bench.raise_snag(mark, "a scratch")
    assert called(bench) == []
    bench.close()


def test_it_is_asked_anew_with_each_entry_and_each_minute_alone(
    new_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The strip looks more than twice a second."""
    bench, clocks = mixed(new_shop, (19, 30))
    asked: list[int] = []
    found = LastMoments.of
    monkeypatch.setattr("kiosk.record.last_moment.begin_by", lambda *_: asked.append(1))
    kept = LastMoments()
    for _ in range(50):
        found(kept, bench.context)
    assert len(asked) == 1
    clocks.go(1)
    found(kept, bench.context)
    assert len(asked) == 2
    do_step(bench, list(RIBS))
    found(kept, bench.context)
    assert len(asked) > 2
    bench.close()
