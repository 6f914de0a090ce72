"""Which screens are alive: a second one joins the sitting, and only what no screen holds was cut short."""

from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.errors import KioskError
from kiosk.record.events import SittingCut
from kiosk.record.presence import Presence
from tests.conftest import SteadyClocks


def test_a_second_screen_joins_and_cuts_nothing_off(new_shop: Path, clocks: SteadyClocks) -> None:
    wall = Bench(new_shop, clocks, watch=True)
    work = wall.start(["FB-NR"], "form-block", "measure-pattern")
    tablet = Bench(new_shop, clocks, watch=True)
    assert tablet.state.sitting is not None
    assert tablet.state.works[work].status == "running"
    tablet.note("seen from the tablet")
    wall.refresh()
    assert wall.state.works[work].status == "running"
    tablet.close()
    third = Bench(new_shop, clocks, watch=True)  # the wall is still there
    assert third.state.works[work].status == "running"
    third.close()
    wall.close()


def test_a_sitting_that_no_screen_holds_was_cut_short(new_shop: Path, clocks: SteadyClocks) -> None:
    gone = Bench(new_shop, clocks, watch=True)
    work = gone.start(["FB-NR"], "form-block", "measure-pattern")
    gone.close()  # without closing up
    after = Bench(new_shop, clocks, watch=True)
    assert after.state.sitting is None
    assert after.state.works[work].status == "unknown"
    assert isinstance(after.record.journal.after(0)[-1].body, SittingCut)
    after.close()


def test_a_screen_sees_the_others_and_not_itself(tmp_path: Path) -> None:
    one = Presence(tmp_path / "screens", "one")
    assert not one.others_alive()
    two = Presence(tmp_path / "screens", "two")
    assert one.others_alive() and two.others_alive()
    two.close()
    assert not one.others_alive()
    (tmp_path / "screens" / "dead").touch()  # left by one that was killed
    assert not one.others_alive()
    assert [path.name for path in (tmp_path / "screens").iterdir()] == ["one"]
    one.close()


def test_a_file_in_the_way_of_the_screens_is_named(tmp_path: Path) -> None:
    (tmp_path / "screens").touch()
    with pytest.raises(KioskError, match="is a file, not a folder"):
        Presence(tmp_path / "screens", "one")
