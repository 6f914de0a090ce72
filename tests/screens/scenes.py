"""The scenes of which pictures are kept: every screen and dialog, reached by keys.

Clock, date and time zone are fixed, so a picture is the same at any hour in any place.
"""

from __future__ import annotations

import asyncio
import contextlib
import shutil
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Literal

from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.events import ClockSet, StepFinished
from kiosk.record.rules import NotAllowed
from kiosk.record.stopped import RecordingStopped
from kiosk.screens.app import KioskApp
from kiosk.shop.data import data_folder
from tests.conftest import SteadyClocks
from tests.driver import TapsClock, do_step, press, running, screen_text, settled
from tests.record.test_trials import go_to_trial, measure
from tests.screens.moment import NOW

CAUTIONS = (
    "The offcut is hot and sharp. Let it lie until the cutter stands still, then lift it with pliers.",
    "A second clamp goes on before the first is moved. A sheet with one clamp turns about it.",
    "Long sleeves and cords are caught before they are felt. Tie them, or take them off.",
    "The cord lies behind you and over the shoulder, never across the bench in front of the cutter.",
)
DOWN_ENTER = ("down", "enter")
SIZES = ((64, 20), (80, 24), (120, 36))
GREAT = (160, 50)

CARRY_ON = ("enter", "enter")  # and the cautions are read
ALL_FLUTES = (*CARRY_ON, *["enter"] * 4)


@dataclass(frozen=True)
class Scene:
    """How to get there: what is done on the bench before, the keys, and what befalls then."""

    name: str
    keys: tuple[str, ...] = ()
    before: Callable[[Bench], None] | None = None
    then: Callable[[KioskApp], None] | None = None
    plotted: bool = False  # drawn to the size of the screen when it is opened
    great: bool = False  # looks otherwise on a great screen, and has a picture of that too
    wall: bool = False  # as it hangs on the wall

    @property
    def sizes(self) -> tuple[tuple[int, int], ...]:
        """The sizes at which its picture is kept."""
        return (*SIZES, GREAT) if self.great else SIZES


def _ribs_at(step: str) -> Callable[[Bench], None]:
    """Three ribs walked together up to a step, which is in hand with its cautions read."""

    def before(bench: Bench) -> None:
        ribs = ["NR-10", "NR-11", "NR-12"]
        while (where := bench.position(ribs[0])).step is not None and where.step.id != step:
            do_step(bench, ribs)
        assert where.procedure is not None
        work = bench.begin_batch(ribs, where.procedure.id, step)
        bench.acknowledge(work)
        bench.pause(work)
        bench.close_sitting("")

    return before


def _leave_running(bench: Bench) -> None:
    """A power cut in the middle of a step."""
    (work,) = bench.state.works
    bench.take_up(work)
    bench.acknowledge(work)
    bench.count(work, "NR-03", 7)


def _helpers_come(bench: Bench) -> None:
    """Both helpers are at the bench, and stay."""
    bench.come("pip")
    bench.come("odile")


def _asked(bench: Bench) -> None:
    """Something was asked for first, something not today, and a helper asked as well."""
    bench.come("pip")
    bench.hand_over("pip")
    bench.ask_first("NR-01")
    bench.hand_over("wren")
    bench.ask_first("NR-07")
    bench.ask_not_today(part_kind="main-rib")
    bench.leave("pip")
    bench.close_sitting("")


def _spread_glue(bench: Bench) -> None:
    """A step under way that may not be left so."""
    for step, check, figure in (
        ("measure-pattern", "bar", "10"),
        ("check-inset", "inset", "yes"),
        ("measure-across", "bar", "7"),
        ("join-tiles", "off", "0"),
    ):
        work = bench.start(["FB-TR"], "form-block", step)
        bench.acknowledge(work)
        bench.answer(work, "FB-TR", check, figure)
        bench.finish(work, "FB-TR")
    bench.start(["FB-TR"], "form-block", "glue-pattern")
    bench.close_sitting("")


def _helper_comes(bench: Bench) -> None:
    """A helper came to the bench and did a step, which the builder is to look over."""
    bench.hand_over("odile")
    work = bench.start(["FB-TR"], "form-block", "measure-pattern")
    bench.acknowledge(work)
    bench.answer(work, "FB-TR", "bar", "10")
    bench.finish(work, "FB-TR")
    bench.hand_over("wren")
    bench.close_sitting("")


def _glue_dries(bench: Bench) -> None:
    """A wait of half an hour begins."""
    _spread_glue(bench)
    work = bench.state.part("FB-TR").work
    assert work is not None
    bench.take_up(work)
    bench.acknowledge(work)
    bench.answer(work, "FB-TR", "flat", "yes")
    bench.finish(work, "FB-TR")
    bench.close_sitting("")


def _own_step(bench: Bench, more: str) -> None:
    """This shop's own second step of a form block, with more written on it; FB-TR stands there."""
    shipped = data_folder("procedures") / "tooling" / "form-block.yaml"
    text = shipped.read_text(encoding="utf-8")
    head = "  - id: check-inset\n"
    own = text.replace(head, f"{head}{more}")
    assert own != text
    (bench.shop.folder / "procedures" / "form-block.yaml").write_text(own, encoding="utf-8")
    work = bench.start(["FB-TR"], "form-block", "measure-pattern")
    bench.acknowledge(work)
    bench.answer(work, "FB-TR", "bar", "10")
    bench.finish(work, "FB-TR")
    bench.close_sitting("")


def _limit_runs(
    minutes: float,
    mark: str = "NR-07",
    what: str = "degreased face",
    kind: Literal["within", "must_pass"] = "within",
    before_step: str = "mark-blank",
    after_step: str = "choose-sheet",
) -> Callable[[Bench], None]:
    """A limit of so many minutes begins on a part, or a wait."""

    def before(bench: Bench) -> None:
        clock = ClockSet(
            what=what,
            kind=kind,
            minutes=minutes,
            until=bench.now + timedelta(minutes=minutes),
            procedure="rib-blank",
            step=before_step,
            if_missed="Wipe it again with a fresh cloth.",
            ends="finish",
            boot=bench.record.boot,
            set_s=bench.record.clocks.monotonic_s(),
            back_to="choose-sheet",
        )
        done = StepFinished(
            work=f"before {mark}",
            marks=(mark,),
            procedure="rib-blank",
            revision="1",
            step=after_step,
            clocks=(clock,),
        )
        bench.record.transact(lambda _: [done], by="wren", tap=None)

    return before


def _waits_to_be_set_up_for(bench: Bench) -> None:
    """What was asked for waits, and its next step is set up for meanwhile."""
    do_step(bench, ["NR-08"])
    wait = _limit_runs(
        45,
        "NR-08",
        "marking ink drying",
        "must_pass",
        before_step="tooling-holes",
        after_step="transfer-marking",
    )
    wait(bench)
    bench.ask_first("NR-08")
    bench.close_sitting("")


def _limits_run(bench: Bench) -> None:
    """Glue dries, and a limit runs meanwhile."""
    _glue_dries(bench)
    _limit_runs(90)(bench)


def _clocks_run(bench: Bench) -> None:
    """A limit runs that is far, and a wait that ends before it."""
    _limit_runs(120)(bench)
    _limit_runs(42.5, "NR-08", "marking ink drying", kind="must_pass")(bench)


def _clocks_of(bench: Bench) -> SteadyClocks:
    clocks = bench.record.clocks
    assert isinstance(clocks, SteadyClocks)
    return clocks


def _primed_to(bench: Bench, last: str) -> None:
    """A deburred rib goes on to a step of its priming."""
    while (where := bench.position("NR-01").step) is not None and where.id != last:
        waits = [one.until for one in bench.state.part("NR-01").clocks if one.kind == "must_pass"]
        _clocks_of(bench).go_to(max([bench.now, *waits]))
        do_step(bench, ["NR-01"])


def _mixed_before_quiet(bench: Bench, mixed: datetime, left: datetime) -> None:
    """Primer is mixed in the last hours before quiet hours, and nobody is there until so late."""
    _clocks_of(bench).go_to(NOW.replace(hour=20, minute=30))
    _primed_to(bench, "mix")
    _clocks_of(bench).go_to(mixed)
    do_step(bench, ["NR-01"])
    bench.close_sitting("")
    _clocks_of(bench).go_to(left)


def _mixed_late(bench: Bench) -> None:
    """Primer is mixed an hour before quiet hours, and nobody sprays it until a few minutes before them."""
    _mixed_before_quiet(bench, NOW.replace(hour=21, minute=0), NOW.replace(hour=21, minute=25))


def _mixed_in_time(bench: Bench) -> None:
    """Primer is mixed, and what is left of the evening is just enough to spray it."""
    _mixed_before_quiet(bench, NOW.replace(hour=20, minute=50), NOW.replace(hour=21, minute=13))


def _mixed_into_quiet(bench: Bench) -> None:
    """The same, and the quiet hours have begun."""
    _mixed_late(bench)
    _clocks_of(bench).go(10)


def _one_strip(bench: Bench) -> None:
    """A trial with the first of its strips measured."""
    bench.mark_clock(right=True)
    measure(bench, go_to_trial(bench, "FS-01"), "FS-01", 1.89, leg="1.0077")
    bench.close_sitting("")


def _mixed_for_old_metal(bench: Bench) -> None:
    """Primer is mixed, and then the metal that it is for was washed too long ago."""
    _primed_to(bench, "mix")
    clean = next(one for one in bench.state.part("NR-01").clocks if one.kind == "within")
    _clocks_of(bench).go_to(clean.until - timedelta(minutes=5))
    do_step(bench, ["NR-01"])
    bench.close_sitting("")


def _mix_left(bench: Bench) -> None:
    """The metal went back to be washed again, and what was mixed for it still stands."""
    _mixed_for_old_metal(bench)
    _clocks_of(bench).go(6)
    asked = bench.missed_limit("NR-01")
    assert asked is not None
    bench.answer_clock(asked.marks, asked.if_missed)
    bench.close_sitting("")


def _clock_is_set(bench: Bench) -> None:
    """Somebody sets the wall clock ten years ahead."""
    bench.note("so far")
    _clocks_of(bench).at += timedelta(days=3653)


def _tool_is_gone(bench: Bench) -> None:
    """The pliers of the step that stands paused were lent out."""
    path = bench.shop.folder / "shop.yaml"
    text = path.read_text(encoding="utf-8")
    own = text.replace("name: fluting pliers}", "name: fluting pliers, have: 0}")
    assert own != text
    path.write_text(own, encoding="utf-8")


def _second_look_wanted(bench: Bench) -> None:
    _own_step(bench, "    hold_point: yes\n")


def _many_cautions(bench: Bench) -> None:
    own = "".join(f"      - {text}\n" for text in CAUTIONS)
    _own_step(bench, f"    hazards: [ROUTER, AL_DUST, EYES]\n    cautions:\n{own}")


def _guarded(bench: Bench) -> None:
    """The builder has a PIN, and somebody has tried it."""
    bench.set_pin("wren", "", "2468")
    for _ in range(2):
        with contextlib.suppress(NotAllowed):
            bench.hand_over("wren", "1357")


def _left_half_typed(bench: Bench) -> None:
    """Words of a screen that lives no more."""
    bench.type_words("snag/NR-03", "dent by the third rivet")
    bench.type_words("close-up", "Two clamps on the fro")


def _recording_stops(app: KioskApp) -> None:
    app.recording_stopped(RecordingStopped("the disk is full", "make room on it"))


SCENES = (
    Scene("place", great=True),
    Scene("place-after-power-cut", before=_leave_running),
    Scene("place-wait-over", before=_glue_dries),
    Scene("place-limit-near", before=_limit_runs(31.5), great=True),
    Scene("place-clocks", before=_clocks_run, great=True),
    Scene("place-runs-out-first", before=_mixed_late, great=True),
    Scene("place-begin-by", before=_mixed_in_time, great=True),
    Scene("place-still-stands", before=_mix_left, great=True),
    Scene("place-tool-missing", before=_tool_is_gone),
    Scene("tool-missing-dialog", ("enter",), before=_tool_is_gone),
    Scene("step-tool-missing", ("enter", "down", *DOWN_ENTER, "enter"), before=_tool_is_gone),
    Scene("place-of-another", ("enter", "enter", "f4", *DOWN_ENTER, "down", "f7", "f1")),
    Scene("part-too-late", (*"NR-07", "enter"), before=_limit_runs(20)),
    Scene("limit-dialog", (*"NR-07", "enter", "enter"), before=_limit_runs(20)),
    Scene("limit-stands-too", (*"NR-01", "enter", "enter"), before=_mixed_for_old_metal),
    Scene("clock-dialog", before=_clock_is_set),
    Scene("power-cut-dialog", ("enter",), before=_leave_running),
    Scene("not-so-dialog", ("f7",)),
    Scene("cautions", ("enter",), great=True),
    Scene("step-counting", CARRY_ON, great=True),
    Scene("drawing", (*CARRY_ON, "right")),
    Scene("step-measuring", ALL_FLUTES),
    Scene("step-half-typed", (*ALL_FLUTES, *"1/6")),
    Scene("step-out-of-limits", (*ALL_FLUTES, *"1/8", "enter")),
    Scene("step-yes-no", (*"MR-01", "enter", "enter", "enter")),
    Scene("step-of-all", (*"NR-10", "enter", "enter", "enter"), before=_ribs_at("cut-blank")),
    Scene("all-dialog", (*"NR-10", "enter", "enter", "enter", "right"), before=_ribs_at("cut-blank")),
    Scene(
        "all-counted-dialog", (*"NR-10", "enter", "enter", "enter", "up"), before=_ribs_at("tooling-holes")
    ),
    Scene("step-lot", (*"NR-07", "enter", "right", "right", "enter", "enter")),
    Scene("lot-dialog", (*"NR-07", "enter", "enter", "enter", "enter")),
    Scene("keypad", (*ALL_FLUTES, "f8", "1", "/")),
    Scene("working", (*CARRY_ON, "f9")),
    Scene("piece-dialog", (*CARRY_ON, "f7")),
    Scene("undo-dialog", (*CARRY_ON, "enter", "f6")),
    Scene("snag-dialog", ("f5", *"Den")),
    Scene("snag-left-dialog", ("f5",), before=_left_half_typed),
    Scene("part", (*"NR-07", "enter"), great=True),
    Scene("part-held", (*"NR-06", "enter")),
    Scene("part-complete", (*"FB-NR", "enter")),
    Scene("part-to-look-over", (*"FB-TR", "enter"), before=_helper_comes),
    Scene("decide-snag-dialog", (*"NR-06", "enter", "enter")),
    Scene("snag-answer-dialog", (*"NR-06", "enter", "enter", *DOWN_ENTER, *DOWN_ENTER)),
    Scene("decision-once-more", (*"NR-06", "enter", "enter", "down", "down", *DOWN_ENTER * 3)),
    Scene(
        "second-look-dialog",
        ("f4", "down", "down", "enter", "f1", *"FB-TR", "enter", "enter"),
        before=_second_look_wanted,
    ),
    Scene("cautions-paged", (*"FB-TR", "enter", "enter"), before=_many_cautions),
    Scene("place-guarded", before=_guarded),
    Scene("pin-dialog", ("f4", "enter", *"24"), before=_guarded),
    Scene("life", (*"FB-NR", "enter", "f8", "right")),
    Scene("correct-step-dialog", (*"FB-NR", "enter", "f7", *["down"] * 5, "enter")),
    Scene("correct-what-dialog", (*"FB-NR", "enter", "f7", *["down"] * 5, "enter", *["down"] * 5, "enter")),
    Scene("look-over-dialog", (*"FB-TR", "enter", "enter"), before=_helper_comes),
    Scene("other-dialog", (*"NR-07", "enter", "f7")),
    Scene("rib", (*"NR-07", "enter", "f7", "enter"), plotted=True),
    Scene("board", ("f3",), great=True),
    Scene("board-held", ("f3", "f8")),
    Scene("minutes", ("f2",), great=True),
    Scene("minutes-typed", ("f2", "2", "5")),
    Scene("minutes-few", ("f2", "3", "enter")),
    Scene("minutes-in-hand", (*"DS-10", "enter", "enter", "enter", "f2")),
    Scene("minutes-tool-missing", ("f2", "1", "5", "enter", "right", "right"), before=_tool_is_gone),
    Scene("minutes-set-up", ("f2", "6", "0", "enter"), before=_waits_to_be_set_up_for),
    Scene("minutes-runs-out-first", ("f2", "2", "0", "enter", "right"), before=_mixed_into_quiet),
    Scene("minutes-asked", ("f2", "3", "0", "enter"), before=_asked),
    Scene("minutes-helpers", ("f2", "6", "0", "enter", "right"), before=_helpers_come, great=True),
    Scene("ask-dialog", ("f2", "3", "0", "enter", "f12"), before=_asked),
    Scene("people", ("f4",), before=_helper_comes),
    Scene("numbers", ("f9",)),
    Scene("number-dialog", ("f9", *["down"] * 3, "enter", *".064", "enter")),
    Scene(
        "number-worked",
        ("f9", *["down"] * 3, "enter", *".064", "enter", *"1/4", "enter", *"45", "enter", "enter"),
    ),
    Scene("trial-end-dialog", ("enter", "enter", "f8"), before=_one_strip),
    Scene("stock", ("f11",)),
    Scene("stock-dialog", ("f11", "down", "enter", *"1.2")),
    Scene("forecast", ("f3", "f12")),
    Scene("forecast-plot", ("f3", "f12", "enter"), plotted=True),
    Scene("past-forecasts", ("f3", "f12", "f7")),
    Scene("close-up", ("enter", "f10", *"Two clamps"), great=True),
    Scene("close-up-must-not", ("f10",), before=_spread_glue, great=True),
    Scene("close-up-left", ("enter", "f10"), before=_left_half_typed, great=True),
    Scene("close-up-too-late", ("f10",), before=_limit_runs(20)),
    Scene("close-up-runs-out-first", ("f10",), before=_mixed_late),
    Scene("close-up-still-stands", ("f10",), before=_mix_left),
    Scene("mark-typed", (*"NR-0",)),
    Scene("mark-which", (*"NR-0", "enter")),
    Scene("mark-unknown", (*"NR-99", "enter")),
    Scene("recording-stopped", then=_recording_stops),
    Scene("calm", then=KioskApp.rest, wall=True),
    Scene("calm-clocks", before=_limits_run, then=KioskApp.rest, wall=True),
    Scene("leave-wall-dialog", ("f10", "f8"), wall=True),
)


def picture(
    scene: Scene,
    shop: Path,
    into: Path,
    after: Callable[[KioskApp, Pilot[None]], Awaitable[None]] | None = None,
) -> str:
    """The scene as text at every size. ``shop`` is copied into the empty folder ``into`` for each run.

    What is to be done there ``after`` that is done in the last of them.
    """
    runs = [(size,) for size in scene.sizes] if scene.plotted else [scene.sizes]
    found = []
    for number, sizes in enumerate(runs):
        folder = into / str(number)
        shutil.copytree(shop, folder)
        found += asyncio.run(rows_of(scene, folder, sizes, after if number == len(runs) - 1 else None))
    blocks = [
        "\n".join([f"== {columns}x{rows} ==", *text])
        for (columns, rows), text in zip(scene.sizes, found, strict=True)
    ]
    return "\n\n".join(blocks) + "\n"


def do_before(before: Callable[[Bench], None] | None, shop: Path, clocks: SteadyClocks) -> None:
    """Half an hour before a screen is opened, what a scene or a walk asks for is done on the bench."""
    if before is not None:
        bench = Bench(shop, clocks)
        before(bench)
        bench.close()
        clocks.go(30)


async def rows_of(
    scene: Scene,
    shop: Path,
    sizes: tuple[tuple[int, int], ...],
    after: Callable[[KioskApp, Pilot[None]], Awaitable[None]] | None = None,
) -> list[list[str]]:
    clocks = SteadyClocks(NOW)
    do_before(scene.before, shop, clocks)
    bench = Bench(shop, clocks, watch=True)
    app = KioskApp(bench, taps_clock=TapsClock(), wall=scene.wall)
    found = []
    try:
        async with running(app, sizes[0]) as pilot:
            await press(app, pilot, *scene.keys)
            if scene.then is not None:
                scene.then(app)
            for size in sizes:
                if app.size != size:
                    await pilot.resize_terminal(*size)
                await settled(app, pilot)
                found.append(screen_text(app))
            if after is not None:
                await after(app, pilot)
    finally:
        bench.close()
    return found
