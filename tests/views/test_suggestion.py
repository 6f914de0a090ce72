"""A suggestion in words: each reason, each way to leave it, and what is said to a helper."""

from dataclasses import replace

import pytest

from kiosk.planning.reasons import (
    AskedFor,
    EndsPart,
    GoesWithAsked,
    InHand,
    LastStep,
    OneSetUp,
    Opens,
    QuietAfter,
    QuietComesFirst,
    Reason,
    SetUpOut,
    Spoils,
    StepsBefore,
    Usual,
    reason_for,
)
from kiosk.planning.suggestion import Suggestion
from kiosk.planning.times.predictor import Predictor
from kiosk.planning.work.candidate import Stretch
from kiosk.record.context import Context
from kiosk.record.state import PieceTime, State, Times
from kiosk.shop.data import data_folder
from kiosk.shop.load import load_shop
from kiosk.shop.procedure import StepRef
from kiosk.shop.shop import Shop
from kiosk.views.suggestion import left_as_words, suggestion_words, why_words
from tests.conftest import local_time
from tests.planning.stretches import stretch_of

NOW = local_time(2027, 5, 8, 12)


@pytest.fixture(scope="module")
def shop() -> Shop:
    return load_shop(data_folder("scenarios") / "brambling")


def block(shop: Shop, *steps: str) -> Stretch:
    procedure = shop.procedures["form-block"]
    found = [step for step in procedure.steps if step.id in steps]
    return stretch_of(procedure, *found, mark="FB-NR", minutes=9)


@pytest.mark.parametrize(
    ("reason", "words"),
    [
        (Spoils(local_time(2027, 5, 8, 14, 5)), "it spoils after Sat 14:05"),
        (
            QuietAfter(local_time(2027, 5, 8, 21, 51)),
            "it can be begun until 21:51, then quiet hours come first",
        ),
        (
            QuietAfter(local_time(2027, 5, 8, 21, 51), in_hand=True),
            "it has to be ended by 21:51, then quiet hours come first",
        ),
        (
            QuietComesFirst(local_time(2027, 5, 9, 9), None),
            "quiet hours until Sun 09:00 come first, unless you are quicker than usual",
        ),
        (
            QuietComesFirst(local_time(2027, 5, 9, 9), local_time(2027, 5, 9, 0, 30)),
            "quiet hours until Sun 09:00 come first and it spoils after Sun 00:30, "
            "unless you are quicker than usual",
        ),
        (
            QuietComesFirst(local_time(2027, 5, 9, 9), local_time(2027, 5, 9, 12)),
            "quiet hours until Sun 09:00 come first, unless you are quicker than usual",
        ),
        (InHand(), "it is begun already"),
        (Opens(26), "26 parts wait for it"),
        (Opens(1), "1 part waits for it"),
        (EndsPart(("NR-01", "NR-02")), "it finishes NR-01, NR-02"),
        (SetUpOut("bending-brake"), "the set-up is out already"),
        (
            SetUpOut(StepRef("form-block", "saw-outline")),
            "the set-up is out already",
        ),
        (OneSetUp(6), "6 parts for one set-up"),
        (AskedFor(), "you asked for it"),
        (AskedFor(("NR-01",)), "you asked for NR-01"),
        (GoesWithAsked(("NR-01",)), "it goes with NR-01, which you asked for"),
        (Usual(4.6, 5), "it takes you about 5 min by your last 5"),
        (StepsBefore(7), "7 steps still lie before this part"),
        (LastStep(), "it is the last step of this part"),
    ],
)
def test_each_reason_has_its_words(reason: Reason, words: str) -> None:
    assert why_words(reason) == words


def test_the_reason_that_weighs_most_is_given(shop: Shop) -> None:
    wren = shop.people["wren"]
    plain = block(shop, "measure-pattern")
    family = plain.family
    state = State()
    context = Context(shop, state, NOW, 0.0, "", [wren], wren)

    def of(stretch: Stretch, *free: object) -> Reason:
        return reason_for(context, stretch, frozenset(free), Predictor(context))  # type: ignore[arg-type]

    # From the least to the greatest: each goes before all that were given so far.
    assert of(replace(plain, steps_left=2)) == StepsBefore(2)
    ref = StepRef("form-block", "measure-pattern")
    state.times[PieceTime(ref, "wren")] = Times().plus(4, 1).plus(4, 2).plus(4, 3)
    usual = of(plain)
    assert isinstance(usual, Usual) and usual.pieces == 3
    stretch = replace(plain, marks=("FB-NR", "FB-MR"))
    assert of(stretch) == OneSetUp(2)
    assert of(stretch, family) == SetUpOut(family)
    stretch = replace(stretch, steps_left=1)
    assert of(stretch, family) == EndsPart(stretch.marks)
    stretch = replace(stretch, opens=5)
    assert of(stretch, family) == Opens(5)
    stretch = replace(stretch, work="w")
    assert of(stretch, family) == InHand()
    assert of(replace(stretch, spoils_at=NOW), family) == Spoils(NOW)


def test_how_it_can_be_left_follows_from_the_steps(shop: Shop) -> None:
    first, second = (
        {
            stop: step.model_copy(update={"stop": stop})
            for stop in ("anywhere", "between pieces", "only when finished", "go straight on")
        }
        for step in shop.procedures["form-block"].steps[:2]
    )
    end = f"can be left once this is done: {second['only when finished'].do.rstrip('.')}"
    assert left_as_words([second["anywhere"]]) == "can be left at any moment"
    assert left_as_words([second["between pieces"]]) == "can be left after each piece"
    assert left_as_words([second["only when finished"]]) == end
    # A coat that is sprayed with a measurement after it can't be left while the gun is wet.
    assert left_as_words([first["go straight on"], second["only when finished"], first["anywhere"]]) == end
    # A clip is in the brake until the step is done that goes straight on from its clamping.
    assert left_as_words([first["go straight on"], second["between pieces"], first["anywhere"]]) == end
    assert left_as_words([first["between pieces"], second["anywhere"]]) == "can be left after each piece"
    told = second["only when finished"].model_copy(update={"plain": "Look at it."})
    assert left_as_words([told], for_helper=True) == "can be left once this is done: Look at it"
    assert left_as_words([second["only when finished"]], for_helper=True) == end


def test_what_to_do_says_what_it_goes_on_to_and_what_waits(shop: Shop) -> None:
    def said(stretch: Stretch, *, for_helper: bool = False) -> str:
        one = Suggestion(stretch, "wren", for_helper, InHand(), (), 1.0)
        return suggestion_words(one).what

    one = block(shop, "measure-pattern")
    step = one.steps[0][1]
    assert said(one) == f"FB-NR: {step.do}"
    assert step.plain and said(one, for_helper=True) == f"FB-NR: {step.plain}"
    assert said(replace(one, gap_minutes=20)) == f"FB-NR: {step.do} Its wait ends in 20 min."
    assert (
        said(replace(one, minutes_left=25)) == f"FB-NR: {step.do} Begin it: about 25 min of it will be left."
    )
    both = block(shop, "measure-pattern", "check-inset")
    then = both.steps[1][1].do  # whole, in the step's own words
    on = f"Go on, 2 steps, to: {then}"
    assert said(both) == f"FB-NR: {step.do} {on}"
    assert said(replace(both, waiting_minutes=15)) == f"FB-NR: {step.do} 15 min of it is waiting. {on}"
    assert said(replace(both, gap_after=1, gap_minutes=30)) == (
        f"FB-NR: {step.do} Then it waits 30 min ({step.do.rstrip('.')}):"
        f" do the others meanwhile, then go on to: {then}"
    )


def test_why_and_how_it_is_left_are_one_line(shop: Shop) -> None:
    one = Suggestion(block(shop, "measure-pattern"), "wren", False, InHand(), (), 1.0)
    assert suggestion_words(one).reason.startswith("Why: it is begun already; ")
