"""Text for a screen: wrapped, never markup, and cut by importance until it fits without scrolling."""

import textwrap
from collections.abc import Sequence

from rich.cells import cell_len
from textual.renderables.digits import DIGITS, DIGITS3X3

from kiosk.catalogue import said, to_be_said
from kiosk.dataclass import dataclass
from kiosk.screens.big_text import low_rows, low_rows_and_words, solid_rows
from kiosk.shop.characters import visible
from kiosk.views.one_row import CUT, one_row

BOLD = "bold #ffffff"
PLAIN = "#f4f4f4"
QUIET = "#c0c0c0"
ACCENT = "bold #f0e442"
Runs = Sequence[tuple[str, str]]  # one row: text and its style, run by run
POINTER = "»"  # at what is chosen: every font has it, a browser's and the bare console's too, one cell wide
MORE_TO_READ = to_be_said("… more: tap this text, or Tab.")
LONGEST_LINE = 72  # columns; longer lines are hard to keep one's place in
BETWEEN_FIGURES = 4  # columns


@dataclass
class Paragraph:
    """Some lines that stand or fall together; importance 0 is never dropped."""

    lines: Sequence[Runs]
    importance: int
    told: str = ""  # what the screen says in its place when it has to go
    of: int | None = None  # which of the screen's things it is about, for a finger that comes down on it
    # The one action of the page, or what stands in its way: large where there is room.
    is_action: bool = False

    @property
    def text(self) -> str:
        """All of it in one line."""
        return " ".join(run for row in self.lines for run, _ in row)


class Lines:
    """Collects paragraphs of text and gives them as at most so many rows.

    ``scale`` is how large its figures are: 0 three rows, 1 and 2 four and seven.
    ``generous`` lines are cut a row later where they are short.
    """

    def __init__(self, width: int, scale: int = 0, *, generous: bool = False) -> None:
        self.width = max(20, width)
        self.scale = scale
        self.generous = generous
        self.paragraphs: list[Paragraph] = []
        self._picture: Sequence[Runs] = ()
        self._picture_at = 0
        self._picture_below: Paragraph | None = None

    @property
    def rows(self) -> int:
        """How many rows all paragraphs take."""
        return sum(len(paragraph.lines) for paragraph in self.paragraphs)

    def add(
        self,
        text: str,
        style: str = PLAIN,
        *,
        importance: int = 0,
        indent: str = "",
        most: int = 0,
        told: str = "",
        of: int | None = None,
    ) -> None:
        """Add a paragraph; ``most`` rows at most, cut with an ellipsis. ``told``, ``of``: see
        :class:`Paragraph`."""
        if not text:
            return
        if most and self.generous and self.width < LONGEST_LINE:
            most += 1  # beside a second column: no word fewer than the whole width of a small screen holds
        wrapped = textwrap.wrap(
            visible(text),
            min(self.width, LONGEST_LINE),
            initial_indent=indent,
            subsequent_indent=" " * len(indent),
            max_lines=most or None,
            placeholder=CUT,  # between words: half a figure is another figure
        ) or [""]
        self.paragraphs.append(Paragraph([[(line, style)] for line in wrapped], importance, told, of))

    def raw(self, line: str, style: str = PLAIN, *, importance: int = 0, of: int | None = None) -> None:
        """Add one row as it is, of what is known to fit: it is cut to the width. ``of``: see
        :class:`Paragraph`."""
        self.paragraphs.append(Paragraph([[(visible(line)[: self.width], style)]], importance, of=of))

    def row(
        self, text: str, style: str = PLAIN, *, end: str = "", importance: int = 0, of: int | None = None
    ) -> None:
        """Add words in one row, cut between words where they are longer; the ``end`` of the row stands whole.
        ``of``: see :class:`Paragraph`."""
        self.raw(one_row(text, self.width, end), style, importance=importance, of=of)

    def insert(self, place: int, line: str, style: str = PLAIN) -> None:
        """Put one row, which is never dropped, before the paragraph at ``place``."""
        self.paragraphs.insert(place, Paragraph([[(one_row(line, self.width), style)]], 0))

    def gap(self, importance: int = 9) -> None:
        """Add an empty row, the first thing to go."""
        self.paragraphs.append(Paragraph([[("", PLAIN)]], importance))

    def big(self, text: str, *, caption: str = "", importance: int = 0) -> None:
        """Add a figure three rows high, with a caption beside its middle row; higher where these lines are so
        scaled and it fits."""
        if self.figures((text, caption), importance=importance):
            return
        rows = _three_rows(visible(text), self.width - (cell_len(caption) + 2 if caption else 0))
        rows[1] = f"{rows[1]}  {visible(caption)}"
        self.paragraphs.append(Paragraph([[(row[: self.width], ACCENT)] for row in rows], importance))

    def figures(self, *given: tuple[str, str], importance: int = 0) -> bool:
        """Add solid figures side by side, each with its caption, as large as they fit. False, and nothing
        added, where they have no solid form here or no room."""
        for scale in range(self.scale, 0, -1):
            for under in (False, True):
                rows = _beside_one_another(given, scale, under=under)
                if rows is not None and all(len(row) <= self.width for row in rows):
                    self.paragraphs.append(Paragraph([[(row, ACCENT)] for row in rows], importance))
                    return True
        return False

    def solid(self, lines: Sequence[str], style: str = BOLD) -> Paragraph:
        """A paragraph of solid letters, as wide as they are; it is the caller's to put it in its place."""
        return Paragraph([[(row, style)] for line in lines for row in solid_rows(line) or ()], 0)

    def picture(self, picture: Sequence[Runs], *, importance: int = 0, of: int | None = None) -> None:
        """Add a picture as it is. ``of``: see :class:`Paragraph`."""
        if picture:
            self.paragraphs.append(Paragraph(picture, importance, of=of))

    def beside(self, picture: Sequence[Runs], column: int, *, below: Paragraph | None = None) -> None:
        """Put a picture beside the text, from a column on, in the rows after the paragraph ``below``; the
        text there is at most :data:`LONGEST_LINE` wide."""
        self._picture, self._picture_at, self._picture_below = picture, column, below

    def rows_to(self, last: Paragraph | None, kept: Sequence[Paragraph] | None = None) -> int:
        """How many rows the paragraphs, or those that are kept, take as far as this one; 0 for None."""
        if last is None:
            return 0
        stand = {id(one) for one in (kept if kept is not None else self.paragraphs)}
        rows = 0
        for paragraph in self.paragraphs:
            rows += len(paragraph.lines) if id(paragraph) in stand else 0
            if paragraph is last:
                break
        return rows

    def is_beside(self, row: int, column: int, height: int) -> bool:
        """True for a cell of what stands beside the text."""
        first = self.rows_to(self._picture_below, self._kept(height))
        return bool(self._picture) and column >= self._picture_at and row >= first

    def whole_rows(self, height: int) -> list[Runs]:
        """The rows that are left in ``height`` rows, each with what stands beside it; the least important go
        first, from the bottom up."""
        kept = self._kept(height)
        rows = [line for paragraph in kept for line in paragraph.lines]
        return self._with_picture(rows, self.rows_to(self._picture_below, kept))[:height]

    def kept_rows(self, height: int) -> list[Runs]:
        """The rows that are left in ``height`` rows, to stand beside other text."""
        return [row for paragraph in self._kept(height) for row in paragraph.lines][: max(0, height)]

    def of_row(self, row: int, height: int) -> int | None:
        """What the row is about that stands there in ``height`` rows."""
        of_rows = [paragraph.of for paragraph in self._kept(height) for _ in paragraph.lines]
        return of_rows[row] if 0 <= row < len(of_rows) else None

    def is_whole(self, height: int) -> bool:
        """True when nothing but empty rows is left out in ``height`` rows."""
        kept = {id(one) for one in self._kept(height)}
        left_out = [one for one in self.paragraphs if id(one) not in kept]
        return not any(run.strip() for one in left_out for row in one.lines for run, _ in row)

    def tell_more(self, height: int) -> None:
        """Leave out what has no room in ``height`` rows, and say in the last row that there is more."""
        self.paragraphs = self._kept(height - 1)
        self.raw(said(MORE_TO_READ), BOLD)

    def told_left_out(self, height: int) -> list[str]:
        """What stands for each paragraph that must be told of and does not fit in ``height`` rows."""
        kept = {id(one) for one in self._kept(height)}
        return [one.told for one in self.paragraphs if one.told and id(one) not in kept]

    def _kept(self, height: int) -> list[Paragraph]:
        kept = list(self.paragraphs)
        while sum(len(paragraph.lines) for paragraph in kept) > height:
            droppable = [paragraph for paragraph in kept if paragraph.importance > 0]
            if not droppable:
                break
            least = max(paragraph.importance for paragraph in droppable)
            last = max(place for place, paragraph in enumerate(kept) if paragraph.importance == least)
            del kept[last]
        return kept

    def _with_picture(self, rows: Sequence[Runs], first: int) -> list[Runs]:
        """The rows of text, each from the ``first`` on with its row of the picture after it."""
        found: list[Runs] = []
        for number in range(max(len(rows), first + len(self._picture))):
            row = list(rows[number]) if number < len(rows) else []
            if first <= number < first + len(self._picture):
                gap = self._picture_at - sum(cell_len(run) for run, _ in row)
                row += [(" " * gap, PLAIN), *self._picture[number - first]]
            found.append(row)
        return found


def _beside_one_another(given: Sequence[tuple[str, str]], scale: int, *, under: bool) -> list[str] | None:
    """Solid figures in a row, each with its caption beside its middle or under it; None where one has no
    solid form."""
    rows: list[str] = []
    for text, caption in given:
        solid = solid_rows(text, scale)
        if not text or solid is None:
            return None
        beside = visible(caption)
        if under:
            here = [*solid, beside]
        else:
            middle = (len(solid) - 1) // 2
            here = [f"{row}  {beside}" if at == middle else row for at, row in enumerate(solid)]
        gap = " " * (BETWEEN_FIGURES if rows else 0)
        wide = max(map(len, here))
        rows = [
            f"{before}{gap}{row:<{wide}}" for before, row in zip(rows or [""] * len(here), here, strict=True)
        ]
    return [row.rstrip() for row in rows]


def _three_rows(text: str, columns: int) -> list[str]:
    """Three rows of large characters: solid where all of them have that form and there is room, with the
    words among them plain where there is less; else of lines, and one without either form in the middle."""
    for solid in (low_rows(text), low_rows_and_words(text)):
        if solid is not None and len(solid[0]) <= columns:
            return list(solid)
    rows = ["", "", ""]
    for character in text:
        place = DIGITS.find(character)
        if place >= 0 and character != " ":
            for number in range(3):
                rows[number] += DIGITS3X3[place * 3 + number].ljust(3)
        else:
            for number, part in enumerate((" ", character, " ")):
                rows[number] += f" {part} "
    return rows
