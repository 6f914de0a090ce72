"""The words for how long is left: a wait is never said shorter than it is, nor a limit longer."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

import pytest

from kiosk.bench import Bench
from kiosk.record.events import ClockSet
from kiosk.views.clocks import RunningClock, gathered, left_words, time_left, time_words
from tests.conftest import local_time
from tests.translated import in_language


@pytest.mark.parametrize(
    ("seconds", "wait", "limit"),
    [
        (0.2, "1 s", "0 s"),
        (89.6, "90 s", "89 s"),
        (90, "90 s", "90 s"),
        (179, "179 s", "179 s"),
        (180, "3 min", "3 min"),
        (181, "4 min", "3 min"),
        (25 * 60, "25 min", "25 min"),
        (25 * 60 + 1, "26 min", "25 min"),
        (90 * 60, "1.5 h", "1.5 h"),
        (4 * 3600 + 1, "4.1 h", "4.0 h"),
    ],
)
def test_time_left_is_rounded_to_the_safe_side(seconds: float, wait: str, limit: str) -> None:
    assert left_words(seconds, up=True) == wait
    assert left_words(seconds, up=False) == limit


def test_times_of_day_are_too() -> None:
    at = local_time(2027, 5, 8, 16, 34).replace(second=37)
    assert (time_words(at, up=True), time_words(at, up=False)) == ("16:35", "16:34")
    assert time_words(at.replace(second=0), up=True) == "16:34"


@pytest.mark.parametrize(
    ("kind", "left_s", "figure", "unit"),
    [
        ("within", 95.6, "1:35", "min:s"),  # to the safe side, as in words
        ("must_pass", 95.2, "1:36", "min:s"),
        ("within", 59.0, "0:59", "min:s"),
        ("within", 25 * 60 + 30, "25 min", ""),
        ("must_pass", 4 * 3600 + 1, "4.1 h", ""),
        ("within", -1.0, "", ""),  # missed: the words say so
        ("within", None, "", ""),
    ],
)
def test_the_figure_is_what_the_words_say(
    kind: Literal["within", "must_pass"], left_s: float | None, figure: str, unit: str
) -> None:
    until = datetime(2027, 5, 8, 12, 0, tzinfo=UTC)
    clock = ClockSet(
        what="mixed primer",
        kind=kind,
        minutes=360,
        until=until,
        procedure="clean-and-prime",
        step="mix",
        ends="begin",
    )
    one = RunningClock(clock, ("NR-01",), left_s, None)
    assert (one.figure, one.figure_unit) == (figure, unit)
    if figure:
        verb = "WAIT" if kind == "must_pass" else "USE WITHIN"
        assert one.words_beside == f"{verb}: NR-01, mixed primer"


def running(kind: Literal["must_pass", "within"], left_s: float | None, minutes: float = 90) -> RunningClock:
    clock = ClockSet(
        what="primer",
        kind=kind,
        minutes=minutes,
        until=local_time(2027, 5, 8, 12),
        procedure="prime",
        step="spray",
    )
    return RunningClock(clock, ("NR-01",), left_s, None)


def test_what_needs_a_person_first_comes_first() -> None:
    missed, unknown = running("within", -5), running("within", None)
    near, far = running("within", 900), running("within", 3600)
    wait, long_wait = running("must_pass", 600), running("must_pass", 7200)
    assert near.is_near and not far.is_near
    in_order = [missed, unknown, near, wait, far, long_wait]
    assert sorted([*in_order[3:], *in_order[:3]], key=lambda one: one.need) == in_order


def test_the_day_on_which_a_limit_ran_out_is_said_where_it_is_not_today() -> None:
    clock = running("within", -600).clock
    today = RunningClock(clock, ("NR-01",), -600, local_time(2027, 5, 8, 12, 20))
    before = RunningClock(clock, ("NR-01",), -86400, local_time(2027, 5, 8, 12, 20))
    assert today.words.startswith("TOO LATE since 12:20: NR-01")
    assert before.words.startswith("TOO LATE since Sat 12:20: NR-01")


def test_a_figure_is_shown_alone_whatever_a_catalogue_makes_of_its_words(tmp_path: Path) -> None:
    words = {"{minutes} min": "noch ganze {minutes} min lang", "min": "min."}
    with in_language("de", tmp_path, lambda text: words.get(text, text), lambda text, _: text):
        left = time_left(25 * 60, up=True)
        assert (left.figure, left.unit_words, left.words) == ("25", "min.", "noch ganze 25 min lang")
    left = time_left(4 * 3600 + 1, up=True)
    assert (left.figure, left.unit_words) == ("4.1", "h")


def test_a_wait_of_a_batch_is_one_line_and_the_last_of_them_speaks(bench: Bench) -> None:
    """Five parts that were hung up within a second stood in five lines of the place card."""
    five = [
        replace(running("must_pass", left_s), marks=(f"NR-0{number}",))
        for number, left_s in enumerate((600.0, 600.4, 630.0, 655.0, 900.0), start=1)
    ]
    told = gathered(bench.context, five)
    assert [(one.marks, one.left_s) for one in told] == [
        (("NR-01", "NR-02", "NR-03", "NR-04"), 655.0),
        (("NR-05",), 900.0),
    ]
