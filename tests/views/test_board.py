"""Which parts the board takes along with one."""

from kiosk.bench import Bench
from kiosk.record.together import go_together
from kiosk.shop.procedure import StepRef
from tests.driver import do_step
from tests.record.primed_alone import primed_alone


def test_parts_of_one_hand_are_taken_together(bench: Bench) -> None:
    """The template is turned over for the other hand: in the middle of a batch that is a wrong rib."""
    for mark, hand in (("NR-11", "right"), ("NR-01", "left")):
        together = bench.standing_with(mark)
        assert len(together) == 10
        assert {bench.shop.parts[one].hand for one in together} == {hand}


def test_parts_of_other_kinds_may_go_along_where_nothing_tells_them_apart(bench: Bench) -> None:
    marks = ("NR-01", "NR-11", "CA-01", "CA-02")
    primed_alone(bench, marks)
    assert bench.of_other_kinds("NR-01") == ()  # tags are tied on one by one
    for mark in marks:
        do_step(bench, [mark])
    assert bench.of_other_kinds("NR-01") == ("CA-01", "CA-02")
    assert bench.of_other_kinds("CA-01") == ("NR-01", "NR-11")  # a clip has no hand
    bench.raise_snag("CA-02", "a scratch")
    assert bench.of_other_kinds("NR-01") == ("CA-01",)
    bench.start(["CA-01"], "clean-and-prime", "compare-tins")
    assert bench.of_other_kinds("NR-01") == ()


def test_kinds_that_no_mixture_is_for_do_not_become_one_batch(bench: Bench) -> None:
    """One reading of the sheet would do for both; they would then walk together for nothing."""
    together = StepRef("rib-blank", "choose-sheet")
    assert go_together(bench.shop, ("NR-01", "MR-01"), together)
    assert bench.of_other_kinds("NR-01") == ()
