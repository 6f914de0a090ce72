"""The edges of the rules: the smallest difference that makes a no of a yes, and exactly what is recorded."""

import json
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.record import events as e
from kiosk.record.context import NOBODY, Context, nobody
from kiosk.record.events import ClockSet, TrialBent
from kiosk.record.position import (
    minutes_left_from,
    never_done,
    position,
    revision_changes,
    skipped_steps,
    steps_left,
)
from kiosk.record.rules import (
    ACTS,
    Bodies,
    NotAllowed,
    Refused,
    batches,
    clocks,
    corrections,
    parts,
    people,
    snags,
    steps,
    things,
    trials,
    wishes,
    words,
)
from kiosk.record.rules.own_words import are_words, is_a_name
from kiosk.record.rules.words import digest_of, words_of
from kiosk.record.state import (
    Answer,
    Draft,
    PartState,
    Piece,
    Sitting,
    Snag,
    State,
    StepDone,
    Undoable,
    Walked,
    Work,
)
from kiosk.record.waits import wait_minutes
from kiosk.shop.procedure import Step, StepRef
from kiosk.shop.shop import Person, Shop
from tests.conftest import SteadyClocks, local_time
from tests.driver import ACCEPTED, do_step
from tests.planning.test_spare import complete, take_to
from tests.record.moments import (
    NOW,
    born,
    brambling,
    builder,
    helper,
    moment,
    pinned,
    step,
    with_steps,
    worked_steps,
)

TRY = StepRef("form-block", "try")
YES = {"kind": "yes_no", "id": "seen", "ask": "Seen?"}
NO = {"kind": "yes_no", "id": "dent", "ask": "A dent?", "want": "no"}
ODILE = helper(id="odile", name="Odile")


def kinds(bodies: Bodies) -> list[str]:
    return [body.kind for body in bodies]


def at_work(
    one: Step,
    *pieces: Piece,
    doer: Person | None = None,
    others: tuple[Person, ...] = (),
    state: State | None = None,
    **work: Any,
) -> Context:
    """A step of the form blocks in hand, by default on FB-NR, with its cautions read by whoever works."""
    shop, _ = with_steps(brambling(), "form-block", one, step(id="last"))
    doer, state = doer or builder(), state or State()
    pieces = pieces or (Piece("FB-NR"),)
    given: dict[str, Any] = {"run": "a run", "running_since_s": 400.0, "piece_since": NOW, **work}
    state.works["w"] = Work(
        "w", "form-block", "1", one.id, doer.id, pieces, pieces[0].mark, NOW - timedelta(minutes=10), **given
    )
    read = tuple((doer.id, text) for _, text in steps.cautions_of(shop, one))
    ids = (doer.id, *(other.id for other in others))
    state.sitting = state.sitting or Sitting(ids, NOW, "a run", read=read)
    for piece in pieces:
        state.parts[piece.mark] = replace(state.part(piece.mark), work="w")
    return moment(doer, *others, state=state, shop=shop)


# Begin


def test_the_words_kept_are_those_of_the_procedure_as_it_is_now() -> None:
    now = moment(builder(), shop=brambling())
    procedure = now.shop.procedures["form-block"]
    for one in (procedure, procedure.model_copy(update={"title": "Another"}), procedure):
        for _ in range(2):
            text, (body,) = words.kept(now, one)
            assert isinstance(body, e.ProcedureKept)
            assert body.words == words_of(one) and text == body.text == digest_of(words_of(one))
    for number in range(2 * words._MOST_SAID):
        words.kept(now, procedure.model_copy(update={"title": f"Another {number}"}))
    assert len(words._said) <= words._MOST_SAID


def test_a_step_is_begun_by_name_on_parts_that_stand_at_it() -> None:
    shop, procedure = with_steps(brambling(), "form-block", step(), step(id="last"))
    now = moment(builder(), shop=shop)
    kept, started = steps.begin(now, ["FB-NR", "FB-MR"], TRY)
    assert isinstance(kept, e.ProcedureKept) and isinstance(started, e.WorkStarted)
    assert kept.text == started.text == digest_of(words_of(procedure))
    assert kept.words == words_of(procedure) and len(kept.text) == 16
    assert json.loads(kept.words)["steps"][0] == {  # as in its file: what is not written there is not there
        "id": "try", "do": "Try it", "who": "anyone", "minutes": {"each": 1.0}
    }  # fmt: skip
    assert (started.marks, started.step, started.procedure) == (("FB-NR", "FB-MR"), "try", "form-block")
    assert len(started.work) == 12
    now.state.texts = frozenset({kept.text})
    assert kinds(steps.begin(now, ["FB-NR"], TRY)) == ["work_started"]  # its words are kept once
    for marks, ref, why in (
        ([], TRY, "no part is chosen"),
        (["FB-NR"], StepRef("form-block", "gone"), "no longer in the procedures"),
        (["FB-NR"], StepRef("gone", "try"), "no longer in the procedures"),
        (["FB-NR"], StepRef("form-block", "last"), "FB-NR is not at this step any more"),
        (["FB-NR", "NR-01"], TRY, "NR-01 is not at this step any more"),
    ):
        with pytest.raises(Refused, match=why):
            steps.begin(now, marks, ref)


def test_of_two_parts_whose_limit_ran_out_the_first_is_named() -> None:
    def limit(what: str, minutes_ago: float) -> ClockSet:
        until = NOW - timedelta(minutes=minutes_ago)
        return ClockSet(what=what, kind="within", minutes=30, until=until, procedure="form-block", step="try")

    pieces = (Piece("FB-NR"), Piece("FB-MR"))
    stopped = (("FB-NR", limit("glue", 2)), ("FB-MR", limit("paste", 9)))
    now = at_work(step(), *pieces, status="paused", stopped=stopped)
    with pytest.raises(Refused, match="glue ran out"):
        steps.require_in_time(now, now.state.works["w"], ["FB-NR", "FB-MR"])


def test_a_step_for_one_part_at_a_time_takes_one() -> None:
    shop, _ = with_steps(brambling(), "form-block", step(batch="no"))
    now = moment(builder(), shop=shop)
    assert kinds(steps.begin(now, ["FB-NR"], TRY)) == ["procedure_kept", "work_started"]
    with pytest.raises(Refused, match="one part at a time"):
        steps.begin(now, ["FB-NR", "FB-MR"], TRY)


def test_who_is_barred_is_told_so_before_what_else_is_missing() -> None:
    shop, _ = with_steps(brambling(), "form-block", step(who="builder", tools=("no-such", "none-such")))
    with pytest.raises(NotAllowed, match="only the builder"):
        steps.begin(moment(helper(), builder(), shop=shop), ["FB-NR"], TRY)
    with pytest.raises(Refused, match="tool missing: no-such") as caught:
        steps.begin(moment(builder(), shop=shop), ["FB-NR"], TRY)
    assert not isinstance(caught.value, NotAllowed)
    shop, _ = with_steps(brambling(), "form-block", step(hazards=("ROUTER",), tools=("no-such",)))
    with pytest.raises(NotAllowed, match="out of the room"):
        steps.begin(moment(builder(), helper(born=born(9)), shop=shop), ["FB-NR"], TRY)


# On a step in hand


def test_a_step_that_has_gone_or_was_cut_short_takes_no_tap() -> None:
    now = at_work(step(checks=[YES]), status="unknown")
    for rule, given in (
        (steps.read_cautions, ((),)),
        (steps.turn_to, ("FB-NR",)),
        (steps.type_draft, ("FB-NR", "seen", "y")),
        (steps.answer, ("FB-NR", "seen", "yes")),
        (steps.finish, ("FB-NR",)),
        (steps.pause, ()),
        (steps.take_up, ()),
    ):
        with pytest.raises(Refused, match="cut short"):
            rule(now, "w", *given)
        with pytest.raises(Refused, match="finished, put back or taken back"):
            rule(now, "another", *given)


def test_a_piece_that_is_done_takes_no_more() -> None:
    now = at_work(step(checks=[YES], repeat={"of": "holes", "times": "3"}), Piece("FB-NR"), Piece("FB-MR"))
    for rule, given in (
        (steps.turn_to, ()),
        (steps.count, (1,)),
        (steps.type_draft, ("seen", "y")),
        (steps.answer, ("seen", "yes")),
        (steps.finish, ()),
    ):
        with pytest.raises(Refused, match="FB-TR is not in hand at this step: finished or put back"):
            rule(now, "w", "FB-TR", *given)


def test_a_tap_that_changes_nothing_records_nothing() -> None:
    one = step(checks=[YES], repeat={"of": "holes", "times": "3"})
    now = at_work(one, Piece("FB-NR", count=2, drafts={"seen": (Draft("a run", "y"),)}), Piece("FB-MR"))
    assert steps.turn_to(now, "w", "FB-NR") == []
    assert kinds(steps.turn_to(now, "w", "FB-MR")) == ["turned_to"]
    assert steps.count(now, "w", "FB-NR", 2) == []
    assert steps.type_draft(now, "w", "FB-NR", "seen", "y") == []
    assert steps.type_draft(now, "w", "FB-MR", "seen", "") == []
    assert kinds(steps.type_draft(now, "w", "FB-NR", "seen", "ye")) == ["draft_typed"]
    assert steps.read_cautions(now, "w", ()) == []
    assert kinds(steps.pause(now, "w")) == ["work_paused"]
    assert steps.take_up(now, "w") == []
    assert steps.say_how_it_stands(now, "w", as_shown=True) == []
    with pytest.raises(Refused, match="somebody said meanwhile how it stands"):
        steps.say_how_it_stands(now, "w", as_shown=False)  # it would take a step out of their hands
    paused = at_work(one, status="paused")
    assert steps.pause(paused, "w") == []
    assert kinds(steps.take_up(paused, "w")) == ["work_resumed"]


def test_a_draft_is_as_long_as_a_figure_can_be() -> None:
    now = at_work(step(checks=[YES]))
    (typed,) = steps.type_draft(now, "w", "FB-NR", "seen", "1" * 41)
    assert isinstance(typed, e.DraftTyped) and typed.text == "1" * 40


def test_a_count_goes_from_nought_to_all_and_no_further() -> None:
    now = at_work(step(repeat={"of": "holes", "times": "3"}), Piece("FB-NR", count=1))
    for to in (0, 2, 3):
        (counted,) = steps.count(now, "w", "FB-NR", to)
        assert isinstance(counted, e.Counted) and counted.count == to
    for to in (-1, 4):
        with pytest.raises(Refused, match="the count is 1 of 3"):
            steps.count(now, "w", "FB-NR", to)
    with pytest.raises(Refused, match="nothing is counted"):
        steps.count(at_work(step()), "w", "FB-NR", 1)


def test_a_count_stands_in_place_of_the_one_that_was_seen() -> None:
    one = step(repeat={"of": "holes", "times": "3", "enough": "flat"})
    now = at_work(one, Piece("FB-NR", count=1), Piece("FB-MR", count=1, enough="flat"))
    (counted,) = steps.count(now, "w", "FB-NR", 2, in_place_of=(1, ""))
    assert isinstance(counted, e.Counted) and counted.count == 2
    assert steps.count(now, "w", "FB-MR", 2, in_place_of=(1, "flat"))
    for mark, seen in (("FB-NR", (0, "")), ("FB-NR", (1, "flat")), ("FB-MR", (1, ""))):
        with pytest.raises(Refused, match="meanwhile"):
            steps.count(now, "w", mark, 2, in_place_of=seen)


def test_what_was_asked_of_a_strip_that_is_gone_is_no_answer() -> None:
    """Also where the file has no trial at that step any more, which is then only not named."""
    with pytest.raises(Refused, match="the trial strip that this was asked of was taken back"):
        steps.answer(at_work(step(checks=[YES])), "w", "FB-NR", "seen", "yes", strip=1)


@pytest.mark.parametrize("minutes", [0.5, 1, 20])
def test_whatever_is_set_up_for_is_set_up_ahead(minutes: float) -> None:
    shop, _ = with_steps(brambling(), "form-block", step(minutes={"set_up": minutes, "each": 1}))
    (out,) = steps.set_up(moment(builder(), shop=shop), "FB-NR", TRY)
    assert isinstance(out, e.FamilySetUp)
    assert (out.mark, StepRef(out.procedure, out.step)) == ("FB-NR", TRY)


def test_nothing_is_set_up_for_a_step_without_a_set_up_nor_while_a_part_has_a_question() -> None:
    bare = step(minutes={"each": 1, "put_away": 2})
    shop, _ = with_steps(brambling(), "form-block", bare)
    with pytest.raises(Refused, match="nothing is to be set up"):
        steps.set_up(moment(builder(), shop=shop), "FB-NR", TRY)
    state = State()
    state.parts["FB-NR"] = PartState("FB-NR", passes={"form-block": {"gone": StepDone(NOW, "wren", "1")}})
    where = position(shop, state, "FB-NR")
    assert where.procedure is not None and where.step is None and where.question is not None
    with pytest.raises(Refused, match="not at this step any more"):
        steps.set_up(moment(builder(), shop=shop, state=state), "FB-NR", TRY)


def test_nothing_more_is_counted_on_a_piece_that_a_snag_holds() -> None:
    """It was held while it was chosen, at another screen. What was counted too much is taken back all the
    same."""
    now = at_work(
        step(repeat={"of": "holes", "times": "3", "enough": "flat"}),
        Piece("FB-NR", count=1),
        Piece("FB-MR", count=1),
    )
    now.state.snags["s"] = Snag("s", "FB-NR", "Crack", NOW, "wren", "form-block", "try")
    with pytest.raises(Refused, match="FB-NR is held: Crack"):
        steps.count(now, "w", "FB-NR", 2)
    with pytest.raises(Refused, match="FB-NR is held: Crack"):
        steps.say_enough(now, "w", "FB-NR", 1)
    assert steps.count(now, "w", "FB-NR", 0) and steps.count(now, "w", "FB-MR", 2)


def test_cautions_are_gravest_first_and_each_reads_them_for_themselves() -> None:
    shop = brambling()
    scratch, eyes = shop.hazards["SCRATCH"], shop.hazards["EYES"]
    one = step(hazards=("SCRATCH", "EYES"), cautions=("Mind the cat",))
    own = [("WARNING", eyes.caution), ("CAUTION", scratch.caution), ("CAUTION", "Mind the cat")]
    assert steps.cautions_of(shop, one) == own
    sitting = Sitting(("wren", "pip"), NOW, "a run", read=(("pip", eyes.caution), ("wren", "Mind the cat")))
    now = moment(builder(), helper(), state=State(sitting=sitting))
    assert steps.cautions_to_read(now, one) == own[:2]
    assert steps.cautions_to_read(now.seen_by(helper()), one) == own[1:]
    now.state.sitting = None
    assert steps.cautions_to_read(now, one) == own


def test_cautions_come_before_a_count_an_answer_and_the_end() -> None:
    one = step(cautions=("Mind the cat",), checks=[YES], repeat={"of": "holes", "times": "3"})
    unread = at_work(one, state=State(sitting=Sitting(("wren",), NOW, "a run")))
    for rule, given in ((steps.count, (1,)), (steps.answer, ("seen", "yes")), (steps.finish, ())):
        with pytest.raises(Refused, match="cautions come first"):
            rule(unread, "w", "FB-NR", *given)
    with pytest.raises(Refused, match="1 of 1 cautions were not shown; read every page"):
        steps.read_cautions(unread, "w", ("Mind the dog",))
    (read,) = steps.read_cautions(unread, "w", ("Mind the cat",))
    assert isinstance(read, e.CautionAcknowledged) and read.cautions == ("Mind the cat",)


# Answers

CHECKS = step(
    checks=[
        YES,
        NO,
        {"kind": "count", "id": "holes", "ask": "Holes?", "want": "3"},
        {"kind": "measure", "id": "gap", "ask": "Gap?", "low": ".010", "high": ".020"},
        {"kind": "measure", "id": "angle", "ask": "Angle?", "unit": "deg", "high": "90"},
        {"kind": "lot", "id": "sheet", "ask": "Sheet?", "of": "sheet"},
    ]
)


@pytest.mark.parametrize(
    ("check", "text", "value", "passed"),
    [
        ("seen", "yes", None, True),
        ("seen", " no ", None, False),
        ("dent", "no", None, True),
        ("dent", "yes", None, False),
        ("holes", "3", 3.0, True),
        ("holes", "4", 4.0, False),
        ("gap", ".010", 0.010, True),
        ("gap", ".020", 0.020, True),
        ("gap", ".009", 0.009, False),
        ("gap", ".021", 0.021, False),
        ("angle", "90", 90.0, True),
        ("angle", "91", 91.0, False),
        ("sheet", "sh-01", None, True),
        ("sheet", "SH-03", None, False),
    ],
)
def test_an_answer_is_judged_by_its_limits(check: str, text: str, value: float | None, passed: bool) -> None:
    now = at_work(CHECKS, Piece("NR-01"))
    (given,) = steps.answer(now, "w", "NR-01", check, text)
    assert isinstance(given, e.Answered)
    shown = text.strip().upper() if check == "sheet" else text.strip()
    assert (given.text, given.passed) == (shown, passed)
    assert given.value == (pytest.approx(value) if value is not None else None)
    asked = next(one for one in CHECKS.checks if one.id == check)
    assert given.ask == asked.ask
    wanted = {"seen": "yes", "dent": "no", "holes": "3", "sheet": "a 2024-T3 0.025 sheet"}
    assert given.wanted == wanted.get(check, given.wanted) and given.wanted
    if check == "gap":
        assert "0.01" in given.wanted and "0.02" in given.wanted


@pytest.mark.parametrize(
    ("check", "text", "why"),
    [
        ("seen", "perhaps", "the answer is yes or no"),
        ("seen", "", "the answer is yes or no"),
        ("holes", " ", "nothing is typed yet"),
        ("gap", "", "nothing is typed yet"),
        ("sheet", "TIN-01", "no sheet is marked 'TIN-01'; use one of SH-01, SH-02$"),
        ("sheet", "SH-77", "no sheet is marked 'SH-77'"),
        ("gone", "yes", "this check is no longer on the step"),
    ],
)
def test_an_answer_that_says_nothing_is_refused(check: str, text: str, why: str) -> None:
    with pytest.raises(Refused, match=why):
        steps.answer(at_work(CHECKS, Piece("NR-01")), "w", "NR-01", check, text)


# The end of a step

COUNTED = step(repeat={"of": "holes", "times": "3"}, checks=[YES, NO])
GOOD = {"seen": Answer("yes", None, True), "dent": Answer("no", None, True)}


def test_what_is_still_open_is_said_until_nothing_is() -> None:
    shop = brambling()

    def still_open(count: int, answers: dict[str, Answer]) -> list[str]:
        return steps.open_on_piece(shop, COUNTED, Piece("FB-NR", count=count, answers=answers))

    assert still_open(0, {}) == ["0 of 3 holes", "Seen?", "A dent?"]
    assert still_open(2, GOOD) == ["2 of 3 holes"]
    assert still_open(3, {"seen": GOOD["seen"]}) == ["A dent?"]
    bad = {**GOOD, "dent": Answer("yes", None, False)}
    assert still_open(3, bad) == ["A dent? yes: not as wanted. Measure again or raise a snag"]
    assert still_open(3, GOOD) == []


def test_what_was_wrong_when_it_was_answered_stays_wrong_and_what_is_wrong_now_counts_no_more() -> None:
    shop, one = brambling(), step(checks=[YES])

    def still_open(given: Answer) -> list[str]:
        return steps.open_on_piece(shop, one, Piece("FB-NR", answers={"seen": given}))

    assert still_open(Answer("yes", None, True)) == []
    assert still_open(Answer("yes", None, False)) and still_open(Answer("no", None, True))


def test_a_wrong_answer_on_one_of_a_batch_holds_all_that_go_through_at_once_and_no_others() -> None:
    done = Piece("FB-NR", count=3, answers=GOOD)
    wrong = Piece("FB-MR", count=3, answers={**GOOD, "dent": Answer("yes", None, False)})
    assert _finish(at_work(COUNTED, done, wrong)).marks == ("FB-NR",)
    together = COUNTED.model_copy(update={"batch": "together"})
    with pytest.raises(Refused, match="still open: A dent"):
        steps.finish(at_work(together, done, wrong), "w", "FB-NR")


def test_enough_is_said_once_and_not_where_all_are_done() -> None:
    one = step(repeat={"of": "flutes", "times": "3", "enough": "The web lies flat."})

    def said(*, count: int, enough: str = "") -> list[str]:
        piece = Piece("FB-NR", count=count, enough=enough)
        return kinds(steps.say_enough(at_work(one, piece), "w", "FB-NR", count))

    assert one.repeat is not None and one.repeat.enough is not None
    assert said(count=2) == ["counted"] and said(count=3) == []
    assert said(count=2, enough=one.repeat.enough) == []


def _finish(now: Context, mark: str = "FB-NR") -> e.StepFinished:
    (finished,) = (one for one in steps.finish(now, "w", mark) if isinstance(one, e.StepFinished))
    return finished


def test_a_piece_is_finished_by_itself_and_a_batch_that_goes_together_as_one() -> None:
    done, begun = Piece("FB-NR", count=3, answers=GOOD), Piece("FB-MR")
    assert _finish(at_work(COUNTED, done, begun)).marks == ("FB-NR",)
    with pytest.raises(Refused, match="still open: 0 of 3 holes"):
        steps.finish(at_work(COUNTED, done, begun), "w", "FB-MR")
    together = COUNTED.model_copy(update={"batch": "together"})
    assert _finish(at_work(together, done, begun), "FB-MR").marks == ("FB-NR", "FB-MR")
    with pytest.raises(Refused, match="still open"):
        steps.finish(at_work(together, begun, done), "w", "FB-NR")


def test_a_held_part_is_not_finished_and_holds_a_batch_that_goes_together() -> None:
    done, other = Piece("FB-NR", count=3, answers=GOOD), Piece("FB-MR", count=3, answers=GOOD)
    together = COUNTED.model_copy(update={"batch": "together"})

    def held() -> State:
        both = [Snag(id, "FB-MR", id, NOW, "wren", "", "") for id in ("split", "dented")]
        return State(snags={one.id: one for one in both})

    assert _finish(at_work(COUNTED, done, other, state=held())).marks == ("FB-NR",)
    for one, mark in ((COUNTED, "FB-MR"), (together, "FB-NR")):
        with pytest.raises(Refused, match="FB-MR is held: split"):
            steps.finish(at_work(one, done, other, state=held()), "w", mark)


def test_the_end_of_a_step_says_how_long_by_whom_and_on_which_day() -> None:
    one = step(minutes={"set_up": "4", "each": "2", "put_away": "1"}, family="saws")
    now = at_work(one, running_since_s=400.0, active_s=25.0)  # the clock stands at 1000
    finished = _finish(now)
    assert (finished.active_s, finished.exact) == (625.0, True)
    assert (finished.set_up_minutes, finished.each_minutes, finished.family) == (4.0, 2.0, "saws")
    assert finished.day == "2027-05-08" and not finished.wants_look
    assert finished.revision == now.shop.procedures["form-block"].revision
    assert _finish(at_work(step())).family == "form-block/try"
    assert _finish(at_work(step(), doer=helper(), others=(builder(),))).wants_look
    paused = at_work(one, running_since_s=None, active_s=25.0, status="paused", run="an older run")
    assert (_finish(paused).active_s, _finish(paused).exact) == (25.0, True)


@pytest.mark.parametrize(
    ("work", "exact"),
    [
        ({}, True),
        ({"exact": False}, False),  # the power went meanwhile
        ({"run": "an older run"}, False),  # its clock ran in another run
        ({"piece_since": NOW - timedelta(hours=3)}, True),
        ({"piece_since": NOW - timedelta(hours=3, seconds=1)}, False),
        ({"piece_since": None}, True),  # from a record that has only the beginning of the step
    ],
)
def test_a_time_is_learnt_from_when_it_was_timed_whole(work: dict[str, Any], exact: bool) -> None:
    assert _finish(at_work(step(), **work)).exact is exact


def test_a_time_over_midnight_is_not_learnt_from() -> None:
    late = local_time(2027, 5, 8, 23, 50)
    for minutes, exact in ((9, True), (10, False)):
        now = replace(at_work(step(), piece_since=late), now=late + timedelta(minutes=minutes))
        assert _finish(now).exact is exact


WAITS = [
    {"what": "drying", "must_pass": "30", "before": "last"},
    {"what": "pot life", "within": "120", "begin": "last", "if_missed": "mix anew", "from_check": "try/life"},
]
LIFE = {"kind": "measure", "id": "life", "ask": "Pot life?", "unit": "min", "low": "1"}


def test_the_clocks_that_a_step_sets_are_as_long_as_written_or_as_measured() -> None:
    one = step(checks=[LIFE], waits=WAITS)
    answered = Piece("FB-NR", answers={"life": Answer("90", 90.0, True)})
    dry, life = _finish(at_work(one, answered)).clocks
    assert dry == ClockSet(
        what="drying",
        kind="must_pass",
        minutes=30,
        until=NOW + timedelta(minutes=30),
        procedure="form-block",
        step="last",
        if_missed="",
        set_by="try",
        set_s=1000.0,
        number=1,
    )
    assert life.number == 2
    assert (life.kind, life.minutes, life.until) == ("within", 90, NOW + timedelta(minutes=90))
    assert (life.step, life.if_missed) == ("last", "mix anew")
    assert _finish(at_work(step())).clocks == ()


def test_a_wait_takes_what_was_measured_at_its_step_and_else_what_is_written() -> None:
    one, other = step(checks=[LIFE], waits=WAITS), step(id="other")
    wait = one.waits[1]

    def minutes(at: Step, answers: dict[str, Answer], measured: dict[StepRef, dict[str, float]]) -> float:
        state = State(parts={"FB-NR": PartState("FB-NR", measured=measured)})
        return wait_minutes(state, "form-block", at, wait, Piece("FB-NR", answers=answers))

    own, before = {"life": Answer("90", 90.0, True)}, {TRY: {"life": 75.0}}
    assert minutes(one, own, before) == 90
    assert minutes(other, own, before) == 75  # of another step: what that step measured
    assert minutes(other, {}, {}) == 120
    assert minutes(one, {"life": Answer("-", None, True)}, before) == 75
    assert minutes(other, {}, {StepRef("rib-blank", "try"): {"life": 75.0}}) == 120
    assert minutes(other, {}, {TRY: {"gap": 75.0}}) == 120
    assert wait_minutes(State(), "form-block", one, one.waits[0], Piece("FB-NR")) == 30


# Putting back


@pytest.mark.parametrize(
    "piece",
    [Piece("FB-MR", count=1), Piece("FB-MR", answers=GOOD)],
)
def test_what_was_begun_on_is_not_put_back_as_not_begun(piece: Piece) -> None:
    with pytest.raises(Refused, match="something is already counted or measured"):
        steps.put_back(at_work(COUNTED, Piece("FB-NR"), piece), "w")
    assert kinds(steps.put_back(at_work(COUNTED, Piece("FB-NR"), Piece("FB-MR")), "w")) == ["work_dropped"]
    typed = Piece("FB-MR", drafts={"seen": (Draft("another run", "y"),)})  # which nobody here could take back
    assert kinds(steps.put_back(at_work(COUNTED, Piece("FB-NR"), typed), "w")) == ["work_dropped"]


def test_a_step_is_set_aside_when_its_procedure_has_it_no_more() -> None:
    begun = Piece("FB-NR", count=1)
    now = at_work(COUNTED, begun)
    with pytest.raises(Refused, match="already counted"):
        steps.set_aside(now, "w")
    shop, _ = with_steps(now.shop, "form-block", step(id="last"))
    assert kinds(steps.set_aside(replace(now, shop=shop), "w")) == ["work_dropped"]
    gone = {name: one for name, one in now.shop.procedures.items() if name != "form-block"}
    assert kinds(steps.set_aside(replace(now, shop=replace(now.shop, procedures=gone)), "w")) == [
        "work_dropped"
    ]
    assert kinds(steps.set_aside(at_work(step()), "w")) == ["work_dropped"]


def test_a_step_that_vanished_under_the_hands_says_so() -> None:
    now = at_work(step())
    shop, _ = with_steps(now.shop, "form-block", step(id="last"))
    with pytest.raises(Refused, match="step 'try' is no longer in 'form-block'"):
        steps.finish(replace(now, shop=shop), "w", "FB-NR")
    gone = {name: one for name, one in now.shop.procedures.items() if name != "form-block"}
    with pytest.raises(Refused, match="no longer in"):
        steps.finish(replace(now, shop=replace(now.shop, procedures=gone)), "w", "FB-NR")


def test_a_person_says_how_it_stands_after_a_power_cut() -> None:
    for as_shown, verdict in ((True, "as shown"), (False, "not started")):
        (looked,) = steps.say_how_it_stands(at_work(step(), status="unknown"), "w", as_shown=as_shown)
        assert isinstance(looked, e.Looked) and looked.verdict == verdict


# Parts


def _done(*step_ids: str, **fields: Any) -> State:
    passes = {"form-block": {one: StepDone(NOW, "wren", "1") for one in step_ids}}
    return State(parts={"FB-NR": PartState("FB-NR", passes=passes, **fields)})


def _three() -> Shop:
    return with_steps(brambling(), "form-block", step(id="a"), step(id="b"), step(id="c"))[0]


def test_a_part_is_completed_by_the_builder_and_looked_over_first() -> None:
    ready, unlooked = _done("a", "b", "c"), _done("a", "b", "c", wants_look=(StepRef("form-block", "b"),))
    (completed,) = parts.complete(moment(builder(), state=ready, shop=_three()), "FB-NR")
    assert isinstance(completed, e.PartCompleted) and completed.open_items == ()
    with pytest.raises(NotAllowed, match="only the builder"):
        parts.complete(moment(helper(), builder(), state=_done("a", "b", "c"), shop=_three()), "FB-NR")
    with pytest.raises(Refused, match="waits for the builder's look"):
        parts.complete(moment(builder(), state=unlooked, shop=_three()), "FB-NR")
    with pytest.raises(Refused, match="still has steps to do"):
        parts.complete(moment(builder(), state=_done("a", "b"), shop=_three()), "FB-NR")
    with pytest.raises(Refused, match="already complete"):
        done = _done("a", "b", "c", completed_at=NOW)
        parts.complete(moment(builder(), state=done, shop=_three()), "FB-NR")
    held = _done("a", "b", "c")
    held.snags = {id: Snag(id, "FB-NR", id, NOW, "wren", "", "") for id in ("split", "dented")}
    with pytest.raises(Refused, match="FB-NR is held: split"):
        parts.complete(moment(builder(), state=held, shop=_three()), "FB-NR")


@pytest.mark.parametrize(
    ("done", "wanted", "begins"),
    [
        (("a", "b", "c"), "d", "b"),  # b goes straight on to c, and c to d; a can be left
        (("a", "b", "c"), "c", "b"),
        (("a", "b", "c"), "b", "b"),
        (("a", "b", "c"), "a", "a"),
        (("a", "c"), "d", "c"),  # b was skipped, and holds nothing
        (("a", "b"), "d", "d"),  # so was c
        (("a", "b", "c", "d"), "e", "e"),
        (("a", "b", "c", "d", "e"), "gone", "gone"),  # from the file: as it was asked for
    ],
)
def test_work_again_begins_where_a_run_does(done: tuple[str, ...], wanted: str, begins: str) -> None:
    on = "go straight on"
    run = (step(id="a"), step(id="b", stop=on), step(id="c", stop=on), step(id="d"), step(id="e"))
    shop, _ = with_steps(brambling(), "form-block", *run)
    state = State()
    passes = {"form-block": {one: StepDone(NOW, "wren", "1") for one in done}}
    state.parts["FB-NR"] = PartState("FB-NR", passes=passes)
    now = moment(builder(), state=state, shop=shop)
    assert snags.begin_of_run(now, "FB-NR", StepRef("form-block", wanted)) == StepRef("form-block", begins)
    for mark, ref in (("FB-99", StepRef("form-block", wanted)), ("FB-NR", StepRef("gone", wanted))):
        assert snags.begin_of_run(now, mark, ref) == ref


def test_the_first_step_of_a_procedure_has_no_run_before_it() -> None:
    """Though the last of it goes straight on."""
    run = (step(id="a", stop="go straight on"), step(id="b", stop="go straight on"))
    shop, _ = with_steps(brambling(), "form-block", *run)
    state = State()
    passes = {"form-block": {one: StepDone(NOW, "wren", "1") for one in ("a", "b")}}
    state.parts["FB-NR"] = PartState("FB-NR", passes=passes)
    now = moment(builder(), state=state, shop=shop)
    first = StepRef("form-block", "a")
    assert [snags.begin_of_run(now, "FB-NR", StepRef("form-block", one)) for one in "ab"] == [first, first]
    gone = StepRef("form-block", "gone")
    assert snags.begin_of_run(now, "FB-NR", gone) == gone


def the_dropped(bodies: Bodies) -> e.WorkDropped:
    dropped = bodies[0]
    assert isinstance(dropped, e.WorkDropped)
    return dropped


def test_some_are_put_back_or_all_of_them() -> None:
    now = at_work(COUNTED, Piece("FB-NR"), Piece("FB-MR"))
    some = the_dropped(steps.put_back(now, "w", ["FB-MR", "FB-MR"]))
    assert (some.marks, some.still_together) == (("FB-MR",), False)
    for marks in ((), ("FB-NR", "FB-MR"), ("FB-MR", "FB-NR", "FB-MR")):
        every = the_dropped(steps.put_back(now, "w", marks))
        assert (every.marks, every.still_together) == ((), False)
    assert the_dropped(steps.put_back(now, "w", still_together=True)).still_together
    assert the_dropped(steps.put_back(now, "w", ["FB-NR"], still_together=True)).still_together
    assert the_dropped(steps.set_aside(now, "w")) == the_dropped(steps.put_back(now, "w"))


@pytest.mark.parametrize("other", ["FB-TR", "FB-MR"])
def test_the_rest_of_a_batch_that_is_done_with_a_step_keeps_it_together(other: str) -> None:
    """Those in hand are no others, though they walk in the batch as well."""
    walked = (Walked("FB-NR", "", ""), Walked("FB-MR", "", ""), Walked("FB-TR", "", ""))
    now = at_work(COUNTED, Piece("FB-NR"), Piece("FB-MR"), made="batch", walked=walked)
    now.state.parts[other] = replace(now.state.part(other), batch="batch")
    assert the_dropped(steps.put_back(now, "w")).still_together is (other == "FB-TR")


def test_what_is_counted_of_all_at_once_is_not_put_back_on_some() -> None:
    both = step(repeat={"of": "holes", "times": "3"}, batch="together")
    begun, bare = Piece("FB-MR", count=1), Piece("FB-MR")
    with pytest.raises(Refused, match="so of all of them"):
        steps.put_back(at_work(both, Piece("FB-NR"), begun), "w", ["FB-NR"])
    for one, piece in ((both, bare), (COUNTED, begun)):
        assert the_dropped(steps.put_back(at_work(one, Piece("FB-NR"), piece), "w", ["FB-NR"])).marks


def test_a_step_is_skipped_for_a_reason_and_what_was_in_hand_is_put_back() -> None:
    now = moment(builder(), state=_done("a"), shop=_three())
    kept, skipped = parts.skip(now, "FB-NR", "  not needed ")
    assert isinstance(kept, e.ProcedureKept) and isinstance(skipped, e.StepSkipped)
    assert (skipped.step, skipped.reason, skipped.text) == ("b", "not needed", kept.text)
    with pytest.raises(Refused, match="a skipped step needs a reason"):
        parts.skip(now, "FB-NR", " ")
    with pytest.raises(Refused, match="has no next step"):
        parts.skip(moment(builder(), state=_done("a", "b", "c"), shop=_three()), "FB-NR", "not so")
    with pytest.raises(Refused, match="has no next step"):
        parts.skip(moment(builder(), state=_done("gone"), shop=_three()), "FB-NR", "not so")
    assert kinds(parts.skip(at_work(step()), "FB-NR", "not so")) == [
        "procedure_kept",
        "work_dropped",
        "step_skipped",
    ]
    with pytest.raises(Refused, match="already counted"):
        parts.skip(at_work(COUNTED, Piece("FB-NR", count=1)), "FB-NR", "not so")


def test_a_recorded_step_is_opened_again_and_an_unrecorded_one_is_not() -> None:
    now = moment(builder(), state=_done("a", "b"), shop=_three())
    kept, reopened = parts.reopen(now, "FB-NR", StepRef("form-block", "a"), "crooked")
    assert isinstance(reopened, e.StepReopened) and isinstance(kept, e.ProcedureKept)
    assert (reopened.step, reopened.reason, reopened.text) == ("a", "crooked", kept.text)
    for ref in (StepRef("form-block", "c"), StepRef("rib-blank", "a")):
        with pytest.raises(Refused, match=f"has no record of {ref.step}"):
            parts.reopen(now, "FB-NR", ref, "crooked")
    # A procedure that is there no more has no words to keep, and its steps can still be opened again.
    old = State(parts={"FB-NR": PartState("FB-NR", passes={"old": {"a": StepDone(NOW, "wren", "1")}})})
    (reopened,) = parts.reopen(
        moment(builder(), state=old, shop=_three()), "FB-NR", StepRef("old", "a"), "not so"
    )
    assert isinstance(reopened, e.StepReopened) and reopened.text == ""
    in_hand = at_work(step(id="b"), state=_done("a"))
    found = parts.reopen(in_hand, "FB-NR", StepRef("form-block", "a"), "crooked")
    assert kinds(found) == ["procedure_kept", "work_dropped", "step_reopened"]
    elsewhere = _done("a", work="gone")
    assert kinds(
        parts.reopen(
            moment(builder(), state=elsewhere, shop=_three()), "FB-NR", StepRef("form-block", "a"), "x"
        )
    ) == [
        "procedure_kept",
        "step_reopened",
    ]


def test_where_to_go_on_is_asked_only_where_a_step_vanished() -> None:
    lost = moment(builder(), state=_done("a", "gone"), shop=_three())
    (answered,) = parts.go_on_at(lost, "FB-NR", StepRef("form-block", "b"))
    assert isinstance(answered, e.PlaceAnswered) and answered.step == "b"
    with pytest.raises(Refused, match="'d' is not in the procedure"):
        parts.go_on_at(lost, "FB-NR", StepRef("form-block", "d"))
    with pytest.raises(Refused, match="has no open question"):
        parts.go_on_at(
            moment(builder(), state=_done("a"), shop=_three()), "FB-NR", StepRef("form-block", "b")
        )


def test_what_waits_for_a_step_that_vanished_waits_for_another_one_of_its_own_procedure_alone() -> None:
    shop, done = _two_stages(), StepDone(NOW, "wren", "1")
    first, second = shop.kinds["nose-rib"].procedures[:2]

    def instead_of(passes: dict[str, dict[str, StepDone]], ref: StepRef) -> str:
        state = State(parts={"NR-01": PartState("NR-01", passes=passes)})
        answered = parts.go_on_at(moment(builder(), state=state, shop=shop), "NR-01", ref)[-1]
        assert isinstance(answered, e.PlaceAnswered)
        return answered.instead_of

    gone = {first: {"a": done, "gone": done}}
    assert instead_of(gone, StepRef(first, "b")) == "gone"
    assert instead_of(gone, StepRef(second, "a")) == ""  # there a step may be called the same
    added = {first: {"a": done}, second: {"a": done}}
    assert instead_of(added, StepRef(first, "b")) == ""  # nothing is gone


def _limit(kind: Any = "within", minutes: float = -1, procedure: str = "form-block", of: str = "b") -> State:
    clock = ClockSet(
        what="pot life",
        kind=kind,
        minutes=30,
        until=NOW + timedelta(minutes=minutes),
        procedure=procedure,
        step=of,
        if_missed="mix anew",
        set_by="a",
    )
    return _done("a", clocks=(clock,))


def test_a_time_limit_is_answered_once_it_was_missed() -> None:
    now = moment(builder(), state=_limit(), shop=_three())
    (answered,) = clocks.answer_limit(now, ["FB-NR"], "mixed anew")
    assert isinstance(answered, e.ClockAnswered)
    assert (answered.step, answered.did) == ("b", "mixed anew")
    assert answered.again is not None and answered.again.until == NOW + timedelta(minutes=30)
    for nothing in ("", "  ", "ok", "NR-03"):
        with pytest.raises(Refused, match="nothing says what was done"):
            clocks.answer_limit(now, ["FB-NR"], nothing)
    for state in (
        _limit(minutes=0),
        _limit(minutes=1),
        _limit(kind="must_pass"),
        _done("a"),
    ):
        with pytest.raises(Refused, match="no time limit was missed"):
            clocks.answer_limit(moment(builder(), state=state, shop=_three()), ["FB-NR"], "mixed anew")


def test_what_a_helper_did_is_looked_over_once() -> None:
    ref = StepRef("form-block", "b")
    now = moment(builder(), state=_done("a", "b", wants_look=(ref,)), shop=_three())
    assert kinds(parts.look_over(now, "FB-NR", ref, good=True)) == ["procedure_kept", "looked_over"]
    assert kinds(parts.look_over(now, "FB-NR", ref, good=False)) == ["procedure_kept", "step_reopened"]
    with pytest.raises(Refused, match="waits for no look at a"):
        parts.look_over(now, "FB-NR", StepRef("form-block", "a"), good=True)


def _undoable(event: str, by: str = "wren", **touched: Any) -> Undoable:
    whole: dict[str, Any] = {"parts": {}, "works": {}, "snags": {}, **touched}
    return Undoable(event, f"label of {event}", by, NOW, **whole)


def test_what_something_later_stands_on_is_not_taken_back_before_it() -> None:
    state = State(
        undoables=(
            _undoable("1", parts={"FB-NR": None}),
            _undoable("2", works={"w": None}),
            _undoable("3", snags={"s": None}),
            _undoable("4", parts={"FB-MR": None}, works={"v": None}, snags={"t": None}),
        )
    )
    now = moment(builder(), state=state)
    for event in ("1", "2", "3", "4"):
        assert kinds(parts.undo(now, event)) == ["undone"]
    on_each: list[dict[str, Any]] = [
        {"parts": {"FB-NR": None}},
        {"works": {"w": None}},
        {"snags": {"s": None}},
    ]
    for later in on_each:
        more = State(undoables=(*state.undoables, _undoable("5", **later)))
        refused = 0
        for event in ("1", "2", "3", "4"):
            try:
                parts.undo(moment(builder(), state=more), event)
            except Refused as error:
                assert "'label of 5' came after it" in str(error)
                refused += 1
        assert refused == 1
        assert kinds(parts.undo(moment(builder(), state=more), "5")) == ["undone"]
    two = State(undoables=(_undoable("1", parts={"FB-NR": None}), _undoable("2", parts={"FB-NR": None})))
    with pytest.raises(Refused, match="'label of 2' came after it"):
        parts.undo(moment(builder(), state=two), "1")
    with pytest.raises(Refused, match="cannot be taken back any more"):
        parts.undo(now, "0")
    assert parts.latest_undoable(state) == state.undoables[-1]
    assert parts.latest_undoable(State()) is None


def test_who_did_not_do_it_does_not_take_it_back_but_the_builder_may() -> None:
    state = State(undoables=(_undoable("1", "odile"), _undoable("2", "pip")))
    helpers = moment(ODILE, helper(), builder(), state=state)
    assert kinds(parts.undo(helpers, "1")) == ["undone"]
    with pytest.raises(NotAllowed, match="not you who did it"):
        parts.undo(helpers, "2")
    assert kinds(parts.undo(helpers.seen_by(builder()), "2")) == ["undone"]
    with pytest.raises(Refused, match="any more"):
        parts.undo(helpers, "0")


def test_those_who_may_look_are_the_other_adults_here() -> None:
    shop, _ = with_steps(brambling(), "form-block", step(hold_point="yes"))
    now = moment(builder(), ODILE, helper(born=born(18, -1)), shop=shop)
    assert parts.who_may_look(now, "FB-NR") == [ODILE]
    assert parts.who_may_look(now.seen_by(ODILE), "FB-NR") == [builder()]
    shop, _ = with_steps(brambling(), "form-block", step())
    assert parts.who_may_look(moment(builder(), ODILE, shop=shop), "FB-NR") == []


# Snags


def test_a_snag_is_raised_at_the_step_in_hand_or_the_next_one() -> None:
    words, raised = snags.raise_snag(moment(builder(), state=_done("a"), shop=_three()), "FB-NR", " split ")
    # Nobody may have begun the procedure yet: its words are kept with it, for the logbook.
    assert isinstance(words, e.ProcedureKept) and isinstance(raised, e.SnagRaised)
    assert raised.words_kept == words.text
    assert (raised.text, raised.procedure, raised.step) == ("split", "form-block", "b")
    assert len(raised.snag) == 12
    *_, raised = snags.raise_snag(at_work(step(), state=_done()), "FB-NR", "split")
    assert isinstance(raised, e.SnagRaised) and raised.step == "try"
    *_, raised = snags.raise_snag(
        moment(builder(), state=_done("a", "b", "c"), shop=_three()), "FB-NR", "split"
    )
    assert isinstance(raised, e.SnagRaised) and (raised.procedure, raised.step) == ("", "")
    *_, raised = snags.raise_snag(moment(builder(), state=_done("gone"), shop=_three()), "FB-NR", "split")
    assert isinstance(raised, e.SnagRaised) and (raised.procedure, raised.step) == ("form-block", "")
    for mark, text, why in (("FB-NR", "  ", "a few words"), ("XX-01", "split", "no part is marked 'XX-01'")):
        with pytest.raises(Refused, match=why):
            snags.raise_snag(moment(builder()), mark, text)


def test_a_part_is_worked_again_from_what_it_has_on_record_or_in_hand() -> None:
    def rework(step_id: str, state: State) -> str:
        state.snags = {"s": Snag("s", "FB-NR", "split", NOW, "pip", "form-block", "")}
        now = moment(builder(), state=state, shop=_three())
        (decided,) = snags.decide_snag(
            now, "s", "rework", "worked over", StepRef("form-block", step_id), ACCEPTED
        )
        assert isinstance(decided, e.SnagDecided)
        return decided.back_to_step

    assert rework("a", _done("a")) == "a" and rework("a", State()) == "a"
    for step_id in ("b", "c"):  # it stands at b, and nothing of it is to do again
        with pytest.raises(Refused, match=f"FB-NR has no record of {step_id}"):
            rework(step_id, _done("a"))
    in_hand = at_work(step(id="c"), state=_done("a")).state  # its procedure has another step before it by now
    assert rework("c", in_hand) == "c"


def test_a_snag_is_decided_once_with_a_reason_and_a_known_word() -> None:
    snag = Snag("s", "FB-NR", "split", NOW, "pip", "form-block", "b")

    def decide(
        decision: str, reason: str = " so it is ", back_to: StepRef | None = None, was: str = ""
    ) -> e.SnagDecided:
        done = {"form-block": {step: StepDone(NOW, "wren", "1") for step in ("a", "b")}}
        state = State(
            snags={"s": replace(snag, decision=was)}, parts={"FB-NR": PartState("FB-NR", passes=done)}
        )
        (decided,) = snags.decide_snag(
            moment(builder(), state=state), "s", decision, reason, back_to, ACCEPTED
        )
        assert isinstance(decided, e.SnagDecided)
        return decided

    for decision, back in (
        ("use as is", ("", "")),
        ("scrap and remake", ("", "")),
        ("rework", ("form-block", "b")),
    ):
        found = decide(decision)
        assert (found.decision, found.reason, found.accepted_by) == (decision, "so it is", "wren")
        assert (found.back_to_procedure, found.back_to_step) == back
    found = decide("rework", back_to=StepRef("form-block", "a"))
    assert (found.back_to_procedure, found.back_to_step) == ("form-block", "a")
    assert decide("use as is", back_to=StepRef("form-block", "a")).back_to_step == ""
    for given, why in (
        (("use as is", " "), "needs its reason"),
        (("hope", "so it is"), "'hope' is no decision"),
        (("rework", "so it is", None, "use as is"), "already decided"),
        (("rework", "so it is", StepRef("form-block", "c")), "no record of c"),
        (("rework", "so it is", StepRef("no-such", "thing")), "no record of thing"),
    ):
        with pytest.raises(Refused, match=why):
            decide(*given)
    with pytest.raises(Refused, match="already decided"):
        snags.decide_snag(moment(builder()), "another", "rework", "not so")


# People


def test_a_sitting_opens_with_those_who_are_there_and_a_second_screen_joins_it() -> None:
    now = moment(builder(), helper())
    joined = people.open_sitting(now, "wren")
    assert joined == [e.ScreenTaken(person="wren")]
    now.state.sitting = Sitting(("wren",), NOW, "another run")
    assert people.open_sitting(now, "pip") == [e.PersonCame(person="pip"), e.ScreenTaken(person="pip")]
    now.state.sitting = None
    assert people.open_sitting(now, "") == [e.SittingOpened(people=("wren", "pip"))]
    assert people.open_sitting(now, NOBODY) == [e.SittingOpened(people=("wren", "pip"))]


def test_the_screen_is_the_builders_at_first_unless_a_pin_guards_it() -> None:
    assert people.hands_at_first(State(), [helper(), builder()]) == "wren"
    assert people.hands_at_first(pinned(wren="4711"), [helper(), builder()]) == NOBODY
    assert people.hands_at_first(pinned(pip="4711"), [helper(), builder()]) == "wren"
    assert people.hands_at_first(State(), [helper()]) == NOBODY
    assert people.hands_at_first(State(), []) == NOBODY


def _with_all(now: Context, *more: Person) -> Context:
    return replace(now, shop=replace(now.shop, people={**now.shop.people, **{one.id: one for one in more}}))


def test_who_comes_twice_came_once_and_a_builder_with_a_pin_gives_it_to_helpers() -> None:
    state = pinned(wren="4711", second="4712")
    now = _with_all(moment(helper(), state=state), builder(), ODILE)
    assert people.come(now, "pip") == []
    assert people.come(now, "odile") == [e.PersonCame(person="odile")]
    with pytest.raises(NotAllowed, match="PIN is not right"):
        people.come(now, "wren", "1234")
    assert people.come(now, "wren", "4711") == [
        e.PinTried(person="wren", right=True),
        e.PersonCame(person="wren"),
    ]
    second = _with_all(moment(builder(), state=state), builder(id="second", name="Second"))
    assert people.come(second, "second") == [e.PersonCame(person="second")]
    for rule in (
        people.come,
        people.leave,
        people.hand_over,
    ):
        with pytest.raises(Refused, match="nobody is called 'fox'"):
            rule(now, "fox")


def test_one_says_oneself_that_one_goes_or_an_adult_does_and_somebody_stays() -> None:
    young = helper(born=born(12))
    now = _with_all(moment(builder(), young, ODILE), helper(id="away", name="Away"))
    assert people.leave(now, "pip") == [e.PersonWent(person="pip")]
    assert people.leave(now, "away") == []
    assert people.leave(now.seen_by(young), "pip") == [e.PersonWent(person="pip")]
    with pytest.raises(NotAllowed, match="Odile says so, or an adult"):
        people.leave(now.seen_by(young), "odile")
    with pytest.raises(Refused, match="somebody has to be at the bench"):
        people.leave(moment(builder()), "wren")


def test_the_screen_is_handed_over_to_who_gives_their_pin_and_is_then_here() -> None:
    guarded = helper(id="kit", name="Kit")
    state = pinned(kit="2906")
    now = _with_all(moment(builder(), ODILE, state=state), guarded)
    assert people.hand_over(now, "odile") == [e.ScreenTaken(person="odile")]
    assert people.hand_over(now, "kit", "2906") == [
        e.PinTried(person="kit", right=True),
        e.PersonCame(person="kit"),
        e.ScreenTaken(person="kit"),
    ]
    with pytest.raises(NotAllowed, match="Kit's PIN"):
        people.hand_over(now, "kit", "")
    # Who went at another screen may have left this one behind with their name on it.
    with pytest.raises(NotAllowed, match="Kit's PIN"):
        people.hand_over(now.seen_by(guarded), "kit")
    here = _with_all(moment(guarded, ODILE, state=pinned(kit="2906")))
    assert people.hand_over(here, "kit") == [e.ScreenTaken(person="kit")]


def test_a_room_is_cleared_of_those_who_are_in_it() -> None:
    shop, _ = with_steps(brambling(), "form-block", step(hazards=("ROUTER",)), step(id="quiet"))
    now = moment(builder(), helper(born=born(12)), shop=shop)
    assert people.clear_room(now, TRY) == [e.RoomCleared(people=("pip",))]
    assert people.clear_room(now, StepRef("form-block", "quiet")) == []
    with pytest.raises(Refused, match="no longer in the procedures"):
        people.clear_room(now, StepRef("form-block", "gone"))


def test_what_is_closed_up_is_closed_once() -> None:
    now = moment(builder())
    (closed,) = people.close_up(now, " clamps on ", ["FB-NR"], "saw it")
    assert closed == e.SittingClosed(
        note="clamps on", left=("FB-NR",), next_step="saw it", closing_minutes=now.shop.file.put_away
    )
    now.state.sitting = None
    assert people.close_up(now, "", [], "") == []


# Things


@pytest.mark.parametrize("reading", [(-40.0, None), (140.0, None), (None, 0.0), (None, 100.0), (68.0, 55.0)])
def test_the_rooms_air_is_what_an_instrument_can_show(reading: tuple[float | None, float | None]) -> None:
    (noted,) = things.read_room(moment(builder()), *reading)
    assert isinstance(noted, e.ConditionsNoted)
    assert (noted.temperature_f, noted.humidity_percent) == reading


@pytest.mark.parametrize(
    ("reading", "why"),
    [
        ((None, None), "nothing was read"),
        ((-40.1, None), "is not a room's temperature; give -40 to 140"),
        ((140.1, None), "is not a room's temperature"),
        ((float("nan"), None), "is not a room's temperature"),
        ((None, -0.1), "is not a humidity; give 0 to 100"),
        ((None, 100.1), "is not a humidity"),
        ((68.0, float("nan")), "is not a humidity"),
    ],
)
def test_air_that_cannot_be_is_not_recorded(reading: tuple[float | None, float | None], why: str) -> None:
    with pytest.raises(Refused, match=why):
        things.read_room(moment(builder()), *reading)


def test_stock_is_counted_from_nothing_to_a_great_deal() -> None:
    now = moment(builder())
    for left in (0.0, 0.5, 1_000_000.0):
        assert things.count_stock(now, "sandpaper", left) == [
            e.StockCounted(consumable="sandpaper", left=left)
        ]
    for left in (-0.1, 1_000_001.0, float("nan"), float("inf")):
        with pytest.raises(Refused, match="cannot be"):
            things.count_stock(now, "sandpaper", left)
    with pytest.raises(Refused, match="no consumable is called 'varnish'"):
        things.count_stock(now, "varnish", 1)


def test_a_note_is_on_a_part_that_there_is_or_on_the_whole() -> None:
    now = moment(builder())
    assert things.write_note(now, " dry ") == [e.NoteWritten(text="dry", mark="")]
    assert things.write_note(now, "dry", "FB-NR") == [e.NoteWritten(text="dry", mark="FB-NR")]
    assert things.write_note(now, "  ", "FB-NR") == []
    with pytest.raises(Refused, match="no part is marked 'XX-01'"):
        things.write_note(now, "dry", "XX-01")


def test_a_trial_strip_is_recorded_when_its_figures_can_be() -> None:
    strip = TrialBent(
        alloy="2024-T3",
        thickness_in=0.025,
        inside_radius_in=0.125,
        flat_length_in=4.0,
        leg_a_in=2.05,
        leg_b_in=2.04,
        angle_deg=90,
        set_angle_deg=95,
        grain="along",
    )
    now = moment(builder())
    assert trials.record_trial(now, strip) == [strip]
    with pytest.raises(KioskError):
        trials.record_trial(now, replace(strip, thickness_in=-0.025))


# Where a part stands


def _place(state: State, shop: Shop | None = None) -> tuple[str | None, int, int, str]:
    where = position(shop or _three(), state, "FB-NR")
    return (where.step.id if where.step else None, where.number, where.of, where.vanished)


def test_a_part_stands_after_the_last_of_what_was_done_on_it() -> None:
    assert _place(State()) == ("a", 1, 3, "")
    assert _place(_done("a")) == ("b", 2, 3, "")
    assert _place(_done("c", "a")) == (None, 0, 0, "")  # a step put in before is not asked for again
    assert _place(_done("gone", "b")) == ("c", 3, 3, "")
    assert _place(_done("a", "gone")) == (None, 0, 3, "gone")
    assert _place(_done("a", "gone", placed={"form-block": "b"})) == ("b", 2, 3, "")
    assert _place(_done("a", placed={"form-block": "c"})) == ("c", 3, 3, "")
    assert _place(_done("a", placed={"form-block": "lost"})) == ("b", 2, 3, "")
    done = position(_three(), _done("a", "b", "c"), "FB-NR")
    assert done.all_done and not done.completed and done.stage == 1
    finished = position(_three(), _done("a", completed_at=NOW), "FB-NR")
    assert finished.completed and not finished.all_done and finished.step is None
    assert (finished.stage, finished.number, finished.of) == (0, 0, 0)


def _two_stages() -> Shop:
    """The nose ribs with two steps in each of their first two stages."""
    shop = brambling()
    for name in shop.kinds["nose-rib"].procedures:
        shop, _ = with_steps(shop, name, step(id="a"), step(id="b"))
    return shop


def test_what_is_left_begins_with_the_next_step_and_goes_to_the_end_of_the_route() -> None:
    shop = _two_stages()
    names = list(shop.kinds["nose-rib"].procedures)
    whole = [(name, one) for name in names for one in ("a", "b")]

    def left(passes: dict[str, dict[str, StepDone]], **fields: Any) -> list[tuple[str, str]]:
        state = State(parts={"NR-01": PartState("NR-01", passes=passes, **fields)})
        found = steps_left(shop, state, "NR-01")
        assert minutes_left_from(shop, state, position(shop, state, "NR-01")) == len(found)  # a minute each
        return [(procedure.id, one.id) for procedure, one in found]

    done = StepDone(NOW, "wren", "1")
    assert left({}) == whole
    assert left({names[0]: {"a": done}}) == whole[1:]
    assert left({names[0]: {"a": done, "b": done}}) == whole[2:]
    assert left({names[0]: {"a": done, "b": done}, names[1]: {"a": done}}) == whole[3:]
    assert left({names[0]: {"gone": done}}) == []
    assert left({}, completed_at=NOW) == []
    where = position(shop, State(), "NR-01")
    assert (where.stage, where.number, where.of) == (0, 1, 2)


def test_what_was_skipped_is_listed_with_its_reason() -> None:
    passes = {
        "form-block": {"a": StepDone(NOW, "wren", "1"), "b": StepDone(NOW, "wren", "1", skipped="not needed")}
    }
    state = State(parts={"FB-NR": PartState("FB-NR", passes=passes)})
    assert skipped_steps(state, "FB-NR") == [(StepRef("form-block", "b"), "not needed")]
    passes["form-block"]["c"] = StepDone(NOW, "wren", "1")
    (completed,) = parts.complete(moment(builder(), state=state, shop=_three()), "FB-NR")
    assert isinstance(completed, e.PartCompleted)
    assert completed.open_items == ("form-block/b skipped: not needed",)


def test_a_step_put_in_before_the_one_in_hand_is_told_and_stays_open() -> None:
    """The guide is clamped to a line that a new revision has one draw first, and the long cut comes next."""
    three = _three()
    newer = three.procedures["form-block"].model_copy(update={"revision": "2", "reason": "a line first"})
    shop = replace(three, procedures={**three.procedures, "form-block": newer}, _steps={})
    title = newer.title
    state = _done("a", work="w")
    state.works["w"] = Work("w", "form-block", "1", "c", "wren", (Piece("FB-NR"),), "FB-NR", NOW)
    assert revision_changes(shop, state, "FB-NR") == [
        f"{title}: revision 1 is now 2 (a line first)",
        "added before this step and not done on FB-NR: b",
    ]
    assert never_done(shop, state, "FB-NR") == []  # what is in hand is not done yet
    after = _done("a", "c")
    assert never_done(shop, after, "FB-NR") == [StepRef("form-block", "b")]
    (completed,) = parts.complete(moment(builder(), state=after, shop=shop), "FB-NR")
    assert isinstance(completed, e.PartCompleted)
    assert completed.open_items == ("form-block/b never done: put in since",)
    assert never_done(shop, _done("b", "c", placed={"form-block": "b"}), "FB-NR") == []


def test_a_new_revision_is_told_with_what_was_put_in_before_the_next_step() -> None:
    three = _three()
    first = three.procedures["form-block"].model_copy(update={"revision": "1"})
    shop = replace(three, procedures={**three.procedures, "form-block": first}, _steps={})
    procedure = first.model_copy(update={"revision": "2", "reason": "drier glue"})
    newer = replace(shop, procedures={**shop.procedures, "form-block": procedure}, _steps={})
    title = procedure.title
    assert revision_changes(shop, _done("a"), "FB-NR") == []
    assert revision_changes(newer, State(), "FB-NR") == []
    assert revision_changes(newer, _done("a"), "FB-NR") == [f"{title}: revision 1 is now 2 (drier glue)"]
    assert revision_changes(newer, _done("b"), "FB-NR") == [
        f"{title}: revision 1 is now 2 (drier glue)",
        "added before this step and not done on FB-NR: a",
    ]
    assert revision_changes(newer, _done("a", "gone"), "FB-NR") == [
        f"{title}: revision 1 is now 2 (drier glue)"
    ]
    assert revision_changes(newer, _done("a", "b", "c"), "FB-NR") == []


# The door

WHO = {
    "answer": "whoever may do it on that part",
    "answer_limit": "the builder",
    "look_at_clock": "an adult",
    "mark_clock": "an adult",
    "begin": "as the rule says",
    "begin_batch": "as the rule says",
    "begin_slot": "whoever is here",
    "ask_first": "whoever is here",
    "ask_not_today": "the builder",
    "take_back_wish": "whoever is here",
    "join": "whoever is here",
    "split": "whoever is here",
    "clear_room": "an adult",
    "close_up": "an adult",
    "come": "anybody",
    "complete": "the builder",
    "another_trial": "whoever may do it on that part",
    "count": "whoever may do it on that part",
    "count_stock": "an adult",
    "decide_snag": "the builder",
    "finish": "whoever may do it on that part",
    "correct": "whoever is here",
    "go_on_at": "the builder",
    "hand_over": "anybody",
    "leave": "whoever is here",
    "look_over": "the builder",
    "pause": "whoever is here",
    "put_back": "whoever may do the step",
    "raise_snag": "whoever is here",
    "read_cautions": "whoever may do the step",
    "read_room": "whoever is here",
    "record_trial": "an adult",
    "correct_trial": "an adult",
    "retract_trial": "an adult",
    "reopen": "the builder",
    "say_enough": "whoever may do it on that part",
    "say_how_it_stands": "whoever may do the step",
    "second_look": "as the rule says",
    "set_aside": "the builder",
    "set_pin": "anybody",
    "set_up": "as the rule says",
    "skip": "the builder",
    "take_up": "whoever may do the step",
    "turn_to": "whoever may do it on that part",
    "type_draft": "whoever may do it on that part",
    "undo": "whoever did it, or the builder",
    "write_note": "whoever is here",
    "type_words": "whoever is here",
}


def test_every_act_goes_through_the_door_which_knows_who_may_do_it() -> None:
    assert {act.name: act.who for act in ACTS.values()} == WHO
    for name, act in ACTS.items():  # and what the bench calls is the one that asks
        modules = (batches, clocks, corrections, parts, people, snags, steps, things, trials, wishes)
        module = next(module for module in modules if hasattr(module, name))
        assert getattr(module, name) is act.decide and act.name == name


def test_until_somebody_says_who_they_are_nothing_is_done_but_that() -> None:
    now = at_work(step(checks=[YES])).seen_by(nobody())
    given: dict[str, tuple[object, ...]] = {
        "pause": ("w",),
        "write_note": ("dry",),
        "read_room": (68.0, None),
    }
    for name, arguments in given.items():
        with pytest.raises(NotAllowed, match="nobody has the screen yet; F4"):
            ACTS[name].decide(now, *arguments)
        assert ACTS[name].decide(now.seen_by(builder()), *arguments)
    assert people.hand_over(now, "wren") == [e.ScreenTaken(person="wren")]


def test_the_door_asks_for_the_step_in_hand_with_these_people_here(
    bench: Bench, clocks: SteadyClocks
) -> None:
    take_to(bench, ["FB-NR"], "form-block/saw-outline")
    work = bench.start(["FB-NR"], "form-block", "saw-outline")
    bench.come("pip")
    with pytest.raises(NotAllowed, match="Pip must be out of the room"):
        bench.acknowledge(work)
    bench.pause(work)  # what makes things safe is everybody's
    with pytest.raises(NotAllowed, match="Pip must be out of the room"):
        bench.take_up(work)
    bench.clear_room(StepRef("form-block", "saw-outline"))
    bench.take_up(work)
    bench.hand_over("pip")
    with pytest.raises(NotAllowed, match="FB-NR is under way: Pip must be out of the room"):
        bench.acknowledge(work)
    with pytest.raises(NotAllowed, match="an adult does this"):
        bench.count_stock("sandpaper", 1)
    with pytest.raises(NotAllowed, match="only the builder does this"):
        bench.skip("FB-NR", "not so")


def test_who_gave_the_second_look_does_not_do_the_step_and_is_told_on_which_part() -> None:
    for looked, first in ((("FB-MR",), "FB-MR"), (("FB-NR", "FB-MR"), "FB-NR")):
        now = at_work(step(hold_point="yes", checks=[YES]), Piece("FB-NR"), Piece("FB-MR"), others=(ODILE,))
        for mark in looked:
            now.state.parts[mark] = replace(now.state.part(mark), looked={TRY: "wren"})
        with pytest.raises(NotAllowed, match=f"Wren gave the second look at {first}; hand the screen over"):
            ACTS["answer"].decide(now, "w", "FB-NR", "seen", "yes")
        assert ACTS["answer"].decide(now.seen_by(ODILE), "w", "FB-NR", "seen", "yes")
    no_longer = at_work(step(checks=[YES]))
    no_longer.state.parts["FB-NR"] = replace(no_longer.state.part("FB-NR"), looked={TRY: "wren"})
    assert ACTS["answer"].decide(no_longer, "w", "FB-NR", "seen", "yes")


def test_a_whole_part_is_completed_through_the_bench(bench: Bench) -> None:
    complete(bench, "BR-01")
    assert bench.position("BR-01").completed
    do_step(bench, ["FB-NR"])
    assert bench.position("FB-NR").number == 2


@pytest.mark.parametrize(
    ("text", "words", "name"),
    [
        ("so", False, True),
        ("dry", True, True),
        ("x", False, False),
        ("1 2", False, False),
        ("NR-01", False, False),
    ],
)
def test_own_words_have_letters_and_are_no_mark(text: str, words: bool, name: bool) -> None:
    assert (are_words(brambling(), text), is_a_name(brambling(), text)) == (words, name)


def test_a_time_that_follows_from_the_part_is_learnt_for_its_kind_and_of_two_kinds_for_none() -> None:
    shop = brambling()
    procedure, worked = next(
        (procedure, one)
        for procedure, one in worked_steps(shop)
        if sum(procedure.id in kind.procedures for kind in shop.kinds.values()) > 1
        and not all(step.times_are_worked for step in procedure.steps)
    )
    one, other = [kind for kind in shop.kinds.values() if procedure.id in kind.procedures][:2]
    marks = shop.marks_of(one.id)[:2]
    assert steps._learnt_for(shop, procedure, worked, marks) == one.id
    assert steps._learnt_for(shop, procedure, worked, [*marks, shop.marks_of(other.id)[0]]) == ""
    plain = next(step for step in procedure.steps if not step.times_are_worked)
    assert steps._learnt_for(shop, procedure, plain, marks) == ""
