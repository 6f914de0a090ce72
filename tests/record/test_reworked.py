"""What a rework, and a limit that leads back, leave standing: limits that run on, and what was done."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from kiosk.bench import Bench
from kiosk.record.apply import fold
from kiosk.record.rules import Refused
from kiosk.shop.procedure import StepRef
from kiosk.views.clocks import every_clock
from tests.conftest import SteadyClocks, local_time
from tests.driver import ACCEPTED, do_step
from tests.record.moments import step, with_steps

MARK = "NR-01"
BARE = {"what": "bare metal", "within": "2 h", "begin": "prime", "if_missed": "wash it", "back_to": "wash"}
POT = {"what": "pot life", "within": "1 h", "finish": "prime", "if_missed": "mix anew", "back_to": "mix"}
WASH, MIX, PRIME = (StepRef("rib-blank", one) for one in ("wash", "mix", "prime"))


@pytest.fixture
def clocks() -> SteadyClocks:
    return SteadyClocks(local_time(2027, 5, 6, 8))


@pytest.fixture
def washed(new_shop: Path, clocks: SteadyClocks) -> Iterator[Bench]:
    """A washed part, which is to be primed within two hours."""
    bench = Bench(new_shop, clocks)
    steps = step(id="degrease"), step(id="wash", waits=[BARE]), step(id="prime", stop="anywhere")
    bench.shop, _ = with_steps(bench.shop, "rib-blank", *steps)
    for _ in range(2):
        do_step(bench, [MARK])
    yield bench
    bench.close()


def minutes_left(bench: Bench) -> dict[str, int]:
    """By what it is, minutes left of what runs on the part; the fold of the record says the same."""
    assert fold(bench.record.journal.after(0)) == bench.state
    return {one.clock.what: round((one.left_s or 0) / 60) for one in every_clock(bench.context)}


def struck(bench: Bench, mark: str) -> int:
    """How many entries of the part's life do not stand any more."""
    return sum(one.what.struck for one in bench.life(mark))


def rework(bench: Bench, back_to: StepRef | None, **given: Any) -> None:
    bench.raise_snag(MARK, "dust on it", **given)
    (snag,) = bench.state.open_snags(MARK)
    bench.decide_snag(snag.id, "rework", "wipe it and go on", back_to, ACCEPTED)


@pytest.mark.parametrize("is_begun", [False, True])
def test_a_limit_runs_on_when_the_step_that_was_to_be_begun_is_reworked(
    washed: Bench, clocks: SteadyClocks, is_begun: bool
) -> None:
    """It was gone: ten hours later the primer went on metal that had been bare since, and nothing told."""
    clocks.go(30)
    work = washed.start([MARK], "rib-blank", "prime")
    if is_begun:
        washed.shop, _ = with_steps(
            washed.shop,
            "rib-blank",
            step(id="degrease"),
            step(id="wash", waits=[BARE]),
            step(id="prime", stop="anywhere", repeat={"times": "4", "of": "faces"}),
        )
        washed.count(work, MARK, 1)
    rework(washed, PRIME)
    assert minutes_left(washed) == {"bare metal": 90}
    clocks.go(600)
    with pytest.raises(Refused, match="bare metal"):
        washed.start([MARK], "rib-blank", "prime")
    washed.answer_clock([MARK], "wash it")
    where = washed.position(MARK)
    assert where.step is not None and where.step.id == "wash"


def test_a_limit_that_was_missed_is_missed_after_a_rework(washed: Bench, clocks: SteadyClocks) -> None:
    washed.pause(washed.start([MARK], "rib-blank", "prime"))
    clocks.go(300)
    rework(washed, PRIME)
    assert minutes_left(washed) == {"bare metal": -180}
    with pytest.raises(Refused, match="bare metal"):
        washed.start([MARK], "rib-blank", "prime")


def test_the_limit_of_a_step_that_is_to_do_again_ends_with_it(washed: Bench) -> None:
    washed.start([MARK], "rib-blank", "prime")
    rework(washed, WASH)
    assert not minutes_left(washed)


def test_taking_a_rework_back_takes_its_step_in_hand_again(washed: Bench) -> None:
    work = washed.start([MARK], "rib-blank", "prime")
    rework(washed, PRIME)
    assert work not in washed.state.works
    washed.undo(washed.undo_offer().entries[0].event)
    assert work in washed.state.works and not washed.state.part(MARK).clocks


def test_a_limit_runs_on_when_another_one_leads_back(new_shop: Path, clocks: SteadyClocks) -> None:
    """The pot ran out before the first coat, and the limit of the clean metal was gone with it."""
    bench = Bench(new_shop, clocks)
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="wash", waits=[{**BARE, "within": "8 h"}]),
        step(id="mix", waits=[POT]),
        step(id="prime", stop="anywhere"),
    )
    for _ in range(2):
        do_step(bench, [MARK])
    bench.pause(bench.start([MARK], "rib-blank", "prime"))
    clocks.go(90)
    bench.answer_clock([MARK], "mix anew")
    where = bench.position(MARK)
    assert where.step is not None and where.step.id == "mix"
    assert minutes_left(bench) == {"bare metal": 390}
    bench.close()


def test_a_rework_from_the_step_in_hand_loses_nothing_that_was_done(demo_shop: Path) -> None:
    """A repair, done since, counted as not done, and the look that it wanted was wanted no more."""
    shop_yaml = demo_shop / "shop.yaml"
    free = shop_yaml.read_text(encoding="utf-8").replace(", needs: {practice-panel: 1}", "")
    shop_yaml.write_text(free.replace(", made_from: [NR-01, FS-01]", ""), encoding="utf-8")
    clocks, mark = SteadyClocks(local_time(2027, 5, 6, 8)), "NJ-01"
    bench = Bench(demo_shop, clocks)
    row = step(id="lay-out-row"), step(id="rivet-row"), step(id="gauge-heads"), step(id="tag")
    bench.shop, _ = with_steps(bench.shop, "rib-to-spar", *row)
    bench.shop, _ = with_steps(bench.shop, "replace-rivet", step(id="ring-rivet", who="anyone"))
    bench.hand_over("wren")
    for _ in range(2):
        do_step(bench, [mark])

    def decide(back_to: StepRef) -> None:
        bench.raise_snag(mark, "head 3 is flat")
        (snag,) = bench.state.open_snags(mark)
        bench.decide_snag(snag.id, "rework", "the plans give it", back_to, ACCEPTED)

    decide(StepRef("replace-rivet", "ring-rivet"))
    bench.hand_over("odile")
    do_step(bench, [mark])
    bench.hand_over("wren")
    before, told = bench.state.part(mark), struck(bench, mark)
    assert before.wants_look and "ring-rivet" in before.passes["replace-rivet"]
    bench.start([mark], "rib-to-spar", "gauge-heads")
    decide(StepRef("rib-to-spar", "gauge-heads"))
    after = bench.state.part(mark)
    assert (after.passes, after.wants_look) == (before.passes, before.wants_look)
    assert struck(bench, mark) == told, "nor in the logbook"
    decide(StepRef("rib-to-spar", "rivet-row"))
    assert struck(bench, mark) > told
    bench.close()


def test_a_rework_with_nothing_to_do_again_is_refused(washed: Bench) -> None:
    """It let go of a part as using it as it is would, which wants the designer's answer."""
    with pytest.raises(Refused, match="has no record of prime"):
        rework(washed, PRIME)
    assert washed.state.open_snags(MARK)
