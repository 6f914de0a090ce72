"""The edges of looking back: which end of a step stands, by whom, with which figures, under which name."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

from kiosk.bench import Bench
from kiosk.record import events as e
from kiosk.record.events import AnyBody, Event
from kiosk.record.journal import Record
from kiosk.record.of_part import events_of_part, marks_of_part
from kiosk.record.past_step import PastFigure, PastStep, past_step
from kiosk.record.rename import renamed_since
from kiosk.record.rules.words import words_of
from kiosk.record.since import changed_words, parts_without_a_place
from kiosk.record.state import PartState, Piece, State, StepDone, Work
from kiosk.shop.procedure import StepRef
from tests.record.moments import NOW, brambling, step, with_steps

SAW = StepRef("form-block", "saw")


class Story:
    """Events one after the other, a minute apart."""

    def __init__(self) -> None:
        self.events: list[Event] = []

    def tell(self, body: AnyBody, by: str = "wren", minute: int | None = None) -> Event:
        number = len(self.events) + 1
        at = NOW + timedelta(minutes=number if minute is None else minute)
        event = Event(seq=number, id=f"event {number}", body=body, at=at, monotonic_s=0.0, run="r", by=by)
        self.events.append(event)
        return event

    def answer(self, mark: str, text: str, check: str = "gap", by: str = "wren", work: str = "w") -> Event:
        return self.tell(e.Answered(work=work, mark=mark, check=check, text=text, value=1.0, passed=True), by)

    def finish(self, *marks: str, step_id: str = "saw", by: str = "wren", **fields: Any) -> Event:
        given = {"work": "w", "procedure": "form-block", "revision": "1", "step": step_id, **fields}
        return self.tell(e.StepFinished(marks=marks, active_s=120.0, **given), by)

    def past(self, mark: str, end: Event, ref: StepRef = SAW) -> PastStep:
        found = past_step(self.events, mark, ref, StepDone(end.at, end.by, "1", day="2027-05-08"))
        assert found is not None
        return found

    def texts(self, mark: str, end: Event) -> list[tuple[str, str, str, tuple[str, ...]]]:
        return [(one.text, one.by, one.given_on, one.marks) for one in self.past(mark, end).figures]


def test_the_last_answer_before_the_end_stands_and_none_after_it() -> None:
    story = Story()
    story.answer("FB-NR", ".1")
    story.answer("FB-NR", ".2", by="pip")
    story.answer("FB-NR", ".9", work="another")
    end = story.finish("FB-NR")
    story.answer("FB-NR", ".3")
    assert story.texts("FB-NR", end) == [(".2", "pip", "FB-NR", ("FB-NR",))]
    found = story.past("FB-NR", end)
    assert (found.minutes, found.day, found.work, found.marks) == (2.0, "2027-05-08", "w", ("FB-NR",))
    assert found.figure("gap") is not None and found.figure("width") is None


def test_of_a_batch_that_went_together_the_first_speaks_for_those_without_an_answer() -> None:
    story = Story()
    story.answer("FB-NR", ".1")
    story.answer("FB-MR", ".2")
    end = story.finish("FB-NR", "FB-MR", "FB-TR")
    assert story.texts("FB-NR", end) == [(".1", "wren", "FB-NR", ("FB-NR", "FB-TR"))]
    assert story.texts("FB-TR", end) == [(".1", "wren", "FB-NR", ("FB-NR", "FB-TR"))]
    assert story.texts("FB-MR", end) == [(".2", "wren", "FB-MR", ("FB-MR",))]


def test_the_count_within_a_part_is_its_own_last_before_the_end() -> None:
    story = Story()
    for mark, count in (("FB-NR", 1), ("FB-NR", 2), ("FB-MR", 7)):
        story.tell(e.Counted(work="w", mark=mark, count=count))
    end = story.finish("FB-NR")
    story.tell(e.Counted(work="w", mark="FB-NR", count=9))
    assert story.past("FB-NR", end).counted == 2
    bare = Story()
    assert bare.past("FB-NR", bare.finish("FB-NR")).counted is None


def test_an_end_that_was_taken_back_or_is_another_parts_or_times_does_not_stand() -> None:
    story = Story()
    end = story.finish("FB-NR")
    done = StepDone(end.at, "wren", "1")
    assert past_step(story.events, "FB-NR", SAW, done) is not None
    for mark, other in (
        ("FB-MR", done),
        ("FB-NR", replace(done, at=NOW)),
        ("FB-NR", replace(done, by="pip")),
    ):
        assert past_step(story.events, mark, SAW, other) is None
    story.tell(e.Undone(event=end.id))
    assert past_step(story.events, "FB-NR", SAW, done) is None


def test_of_two_ends_at_one_time_the_one_of_this_step_is_meant_and_else_the_newest() -> None:
    story = Story()
    story.finish("FB-NR")
    first = story.events.pop()
    story.tell(first.body, minute=1)
    story.tell(
        e.StepFinished(
            work="v", marks=("FB-NR",), procedure="form-block", revision="1", step="file", active_s=60.0
        ),
        minute=1,
    )
    end = story.events[0]
    assert story.past("FB-NR", end).recorded == SAW
    assert story.past("FB-NR", end, StepRef("form-block", "file")).work == "v"
    assert story.past("FB-NR", end, StepRef("form-block", "called-anew")).recorded.step == "file"


def _correct(end: Event, **fields: Any) -> e.Corrected:
    given: dict[str, Any] = {
        "finished": end.id, "work": "w", "marks": ("FB-NR",), "given_on": "FB-NR", "procedure": "form-block",
        "step": "saw", "reason": "a burr", **fields,
    }  # fmt: skip
    return e.Corrected(**given)


def test_what_was_corrected_stands_with_what_it_was_at_first() -> None:
    story = Story()
    story.answer("FB-NR", ".1")
    story.answer("FB-NR", ".7", check="width")
    end = story.finish("FB-NR")
    for text, was in ((".2", ".1"), (".3", ".2")):
        story.tell(_correct(end, what="figure", check="gap", text=text, was=was, value=float(text)), by="pip")
    for minutes, was in ((5.0, "2 min"), (6.0, "5 min")):
        story.tell(_correct(end, what="minutes", text=f"{minutes:g} min", was=was, value=minutes))
    for day, was in (("2027-05-07", "2027-05-08"), ("2027-05-06", "2027-05-07")):
        story.tell(_correct(end, what="day", text=day, was=was))
    found = story.past("FB-NR", end)
    gap, width = found.figures
    assert (gap.text, gap.value, gap.was, gap.by) == (".3", 0.3, ".1", "pip")
    assert (width.text, width.was, width.by) == (".7", "", "wren")
    assert (found.minutes, found.minutes_was) == (6.0, 2.0)
    assert (found.day, found.day_was) == ("2027-05-06", "2027-05-08")
    other = Story()
    other.answer("FB-NR", ".1")
    end = other.finish("FB-NR")
    other.tell(_correct(end, what="figure", check="gap", text=".9", was=".1", finished="another end"))
    assert other.texts("FB-NR", end)[0][0] == ".1"


def test_what_was_recorded_under_a_former_mark_is_the_parts_own() -> None:
    story = Story()
    story.answer("OLD-1", ".1")
    story.tell(e.Counted(work="w", mark="OLD-1", count=4))
    end = story.finish("OLD-1")
    story.tell(_correct(end, what="figure", check="gap", text=".2", was=".1", given_on="OLD-1"))
    story.tell(e.Renamed(marks={"OLD-1": "OLD-2"}))
    story.tell(e.Renamed(marks={"OLD-2": "FB-NR"}))
    found = story.past("FB-NR", end)
    assert (found.marks, found.counted) == (("FB-NR",), 4)
    assert [(one.text, one.given_on) for one in found.figures] == [(".2", "FB-NR")]
    assert isinstance(found.figures[0], PastFigure)


def test_a_part_has_the_marks_it_had_and_none_of_anothers(tmp_path: Path) -> None:
    record = Record(tmp_path / "record.db")
    for marks in ({"OLD-1": "OLD-2", "X-1": "X-2"}, {"X-2": "OLD-1"}, {"OLD-2": "FB-NR"}):
        record.transact(lambda _, marks=marks: [e.Renamed(marks=marks)], by="wren", tap=None)  # type: ignore[misc]
    assert marks_of_part(record.journal, "FB-NR", 3) == ("FB-NR", "OLD-2", "OLD-1")
    assert marks_of_part(record.journal, "OLD-1", 3) == ("OLD-1", "X-2", "X-1")
    assert marks_of_part(record.journal, "FB-NR", 0) == ("FB-NR",)
    record.close()


# What changed in the files since


def test_a_text_that_changed_under_its_revision_is_told_with_what_changed_first() -> None:
    shop = brambling()

    def told(*now: Any) -> list[str]:
        _, before = with_steps(shop, "form-block", step(id="cut"), step(id="file"))
        kept = e.ProcedureKept(
            procedure=before.id, revision=before.revision, text="0123456789abcdef", words=words_of(before)
        )
        _, after = with_steps(shop, "form-block", *now)
        return [one.wrong for one in changed_words([after], [kept])]

    cut, file = step(id="cut"), step(id="file")
    assert told(cut, file) == []
    assert (
        told(step(id="cut", renamed_from=("slice",)), file) == []
    )  # a name is no part of what is to be done
    (line,) = told(cut, step(id="file", do="File it"))
    assert line.startswith("step 'file' changed since")
    (line,) = told(step(id="cut", do="Saw it"), step(id="drill"))
    assert line.startswith("step 'cut' and 2 more changed since")
    (line,) = told(file, cut)
    assert line.startswith("the order of the steps changed since")


def test_parts_that_are_no_longer_in_the_files_are_told_where_something_is_recorded_on_them() -> None:
    shop = brambling()
    done = {"form-block": {"saw": StepDone(NOW, "wren", "1")}}

    def told(*parts: PartState, **works: Work) -> list[str]:
        state = State(parts={part.mark: part for part in parts}, works=works)
        return [one.wrong for one in parts_without_a_place(shop, state)]

    assert told(PartState("XX-1"), PartState("FB-NR")) == []  # nothing was done on it
    assert told(PartState("XX-1", done)) == ["XX-1 is no longer in shop.yaml, and work on it is recorded"]
    both = told(PartState("XX-1", done), PartState("XX-2", done))
    assert len(both) == 1 and "are no longer in shop.yaml, and work on them is recorded" in both[0]
    work = Work("w", "form-block", "1", "saw", "wren", (Piece("XX-1"),), "XX-1", NOW)
    assert told(PartState("XX-1", work="w"), w=work) == [
        "XX-1 is no longer in shop.yaml, and work on it is in hand"
    ]


def test_a_mark_is_renamed_where_the_record_has_the_former_one_and_the_files_and_the_record_only_that() -> (
    None
):
    shop = brambling()
    kind = shop.kind_of("FB-NR")

    def renamed(*recorded: str, former: str = "BLK-1") -> dict[str, str] | None:
        runs = tuple(
            run.model_copy(update={"renamed_from": (former,)}) if run.first == "FB-NR" else run
            for run in kind.marks
        )
        kinds = {**shop.kinds, kind.id: kind.model_copy(update={"marks": runs})}
        state = State(parts={mark: PartState(mark) for mark in recorded})
        found = renamed_since(replace(shop, kinds=kinds), state)
        return found.marks if found is not None else None

    assert renamed("BLK-1") == {"BLK-1": "FB-NR"}
    assert renamed() is None  # nothing was done on it
    assert renamed("BLK-1", "FB-NR") is None  # both are on record: they are two parts
    assert renamed("FB-MR", former="FB-MR") is None  # it is the mark of another part today
    assert renamed_since(shop, State(parts={"BLK-1": PartState("BLK-1")})) is None


def test_a_step_and_a_procedure_are_renamed_where_the_record_has_the_former_name_alone() -> None:
    shop = brambling()
    former = {"form-block": {"slice": StepDone(NOW, "wren", "1")}}

    def renamed(
        *steps: Any, passes: Any = former, **procedure: Any
    ) -> tuple[list[tuple[str, str]], dict[str, str]]:
        changed, now = with_steps(shop, "form-block", *steps)
        anew = now.model_copy(update=procedure)
        changed = replace(changed, procedures={**changed.procedures, "form-block": anew})
        found = renamed_since(changed, State(parts={"FB-NR": PartState("FB-NR", passes)}))
        return ([(one.former, one.step) for one in found.steps], found.procedures) if found else ([], {})

    cut = step(id="cut", renamed_from=("slice",))
    assert renamed(cut) == ([("slice", "cut")], {})
    assert renamed(cut, step(id="slice")) == ([], {})  # there is a step of that name again
    assert renamed(cut, passes={"rib-blank": former["form-block"]}) == ([], {})
    old = {"old-block": {"cut": StepDone(NOW, "wren", "1")}}
    assert renamed(step(id="cut"), passes=old, renamed_from=("old-block",)) == (
        [],
        {"old-block": "form-block"},
    )
    assert renamed(step(id="cut"), passes={}, renamed_from=("old-block",)) == ([], {})
    route = {"rib-blank": old["old-block"]}
    assert renamed(step(id="cut"), passes=route, renamed_from=("rib-blank",)) == ([], {})  # it is in use


def test_what_was_put_back_just_before_it_was_begun_again_is_in_the_life_of_its_part(bench: Bench) -> None:
    for _ in range(2):
        work = bench.start(["FB-NR"], "form-block", "measure-pattern")
        bench.put_back(work)
    work = bench.start(["FB-NR"], "form-block", "measure-pattern")
    kinds = [event.body.kind for event in events_of_part(bench.record.journal, "FB-NR")]
    assert [kind for kind in kinds if kind.startswith("work_")] == [
        "work_started",
        "work_dropped",
        "work_started",
        "work_dropped",
        "work_started",
    ]
