"""Minutes: what was asked for, whole words on as many pages as it takes, and each person's own share."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from threading import Event

import pytest
from textual.pilot import Pilot

from kiosk.bench import Bench
from kiosk.planning.spare import SpareAnswer
from kiosk.record.events import Wished
from kiosk.screens.app import KioskApp
from kiosk.screens.board import BoardScreen
from kiosk.screens.choice import ChoiceScreen
from kiosk.screens.page_text import POINTER
from kiosk.screens.scans import GAP_S
from kiosk.screens.spare import SpareScreen, theirs_in_turn
from kiosk.screens.walk import WalkScreen
from kiosk.views.suggestion import suggestion_words, sum_of_slot
from tests.conftest import SteadyClocks
from tests.driver import (
    LONGEST_WAIT_S,
    first_column,
    foot_text,
    pass_time,
    press,
    screen_text,
    send,
    settled,
    shown,
    tap,
    touch,
    type_fast,
)
from tests.record.moments import step, with_steps
from tests.screens.moment import NOW, open_bench, with_app

SIZES = ((73, 20), (80, 24), (120, 36))


def words(app: KioskApp) -> str:
    """All that stands on the screen, as one line."""
    return " ".join(" ".join(screen_text(app)).split())


async def all_pages(app: KioskApp, pilot: Pilot[None]) -> str:
    """The text of every page, from the first on: that of the first column."""
    found, seen = first_column(app), set()
    while (page := words(app)) not in seen:
        seen.add(page)
        found += " " + first_column(app)
        await press(app, pilot, "right")
    return found


class Held:
    """A planner that works until it is let go, and what it was asked for."""

    def __init__(self) -> None:
        self.asked: list[int] = []
        self.go_on = Event()
        self._apart = Bench.spare_apart

    def apart(self, bench: Bench, minutes: int) -> Callable[[], SpareAnswer]:
        work = self._apart(bench, minutes)

        def held() -> SpareAnswer:
            self.asked.append(minutes)
            assert self.go_on.wait(LONGEST_WAIT_S)
            return work()

        return held


async def pressed_meanwhile(app: KioskApp, pilot: Pilot[None], *keys: str) -> None:
    """Press keys while something is worked out, which is not waited for."""
    for key in keys:
        pass_time(app)
        send(app, key)
        await pilot.pause(0.02)
        pass_time(app, GAP_S)
        await app.hand_on_what_is_due()
        await pilot.pause(0.02)


def test_keys_work_while_the_answer_is_worked_out(demo_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The planner held the press up. What was worked out for other minutes than are asked for is dropped."""
    held = Held()
    monkeypatch.setattr(Bench, "spare_apart", lambda bench, minutes: held.apart(bench, minutes))

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        in_hand = dict(app.bench.state.works)
        try:
            await pressed_meanwhile(app, pilot, "f2")
            screen = app.screen
            assert isinstance(screen, SpareScreen) and screen.working
            await shown(app, pilot, "Working it out…")
            await pressed_meanwhile(app, pilot, "enter")
            await shown(app, pilot, "one moment")
            assert len(app.screen_stack) == 2
            await pressed_meanwhile(app, pilot, "4", "5")
            await shown(app, pilot, "FIND 45 MIN")
            await pressed_meanwhile(app, pilot, "enter")
            assert screen.minutes == 45 and screen.working and not screen.choices()
            assert app.bench.state.works == in_hand
        finally:
            held.go_on.set()
        await settled(app, pilot)
        answer = screen.answer()
        assert answer is not None and answer.minutes == 45
        assert held.asked == [15, 45]
        assert "BEGIN THIS" in words(app) and "Working it out" not in words(app)

    with_app(demo_shop, walk)


def test_another_place_is_a_key_away_while_the_answer_is_worked_out(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = Held()
    monkeypatch.setattr(Bench, "spare_apart", lambda bench, minutes: held.apart(bench, minutes))

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        try:
            await pressed_meanwhile(app, pilot, "f2", "f3")
            assert isinstance(app.screen, BoardScreen)
        finally:
            held.go_on.set()
        await settled(app, pilot)
        assert isinstance(app.screen, BoardScreen)

    with_app(demo_shop, walk)


def test_an_answer_beside_the_screen_is_the_one_that_the_bench_gives(demo_shop: Path) -> None:
    """It looks at a state of its own, and at what was kept for the answer before."""
    bench = open_bench(demo_shop)
    for minutes in (15, 60):
        assert bench.spare_apart(minutes)() == bench.spare(minutes)
        then = bench.spare_apart(minutes)  # of the moment before
        before = bench.spare(minutes)
        bench.raise_snag(before.suggestions[0].marks[0], "a scratch")
        assert then() == before != bench.spare(minutes)
        assert bench.spare_apart(minutes)() == bench.spare(minutes)
    bench.close()


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_every_word_of_the_answer_stands_on_some_page(demo_shop: Path, size: tuple[int, int]) -> None:
    """At 73x20 the sum was lost with helpers, and what they do was cut without a sign."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.come("pip")
        app.bench.come("odile")
        await press(app, pilot, "f2", "6", "0", "enter")
        screen = app.screen
        assert isinstance(screen, SpareScreen)
        answer = screen.answer()
        assert answer is not None
        assert len({one.by for one in answer.helper_does}) == 2
        assert "BEGIN THIS" in words(app) and "Done in time" in words(app)  # on the first page already
        said = await all_pages(app, pilot)
        assert "…" not in said.replace("Ask for…", "").replace("More…", "").replace(" … ", " to ")
        assert sum_of_slot(answer) in said
        for one, when in theirs_in_turn(answer):
            name = app.bench.shop.people[one.by].name
            assert f"{name} {when}, {one.minutes} min: {suggestion_words(one).what}" in said
        for number, one in enumerate(screen.choices()[: len(answer.suggestions)], 1):
            assert f"{number}. {one.minutes} min: {suggestion_words(one).what}" in said
            assert suggestion_words(one).reason in said

    with_app(demo_shop, walk, size)


def test_what_is_begun_stands_on_the_page(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2")
        screen = app.screen
        assert isinstance(screen, SpareScreen)
        first = screen.choices()[0]
        for _ in range(2):
            if "Page 1 of" in words(app):  # a tap on the text chooses the next, then turns the page
                await tap_line(app, pilot, "Page 1 of")
        assert "Page 2 of" in words(app)
        chosen = screen.choices()[screen.at]
        leads = (f"»or {chosen.minutes} min", f"»{screen.at + 1}. {chosen.minutes} min")
        assert chosen is not first and any(lead in words(app) for lead in leads)
        for _ in range(4):
            if "BEGIN THIS" in words(app):
                await press(app, pilot, "right")
        await tap(app, pilot, "BACK TO THE FIRST")  # nothing of this page can be begun
        assert isinstance(app.screen, SpareScreen) and screen.at == 0 and "»1." in words(app)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, WalkScreen)
        assert set(app.bench.work(app.screen.work).marks) == set(first.marks)

    with_app(demo_shop, walk, (64, 20))


def test_what_was_chosen_is_pointed_at_wherever_it_stands_now(
    demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The row stayed and the thing in it became another: Enter began what nobody had chosen."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2", "down")
        screen = app.screen
        assert isinstance(screen, SpareScreen)
        answer = screen.answer()
        assert answer is not None and len(screen.choices()) > 1
        chosen = screen.choices()[screen.at]
        await pilot.resize_terminal(73, 20)
        await settled(app, pilot)
        await pilot.resize_terminal(120, 36)
        await settled(app, pilot)
        assert screen.choices()[screen.at] is chosen
        others = [one for one in (*answer.suggestions, *answer.instead) if one is not chosen]
        for given, at in (((chosen, *others), 0), ((*others, chosen), len(others)), (tuple(others), 0)):
            new = replace(answer, suggestions=given[:1], instead=given[1:])
            monkeypatch.setattr(screen, "answer", lambda new=new: new)
            screen.show()
            assert screen.at == at
        assert "no longer offered" in words(app)

    with_app(demo_shop, walk, (120, 36))


def test_an_old_sum_says_for_which_minutes_it_is_while_others_are_typed(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2")
        assert "Still shown" not in words(app)
        await press(app, pilot, "1", "2")
        assert "Still shown: what fits in 15 min." in words(app) and "FIND 12 MIN" in words(app)
        await press(app, pilot, "enter")
        assert "Still shown" not in words(app)

    with_app(demo_shop, walk, (73, 20))


def test_a_helper_is_shown_neither_snags_to_decide_nor_the_builders_words(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2", "3", "enter")
        assert "Decide 1 snag" in words(app)
        app.bench.come("pip")
        app.bench.hand_over("pip")
        for minutes in ("3", "25"):
            await press(app, pilot, *minutes, "enter")
            said = await all_pages(app, pilot)
            assert "Decide" not in said and "Look over" not in said and "Order:" not in said
            assert "Squeeze the flutes inward, away from the skin" not in said  # the builder's own words

    with_app(demo_shop, walk, (73, 20))


@pytest.mark.parametrize("size", SIZES[:2], ids=str)
def test_a_part_is_asked_for_and_taken_back_by_finger_and_by_key(
    demo_shop: Path, size: tuple[int, int]
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2", "f12")
        assert isinstance(app.screen, ChoiceScreen)
        await press(app, pilot, "enter")  # nothing is chosen beforehand
        assert not app.bench.asked_for()
        await press(app, pilot, *"nr-07", "enter")
        await tap(app, pilot, "NR-07 first")
        assert foot_text(app).startswith("Saved. NR-07 first, until you take it back.")
        recorded = [
            (one.by, one.body.mark, one.body.wish)
            for one in app.bench.record.journal.after(0)
            if isinstance(one.body, Wished)
        ]
        assert recorded == [("wren", "NR-07", "first")]
        await press(app, pilot, "3", "0", "enter")
        assert "You asked: NR-07 first. F12 takes it back." in await all_pages(app, pilot)
        await press(app, pilot, "f1", "f2")
        await tap(app, pilot, "30 min" if size[0] > 73 else "60 min")
        assert "NR-07: Read" in words(app) and "Why: you asked for it" in words(app)
        await press(app, pilot, "f3")
        assert isinstance(app.screen, BoardScreen)
        assert "You asked: NR-07 first. F2, then F12 takes it back." in words(app)
        await press(app, pilot, "f2")
        await tap(app, pilot, "Ask for…")
        await tap(app, pilot, "Take back: NR-07 first")
        assert not app.bench.asked_for() and "You asked" not in words(app)

    with_app(demo_shop, walk, size)


@pytest.mark.parametrize(("size", "presses"), [((64, 20), 2), ((120, 36), 1)])
def test_what_a_helper_begins_is_read_before(demo_shop: Path, size: tuple[int, int], presses: int) -> None:
    """It stood on another page, and the key of the first began it."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.come("pip")
        await press(app, pilot, "f2", "6", "0", "enter")
        screen = app.screen
        assert isinstance(screen, SpareScreen)
        for number in range(presses):
            assert isinstance(app.screen, SpareScreen) and bench.doer_id == "wren"
            assert ("Pip meanwhile" in words(app)) == (number == presses - 1)
            await press(app, pilot, "f7")
        assert isinstance(app.screen, WalkScreen) and bench.doer_id == "pip"

    with_app(demo_shop, walk, size)


def test_a_kind_is_put_off_from_minutes_and_a_part_from_its_own_page_and_the_place_card(
    demo_shop: Path,
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2")
        await tap(app, pilot, "Ask for…")
        await tap(app, pilot, "Another kind of part")
        await press(app, pilot, *["down"] * 5)
        await tap(app, pilot, "Main rib")
        await tap(app, pilot, "Every main rib not today")
        assert foot_text(app).startswith("Saved. Every main rib not today; tomorrow it is back.")
        await press(app, pilot, "f1")
        await tap(app, pilot, "Ask for…")
        await tap(app, pilot, "NR-03 not today")
        await type_fast(app, pilot, "NR-09")
        await press(app, pilot, "f7")
        await press(app, pilot, *["down"] * 5)
        await tap(app, pilot, "Ask for it first, or not today")
        await press(app, pilot, *["down"] * 2)
        await tap(app, pilot, "NR-09 first")
        assert "You asked: NR-09 first." in words(app)
        said = [(one.mark or one.part_kind, one.wish) for one in app.bench.asked_for()]
        assert said == [("main-rib", "not today"), ("NR-03", "not today"), ("NR-09", "first")]

    with_app(demo_shop, walk, (73, 20))


def test_a_helper_is_offered_first_alone(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.ask_first("NR-07")
        app.bench.come("pip")
        app.bench.hand_over("pip")
        await press(app, pilot, "f2", "f12")
        assert "not today" not in words(app).replace("What comes first, or not today?", "")
        assert "Take back" not in words(app)
        await press(app, pilot, *"NR-01", "enter")
        await tap(app, pilot, "NR-01 first")
        assert foot_text(app).startswith("Saved. NR-01 first, for you, today.")
        await press(app, pilot, "f3")
        assert "Wren asked: NR-07 first. You asked: NR-01 first." in words(app)

    with_app(demo_shop, walk)


def test_each_begins_their_own_parts_of_a_shared_batch(demo_shop: Path) -> None:
    """F2 gave Pip MR-04 and Odile MR-03, and F7 began the batch in one person's hands."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        if not bench.batch_of("MR-01"):
            bench.join_batch(["MR-01", "MR-02", "MR-03", "MR-04"])
        bench.come("pip")
        bench.come("odile")
        await press(app, pilot, "f2", "6", "0", "enter")
        screen = app.screen
        assert isinstance(screen, SpareScreen)
        answer = screen.answer()
        assert answer is not None
        firsts = [one for one, when in theirs_in_turn(answer) if when == "meanwhile"]
        shares = {one.by: set(one.marks) for one in firsts}
        assert len(shares) == 2 and all(mark.startswith("MR") for marks in shares.values() for mark in marks)
        await press(app, pilot, "f7", "f7")  # to what they can do, and then to it
        label = next(one.label for one in app.screen.choices if "Pip" in one.label)  # type: ignore[attr-defined]
        await tap(app, pilot, label)
        assert isinstance(app.screen, WalkScreen) and bench.doer_id == "pip"
        work = bench.work(app.screen.work)
        assert set(work.marks) <= shares["pip"] and work.by == "pip"
        walks_with = set(bench.batch_of(work.marks[0]) or work.marks)
        assert walks_with == shares["pip"]  # never into Odile's
        assert not set(bench.batch_of(min(shares["odile"]))) & shares["pip"]

    with_app(demo_shop, walk)


def test_nothing_is_split_nor_handed_over_for_what_somebody_took_in_hand(demo_shop: Path) -> None:
    """The batch was torn, and the screen was the helper's, though the step was refused."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        marks = [f"MR-0{number}" for number in (1, 2, 3, 4)]
        if not bench.batch_of("MR-01"):
            bench.join_batch(marks)
        bench.come("pip")
        bench.come("odile")
        await press(app, pilot, "f2", "6", "0", "enter")
        screen = app.screen
        assert isinstance(screen, SpareScreen)
        answer = screen.answer()
        assert answer is not None
        theirs = next(
            one for one, when in theirs_in_turn(answer) if when == "meanwhile" and one.by == "odile"
        )
        batch = bench.batch_of(theirs.marks[0])
        await press(app, pilot, "f7", "f7")  # to what they can do, and then to it
        label = next(one.label for one in app.screen.choices if "Odile" in one.label)  # type: ignore[attr-defined]
        another = Bench(demo_shop, bench.record.clocks)
        another.start(theirs.marks[:1], theirs.procedure, theirs.step)
        another.close()
        await tap(app, pilot, label)
        refused = (f"{theirs.marks[0]} is in hand by now", "What was chosen is no longer offered: look again")
        assert any(one in words(app) for one in refused)
        assert bench.batch_of(theirs.marks[0]) == batch and bench.doer_id == "wren"

    with_app(demo_shop, walk)


def test_who_gave_the_screen_away_still_hears_that_it_is_time_to_put_away(new_shop: Path) -> None:
    """The helper had the minutes anew, and nobody heard that the builder's were over."""
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.come("odile")
        await press(app, pilot, "f2", "3", "0", "enter")
        screen = app.screen
        assert isinstance(screen, SpareScreen)
        clocks.go(12)
        screen.show()
        assert screen.minutes == 18, "they go by while the page stands open"
        bench.start(["NR-01"], "rib-blank", bench.position("NR-01").step.id)  # type: ignore[union-attr]
        bench.hand_over("odile")
        app.go("board")
        await settled(app, pilot)
        clocks.go(16)
        assert app.called_out(80).startswith("Wren: PUT AWAY NOW, 2 min left")

    with_app(new_shop, walk, clocks=clocks)


async def tap_line(app: KioskApp, pilot: Pilot[None], begins: str, apart_s: float = 1.0) -> None:
    """Tap the line that begins so, pointed at or not."""
    pass_time(app, apart_s)
    row = next(at for at, one in enumerate(screen_text(app)) if one.lstrip(f" {POINTER}").startswith(begins))
    await touch(app, pilot, (8, row))


def test_a_tap_on_a_line_points_at_it_and_on_the_one_that_is_pointed_at_goes_on(demo_shop: Path) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "f2", "6", "0", "enter")
        screen = app.screen
        assert isinstance(screen, SpareScreen) and f"{POINTER}1. " in words(app)
        other = screen.choices()[1]
        answer = screen.answer()
        assert answer is not None
        lead = f"2. {other.minutes} min" if len(answer.suggestions) > 1 else f"or {other.minutes} min"
        await tap_line(app, pilot, lead)
        assert screen.at == 1 and f"{POINTER}{lead}" in words(app)
        await tap_line(app, pilot, lead, apart_s=0.2)  # the finger bounced
        assert screen.at == 1
        await tap_line(app, pilot, "1. ")
        assert screen.at == 0 and f"{POINTER}1. " in words(app)
        await tap_line(app, pilot, "1. ")
        assert screen.at == 1

    with_app(demo_shop, walk, (120, 44))


@pytest.mark.parametrize("by", ["finger", "down", "up"])
@pytest.mark.parametrize("size", [(73, 20), (80, 24)])
def test_the_first_line_is_pointed_at_where_what_is_in_hand_comes_before_it(
    new_shop: Path, by: str, size: tuple[int, int]
) -> None:
    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        app.bench.shop, _ = with_steps(
            app.bench.shop,
            "rib-blank",
            step(id="turn", do="Turn the cone.", stop="only when finished", minutes={"each": "17"}),
        )
        app.bench.pause(app.bench.start(["NR-01"], "rib-blank", "turn"))
        app.bench.close_sitting("")  # left so, it is in no plan any more
        await press(app, pilot, "f2")
        screen = app.screen
        assert isinstance(screen, SpareScreen)
        assert "PAUSED, and not to be left so" in words(app) and POINTER not in words(app)
        if by == "finger":
            await tap_line(app, pilot, "1. ")
        else:
            await press(app, pilot, by)
        assert screen.at == 0 and f"{POINTER}1. " in words(app)

    with_app(new_shop, walk, size)


def test_what_may_not_be_left_comes_before_anything_else(new_shop: Path) -> None:
    """It named other work, and whoever had a part in the lathe was led away from it."""

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.shop, _ = with_steps(
            bench.shop,
            "rib-blank",
            step(id="turn", do="Turn the cone.", stop="only when finished", minutes={"each": "17"}),
            step(id="file", do="File the cone.", stop="anywhere", minutes={"each": "9"}),
        )
        work = bench.start(["NR-01"], "rib-blank", "turn")
        await press(app, pilot, "f2")
        told = "min left: NR-01: Turn the cone. Finish it before you leave it."
        assert "IN HAND, about" in words(app) and told in words(app)
        assert "BACK TO IT" in words(app)
        assert f"{POINTER}1. " in words(app) and "NR-01: Turn the cone" in words(app), (
            "the plan begins with it"
        )
        assert "more than there are" in words(app) and "it may not be left as it is" in words(app)
        await press(app, pilot, "down")
        assert "BEGIN THIS" in words(app) and told in words(app), "somebody chose something else"
        app.go("place")
        await press(app, pilot, "f2", "enter")
        assert isinstance(app.screen, WalkScreen)
        bench.pause(work)
        await press(app, pilot, "f2")
        assert "PAUSED, and not to be left so: NR-01: Turn the cone." in words(app)
        assert f"{POINTER}1. up to" in words(app) and "it may not be left as it is" in words(app)
        await press(app, pilot, "enter")
        assert isinstance(app.screen, WalkScreen) and bench.work(work).status == "paused"
        bench.take_up(work)
        bench.finish(work, "NR-01")
        work = bench.start(["NR-01"], "rib-blank", "file")
        await press(app, pilot, "f2")
        assert "IN HAND: NR-01: File the cone." in words(app)
        await tap_line(app, pilot, "IN HAND: ")  # its line chose the next of the plan's
        assert isinstance(app.screen, WalkScreen) and app.screen.work == work
        await press(app, pilot, "f2")

        async def at_it() -> None:
            screen = app.screen
            assert isinstance(screen, SpareScreen)
            choices = screen.choices()
            assert work in [one.work for one in choices]
            while choices[screen.at].work != work:
                await press(app, pilot, "down")

        await at_it()
        assert isinstance(app.screen, SpareScreen) and app.screen.at == 0, "it is gone on with"
        assert "BACK TO IT" in words(app)
        bench.pause(work)
        await press(app, pilot, "f2", "3", "0", "enter")  # in fewer it may be left for what more waits for
        await at_it()
        assert "CARRY ON" in words(app), "it is begun already"

    with_app(new_shop, walk)


def test_a_helper_is_not_led_round_by_what_only_another_may_look_at(new_shop: Path) -> None:
    cut = open_bench(new_shop)
    cut.shop, _ = with_steps(cut.shop, "rib-blank", step(id="turn", do="Turn the cone.", who="builder"))
    cut.come("pip")
    cut.start(["NR-01"], "rib-blank", "turn")
    cut.close()

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        bench.shop, _ = with_steps(
            bench.shop, "rib-blank", step(id="turn", do="Turn the cone.", who="builder")
        )
        bench.come("pip")
        bench.hand_over("pip")
        await press(app, pilot, "f2")
        assert "LEFT UNDER WAY, tell the builder: NR-01" in words(app)
        assert "LOOK FIRST" not in words(app) and "BEGIN THIS" in words(app)

    with_app(new_shop, walk)


@pytest.mark.parametrize("size", [(64, 20), (120, 36)])
def test_minutes_that_were_given_run_whatever_is_begun_and_are_not_given_anew(
    new_shop: Path, size: tuple[int, int]
) -> None:
    """They counted only for what was begun from that page's own list; a second look at it, and BEGIN THIS,
    made fifteen of them."""
    clocks = SteadyClocks(NOW)

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        bench = app.bench
        turn = step(id="turn", do="Turn the cone.", stop="only when finished", minutes={"each": "30"})
        bench.shop, _ = with_steps(bench.shop, "rib-blank", turn)
        await press(app, pilot, "f2", "1", "0", "enter")
        assert bench.left_of_slot() == 10
        app.open_part("NR-01")
        await press(app, pilot, "enter")
        assert "and 10 min are left" in words(app) and not bench.state.works
        await press(app, pilot, "down", "enter")
        clocks.go(4)
        app.go("place")
        await press(app, pilot, "f2")
        screen = app.screen
        assert isinstance(screen, SpareScreen) and screen.minutes == 6
        bench.start(["NR-01"], "rib-blank", "turn")
        await press(app, pilot, "enter")
        assert bench.left_of_slot() == 6
        clocks.go(5)
        app.go("place")
        await press(app, pilot, "f2")
        assert "1 minute is left. Shown: what fits in 3 min." in words(app), "it said that 3 are to spare"

    with_app(new_shop, walk, size, clocks)
