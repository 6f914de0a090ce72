"""The power goes at any moment of a recorded run; by hand: ``python -m tests.faults.power_cuts``."""

import random
from pathlib import Path

import pytest

from tests.faults.not_yet import LYING_DISK, NOT_YET
from tests.faults.power_cuts import MOST_LIES, Run, judge, recorded
from tests.faults.recorded_writes import (
    HAVE_STRACE,
    Cut,
    Disk,
    Entry,
    Moved,
    Op,
    Resize,
    Sync,
    SyncFolder,
    Trace,
    Write,
)

IMAGES, LIES = 60, 6
needs_strace = pytest.mark.skipif(not HAVE_STRACE, reason="strace records the run: apt install strace")


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> Run:
    return recorded(tmp_path_factory.mktemp("run"), seed=1, taps=60, sittings=3)


@needs_strace
def test_what_was_acknowledged_is_in_every_image_of_the_disk(run: Run, tmp_path: Path) -> None:
    found = judge(run, IMAGES, 1, tmp_path)
    assert not found.wrong, "\n".join(found.wrong)
    assert found.opened == IMAGES and found.waiting > IMAGES // 3
    assert found.went_on


@needs_strace  # which of the two such a disk loses, the record or its head, is its own luck
@pytest.mark.xfail(LYING_DISK in NOT_YET, reason=NOT_YET.get(LYING_DISK, ""), strict=False)
def test_what_a_disk_lost_that_had_said_it_was_there_is_told(run: Run, tmp_path: Path) -> None:
    found = judge(run, LIES, 1, tmp_path, MOST_LIES)
    assert not found.wrong, "\n".join(found.wrong)


def test_a_file_opened_while_another_thread_closes_its_number_is_seen_whole(tmp_path: Path) -> None:
    def opened(name: str) -> str:
        path = "".join(f"\\x{byte:02x}" for byte in str(tmp_path / name).encode())
        return f'openat(AT_FDCWD, "{path}", O_RDWR|O_CREAT, 0644) = 5'

    lines = [
        f"100 {opened('copy')}",
        "100 close(5 <unfinished ...>",
        f"101 {opened('record')}",
        "100 <... close resumed>) = 0",
        '101 pwrite64(5, "\\x61\\x62", 2, 0) = 2',
        "101 fsync(5) = 0",
        "101 close(5) = 0",
        '101 write(5, "\\x63", 1) = 1',
    ]
    (tmp_path / "trace").write_text("\n".join(lines))
    ops = list(Trace(tmp_path).ops(tmp_path / "trace"))
    assert ops == [
        Entry(tmp_path / "copy", 0),
        Entry(tmp_path / "record", 1),
        Write(1, 0, b"ab"),
        Sync(1),
    ]


# The model of the disk itself, at its smallest.

A, B = Path("/shop/a"), Path("/shop/b")


def cut(block: int = 4, arrive: float = 0.0, rubbish: float = 0.0, names: float = 1.0) -> Cut:
    return Cut(block, arrive, rubbish, names)


def disk_after(*ops: Op) -> Disk:
    """A disk on which a file was made, with these eight letters in it for sure, and this was done since."""
    disk = Disk()
    for op in (Entry(A, 0), Write(0, 0, b"12345678"), Sync(0), SyncFolder(A.parent), *ops):
        disk.do(op)
    return disk


def images_of(disk: Disk, how: Cut, count: int = 50) -> set[tuple[tuple[str, bytes], ...]]:
    """Every image that comes of so many cuts."""
    luck = random.Random(1)
    found = (disk.image(luck, how) for _ in range(count))
    return {tuple(sorted((path.name, content) for path, content in image.items())) for image in found}


def test_what_was_synchronised_is_there_and_what_was_not_may_be() -> None:
    disk = disk_after(Write(0, 2, b"abcd"))
    assert disk.waits
    assert images_of(disk, cut()) == {(("a", b"12345678"),)}
    assert images_of(disk, cut(arrive=1.0)) == {(("a", b"12abcd78"),)}
    torn = images_of(disk, cut(arrive=0.5))  # in blocks of four: the first, the second, both or none
    assert torn == {(("a", text),) for text in (b"12345678", b"12ab5678", b"1234cd78", b"12abcd78")}
    disk.do(Sync(0))
    assert not disk.waits and images_of(disk, cut()) == {(("a", b"12abcd78"),)}


def test_a_block_that_did_not_arrive_may_hold_rubbish() -> None:
    found = images_of(disk_after(Write(0, 0, b"abcd")), cut(rubbish=0.5))
    assert (("a", b"12345678"),) in found and len(found) > 10


def test_a_cut_to_size_arrives_or_not_and_a_hole_reads_as_nothing() -> None:
    disk = disk_after(Resize(0, 2))
    assert images_of(disk, cut(arrive=0.5)) == {(("a", b"12345678"),), (("a", b"12"),)}
    disk.do(Write(0, 4, b"xy"))
    assert (("a", b"12\0\0xy"),) in images_of(disk, cut(arrive=1.0))


def test_names_are_there_up_to_any_one_until_their_folder_is_synchronised() -> None:
    disk = disk_after(Entry(B, 1), Write(1, 0, b"new"), Sync(1), Moved(B, A))
    assert images_of(disk, cut(names=0.0)) == {(("a", b"12345678"),)}
    assert images_of(disk, cut(names=0.5)) == {(("a", b"12345678"), ("b", b"new"))}
    assert images_of(disk, cut(names=1.0)) == {(("a", b"new"),)}
    disk.do(SyncFolder(A.parent))
    disk.do(Entry(A, None))
    assert images_of(disk, cut(names=0.0)) == {(("a", b"new"),)}
    assert images_of(disk, cut(names=1.0)) == {()}
