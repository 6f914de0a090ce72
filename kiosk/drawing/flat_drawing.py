"""The flat pattern of a channel or an angle, with the sight line for whichever leg is under the nose."""

from collections.abc import Sequence

from kiosk.drawing.leg_names import LegsCalled, bend_names, leg_names, the
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
    legs_called: LegsCalled = "by number",
    grain: str = "",
) -> Drawing:
    """The flat, the edge of its first leg uppermost: every line is measured down from there.

    ``grain`` is along or across the length, where the part kind says so.
    """
    names, bends = leg_names(legs_in, legs_called), bend_names(legs_in, legs_called)
    drawn = LONGEST_DRAWN_IN if length_in is None else min(length_in, LONGEST_DRAWN_IN)
    whole = length_in is not None and length_in <= LONGEST_DRAWN_IN
    top = flat.width_in
    corners = ((drawn, 0.0), (0.0, 0.0), (0.0, top), (drawn, top))
    marks: list[Mark] = [Line("BLANK", corners, closed=whole)]
    sizes = ", ".join(f"{name} {leg:.3f}" for name, leg in zip(names, legs_in, strict=True))
    notes = [
        f"Flat width {flat.width_in:.3f} in. Outside: {sizes}.",
        f"Every line is measured from the free edge of {the(names[0])}, the upper edge of this drawing.",
    ]
    if grain in ("along", "across"):
        notes.append(f"The printed grain runs {grain} the length.")
    if not whole:
        notes.append(
            f"Drawn {drawn:g} in of its length: mark both ends from one half of it, the left for"
            f" {the(names[0])} under the nose, and join them along a straightedge."
        )
    lines = list(zip(flat.tangent_lines_in, flat.far_tangent_lines_in, bend_angles_deg, strict=True))
    edges = (0.0, *(at for near, far, _ in lines for at in (near, far)), top)
    for name, above, below in zip(names, edges[::2], edges[1::2], strict=True):
        middle = top - (above + below) / 2 - _LETTERS_IN / 2
        marks.append(Words("NOTES", (drawn / 2, middle), _LETTERS_IN, name.upper(), "middle"))
    for number, (near, far, angle) in enumerate(lines, 1):
        sights = ((number, near + inside_radius_in), (number + 1, far - inside_radius_in))
        marks += [Line("BENDS", ((0.0, top - at), (drawn, top - at))) for at in (near, far)]
        bent = f"{bends[number - 1]}, {round(angle, 1):g} degrees from flat"
        notes.append(f"{bent.capitalize()}: tangent lines {near:.3f} and {far:.3f}.")
        for leg, at in sights:
            # Each sight line runs over half the length, on the side of its words, so that the two stay apart:
            # of a channel those of both flanges at the left, those of the web at the right. An end marked
            # from one half has then the lines for one way of clamping.
            left = 0.0 if (leg == number) == (number % 2 == 1) else drawn / 2
            marks.append(Line("SIGHT", ((left, top - at), (left + drawn / 2, top - at))))
            own = f", {top - at:.3f} from its own edge" if leg == len(names) else ""
            which = f"{bent}: " if leg == number else ""  # once for the two: half a page has no room for more
            words = f"{which}sight {at:.3f}{own}, {names[leg - 1]} under the nose"
            beside = top - near + 0.06 if leg == number else top - far - 0.16
            marks.append(Words("NOTES", (left + 0.1, beside), _LETTERS_IN, words))
            notes.append(f"  With {the(names[leg - 1])} under the nose, sight line {at:.3f}{own}.")
    notes += [f"Look: {one}" for one in flat.warnings]
    notes.append("The sight line lies one inside radius from the tangent line of the leg under the nose.")
    notes.append("The plans decide. This drawing approves nothing.")
    return Drawing(title, tuple(marks), tuple(notes))
