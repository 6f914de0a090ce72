"""Clocks on the wall: live on the card, called out over every screen and dialog, rung; and what is asked."""

from datetime import timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.events import ClockAnswered
from kiosk.screens.app import KioskApp
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.strip import Strip
from tests.conftest import SteadyClocks
from tests.driver import foot_text, press, screen_text, settled, with_app
from tests.record.moments import step, with_steps
from tests.screens.moment import NOW

SHORT = {"what": "glue", "within": "90 s", "finish": "b", "if_missed": "Scrape it off.", "back_to": "a"}


def prepared(shop: Path, clocks: SteadyClocks, wait: dict[str, str]) -> None:
    """A part whose first step is done and set a clock."""
    text = (shop / "shop.yaml").read_text(encoding="utf-8")
    (shop / "shop.yaml").write_text(
        text.replace("procedure: form-block", "procedure: tried"), encoding="utf-8"
    )
    waits = "\n".join(f"        {name}: {value}" for name, value in wait.items()).replace(
        "        ", "      - ", 1
    )
    (shop / "procedures").mkdir(exist_ok=True)
    (shop / "procedures" / "tried.yaml").write_text(
        f"""id: tried
title: Tried
revision: "1"
revised: 2026-11-25
reason: to try it
sources: [common practice]
steps:
  - id: a
    do: Spread the glue.
    who: anyone
    minutes: {{each: 1}}
    checks:
      - {{id: wet, kind: yes_no, ask: "Is it wet?"}}
    waits:
{waits}
  - id: b
    do: Clamp the block.
    who: anyone
    minutes: {{each: 1}}
    checks:
      - {{id: tight, kind: yes_no, ask: "Is it tight?"}}
  - id: c
    do: Clean the block.
    who: anyone
    minutes: {{each: 1}}
""",
        encoding="utf-8",
    )
    bench = Bench(shop, clocks)
    work = bench.start(["FB-NR"], "tried", "a")
    bench.answer(work, "FB-NR", "wet", "yes")
    bench.finish(work, "FB-NR")
    bench.close()


async def look(app: KioskApp, pilot: Pilot[None]) -> str:
    """The screen after one more poll."""
    app.screen.query_one(Strip).look()
    tick = getattr(app.screen, "tick", None)
    if tick is not None:
        tick()
    await settled(app, pilot)
    return "\n".join(screen_text(app))


@pytest.fixture
def rung(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    found: list[str] = []
    monkeypatch.setattr(KioskApp, "bell", lambda self: found.append("ding"))
    return found


def test_a_limit_runs_on_the_card_and_is_called_out_and_rung(new_shop: Path, rung: list[str]) -> None:
    clocks = SteadyClocks()
    prepared(new_shop, clocks, SHORT)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        text = await look(app, pilot)
        assert "FINISH WITHIN 90 s: FB-NR, glue" in text and "BEGIN THIS STEP" in text
        assert rung == []
        clocks.go(0.501)
        text = await look(app, pilot)
        assert "FINISH WITHIN 59 s" in text  # 59.94: never more than is left
        assert "FINISH NOW, 59 s left: FB-NR, glue" in text and rung == ["ding"]
        await press(app, pilot, "enter")
        assert "FINISH WITHIN 59 s" in await look(app, pilot)  # on the walk too
        await press(app, pilot, "f5")
        assert isinstance(app.screen, ChoiceScreen)
        clocks.go(1)
        text = await look(app, pilot)
        assert "TOO LATE since" in text and rung == ["ding", "ding"]  # over a dialog too
        await press(app, pilot, "escape")
        text = await look(app, pilot)
        assert "TIME RAN OUT" in text and "DONE" not in text.replace("NOT DONE", "")

    with_app(new_shop, walk, clocks=clocks)


def test_a_missed_limit_is_answered_by_what_was_chosen_and_goes_back(new_shop: Path, rung: list[str]) -> None:
    clocks = SteadyClocks()
    prepared(new_shop, clocks, SHORT)
    clocks.go(2)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter")  # the card, the part
        assert "SAY WHAT WAS DONE" in "\n".join(screen_text(app)) or isinstance(app.screen, ChoiceScreen)
        while not isinstance(app.screen, ChoiceScreen):
            await press(app, pilot, "enter")
        before = app.bench.state.seq
        await press(app, pilot, "enter", "enter")  # nothing is preselected: nothing is recorded
        assert app.bench.state.seq == before and isinstance(app.screen, ChoiceScreen)
        await press(app, pilot, "down", "enter")
        (answered,) = [
            event.body for event in app.bench.record.journal.after(0) if isinstance(event.body, ClockAnswered)
        ]
        assert isinstance(answered, ClockAnswered)
        assert (answered.what, answered.did, answered.back_to_step) == ("glue", "Scrape it off.", "a")
        assert answered.until is not None
        where = app.bench.position("FB-NR")
        assert where.step is not None and where.step.id == "a"
        assert app.bench.state.part("FB-NR").clocks == ()

    with_app(new_shop, walk, clocks=clocks)


def test_a_step_paused_at_once_is_too_late_as_one_that_was_not_begun(new_shop: Path, rung: list[str]) -> None:
    clocks = SteadyClocks()
    prepared(new_shop, clocks, {**{k: v for k, v in SHORT.items() if k != "finish"}, "begin": "b"})

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter")
        assert "WITHIN" not in await look(app, pilot), "it was begun in time"
        await press(app, pilot, "f12")
        assert "USE WITHIN 90 s: FB-NR, glue" in await look(app, pilot)
        clocks.go(2)
        text = await look(app, pilot)
        assert "NOT NOW: glue ran out" in text and "TIME RAN OUT" in text and "CARRY ON" not in text
        assert rung == ["ding"]
        await press(app, pilot, "enter")
        assert "SAY WHAT WAS DONE" in "\n".join(screen_text(app))
        await press(app, pilot, "enter")
        text = "\n".join(screen_text(app))
        assert "Scrape it off." in text and "Begun in time" in text
        await press(app, pilot, "down", "enter")
        where = app.bench.position("FB-NR")
        assert where.step is not None and where.step.id == "a" and not app.bench.state.works

    with_app(new_shop, walk, clocks=clocks)


def test_a_limit_with_no_step_to_go_back_to_is_answered_in_words_and_runs_anew(
    new_shop: Path, rung: list[str]
) -> None:
    clocks = SteadyClocks()
    prepared(new_shop, clocks, {name: value for name, value in SHORT.items() if name != "back_to"})
    clocks.go(2)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter")
        while not isinstance(app.screen, ChoiceScreen):
            await press(app, pilot, "enter")
        await press(app, pilot, "enter")
        assert isinstance(app.screen, ChoiceScreen)
        await press(app, pilot, *"fresh glue", "enter")
        (clock,) = app.bench.state.part("FB-NR").clocks
        assert clock.set_s == clocks.monotonic_s() and clock.minutes == 1.5
        answered = app.bench.record.journal.after(0)[-1].body
        assert isinstance(answered, ClockAnswered) and answered.did == "fresh glue"

    with_app(new_shop, walk, clocks=clocks)


def test_an_ended_wait_rings_and_goes_from_the_card_at_once(new_shop: Path, rung: list[str]) -> None:
    clocks = SteadyClocks()
    prepared(new_shop, clocks, {"what": "glue", "must_pass": "10 min", "before": "b"})

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert "WAIT 10 min, until 12:10: FB-NR, glue" in await look(app, pilot)
        clocks.go(9.5)
        assert "WAIT 30 s: FB-NR, glue" in await look(app, pilot)
        assert rung == []
        clocks.go(0.6)
        text = await look(app, pilot)
        assert "WAIT 30 s" not in text and "THE WAIT IS OVER: FB-NR, glue" in text
        assert "BEGIN THIS STEP" in text and rung == ["ding"]
        clocks.go(6)
        assert "THE WAIT IS OVER" not in await look(app, pilot) and rung == ["ding"]

    with_app(new_shop, walk, clocks=clocks)


def test_a_clock_that_jumps_is_asked_about_once_and_the_answer_recorded(
    new_shop: Path, rung: list[str]
) -> None:
    clocks = SteadyClocks()
    prepared(new_shop, clocks, {"what": "glue", "must_pass": "300 min", "before": "b"})
    clocks.at += timedelta(days=3653)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        text = await look(app, pilot)
        assert isinstance(app.screen, ChoiceScreen)
        assert "The clock says Sat 08 May 2037" in text or "2037" in text
        assert "The last entry was" in text and "THE CLOCK IS NOT BELIEVED" in text
        before = app.bench.state.seq
        await press(app, pilot, "enter", "enter")
        assert app.bench.state.seq == before  # nothing is preselected
        await press(app, pilot, "down", "down", "enter")
        marked = app.bench.record.journal.after(0)[-1].body
        assert marked.kind == "clock_marked" and not marked.right
        assert not isinstance(app.screen, ChoiceScreen)
        text = await look(app, pilot)
        assert not isinstance(app.screen, ChoiceScreen) and "WAIT 5.0 h: FB-NR, glue" in text
        clocks.at -= timedelta(days=3653)
        await look(app, pilot)
        assert isinstance(app.screen, ChoiceScreen)  # it was set: asked again
        await press(app, pilot, "down", "enter")
        assert app.bench.context.doubt is None

    with_app(new_shop, walk, clocks=clocks)


def test_what_spoils_comes_before_a_step_left_unknown(new_shop: Path, rung: list[str]) -> None:
    clocks = SteadyClocks()
    prepared(new_shop, clocks, {**SHORT, "within": "30 min"})
    bench = Bench(new_shop, clocks, watch=True)
    bench.start(["BR-01"], *(_next(bench, "BR-01")))
    bench.record.close()  # the power went
    assert bench.presence is not None
    bench.presence.close()
    clocks.go(1)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert [work.status for work in app.bench.state.works.values()] == ["unknown"]
        card = app.bench.place_card()
        assert card.marks == ("FB-NR",) and card.action == "begin" and card.do == "Clamp the block."
        clocks.go(60)
        assert app.bench.place_card().standing == "STARTED, UNKNOWN"

    with_app(new_shop, walk, clocks=clocks)


def _next(bench: Bench, mark: str) -> tuple[str, str]:
    where = bench.position(mark)
    assert where.procedure is not None and where.step is not None
    return where.procedure.id, where.step.id


def test_a_step_with_a_wait_after_it_never_says_do_not_stop_here(bench: Bench, clocks: SteadyClocks) -> None:
    wait = {"what": "stand", "must_pass": "90 min", "before": "spray"}
    steps = (
        step(id="mix", stop="go straight on", waits=[wait]),
        step(id="spray", do="Spray it", stop="only when finished"),
    )
    bench.shop, _ = with_steps(bench.shop, "form-block", *steps)
    work = bench.start(["FB-NR"], "form-block", "mix")
    assert bench.step_view(work).stop.startswith("Stay near")
    bench.finish(work, "FB-NR")
    view = bench.close_up_view()
    assert view.must_not == ("FB-NR cannot be left: when the wait is over, at once: Spray it",)
    assert not any("cannot wait" in text for text in view.must_not)
    clocks.go(91)
    assert bench.close_up_view().must_not == ("FB-NR cannot wait. Next: Spray it",)


@pytest.mark.parametrize("answer", [("down", "enter"), ("down", "down", "enter")], ids=["right", "wrong"])
def test_a_clock_that_is_set_while_it_is_asked_about_is_asked_about_again(
    new_shop: Path, answer: tuple[str, ...]
) -> None:
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.note("begun")
        await _set(app, pilot, clocks, timedelta(days=-3))
        assert "The clock says Wed 05 May 2027" in _shown(app)
        clocks.at -= timedelta(days=30)  # the question stands as it was asked
        before = app.bench.state.seq
        await press(app, pilot, *answer)
        assert "set to another time meanwhile" in foot_text(app) and app.bench.state.seq == before
        await _set(app, pilot, clocks, timedelta(0))
        assert "The clock says Mon 05 Apr 2027" in _shown(app)
        await press(app, pilot, *answer)
        assert app.bench.state.seq > before

    with_app(new_shop, walk, (80, 24), clocks)


async def _set(app: KioskApp, pilot: Pilot[None], clocks: SteadyClocks, by: timedelta) -> None:
    clocks.at += by
    app.called_out(80)
    await settled(app, pilot)


def _shown(app: KioskApp) -> str:
    return " ".join("\n".join(screen_text(app)).split())
