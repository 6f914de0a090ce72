"""``kiosk.numbers`` as a library: its exports, docstrings, names, types and results."""

import copy
import doctest
import importlib
import inspect
import pickle
import pkgutil
import re
import subprocess
import sys
from dataclasses import fields, is_dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

import kiosk
import kiosk.numbers
from kiosk.numbers import CALCULATORS, NOMENCLATURE, OutOfRange, Result, units
from kiosk.numbers.catalogue import SUBJECTS
from kiosk.numbers.result import split_unit
from tests.published.values import REFUSES_NOTHING

MODULES = [
    importlib.import_module(f"kiosk.numbers.{one.name}")
    for one in pkgutil.iter_modules(kiosk.numbers.__path__)
]

# What a docstring calls a unit; every argument in one says it.
UNIT_WORDS = {
    "in": "inch",
    "deg": "degree",
    "%": "percent",
    "in2": "square inch",
    "ft2": "square f",
    "F": "degrees fahrenheit",
    "in-lb": "inch-pound",
    "min": "minute",
    "psi": "psi",
    "lb": "pound",
    "ml": "millilitre",
}


def result_type(name: str) -> type[Result]:
    made = inspect.signature(CALCULATORS[name].function).return_annotation
    assert isinstance(made, type) and issubclass(made, Result)
    return made


def sections(docstring: str) -> dict[str, str]:
    """A numpydoc docstring's sections by heading."""
    parts = re.split(r"^(\w+)\n-+\n", inspect.cleandoc(docstring), flags=re.MULTILINE)
    return dict(zip(["", *parts[1::2]], parts[::2], strict=True))


# The package's exports


def test_the_package_exports_every_calculator_and_its_result() -> None:
    wanted = set(CALCULATORS) | {result_type(name).__name__ for name in CALCULATORS}
    package: Any = kiosk.numbers  # a type checker is not told of names that are loaded when first used
    offered = set(package.__all__)
    exported = {name: getattr(kiosk.numbers, name) for name in offered}
    found = {
        name
        for name, value in exported.items()
        if name in CALCULATORS or (isinstance(value, type) and issubclass(value, Result))
    }
    assert found - {"Result"} == wanted
    assert all(exported[name] is CALCULATORS[name].function for name in CALCULATORS)
    assert list(package.__all__) == sorted(offered, key=lambda n: (not n.isupper(), n[0].islower(), n))
    assert offered <= set(dir(kiosk.numbers))


def test_a_type_checker_sees_every_subject() -> None:
    source = inspect.getsource(kiosk.numbers)
    block = source[source.index("if TYPE_CHECKING:") : source.index("_HOMES")]
    for subject in (*SUBJECTS, units):
        assert f"from {subject.__name__} import *" in block, subject
    for name in kiosk.numbers._HOMES:
        assert f"import {name} as {name}" in block, name


def test_every_calculator_and_result_of_a_subject_is_offered_by_it() -> None:
    for subject in SUBJECTS:
        own = {name for name in CALCULATORS if CALCULATORS[name].function.__module__ == subject.__name__}
        assert set(subject.__all__) == own | {result_type(name).__name__ for name in own}, subject


def test_what_is_not_exported_is_no_attribute() -> None:
    with pytest.raises(AttributeError, match="setbak"):
        kiosk.numbers.setbak  # type: ignore[attr-defined]  # noqa: B018


@pytest.mark.parametrize("module", ["kiosk.numbers", "kiosk.numbers.units", "kiosk.numbers.result"])
def test_loading_one_module_loads_no_calculator_and_no_pydantic(module: str) -> None:
    code = f"import sys, {module}; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    subjects = {"bends", "flanges", "holes", "rivets", "weight", "times", "catalogue"}
    assert not loaded & ({f"kiosk.numbers.{one}" for one in subjects} | {"pydantic"})


def test_the_catalogue_keeps_its_order_however_it_was_loaded() -> None:
    code = "import kiosk.numbers.weight; from kiosk.numbers.catalogue import CALCULATORS; print(*CALCULATORS)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == list(CALCULATORS)
    assert done.stdout.split()[0] == "bend_allowance"


# Docstrings


@pytest.mark.parametrize("name", list(CALCULATORS))
def test_every_docstring_teaches(name: str) -> None:
    about = CALCULATORS[name]
    parts = sections(about.function.__doc__ or "")
    assert {"Parameters", "Returns", "References"} <= set(parts)
    assert ("Raises" in parts) == (name not in REFUSES_NOTHING)
    described = re.split(r"^(\w+) : .*\n", parts["Parameters"], flags=re.MULTILINE)
    assert described[1::2] == [one.argument for one in about.parameters]
    for one, text in zip(about.parameters, described[2::2], strict=True):
        assert text.strip()
        assert not one.unit or UNIT_WORDS[one.unit] in text.lower(), one.argument
    assert parts["Returns"].startswith(result_type(name).__name__ + "\n")
    assert f"``{about.figures[0].field}``" in parts["Returns"]
    cited = set(re.findall(r"\[(\d)\]_", about.function.__doc__ or ""))
    assert cited == set(re.findall(r"^\.\. \[(\d)\]", parts["References"], flags=re.MULTILINE))


@pytest.mark.parametrize("module", [kiosk.numbers, *MODULES], ids=lambda module: module.__name__)
def test_every_example_gives_what_it_prints(module: ModuleType) -> None:
    found = doctest.DocTestFinder().find(module)
    # The finder takes a calculator for a thing from elsewhere, as the decorator wraps it.
    for about in CALCULATORS.values():
        if about.function.__module__ == module.__name__:
            found += doctest.DocTestFinder().find(inspect.unwrap(about.function), about.name, module)
    runner = doctest.DocTestRunner()
    report: list[str] = []
    for one in found:
        runner.run(one, out=report.append)
    assert not runner.failures, "".join(report)
    assert bool(runner.tries) == (">>> " in inspect.getsource(module))


def test_there_are_examples_to_run() -> None:
    assert sum(">>> " in (about.function.__doc__ or "") for about in CALCULATORS.values()) >= 10


# Names


def test_the_nomenclature_is_what_the_calculators_take() -> None:
    taken = {one.argument for about in CALCULATORS.values() for one in about.parameters}
    assert set(NOMENCLATURE) == taken
    assert all(NOMENCLATURE.values())


def test_one_name_has_one_unit() -> None:
    plain = [split_unit(name)[0] for name in NOMENCLATURE if split_unit(name)[0] != "area"]
    assert len(plain) == len(set(plain))
    # A part's area is in square inches, what is coated in square feet: nobody paints by the square inch.
    assert {name for name in NOMENCLATURE if name.startswith("area")} == {"area_in2", "area_ft2"}


@pytest.mark.parametrize("name", list(CALCULATORS))
def test_a_result_is_named_after_its_calculator_and_is_frozen(name: str) -> None:
    made = result_type(name)
    assert made.__name__ == name.title().replace("_", "")
    assert is_dataclass(made) and made.__dataclass_params__.frozen  # type: ignore[attr-defined]
    assert made.figures() and made.__doc__ and not made.__doc__.startswith(made.__name__)
    assert {one.field for one in made.figures()} < {one.name for one in fields(made)}


# Types


def test_a_misspelt_argument_is_found_by_a_type_checker(tmp_path: Path) -> None:
    (tmp_path / "use.py").write_text(
        "from kiosk.numbers import FlatWidth, flat_width, setback\n"
        "width: float = flat_width((1.0, 2.0), (90.0,), 0.032, 0.125).width_in\n"
        "worked: FlatWidth = flat_width((1.0, 2.0), (90.0,), 0.032, inside_radius_in=0.125)\n"
        'setback(thicknes_in="a lot")\n'
        "from kiosk.numbers import setbak\n",
        encoding="utf-8",
    )
    (tmp_path / "mypy.ini").write_text("[mypy]\n", encoding="utf-8")  # not the project's own settings
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--cache-dir", str(tmp_path / "cache"), "use.py"],
        cwd=tmp_path,
        env={"MYPYPATH": str(Path(kiosk.__file__).parent.parent), "PATH": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    faults = [line for line in done.stdout.splitlines() if ": error:" in line]
    assert len(faults) == 2, done.stdout + done.stderr
    assert any(
        line.startswith("use.py:4") and 'Unexpected keyword argument "thicknes_in"' in line for line in faults
    )
    assert any(line.startswith("use.py:5") and "setbak" in line for line in faults)


def test_the_types_are_shipped() -> None:
    assert (Path(kiosk.__file__).parent / "py.typed").is_file()


# Results


def test_a_result_shows_its_working() -> None:
    worked = kiosk.numbers.setback(0.064, 0.25, bend_angle_deg=45)
    assert worked.value == worked.setback_in and worked.unit == "in" and worked.title == "Setback"
    assert [(one.name, one.value, one.unit) for one in worked.inputs] == [
        ("thickness", 0.064, "in"),
        ("inside radius", 0.25, "in"),
        ("bend angle", 45, "deg"),
    ]
    assert worked.source == "AC 43.13-1B paragraph 4-56b and Table 4-7"
    assert worked == CALCULATORS["setback"].work_out(
        {"thickness": ".064", "inside_radius": "1/4", "bend_angle": "45"}
    )


def test_figures_are_found_by_name_and_number() -> None:
    worked = kiosk.numbers.flat_width((1.0, 2.0, 1.0), (90.0, 90.0), 0.032, 0.125)
    assert worked.figure("width").value == worked.width_in
    assert worked.figure("sight_lines", 2).value == worked.sight_lines_in[1]
    for name, which in (("sight_lines", 3), ("sight_lines", 0), ("width", 2), ("height", 1)):
        with pytest.raises(KeyError):
            worked.figure(name, which)


def test_results_and_refusals_can_be_copied_and_sent() -> None:
    worked = kiosk.numbers.rivet_length(0.064, 0.125)
    assert pickle.loads(pickle.dumps(worked)) == worked == copy.deepcopy(worked)
    error = OutOfRange("wrong", "mend", "thickness_in")
    for again in (pickle.loads(pickle.dumps(error)), copy.copy(error)):
        assert (again.wrong, again.mend, again.argument) == ("wrong", "mend", "thickness_in")
