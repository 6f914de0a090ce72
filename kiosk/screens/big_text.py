"""Solid letters and figures, several rows high, to be read from the other end of the garage.

Five dots by seven: the least that ISO 9241-3 allows for figures and capitals (as quoted in a maker's guide to
display ergonomics; the standard itself was not seen). A dot is half a cell high and one wide, so that it is
as wide as high where cells are twice as high as wide. Of the block characters only the full and the half
ones are used: the Linux console's own font has them (drivers/tty/vt/cp437.uni), and lacks the thin corners
of figures drawn with lines.

Where three rows are all there is, figures are five dots by six: a dot less than the least above, but half as
high again as figures of lines in the same rows, and with strokes a dot wide, not a pixel or two.
"""

import unicodedata
from collections.abc import Sequence
from functools import lru_cache

DOTS_UP = 7
# Rows that a line of them takes, by scale: the columns of one dot.
ROWS = {1: 4, 2: 7, 4: 14, 6: 21}
_CELLS = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}
_SAME = {"’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-", "×": "X", "½": "1/2"}

_DRAWN = """
A .###. #...# #...# ##### #...# #...# #...#
B ####. #...# #...# ####. #...# #...# ####.
C .#### #.... #.... #.... #.... #.... .####
D ####. #...# #...# #...# #...# #...# ####.
E ##### #.... #.... ####. #.... #.... #####
F ##### #.... #.... ####. #.... #.... #....
G .#### #.... #.... #..## #...# #...# .####
H #...# #...# #...# ##### #...# #...# #...#
I ### .#. .#. .#. .#. .#. ###
J ..### ...#. ...#. ...#. ...#. #..#. .##..
K #...# #..#. #.#.. ##... #.#.. #..#. #...#
L #.... #.... #.... #.... #.... #.... #####
M #...# ##.## #.#.# #.#.# #...# #...# #...#
N #...# ##..# ##..# #.#.# #..## #..## #...#
O .###. #...# #...# #...# #...# #...# .###.
P ####. #...# #...# ####. #.... #.... #....
Q .###. #...# #...# #...# #.#.# #..#. .##.#
R ####. #...# #...# ####. #.#.. #..#. #...#
S .#### #.... #.... .###. ....# ....# ####.
T ##### ..#.. ..#.. ..#.. ..#.. ..#.. ..#..
U #...# #...# #...# #...# #...# #...# .###.
V #...# #...# #...# #...# .#.#. .#.#. ..#..
W #...# #...# #...# #.#.# #.#.# ##.## #...#
X #...# #...# .#.#. ..#.. .#.#. #...# #...#
Y #...# #...# .#.#. ..#.. ..#.. ..#.. ..#..
Z ##### ....# ...#. ..#.. .#... #.... #####
0 .###. #...# #..## #.#.# ##..# #...# .###.
1 ..#.. .##.. ..#.. ..#.. ..#.. ..#.. .###.
2 .###. #...# ....# ...#. ..#.. .#... #####
3 .###. #...# ....# ..##. ....# #...# .###.
4 ...#. ..##. .#.#. #..#. ##### ...#. ...#.
5 ##### #.... ####. ....# ....# #...# .###.
6 ..##. .#... #.... ####. #...# #...# .###.
7 ##### ....# ...#. ..#.. .#... .#... .#...
8 .###. #...# #...# .###. #...# #...# .###.
9 .###. #...# #...# .#### ....# ...#. .##..
. . . . . . . #
, .. .. .. .. .. .# #.
: . # . . . # .
; .. .# .. .. .. .# #.
' # # . . . . .
" #.# #.# ... ... ... ... ...
- .... .... .... #### .... .... ....
+ ..... ..#.. ..#.. ##### ..#.. ..#.. .....
* ..... #.#.# .###. ##### .###. #.#.# .....
/ ....# ....# ...#. ..#.. .#... #.... #....
( .# #. #. #. #. #. .#
) #. .# .# .# .# .# #.
= .... .... #### .... #### .... ....
% ##..# ##..# ...#. ..#.. .#... #..## #..##
! # # # # # . #
? .###. #...# ....# ...#. ..#.. ..... ..#..
# .#.#. .#.#. ##### .#.#. ##### .#.#. .#.#.
& .##.. #..#. #..#. .##.. #.#.# #..#. .##.#
° .#. #.# .#. ... ... ... ...
… ..... ..... ..... ..... ..... ..... #.#.#
"""


def _table(drawn: str) -> dict[str, tuple[str, ...]]:
    return {row[0]: tuple(row[2:].split(" ")) for row in drawn.strip().splitlines()}


_DOTS = _table(_DRAWN)
_DOTS[" "] = ("...",) * DOTS_UP

LOW_ROWS = 3  # that a figure takes where there is no room for a higher one
_LOW_DRAWN = """
0 .###. #...# #...# #...# #...# .###.
1 ..#.. .##.. ..#.. ..#.. ..#.. .###.
2 .###. #...# ...#. ..#.. .#... #####
3 .###. #...# ..##. ....# #...# .###.
4 ...#. ..##. .#.#. #..#. ##### ...#.
5 ##### #.... ####. ....# #...# .###.
6 .###. #.... ####. #...# #...# .###.
7 ##### ....# ...#. ..#.. .#... .#...
8 .###. #...# .###. #...# #...# .###.
9 .###. #...# #...# .#### ....# .###.
. . . . . . #
, .. .. .. .. .# #.
: . # . . # .
- .... .... #### .... .... ....
+ ..... ..#.. ##### ..#.. ..... .....
* ... ... .#. ### .#. ...
/ ....# ....# ...#. ..#.. .#... #....
C .#### #.... #.... #.... #.... .####
D ####. #...# #...# #...# #...# ####.
E ##### #.... ####. #.... #.... #####
F ##### #.... ####. #.... #.... #....
G .#### #.... #..## #...# #...# .####
H #...# #...# ##### #...# #...# #...#
I ### .#. .#. .#. .#. ###
M #...# ##.## #.#.# #.#.# #...# #...#
N #...# ##..# #.#.# #.#.# #..## #...#
T ##### ..#.. ..#.. ..#.. ..#.. ..#..
# .#.#. ##### .#.#. .#.#. ##### .#.#.
' # # . . . .
" #.# #.# ... ... ... ...
% ##..# ##.#. ..#.. ..#.. .#.## #..##
° .#. #.# .#. ... ... ...
"""
_LOW_DOTS = _table(_LOW_DRAWN) | {" ": ("...",) * (2 * LOW_ROWS)}


def plainly(text: str) -> str | None:
    """The text in the capitals, figures and marks that have a solid form; None where one has none."""
    for character, same in _SAME.items():
        text = text.replace(character, same)
    bare = (one for one in unicodedata.normalize("NFD", text.upper()) if not unicodedata.combining(one))
    found = "".join(bare)
    return found if all(one in _DOTS for one in found) else None


def columns_of(text: str, scale: int = 1) -> int:
    """How many columns such a text takes."""
    return scale * (sum(len(_DOTS[one][0]) + 1 for one in text) - 1) if text else 0


def scale_that_fits(text: str, columns: int, rows: int) -> int:
    """The largest scale at which a text has room; 0 where it has none, or no solid form."""
    plain = plainly(text)
    if plain is None:
        return 0
    fits = (scale for scale in ROWS if columns_of(plain, scale) <= columns and ROWS[scale] <= rows)
    return max(fits, default=0)


@lru_cache(maxsize=64)
def solid_rows(text: str, scale: int = 1) -> tuple[str, ...] | None:
    """The text in solid characters of a scale in ``ROWS``; None where one of them has no such form."""
    plain = plainly(text)
    if plain is None:
        return None
    dots = [" ".join(_DOTS[one][row] for one in plain).replace(".", " ") for row in range(DOTS_UP)]
    if scale > 1:
        rows = ("".join(("█" if dot == "#" else " ") * scale for dot in row) for row in dots)
        return tuple(row for row in rows for _ in range(scale // 2))
    return _in_half_cells([*dots, " " * len(dots[0])])


@lru_cache(maxsize=64)
def low_rows(text: str) -> tuple[str, ...] | None:
    """A figure with its unit in three rows of solid characters, its letters as capitals; None where something
    in it has no such form."""
    plain = plainly(text)
    if plain is None or not all(one in _LOW_DOTS for one in plain):
        return None
    return _in_half_cells([" ".join(_LOW_DOTS[one][row] for one in plain) for row in range(2 * LOW_ROWS)])


@lru_cache(maxsize=64)
def low_rows_and_words(text: str) -> tuple[str, ...] | None:
    """The same with the words in it plain, beside its figures in the middle row: for less room. None where a
    figure in it has no solid form."""
    rows = ["", "", ""]
    for part in text.split():
        solid = low_rows(part) if any(one.isdigit() for one in part) else ("", part, "")
        if solid is None:
            return None
        wide = max(map(len, solid))
        gap = "  " if rows[1] else ""
        rows = [f"{row}{gap}{one:<{wide}}" for row, one in zip(rows, solid, strict=True)]
    return tuple(rows)


def _in_half_cells(dots: Sequence[str]) -> tuple[str, ...]:
    """Rows of cells, each of two rows of dots."""
    pairs = zip(dots[::2], dots[1::2], strict=True)
    return tuple(
        "".join(_CELLS[over == "#", under == "#"] for over, under in zip(upper, lower, strict=True))
        for upper, lower in pairs
    )


@lru_cache(maxsize=64)
def solid_lines(text: str, columns: int, most: int) -> tuple[Sequence[str], bool] | None:
    """The text in so many lines of solid letters at most, broken between words, and whether that is all.

    What is left out is told by an ellipsis; None where not even the first word fits, or something in it has
    no solid form.
    """
    plain = plainly(text)
    if plain is None or most < 1:
        return None
    lines: list[str] = []
    line = ""
    for word in plain.split():
        longer = f"{line} {word}" if line else word
        if columns_of(longer) <= columns:
            line = longer
            continue
        if not line or columns_of(word) > columns:
            return None
        lines.append(line)
        line = word
        if len(lines) == most:
            return _cut(lines, columns), False
    return ([*lines, line], True) if line else None


def _cut(lines: list[str], columns: int) -> Sequence[str]:
    """The lines with an ellipsis at their end: after a clause where one ends in the last line, else where
    words make room for it."""
    last = lines[-1]
    clause = max(last.rfind(mark) for mark in ",;:")
    last = last[:clause] if clause > 0 else last.rstrip(",;:")
    while last and columns_of(f"{last} …") > columns:
        last = last.rpartition(" ")[0].rstrip(",;:")
    return [*lines[:-1], f"{last} …".strip()]
