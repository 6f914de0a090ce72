"""A row of rivets on its flange, with end distance, edge distance and pitch, the hole in hand marked."""

from typing import Literal

from kiosk.drawing.sketch import DONE, IN_HAND, RIVET, InHand, Label, Sketch, Stroke, Symbol
from kiosk.drawing.step_drawing import step_drawing
from kiosk.numbers.result import require
from kiosk.numbers.rivets import LEAST_EDGE_DIAMETERS
from kiosk.numbers.rivets import rivet_row as row_of_rivets

MOST_RIVETS = 200

RowCounted = Literal["rivet", "hole"]
RowOrder = Literal["along", "ends first"]


@step_drawing
def rivet_row(
    in_hand: InHand,
    length_in: float,
    end_in: float,
    diameter_in: float,
    count: int,
    edge_in: float | None = None,
    order: RowOrder = "along",
    counted: RowCounted = "rivet",
) -> Sketch:
    """The row along its flange, from end to end, the flange's free edge below.

    Parameters
    ----------
    in_hand : InHand
        How many of the row are done; the next one is marked.
    length_in, end_in, diameter_in, count
        The row, as the calculator ``rivet_row`` takes it: inches, and 2 rivets or more, to 200.
    edge_in : float, optional
        From the rivet line to the flange's free edge, in inches. Left out, the least edge distance is drawn
        and called so: 2 diameters (FAA AC 43.13-1B paragraph 4-57).
    order : {"along", "ends first"}
        Whether they are done from end to end, or the two ends first, then the middle, then the rest.
    counted : {"rivet", "hole"}
        What the step's repeat counts. Where it counts another number than the row has, none is marked.

    Returns
    -------
    Sketch
        Rivets at equal pitch between the ends.

    Raises
    ------
    OutOfRange
        As the calculator, and when the row has more rivets than can be drawn.
    """
    require(count >= 2, "count", f"{count} rivets are no row", "give 2 or more")
    require(
        count <= MOST_RIVETS, "count", f"{count} rivets are too many to draw", f"give {MOST_RIVETS} at most"
    )
    pitch = row_of_rivets(length_in, end_in, diameter_in, count=count).pitch_in
    require(edge_in is None or edge_in > 0, "edge_in", "the edge distance is nothing", "measure it")
    least = LEAST_EDGE_DIAMETERS * diameter_in
    edge = least if edge_in is None else edge_in
    above, below = edge + 2 * edge, -1.5 * edge  # where the two rows of figures stand
    centres = [(end_in + number * pitch, edge) for number in range(count)]
    strokes = [
        Stroke(((0.0, 0.0), (length_in, 0.0))),
        Stroke(((0.0, 0.0), (0.0, 2 * edge))),
        Stroke(((length_in, 0.0), (length_in, 2 * edge))),
        Stroke(((0.0, 2 * edge), (length_in, 2 * edge)), "dashed"),
        Stroke(((centres[0][0], edge), (centres[0][0], above)), "dotted"),
        Stroke(((centres[1][0], edge), (centres[1][0], above)), "dotted"),
        Stroke(((centres[0][0], above), (centres[1][0], above))),
        Stroke(((0.0, 0.0), (0.0, below)), "dotted"),
        Stroke(((centres[0][0], edge), (centres[0][0], below)), "dotted"),
        Stroke(((0.0, below), (centres[0][0], below))),
    ]
    symbols = []
    labels = [
        Label(((centres[0][0] + centres[1][0]) / 2, above), f"pitch {pitch:.3f}", "above"),
        Label((end_in / 2, below), f"end {end_in:.3f}", "below"),
        Label(
            (length_in, edge / 2),
            f"edge {edge:.3f}" if edge_in is not None else f"edge ≥ {least:.3f}",
            "right",
        ),
    ]
    is_counted = in_hand.of == count
    this_one = in_hand.words(counted) if is_counted else ""
    for turn, place in enumerate(_in_order(count, order)):
        centre = centres[place]
        if is_counted and turn < in_hand.done:
            symbols.append(Symbol(centre, DONE, 1))
        elif is_counted and turn == in_hand.next:
            symbols.append(Symbol(centre, IN_HAND, 2))
            labels.append(Label((centre[0], 0.0), this_one, "below", in_hand=True))
        else:
            symbols.append(Symbol(centre, RIVET))
    key = [f"{RIVET} to do" if is_counted else f"{RIVET} rivet"]
    if is_counted:
        key += [f"{IN_HAND} this one: {this_one}"] if this_one else []
        key.append(f"{DONE} done")
    words = (
        "  ".join(key),
        f"{count} rivets, {diameter_in:.3f} in, pitch {pitch:.3f} in, {end_in:.3f} in from each end.",
        f"From the line to the flange's edge {edge:.3f} in"
        + ("." if edge_in is not None else " or more (2 diameters)."),
        "Solid: the flange's cut edges. Dashed: its bend.",
    )
    return Sketch("Rivet row", tuple(strokes), tuple(symbols), tuple(labels), words)


def _in_order(count: int, order: RowOrder) -> list[int]:
    """The places of the row in the order in which they are done."""
    if order == "along":
        return list(range(count))
    first = list(dict.fromkeys((0, count - 1, (count - 1) // 2)))
    return [*first, *(place for place in range(count) if place not in first)]
