"""One damage to a record at a time: it opens in the same state, or it is told in one line. Nothing else.

    .venv/bin/python -m tests.faults.damages 1000 1

A damage that leaves no trace is not looked for here: somebody who rewrites the record, every hash after it,
and all that is kept beside it.
"""

import contextlib
import io
import random
import shutil
import sqlite3
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from itertools import cycle
from pathlib import Path
from typing import Literal

from kiosk.bench import RECORD_FILE, Bench
from kiosk.commands.command_line import COMMAND_MODULES
from kiosk.commands.command_line import main as kiosk
from kiosk.errors import KioskError
from kiosk.record.chain import event_hash
from kiosk.record.head import HeadFile, head_path
from kiosk.record.journal import Journal
from kiosk.record.rows import COLUMNS
from kiosk.record.state import State
from kiosk.shop.kept import open_shop
from tests.faults.deeds import Moment, next_deed
from tests.faults.jumping_clocks import JumpingClocks
from tests.faults.not_yet import CHAIN_ONLY, NOT_YET
from tests.faults.oracle import Read, in_one_line, read_copy
from tests.faults.walker import make_small_shop, open_bench

PAGE = 4096
DB, WAL, SHM = RECORD_FILE, f"{RECORD_FILE}-wal", f"{RECORD_FILE}-shm"
TAPS = 330  # a record with a snapshot in its middle, and events after it

# "chain": a wrong state that opens without a word, though the chain of hashes would tell where it is asked.
Outcome = Literal["same", "told", "chain", "silent", "traceback"]
Harm = Callable[[Path, random.Random, "Bases"], None]


@dataclass(frozen=True)
class Family:
    """Damages of one sort: what the record was like before, and what is done to its folder."""

    name: str
    base: str  # closed, bare (without a snapshot), killed (its log not yet in the file)
    harm: Harm
    share: int  # of a run's damages, as a weight


@dataclass(frozen=True)
class Bases:
    """Shops to damage, each a folder: the record closed, without a snapshot, killed, and as it once was."""

    closed: Path
    bare: Path
    killed: Path
    older: Path
    other: Path

    def of(self, name: str) -> Path:
        """The folder with this name."""
        found = getattr(self, name)
        assert isinstance(found, Path)
        return found


def make_bases(folder: Path, seed: int) -> Bases:
    """Tap at a small shop, and keep its folder at several times."""
    bases = Bases(*(folder / name for name in ("closed", "bare", "killed", "older", "other")))
    shop = folder / "shop"
    make_small_shop(shop)
    open_shop(shop)  # what is kept of its files spares every opening the reading of them
    _tap(shop, seed, TAPS // 2)
    shutil.copytree(shop, bases.older)
    _tap(shop, seed + 1, TAPS // 2)
    shutil.copytree(shop, bases.closed)
    shutil.copytree(shop, bases.bare)
    journal = Journal(bases.bare / DB)
    journal.drop_snapshot()
    journal.close()
    _tap(shop, seed + 2, 40, killed=bases.killed)
    make_small_shop(folder / "another")
    _tap(folder / "another", seed + 3, 60, killed=bases.other)
    return bases


def _tap(shop: Path, seed: int, taps: int, killed: Path | None = None) -> None:
    """Tap so often and let go; a copy made before that is as a kill leaves a shop.

    The head beside the record follows a tap within milliseconds, in a thread of its own. A damage that takes
    just the last event before the head was there is the one that nothing tells (DEVELOPERS.md, "Faults");
    what is damaged here has lain for a while.
    """
    clocks, luck, asked = JumpingClocks(), random.Random(seed), dict[str, int]()
    bench = open_bench(shop, clocks)
    for _ in range(taps):
        clocks.move(luck)
        with contextlib.suppress(Exception):
            next_deed(Moment(bench, luck), asked).do(bench)
    if killed is not None:
        _await_head(shop, bench.state.seq)
        # A copy that is being made comes and goes under its own name meanwhile.
        shutil.copytree(shop, killed, ignore=shutil.ignore_patterns(".*.part*"))
        (killed / SHM).unlink()
    bench.close()


def _await_head(shop: Path, seq: int) -> None:
    head = HeadFile(head_path(shop / DB))
    for _ in range(500):
        known = head.read()
        if known is not None and known.seq >= seq:
            return
        time.sleep(0.01)
    raise AssertionError(f"the head does not follow to event {seq}")


# What is done to a folder.


def _flip(name: str, folder: Path, luck: random.Random, bases: Bases) -> None:
    content = bytearray((folder / name).read_bytes())
    content[luck.randrange(len(content))] ^= 1 << luck.randrange(8)
    (folder / name).write_bytes(content)


def _flip_in_first_page(folder: Path, luck: random.Random, bases: Bases) -> None:
    content = bytearray((folder / DB).read_bytes())
    content[luck.randrange(PAGE)] ^= 1 << luck.randrange(8)
    (folder / DB).write_bytes(content)


def _zero_page(name: str, folder: Path, luck: random.Random, bases: Bases) -> None:
    content = bytearray((folder / name).read_bytes())
    first = luck.randrange(0, len(content), PAGE)
    content[first : first + PAGE] = bytes(len(content[first : first + PAGE]))
    (folder / name).write_bytes(content)


def _rubbish_page(folder: Path, luck: random.Random, bases: Bases) -> None:
    content = bytearray((folder / DB).read_bytes())
    first = luck.randrange(0, len(content), PAGE)
    content[first : first + PAGE] = luck.randbytes(PAGE)
    (folder / DB).write_bytes(content)


def _cut_off(name: str, folder: Path, luck: random.Random, bases: Bases) -> None:
    content = (folder / name).read_bytes()
    (folder / name).write_bytes(content[: luck.randrange(1, len(content))])


def _empty(name: str, folder: Path, luck: random.Random, bases: Bases) -> None:
    (folder / name).write_bytes(b"")


def _delete(name: str, folder: Path, luck: random.Random, bases: Bases) -> None:
    (folder / name).unlink()


def _rubbish_file(folder: Path, luck: random.Random, bases: Bases) -> None:
    (folder / DB).write_bytes(
        luck.choice((b"not a record at all\n" * 50, luck.randbytes(20000), b"SQLite format 3\0"))
    )


def beside(folder: Path) -> list[Path]:
    """What the kiosk keeps of a record outside the database; not the shop's own files, nor what may go."""
    others = [path for path in sorted(folder.rglob("*")) if path.is_file() and path.stat().st_size]
    return [
        path
        for path in others
        if path.name not in (DB, WAL, SHM, "shop.yaml")
        and path.parent.name not in ("procedures", ".cache", ".screens")
    ]


def _flip_beside(folder: Path, luck: random.Random, bases: Bases) -> None:
    path = luck.choice(beside(folder))
    _flip(str(path.relative_to(folder)), folder, luck, bases)


def _delete_beside(folder: Path, luck: random.Random, bases: Bases) -> None:
    luck.choice(beside(folder)).unlink()


def _folder_instead(name: str, folder: Path, luck: random.Random, bases: Bases) -> None:
    (folder / name).unlink(missing_ok=True)
    (folder / name).mkdir()


def _foreign_database(folder: Path, luck: random.Random, bases: Bases) -> None:
    (folder / DB).unlink()
    with contextlib.closing(sqlite3.connect(folder / DB)) as connection:
        connection.execute(luck.choice(("CREATE TABLE song (id)", "CREATE TABLE event (id)")))
        connection.execute(f"PRAGMA user_version={luck.choice((0, 1, 2, 3, 7))}")
        connection.commit()


def _put(names: tuple[str, ...], base: str, folder: Path, luck: random.Random, bases: Bases) -> None:
    """Files of another time or shop in place of these."""
    for name in names:
        source = bases.of(base) / name
        if source.exists():
            shutil.copyfile(source, folder / name)
        else:
            (folder / name).unlink(missing_ok=True)


def _sql(*statements: str) -> Harm:
    """One of these statements after another, as somebody with a database program would give them."""
    in_turn = cycle(statements)

    def harm(folder: Path, luck: random.Random, bases: Bases) -> None:
        with contextlib.closing(sqlite3.connect(folder / DB, isolation_level=None)) as connection:
            for name in ("event_is_never_changed", "event_is_never_deleted"):
                connection.execute(f"DROP TRIGGER IF EXISTS {name}")
            last = connection.execute("SELECT max(seq) FROM event").fetchone()[0]
            numbers = {"seq": luck.randrange(2, last - 1), "last": last}
            connection.execute(next(in_turn).format(**numbers))
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")

    return harm


_EVENT_UPDATES = (
    "UPDATE event SET body=replace(body, 'yes', 'no') WHERE body LIKE '%yes%'",
    "UPDATE event SET by='pip' WHERE seq={seq}",
    "UPDATE event SET at='2031-01-01T00:00:00+00:00' WHERE seq={seq}",
    "UPDATE event SET monotonic_s=monotonic_s+3600 WHERE seq={seq}",
    "UPDATE event SET run='another' WHERE seq={seq}",
    "UPDATE event SET id='another' WHERE seq={seq}",
    "UPDATE event SET hash='0' WHERE seq={seq}",
    "UPDATE event SET kind='note_written' WHERE seq={seq}",
    "UPDATE event SET body='{{}}' WHERE seq={seq}",
    "UPDATE event SET body='' WHERE seq={seq}",
    "UPDATE event SET at='yesterday' WHERE seq={seq}",
    "UPDATE event SET clock_ran_back=1-clock_ran_back WHERE seq={seq}",
    "UPDATE event SET by='pip'",
)
_COUNT_UPDATE = """UPDATE event SET body=replace(body, '"left":', '"left":1')
    WHERE seq=(SELECT max(seq) FROM event WHERE kind='stock_counted')"""
_EVENT_DELETES = ("DELETE FROM event WHERE seq={seq}", "DELETE FROM event WHERE seq=1")
_TAIL_DELETES = (
    "DELETE FROM event WHERE seq={last}",
    "DELETE FROM event WHERE seq>{seq}",
    "DELETE FROM event",
)
_SNAPSHOT_UPDATES = (
    "UPDATE snapshot SET body=replace(body, 'yes', 'no')",
    "UPDATE snapshot SET body=replace(body, 'LA-01', 'LA-02')",
    "UPDATE snapshot SET body=''",
    "UPDATE snapshot SET seq=seq-1",
    "UPDATE snapshot SET hash='0'",
    "UPDATE snapshot SET code='0'",
    "UPDATE snapshot SET seq=1, hash=(SELECT hash FROM event WHERE seq=1)",
    "DELETE FROM snapshot",
    "DROP TABLE snapshot",
    "ALTER TABLE snapshot DROP COLUMN code",
)
_TABLE_CHANGES = (
    "DELETE FROM migration",
    "DELETE FROM migration WHERE name='the journal'",
    "UPDATE migration SET name='another' WHERE name='the snapshot'",
    "INSERT INTO migration VALUES ('of a year to come', '2030-01-01')",
    "DROP TABLE migration",
    "DROP TABLE event",
    "ALTER TABLE event RENAME TO events",
    "ALTER TABLE event DROP COLUMN run",
    "ALTER TABLE event ADD COLUMN mood TEXT",
    "PRAGMA user_version=0",
    "PRAGMA user_version=1",
    "PRAGMA user_version=3",
)


def _rewrite(folder: Path, luck: random.Random, bases: Bases) -> None:
    """Change an event and make every hash after it fit again."""
    with contextlib.closing(sqlite3.connect(folder / DB, isolation_level=None)) as connection:
        connection.execute("DROP TRIGGER event_is_never_changed")
        connection.execute("DELETE FROM snapshot")
        connection.execute("UPDATE event SET body=replace(body, 'scratch', 'stain') WHERE kind='snag_raised'")
        before = "0" * 64
        for *row, _ in connection.execute(f"SELECT {COLUMNS},hash FROM event ORDER BY seq").fetchall():
            before = event_hash(before, row)
            connection.execute("UPDATE event SET hash=? WHERE seq=?", (before, row[0]))
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def put(base: str, *names: str) -> Harm:
    """Files of another time or shop in place of these."""
    return partial(_put, names, base)


BESIDE = ("a bit of what is kept beside the record", "what is kept beside the record deleted")
FAMILIES: tuple[Family, ...] = (
    Family("a bit of the record, which has a snapshot", "closed", partial(_flip, DB), 40),
    Family("a bit of the record, without a snapshot", "bare", partial(_flip, DB), 30),
    Family("a bit of its first page", "closed", _flip_in_first_page, 12),
    Family("a bit of the log", "killed", partial(_flip, WAL), 12),
    Family("a bit of the record under its log", "killed", partial(_flip, DB), 12),
    Family("a page of nothing", "closed", partial(_zero_page, DB), 12),
    Family("a page of nothing, without a snapshot", "bare", partial(_zero_page, DB), 12),
    Family("a page of nothing in the log", "killed", partial(_zero_page, WAL), 6),
    Family("a page of rubbish", "bare", _rubbish_page, 12),
    Family("the record cut off", "closed", partial(_cut_off, DB), 12),
    Family("the log cut off", "killed", partial(_cut_off, WAL), 8),
    Family("the log deleted", "killed", partial(_delete, WAL), 2),
    Family("the log emptied", "killed", partial(_empty, WAL), 2),
    Family("the log of another shop", "killed", put("other", WAL), 1),
    Family("an older record under a newer log", "killed", put("older", DB), 2),
    Family("an older record put back", "closed", put("older", DB, WAL), 2),
    Family("the record of another shop", "closed", put("other", DB, WAL), 2),
    Family("an event changed", "closed", _sql(*_EVENT_UPDATES), 8),
    Family("an event changed, without a snapshot", "bare", _sql(*_EVENT_UPDATES), 13),
    Family("the newest stock count changed", "bare", _sql(_COUNT_UPDATE), 1),
    Family("an event deleted", "bare", _sql(*_EVENT_DELETES), 3),
    Family("the last events deleted", "bare", _sql(*_TAIL_DELETES), 4),
    Family("an event changed, and every hash made to fit", "closed", _rewrite, 2),
    Family("the snapshot changed", "closed", _sql(*_SNAPSHOT_UPDATES), 12),
    Family("the tables changed", "bare", _sql(*_TABLE_CHANGES), 14),
    Family("the record emptied", "closed", partial(_empty, DB), 1),
    Family("the record emptied under its log", "killed", partial(_empty, DB), 1),
    Family("the record deleted", "closed", partial(_delete, DB), 1),
    Family("no database", "closed", _rubbish_file, 4),
    Family("a foreign database", "closed", _foreign_database, 5),
    Family("a folder for a record", "closed", partial(_folder_instead, DB), 1),
    Family("a folder for a lock", "closed", partial(_folder_instead, f"{DB}.lock"), 1),
    Family(BESIDE[0], "closed", _flip_beside, 8),
    Family(BESIDE[1], "closed", _delete_beside, 4),
)  # fmt: skip


@dataclass(frozen=True)
class Judged:
    """How a damaged record opened, and what was said."""

    family: str
    outcome: Outcome
    said: str

    @property
    def wrong(self) -> bool:
        """True when neither the right state came of it nor a word."""
        return self.outcome not in ("same", "told")

    @property
    def known(self) -> bool:
        """True for what is wrong and stands among what is not mended yet."""
        return self.family in NOT_YET or (self.outcome == "chain" and self.family in CHAIN_ONLY)


@dataclass
class Damages:
    """What became of all damages, by their family."""

    found: dict[str, Counter[Outcome]] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)  # silent or a traceback, and not known
    known: int = 0  # silent, and known

    def add(self, judged: Judged) -> None:
        """One more."""
        self.found.setdefault(judged.family, Counter())[judged.outcome] += 1
        if judged.outcome == "traceback" or (judged.wrong and not judged.known):
            self.wrong.append(f"{judged.family}: {judged.outcome}: {judged.said}")
        elif judged.wrong:
            self.known += 1

    def count(self, outcome: Outcome) -> int:
        """How many ended so."""
        return sum(counter[outcome] for counter in self.found.values())

    def table(self) -> str:
        """A row for each family."""
        outcomes: tuple[Outcome, ...] = ("same", "told", "chain", "silent", "traceback")
        head = f"{'':48}" + "".join(f"{name:>10}" for name in outcomes)
        rows = [
            f"{name:48}" + "".join(f"{counter[outcome]:10d}" for outcome in outcomes)
            for name, counter in self.found.items()
        ]
        total = f"{'in all':48}" + "".join(f"{self.count(outcome):10d}" for outcome in outcomes)
        return "\n".join([head, *rows, total, *self.wrong[:20]])


def judge(family: Family, bases: Bases, right: Read, luck: random.Random, place: Path) -> Judged:
    """Damage a copy of a shop, and open it as a screen, a reading command and a check of the record do."""
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(bases.of(family.base), place)
    family.harm(place, luck, bases)
    outcome, said = _opened(place, right)
    for command in ["where", *(["verify"] if "verify" in COMMAND_MODULES else [])]:
        code, printed, fault = _commanded([command, str(place)])
        if fault:
            return Judged(family.name, "traceback", f"{command}: {fault}")
        if code and not printed.strip():
            return Judged(family.name, "traceback", f"{command} fails without a word")
        if command == "where" and code and len(printed.splitlines()) != 1:
            return Judged(family.name, "traceback", f"{command} says no one line: {printed!r}")
        if command == "verify" and code and outcome in ("silent", "chain"):
            outcome, said = "told", printed
    return Judged(family.name, outcome, said)


def _opened(place: Path, right: Read) -> tuple[Outcome, str]:
    copy = place.with_name(f"{place.name}-opened")  # so that no opening is of what another one mended
    shutil.rmtree(copy, ignore_errors=True)
    shutil.copytree(place, copy)
    try:
        bench = open_bench(copy)
    except Exception as error:
        return ("told", str(error)) if in_one_line(error) else ("traceback", traceback.format_exc())
    try:
        return _compared(bench, right)
    finally:
        bench.record.journal.close()


def _compared(bench: Bench, right: Read) -> tuple[Outcome, str]:
    """Whether what a screen would show is what was recorded; else whether the chain of hashes can tell."""
    state, journal, seq = bench.state, bench.record.journal, right.state.seq
    if state.seq >= seq and not _written_by_opening(bench, seq) and _facts(state) == _facts(right.state):
        return "same", ""
    said = f"{state.seq} events instead of {seq}"
    try:
        bad = journal.first_bad_event()
    except KioskError as error:
        return "chain", f"{said}; {error}"
    return ("silent", said) if bad is None else ("chain", f"{said}; event {bad}")


def _written_by_opening(bench: Bench, seq: int) -> bool:
    """True when an event was recorded by this very opening: what had its number before is lost."""
    try:
        return any(
            event.seq == seq and event.run == bench.record.run
            for event in bench.record.journal.after(seq - 1)
        )
    except KioskError:
        return False  # damaged, so it is not new


def _facts(state: State) -> object:
    """What stands whoever opens it: not that a start finds the sitting cut, and its work unknown."""
    works = {work.id: (work.step, work.pieces, work.started_at) for work in state.works.values()}
    return (state.parts, works, state.snags, state.stock, state.trials, state.times, state.minutes_by_day,
            state.undoables, state.texts, state.temperature_f, state.conditions_at)  # fmt: skip


def _commanded(command: list[str]) -> tuple[int, str, str]:
    """The exit code of a kiosk command, what it said, and the traceback if it fell."""
    out, error = io.StringIO(), io.StringIO()
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(error):
            code = kiosk(command)
    except Exception:
        return 1, "", traceback.format_exc()
    return code, error.getvalue() or out.getvalue(), ""


def plan(count: int) -> dict[Family, int]:
    """How many damages of each family in so many: by its share, and at least one."""
    whole = sum(family.share for family in FAMILIES)
    return {family: max(1, round(count * family.share / whole)) for family in FAMILIES}


def read_bases(bases: Bases, folder: Path) -> dict[str, Read]:
    """What each of the shops to damage holds."""
    return {name: read_copy(bases.of(name), folder / f"{name}-read") for name in ("closed", "bare", "killed")}


def run(count: int, seed: int, folder: Path) -> Damages:
    """Damage so often."""
    bases = make_bases(folder, seed)
    right = read_bases(bases, folder)
    found, luck = Damages(), random.Random(seed)
    for family, times in plan(count).items():
        if family.name in BESIDE and not beside(bases.closed):
            continue
        for _ in range(times):
            found.add(judge(family, bases, right[family.base], luck, folder / "damaged"))
    return found


def main(count: int, seed: int) -> int:
    """Run it by hand; gives the exit code."""
    folder = Path(tempfile.mkdtemp(prefix="damages-"))
    found = run(count, seed, folder)
    print(found.table())
    print(f"known and not mended yet {found.known}, else wrong {len(found.wrong)}")
    shutil.rmtree(folder)
    return 1 if found.wrong else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2])))
