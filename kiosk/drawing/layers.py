"""The kinds of line of a drawing, and how each is told apart on paper without colour."""

from kiosk.dataclass import dataclass


@dataclass(frozen=True)
class Layer:
    """One kind of line: its name in a DXF, what the key says of it, and how it is drawn, in inches.

    ``dash_in`` are the lengths of stroke and gap in turn; none for an unbroken line. ``colour`` is a help to
    the eye and no more.
    """

    name: str
    key: str
    width_in: float
    dash_in: tuple[float, ...] = ()
    colour: str = "#000000"


LAYERS: dict[str, Layer] = {
    one.name: one
    for one in (
        Layer("BLANK", "blank: cut here", 0.02),
        Layer("CUTOUTS", "opening in the web: cut here", 0.02),
        Layer("HOLES", "hole: drill or cut", 0.012),
        Layer("WEB", "finished outline: outside of the flanges", 0.012, (0.3, 0.1)),
        Layer("BLOCK", "form block: saw and sand to here", 0.012, (0.1, 0.07), "#8a5a00"),
        Layer("DIES", "die: turn or cut to here", 0.012),
        Layer("CENTRE", "centre line", 0.006, (0.4, 0.06, 0.1, 0.06)),
        Layer("BENDS", "where a bend begins and ends", 0.006, (0.3, 0.06, 0.03, 0.06), "#005a9c"),
        Layer("SIGHT", "sight line: under the brake's nose", 0.012, (0.3, 0.06, 0.03, 0.06, 0.03, 0.06)),
        Layer("RIMS", "rim of a hole's flange", 0.006, (0.03, 0.05), "#005a9c"),
        Layer("OPENINGS", "opening in the block: cut here", 0.012),
        Layer("RIVETS", "rivet", 0.006),
        Layer("FLUTES", "flute: squeeze from edge to bend", 0.006, (), "#b00020"),
        Layer("NOTES", "words and arrows", 0.008),
        Layer("SCALE", "bar to measure before use", 0.012),
        Layer("REGISTER", "register mark: lay one page's on the other's", 0.006),
        Layer("FRAME", "edge of the page's picture", 0.004, (0.02, 0.06)),
    )
}
