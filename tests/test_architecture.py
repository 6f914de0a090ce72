"""The arrows between the packages, and that Textual stays in the screens."""

import ast
import dataclasses
import re
import subprocess
import sys
from functools import cache
from importlib import import_module
from pathlib import Path

import pytest

from kiosk import dataclass
from kiosk.bench import Bench
from kiosk.packed import code_of
from kiosk.record.snapshot import FOLDING
from kiosk.screens.registry import PLACES
from kiosk.shop.kept import _CODE

ROOT = Path(__file__).parent.parent / "kiosk"
MODULES = sorted(ROOT.rglob("*.py"))
LEVELS = {
    "errors": 0,
    "catalogue": 0,
    "dataclass": 0,
    "packed": 0,
    "plural": 0,
    "typed": 0,
    "numbers": 1,
    "shop": 2,
    "record": 3,
    "planning": 4,
    "drawing": 5,
    "views": 5,
    "crash": 5,
    "logbook": 6,
    "bench": 7,
    "demo_player": 8,
    "screens": 9,
    "tablet": 9,
    "commands": 10,
    "__main__": 11,
    "__init__": 0,
}


@cache
def _imports(path: Path) -> tuple[str, ...]:
    """What a module imports anywhere in it, inside functions and for types alone too."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0 and node.module, f"{path}: write an import in full"
            found.append(node.module)
            found += [f"{node.module}.{alias.name}" for alias in node.names]  # each may be a module
        elif isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
    return tuple(found)


def _package(path: Path) -> str:
    return path.relative_to(ROOT).parts[0].removesuffix(".py")


def _module(path: Path) -> str:
    return "kiosk." + ".".join(path.relative_to(ROOT).with_suffix("").parts)


def test_no_module_imports_upward() -> None:
    arrows = 0
    for path in MODULES:
        for name in _imports(path):
            target = name.split(".")[1] if name.startswith("kiosk.") else ""
            if target in LEVELS:
                arrows += 1
                assert LEVELS[target] <= LEVELS[_package(path)], f"{path} imports {name}"
    assert arrows > 500


def test_every_package_has_its_level() -> None:
    assert {_package(path) for path in MODULES} == set(LEVELS)


def _cycle(graph: dict[str, set[str]]) -> list[str]:
    """A way round from a module to itself, or nothing."""
    done: set[str] = set()

    def visit(module: str, way: list[str]) -> list[str]:
        if module in way:
            return [*way[way.index(module) :], module]
        if module not in done:
            for other in sorted(graph[module] & set(graph)):
                if found := visit(other, [*way, module]):
                    return found
            done.add(module)
        return []

    return next((found for module in graph if (found := visit(module, []))), [])


def test_no_cycles_between_modules() -> None:
    graph = {_module(path): set(_imports(path)) for path in MODULES}
    assert len(graph) > 100
    graph["kiosk.screens.registry"] |= {  # loaded by name
        f"kiosk.screens.{place.screen.partition(':')[0]}" for place in PLACES
    }
    assert not _cycle(graph), " → ".join(_cycle(graph))


def test_a_cycle_by_an_import_inside_a_function_is_seen(tmp_path: Path) -> None:
    one, other = tmp_path / "one.py", tmp_path / "other.py"
    one.write_text("from kiosk import other\n")
    other.write_text("def late():\n    from kiosk.one import thing\n")
    graph = {"kiosk.one": set(_imports(one)), "kiosk.other": set(_imports(other))}
    assert _cycle(graph) == ["kiosk.one", "kiosk.other", "kiosk.one"]


def _reached(*modules: str) -> set[str]:
    """All modules of the kiosk that these import, themselves or by others."""
    paths = {_module(path).removesuffix(".__init__"): path for path in MODULES}
    seen: set[str] = set()
    to_see = list(modules)
    while to_see:
        module = to_see.pop()
        if module in paths and module not in seen:
            seen.add(module)
            to_see += _imports(paths[module])
    return seen


@pytest.mark.parametrize(
    ("asked", "marked"),
    [
        ([_module(path) for path in MODULES if _package(path) == "shop"], _CODE),
        (["kiosk.record.apply", "kiosk.record.rows", "kiosk.record.snapshot"], FOLDING),
    ],
    ids=["what reads a shop's files", "what folds the record"],
)
def test_what_is_kept_is_known_by_all_code_that_it_was_worked_out_with(
    asked: list[str], marked: tuple[str, ...]
) -> None:
    """Whether a clock is believed was decided by a module that was not: its snapshots outlived it."""
    reached = _reached(*asked)
    assert {"kiosk.errors", "kiosk.packed", "kiosk.typed", "kiosk.plural"} < reached
    beside = {_module(path) for path in ROOT.glob("*.py")}
    assert {one for one in reached - beside if one.split(".")[1] not in marked} == set()
    assert beside | {_module(path) for path in MODULES if _package(path) in marked} == {
        _module(path) for path in code_of(*marked)
    }


# Of os, by its documentation in Python 3.11 not on macOS, on which a kiosk runs too.
_NOT_ON_MACOS = {
    *("fdatasync", "posix_fallocate", "posix_fadvise", "pipe2", "memfd_create", "pidfd_open", "eventfd"),
    *("copy_file_range", "splice", "getresuid", "setresuid", "sched_getaffinity", "sched_setaffinity"),
    *("getxattr", "setxattr", "listxattr", "removexattr", "O_DIRECT", "O_NOATIME", "O_PATH", "O_TMPFILE"),
}


def test_nothing_is_asked_of_the_system_that_macos_has_not() -> None:
    """A screen did not open there, and no head was written."""
    asked = re.compile(rf"\bos\.({'|'.join(sorted(_NOT_ON_MACOS))})\b")
    assert not {str(path): found for path in MODULES if (found := asked.findall(path.read_text("utf-8")))}


def test_no_thread_keeps_a_kiosk_alive_that_was_left() -> None:
    """Whatever ends a kiosk, also a fault before it could say so to its threads."""
    texts = (path.read_text(encoding="utf-8") for path in MODULES)
    calls = [
        node
        for text in texts
        if "Thread(" in text
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Call) and ast.unparse(node.func) in ("Thread", "threading.Thread")
    ]
    assert len(calls) > 2
    for call in calls:
        given = {word.arg: ast.unparse(word.value) for word in call.keywords}
        assert given.get("daemon") == "True", ast.unparse(call)


def test_textual_is_only_used_in_the_screens() -> None:
    users = {_package(path) for path in MODULES if any(n.split(".")[0] == "textual" for n in _imports(path))}
    assert users == {"screens"}


def test_pydantic_is_named_where_files_are_read_and_nowhere_else_in_the_shop() -> None:
    users = {
        path.stem
        for path in MODULES
        if _package(path) == "shop"
        and any(name.split(".")[0] in ("pydantic", "pydantic_core") for name in _imports(path))
    }
    assert users == {"checked", "reader"}


def test_commands_and_bench_do_not_load_textual() -> None:
    code = "import sys, kiosk.commands, kiosk.bench, kiosk.views.text; print('textual' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


# What a start has no use for; what it cost is measured by tests/benchmarks/cold_start.py.
NOT_AT_A_START = (
    "yaml",
    "kiosk.shop.load",
    "kiosk.shop.reader",
    "kiosk.shop.cross_check",
    "kiosk.numbers.catalogue",
    "kiosk.planning",
    "kiosk.drawing",
    "kiosk.logbook",
    "kiosk.views.text",
    "kiosk.screens.walk",
    "kiosk.screens.board",
    "kiosk.screens.spare",
    "kiosk.screens.numbers",
    "kiosk.screens.forecast",
    "kiosk.record.checking",
    "ezdxf",
    "shapely",
    "reportlab",
    "numpy",
    "plotext",
    "plotille",
)


# What a start comes to today. Each module of the kiosk costs 0.2 ms and more, each class whose methods are
# made 0.2 ms, and a schema of pydantic's 0.5 ms, the first of all 10. Whoever needs more says here for what.
# The last five: screens/reading.py and screens/pastes.py read every key, the first too; shop/checked.py and
# record/held_to.py say what pydantic would have to be imported for. Where a shop has quiet hours,
# record/last_moment.py says on the first card until when a step can be begun.
MOST_MODULES_AT_A_START = 152
MOST_CLASSES_MADE_AT_A_START = 16


@pytest.mark.parametrize("fixture", ["new_shop", "demo_shop"])  # with nothing done, and with a trial strip
def test_a_start_loads_only_what_the_place_card_needs(fixture: str, request: pytest.FixtureRequest) -> None:
    shop = request.getfixturevalue(fixture)
    code = """
import asyncio, pathlib, sys
from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
async def start():
    async with KioskApp(Bench(pathlib.Path(sys.argv[1]))).run_test() as pilot:
        await pilot.pause()
        print(*sys.modules)
asyncio.run(start())
from kiosk import dataclass
def below(model):
    for one in type.__subclasses__(model):
        yield one
        yield from below(one)
kiosks = {one for one in below(object) if one.__module__.startswith("kiosk.")}
print("built", *(one.__name__ for one in kiosks if vars(one).get("__pydantic_complete__")))
later = [one for one in kiosks if vars(one).get("__setattr__") is dataclass._refuse_to_set]
def made(one, name):
    return "method.<locals>.first" not in vars(one)[name].__qualname__
made = [one for one in later if made(one, "__init__") or made(one, "__eq__")]
print(len(later), *(one.__name__ for one in made))
"""
    for _ in range(2):  # the first keeps what it read of the shop's files
        done = subprocess.run(
            [sys.executable, "-c", code, str(shop)], capture_output=True, text=True, check=True
        )
    modules, built, made = (line.split() for line in done.stdout.splitlines())
    assert "kiosk.screens.place" in modules
    assert not set(NOT_AT_A_START) & set(modules)
    ours = [name for name in modules if name.startswith("kiosk.")]
    assert len(ours) <= MOST_MODULES_AT_A_START, ours
    assert built == ["built"], "a model is read or made that could be kept"
    assert int(made[0]) > 150
    assert len(made) <= MOST_CLASSES_MADE_AT_A_START, made


# What of a start takes what was kept, each run where everything is kept; ``folder`` is the shop's.
WITHOUT_PYDANTIC = {
    "the shop": """
from kiosk.shop.kept import open_shop
shop = open_shop(folder)
for kind in shop.kinds.values():
    [(step.minutes, step.waits, step.conditions) for _, step in shop.route_steps(kind, repairs=True)]
say_what_is_loaded()
""",
    "a crash": """
import kiosk.crash
say_what_is_loaded()
""",
    "the first frame": """
import asyncio
from contextlib import closing
from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
async def start(bench):
    async with KioskApp(bench).run_test() as pilot:
        await pilot.pause()
        say_what_is_loaded()
with closing(Bench(folder)) as bench:
    asyncio.run(start(bench))
""",
    "the advice for some minutes": """
from kiosk.commands import main
main(["spare", "12", str(folder)])
say_what_is_loaded()
""",
}


@pytest.mark.parametrize("start", WITHOUT_PYDANTIC.values(), ids=WITHOUT_PYDANTIC)
def test_what_was_kept_is_taken_without_pydantic(start: str, demo_shop: Path) -> None:
    """Its import and the classes it made were a third of a start."""
    Bench(demo_shop).close()  # keeps what it read of the shop's files, and the snapshot
    code = f"""
import pathlib, sys
folder = pathlib.Path(sys.argv[1])
def say_what_is_loaded():
    print("LOADED", *(name for name in sys.modules if name.startswith("pydantic")))
{start}
"""
    command = [sys.executable, "-c", code, str(demo_shop)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert [line for line in done.stdout.splitlines() if line.startswith("LOADED")] == ["LOADED"]


def test_models_are_built_when_they_are_wanted() -> None:
    code = """
import kiosk.bench, pydantic
def below(model):
    for one in model.__subclasses__():
        yield one
        yield from below(one)
print(*(m.__name__ for m in below(pydantic.BaseModel) if m.__pydantic_complete__))
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    built = set(done.stdout.split())
    assert not {"ShopFile", "Procedure", "Step"} & built, built


def _made_whole(cls: type) -> None:
    """All methods of a frozen dataclass, which are otherwise made when the first is wanted."""
    assert dataclasses.is_dataclass(cls) and cls.__dataclass_params__.frozen  # type: ignore[attr-defined]


def test_every_dataclass_can_be_made() -> None:
    """A slip in one would show when something is first made of it: at the bench, years later."""
    made = 0
    for path in MODULES:
        if path.stem != "__main__":
            module = import_module(_module(path).removesuffix(".__init__"))
            for one in vars(module).values():
                if isinstance(one, type) and vars(one).get("__setattr__") is dataclass._refuse_to_set:
                    _made_whole(one)
                    made += one.__module__ == module.__name__
    assert made > 100


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"one": 1, "two": ...}, "non-default argument 'two' follows default argument"),
        ({"one": []}, "mutable default <class 'list'> for field one"),
    ],
    ids=["no default after one", "a default that is shared"],
)
def test_a_slip_in_a_dataclass_is_found(fields: dict[str, object], said: str) -> None:
    body = {name: value for name, value in fields.items() if value is not ...}
    slip = type("Slip", (), body | {"__annotations__": dict.fromkeys(fields, "object")})
    made: type = dataclass.dataclass(frozen=True)(slip)
    with pytest.raises((TypeError, ValueError), match=said):
        _made_whole(made)
