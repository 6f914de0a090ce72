"""Wing sections against published ordinates."""

import pytest

from kiosk.numbers.aerofoil import naca, read_coordinates
from kiosk.numbers.result import OutOfRange


def test_a_written_file_reads_back_either_way_round() -> None:
    section = naca("2412", points=60)
    round_the_tail = [*reversed(section.upper), *section.lower[1:]]
    text = "My section\n" + "\n".join(f"{x:.6f} {y:.6f}" for x, y in round_the_tail)
    read = read_coordinates(text)
    assert read.name == "My section"
    two = "My section\n61. 61.\n\n" + "\n".join(f"{x:.6f} {y:.6f}" for x, y in section.upper)
    two += "\n\n" + "\n".join(f"{x:.6f} {y:.6f}" for x, y in section.lower)
    for one in (read, read_coordinates(two)):
        for station in (0.05, 0.2, 0.5, 0.8):
            assert one.height(station) == pytest.approx(section.height(station), abs=1e-5)


@pytest.mark.parametrize("text", ["", "x\n1 2", "name\n0 0\n0.5 wing\n1 0", "name\n" + "5 5\n" * 20])
def test_files_that_are_no_section_are_refused(text: str) -> None:
    with pytest.raises(OutOfRange):
        read_coordinates(text)


@pytest.mark.parametrize("name", ["24", "2", "241x", "99999", "2012", "2445"])
def test_designations_that_are_not_covered_are_refused(name: str) -> None:
    with pytest.raises(OutOfRange):
        naca(name)
