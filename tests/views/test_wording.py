"""Words that every screen uses."""

from kiosk.views.wording import chance_in_words


def test_chances_are_said_plainly() -> None:
    assert [chance_in_words(value) for value in (0.0, 0.5, 0.9, 0.999)] == [
        "hardly ever",
        "5 times in 10",
        "9 times in 10",
        "nearly always",
    ]
