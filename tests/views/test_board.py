"""Which parts the board takes along with one."""

from kiosk.bench import Bench


def test_parts_of_one_hand_are_taken_together(bench: Bench) -> None:
    """The template is turned over for the other hand: in the middle of a batch that is a wrong rib."""
    for mark, hand in (("NR-11", "right"), ("NR-01", "left")):
        together = bench.standing_with(mark)
        assert len(together) == 10
        assert {bench.shop.parts[one].hand for one in together} == {hand}
