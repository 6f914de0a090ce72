"""The arrows between the packages, and that Textual stays in the screens."""

import ast
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent / "kiosk"
LEVELS = {
    "errors": 0,
    "numbers": 1,
    "shop": 2,
    "record": 3,
    "planning": 4,
    "drawing": 5,
    "views": 5,
    "logbook": 6,
    "bench": 7,
    "demo_player": 8,
    "screens": 9,
    "commands": 10,
    "__main__": 11,
    "__init__": 0,
}


def _imports(path: Path) -> list[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            found.append(node.module)
        elif isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
    return found


def _package(path: Path) -> str:
    return path.relative_to(ROOT).parts[0].removesuffix(".py")


def test_no_module_imports_upward() -> None:
    for path in ROOT.rglob("*.py"):
        for name in _imports(path):
            if name.startswith("kiosk."):
                target = name.split(".")[1]
                assert LEVELS[target] <= LEVELS[_package(path)], f"{path} imports {name}"


def test_no_cycles_between_modules() -> None:
    graph: dict[str, set[str]] = {}
    for path in ROOT.rglob("*.py"):
        module = "kiosk." + ".".join(path.relative_to(ROOT).with_suffix("").parts)
        tree = ast.parse(path.read_text(encoding="utf-8"))
        # Only imports at the top level of a module run when it is loaded.
        top = [node.module for node in tree.body if isinstance(node, ast.ImportFrom) and node.module]
        names = {
            f"{node.module}.{alias.name}"
            for node in tree.body
            if isinstance(node, ast.ImportFrom) and node.module
            for alias in node.names
        }
        graph[module] = set(top) | names
    done: set[str] = set()

    def visit(module: str, way: tuple[str, ...]) -> None:
        assert module not in way, " → ".join((*way, module))
        if module in done:
            return
        for other in graph[module] & set(graph):
            visit(other, (*way, module))
        done.add(module)

    for module in graph:
        visit(module, ())


def test_textual_is_only_used_in_the_screens() -> None:
    for path in ROOT.rglob("*.py"):
        if _package(path) != "screens":
            assert not any(name.split(".")[0] == "textual" for name in _imports(path)), path


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
    "ezdxf",
    "plotext",
)


def test_a_start_loads_only_what_the_place_card_needs(new_shop: Path) -> None:
    code = """
import asyncio, pathlib, sys
from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
async def start():
    async with KioskApp(Bench(pathlib.Path(sys.argv[1]))).run_test() as pilot:
        await pilot.pause()
        print(*sys.modules)
asyncio.run(start())
"""
    for _ in range(2):  # the first keeps what it read of the shop's files
        done = subprocess.run(
            [sys.executable, "-c", code, str(new_shop)], capture_output=True, text=True, check=True
        )
    assert "kiosk.screens.place" in done.stdout.split()
    assert not set(NOT_AT_A_START) & set(done.stdout.split())


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
    assert not {"StepFinished", "Undone", "ShopFile", "Procedure", "Step"} & built, built
