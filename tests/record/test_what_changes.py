"""What each kind of event changes in the state, field by field, is what it was, or it was meant."""

from tests.conftest import in_zone
from tests.record.make_stored_record import every_kind
from tests.record.test_stored_records import STORED
from tests.record.what_changes import KEPT, ZONE, events_of, what_changes
from tests.record.what_is_looked_up import KEPT as LOOKED_UP
from tests.record.what_is_looked_up import what_is_looked_up


def test_each_kind_of_event_changes_what_it_changed() -> None:
    """Meant? ``python -m tests.record.what_changes``, and read the difference."""
    with in_zone(ZONE):
        assert what_changes(events_of(STORED[-1])).splitlines() == KEPT.read_text("utf-8").splitlines()


def test_each_kind_is_told_in_the_picture() -> None:
    told = {line.split()[1] for line in KEPT.read_text("utf-8").splitlines() if not line.startswith(" ")}
    assert every_kind() <= told


def test_what_is_looked_up_is_what_was() -> None:
    """Meant? ``python -m tests.record.what_is_looked_up``, and read the difference."""
    with in_zone(ZONE):
        assert what_is_looked_up(STORED[-1]).splitlines() == LOOKED_UP.read_text("utf-8").splitlines()
