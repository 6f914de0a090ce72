"""PINs: kept as salted hashes, asked for before somebody's hands are given, and not tried at leisure."""

import json
import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from kiosk.bench import RECORD_FILE, Bench
from kiosk.errors import KioskError
from kiosk.record import pins
from kiosk.record.context import NOBODY
from kiosk.record.events import PinTried
from kiosk.record.rules import NotAllowed, Refused, people
from kiosk.record.rules.pin import ask_pin, seconds_to_wait
from kiosk.views.wrong_pins import wrong_pin_lines
from tests.conftest import SteadyClocks
from tests.driver import set_pins
from tests.record.moments import born, builder, helper, moment, pinned

# RFC 7914 (scrypt), section 12, the third and fourth test vectors: password, salt, N, r, p and 64 bytes out.
# The fourth has the N, r and p that the kiosk uses.
RFC_7914 = (
    (
        "password",
        f"scrypt:1024:8:16:{b'NaCl'.hex()}:"
        "fdbabe1c9d3472007856e7190d01e9fe7c6ad7cbc8237830e77376634b3731622eaf30d92e22a3886ff109279d9830da"
        "c727afb94a83ee6d8360cbdfa2cc0640",
    ),
    (
        "pleaseletmein",
        f"scrypt:16384:8:1:{b'SodiumChloride'.hex()}:"
        "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2d5432955613f0fcf62d49705242a9af9"
        "e61e85dc0d651e40dfcf017b45575887",
    ),
)


USUAL_COST = pins.COST  # before the tests have it cheap


@pytest.fixture(autouse=True)
def usual_cost(monkeypatch: pytest.MonkeyPatch) -> None:
    """Here a PIN costs what it does at the bench."""
    monkeypatch.setattr(pins, "COST", USUAL_COST)


@pytest.mark.parametrize(("typed", "secret"), RFC_7914)
def test_the_hash_is_the_published_one(typed: str, secret: str) -> None:
    assert pins.fits(secret, typed)
    assert not pins.fits(secret, typed + " ")
    assert pins.secret_of("2468").startswith("scrypt:16384:8:1:")


def test_a_pin_is_salted_and_nothing_fits_what_cannot_be_read() -> None:
    one, other = pins.secret_of("2468"), pins.secret_of("2468")
    assert one != other and pins.fits(one, "2468") and pins.fits(other, "2468")
    assert "2468" not in one.split(":")
    for broken in (
        "",
        "2468",
        "plain:1:1:1:00:00",
        one.replace("scrypt", "other"),
        one[:-1],
        one[:-62],
        one + ":",
    ):
        assert not pins.fits(broken, "2468"), broken


@pytest.mark.parametrize("pin", ["", "123", "1" * 13, "12a4", "１２３４", " 1234", "-123"])
def test_what_is_no_pin_is_refused_without_repeating_it(pin: str) -> None:
    with pytest.raises(KioskError, match="a PIN is 4 to 12 digits") as refused:
        pins.check_pin(pin)
    assert not pin.strip() or pin not in str(refused.value)


def test_waits_grow_to_ten_minutes() -> None:
    assert [pins.wait_s(wrong) for wrong in range(8)] == [0, 0, 0, 5, 10, 20, 40, 80]
    assert pins.wait_s(10) == 600 and pins.wait_s(10_000) == 600


@pytest.mark.parametrize(
    ("wrong", "ago_s", "words"),
    [
        (3, 0, "5 s"),
        (7, 0, "80 s"),
        (8, 0, "3 min"),
        (8, 39, "3 min"),
        (8, 40, "2 min"),
        (8, 41, "119 s"),
        (99, 0, "10 min"),
    ],
)
def test_how_long_to_wait_is_said_in_seconds_and_from_two_minutes_in_minutes(
    wrong: int, ago_s: float, words: str
) -> None:
    state = pinned(wren="2468")
    state.pins["wren"] = replace(state.pins["wren"], wrong=wrong, run="a run", at_s=1000.0 - ago_s)
    with pytest.raises(NotAllowed, match=f"was wrong {wrong} times") as refused:
        ask_pin(moment(helper(), builder(), state=state), builder(), "2468")
    assert refused.value.mend == f"wait {words}"


def test_nothing_is_waited_for_where_nothing_was_tried() -> None:
    assert seconds_to_wait(moment(builder()), builder()) == 0


@pytest.fixture
def guarded(new_shop: Path) -> Path:
    """A shop whose builder has the PIN 2468."""
    set_pins(new_shop, wren="2468")
    return new_shop


def _wrong(bench: Bench, times: int, clocks: SteadyClocks) -> None:
    for _ in range(times):
        with pytest.raises(NotAllowed, match="not right"):
            bench.hand_over("wren", "1357")
        clocks.go(11)


def _fails_for(bench: Bench, words: str) -> None:
    with pytest.raises(NotAllowed, match=words):
        bench.hand_over("wren", "2468")
    assert bench.doer_id == NOBODY


def test_a_wait_is_not_shortened_by_a_restart_or_by_the_wall_clock(guarded: Path) -> None:
    clocks = SteadyClocks()
    bench = Bench(guarded, clocks)
    for _ in range(3):
        with pytest.raises(NotAllowed, match="not right"):
            bench.hand_over("wren", "1357")
    _fails_for(bench, "wait 5 s")  # not even the right one, and it is no try
    clocks.at = clocks.at.replace(year=2037)  # the wall clock is set ahead
    _fails_for(bench, "wait 5 s")
    bench.close()
    again = Bench(
        guarded, clocks
    )  # opened anew: it waits from then, for it can't know how long ago they were
    _fails_for(again, "wait 5 s")
    clocks.count_s += 4
    _fails_for(again, "wait 1 s")
    clocks.count_s += 1
    again.hand_over("wren", "2468")
    assert again.doer_id == "wren"
    again.close()


def test_a_second_screen_does_not_forget_what_was_tried_at_the_first(guarded: Path) -> None:
    clocks = SteadyClocks()
    one, other = Bench(guarded, clocks), Bench(guarded, clocks)
    clocks.go(60)  # both are long open
    for _ in range(3):
        with pytest.raises(NotAllowed, match="not right"):
            one.hand_over("wren", "1357")
    _fails_for(other, "was wrong 3 times; wait 5 s")
    clocks.count_s += 5
    with pytest.raises(NotAllowed, match="not right"):
        other.hand_over("wren", "1357")
    _fails_for(other, "wait 10 s")
    _fails_for(one, "wait 10 s")
    one.close()
    other.close()


def test_every_try_is_recorded_and_the_builder_is_told(guarded: Path, clocks: SteadyClocks) -> None:
    bench = Bench(guarded, clocks)
    _wrong(bench, 4, clocks)
    assert bench.state.sitting is None  # a wrong PIN opens nothing
    bench.hand_over("wren", "2468")
    tried = [event.body for event in bench.record.journal.after(0) if isinstance(event.body, PinTried)]
    assert [one.right for one in tried] == [False] * 4 + [True]
    (line,) = wrong_pin_lines(bench.shop, bench.state)
    assert line.startswith("4 wrong PINs for Wren since Sat")
    assert bench.place_card().wrong_pins == (line,)
    bench.note("begun")
    bench.close_sitting("")
    assert not wrong_pin_lines(bench.shop, bench.state)
    bench.close()


def test_a_right_one_ends_the_waits(guarded: Path, clocks: SteadyClocks) -> None:
    bench = Bench(guarded, clocks)
    _wrong(bench, 3, clocks)
    bench.hand_over("wren", "2468")
    bench.hand_over("pip")
    for _ in range(2):  # as free as at first
        with pytest.raises(NotAllowed, match="not right"):
            bench.hand_over("wren", "1357")
    bench.hand_over("wren", "2468")
    bench.close()


def test_nothing_typed_stands_anywhere(guarded: Path, clocks: SteadyClocks) -> None:
    """Not in the record, not in the snapshot, not in what is said."""
    bench = Bench(guarded, clocks)
    with pytest.raises(NotAllowed) as refused:
        bench.hand_over("wren", "97531")
    bench.hand_over("wren", "2468")
    bench.note("begun")
    bench.close()
    stored = sqlite3.connect(guarded / RECORD_FILE)
    bodies = [json.loads(body) for (body,) in stored.execute("SELECT body FROM event")]
    (kept,) = stored.execute("SELECT body FROM snapshot").fetchone()
    stored.close()
    secrets = [body["secret"].split(":")[-2:] for body in bodies if body["kind"] == "pin_set"]
    texts = [json.dumps({**body, "secret": ""}) for body in bodies]
    for hashed in secrets:
        for piece in hashed:
            kept = kept.replace(piece, "")
    for pin in ("97531", '"2468"'):
        assert not any(pin in text for text in (*texts, kept, str(refused.value), repr(refused.value)))


def test_nobody_is_here_and_nobody_has_the_screen_at_a_guarded_start(guarded: Path) -> None:
    bench = Bench(guarded, SteadyClocks())
    assert (bench.people, bench.doer_id) == ([], NOBODY)
    bench.hand_over("pip")  # the youngest may: nobody gains by it
    assert [one.id for one in bench.people] == ["pip"]
    bench.note("hello")
    assert bench.state.sitting is not None and bench.state.sitting.people == ("pip",)
    bench.close()


def test_a_pin_set_meanwhile_takes_the_screen_out_of_those_hands(new_shop: Path) -> None:
    wall, other = Bench(new_shop, SteadyClocks()), Bench(new_shop, SteadyClocks())
    wall.note("begun")
    assert wall.doer_id == "wren"
    other.set_pin("wren", "", "2468")
    with pytest.raises(Refused, match="a PIN was set meanwhile"):
        wall.skip("NR-01", "not on these plans")
    assert wall.doer_id == NOBODY
    wall.hand_over("wren", "2468")
    other.set_pin("wren", "2468", "8642")
    wall.refresh()
    assert wall.doer_id == NOBODY
    wall.close()
    other.close()


def test_a_pin_is_set_with_the_old_one_and_a_helpers_first_with_the_builders(guarded: Path) -> None:
    bench = Bench(guarded, SteadyClocks())
    with pytest.raises(NotAllowed, match="Wren's PIN is not right"):
        bench.set_pin("wren", "1111", "8642")
    with pytest.raises(NotAllowed, match="Wren's PIN is not right"):
        bench.set_pin("odile", "", "2906")  # else anybody could become Odile
    bench.set_pin("odile", "2468", "2906")
    with pytest.raises(NotAllowed, match="Odile's PIN is not right"):
        bench.set_pin("odile", "2468", "")
    bench.set_pin("odile", "2906", "")
    with pytest.raises(Refused, match="Odile has no PIN"):
        bench.set_pin("odile", "", "")
    assert not bench.has_pin("odile") and bench.has_pin("wren")
    bench.close()


def test_nobody_becomes_an_older_person_by_a_press() -> None:
    """In a guarded shop, for everybody without a PIN: who may be given the screen by whose hands."""
    wren, odile = builder(), helper(id="odile", name="Odile")
    kit, pip = helper(id="kit", name="Kit", born=born(16)), helper(born=born(13))
    second = builder(id="second", name="Second")
    state = pinned(wren="2468")
    everybody = moment(wren, odile, kit, pip, second, state=state)
    may = {
        wren: {wren, odile, kit, pip, second},  # their own hands are on the screen
        odile: {odile, kit, pip},
        kit: {kit, pip},
        pip: {pip},
    }
    for hands, gets in may.items():
        for person in (wren, odile, kit, pip, second):
            allowed = people.takes_by_a_word(everybody.seen_by(hands), person)
            assert allowed == (person in gets), (hands.name, person.name)
    twins = helper(id="ida", name="Ida", born=born(13)), helper(id="ivo", name="Ivo", born=born(13))
    alike = moment(wren, *twins, state=pinned(wren="2468"))
    assert people.takes_by_a_word(alike.seen_by(twins[0]), twins[1]), "neither is the older"
    apart = moment(pip, kit, state=pinned(wren="2468"))
    shop_people = {one.id: one for one in (wren, odile, kit, pip, second)}
    apart.shop.people.update(shop_people)  # type: ignore[attr-defined]
    for person, lets in ((odile, False), (second, False), (wren, False)):
        assert people.comes_by_a_word(apart, person) == lets, person.name
    free = moment(pip, kit, wren)  # without a PIN on the builder nothing is guarded
    assert people.takes_by_a_word(free, wren) and people.comes_by_a_word(free, odile)


@pytest.mark.parametrize("person", ["wren", "pip"])
def test_the_first_pin_is_not_set_by_a_childs_hands(
    new_shop: Path, clocks: SteadyClocks, person: str
) -> None:
    """A child who chose the builder's PIN on the page of people would have shut the builder out."""
    bench = Bench(new_shop, clocks)
    bench.come("pip")
    bench.hand_over("pip")
    with pytest.raises(NotAllowed, match="first PIN is set by the builder"):
        bench.set_pin(person, "", "1357")
    assert not bench.has_pin(person)
    bench.hand_over("wren")
    bench.set_pin(person, "", "1357")
    assert bench.has_pin(person)
    bench.close()


def test_hands_are_nobodys_once_a_sitting_began_elsewhere_without_them(
    new_shop: Path, clocks: SteadyClocks
) -> None:
    """Wren gave her PIN at the wall and went; Pip began alone at the tablet."""
    set_pins(new_shop, wren="2468")
    wall, tablet = Bench(new_shop, clocks, watch=True), Bench(new_shop, clocks, watch=True)
    wall.hand_over("wren", "2468")
    tablet.hand_over("pip")
    tablet.note("here")
    assert tablet.state.sitting is not None and tablet.state.sitting.people == ("pip",)
    with pytest.raises(Refused, match="Wren is not at the bench"):
        wall.note("whose is this?")
    assert wall.doer_id == NOBODY
    wall.hand_over("wren", "2468")
    tablet.refresh()
    assert {one.id for one in tablet.people} == {"pip", "wren"} and tablet.doer_id == "pip"
    wall.leave("pip")
    tablet.refresh()
    assert tablet.doer_id == NOBODY, "it was said at the wall that he went"
    for one in (wall, tablet):
        one.close()
