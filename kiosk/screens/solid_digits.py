"""Solid digits for the other end of the garage: five rows high, or a multiple of that."""

ROWS = 5  # of a digit at scale 1
_COLUMNS = 2  # of one dot at scale 1: a cell of a terminal is about twice as high as wide
_DOTS = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", "###", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", "  #", "  #"),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    ":": (" ", "#", " ", "#", " "),
    ".": (" ", " ", " ", " ", "#"),
}


def solid_digits(text: str, scale: int = 1) -> list[str]:
    """Rows of blocks for digits, a point and a colon. Raises KeyError for any other character."""
    rows = []
    for row in range(ROWS):
        dots = " ".join(_DOTS[character][row] for character in text)
        line = "".join(("█" if dot == "#" else " ") * _COLUMNS * scale for dot in dots)
        rows += [line] * scale
    return rows


def scale_that_fits(text: str, columns: int, rows: int, most: int = 3) -> int:
    """The largest scale at which the digits have room; 0 when they have none."""
    wide = len(solid_digits(text)[0])
    return max(0, min(most, columns // wide, rows // ROWS))
