"""Which of the acts of another screen are about the parts that a question was asked of."""

from datetime import UTC, datetime
from pathlib import Path

from kiosk.bench import Bench
from kiosk.record import events as e
from kiosk.record.concerns import any_concerns
from tests.conftest import SteadyClocks

AT = datetime(2027, 5, 8, 12, tzinfo=UTC)


def event(body: e.AnyBody) -> e.Event:
    return e.Event(seq=1, id="one", at=AT, monotonic_s=1.0, run="there", by="odile", body=body)


def test_what_is_about_a_part_is_told_from_what_is_not() -> None:
    paused = event(e.WorkPaused(work="turning"))
    raised = event(e.SnagRaised(snag="one", mark="NR-01", text="bent", procedure="form", step="flute"))
    assert any_concerns([raised], {"NR-01", "NR-02"}, (), {}) and any_concerns([raised], None, (), {})
    assert not any_concerns([raised], {"NR-02"}, (), {})
    assert not any_concerns([paused], {"NR-01"}, {"turning"}, {}), "in hand on none of them"
    assert any_concerns([paused], {"NR-01"}, set(), {}), "in hand no more: it may have been on one"
    turned = event(e.TurnedTo(work="turning", mark="NR-12"))
    assert not any_concerns([paused, turned], {"NR-01"}, set(), {}), "what came in says on which"
    assert any_concerns([event(e.Undone(event="another"))], {"NR-01"}, (), {}), "may give back anything"
    undone = event(e.Undone(event="another", marks=("NR-12",)))
    assert any_concerns([undone], {"NR-12"}, (), {}) and not any_concerns([undone], {"NR-01"}, (), {})
    assert not any_concerns([event(e.PersonCame(person="pip"))], {"NR-01"}, (), {})
    assert not any_concerns([], None, (), {})
    marked = event(e.NoteWritten(text="dry"))
    assert any_concerns([marked, raised], {"NR-01"}, (), {}), "what asks nothing hides nothing after it"


def test_a_decision_is_about_the_part_of_its_snag() -> None:
    decided = event(e.SnagDecided(snag="one", decision="use as is", reason="plans", accepted_by="wren"))
    assert any_concerns([decided], {"NR-01"}, (), {"one": "NR-01"})
    assert not any_concerns([decided], {"NR-12"}, (), {"one": "NR-01"})


def test_half_typed_words_are_about_nothing_and_answers_only_where_they_are_asked_for() -> None:
    typed = event(e.DraftTyped(work="turning", mark="NR-01", check="width", text=".0"))
    counted = event(e.Counted(work="turning", mark="NR-01", count=3))
    assert not any_concerns([typed], {"NR-01"}, (), {}) and not any_concerns([typed], None, (), {})
    assert any_concerns([counted], {"NR-01"}, (), {})
    assert not any_concerns([counted], {"NR-01"}, (), {}, by_answers=False)


def test_a_screen_is_told_of_what_another_did_since_it_looked_and_of_nothing_before(new_shop: Path) -> None:
    here, there = (Bench(new_shop, SteadyClocks(), watch=True) for _ in range(2))
    there.note("dry", "NR-01")
    here.refresh()
    before = here.taken_in
    assert not here.changed_since(before, {"NR-01"}), "it was there at the look"
    there.raise_snag("NR-02", "a nick")
    here.refresh()
    assert here.changed_since(before, {"NR-02"}) and not here.changed_since(before, {"NR-01"})
    for _ in range(200):  # more than anybody could follow
        there.note("dry")
    here.refresh()
    assert here.changed_since(before, {"NR-01"}), "so it may have been about any part"
    for bench in (here, there):
        bench.close()
