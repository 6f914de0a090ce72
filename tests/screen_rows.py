"""The rows of a screen as text, read from the picture that Textual exports."""

import re
import xml.etree.ElementTree as ET

_SVG = "{http://www.w3.org/2000/svg}"
# Rich draws SVG with letters 20 units high: 12.2 wide, a row each 24.4 (rich.console.Console.export_svg).
_COLUMN = 12.2
_LINE = re.compile(r"-line-(\d+)\)$")


def rows_of(svg: str) -> list[str]:
    """The rows from the top, without the spaces at their ends."""
    found: dict[int, dict[int, str]] = {}
    for text in ET.fromstring(svg).iter(f"{_SVG}text"):
        line = _LINE.search(text.get("clip-path", ""))
        if line is not None:
            at = round(float(text.get("x", "0")) / _COLUMN)
            found.setdefault(int(line[1]), {})[at] = (text.text or "").replace("\xa0", " ")
    return [_joined(found.get(number, {})) for number in range(max(found, default=-1) + 1)]


def _joined(pieces: dict[int, str]) -> str:
    row = ""
    for at, text in sorted(pieces.items()):
        row = row.ljust(at) + text
    return row.rstrip()
