"""One HTML page, written as it goes: what is on the disk already needs no memory.

Everything from files and records goes in as text, escaped by the standard library, never as markup.
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from io import TextIOWrapper
from xml.etree import ElementTree as ET
from xml.sax.saxutils import escape, quoteattr

from kiosk.logbook.style import style
from kiosk.shop.characters import visible

Cell = str | Sequence["Line"]
_ON_THEIR_OWN = ("section", "h1", "h2", "h3", "p", "tr", "table")  # after them a new line shows nowhere


class Line:
    """A line in a cell: text that may be struck through, with words that say why."""

    def __init__(self, text: str, *, struck: bool = False, after: str = "") -> None:
        self.text = text
        self.struck = struck
        self.after = after


def _as_text(text: str) -> str:
    return escape(visible(text))


def _opened(tag: str, attributes: Mapping[str, str] | None = None) -> str:
    said = "".join(f" {name}={quoteattr(visible(text))}" for name, text in (attributes or {}).items())
    return f"<{tag}{said}>"


def _lines(lines: Sequence[Line]) -> str:
    """Lines, as a list where they are several."""
    if len(lines) == 1:
        return _line(lines[0])
    return f"<ul>{''.join(f'<li>{_line(line)}</li>' for line in lines)}</ul>" if lines else ""


def _line(line: Line) -> str:
    text = _as_text(line.text)
    said = f"<s>{text}</s>" if line.struck else text
    return f"{said} <b>({_as_text(line.after)})</b>" if line.after else said


class Sheet:
    """A page that is open for writing. Nothing in it runs, and nothing is loaded from elsewhere."""

    def __init__(self, out: TextIOWrapper, title: str, foot: str) -> None:
        self._out = out
        self._classes: Sequence[str] = ()  # of the columns of the table that is open
        out.write('<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">')
        out.write('<meta name="viewport" content="width=device-width, initial-scale=1">')
        out.write(f"<title>{_as_text(title)}</title><style>{style(visible(foot))}</style></head><body>\n")

    def end(self) -> None:
        """Close the page."""
        self._out.write("</body></html>\n")

    @contextmanager
    def within(self, tag: str, attributes: Mapping[str, str] | None = None) -> Iterator[None]:
        """An element, with what is written meanwhile in it."""
        self._out.write(_opened(tag, attributes))
        yield
        self._out.write(f"</{tag}>\n" if tag in _ON_THEIR_OWN else f"</{tag}>")

    def text(self, text: str) -> None:
        """Text, with what cannot be seen made visible."""
        self._out.write(_as_text(text))

    def say(self, tag: str, text: str, **attributes: str) -> None:
        """An element with a text. An attribute that is a word of Python's is given with ``_`` after it."""
        with self.within(tag, {name.rstrip("_"): value for name, value in attributes.items()}):
            self.text(text)

    def link(self, text: str, to: str) -> None:
        """A link to another place of the logbook; plain text where that has none."""
        if to:
            self.say("a", text, href=to)
        else:
            self.text(text)

    @contextmanager
    def table(
        self,
        heads: Sequence[str],
        classes: Sequence[str] = (),
        caption: str = "",
        *,
        over: str = "",
        fixed: bool = False,
    ) -> Iterator[None]:
        """A table whose head is repeated on each printed page, with what it is about ``over`` it.

        The columns of a ``fixed`` one are as wide as their classes say: long ones are laid out quickly so.
        """
        self._classes = classes
        with self.within("table", {"class": "fixed"} if fixed else None):
            if caption:
                self.say("caption", caption)
            for name in classes:
                self._out.write(f'<col class="{name}">' if name else "<col>")
            with self.within("thead"):
                if over:
                    with self.within("tr"):
                        self.say("th", over, colspan=str(len(heads)))
                with self.within("tr"):
                    for head in heads:
                        self.say("th", head)
            with self.within("tbody"):
                yield

    def cell(self, number: int) -> AbstractContextManager[None]:
        """A cell of the open table, styled as its column."""
        return self.within("td", self._style_of(number))

    def row(self, cells: Sequence[Cell], attributes: Mapping[str, str] | None = None) -> None:
        """A row; a cell is a text, or lines."""
        self._out.write(_opened("tr", attributes))
        for number, cell in enumerate(cells):
            inside = _as_text(cell) if isinstance(cell, str) else _lines(cell)
            self._out.write(f"{_opened('td', self._style_of(number))}{inside}</td>")
        self._out.write("</tr>\n")

    def _style_of(self, number: int) -> Mapping[str, str] | None:
        name = self._classes[number] if number < len(self._classes) else ""
        return {"class": name} if name else None

    def picture(self, element: ET.Element) -> None:
        """A drawing made elsewhere, such as a chart in SVG."""
        self._out.write(ET.tostring(element, encoding="unicode"))
