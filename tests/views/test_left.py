"""What is left of a part, in a line."""

from dataclasses import replace

import pytest

from kiosk.bench import Bench
from kiosk.views.left import left_line
from tests.record.moments import step, with_steps


@pytest.mark.parametrize(
    ("steps", "line"),
    [
        (
            [("brake", "10", "3", "5"), ("brake", "12", "4", "5")],
            "2 steps left, about 24 min at the bench (17 to set up and put away) by the estimates",
        ),
        (
            [("brake", "10", "3", "5"), (None, "0", "4", "0"), ("brake", "10", "3", "5")],
            "3 steps left, about 40 min at the bench (30 to set up and put away) by the estimates",
        ),
        ([(None, "0", "4", "0")], "1 step left, about 4 min at the bench by the estimates"),
    ],
    ids=["one family is set up once", "what was put away is set up again", "nothing to set up"],
)
def test_setting_up_is_in_the_minutes_that_are_left(
    steps: list[tuple[str | None, str, str, str]], line: str, bench: Bench
) -> None:
    """A part of twenty steps said less than a third of what it took alone."""
    made = [
        step(
            id=f"s{number}",
            minutes={"set_up": set_up, "each": each, "put_away": put_away},
            **({"family": family} if family else {}),
        )
        for number, (family, set_up, each, put_away) in enumerate(steps)
    ]
    shop, _ = with_steps(bench.shop, "rib-blank", *made)
    kind = shop.kind_of("NR-01")
    kinds = {**shop.kinds, kind.id: kind.model_copy(update={"route": kind.route[:1]})}
    bench.shop = replace(shop, kinds=kinds)
    assert left_line(bench.context, "NR-01") == line
