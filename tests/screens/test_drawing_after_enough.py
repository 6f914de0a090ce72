"""Once it was said to be enough, the drawing shows what was done and marks none as the one in hand."""

from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.drawing.sketch import IN_HAND, Sketch
from kiosk.views.step_drawing import step_drawing_view
from tests.driver import undo_newest

MARK = "NR-03"


@pytest.fixture
def fluting(demo_shop: Path) -> tuple[Bench, str]:
    """A rib at its fluting, the cautions read."""
    bench = Bench(demo_shop)
    work = bench.state.part(MARK).work
    assert work is not None
    bench.take_up(work)
    bench.acknowledge(work)
    return bench, work


def drawn(bench: Bench, work: str) -> Sketch:
    """The drawing on the step."""
    view = step_drawing_view(bench.context, bench.state.works[work])
    assert view is not None and view.sketch is not None, view
    return view.sketch


def in_hand(sketch: Sketch) -> list[str]:
    """What the drawing marks as the one to do now."""
    said = [one.text for one in sketch.labels if one.in_hand]
    said += [one.character for one in sketch.symbols if one.character == IN_HAND]
    return said + [line for line in sketch.words if "this one" in line]


@pytest.mark.parametrize("count", [0, 5, 8])
def test_none_is_in_hand_after_enough(fluting: tuple[Bench, str], count: int) -> None:
    bench, work = fluting
    bench.count(work, MARK, count)
    counting = drawn(bench, work)
    assert in_hand(counting), counting.labels
    bench.say_enough(work, MARK, count)
    assert in_hand(drawn(bench, work)) == []
    undo_newest(bench)  # it was not enough after all
    assert drawn(bench, work) == counting


def test_nor_after_the_last(fluting: tuple[Bench, str]) -> None:
    bench, work = fluting
    bench.count(work, MARK, 9)
    assert in_hand(drawn(bench, work)) == []
