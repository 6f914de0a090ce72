"""What a press answers to, read off the code: the titles of dialogs and the words on the big target."""

import ast
from collections.abc import Iterator
from pathlib import Path

import kiosk

_DIALOGS = ("ChoiceScreen", "KeypadScreen", "MarksScreen", "PinScreen")
_BIG = "BIG"
_PASSED_ON = {"_told_first": 1}  # by function: which of its arguments is the title of the dialog it opens


def titles_and_big_labels() -> set[str]:
    """Each sentence that may stand there, with its places unfilled."""
    folder = Path(kiosk.__file__).parent / "screens"
    trees = [ast.parse(file.read_text(encoding="utf-8")) for file in folder.rglob("*.py")]
    return {text for tree in trees for text in _of_module(tree)}


def _of_module(tree: ast.Module) -> Iterator[str]:
    constants = {name: value for name, value in _assigned(tree.body) if name.isupper()}
    for function in (one for one in ast.walk(tree) if isinstance(one, ast.FunctionDef)):
        here = _assigned(list(ast.walk(function)))
        for call in (one for one in ast.walk(function) if isinstance(one, ast.Call)):
            at = _where_it_asks(call)
            if at is not None and at < len(call.args):
                yield from _texts(call.args[at], [*here, *constants.items()])


def _where_it_asks(call: ast.Call) -> int | None:
    """Which argument is the title of a dialog, or the label of the big target; None where none is."""
    made = call.func.value if isinstance(call.func, ast.Subscript) else call.func
    name = made.id if isinstance(made, ast.Name) else ""
    big = len(call.args) > 1 and isinstance(call.args[1], ast.Name) and call.args[1].id == _BIG
    if name in _DIALOGS or (name == "Action" and big):
        return 0
    return _PASSED_ON.get(name)


def _assigned(body: list[ast.stmt] | list[ast.AST]) -> list[tuple[str, ast.expr]]:
    return [
        (target.id, one.value)
        for one in body
        if isinstance(one, ast.Assign)
        for target in one.targets
        if isinstance(target, ast.Name)
    ]


def _texts(title: ast.expr, assigned: list[tuple[str, ast.expr]]) -> Iterator[str]:
    """The sentences in an expression; a name stands for what is assigned to it."""
    if isinstance(title, ast.Name):
        others = [one for one in assigned if one[0] != title.id]
        for name, value in assigned:
            if name == title.id:
                yield from _texts(value, others)
    elif (
        isinstance(title, ast.Call)
        and isinstance(title.func, ast.Name)
        and title.func.id in ("said", "to_be_said")
    ):
        yield from _texts(title.args[0], assigned)
    elif isinstance(title, ast.IfExp):
        yield from _texts(title.body, assigned)
        yield from _texts(title.orelse, assigned)
    elif isinstance(title, ast.Constant) and isinstance(title.value, str):
        yield title.value
