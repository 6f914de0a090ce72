"""The flat pattern of a channel or an angle, with the sight line for whichever leg is under the nose."""

from collections.abc import Sequence

from kiosk.drawing.marks import Drawing, Line, Mark, Words
from kiosk.numbers.bends import FlatWidth

LONGEST_DRAWN_IN = 8.0  # of a long part: what is laid at each end of the sheet to mark the lines from
_LETTERS_IN = 0.1


def draw_flat(
    flat: FlatWidth,
    legs_in: Sequence[float],
    bend_angles_deg: Sequence[float],
    inside_radius_in: float,
    length_in: float | None,
    title: str,
) -> Drawing:
    """The flat, its width up the page from the edge that everything is measured from."""
    drawn = LONGEST_DRAWN_IN if length_in is None else min(length_in, LONGEST_DRAWN_IN)
    whole = length_in is not None and length_in <= LONGEST_DRAWN_IN
    marks: list[Mark] = []
    corners = ((drawn, 0.0), (0.0, 0.0), (0.0, flat.width_in), (drawn, flat.width_in))
    marks.append(Line("BLANK", corners, closed=whole))
    notes = [
        f"Flat width {flat.width_in:.3f} in, legs outside {', '.join(f'{leg:.3f}' for leg in legs_in)}.",
        "Every line is measured from the free edge of leg 1, the lower edge of this drawing.",
    ]
    if not whole:
        notes.append(
            f"Drawn {drawn:g} in of its length: mark both ends from it and join them along a straightedge."
        )
    bends = zip(flat.tangent_lines_in, flat.far_tangent_lines_in, bend_angles_deg, strict=True)
    for number, (near, far, angle) in enumerate(bends, 1):
        sights = ((number, near + inside_radius_in), (number + 1, far - inside_radius_in))
        marks += [Line("BENDS", ((0.0, at), (drawn, at))) for at in (near, far)]
        notes.append(
            f"Bend {number}: {round(angle, 1):g} degrees from flat, tangent lines {near:.3f} and {far:.3f}."
        )
        for leg, at in sights:
            # Each sight line runs over half the length, on the side of its words, so that the two stay apart.
            left = 0.0 if leg == number else drawn / 2
            marks.append(Line("SIGHT", ((left, at), (left + drawn / 2, at))))
            words = f"bend {number}: sight {at:.3f}, leg {leg} under the nose"
            under = near - 0.16 if leg == number else far + 0.06
            marks.append(Words("NOTES", (left + 0.1, under), _LETTERS_IN, words))
            notes.append(f"  With leg {leg} under the nose, sight line {at:.3f}.")
    notes += [f"Look: {one}" for one in flat.warnings]
    notes.append("The sight line lies one inside radius from the tangent line of the leg under the nose.")
    notes.append("The plans decide. This drawing approves nothing.")
    return Drawing(title, tuple(marks), tuple(notes))
