"""Journeys through the wall screen, as a builder makes them."""

from datetime import timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from kiosk.screens.board import BoardScreen
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.part import PartScreen
from kiosk.screens.place import PlaceScreen
from kiosk.screens.spare import SpareScreen
from kiosk.screens.target import Target
from kiosk.screens.walk import WalkScreen
from kiosk.views.place_card import PlaceCard
from tests.conftest import SteadyClocks
from tests.driver import foot_text, pass_time, press, screen_text, shown, type_fast
from tests.planning.test_spare import take_to
from tests.screens.moment import NOW, open_bench, with_app


def counted(card: PlaceCard) -> str:
    """The count on the card."""
    assert card.count is not None
    return card.count.words


def test_carry_on_goes_to_the_step_left_and_through_it(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        card = app.bench.place_card()
        assert counted(card) == "5 of at most 9 flutes"
        assert "CARRY ON" in "\n".join(screen_text(app))
        await press(app, pilot, "enter")
        assert isinstance(app.screen, WalkScreen)
        assert "CAUTION" in "\n".join(screen_text(app))
        await press(app, pilot, "enter", *["enter"] * 4)
        view = app.bench.step_view(app.screen.work)
        assert (view.mark, view.count) == ("NR-03", 9)
        await press(app, pilot, "0", ".", "0", "2")
        assert app.bench.step_view(app.screen.work).checks[0].draft == "0.02"
        assert "RECORD 0.02, DONE," in "\n".join(screen_text(app))
        await press(app, pilot, "enter")
        assert app.bench.step_view(app.screen.work).mark == "NR-04"

    with_app(demo_shop, walk)


def test_a_figure_outside_its_limits_is_kept_but_not_done(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter", *["enter"] * 4, *"1/8", "enter")
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        view = app.bench.step_view(screen.work)
        assert view.checks[0].state_word == "OUT"
        assert not view.can_finish
        assert "not as wanted" in foot_text(app)
        assert not app.bench.step_view(screen.work).can_finish
        await press(app, pilot, *"1/64", "enter")  # of a batch, the last answer says that it is done
        assert app.bench.step_view(screen.work).mark == "NR-04"

    with_app(demo_shop, walk)


def test_done_is_not_offered_before_what_is_to_be_measured(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter")
        text = "\n".join(screen_text(app))
        assert "DONE" not in text and "ONE MORE (6)" in text

    with_app(demo_shop, walk)


def test_scanning_a_mark_opens_the_part_and_presses_nothing_else(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter")
        before = app.bench.state.seq
        await type_fast(app, pilot, "MR-02")
        assert isinstance(app.screen, PartScreen) and app.screen.mark == "MR-02"
        assert app.bench.state.seq == before

    with_app(demo_shop, walk)


def test_an_unknown_mark_is_said_with_the_nearest(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "NR-99")
        assert "No part is marked 'NR-99'" in foot_text(app)

    with_app(demo_shop, walk)


def test_the_same_key_twice_within_four_tenths_counts_once(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter")
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        pass_time(app)
        for seconds, count in ((0.0, 6), (0.3, 6), (0.6, 7)):
            await press(app, pilot, "enter", apart_s=seconds)
            assert app.bench.step_view(screen.work).count == count

    with_app(demo_shop, walk)


def test_a_held_pedal_counts_once_however_long(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        pedal = app.bench.shop.file.screen.pedal
        # It carries on with the step, and does not read its cautions too.
        await press(app, pilot, *[pedal] * 50, apart_s=0.03)
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        assert app.bench.step_view(screen.work).cautions

    with_app(demo_shop, walk)


def test_undo_takes_back_the_last_flute(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter", "enter")
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        assert app.bench.step_view(screen.work).count == 6
        await press(app, pilot, "f6")
        assert isinstance(app.screen, ChoiceScreen)
        await press(app, pilot, "enter")
        assert app.bench.step_view(screen.work).count == 6  # nothing is chosen beforehand
        await press(app, pilot, "down", "enter")
        assert app.bench.step_view(screen.work).count == 5

    with_app(demo_shop, walk)


def test_a_snag_holds_the_part_and_its_decision_frees_it(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "NR-06")
        assert "DECIDE THE SNAG" in "\n".join(screen_text(app))
        await press(app, pilot, "enter", *["down"] * 3, "enter")  # scrap and remake
        await press(app, pilot, "down", "enter")  # the first reason
        await press(app, pilot, "down", "enter")  # the builder accepts it
        await press(app, pilot, "down", "enter")  # record it
        assert not app.bench.state.open_snags("NR-06")
        assert app.bench.state.part("NR-06").remade == 1
        assert app.bench.position("NR-06").number == 1

    with_app(demo_shop, walk)


def test_a_rib_is_seen_laid_out(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "NR-07")
        await press(app, pilot, "f7", "enter")
        assert "NACA 2412, chord 50 in" in "\n".join(screen_text(app))
        await press(app, pilot, "right")
        assert "5 flutes" in "\n".join(screen_text(app))

    with_app(demo_shop, walk)


def test_spare_minutes_are_typed_and_the_choice_is_walked(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2", "2", "5", "enter")
        assert app.bench.spare(25).suggestions
        await press(app, pilot, "enter")
        assert isinstance(app.screen, WalkScreen)
        assert "put away" in screen_text(app)[0]

    with_app(demo_shop, walk)


def test_a_power_cut_makes_the_step_unknown_until_a_person_looks(demo_shop: Path) -> None:
    async def first(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter", "enter", "enter")

    with_app(demo_shop, first)  # leaves without closing up

    async def second(app: KioskApp, pilot: Pilot[None]) -> None:
        card = app.bench.place_card()
        assert card.standing == "STARTED, UNKNOWN"
        assert counted(card) == "7 of at most 9 flutes"
        assert app.bench.state.sitting is None  # nothing runs before the builder looks
        await press(app, pilot, "enter")
        assert isinstance(app.screen, ChoiceScreen)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, ChoiceScreen)  # a person says how it stands
        await press(app, pilot, "down", "enter")
        assert isinstance(app.screen, WalkScreen)
        assert app.bench.step_view(app.screen.work).count == 7

    with_app(demo_shop, second)


def test_closing_up_keeps_the_note_and_leaves(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "f10", *"Two clamps on", "enter")
        assert not app.is_running
        assert app.return_code == 0

    with_app(demo_shop, walk)
    bench = open_bench(demo_shop)
    card = bench.place_card()
    bench.close()
    assert card.note == "Your note: Two clamps on"
    assert card.standing == "IN HAND, PAUSED"


def test_what_must_not_be_left_so_cannot_be_closed_with_the_big_action(demo_shop: Path) -> None:
    bench = open_bench(demo_shop)
    work = bench.start(["FB-TR"], "form-block", "measure-pattern")
    bench.acknowledge(work)
    bench.answer(work, "FB-TR", "bar", "10")
    bench.finish(work, "FB-TR")
    work = bench.start(["FB-TR"], "form-block", "check-inset")
    bench.answer(work, "FB-TR", "inset", "yes")
    bench.finish(work, "FB-TR")
    take_to(bench, ["FB-TR"], "form-block/glue-pattern")
    work = bench.start(["FB-TR"], "form-block", "glue-pattern")
    bench.close_sitting("")
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f10")
        assert "MUST NOT BE LEFT SO" in "\n".join(screen_text(app))
        await press(app, pilot, "enter")
        assert isinstance(app.screen, WalkScreen) and app.screen.work == work, (
            "the one that is to be finished"
        )
        assert app.bench.work(work).status == "running"

    with_app(demo_shop, walk)


def test_a_stale_screen_is_refused_politely(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter")
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        other = open_bench(demo_shop)
        try:
            for mark in ("NR-03", "NR-04", "NR-05"):
                other.count(screen.work, mark, 9)
                other.answer(screen.work, mark, "web", "0")
                other.finish(screen.work, mark)
        finally:
            other.close()
        await press(app, pilot, "enter")
        # The next tap was meant for the step that has gone, too.
        await press(app, pilot, "enter", apart_s=0.5)
        assert isinstance(app.screen, PlaceScreen)
        assert "finished, put back or" in "\n".join(screen_text(app))

    with_app(demo_shop, walk)


def test_a_pause_stops_the_clock_and_keeps_the_place(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter", "enter", "f12")
        assert isinstance(app.screen, PlaceScreen)
        (work,) = app.bench.state.works.values()
        assert work.status == "paused"
        assert counted(app.bench.place_card()) == "6 of at most 9 flutes"
        await press(app, pilot, "enter")
        assert isinstance(app.screen, WalkScreen)
        assert app.bench.state.works[work.id].status == "running"

    with_app(demo_shop, walk)


def test_the_cutting_list_and_the_trial_strips_are_among_the_numbers(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f9", "enter", "enter", "enter", *"1/4", "enter", "enter")
        text = "\n".join(screen_text(app))
        assert "none can do with fewer than" in text and "Sheet 1: mark along" in text
        await press(app, pilot, "right")
        assert "From strip" in "\n".join(screen_text(app))
        await press(app, pilot, "escape", "down", "enter")
        assert "across the grain: One strip knows little" in "\n".join(screen_text(app))  # of the clips
        await press(app, pilot, "escape", "down", "enter")
        assert "alloy" in screen_text(app)[0]
        alloy = 0
        while "» 2024-T3" not in "\n".join(screen_text(app)):
            await press(app, pilot, "down")
            alloy += 1
            assert alloy < 20
        await press(app, pilot, "enter")
        assert "grain" in screen_text(app)[0]
        await press(app, pilot, "enter" if "» along" in "\n".join(screen_text(app)) else "down")
        if "grain" in screen_text(app)[0]:
            await press(app, pilot, "enter")
        for figure in ("4", "2.05", "2.04", "90", "95", ".025", "1/8"):
            await press(app, pilot, *figure, "enter")
        assert len(app.bench.state.trials) == 2
        for _ in range(4):
            if "neutral-line factor of each strip" in "\n".join(screen_text(app)):
                break
            await press(app, pilot, "right")
        assert "neutral-line factor of each strip" in "\n".join(screen_text(app))

    with_app(demo_shop, walk)


def test_the_board_opens_at_the_first_part_with_something_to_do(demo_shop: Path) -> None:
    """It pointed at a complete one, where the page before it showed no part."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        assert app.bench.state.part(next(iter(app.bench.shop.parts))).completed_at is not None
        await press(app, pilot, "f4", "f3")
        assert isinstance(app.screen, BoardScreen)
        assert app.bench.state.part(app.screen.part_shown).completed_at is None

    with_app(demo_shop, walk)


def test_the_board_says_when_it_will_be_finished(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f3", "f12")
        text = "\n".join(screen_text(app))
        assert "Hours left: about" in text and "8 times in 10 by" in text
        assert "two more half hours a week" in text
        await press(app, pilot, "right")
        assert "part open" in "\n".join(screen_text(app))
        await press(app, pilot, "left", "enter")
        assert "chance in 100" in "\n".join(screen_text(app))
        await press(app, pilot, "enter", "f7")
        assert "called 8 in 10" in "\n".join(screen_text(app))

    with_app(demo_shop, walk)


def test_a_helper_begins_what_is_meant_for_them(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.come("pip")
        await press(app, pilot, "f2")
        if "F7 See what Pip can do" in foot_text(app):  # it stands on the next page
            await press(app, pilot, "f7")
        assert "F7 Pip begins theirs" in foot_text(app)
        screen = app.screen
        assert isinstance(screen, SpareScreen)
        answer = screen.answer()
        assert answer is not None
        helper = answer.helper_does[0]
        await press(app, pilot, "f7")
        assert isinstance(app.screen, WalkScreen) and app.bench.doer_id == "pip"
        work = app.bench.state.works[app.screen.work]
        assert (work.step, work.by, work.marks) == (helper.step, "pip", helper.marks)

    with_app(demo_shop, walk)


def test_after_a_long_gap_a_small_beginning_is_offered(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        text = " ".join(row.strip() for row in screen_text(app))
        assert "days since. Small beginning" in text

    with_app(demo_shop, walk, clocks=SteadyClocks(NOW + timedelta(days=12)))


def test_another_screen_sees_a_change_by_itself(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        other = open_bench(demo_shop)
        try:
            other.raise_snag("NR-05", "Dent near the heel")
        finally:
            other.close()
        await shown(app, pilot, "Dent near the heel")

    with_app(demo_shop, walk)


def test_a_helper_sees_plain_words(new_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.hand_over("pip")
        await type_fast(app, pilot, "FB-NR")
        await press(app, pilot, "enter")
        text = " ".join(row.strip() for row in screen_text(app))
        assert "read out the number" in text and "10 inch scale bar" in text

    with_app(new_shop, walk)


@pytest.mark.parametrize("size", [(80, 24), (64, 20), (120, 36)])
def test_every_target_is_big_enough_and_on_the_screen(demo_shop: Path, size: tuple[int, int]) -> None:
    """At least 3 rows by 12 columns (the kiosk's own rule, after kiosk and target-size studies)."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        for keys in ((), ("f2",), ("f3",), ("f4",), ("f10",), ("f1", "enter"), ("f5",)):
            await press(app, pilot, *keys)
            seen = [target for target in app.screen.query(Target) if target.region.area]
            assert len(seen) >= 2, keys
            for target in seen:
                assert target.region.height >= 3, (keys, target.action)
                assert target.region.width >= 12, (keys, target.action, target.region)
                assert app.screen.region.contains_region(target.region), (keys, target.action, target.region)

    with_app(demo_shop, walk, size)


@pytest.mark.parametrize("size", [(80, 24), (64, 20)])
def test_the_main_action_and_the_step_are_on_the_smallest_screens(
    demo_shop: Path, size: tuple[int, int]
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        text = "\n".join(screen_text(app))
        assert "CARRY ON" in text and "Squeeze the flutes" in text and "NR-03" in text
        await press(app, pilot, "enter", "enter")
        text = "\n".join(screen_text(app))
        assert "ONE MORE (6)" in text and "Squeeze the flutes" in text

    with_app(demo_shop, walk, size)


def test_text_from_the_shop_is_never_markup(demo_shop: Path) -> None:
    bench = open_bench(demo_shop)
    bench.raise_snag("NR-05", "Edge [red]cut[/] at hole [A1] [@click=app.quit]x[/]")
    bench.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await type_fast(app, pilot, "NR-05")
        assert "[red]cut[/] at hole [A1] [@click=app.quit]x[/]" in "\n".join(screen_text(app))

    with_app(demo_shop, walk)


def test_recording_stopped_is_said_over_the_whole_screen(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "enter", "enter")
        screen = app.screen
        assert isinstance(screen, WalkScreen)
        before = app.bench.state.seq

        def full(*_: object) -> None:
            import sqlite3

            raise sqlite3.OperationalError("database or disk is full")

        with monkeypatch.context() as patched:
            patched.setattr(app.bench.record.journal, "append", full)
            await press(app, pilot, "enter")
        assert "RECORDING STOPPED" in "\n".join(screen_text(app))
        await press(app, pilot, "enter", "enter")
        assert app.bench.state.seq == before + 1

    with_app(demo_shop, walk)
