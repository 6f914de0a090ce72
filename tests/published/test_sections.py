"""Wing sections against published ordinates."""

import pytest

from kiosk.numbers.aerofoil import half_thickness, naca, nose_radius, read_coordinates
from kiosk.numbers.result import OutOfRange

# NACA 2412, four-decimal lofting table (percent of the chord): station, upper, lower. The computed section
# differs by .0008 at most over these stations.
NACA_2412 = [
    (1.25, 2.1606, -1.6513), (2.5, 2.9863, -2.2684), (5, 4.1304, -3.0054), (10, 5.6291, -3.7608),
    (20, 7.2607, -4.2278), (30, 7.8785, -4.1286), (50, 7.2425, -3.3462), (70, 5.1778, -2.154),
    (90, 2.0711, -0.8289),
]  # fmt: skip
# NACA Report 460, NACA 0012, half thickness in percent (from memory, high; printed to three decimals).
NACA_0012 = [
    (1.25, 1.894), (2.5, 2.615), (5, 3.555), (7.5, 4.200), (10, 4.683), (15, 5.345), (20, 5.737),
    (25, 5.941), (30, 6.002), (40, 5.803), (50, 5.294), (60, 4.563), (70, 3.664), (80, 2.623),
    (90, 1.448), (95, 0.807), (100, 0.126),
]  # fmt: skip


@pytest.mark.parametrize(("station", "upper", "lower"), NACA_2412)
def test_naca_2412(station: float, upper: float, lower: float) -> None:
    found = naca("2412", points=4000).height(station / 100)
    assert 100 * found[0] == pytest.approx(upper, abs=0.001)
    assert 100 * found[1] == pytest.approx(lower, abs=0.001)


@pytest.mark.parametrize(("station", "half"), NACA_0012)
def test_naca_0012(station: float, half: float) -> None:
    assert 100 * half_thickness(station / 100, 0.12) == pytest.approx(half, abs=0.001)


def test_nose_radius() -> None:
    # NACA Report 460: 12 % sections, 1.58 percent (printed to two decimals; 1.1019 t^2 gives 1.587).
    assert 100 * nose_radius(0.12) == pytest.approx(1.58, abs=0.01)


def test_naca_23012() -> None:
    # NACA Report 537 and 824, NACA 23012 (percent; from memory, medium): 30 % upper 7.55, lower -4.46; 50 %
    # upper 6.41, lower -4.17. Reports are hand-interpolated to two decimals: 0.02.
    section = naca("23012", points=4000)
    for station, upper, lower in ((30, 7.55, -4.46), (50, 6.41, -4.17)):
        found = section.height(station / 100)
        assert 100 * found[0] == pytest.approx(upper, abs=0.03)
        assert 100 * found[1] == pytest.approx(lower, abs=0.03)


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
