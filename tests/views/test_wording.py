"""Words that every screen uses."""

from kiosk.views.wording import chance_in_words, clock_line


def test_chances_are_said_plainly() -> None:
    assert [chance_in_words(value) for value in (0.0, 0.5, 0.9, 0.999)] == [
        "hardly ever",
        "5 times in 10",
        "9 times in 10",
        "nearly always",
    ]


def test_no_clock_says_nought_minutes() -> None:
    found = [clock_line(seconds, 4.0) for seconds in (0, 200, 220, 239, 241, 265, 280, 600)]
    assert found == [
        "about 4 min left",
        "about 1 min left",
        "under a minute left",
        "under a minute left",
        "the usual time is up",
        "the usual time is up",
        "1 min over the usual",
        "6 min over the usual",
    ]
    assert clock_line(0, 0.3) == "under a minute left"
