"""Shops to test on: a copy of the example shop in mid-work, and one with nothing done yet."""

import compileall
import gc
import itertools
import os
import shutil
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from importlib import import_module
from pathlib import Path
from py_compile import PycInvalidationMode
from types import SimpleNamespace

import pytest

import kiosk
from kiosk import packed
from kiosk.bench import Bench
from kiosk.commands import command_line
from kiosk.commands.make_shop import make_shop
from kiosk.record import pins, snapshot
from kiosk.screens import app
from kiosk.shop import kept
from kiosk.shop.kept import KeptFiles, open_shop
from kiosk.shop.shop import Shop


def local_time(year: int, month: int, day: int, hour: int, minute: int = 0) -> datetime:
    """What the clock on the wall shows, wherever the tests run, as the UTC that the kiosk's clocks give."""
    return datetime(year, month, day, hour, minute).astimezone(UTC)


IN_MEMORY = Path("/dev/shm")
ROOM = 2**30  # bytes; a run at four workers held a tenth of it


def pytest_configure() -> None:
    """Shops are made in memory where the system has room there: a disk that has to hold every entry before
    the next one took a third of the time of a run. What a disk does to a record, ``tests.faults`` tries.

    What failed is kept until the next run, and what a run that was killed left goes then too: memory is
    nobody's to fill.
    """
    given = "PYTEST_DEBUG_TEMPROOT" in os.environ  # by whoever runs it, or to a worker by its run
    if given or not (IN_MEMORY.is_dir() and os.access(IN_MEMORY, os.W_OK)):
        return
    runs = IN_MEMORY / f"kiosk-tests-{os.getuid()}"
    for left in runs.glob("*"):
        if not Path("/proc", left.name).exists():
            shutil.rmtree(left, ignore_errors=True)
    if shutil.disk_usage(IN_MEMORY).free > ROOM:
        own = runs / str(os.getpid())
        own.mkdir(parents=True, exist_ok=True)
        os.environ["PYTEST_DEBUG_TEMPROOT"] = str(own)


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """One worker more than there are cores: servers and terminals are waited for a fifth of the time."""
    return (os.cpu_count() or 1) + 1


def pytest_sessionstart(session: pytest.Session) -> None:
    """Where bytecode is not to be written, every kiosk that a test starts would compile itself anew, for a
    third of a second: compile it once before the workers begin. It goes by the hash of its source, so that
    what was compiled never stands for another source."""
    if sys.dont_write_bytecode and session.config.pluginmanager.hasplugin("dsession"):
        compileall.compile_dir(
            Path(kiosk.__file__).parent, quiet=2, invalidation_mode=PycInvalidationMode.CHECKED_HASH
        )


OBJECTS_BETWEEN_LOOKS = 1_000_000  # within a test; some 200 MB of them
OBJECTS_OF_TESTS = 25_000  # left by one or more that ended: a finger's breadth of the next look


@pytest.hookimpl(wrapper=True)
def pytest_collection(session: pytest.Session) -> Iterator[None]:
    """What is collected stays until the end, so that no look for garbage goes through it: neither while it is
    made, where that was a third of the time, nor in any test after."""
    gc.disable()
    try:
        with _bytecode_written():
            _import_ones_share(session.config)
            return (yield)
    finally:
        gc.freeze()
        gc.set_threshold(OBJECTS_BETWEEN_LOOKS, *gc.get_threshold()[1:])
        gc.enable()


@contextmanager
def _bytecode_written() -> Iterator[None]:
    """Let what is imported be kept compiled, also where it usually is not."""
    before = sys.dont_write_bytecode
    sys.dont_write_bytecode = False
    try:
        yield
    finally:
        sys.dont_write_bytecode = before


def _import_ones_share(config: pytest.Config) -> None:
    """Each of several workers imports every so many-th test file before it collects them all: to write their
    assertions anew took three quarters of the time, and each did all of them. What one wrote, the others
    find. What can't be imported is said when it is collected."""
    worker = os.environ.get("PYTEST_XDIST_WORKER")
    if worker is None:
        return
    asked = [config.invocation_params.dir / one.partition("::")[0] for one in config.args]
    files = sorted({file for one in asked for file in [one, *one.rglob("test_*.py")] if file.suffix == ".py"})
    mine, of = int(worker.removeprefix("gw")), int(os.environ["PYTEST_XDIST_WORKER_COUNT"])
    for file in files[mine::of]:
        with suppress(Exception, pytest.skip.Exception):
            import_module(".".join(file.relative_to(config.rootpath).with_suffix("").parts))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The types of the whole tree are the longest test and cannot be shared out: begun last, all would wait
    for it."""
    items.sort(key=lambda item: item.path.name != "test_lint_and_types.py")


@pytest.hookimpl(trylast=True)
def pytest_runtest_logfinish() -> None:
    """What tests make is looked through for garbage between them, when an app or a bench is gone: within one
    nearly all is in use, and each look goes through it in vain. Looks as often as Python's or an app's own
    took a seventh of the time of the tests of screens."""
    if gc.get_count()[0] > OBJECTS_OF_TESTS:
        gc.collect(0)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish() -> None:
    """Pytest then looks five times through all that is left, for what could not be said while it was thrown
    away: warnings that are not asked for here (``filterwarnings``)."""
    gc.freeze()


@pytest.fixture(autouse=True, scope="session")
def garbage_looked_for_between_tests() -> Iterator[None]:
    """An app and a command say how often their own process looks for garbage: not how often tests do."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(app, "OBJECTS_OF_A_SCREEN", OBJECTS_BETWEEN_LOOKS)
        patch.setattr(command_line, "OBJECTS_OF_A_START", OBJECTS_BETWEEN_LOOKS)
        yield


QUICK_COST = 2**8


@pytest.fixture(autouse=True, scope="session")
def quick_pins() -> Iterator[None]:
    """PINs whose hash costs a sixty-fourth: one as it is takes longer than the act that asks for it. Its own
    tests have it as it is, and every hash says what it cost."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pins, "COST", QUICK_COST)
        yield


SHOPS_AT_ONCE = 16


@pytest.fixture(autouse=True, scope="session")
def shops_unpacked_once() -> Iterator[None]:
    """The same kept bytes of a shop's files are unpacked and looked through once: benches are opened by the
    thousand, and it was three quarters of opening one. Each gets tables of its own; models never change."""

    @lru_cache(SHOPS_AT_ONCE)
    def once(files: bytes) -> KeptFiles:
        return packed.unpack(files, KeptFiles)

    def its_own(files: bytes, _: type[KeptFiles]) -> KeptFiles:
        found = once(files)
        return replace(found, procedures=dict(found.procedures), known=dict(found.known))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(kept, "unpack", its_own)
        yield


@contextmanager
def shops_read_once() -> Iterator[None]:
    """A shop's files of the same bytes are read and checked once, in whatever folder they lie: each of
    several tests makes the same change to a copy of its own. What was kept of them is put beside the copy."""
    read, write = kept._read, kept._write
    known: dict[str, bytes] = {}

    def read_or_put_there(folder: Path, content: str, tell: Callable[[str], None]) -> Shop | None:
        told: list[str] = []
        found = read(folder, content, told.append)
        for one in told:  # what is wrong there is not made good
            tell(one)
        if found is not None or told or content not in known:
            return found
        file = folder / kept.KEPT_FILE
        with suppress(OSError):  # of a folder that cannot be written
            file.parent.mkdir(exist_ok=True)
            file.write_bytes(known[content])
        return read(folder, content, tell)

    def write_and_know(folder: Path, content: str, what: KeptFiles) -> None:
        write(folder, content, what)
        if len(known) == SHOPS_AT_ONCE:
            del known[next(iter(known))]
        with suppress(OSError):
            known[content] = (folder / kept.KEPT_FILE).read_bytes()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(kept, "_read", read_or_put_there)
        patch.setattr(kept, "_write", write_and_know)
        yield


STATES_AT_ONCE = 64


@pytest.fixture(autouse=True, scope="session")
def states_unpacked_once() -> Iterator[None]:
    """The same snapshot of a record is unpacked and looked through once: it was a half of opening a shop in
    mid-work. A fold copies the state that it goes on from."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(snapshot, "unpacked", lru_cache(STATES_AT_ONCE)(snapshot.unpacked))
        yield


_boots = itertools.count(1)


class SteadyClocks:
    """Clocks that a test moves: those of one boot of a machine."""

    def __init__(self, at: datetime | None = None) -> None:
        self.boot_id = f"boot {next(_boots)}"
        # A Saturday at noon: no quiet hours.
        self.at = at or local_time(2027, 5, 8, 12)
        self.count_s = 1000.0

    def now(self) -> datetime:
        return self.at

    def monotonic_s(self) -> float:
        return self.count_s

    def boot(self) -> str:
        return self.boot_id

    def go_to(self, at: datetime) -> None:
        """Let time pass until then. To set the wall clock instead, set ``at``."""
        self.go((at - self.at).total_seconds() / 60)

    def go(self, minutes: float) -> None:
        self.at += timedelta(minutes=minutes)
        self.count_s += minutes * 60


@pytest.fixture(scope="session")
def played_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example shop with its history, made once."""
    folder = tmp_path_factory.mktemp("played") / "shop"
    make_shop(folder, "brambling", with_history=True)
    return folder


@pytest.fixture
def demo_shop(played_shop: Path, tmp_path: Path) -> Path:
    """A copy of the example shop in mid-work."""
    folder = tmp_path / "shop"
    shutil.copytree(played_shop, folder)
    return folder


@pytest.fixture(scope="session")
def unbegun_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example shop with nothing done, made and read once: what was read is kept beside its files."""
    folder = tmp_path_factory.mktemp("unbegun") / "new"
    make_shop(folder, "brambling", with_history=False)
    open_shop(folder)
    return folder


@pytest.fixture
def new_shop(unbegun_shop: Path, tmp_path: Path) -> Path:
    """A copy of the example shop with nothing done. Copying takes a thirtieth of reading it anew."""
    folder = tmp_path / "new"
    shutil.copytree(unbegun_shop, folder)
    return folder


@pytest.fixture
def clocks() -> SteadyClocks:
    """Clocks that stand still until the test moves them."""
    return SteadyClocks()


@pytest.fixture
def bench(new_shop: Path, clocks: SteadyClocks) -> Iterator[Bench]:
    """A bench on the new shop."""
    made = Bench(new_shop, clocks)
    yield made
    made.close()


@pytest.fixture
def demo_bench(demo_shop: Path) -> Iterator[Bench]:
    """A bench on the shop in mid-work, on the machine's clock."""
    made = Bench(demo_shop)
    yield made
    made.close()


@contextmanager
def in_zone(name: str) -> Iterator[None]:
    """The process in another time zone for a while."""
    try:
        with pytest.MonkeyPatch.context() as patch:
            patch.setenv("TZ", name)
            time.tzset()
            yield
    finally:
        time.tzset()


@contextmanager
def other_code(folder: Path, file: str) -> Iterator[None]:
    """The kiosk as if one of its files were another, as after an update."""
    twin = folder / "kiosk"
    shutil.copytree(Path(packed.__file__).parent, twin, ignore=shutil.ignore_patterns("__pycache__"))
    with (twin / file).open("a", encoding="utf-8") as handle:
        handle.write("# other\n")
    try:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(packed, "_CODE", twin)
            packed._mark_of.cache_clear()
            yield
    finally:
        packed._mark_of.cache_clear()


def room_for(patch: pytest.MonkeyPatch, free_bytes: int) -> None:
    """Every disk as if so much were free on it."""
    patch.setattr(os, "statvfs", lambda _: SimpleNamespace(f_bavail=free_bytes, f_frsize=1, f_flag=0))
