"""The lists of mutants follow the code: what is tried by hand only would otherwise fall behind unseen."""

import tomllib
from collections import Counter
from pathlib import Path

import pytest

from tests.mutation.known_mutants import MUTANTS, ROOT, Mutant
from tests.mutation.no_slips import is_a_slip

RUNS = sorted(Path(__file__).parent.glob("*.toml"))
# Who may do what, where that is raised, and what all that is read from a shop's files is held to.
OTHERS = {f"kiosk/shop/{name}.py" for name in ("checked", "hazards", "shop")}


def modules_of(run: Path) -> list[str]:
    """The modules that a run changes, those of a named folder one by one."""
    found: list[str] = []
    for name in tomllib.loads(run.read_text(encoding="utf-8"))["cosmic-ray"]["module-path"]:
        inside = sorted((ROOT / name).rglob("*.py")) or [ROOT / name]
        found += [path.relative_to(ROOT).as_posix() for path in inside]
    return found


def test_whatever_decides_and_keeps_the_record_is_in_one_run() -> None:
    named = Counter(name for run in RUNS for name in modules_of(run))
    wanted = {path.relative_to(ROOT).as_posix() for path in (ROOT / "kiosk/record").rglob("*.py")}
    empty = "kiosk/record/__init__.py"
    assert set(named) == (wanted | OTHERS) - {empty}
    assert {name for name, count in named.items() if count > 1} == set()


@pytest.mark.parametrize("run", RUNS, ids=lambda run: run.stem)
def test_a_run_names_tests_that_are_there(run: Path) -> None:
    command = tomllib.loads(run.read_text(encoding="utf-8"))["cosmic-ray"]["test-command"].split()
    tests = [word for word in command if word.startswith("tests/")]
    assert tests and not [word for word in tests if not (ROOT / word).exists()]


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda mutant: mutant.name)
def test_a_known_slip_can_still_be_made_and_has_its_test(mutant: Mutant) -> None:
    assert (ROOT / "kiosk" / mutant.file).read_text(encoding="utf-8").count(mutant.text) == 1
    path, *names = mutant.test.split("::")
    text = (ROOT / path).read_text(encoding="utf-8")
    assert all(f"def {name}(" in text for name in names)


def test_no_two_known_slips_are_one() -> None:
    assert len({mutant.name for mutant in MUTANTS}) == len(MUTANTS)


@pytest.mark.parametrize(
    ("before", "after", "slip"),
    [
        ("f(*a)", "f(/a)", False),  # no Python any more
        ("def f(a, *, b=1): ...", "def f(a, /, b=1): ...", False),  # mypy holds it
        ("@dataclass(frozen=True)\nclass A: ...", "@dataclass(frozen=False)\nclass A: ...", False),
        (
            "@dataclass(frozen=True, eq=True)\nclass A: ...",
            "@dataclass(frozen=True, eq=False)\nclass A: ...",
            True,
        ),
        ("assert a is not None and b", "assert a is not None or b", False),
        ("if a and b: ...", "if a or b: ...", True),
        ("C = ConfigDict(frozen=True)", "C = ConfigDict(frozen=False)", True),
        ("a = b * c", "a = b / c", True),
        ("def f(a, *, b=True): ...", "def f(a, *, b=False): ...", True),
    ],
)
def test_what_no_pen_slips_to_is_left_out_of_a_run_and_nothing_else(
    before: str, after: str, slip: bool
) -> None:
    assert is_a_slip(before, after) == slip
