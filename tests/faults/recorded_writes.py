"""Every write of a real run, recorded by strace, and what a disk can hold of it when the power goes.

The trace stands for the run itself: the process is the kiosk with the SQLite of its Python, and what strace
shows is what the kernel was asked for, of the database, its log and any file kept beside it. A call that
changes a file in a way this module does not know is refused, not passed over. Not seen is what goes into
``record.db-shm`` through memory: it says only what stands in the log, and SQLite makes it anew after a cut.

The disk keeps what was synchronised (``fsync``, ``fdatasync`` of that file). Of what was not, each block may
be there or not, whichever was written first, or be rubbish. A name made, moved or taken away is kept once its
folder was synchronised; before that the folder's changes may be there up to any one of them, none or all.
(The same model as in "How SQLite Is Tested", sqlite.org/testing.html, section 3.3; file systems keep the
changes of a folder in order, as their journal does.)
"""

import random
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

HAVE_STRACE = shutil.which("strace") is not None
_CALLS = (
    "openat,open,creat,close,write,pwrite64,pwritev,pwritev2,writev,lseek,fsync,fdatasync,sync_file_range,"
    "ftruncate,truncate,fallocate,unlink,unlinkat,rename,renameat,renameat2,link,linkat,symlink,symlinkat,"
    "mkdir,mkdirat,rmdir,dup,dup2,dup3,fcntl,copy_file_range,sendfile,mmap"
)
_LONGEST_TEXT = 1 << 24  # bytes of one write that strace prints
_LINE = re.compile(r"(\d+) +(\w+)\((.*)\) += (-?\d+|0x[0-9a-f]+|\?)")
_BEGUN = re.compile(r"(\d+) +(\w+)\((.*) <unfinished \.\.\.>$")
_ENDED = re.compile(r"(\d+) +<\.\.\. (\w+) resumed>(.*)$")
_TEXT = re.compile(r'"((?:\\x[0-9a-f]{2})*)"(\.\.\.)?')
IN_MEMORY = "-shm"


@dataclass(frozen=True)
class Write:
    """Bytes go into a file."""

    file: int
    offset: int
    data: bytes


@dataclass(frozen=True)
class Resize:
    """A file is cut or drawn out to a size."""

    file: int
    size: int


@dataclass(frozen=True)
class Sync:
    """A file is on the disk from now on."""

    file: int


@dataclass(frozen=True)
class Entry:
    """A name in a folder: of this file from now on, or of none."""

    path: Path
    file: int | None


@dataclass(frozen=True)
class Moved:
    """A file's name is another one from now on."""

    old: Path
    new: Path


@dataclass(frozen=True)
class SyncFolder:
    """The names of a folder are on the disk from now on."""

    path: Path


@dataclass(frozen=True)
class Told:
    """The run said how many events are recorded."""

    seq: int


Op = Write | Resize | Sync | Entry | Moved | SyncFolder | Told


def record_run(folder: Path, trace: Path, seed: int, taps: int, sittings: int) -> None:
    """Run ``recorded_run`` in a shop under strace; the trace is written to a file."""
    command = [
        "strace",
        "-f",
        "-qq",
        "-xx",
        "-s",
        str(_LONGEST_TEXT),
        "--seccomp-bpf",
        "-e",
        f"trace={_CALLS}",
    ]
    run = [
        sys.executable,
        "-m",
        "tests.faults.recorded_run",
        str(folder),
        str(seed),
        str(taps),
        str(sittings),
    ]
    done = subprocess.run(
        [*command, "-o", str(trace), *run],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[2],
    )
    if done.returncode:
        raise RuntimeError(f"the run could not be recorded: {done.stderr}")


@dataclass
class _Opened:
    """What a number of an open file stands for; a folder has no file."""

    file: int | None
    path: Path
    position: int = 0
    appends: bool = False


class Trace:
    """Reads a trace of strace as what was done to the files of one folder."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._opened: dict[int, _Opened] = {}
        self._names: dict[Path, int] = {}
        self._sizes: dict[int, int] = {}

    def ops(self, trace: Path) -> Iterator[Op]:
        """What was done, in the order in which it was. Raises RuntimeError for a call that is not known."""
        begun: dict[tuple[str, str], str] = {}
        with trace.open() as lines:
            for line in lines:
                if match := _BEGUN.match(line):
                    begun[match[1], match[2]] = match[3]
                    if match[2] == "close":
                        # Its number is free from here on: another thread may have opened a file under it
                        # before this thread is seen to come back from the call.
                        yield from self._on_opened("close", match[3], 0)
                    continue
                if match := _ENDED.match(line):
                    if match[2] == "close":
                        continue
                    line = f"{match[1]} {match[2]}({begun.pop((match[1], match[2]))}{match[3]}"
                match = _LINE.match(line)
                if match and not match[4].startswith(("-", "?")):
                    yield from self._call(match[2], match[3], int(match[4], 0))

    def _call(self, call: str, given: str, result: int) -> Iterator[Op]:
        if call in ("fsync", "fdatasync", "ftruncate", "write", "pwrite64", "lseek", "close"):
            yield from self._on_opened(call, given, result)
            return
        if call in ("fcntl", "dup", "dup2", "dup3", "mmap", "copy_file_range", "sendfile"):
            self._refuse_what_hides(call, given)
            return
        if call in ("pwritev", "pwritev2", "writev", "sync_file_range", "fallocate"):
            if int(given.split(",")[0]) in self._opened:
                raise RuntimeError(f"{call} is not known to this model")
            return
        paths = [Path(_bytes(text).decode()) for text, _ in _TEXT.findall(given)]
        if not any(path.is_relative_to(self._folder) for path in paths):
            if call in ("unlinkat", "renameat", "renameat2", "mkdirat") and not given.startswith("AT_FDCWD"):
                raise RuntimeError(f"{call} beside an open folder is not known to this model")
            return
        if call in ("open", "openat", "creat"):
            yield from self._open(paths[0], given, result)
        elif call in ("unlink", "unlinkat"):
            self._names.pop(paths[0], None)
            yield Entry(paths[0], None)
        elif call in ("rename", "renameat", "renameat2"):
            self._names[paths[1]] = self._names.pop(paths[0])
            yield Moved(paths[0], paths[1])
        elif call not in ("mkdir", "mkdirat"):  # an empty folder is made again by whoever wants it
            raise RuntimeError(f"{call} is not known to this model")

    def _open(self, path: Path, given: str, number: int) -> Iterator[Op]:
        if path.name.endswith(IN_MEMORY):
            self._opened.pop(number, None)
            return
        if "O_DIRECTORY" in given or path.is_dir():
            self._opened[number] = _Opened(None, path)
            return
        file = self._names.get(path)
        if file is None:
            if "O_CREAT" not in given:
                self._opened.pop(
                    number, None
                )  # there before the run, and never written: the shop's own files
                return
            file = self._names[path] = len(self._sizes)
            self._sizes[file] = 0
            yield Entry(path, file)
        elif "O_TRUNC" in given:
            self._sizes[file] = 0
            yield Resize(file, 0)
        self._opened[number] = _Opened(file, path, appends="O_APPEND" in given)

    def _on_opened(self, call: str, given: str, result: int) -> Iterator[Op]:
        number = int(given.split(",")[0])
        opened = self._opened.get(number)
        if call == "write" and number == 1:
            yield Told(int(_text(given).split()[1]))
        if opened is None:
            return
        if call == "close":
            del self._opened[number]
        elif opened.file is None:
            if call in ("fsync", "fdatasync"):
                yield SyncFolder(opened.path)
        elif call in ("fsync", "fdatasync"):
            yield Sync(opened.file)
        elif call == "ftruncate":
            self._sizes[opened.file] = int(given.split(",")[1])
            yield Resize(opened.file, self._sizes[opened.file])
        elif call == "lseek":
            opened.position = result
        else:
            yield self._write(call, opened, given, result)

    def _write(self, call: str, opened: _Opened, given: str, result: int) -> Write:
        assert opened.file is not None
        data = _text(given)[:result]
        if call == "pwrite64":
            offset = int(given.rsplit(",", 1)[1])
        else:
            offset = self._sizes[opened.file] if opened.appends else opened.position
            opened.position = offset + result
        self._sizes[opened.file] = max(self._sizes[opened.file], offset + result)
        return Write(opened.file, offset, data)

    def _refuse_what_hides(self, call: str, given: str) -> None:
        if call == "fcntl" and "F_DUPFD" not in given:
            return
        if call == "mmap":
            fields = given.split(", ")
            if "MAP_SHARED" not in given or "PROT_WRITE" not in given or int(fields[4]) not in self._opened:
                return
        elif not any(int(one) in self._opened for one in re.findall(r"\b\d+\b", given)[:2]):
            return
        raise RuntimeError(f"{call} hides what is written")


def _bytes(text: str) -> bytes:
    return bytes.fromhex(text.replace("\\x", ""))


def _text(given: str) -> bytes:
    match = _TEXT.search(given)
    if match is None or match[2]:
        raise RuntimeError("the trace does not hold all that was written")
    return _bytes(match[1])


@dataclass
class _File:
    synced: bytearray = field(default_factory=bytearray)
    waiting: list[Write | Resize] = field(default_factory=list)


@dataclass(frozen=True)
class Cut:
    """How the power goes: how large a block is, how many of them arrive, and which names."""

    block: int  # bytes that are written whole or not at all
    arrive: float  # share of the blocks not synchronised that are there
    rubbish: float  # share of those that are not there which hold rubbish instead
    names: float  # share of the folders' changes not synchronised that are there, the first ones


class Disk:
    """What a disk holds for sure, and what it may hold, after each thing that was done."""

    def __init__(self) -> None:
        self._files: dict[int, _File] = {}
        self._names: dict[Path, int] = {}
        self._waiting: list[Entry | Moved] = []

    def do(self, op: Op) -> None:
        """Take in what was done next."""
        match op:
            case Write() | Resize():
                self._file(op.file).waiting.append(op)
            case Sync():
                file = self._file(op.file)
                for waiting in file.waiting:
                    _put(file.synced, waiting)
                file.waiting.clear()
            case Entry() | Moved():
                self._waiting.append(op)
            case SyncFolder():
                here = [one for one in self._waiting if _folder_of(one) == op.path]
                self._waiting = [one for one in self._waiting if _folder_of(one) != op.path]
                for entry in here:
                    _name(self._names, entry)

    def _file(self, number: int) -> _File:
        return self._files.setdefault(number, _File())

    @property
    def waits(self) -> bool:
        """True while something of a file is not on the disk for sure."""
        return any(file.waiting for file in self._files.values())

    def image(self, luck: random.Random, cut: Cut) -> dict[Path, bytes]:
        """The files as they may be found after the power went here."""
        names = dict(self._names)
        for entry in self._waiting[: round(len(self._waiting) * cut.names)]:
            _name(names, entry)
        return {path: self._content(self._file(number), luck, cut) for path, number in names.items()}

    def _content(self, file: _File, luck: random.Random, cut: Cut) -> bytes:
        content = bytearray(file.synced)
        for waiting in file.waiting:
            if isinstance(waiting, Resize):
                if luck.random() < cut.arrive:
                    _put(content, waiting)
                continue
            for block in _blocks(waiting, cut.block):
                if luck.random() < cut.arrive:
                    _put(content, block)
                elif luck.random() < cut.rubbish:
                    _put(content, Write(block.file, block.offset, luck.randbytes(len(block.data))))
        return bytes(content)


def _blocks(write: Write, size: int) -> Iterator[Write]:
    """A write in the blocks of the disk that it touches."""
    at, end = write.offset, write.offset + len(write.data)
    while at < end:
        stop = min(end, (at // size + 1) * size)
        yield Write(write.file, at, write.data[at - write.offset : stop - write.offset])
        at = stop


def _put(content: bytearray, op: Write | Resize) -> None:
    end = op.size if isinstance(op, Resize) else op.offset + len(op.data)
    if len(content) < end:
        content.extend(bytes(end - len(content)))
    if isinstance(op, Resize):
        del content[op.size :]
    else:
        content[op.offset : end] = op.data


def _folder_of(entry: Entry | Moved) -> Path:
    return (entry.path if isinstance(entry, Entry) else entry.new).parent


def _name(names: dict[Path, int], entry: Entry | Moved) -> None:
    if isinstance(entry, Moved):
        if entry.old in names:
            names[entry.new] = names.pop(entry.old)
    elif entry.file is None:
        names.pop(entry.path, None)
    else:
        names[entry.path] = entry.file


def lay_out(image: Mapping[Path, bytes], was: Path, folder: Path) -> None:
    """Put the files of an image of one folder into another, which is emptied first."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    for path, content in image.items():
        place = folder / path.relative_to(was)
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content)
