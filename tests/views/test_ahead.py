"""What lies ahead of a part: the steps to come with what they need, and where the rest of its batch is."""

from kiosk.bench import Bench
from kiosk.views.ahead import Ahead
from tests.driver import do_step


def ahead_of(bench: Bench, mark: str, *shown: str) -> Ahead:
    where = bench.position(mark)
    assert where.procedure is not None and where.step is not None
    return bench.ahead(mark, where.procedure.ref(where.step), shown or (mark,))


def test_the_steps_to_come_are_those_of_this_procedure_in_order(bench: Bench) -> None:
    where = bench.position("FB-TR")
    assert where.procedure is not None
    steps = bench.shop.steps_for(bench.shop.kind_of("FB-TR"), where.procedure)
    found = ahead_of(bench, "FB-TR")
    assert [(one.number, one.do) for one in found.steps] == [
        (number, step.do) for number, step in enumerate(steps, 1) if 1 < number <= 1 + len(found.steps)
    ]
    assert len(found.steps) + found.more == len(steps) - 1


def test_a_step_that_waits_or_needs_a_second_person_says_so(bench: Bench) -> None:
    block = {one.number: one.needs for one in ahead_of(bench, "FB-TR").steps}
    assert block[5] == "then wait 30 min: pattern glue drying" and block[4] == ""
    spar = {one.number: one.needs for one in ahead_of(bench, "FS-01").steps}
    assert spar[2] == "takes two people" and spar[11] == "a second look first, by an adult"


def test_a_helper_is_told_what_is_not_for_them(bench: Bench) -> None:
    bench.come("pip")
    bench.hand_over("pip")
    needs = [one.needs for one in ahead_of(bench, "FS-01").steps]
    assert any(one.startswith(("for the builder", "with the builder")) for one in needs)


def test_after_the_last_step_comes_the_next_procedure(bench: Bench) -> None:
    found = ahead_of(bench, "NR-07")
    assert found.then == "Form a rib over the block"


def test_the_rest_of_a_batch_stands_where_it_stands(bench: Bench) -> None:
    marks = ["NR-07", "NR-08", "NR-09"]
    do_step(bench, marks)
    where = bench.position("NR-07")
    assert where.procedure is not None and where.step is not None
    bench.start(marks[:1], where.procedure.id, where.step.id)
    bench.raise_snag("NR-09", "Crack")
    assert ahead_of(bench, "NR-08").others[0].words.startswith("NR-07: step 2 of 14, in hand")
    others = ahead_of(bench, "NR-08").others
    assert "NR-08" not in " ".join(one.words for one in others)  # it is on the screen already
    assert ahead_of(bench, "NR-07", *marks).others == ()


def test_a_part_alone_has_no_rest(bench: Bench) -> None:
    assert ahead_of(bench, "FB-TR").others == ()
