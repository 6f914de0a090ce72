"""Blocks of text on as many pages as they need: nothing is dropped where there is no room."""

from collections.abc import Sequence
from dataclasses import field

from kiosk.dataclass import dataclass
from kiosk.screens.page_text import Lines, Runs


@dataclass(frozen=True)
class Block:
    """Rows that stand on one page where they can; ``of`` says what they are about."""

    rows: Sequence[Runs]
    of: int | None = None


@dataclass
class TextPage:
    """The rows of one page, and what each of them is about."""

    rows: list[Runs] = field(default_factory=list)
    of: list[int | None] = field(default_factory=list)

    @property
    def about(self) -> list[int]:
        """What its blocks are about, each once."""
        return list(dict.fromkeys(one for one in self.of if one is not None))


def block(lines: Lines, of: int | None = None) -> Block:
    """What was added to an empty page, as one block."""
    return Block([row for paragraph in lines.paragraphs for row in paragraph.lines], of)


def paged(blocks: Sequence[Block], first_rows: int, other_rows: int) -> list[TextPage]:
    """The blocks in order on pages of so many rows; at least one page.

    A block that no page could hold is broken; any other begins a new page where the last has no room for it.
    """
    pages = [TextPage()]

    def room() -> int:
        return max(1, first_rows if len(pages) == 1 else other_rows) - len(pages[-1].rows)

    for one in blocks:
        rows = list(one.rows)
        if len(rows) > room() and pages[-1].rows and len(rows) <= max(1, other_rows):
            pages.append(TextPage())
        while rows:
            if room() <= 0:
                pages.append(TextPage())
            here = room()
            pages[-1].rows += rows[:here]
            pages[-1].of += [one.of] * len(rows[:here])
            rows = rows[here:]
    return pages
