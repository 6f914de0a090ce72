"""What is asked for at the bench: by whom, for how long, and that the record keeps and says it."""

import re
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.logbook.entries import read
from kiosk.record.apply import fold
from kiosk.record.rules import NotAllowed, Refused
from kiosk.record.state import State, Wish
from kiosk.record.wishes import asked_of
from tests.conftest import SteadyClocks, local_time
from tests.driver import do_step
from tests.record.moments import builder, helper, moment

DAY = "2027-05-08"


def asked(bench: Bench) -> list[tuple[str, str, str]]:
    """Who asked for what, as it counts now."""
    return [(one.by, one.mark or one.part_kind, one.wish) for one in bench.asked_for()]


def test_first_lasts_until_it_is_taken_back_and_not_today_ends_with_the_day(
    bench: Bench, clocks: SteadyClocks
) -> None:
    bench.ask_first("NR-04")
    bench.ask_not_today(part_kind="main-rib")
    both = [("wren", "NR-04", "first"), ("wren", "main-rib", "not today")]
    assert asked(bench) == both
    clocks.go_to(local_time(2027, 5, 8, 23, 59))
    assert asked(bench) == both
    clocks.go(2)  # past midnight on the house's clock
    assert asked(bench) == both[:1]
    clocks.go(60 * 24 * 20)
    (wish,) = bench.asked_for()
    bench.take_back_wish(wish)
    assert asked(bench) == []
    with pytest.raises(Refused, match="taken back on another screen"):
        bench.take_back_wish(wish)


def test_the_last_word_on_a_thing_counts_and_the_same_twice_is_recorded_once(bench: Bench) -> None:
    bench.ask_not_today("NR-04")
    bench.ask_first("NR-04")
    assert asked(bench) == [("wren", "NR-04", "first")]
    seq = bench.state.seq
    bench.ask_first("NR-04")
    assert bench.state.seq == seq


def test_a_helper_asks_for_themselves_today_and_puts_nothing_off(bench: Bench, clocks: SteadyClocks) -> None:
    bench.ask_first("NR-05")
    bench.come("pip")
    bench.hand_over("pip")
    bench.ask_first("NR-04")
    with pytest.raises(NotAllowed, match="only the builder does this"):
        bench.ask_not_today("NR-04")
    with pytest.raises(NotAllowed, match="not you who asked"):
        bench.take_back_wish(Wish("wren", "first", "NR-05"))
    own = Wish("pip", "first", "NR-04", day=DAY)
    assert own in bench.asked_for()
    bench.take_back_wish(own)
    bench.ask_first("NR-04")
    bench.hand_over("wren")
    clocks.go(60 * 24)
    assert asked(bench) == [("wren", "NR-05", "first")]  # a helper's of yesterday steers nothing


def test_a_wish_ends_with_its_part_and_what_cannot_be_asked_for_is_refused(bench: Bench) -> None:
    bench.ask_first("BR-01")
    while not bench.position("BR-01").all_done:
        do_step(bench, ["BR-01"])
    assert asked(bench)
    bench.complete("BR-01")
    assert not asked(bench)
    with pytest.raises(Refused, match="nothing is left to do on BR-01"):
        bench.ask_first("BR-01")
    with pytest.raises(Refused, match="no part is marked 'XX-1'"):
        bench.ask_first("XX-1")
    with pytest.raises(Refused, match="no kind of part is called 'boat'"):
        bench.ask_not_today(part_kind="boat")
    with pytest.raises(Refused, match="no kind of part"):
        bench.ask_first()


def test_not_today_needs_to_know_what_day_it_is(bench: Bench, clocks: SteadyClocks) -> None:
    bench.note("so far")
    clocks.at = local_time(2037, 5, 8, 12)
    with pytest.raises(Refused, match="nobody knows when today ends"):
        bench.ask_not_today("NR-04")
    bench.ask_first("NR-04")  # that needs no date
    assert asked(bench) == [("wren", "NR-04", "first")]


def test_it_outlives_a_start_and_a_snapshot_and_an_old_record_has_none(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    bench = Bench(new_shop, clocks)
    bench.ask_first(part_kind="main-rib")
    bench.ask_not_today("NR-04")
    assert fold(bench.record.journal.after(0)) == bench.state
    bench.close()
    again = Bench(new_shop, clocks)
    assert asked(again) == [("wren", "main-rib", "first"), ("wren", "NR-04", "not today")]
    again.close()
    assert State().wishes == ()


def test_it_follows_a_part_that_is_called_otherwise(new_shop: Path, clocks: SteadyClocks) -> None:
    bench = Bench(new_shop, clocks)
    bench.ask_first("FB-NR")
    bench.ask_first(part_kind="block-main")
    bench.close()
    file = new_shop / "shop.yaml"
    text = file.read_text(encoding="utf-8").replace("{first: FB-NR}", "{first: BL-1, renamed_from: FB-NR}")
    text = text.replace("id: block-main\n", "id: main-block\n    renamed_from: [block-main]\n")
    file.write_text(re.sub(r"\bblock-main: 1", "main-block: 1", text), encoding="utf-8")
    again = Bench(new_shop, clocks)
    assert asked(again) == [("wren", "BL-1", "first"), ("wren", "main-block", "first")]
    again.close()


def test_the_logbook_says_in_plain_words_what_was_asked_for(bench: Bench) -> None:
    bench.ask_first("NR-04")
    bench.ask_not_today(part_kind="main-rib")
    bench.come("pip")
    bench.hand_over("pip")
    bench.ask_first("NR-02")
    bench.hand_over("wren")
    bench.take_back_wish(Wish("pip", "first", "NR-02", day=DAY))
    index = read(bench.shop, bench.record.journal.after(0))
    said = [one.text for one in index.entries() if one.what == "asked for"]
    assert said == [
        "Asked, first: NR-04, until it is taken back",
        "Asked, not today: every main rib (words of today's file), for this day",
        "Asked, first: NR-02, for this day",
        "Taken back, first: NR-02, which Pip had asked for",
    ]
    index.close()
    assert any("first: NR-04" in one.what.text for one in bench.life("NR-04"))


def test_what_was_asked_for_first_comes_back_after_the_day_for_which_it_was_put_off(
    bench: Bench, clocks: SteadyClocks
) -> None:
    bench.ask_first("NR-04")
    bench.ask_not_today("NR-04")
    assert asked(bench) == [("wren", "NR-04", "not today")]
    clocks.go(24 * 60)
    assert asked(bench) == [("wren", "NR-04", "first")]
    bench.ask_not_today("NR-04")
    (put_off,) = bench.asked_for()
    bench.take_back_wish(put_off)
    assert asked(bench) == [("wren", "NR-04", "first")]
    bench.ask_not_today("NR-04")
    bench.ask_first("NR-04")  # thought better of it
    assert asked(bench) == [("wren", "NR-04", "first")]


def test_what_the_builder_says_of_a_part_comes_before_what_a_helper_does_and_the_kind() -> None:
    now = moment(builder(), helper())
    kind = now.shop.parts["NR-04"].kind
    builders = Wish("wren", "not today", "NR-04", day=DAY)
    helpers = Wish("pip", "first", "NR-04", day=DAY)
    of_kind = Wish("wren", "first", part_kind=kind)
    for wishes, asks in (
        ((), ""),
        ((builders, helpers), "not today"),
        ((helpers, of_kind, builders), "not today"),
        ((of_kind,), "first"),
        ((Wish("pip", "first", part_kind=kind, day=DAY),), "first"),
        ((helpers,), "first"),
        ((Wish("odile", "not today", "NR-04", day=DAY), helpers), "first"),  # the newest of others
        ((Wish("wren", "first", "NR-05"),), ""),
        ((Wish("wren", "first", "NR-04"), builders), "not today"),  # the newest of them
        ((helpers, Wish("wren", "not today", part_kind=kind, day=DAY)), "not today"),
    ):
        assert asked_of(now, wishes, "NR-04") == asks, wishes
