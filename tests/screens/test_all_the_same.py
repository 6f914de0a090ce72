"""A paused step is taken up, and one in a run begun, by who was told what could not follow it in time; what
may not be left is begun in quiet hours by who says that it is agreed."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.record.events import Looked, WorkStarted
from kiosk.record.rules import Refused
from kiosk.screens.app import KioskApp
from kiosk.screens.part import PartScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.walk import WalkScreen
from tests.conftest import SteadyClocks, local_time
from tests.driver import finish_piece, foot_text, next_step, press, screen_text, settled
from tests.logbook.reading import recorded
from tests.record.moments import step, with_steps
from tests.screens.moment import NOW, open_bench, with_app

MARK = "NR-01"
AHEAD = "quiet hours from Thu 20:30 until Fri 08:00: spray could not follow in time"
THURSDAY = (2027, 5, 6)  # quiet from 20:30


def _mixed_and_left(app: KioskApp) -> str:
    """A mix that was begun and paused; a loud coat goes straight on from it."""
    bench = app.bench
    bench.shop, _ = with_steps(
        bench.shop,
        "rib-blank",
        step(id="mix", stop="go straight on", minutes={"each": "10"}),
        step(id="spray", stop="only when finished", minutes={"each": "4"}, conditions={"loud": True}),
    )
    work = bench.start([MARK], "rib-blank", "mix")
    bench.pause(work)
    return work


async def _look_at(app: KioskApp, pilot: Pilot[None], by: str) -> None:
    app.go("board")
    await settled(app, pilot)
    app.open_part(MARK) if by == "part" else app.go("place")
    await settled(app, pilot)


@pytest.mark.parametrize("by", ["place", "walk", "part"])
def test_what_could_not_follow_is_told_before_it_is_taken_up(by: str, new_shop: Path) -> None:
    clocks = SteadyClocks(local_time(*THURSDAY, 20, 10))

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = _mixed_and_left(app)
        clocks.go_to(local_time(*THURSDAY, 20, 25))
        if by == "walk":
            app.walk(work)
        elif by == "part":
            app.open_part(MARK)
        else:
            app.go("board")
            await settled(app, pilot)
            app.go("place")
        await settled(app, pilot)
        if by == "place":
            assert f"AHEAD: {AHEAD}" in " ".join(" ".join(screen_text(app)).split())
        await press(app, pilot, "enter")
        text = " ".join(" ".join(screen_text(app)).split())
        assert f"Q{AHEAD[1:]}." in text and f"Do not carry on with {MARK}" in text
        assert app.bench.work(work).status == "paused"
        await press(app, pilot, "enter")  # nothing is chosen beforehand
        assert app.bench.work(work).status == "paused"
        await press(app, pilot, "down", "down", "enter")
        assert app.bench.work(work).status == "running"

    with_app(new_shop, walk, clocks=clocks)


def test_after_a_power_cut_it_is_told_to_whoever_found_the_part_as_shown(new_shop: Path) -> None:
    """The place card had said AHEAD, and the look at the part led past it."""
    clocks = SteadyClocks(local_time(*THURSDAY, 20, 10))

    def mix(bench: Bench) -> None:
        bench.shop, _ = with_steps(
            bench.shop,
            "rib-blank",
            step(id="mix", stop="go straight on", minutes={"each": "10"}),
            step(id="spray", stop="only when finished", minutes={"each": "4"}, conditions={"loud": True}),
        )

    cut = Bench(new_shop, clocks)
    mix(cut)
    work = cut.start([MARK], "rib-blank", "mix")
    cut.close()
    clocks.go_to(local_time(*THURSDAY, 20, 25))

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        mix(app.bench)
        assert app.bench.work(work).status == "unknown"
        await _look_at(app, pilot, "place")
        await press(app, pilot, "enter", "down", "enter")  # look, as shown
        text = " ".join(" ".join(screen_text(app)).split())
        assert f"Q{AHEAD[1:]}." in text and f"Do not carry on with {MARK}" in text
        assert app.bench.work(work).status == "unknown"
        await press(app, pilot, "down", "down", "enter")
        assert app.bench.work(work).status == "running"
        assert isinstance(app.screen, WalkScreen)

    with_app(new_shop, walk, clocks=clocks)


def test_after_a_power_cut_a_part_with_something_wrong_is_not_recorded_as_shown(new_shop: Path) -> None:
    """Its clock ran on while the question what was wrong stood there, and after it was left."""
    cut = Bench(new_shop, SteadyClocks())
    work = cut.start([MARK], "rib-blank", next_step(cut, MARK).id)
    cut.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "down", "down", "down", "enter")
        assert "What is not right" in " ".join(screen_text(app))
        assert app.bench.work(work).status == "unknown"
        await press(app, pilot, "escape")
        assert app.bench.work(work).status == "unknown"
        await press(app, pilot, "enter", "down", "down", "down", "enter", "down", "enter")
        assert app.bench.state.open_snags(MARK)
        assert app.bench.work(work).status == "unknown"
        bodies = (event.body for event in app.bench.record.journal.after(0))
        assert not any(isinstance(body, Looked) for body in bodies)

    with_app(new_shop, walk)


def test_in_time_nothing_is_asked(new_shop: Path) -> None:
    clocks = SteadyClocks(local_time(*THURSDAY, 20, 10))

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = _mixed_and_left(app)
        clocks.go_to(local_time(*THURSDAY, 20, 15))
        await _look_at(app, pilot, "place")
        assert "AHEAD" not in " ".join(screen_text(app))
        await press(app, pilot, "enter")
        assert app.bench.work(work).status == "running"

    with_app(new_shop, walk, clocks=clocks)


def test_of_a_step_that_runs_into_quiet_hours_itself_that_one_is_told(new_shop: Path) -> None:
    """What comes after it was named, or nothing where nothing loud does."""
    clocks = SteadyClocks(local_time(*THURSDAY, 20, 10))

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = _mixed_and_left(app)
        app.bench.take_up(work)
        finish_piece(app.bench, work, MARK)
        spray = app.bench.start([MARK], "rib-blank", "spray")
        app.bench.pause(spray)
        for minute, told in ((25, False), (27, True)):
            clocks.go_to(local_time(*THURSDAY, 20, minute))
            await _look_at(app, pilot, "place")
            text = " ".join(" ".join(screen_text(app)).split())
            into = "AHEAD: quiet hours from Thu 20:30 until Fri 08:00: spray would run into them"
            assert (into in text) == told, text

    with_app(new_shop, walk, clocks=clocks)


def _in_the_run(app: KioskApp, *, passes: int) -> None:
    """A mix that is done, ten minutes before quiet hours; so many loud passes go straight on from it."""
    bench = app.bench
    sprays = [
        step(
            id=f"pass-{number}",
            do=f"Spray pass {number}",
            stop="only when finished" if number == passes else "go straight on",
            minutes={"each": "12"},
            conditions={"loud": True},
        )
        for number in range(1, passes + 1)
    ]
    mix = step(id="mix", stop="go straight on", minutes={"each": "1"})
    bench.shop, _ = with_steps(bench.shop, "rib-blank", mix, *sprays)
    bench.finish(bench.start([MARK], "rib-blank", "mix"), MARK)


def test_a_loud_step_is_carried_on_with_in_quiet_hours_by_who_was_told_so(new_shop: Path) -> None:
    clocks = SteadyClocks(local_time(*THURSDAY, 20, 10))

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.shop, _ = with_steps(
            app.bench.shop, "rib-blank", step(id="rivet", stop="between pieces", conditions={"loud": True})
        )
        work = app.bench.start([MARK], "rib-blank", "rivet")
        app.bench.pause(work)
        clocks.go_to(local_time(*THURSDAY, 20, 40))
        await _look_at(app, pilot, "place")
        assert "AHEAD: quiet hours until Fri 08:00" in " ".join(screen_text(app))
        await press(app, pilot, "enter")
        assert "Quiet hours until Fri 08:00." in " ".join(screen_text(app))
        assert app.bench.work(work).status == "paused"
        await press(app, pilot, "down", "down", "enter")
        assert app.bench.work(work).status == "running"

    with_app(new_shop, walk, clocks=clocks)


@pytest.mark.parametrize("by", ["place", "part"])
def test_a_step_in_a_run_is_begun_by_who_was_told_what_could_not_follow(by: str, new_shop: Path) -> None:
    clocks = SteadyClocks(local_time(*THURSDAY, 20, 0))

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        _in_the_run(app, passes=2)
        clocks.go_to(local_time(*THURSDAY, 20, 25))
        await _look_at(app, pilot, by)
        await press(app, pilot, "enter")
        text = " ".join(" ".join(screen_text(app)).split())
        assert "Quiet hours from Thu 20:30 until Fri 08:00: pass 1 would run into them." in text
        assert app.bench.state.part(MARK).work is None
        await press(app, pilot, "down", "down", "enter")
        [work] = app.bench.state.works.values()
        assert (work.step, work.status) == ("pass-1", "running")
        clocks.go_to(local_time(*THURSDAY, 20, 40))  # and while it is sprayed, quiet hours begin
        await press(app, pilot, "enter")  # DONE
        await _look_at(app, pilot, by)
        assert "ALL THE SAME…" in " ".join(screen_text(app))
        await press(app, pilot, "enter")
        text = " ".join(" ".join(screen_text(app)).split())
        assert "It is loud. Is that agreed?" in text and "could not follow" not in text
        assert "Quiet hours until Fri 08:00. It may not be left half way." in text
        await press(app, pilot, "enter")  # nothing is chosen beforehand
        assert app.bench.state.part(MARK).work is None
        await press(app, pilot, "down", "down", "enter")
        [work] = app.bench.state.works.values()
        assert (work.step, work.status) == ("pass-2", "running")
        begun = list(app.bench.record.journal.of_kind("work_started"))[-1].body
        assert isinstance(begun, WorkStarted) and begun.in_spite_of == "quiet hours until Fri 08:00"
        entries = [one for one in recorded(app.bench) if one.what == "begun"]
        assert [one.text for one in entries] == [
            "Begun in quiet hours until Fri 08:00, as was agreed: Lay out and cut rib blanks: Spray pass 2"
        ]

    with_app(new_shop, walk, clocks=clocks)


def test_a_run_does_not_go_on_by_itself_into_what_is_to_be_told(new_shop: Path) -> None:
    clocks = SteadyClocks(local_time(*THURSDAY, 20, 0))

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        _in_the_run(app, passes=3)
        bench = app.bench
        other = "NR-02"
        bench.finish(bench.start([other], "rib-blank", "mix"), other)
        work = bench.begin_batch([MARK, other], "rib-blank", "pass-1")
        app.walk(work)
        clocks.go_to(local_time(*THURSDAY, 20, 22))
        await settled(app, pilot)
        await press(app, pilot, "enter")  # NEXT PIECE or DONE
        for _ in range(3):
            if bench.state.works:
                await press(app, pilot, "enter")
        assert "pass 2 would run into them" in " ".join(" ".join(screen_text(app)).split())

    with_app(new_shop, walk, clocks=clocks)


# What may not be left is not left unasked

OTHER = "NR-02"


DRILL = step(  # half done by its second hole
    id="drill",
    do="Drill",
    stop="between pieces",
    minutes={"each": "20"},
    repeat={"times": "2", "of": "holes"},
)


def _turning(bench: Bench, minutes: int = 10) -> None:
    """A blank is turned on the lathe, which is not left half way."""
    turn = step(id="turn", do="Turn the die", stop="only when finished", minutes={"each": str(minutes)})
    bench.shop, _ = with_steps(bench.shop, "rib-blank", turn)


def _text(app: KioskApp) -> str:
    return " ".join(" ".join(screen_text(app)).split())


@pytest.mark.parametrize("size", [(73, 20), (120, 36)])
def test_what_may_not_be_left_is_paused_by_who_was_asked(new_shop: Path, size: tuple[int, int]) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        _turning(app.bench)
        work = app.bench.start([MARK], "rib-blank", "turn")
        app.walk(work)
        await settled(app, pilot)
        await press(app, pilot, "f12")
        assert f"Not to be left so: {MARK}: Turn the die." in _text(app)
        await press(app, pilot, "escape")
        assert app.bench.work(work).status == "running"
        await press(app, pilot, "f12", "down", "down", "enter")
        assert app.bench.work(work).status == "paused"

    with_app(new_shop, walk, size=size)


def test_what_may_be_left_is_paused_at_once(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        work = app.bench.start([MARK], "rib-blank", next_step(app.bench, MARK).id)
        app.walk(work)
        await settled(app, pilot)
        await press(app, pilot, "f12")
        assert app.bench.work(work).status == "paused"

    with_app(new_shop, walk)


@pytest.mark.parametrize("how", ["begun", "carried on"])
def test_another_step_is_gone_on_with_by_who_was_told_what_is_left_for_it(new_shop: Path, how: str) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        _turning(bench)
        if how == "carried on":
            bench.pause(bench.start([OTHER], "rib-blank", "turn"))
        work = bench.start([MARK], "rib-blank", "turn")
        app.open_part(OTHER)
        await settled(app, pilot)
        await press(app, pilot, "enter")
        assert f"Not to be left so: {MARK}: Turn the die." in _text(app)
        await press(app, pilot, "enter")  # nothing is chosen beforehand
        assert bench.work(work).status == "running"
        await press(app, pilot, "down", "down", "enter")
        other = bench.state.part(OTHER).work
        assert other is not None and bench.work(other).status == "running"
        assert bench.work(work).status == "paused"

    with_app(new_shop, walk)


def test_another_persons_step_is_nobodys_to_leave(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        _turning(bench)
        work = bench.start([MARK], "rib-blank", "turn")
        bench.come("odile")
        bench.hand_over("odile")
        assert not bench.left_for_another()
        assert bench.not_to_be_left(work)  # but whoever pauses it is asked

    with_app(new_shop, walk)


@pytest.mark.parametrize(("slot", "asked"), [(None, False), (60, False), (12, True)])
def test_what_does_not_fit_the_slot_and_may_not_be_left_is_begun_by_who_was_told(
    new_shop: Path, slot: int | None, asked: bool
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        _turning(bench, minutes=20)
        if slot is not None:
            bench.begin_slot(slot)
        app.open_part(MARK)
        await settled(app, pilot)
        await press(app, pilot, "enter")
        assert ("With putting away it takes up to" in _text(app)) == asked
        assert ("and 12 min are left" in _text(app)) == asked
        if asked:
            assert f"It may not be left half way. Begin {MARK}?" in _text(app)
            assert bench.state.part(MARK).work is None
            await press(app, pilot, "down", "down", "enter")
        assert bench.state.part(MARK).work is not None

    with_app(new_shop, walk)


@pytest.mark.parametrize(("slot", "asked"), [(None, False), (120, False), (45, True)])
def test_the_next_piece_is_taken_in_hand_by_who_was_told_that_it_does_not_fit(
    new_shop: Path, slot: int | None, asked: bool
) -> None:
    """A batch turned to its next piece by itself, though that may not be left and the time was up."""
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        _turning(bench, minutes=20)
        if slot is not None:
            bench.begin_slot(slot)
        app.walk(bench.start([MARK, OTHER, "NR-03"], "rib-blank", "turn"))
        await settled(app, pilot)
        clocks.go(20)
        await press(app, pilot, "enter")
        assert ("With putting away it takes up to" in _text(app)) == asked
        if not asked:
            assert bench.state.part(OTHER).work is not None
            return
        assert f"It may not be left half way. Begin {OTHER}?" in _text(app)
        assert "25 min are left" in _text(app)
        await press(app, pilot, "down", "enter")
        assert not bench.state.works and "turn" in bench.state.part(MARK).passes["rib-blank"]
        assert isinstance(app.screen, PlaceScreen) and "Put back as not begun." in _text(app)
        app.walk(bench.start([OTHER, "NR-03"], "rib-blank", "turn"))
        await settled(app, pilot)
        await press(app, pilot, "enter", "down", "down", "enter")
        assert bench.state.part("NR-03").work is not None, "all the same"

    with_app(new_shop, walk, clocks=clocks)


@pytest.mark.parametrize("keys", [["escape"], ["down", "enter"]])
def test_a_piece_that_is_not_begun_goes_back_and_stays_with_its_batch(
    new_shop: Path, keys: list[str]
) -> None:
    """Going away without an answer left it in hand with its clock on, and the one that said no split the
    batch that had just been formed."""
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        _turning(bench, minutes=20)
        bench.begin_slot(45)
        app.walk(bench.start([MARK, OTHER, "NR-03"], "rib-blank", "turn"))
        await settled(app, pilot)
        clocks.go(20)
        await press(app, pilot, "enter", *keys)
        assert not bench.state.works and isinstance(app.screen, PlaceScreen)
        assert "Put back as not begun." in _text(app)
        assert set(bench.batch_of(OTHER)) == {MARK, OTHER, "NR-03"}
        bench.undo(bench.undo_offer().entries[0].event)
        assert set(bench.batch_of(OTHER)) == {MARK, OTHER, "NR-03"} and bench.state.part(OTHER).work

    with_app(new_shop, walk, clocks=clocks)


def test_a_piece_on_which_nothing_is_done_is_carried_on_with_or_turned_to_by_who_was_told(
    new_shop: Path,
) -> None:
    """Only who began it was told that it does not fit."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.shop, _ = with_steps(bench.shop, "rib-blank", DRILL)
        work = bench.start([MARK, OTHER], "rib-blank", "drill")
        bench.pause(work)
        bench.begin_slot(6)
        app.walk(work)
        await press(app, pilot, "enter")
        assert f"Carry on with {MARK}, {OTHER} all the same?" in _text(app)
        assert "With putting away it takes up to" in _text(app)
        await press(app, pilot, "down", "enter")
        assert bench.work(work).status == "paused"
        await press(app, pilot, "enter", "down", "down", "enter")
        assert bench.work(work).status == "running"
        await press(app, pilot, "f7", "enter")
        assert f"It may not be left half way. Begin {OTHER}?" in _text(app)
        await press(app, pilot, "down", "enter")
        assert bench.work(work).turned_to == MARK
        bench.count(work, MARK, 1)
        bench.pause(work)
        app.walk(work)
        await press(app, pilot, "enter")
        assert bench.work(work).status == "running", "what is half done is gone on with"

    with_app(new_shop, walk)


def test_who_clamped_one_is_asked_before_another_is_clamped(new_shop: Path) -> None:
    """The brake holds one, and it was put back before its bend."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        clamp = step(id="clamp", stop="go straight on")
        bench.shop, _ = with_steps(
            bench.shop, "rib-blank", clamp, step(id="bend", do="Bend it.", minutes={"each": "9"})
        )
        bench.begin_slot(3)
        assert bench.too_long_to_end([MARK], "rib-blank", "clamp")
        bench.finish(bench.start([MARK], "rib-blank", "clamp"), MARK)
        assert not bench.too_long_to_end([MARK], "rib-blank", "bend"), "it may not be left as it stands"
        bench.put_back(bench.start([MARK], "rib-blank", "bend"))
        app.open_part(OTHER)
        await settled(app, pilot)
        await press(app, pilot, "enter")
        assert f"Not to be left so: {MARK}: Bend it." in _text(app)
        await press(app, pilot, "down", "enter")
        assert bench.state.part(OTHER).work is None
        assert not bench.left_for_another([MARK]), "what follows on it is no other"
        assert bench.left_for_another([OTHER])
        bench.raise_snag(MARK, "cracked in the brake")
        assert not bench.left_for_another([OTHER]), "nobody can go on with it"
        bench.undo(bench.undo_offer().entries[0].event)
        assert bench.left_for_another([OTHER])
        bench.close_sitting("")
        assert not bench.left_for_another([OTHER]), "who left it so knows"

    with_app(new_shop, walk)


def test_what_was_worked_at_already_is_gone_on_with_unasked(new_shop: Path) -> None:
    """It was reckoned from its beginning, though it had run for most of its minutes."""
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.shop, _ = with_steps(bench.shop, "rib-blank", DRILL)
        bench.begin_slot(16)
        work = bench.start([MARK], "rib-blank", "drill")
        clocks.go(10)
        assert bench.too_long_for_piece(work), "as one that is begun now"
        await press(app, pilot, "enter")
        assert isinstance(app.screen, WalkScreen)
        bench.pause(work)
        app.walk(work)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, WalkScreen) and bench.work(work).status == "running"

    with_app(new_shop, walk, clocks=clocks)


def test_a_mark_typed_to_get_away_skips_nothing(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.open_part(MARK)
        await press(app, pilot, "f7")
        assert "» See" in _text(app), "what is pointed at first only shows something"
        app.bench.come("odile")
        for reason in (OTHER, "nr2", "x"):
            with pytest.raises(Refused, match="a skipped step needs a reason"):
                app.bench.skip(MARK, reason)

    with_app(new_shop, walk)


def test_a_batch_that_goes_through_together_is_reckoned_whole_when_it_is_carried_on_with(
    bench: Bench,
) -> None:
    """Of three, one piece was reckoned."""
    each = step(id="wash", batch="together", stop="between pieces", minutes={"each": "10"})
    bench.shop, _ = with_steps(bench.shop, "rib-blank", each)
    bench.begin_slot(25)
    begun = bench.too_long_to_end([MARK, OTHER, "NR-03"], "rib-blank", "wash")
    work = bench.start([MARK, OTHER, "NR-03"], "rib-blank", "wash")
    bench.pause(work)
    assert begun and bench.too_long_for_piece(work) == begun


def test_a_batch_that_was_begun_by_mistake_is_none_once_it_is_put_back(bench: Bench) -> None:
    _turning(bench)
    work = bench.start([MARK, OTHER], "rib-blank", "turn")
    bench.put_back(work)
    assert not bench.batch_of(MARK) and not bench.batch_of(OTHER)


def test_what_is_half_done_stays_in_hand_where_the_next_piece_is_not_begun(new_shop: Path) -> None:
    """Nobody was asked where another piece had an answer."""
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.shop, _ = with_steps(bench.shop, "rib-blank", DRILL)
        bench.begin_slot(45)
        work = bench.start([MARK, OTHER, "NR-03"], "rib-blank", "drill")
        bench.count(work, "NR-03", 1)
        bench.count(work, MARK, 2)
        app.walk(work)
        await settled(app, pilot)
        clocks.go(20)
        await press(app, pilot, "enter")
        assert f"It may not be left half way. Begin {OTHER}?" in _text(app)
        await press(app, pilot, "down", "enter")
        assert bench.work(work).marks == ("NR-03",) and bench.work(work).turned_to == "NR-03"
        assert isinstance(app.screen, WalkScreen) and f"Put back {OTHER} as not begun" in _text(app)
        assert set(bench.batch_of(OTHER)) == {MARK, OTHER, "NR-03"}, "it left the batch"

    with_app(new_shop, walk, clocks=clocks)


def test_what_another_screen_began_meanwhile_is_not_put_back_nor_anything_in_its_place(
    new_shop: Path,
) -> None:
    """It stayed in hand, the one after it went back, and the foot named the wrong one."""
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.shop, _ = with_steps(bench.shop, "rib-blank", DRILL)
        bench.begin_slot(45)
        work = bench.start([MARK, OTHER, "NR-03", "NR-04"], "rib-blank", "drill")
        bench.count(work, "NR-04", 1)
        bench.count(work, MARK, 2)
        app.walk(work)
        await settled(app, pilot)
        clocks.go(20)
        await press(app, pilot, "enter")
        another = Bench(new_shop, clocks)
        another.shop = bench.shop
        another.count(work, OTHER, 1)
        another.close()
        await press(app, pilot, "escape")
        assert "NOT DONE: something is already counted or measured" in _text(app)
        assert bench.work(work).marks == (OTHER, "NR-03", "NR-04")

    with_app(new_shop, walk, clocks=clocks)


def test_the_first_piece_that_does_not_fit_is_asked_about_as_well(bench: Bench) -> None:
    bench.shop, _ = with_steps(
        bench.shop, "rib-blank", step(id="drill", stop="between pieces", minutes={"each": "20"})
    )
    bench.begin_slot(10)
    assert "takes up to" in bench.too_long_to_end([MARK, OTHER], "rib-blank", "drill")


def test_what_may_be_left_is_begun_in_any_slot_and_what_a_limit_waits_for_too(bench: Bench) -> None:
    work = next_step(bench, MARK).id
    bench.begin_slot(5)
    assert not bench.too_long_to_end([MARK], "rib-blank", work)
    limit = {"what": "use", "within": "2 h", "begin": "turn", "if_missed": "Mix anew"}
    mix = step(id="mix", stop="anywhere", waits=[limit])
    turn = step(id="turn", stop="only when finished", minutes={"each": "20"})
    bench.shop, _ = with_steps(bench.shop, "rib-blank", mix, turn)
    assert bench.too_long_to_end([MARK], "rib-blank", "turn")
    bench.finish(bench.start([MARK], "rib-blank", "mix"), MARK)
    assert not bench.too_long_to_end([MARK], "rib-blank", "turn")


def test_what_ran_for_a_while_is_put_back_by_who_was_asked(new_shop: Path) -> None:
    """One press wrote a quarter of an hour at the lathe out of the record."""
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        _turning(bench, minutes=20)
        for minutes in (0, 16):
            work = bench.start([MARK], "rib-blank", "turn")
            app.walk(work)
            await settled(app, pilot)
            clocks.go(minutes)
            await press(app, pilot, "f7")
            assert (work in bench.state.works) == bool(minutes), "pressed by mistake, it is put back at once"
        assert "Was nothing done on NR-01? It has run for 16 min, which are not counted then." in _text(app)
        await press(app, pilot, "down", "enter")
        assert bench.work(work).status == "running"
        await press(app, pilot, "f7", "down", "down", "enter")
        assert not bench.state.works and isinstance(app.screen, PlaceScreen)

    with_app(new_shop, walk, clocks=clocks)


def test_a_half_done_piece_is_left_by_who_was_asked_and_comes_first_on_return(new_shop: Path) -> None:
    """Pausing it was not asked, and after an orderly close the place began with another part."""
    drill = step(id="drill", do="Drill", stop="between pieces", repeat={"times": "3", "of": "holes"})
    bench = open_bench(new_shop)
    bench.shop, _ = with_steps(bench.shop, "rib-blank", drill)
    work = bench.start([OTHER], "rib-blank", "drill")
    assert not bench.not_to_be_left(work)
    bench.count(work, OTHER, 1)
    assert bench.not_to_be_left(work) == f"not to be left so: {OTHER}: Drill"
    other = bench.start(["NR-12"], "rib-blank", "drill")
    bench.pause(other)
    assert bench.place_card().work == other, "nobody is thrown back to what stands paused"
    assert bench.close_up_view().next_step.startswith(OTHER)
    bench.close_sitting("")
    assert bench.place_card().work == work
    bench.close()


def test_a_page_that_was_left_says_nothing_of_itself_on_another(new_shop: Path) -> None:
    """Esc put the next piece back, and the part looked up then was said to be in hand no more."""
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        _turning(bench, minutes=20)
        bench.begin_slot(45)
        work = bench.begin_batch([MARK, OTHER], "rib-blank", "turn")
        app.walk(work)
        await settled(app, pilot)
        clocks.go(20)
        await press(app, pilot, "enter", "escape")
        assert work not in bench.state.works and isinstance(app.screen, PlaceScreen)
        await press(app, pilot, *"nr-20", "enter")
        assert isinstance(app.screen, PartScreen) and app.screen.part_shown == "NR-20"
        assert "not in hand" not in foot_text(app)

    with_app(new_shop, walk, clocks=clocks)
