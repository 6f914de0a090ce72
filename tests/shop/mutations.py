"""Ways to spoil a YAML file, as a slip of the pen, an editor or a stranger would: the same for the same seed.

    .venv/bin/python -m tests.shop.mutations 2000 [seed]

tries so many on the shipped files by hand and says what was found: no traceback, no file that takes long, no
word of a programmer's, and how often the fault is named on the line that was spoilt.
"""

import random
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from kiosk.shop.data import data_folder
from kiosk.shop.load import load

# What a builder never says and Python or its libraries do.
JARGON = re.compile(
    r"\b(tuple|str|dict|NoneType|validation|pydantic|value_error|object|int|float|bool|literal|"
    r"valid (?:string|integer|number|boolean|list|tuple|dictionary)|instance of|input should|field required|"
    r"datetime|timestamp|unexpected keyword|Traceback|Error|None|True|False|keyword|callable|iterable|"
    r"mapping|scalar|node content|anchor_event|model|schema|type=|unparsable|regex)\b"
)
_VALUES = (
    "", "~", "null", "yes", "no", "[]", "{}", "[1, 2]", "{a: b}", "-1", "1e9",
    "99999999999999999999", "nan", "inf", "0", "2027", "last tuesday", "1.5.2", "0x1F", "0o17",
    "1_000", "5/0", "3/", "#30", "a #30", "'", '"', '"\\e[2J"', '"\\u202e"', '"\\0"', "|", ">-",
    "?", "- x", "&a x", "*a", "!!str x", "!x y", "%", "@x", "`x`", "x: y", "[", "{", "]", "}",
    "0,5", "0.9 mmm", "17 C", "50 %", "5 feet", "half", "\t", "x" * 700, "é", "日本", "a/b/c", "/",
    "..", "*", "<<", "=", ".5.", "--", "1 - 2", "true", "12:60", "24:00", "2027-02-30",
    "9999-12-31", "0001-01-01", "NR-01", "nr-01", "anyone", "'none'", "{calculator: x}", "{of: x}",
    "{rib: x}", "{of: nose-rib, dimension: chord, plans: 9}", "{calculator: setback, inputs: {}}",
    "{dimension: chord}",
)  # fmt: skip
_KEY = re.compile(r"^(?P<before>\s*(?:- )?(?:\{)?)(?P<key>[a-z_]+)(?P<colon>:)(?P<value>.*)$")
_IN_FLOW = re.compile(r"(?P<key>[a-z_]+): (?P<value>[^,{}\[\]]+)")


@dataclass(frozen=True)
class Mutation:
    """A spoilt text: how, and the line that was spoilt, from 1."""

    how: str
    text: str
    line: int


Lines = list[str]
Spoiler = Callable[[random.Random, Lines, int], Lines | None]


def _value(chance: random.Random, lines: Lines, at: int) -> Lines | None:
    found = _KEY.match(lines[at])
    if not found:
        return None
    return [*lines[:at], f"{found['before']}{found['key']}: {chance.choice(_VALUES)}", *lines[at + 1 :]]


def _value_in_flow(chance: random.Random, lines: Lines, at: int) -> Lines | None:
    found = list(_IN_FLOW.finditer(lines[at]))
    if not found:
        return None
    one = chance.choice(found)
    line = lines[at]
    spoilt = f"{line[: one.start('value')]}{chance.choice(_VALUES)}{line[one.end('value') :]}"
    return [*lines[:at], spoilt, *lines[at + 1 :]]


def _key(chance: random.Random, lines: Lines, at: int) -> Lines | None:
    found = _KEY.match(lines[at])
    if not found:
        return None
    key = found["key"]
    place = chance.randrange(len(key))
    spoilt = chance.choice(
        (key[:place] + key[place + 1 :], key[::-1], key.upper(), f"{key}s", "xyz", "1", "")
    )
    return [*lines[:at], lines[at].replace(f"{key}:", f"{spoilt}:", 1), *lines[at + 1 :]]


def _drop(chance: random.Random, lines: Lines, at: int) -> Lines | None:
    return [*lines[:at], *lines[at + 1 :]] if lines[at].strip() else None


def _twice(chance: random.Random, lines: Lines, at: int) -> Lines | None:
    return [*lines[: at + 1], lines[at], *lines[at + 1 :]] if lines[at].strip() else None


def _indent(chance: random.Random, lines: Lines, at: int) -> Lines | None:
    blanks = chance.choice((" ", "   ", "\t", ""))
    return [*lines[:at], blanks + lines[at].lstrip(), *lines[at + 1 :]] if lines[at].strip() else None


def _letter(chance: random.Random, lines: Lines, at: int) -> Lines | None:
    line = lines[at]
    if not line.strip():
        return None
    place = chance.randrange(len(line))
    one = chance.choice((*"\x00\x1b\x7f\x85\u202e\u200b\ufeff:#-[]{}\"'&*!|>%@`,?\t ", ""))
    return [*lines[:at], line[:place] + one + line[place + 1 :], *lines[at + 1 :]]


def _half(chance: random.Random, lines: Lines, at: int) -> Lines | None:
    return [*lines[:at], lines[at][: len(lines[at]) // 2]]


SPOILERS: tuple[Spoiler, ...] = (_value, _value, _value_in_flow, _value_in_flow, _key, _drop, _twice, _indent,
                                 _letter, _half)  # fmt: skip
ON_ITS_LINE = (_value, _value_in_flow, _letter)  # others show where something is missing


def mutations(text: str, many: int, seed: int) -> Iterator[Mutation]:
    """So many ways to spoil a text, each at one line."""
    chance = random.Random(seed)
    lines = text.splitlines()
    while many:
        spoil, at = chance.choice(SPOILERS), chance.randrange(len(lines))
        spoilt = spoil(chance, lines, at)
        if spoilt is not None and spoilt != lines:
            many -= 1
            yield Mutation(spoil.__name__.strip("_"), "\n".join(spoilt) + "\n", at + 1)


def shop_files(folder: Path) -> list[Path]:
    """A shop with all shipped procedures as its own, and its files."""
    shutil.copytree(data_folder("scenarios") / "brambling", folder)
    (folder / "history.yaml").unlink()
    shutil.copytree(data_folder("procedures"), folder / "procedures")
    return [folder / "shop.yaml", *sorted((folder / "procedures").rglob("*.yaml"))]


def _by_hand(many: int, seed: int) -> int:
    chance = random.Random(seed)
    bad = slow = exact = meant = silent = 0
    longest = 0.0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "shop"
        paths = shop_files(folder)
        weights = [8, *(1 for _ in paths[1:])]
        for number in range(many):
            path = chance.choices(paths, weights)[0]
            before = path.read_text(encoding="utf-8")
            (one,) = mutations(before, 1, seed * 1_000_003 + number)
            path.write_text(one.text, encoding="utf-8")
            began = time.process_time()  # other work on the machine is no hang
            try:
                faults = load(folder, lint=True).faults
            except Exception as error:
                bad += 1
                print(f"TRACEBACK {type(error).__name__}: {error} at {one.how} of {path.name}:{one.line}")
                faults = []
            took = time.process_time() - began
            longest = max(longest, took)
            slow += took > 1.0
            for fault in faults:
                if JARGON.search(ours(str(fault))) or "\n" in str(fault) or not fault.mend:
                    bad += 1
                    print(f"JARGON {fault}")
            silent += not faults
            if faults and one.how in {spoil.__name__.strip("_") for spoil in ON_ITS_LINE}:
                meant += 1
                here = [fault for fault in faults if fault.file.endswith(path.name)]
                exact += any(fault.line == one.line for fault in here)
            path.write_text(before, encoding="utf-8")
    print(f"{many} mutations, seed {seed}: {bad} tracebacks or jargon,")
    print(f"{slow} over 1 s of the processor's time (longest {longest:.2f} s),")
    print(f"{silent} without a fault, {exact} of {meant} values and letters named on their line")
    return 1 if bad else 0


def ours(line: str) -> str:
    """The words that are the kiosk's own: what stands in quotes is the builder's."""
    return re.sub(r"'[^']*'|\"[^\"]*\"", "…", line)


if __name__ == "__main__":
    sys.exit(_by_hand(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1))
