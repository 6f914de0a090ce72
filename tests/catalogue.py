"""What the kiosk says of its own, gathered from its source into the template of a catalogue.

    python -m tests.catalogue          # writes kiosk/catalogues/kiosk.pot

What :func:`kiosk.catalogue.said` and :func:`to_be_said` are given, labels of actions, and numbers with their
words. Babel (https://babel.pocoo.org) writes and compiles; a test holds the template to the source.
"""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po

import kiosk
from kiosk.catalogue import CATALOGUES, DOMAIN

TEMPLATE = CATALOGUES / f"{DOMAIN}.pot"
HEAD = "# What the bench kiosk says of its own. A translation has the licence of the kiosk."
# Which arguments are said: by number.
_TEXT_OF = {"said": 0, "to_be_said": 0, "Action": 0}
_FORMS_OF = {"so_many": (1, 2), "word_for": (1, 2)}


def _texts(node: ast.expr) -> Iterator[str]:
    """The texts that an argument may be: written there, or one or the other."""
    match node:
        case ast.Constant(value=str(text)) if text:
            yield text
        case ast.IfExp():
            yield from _texts(node.body)
            yield from _texts(node.orelse)


def sayings(source: str) -> Iterator[str | tuple[str, str]]:
    """Every text of one module's source that is said; a pair for a number's two English forms."""
    for node in ast.walk(ast.parse(source)):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
            continue
        name, given = node.func.id, node.args
        if name in _TEXT_OF and len(given) > _TEXT_OF[name]:
            yield from _texts(given[_TEXT_OF[name]])
        elif name in _FORMS_OF:
            one, many = (given[place] for place in _FORMS_OF[name])
            yield from zip(_texts(one), _texts(many), strict=True)


@cache
def gathered() -> Catalog:
    """The template: every saying once, with the modules that say it. To be read alone: it is made once."""
    catalogue = Catalog(project="bench-kiosk", version=kiosk.__version__, header_comment=HEAD, fuzzy=False)
    package = Path(kiosk.__file__).parent
    for path in sorted(package.rglob("*.py")):
        for said in sayings(path.read_text(encoding="utf-8")):
            flags = ("python-brace-format",) if "{" in str(said) else ()
            catalogue.add(said, locations=[(path.relative_to(package.parent).as_posix(), 0)], flags=flags)
    return catalogue


def main() -> None:
    """Write the template."""
    TEMPLATE.parent.mkdir(exist_ok=True)
    with TEMPLATE.open("wb") as file:
        write_po(file, gathered(), width=0, sort_output=True, include_lineno=False)


if __name__ == "__main__":
    main()
