"""Read a YAML file into a class of the shop's with every fault at its line and column.

Every scalar is kept as the text that was written, so that ``1.20``, ``012``, ``NO`` and ``10:30`` mean what
they say; the field's own type converts it. Anchors, aliases and tags are refused: shop files need none, and
they are how a small file grows without limit.
"""

import difflib
import re
import types
import typing
from collections.abc import Callable
from dataclasses import field, replace
from pathlib import Path
from typing import Any, TypeVar, cast

import yaml
from pydantic import ValidationError
from pydantic_core import ErrorDetails

from kiosk.dataclass import dataclass
from kiosk.shop.characters import first_hidden, name_of
from kiosk.shop.checked import FieldFault, Strict, fields_of, key_of
from kiosk.shop.faults import Fault, nearest
from kiosk.shop.files import Unreadable, read_bytes

MOST_NODES = 50_000
DEEPEST = 32
MOST_KEPT = 200  # files whose newest content is kept worked out

_ID_LINE = re.compile(r"""^id:[ ]*["']?(?P<id>[\w-]+)""", re.MULTILINE)

Location = tuple[str | int, ...]
LineAndColumn = tuple[int, int]  # line and column, from 1
Model = TypeVar("Model", bound=Strict)

_BaseLoader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class _TextLoader(_BaseLoader):  # type: ignore[misc]
    """Leaves every plain scalar as text."""

    yaml_implicit_resolvers: typing.ClassVar[dict[str, Any]] = {}


@dataclass
class Document:
    """One file: its plain data, and where each key and value stands."""

    file: str
    text: str = ""
    data: Any = None
    values: dict[Location, LineAndColumn] = field(default_factory=dict)
    keys: dict[Location, LineAndColumn] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    made: dict[type[Strict], Any] = field(default_factory=dict, repr=False, compare=False)  # of its data

    @property
    def id_written(self) -> str:
        """The id that stands in the file, as far as that can be told of one that is broken."""
        if isinstance(self.data, dict) and isinstance(self.data.get("id"), str):
            return str(self.data["id"])
        found = _ID_LINE.search(self.text)
        return found["id"] if found else ""

    @property
    def broken(self) -> bool:
        """True when something in it stops it from being used; a warning does not."""
        return any(fault.severity == "error" for fault in self.faults)

    def told(self, location: Location, *, key: bool = False) -> bool:
        """True when something is said already to be wrong just there."""
        here = self.position(location, key=key)
        return any((one.line, one.column) == here and one.severity == "error" for one in self.faults)

    def said(self, location: Location) -> bool:
        """True when something is said already just there, an error or a warning."""
        here = self.position(location)
        return any((one.line, one.column) == here for one in self.faults)

    def position(self, location: Location, *, key: bool = False) -> LineAndColumn:
        """Line and column of a value (or its key), or of the nearest thing around it that exists."""
        if key and location in self.keys:
            return self.keys[location]
        while location:
            if location in self.values:
                return self.values[location]
            location = location[:-1]
        return self.values.get((), (1, 1))

    def fault(
        self, location: Location, wrong: str, mend: str, *, key: bool = False, warning: bool = False
    ) -> Fault:
        """Note a fault at a location and return it."""
        line, column = self.position(location, key=key)
        fault = Fault(self.file, line, column, wrong, mend, "warning" if warning else "error")
        self.faults.append(fault)
        return fault


_newest: dict[str, tuple[bytes, Document]] = {}


def read_document(path: Path, shown_as: str | None = None) -> Document:
    """Read one YAML file. Never raises for bad content: the faults are in the document.

    What stands in a file is worked out once for the same bytes: when one file was saved, most were not. So
    its data, its places and what was made of it are shared and never changed; the list of faults is the
    caller's own.
    """
    file = shown_as or str(path)
    try:
        raw = read_bytes(path)
    except Unreadable as error:
        return Document(file, faults=[Fault(file, 1, 1, f"the file {error.wrong}", error.mend)])
    known = _newest.get(file)
    if known is None or known[0] != raw:
        if len(_newest) >= MOST_KEPT:
            _newest.clear()
        known = _newest[file] = (raw, _document_of(file, raw))
    return replace(known[1], faults=list(known[1].faults))


def _document_of(file: str, raw: bytes) -> Document:
    document = Document(file)

    def refuse(wrong: str, mend: str, line: int = 1, column: int = 1) -> Document:
        document.faults.append(Fault(document.file, line, column, wrong, mend))
        return document

    try:
        text = raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line, column = _line_and_column(raw[: error.start].decode("utf-8", "replace"))
        return refuse("a character is not UTF-8", "save the file as UTF-8", line, column)
    if not text.strip():
        return refuse("the file is empty", "write the procedure or the shop in it")
    document.text = text
    hidden = first_hidden(text)
    if hidden is not None:
        return refuse(_holds(text[hidden]), "delete it", *_line_and_column(text[:hidden]))
    return _parse(document, text, refuse)


def _line_and_column(before: str) -> LineAndColumn:
    """Where a character stands that comes after this text."""
    return before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1


def _holds(character: str) -> str:
    return f"the text holds a character that does not show: {name_of(character)}"


def _parse(document: Document, text: str, refuse: Callable[[str, str, int, int], Document]) -> Document:
    try:
        guard = _guard(document, text)
        if not guard:
            return document
        loader = _TextLoader(text)
        try:
            node = loader.get_single_node()
            if node is None:
                return refuse("the file holds only comments", "write the procedure or the shop in it", 1, 1)
            _index(document, node, ())
            document.data = loader.construct_document(node)
        finally:
            loader.dispose()
    except yaml.MarkedYAMLError as error:
        if document.broken:
            return document  # what was found before it is what broke it
        line, column, wrong, mend = _explain(error, text)
        return refuse(wrong, mend, line, column)
    except yaml.reader.ReaderError as error:
        position = getattr(error, "position", 0)
        line = text[:position].count("\n") + 1
        return refuse("a control character is in the text", "delete it", line, 1)
    except RecursionError:
        return refuse(f"lists are nested deeper than {DEEPEST}", "flatten the file", 1, 1)
    return document


def _guard(document: Document, text: str) -> bool:
    """Refuse anchors, aliases, tags, a second document and runaway size before anything is built."""
    depth = nodes = documents = 0
    for event in yaml.parse(text, Loader=_TextLoader):
        mark = event.start_mark
        here = (mark.line + 1, mark.column + 1) if mark else (1, 1)

        def refuse(wrong: str, mend: str, here: LineAndColumn = here) -> None:
            document.faults.append(Fault(document.file, *here, wrong, mend))

        if isinstance(event, yaml.DocumentStartEvent):
            documents += 1
            if documents > 1:
                refuse("a second document starts here", "put one document in a file")
                return False
        if isinstance(event, yaml.AliasEvent):
            refuse(f"the alias *{event.anchor} is refused", "write the value out")
        elif isinstance(event, yaml.NodeEvent):
            nodes += 1
            if event.anchor:
                refuse(f"the anchor &{event.anchor} is refused", "write the value out where it is needed")
            tag = getattr(event, "tag", None)
            if tag and tag != "!":
                written = tag.replace("tag:yaml.org,2002:", "!!")
                refuse(f"the tag {written!r} is refused", "delete it; plain text, lists and maps are enough")
            if isinstance(event, yaml.CollectionStartEvent):
                depth += 1
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        if isinstance(event, yaml.ScalarEvent):
            _guard_scalar(document, event, text)
        if depth > DEEPEST:
            refuse(f"lists are nested deeper than {DEEPEST}", "flatten the file")
            return False
        if nodes > MOST_NODES:
            refuse(f"the file holds more than {MOST_NODES} values", "split it in two")
            return False
    return not document.broken


_ESCAPE = re.compile(r"\\(?:x[0-9A-Fa-f]{2}|u[0-9A-Fa-f]{4}|U[0-9A-Fa-f]{8}|\n|.)")
_CUT_AT_A_NUMBER = re.compile(r"[ \t]+#(?P<after>[ ]?\d\S*)")
_CUT_AT_A_WORD = re.compile(r"[ \t]+#(?P<after>[^\s#!].*)")


def _guard_scalar(document: Document, event: yaml.ScalarEvent, text: str) -> None:
    """Refuse what an escape brings in that may not show, and say where a text ends earlier than it looks."""
    start, end = event.start_mark, event.end_mark
    assert start is not None and end is not None  # only an event that no file holds is without
    hidden = first_hidden(event.value)
    if hidden is not None:
        here = (start.line + 1, start.column + 1)
        for escape in _ESCAPE.finditer(text, start.index, end.index):
            if event.style == '"' and _is_escape_of(escape[0], event.value[hidden]):
                here = _line_and_column(text[: escape.start()])
                break
        document.faults.append(Fault(document.file, *here, _holds(event.value[hidden]), "delete it"))
    if event.style or not event.value:
        return
    number, word = _CUT_AT_A_NUMBER.match(text, end.index), _CUT_AT_A_WORD.match(text, end.index)
    cut = number or word
    if cut is None:
        return
    line = end.line + 1
    column = end.column + len(cut[0]) - len(cut["after"])
    wrong = f"the text ends before #{cut['after'].strip()[:20]}: a blank and # begin a comment"
    # With a blank after it, it may well be a comment; so may a word, but hardly a drill or a screw.
    drill = number is not None and cut["after"][0].isdigit()
    mend = "put the whole text in quotes" if drill else "put the whole text in quotes, or write # and a blank"
    document.faults.append(Fault(document.file, line, column, wrong, mend, "error" if drill else "warning"))


def _is_escape_of(escape: str, character: str) -> bool:
    """True when a double-quoted escape such as ``\\e`` stands for the character."""
    try:
        return bool(yaml.safe_load(f'"{escape}"') == character)
    except (yaml.YAMLError, ValueError):
        return False


_SAID = {  # what the YAML reader finds, in a builder's words
    "mapping keys are not allowed": ("a question mark begins a key here", "put the text in quotes"),
    "block sequence entries are not allowed": (
        "a dash begins a list where none can be",
        "put the text in quotes, or begin the list on a line of its own",
    ),
    "expected node content": (
        "a value is wanted here, and this begins none",
        "write a value, or put the text in quotes",
    ),
    "unknown escape": ("a backslash stands in this text", "use single quotes"),
    "did not find expected hexdecimal": ("a backslash stands in this text", "use single quotes"),
    "invalid Unicode character escape": ("this stands for no character", "write the character itself"),
    "expected whitespace or line break": ("something follows a quote, a tag or a list here", "use quotes"),
    "undefined tag handle": ("an exclamation mark begins a tag here", "put the text in quotes"),
    "expected alphabetic or numeric": ("& or * begins an anchor here", "put the text in quotes"),
    "expected <document start>": ("something stands after the end of the data", "put it where it belongs"),
    "unexpected end of stream": ("the file ends too early", "close the quotes and brackets"),
}


def _explain(error: yaml.MarkedYAMLError, text: str) -> tuple[int, int, str, str]:
    """Turn a syntax error into a line, a column, what is wrong and how to mend it."""
    mark = error.problem_mark or error.context_mark
    problem = error.problem or "it cannot be read"
    context = error.context or ""
    if "quoted scalar" in context and error.context_mark is not None:
        mark = error.context_mark
        wrong, mend = "a quote opens here and is never closed", "close it on the same line"
    elif (
        ("block end" in problem or "expected key" in problem)
        and mark is not None
        and _odd_quotes(text, mark.line)
    ):
        # The quote opened on the line above and swallowed the line break.
        return mark.line, 1, "a quote opens here and is never closed", "close it on the same line"
    elif "mapping values are not allowed" in problem:
        wrong, mend = "a second colon stands in this value", "put the value in quotes"
    elif "cannot start any token" in problem:
        wrong, mend = "a character here cannot start a value (a tab?)", "indent with spaces, or use quotes"
    elif "expected ',' or" in problem and error.context_mark is not None:
        mark = error.context_mark
        wrong, mend = "a bracket opens here and is never closed", "close it with ] or }"
    elif "expected <block end>" in problem or "expected key" in problem or "'-' indicator" in problem:
        wrong, mend = "the indent does not fit the lines above", "line it up with its neighbours"
    elif "could not find expected ':'" in problem:
        if error.context_mark is not None:
            mark = error.context_mark
        wrong, mend = "a key here has no colon", "write it as key: value"
    else:
        wrong, mend = next(
            (said for words, said in _SAID.items() if words in problem),
            ("the YAML cannot be read here", "check the indent, colons and quotes"),
        )
    line = (mark.line if mark else 0) + 1
    column = (mark.column if mark else 0) + 1
    return min(line, text.count("\n") + 1), column, wrong, mend


def _odd_quotes(text: str, line: int) -> bool:
    """True when the line before this one (counted from 0) has an odd number of double quotes."""
    return line > 0 and text.splitlines()[line - 1].count('"') % 2 == 1


def _index(document: Document, node: yaml.Node, location: Location) -> None:
    document.values[location] = (node.start_mark.line + 1, node.start_mark.column + 1)
    if isinstance(node, yaml.SequenceNode):
        for number, item in enumerate(node.value):
            _index(document, item, (*location, number))
    elif isinstance(node, yaml.MappingNode):
        seen: dict[str, int] = {}
        for key_node, value_node in node.value:
            key = str(key_node.value)
            here = (key_node.start_mark.line + 1, key_node.start_mark.column + 1)
            if not isinstance(key_node, yaml.ScalarNode):
                document.faults.append(
                    Fault(document.file, *here, "a key is a list or a map", "use a plain word as the key")
                )
                continue
            if node.flow_style and value_node.start_mark.index == key_node.end_mark.index:
                document.faults.append(
                    Fault(
                        document.file,
                        *here,
                        f"{key!r} stands after a comma and has no value",
                        "put the text in quotes: inside { } a comma ends it",
                    )
                )
                break  # the further ones are of the same text
            if key in seen:
                document.faults.append(
                    Fault(
                        document.file,
                        *here,
                        f"the key {key!r} stands here again (first on line {seen[key]})",
                        "delete or rename one of them",
                    )
                )
            seen.setdefault(key, here[0])
            document.keys[(*location, key)] = here
            _index(document, value_node, (*location, key))


def validate(document: Document, model: type[Model]) -> Model | None:
    """Build the model, once for the same bytes, or note every fault in the document and return None."""
    if document.broken:
        return None
    if model in document.made:
        return cast("Model", document.made[model])
    if not isinstance(document.data, dict):
        document.fault((), "the file is not a map of keys and values", "start it with a key such as id:")
        return None
    try:
        made = document.made[model] = model.model_validate(document.data)
        return made
    except ValidationError as error:
        # A list with faults in its items is not also an empty one, whatever is left of it.
        details = [
            detail
            for detail in error.errors(include_url=False)
            if not (detail["type"] == "too_short" and detail["input"])
        ]
        misspelt = {
            (*detail["loc"][:-1], close[0])
            for detail in details
            if detail["type"] == "unexpected_keyword_argument"
            for close in [_close_to(model, detail["loc"])]
            if close
        }
        for detail in details:
            # A misspelt key is one fault, not also a missing one.
            if not (detail["type"] == "missing" and detail["loc"] in misspelt):
                _note(document, model, detail)
        return None


def _known_keys(model: type[Strict], location: Location) -> set[str]:
    return {key for found in _models_at(model, location[:-1]) for key in _keys(found)}


def _keys(model: type[Strict]) -> dict[str, Any]:
    """What may stand in a map of this model, by the key that is written, with its type."""
    hints = typing.get_type_hints(model, include_extras=True)
    return {key_of(one.name): hints[one.name] for one in fields_of(model)}


def _close_to(model: type[Strict], location: Location) -> list[str]:
    return difflib.get_close_matches(str(location[-1]), sorted(_known_keys(model, location)), 1, 0.55)


def _note(document: Document, model: type[Strict], detail: ErrorDetails) -> None:
    location = _written_location(document, detail["loc"])
    kind = detail["type"]
    name = (
        str(detail["loc"][-1])
        if kind in ("missing", "unexpected_keyword_argument")
        else _written_name(document, location)
    )
    context = detail.get("ctx", {})
    given = detail["input"]
    if kind == "unexpected_keyword_argument":
        models = _models_at(model, location[:-1])
        chosen = [one for one in models if one.__name__ in detail["loc"]] or models  # the union's own choice
        known = {key for one in chosen for key in _keys(one)}
        mend = "delete it: it does not go with the other keys here" if name in known else nearest(name, known)
        document.fault(location, f"unknown key {name!r}", mend, key=True)
    elif kind == "missing":
        document.fault(location, f"{name!r} is missing here", f"add a line {name}: …")
    elif kind in ("literal_error", "union_tag_invalid"):
        expected = str(context.get("expected") or context.get("expected_tags", ""))
        known = {part.strip(" '") for part in expected.replace(" or ", ",").split(",")}
        written = str(context.get("tag", given if isinstance(given, str) else "a list or a map"))
        if kind == "union_tag_invalid":
            location = (*location, "kind")
        document.fault(location, f"{written!r} is not known here", nearest(written, known))
    elif kind == "union_tag_not_found":
        document.fault(location, "'kind' is missing here", "add a line kind: …")
    elif kind == "string_pattern_mismatch":
        example = "NR-04" if "A-Z]" in str(context.get("pattern", "")) else "rib-forming"
        document.fault(location, f"{given!r} is not a name the kiosk can use", f"write it like {example}")
    elif kind == "string_too_short":
        document.fault(location, f"{name!r} is empty", "write something or delete the line")
    elif kind == "string_too_long":
        wrong = f"{name!r} is {len(str(given))} characters long"
        document.fault(location, wrong, f"write at most {context.get('max_length')}")
    elif kind in ("bool_parsing", "bool_type"):
        shown = repr(given) if isinstance(given, str) else "a list or a map"
        document.fault(location, f"{name!r} is {shown}, neither yes nor no", "write yes or no")
    elif kind == "too_short":
        document.fault(location, f"{name!r} is empty", "write at least one")
    elif kind in ("dataclass_type", "dict_type"):
        document.fault(location, f"{name!r} is no map of keys and values here", "write it as {key: value}")
    elif kind in ("tuple_type", "list_type"):
        document.fault(location, f"{name!r} is no list here", "write it as [first, second]")
    elif kind == "string_type":
        document.fault(location, f"{name!r} is a list or a map here", "write one line of text")
    elif isinstance(error := context.get("error"), FieldFault):
        document.fault(location, error.wrong, error.mend)
    else:
        shown = repr(given) if isinstance(given, str) else "a list or a map"
        document.fault(location, f"{shown} does not fit {name!r}", "see what it takes with: kiosk schema")


def _written_location(document: Document, location: tuple[int | str, ...]) -> Location:
    """Drop the segments that pydantic adds for unions: they are not in the file."""
    written: Location = ()
    for number, part in enumerate(location):
        last = number == len(location) - 1
        if (*written, part) in document.values or (*written, part) in document.keys or last:
            written = (*written, part)
    return written


def _written_name(document: Document, location: Location) -> str:
    """The nearest key that stands in the file; a union's own words and places in a list do not."""
    for number in range(len(location), 0, -1):
        if location[:number] in document.keys:
            return str(location[number - 1])
    return ""


def _models_at(model: type[Strict], location: Location) -> list[type[Strict]]:
    """The models that may stand at a location, to name the keys that are allowed there."""
    found: list[Any] = [model]
    for part in location:
        deeper: list[Any] = []
        for candidate in found:
            if isinstance(part, str) and part in _keys(candidate):
                deeper += _models_in(_keys(candidate)[part])
            else:
                deeper.append(candidate)
        found = deeper
    return found


def _models_in(annotation: Any) -> list[type[Strict]]:
    if isinstance(annotation, type) and issubclass(annotation, Strict):
        return [annotation]
    if isinstance(annotation, typing.TypeAliasType) if hasattr(typing, "TypeAliasType") else False:
        return _models_in(annotation.__value__)
    if isinstance(annotation, types.GenericAlias | types.UnionType) or typing.get_args(annotation):
        return [model for part in typing.get_args(annotation) for model in _models_in(part)]
    return []
