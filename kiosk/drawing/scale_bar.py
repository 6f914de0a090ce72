"""Bars of known length, to measure on paper before anything is cut by it."""

from kiosk.drawing.marks import Line, Mark, Words
from kiosk.numbers.aerofoil import Point

SCALE_BAR_IN = 10.0  # long enough that a printer's one per cent shows on a rule
SHORT_BAR_IN = 7.0  # across the page: a printer may stretch one way alone


def scale_bar(at: Point, length_in: float, *, upright: bool = False) -> tuple[Mark, ...]:
    """A bar from a point to the right, or up, with a tick at every inch; the first mark is the bar itself."""

    def place(along: float, beside: float) -> Point:
        return (at[0] - beside, at[1] + along) if upright else (at[0] + along, at[1] + beside)

    marks: list[Mark] = [Line("SCALE", (place(0, 0), place(length_in, 0)))]
    for inch in range(int(length_in) + 1):
        tick = 0.2 if inch in (0, int(length_in)) else 0.14 if inch % 5 == 0 else 0.08
        marks.append(Line("SCALE", (place(inch, 0), place(inch, tick))))
    words = f"{length_in:g} in"
    beside = place(length_in - 0.5, 0.16)
    marks.append(
        Words("SCALE", (beside[0] - 0.1, beside[1]), 0.11, words, "middle")
        if upright
        else Words("SCALE", beside, 0.11, words, "middle")
    )
    return tuple(marks)
