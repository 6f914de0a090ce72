"""The format of the record is what it was, or it was meant."""

from tests.record.what_events_hold import KEPT, what_events_hold


def test_each_kind_of_event_holds_what_it_held() -> None:
    """Meant? ``python -m tests.record.what_events_hold``, and read the difference."""
    assert what_events_hold().splitlines() == KEPT.read_text("utf-8").splitlines()
