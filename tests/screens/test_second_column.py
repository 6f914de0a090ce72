"""The second column of a large screen leaves nothing out without saying how much."""

import re

import pytest

from kiosk.screens.second_column import second_column
from kiosk.views.ahead import Ahead, StandAlike, StepAhead

ACTIONS = (
    "Trace the template",
    "Centre-punch the tooling holes of the blank, both of them",
    "Deburr all edges",
)


def shown(ahead: Ahead, clocks: tuple[str, ...], columns: int, rows: int) -> list[str]:
    found = second_column(ahead, clocks, None, columns, rows)
    return ["".join(run for run, _ in row).rstrip() for row in found]


def said_more(rows: list[str], word: str) -> int:
    found = re.search(rf"and (\d+) more {word}s?$", "\n".join(rows), re.MULTILINE)
    return int(found[1]) if found else 0


def ahead_of(steps: int, others: int = 0, more: int = 0) -> Ahead:
    return Ahead(
        tuple(StepAhead(number, ACTIONS[number % 3]) for number in range(5, 5 + steps)),
        more,
        "Form a rib over the block",
        tuple(StandAlike(f"NR-{number:02d}: step {number} of 14, in hand", 1) for number in range(others)),
    )


@pytest.mark.parametrize("columns", [32, 38, 45])
@pytest.mark.parametrize("more", [0, 4])
def test_steps_that_have_no_room_are_counted_before_the_next_procedure(columns: int, more: int) -> None:
    for rows in range(6, 40):
        found = shown(ahead_of(10, more=more), (), columns, rows)
        here = sum(bool(re.match(r"[ \d]\d  ", row)) for row in found)
        assert here + said_more(found, "step") == 10 + more, (rows, found)
        assert len(found) <= rows


@pytest.mark.parametrize("columns", [32, 38, 45])
def test_clocks_and_parts_that_have_no_room_are_counted(columns: int) -> None:
    clocks = tuple(
        f"USE WITHIN {number} min, until 12:40: NR-0{number}, mixed primer" for number in range(1, 5)
    )
    for rows in range(9, 40):
        found = shown(ahead_of(6, others=4), clocks, columns, rows)
        here = sum(row.startswith("USE WITHIN") for row in found)
        assert here + said_more(found, "clock") == 4, (rows, found)
        text = "\n".join(found)
        parts = len(re.findall(r"^NR-\d\d: ", text, re.MULTILINE))
        assert parts + said_more(found, "part") == 4 or "THE REST OF THE BATCH: 4 parts" in text, (
            rows,
            found,
        )


def test_clocks_go_before_steps_far_off_and_a_count_stands_whole() -> None:
    clocks = tuple(f"WAIT {number} min: NR-0{number}, primer" for number in range(1, 5))
    found = shown(ahead_of(8, others=2), clocks, 36, 14)
    assert sum(row.startswith("WAIT") for row in found) == 4
    others = Ahead(
        (),
        0,
        "",
        (StandAlike("NR-04, NR-05: Form a rib over the block, step 13 of 17, in hand, 12 done", 2),),
    )
    assert "12 done" in " ".join(shown(others, (), 32, 12))
