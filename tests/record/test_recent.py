"""What was said and worked on last is offered first."""

from dataclasses import replace
from pathlib import Path

from kiosk.record.events import Answered, Corrected, TrialRetracted
from kiosk.record.recent import recent_marks
from tests.driver import do_step
from tests.record.test_trials import open_bench


def test_words_are_those_of_the_same_question_the_newest_first_and_each_once(new_shop: Path) -> None:
    bench = open_bench(new_shop)
    bench.raise_snag("NR-01", "Nick in the edge")
    for note in ("Good grain", "Bend relief is tight", "Good grain"):
        bench.note(note, "NR-02")
    bench.skip("NR-03", "Done on the other bench")
    assert bench.recent_words("note/NR-09") == ["Good grain", "Bend relief is tight"]
    assert bench.recent_words("snag/NR-09") == ["Nick in the edge"]
    assert bench.recent_words("skip/NR-09") == ["Done on the other bench"]
    bench.close_sitting("Two clamps on the block")
    assert bench.recent_words("close-up")[0] == "Two clamps on the block"
    bench.close()


def test_two_dozen_words_are_offered_and_those_of_a_lot_as_they_are_printed(new_shop: Path) -> None:
    bench = open_bench(new_shop)
    for number in range(30):
        bench.note(f"note {number}")
    assert bench.recent_words("note") == [f"note {number}" for number in range(29, 5, -1)]
    answered = Answered(work="w", mark="NR-01", check="lot", text="al-24 a", lot="a sheet")
    no_lot = replace(answered, text="0.5", lot="")
    gone = TrialRetracted(trial="e1", number=1, why="bent wrong way")
    corrected = Corrected(
        finished="e",
        work="w",
        marks=("NR-01",),
        given_on="NR-01",
        procedure="p",
        step="s",
        what="minutes",
        text="5",
        was="50",
        value=5.0,
        reason="forgot it",
    )
    for body in (answered, no_lot, gone, corrected):
        bench.record.transact(lambda _, body=body: [body], by="wren", tap=None)  # type: ignore[misc]
    assert bench.recent_words("lot/NR-02") == ["AL-24 A"]
    assert bench.recent_words("correct/NR-02") == ["forgot it", "bent wrong way"]
    bench.close()


def test_a_decision_and_a_second_look_are_put_in_words_each_time(new_shop: Path) -> None:
    bench = open_bench(new_shop)
    for what in ("decision", "answer", "look", "anything else"):
        assert bench.recent_words(f"{what}/1") == []
    bench.close()


def test_parts_in_hand_stand_before_those_worked_on_last(new_shop: Path) -> None:
    bench = open_bench(new_shop)
    do_step(bench, ["NR-05"])
    where = bench.position("NR-02")
    assert where.procedure is not None and where.step is not None
    bench.start(["NR-02", "NR-03"], where.procedure.id, where.step.id)
    assert recent_marks(bench.state) == ["NR-02", "NR-03", "NR-05"]
    bench.close()
