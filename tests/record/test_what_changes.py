"""What each kind of event changes in the state, field by field, is what it was, or it was meant."""

from tests.conftest import in_zone
from tests.record.make_stored_record import every_kind
from tests.record.test_stored_records import STORED
from tests.record.what_changes import KEPT, ZONE, events_of, what_changes


def test_each_kind_of_event_changes_what_it_changed() -> None:
    """Meant? ``python -m tests.record.what_changes``, and read the difference."""
    with in_zone(ZONE):
        assert what_changes(events_of(STORED[-1])).splitlines() == KEPT.read_text("utf-8").splitlines()


def test_each_kind_is_told_in_the_picture() -> None:
    told = {line.split()[1] for line in KEPT.read_text("utf-8").splitlines() if not line.startswith(" ")}
    assert every_kind() <= told
