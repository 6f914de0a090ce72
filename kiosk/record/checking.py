"""What a look through the whole record proved, and nothing more."""

import os
import sqlite3
import sys
import threading
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path
from typing import Literal

from kiosk.dataclass import dataclass
from kiosk.record.apply import fold
from kiosk.record.chain import Chain, follow, hash_at, last_event
from kiosk.record.copies import COPIES_FOLDER, DAMAGED_INDEX, check_copy, copies_in, made_elsewhere
from kiosk.record.head import Head
from kiosk.record.journal import Journal, Progress
from kiosk.record.opening import open_to_read, pages_fit
from kiosk.record.snapshot import differences
from kiosk.record.stopped import RecordingStopped
from kiosk.record.troubles import BROKEN, told
from kiosk.record.witness import Known, refuse_other, require_fitting

Outside = Literal["agrees", "differs", "none"]

WAITS_S = 2.0  # a start has better things to do
_BETWEEN_S = 0.02  # between two reads in the background: the screen goes first
_NICENESS = 10  # of 19: whatever else the machine does goes first

NOT_PROVED = (
    "The chain has no key: whoever can write this folder can make a new one, with its witness and its copies."
    " A head written down elsewhere, or a copy kept elsewhere, would show it."
)


@dataclass(frozen=True)
class Checked:
    """What was checked of a record: the chain from its first event, and the witness outside the database.

    ``events`` is how many were followed from the first one on, each fitting the one before it; ``bad`` the
    first that does not fit or cannot be read, and ``what`` says so. ``outside`` tells whether the head kept
    outside the database agrees, which alone shows that the end is not lost; ``wrong`` is the witness's word.
    """

    events: int
    head: Head
    bad: int | None
    what: str
    outside: Outside
    by: str  # the witness: record.head, or a copy
    noted: int  # the last event that the witness knows
    wrong: str

    @property
    def whole(self) -> bool:
        """True when every event fits the one before it and no witness speaks against it."""
        return self.bad is None and self.outside != "differs"

    @property
    def trouble(self) -> str:
        """What is wrong, in one line; empty when nothing is."""
        return self.what if self.bad is not None else self.wrong

    @property
    def chain_words(self) -> str:
        """What is proved of the chain."""
        if self.bad is not None:
            before = f"entries 1 to {self.events} fit one another; " if self.events else ""
            return f"{before}{self.what}"
        if self.events == 0:
            return "no entry was made yet"
        which = "entry 1" if self.events == 1 else f"entries 1 to {self.events}"
        return f"{which}: each fits the one before it, so none was changed, removed or moved"

    @property
    def outside_words(self) -> str:
        """What is proved of the end, by the witness outside the database."""
        if self.outside == "none":
            return "nothing outside the database says how far the record had come: a lost end would not show"
        if self.outside == "differs":
            return self.wrong
        return f"{self.by} noted entry {self.noted} as the last, and the record has it as it was"


def check_record(path: Path, between: Callable[[int], bool] | None = None) -> Checked:
    """Follow the whole chain and ask the witness, on a connection of its own that only reads.

    ``between`` is called with the number reached after every few events, and ends it by giving False. Raises
    RecordingStopped when the record cannot be read at all, or its files are not what they were.
    """
    known = require_fitting(path)
    try:
        opened = open_to_read(path)
    except BROKEN as error:
        raise told(error, path, f"the record {path} cannot be read") from None
    try:
        chain = follow(opened.connection, between=between)
        return _judged(path, opened.connection, chain, known)
    except BROKEN as error:
        raise told(error, path, f"the record {path} cannot be read") from None
    finally:
        opened.close()


def index_wrong(path: Path) -> str:
    """What is wrong with the indexes, by which an entry is found again; empty where nothing is.

    The chain holds the entries and nothing of these. Raises RecordingStopped when they cannot be read at all.
    """
    try:
        with closing(open_to_read(path)) as opened:
            return "" if pages_fit(opened.connection) else DAMAGED_INDEX
    except BROKEN as error:
        raise told(error, path, f"the record {path} cannot be read") from None


def _judged(path: Path, connection: sqlite3.Connection, chain: Chain, known: Known | None) -> Checked:
    outside: Outside = "none"
    wrong = ""
    witness = known or Known(Head(), by="")
    if known is not None:
        try:
            refuse_other(path, connection, known)
            outside = "agrees"
        except RecordingStopped as error:
            outside, wrong = "differs", error.wrong
    return Checked(
        chain.last.seq, chain.last, chain.bad, chain.what, outside, witness.by, witness.head.seq, wrong
    )


@dataclass(frozen=True)
class CheckedSnapshot:
    """The snapshot held to the entries. ``seq`` is the entry it is of, 0 where there is none that counts;
    ``wrong`` what is wrong with it."""

    seq: int = 0
    wrong: str = ""


def check_snapshot(path: Path, progress: Progress | None = None) -> CheckedSnapshot:
    """Fold the entries up to the snapshot and compare. Raises RecordingStopped when they cannot be read."""
    with closing(Journal(path, reading=True)) as journal:
        found = journal.read_snapshot()
        if found.state is None:
            return CheckedSnapshot(wrong=found.wrong)
        worked_out = fold(journal.read_on(progress=progress, to=found.state.seq))
        where = differences(found.state, worked_out)
    return CheckedSnapshot(found.state.seq, where and f"it is not what the entries say in {where}")


@dataclass(frozen=True)
class CheckedCopy:
    """A copy, how far it goes, and what is wrong with it, if anything is."""

    name: str
    seq: int
    wrong: str = ""
    elsewhere: str = ""  # the folder that it was made in, where it is none of the shop's
    at: str = ""  # when it was made, by its name
    is_away: bool = False  # that folder is not there now, as a stick that is not plugged in


def _is_there(path: Path) -> bool:
    """False too where nobody may look, or a stick was pulled out while it was looked at."""
    try:
        return path.is_file()
    except OSError:
        return False


def check_copies(path: Path) -> list[CheckedCopy]:
    """Open every copy in the shop's folder, and those noted elsewhere that are there now, follow its chain,
    and compare its end with the record.

    Raises RecordingStopped when the record itself cannot be read.
    """
    try:
        opened = open_to_read(path)
    except BROKEN as error:
        raise told(error, path, f"the record {path} cannot be read") from None
    found = []
    try:
        last = last_event(
            opened.connection
        )  # of nothing, where the record is lost: the copies then stand alone
        own = copies_in(path.parent / COPIES_FOLDER)
        for copy in (*own, *made_elsewhere(path)):
            wrong = ""
            elsewhere = "" if copy in own else str(copy.path.parent)
            if elsewhere and not _is_there(copy.path):
                found.append(CheckedCopy(copy.path.name, copy.seq, "", elsewhere, copy.at, is_away=True))
                continue
            try:
                head = check_copy(copy.path, thoroughly=True)
                if not head.hash.startswith(copy.hash_begins) or head.seq != copy.seq:
                    wrong = f"it ends at event {head.seq} and not as its name says"
                elif last.seq and head.seq > last.seq:
                    wrong = f"it goes to event {head.seq}, and the record ends at {last.seq}"
                elif last.seq and hash_at(opened.connection, head.seq) != head.hash:
                    wrong = f"its event {head.seq} is not the record's"
            except RecordingStopped as error:
                wrong = error.wrong
            found.append(CheckedCopy(copy.path.name, copy.seq, wrong, elsewhere, copy.at))
    except BROKEN as error:
        raise told(error, path, f"the record {path} cannot be read") from None
    finally:
        opened.close()
    return found


class BackgroundCheck:
    """Checks the whole record beside the screen, behind everything else. ``trouble`` is what it found."""

    def __init__(self, path: Path, waits_s: float = WAITS_S) -> None:
        self.trouble = ""
        self.checked: Checked | None = None  # once it is through
        self._path = path
        self._waits_s = waits_s
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name="check", daemon=True)

    def begin(self) -> None:
        """Begin, a little later."""
        self._thread.start()

    def close(self) -> None:
        """Stop, wherever it is."""
        self._ended.set()
        if self._thread.ident is not None:
            self._thread.join()

    def _run(self) -> None:
        if sys.platform == "linux":  # elsewhere it would be the whole process that gives way
            with suppress(OSError):
                own = os.getpriority(os.PRIO_PROCESS, 0)
                os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), own + _NICENESS)
        if self._ended.wait(self._waits_s):
            return
        try:
            checked = check_record(self._path, lambda _: not self._ended.wait(_BETWEEN_S))
        except RecordingStopped as error:
            self.trouble = str(error)
        else:
            if not self._ended.is_set():
                self.checked, self.trouble = checked, checked.trouble
