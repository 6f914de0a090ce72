"""``kiosk verify``: whether the record is whole, and what that does and does not prove."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.command import FAILED, OK, Command
from kiosk.commands.shop_argument import add_shop_or_demo, shop_or_demo

if TYPE_CHECKING:
    from kiosk.shop.kept import CheckedKept


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.bench import RECORD_FILE
    from kiosk.commands.read_shop import ReadingWords
    from kiosk.record.checking import check_copies, check_record, check_snapshot, index_wrong
    from kiosk.views.verify_text import verify_lines

    folder = shop_or_demo(arguments.shop)
    record = folder / RECORD_FILE
    checked = check_record(record)
    snapshot = check_snapshot(record, ReadingWords()) if checked.whole else None
    then = _throw_away(folder, record) if snapshot is not None and snapshot.wrong else ""
    index = index_wrong(record) if checked.whole else ""
    copies = check_copies(record)
    kept, kept_then = _look_at_kept(folder)
    print("\n".join(verify_lines(record, checked, copies, index, snapshot, then, kept, kept_then)))
    wrong = [*(copy.wrong for copy in copies), index, snapshot.wrong if snapshot else "", kept.wrong]
    return OK if checked.whole and not any(wrong) else FAILED


def _look_at_kept(folder: Path) -> tuple["CheckedKept", str]:
    """What is kept of the shop's files held to them, and what became of it where it is wrong."""
    from kiosk.shop.faults import ShopFaults
    from kiosk.shop.kept import CheckedKept, check_kept, throw_away

    try:
        kept = check_kept(folder)
    except (ShopFaults, OSError):
        return CheckedKept(False), ""  # `kiosk check` names what is wrong in them
    if not kept.wrong:
        return kept, ""
    try:
        throw_away(folder)
    except OSError:
        return kept, "it cannot be thrown away here: make the folder writable, then verify again"
    return kept, "it was thrown away, and the next start reads the files"


def _throw_away(folder: Path, record: Path) -> str:
    """Throw a wrong snapshot away, unless a screen that began with it would write it again. Says which."""
    from contextlib import closing

    from kiosk.bench import SCREENS_FOLDER
    from kiosk.errors import KioskError
    from kiosk.record.journal import Journal
    from kiosk.record.presence import Presence

    try:
        with closing(Presence(folder / SCREENS_FOLDER, "verify")) as presence:
            if presence.others_alive():
                return "leave the kiosk on every screen, then verify again"
        with closing(Journal(record)) as journal:
            journal.drop_snapshot()
    except (KioskError, OSError):
        return "it cannot be thrown away here: make the folder writable, then verify again"
    return "it was thrown away, and the next start works everything out from the entries"


COMMAND = Command(
    "verify",
    "check that the record is whole, from its first entry to its last, and its copies",
    _run,
    add_shop_or_demo,
    "Says what is proved and what is not. The exit code is 1 when something is wrong.",
)
