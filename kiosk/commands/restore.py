"""``kiosk restore``: put a copy of the record back, or go on where the record is not what it was."""

from __future__ import annotations

import argparse
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.command import FAILED, OK, Command, Misused
from kiosk.commands.shop_argument import existing_shop, shop_or_demo

if TYPE_CHECKING:  # loaded when it is run, not for the help
    from kiosk.record.restoring import Plan
    from kiosk.record.stopped import RecordingStopped

WORD = "RESTORE"


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "copy",
        type=Path,
        metavar="COPY",
        nargs="?",
        help="the copy to put back; a shop folder instead shows its copies and what can be done",
    )
    parser.add_argument(
        "shop", type=Path, metavar="SHOP", nargs="?", help="the shop folder (default: the demo)"
    )
    parser.add_argument(
        "--as-it-is", action="store_true", help="no copy: go on with the record as it is, its end lost"
    )
    parser.add_argument("--begin-anew", action="store_true", help="no copy: begin with nothing recorded")
    parser.add_argument("--yes", action="store_true", help="do it without asking for a typed word")


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.bench import RECORD_FILE
    from kiosk.record.restoring import plan_anew, plan_as_found, plan_copy

    copy, folder = _copy_and_shop(arguments.copy, arguments.shop)
    record = folder / RECORD_FILE
    chosen = sum([copy is not None, arguments.as_it_is, arguments.begin_anew])
    if chosen > 1:
        raise Misused("a copy, --as-it-is and --begin-anew are three ways", "choose one of them")
    if not chosen:
        return _show(record)
    _require_no_screen(folder)

    def planned() -> Plan:
        if copy is not None:
            return plan_copy(record, _found(copy, folder))
        return plan_as_found(record) if arguments.as_it_is else plan_anew(record)

    plan = planned()
    for line in _said(plan):
        print(line)
    if not arguments.yes:
        if not _typed():
            print("Nothing was changed.")
            return FAILED
        _require_no_screen(folder)  # the question may have stood for an hour
        if planned() != plan:
            raise Misused("the record changed while this asked, so nothing was changed", "begin again")
    return _carry_out(plan)


def _copy_and_shop(first: Path | None, second: Path | None) -> tuple[Path | None, Path]:
    """One folder alone is the shop."""
    if second is not None:
        return first, existing_shop(second)
    if first is not None and first.is_dir():
        return None, existing_shop(first)
    return first, shop_or_demo(None)


def _found(copy: Path, folder: Path) -> Path:
    """The copy; its name alone is enough for one in the shop's own folder."""
    from kiosk.record.copies import COPIES_FOLDER

    own = folder / COPIES_FOLDER / copy
    return own if not copy.exists() and own.exists() else copy


def _show(record: Path) -> int:
    """What there is, and what can be done; nothing is changed."""
    from kiosk.record.checking import check_copies
    from kiosk.record.restoring import how_far
    from kiosk.record.stopped import NothingRecorded, RecordingStopped

    folder = record.parent
    as_found, refused = _as_found(record)
    if isinstance(refused, NothingRecorded):
        print(f"{refused.wrong}: {refused.mend}, or put a copy back: kiosk restore COPY {folder}")
        return OK
    print(f"{record} is known to have come to entry {how_far(record).seq}.")
    try:
        copies = check_copies(record)
    except RecordingStopped as error:
        print(error.wrong)
        copies = []
        from kiosk.record.copies import COPIES_FOLDER, copies_in

        for one in copies_in(folder / COPIES_FOLDER):
            print(f"  {one.path.name} goes to entry {one.seq}")
    for copy in copies:
        name = f"{copy.elsewhere}/{copy.name}" if copy.elsewhere else copy.name
        away = "; it is not there now" if copy.is_away else ""
        print(f"  {name} goes to entry {copy.seq}{away}{'; ' + copy.wrong if copy.wrong else ''}")
    if as_found is not None and as_found.lost is None:
        print(f"As it is, all {as_found.will_have.seq} entries are whole: going on with them loses none.")
    print(f"To put one back:                 kiosk restore COPY {folder}")
    if as_found is not None:
        print(f"To go on with what is there:     kiosk restore {folder} --as-it-is")
    else:
        print(refused)
    print(f"To begin with nothing recorded:  kiosk restore {folder} --begin-anew")
    print("Each keeps what it replaces, and asks first.")
    return OK


def _as_found(record: Path) -> tuple[Plan | None, RecordingStopped | None]:
    """How a record would be gone on with as it is; None, and why not, where it cannot be."""
    from kiosk.record.restoring import plan_as_found
    from kiosk.record.stopped import RecordingStopped

    try:
        return plan_as_found(record), None
    except RecordingStopped as error:
        return None, error


def _require_no_screen(folder: Path) -> None:
    from contextlib import closing

    from kiosk.bench import SCREENS_FOLDER
    from kiosk.record.presence import Presence
    from kiosk.record.troubles import told

    try:
        with closing(Presence(folder / SCREENS_FOLDER, "restore")) as presence:
            alive = presence.others_alive()
    except OSError as error:
        raise told(error, folder / SCREENS_FOLDER, f"{folder} cannot be written") from None
    if alive:
        raise Misused(f"{folder} is open on a screen, so nothing was changed", "close up there first")


def _said(plan: Plan) -> list[str]:
    """What would be done, before it is."""
    lines = {
        "from a copy": [f"The copy is whole: {plan.will_have.seq} entries in {plan.copy}."],
        "as it was found": [f"The record is whole as it is: {plan.will_have.seq} entries."],
        "begun anew": ["The record begins anew, with no entry: every part is then at its beginning."],
    }[plan.how]
    if plan.other:
        lines.append("THE COPY IS OF ANOTHER RECORD, or parted from this one: its entries are not these.")
    if plan.lost is not None:
        first, last = plan.lost
        which = f"Entry {last}" if first == last else f"Entries {first} to {last}"
        lines.append(f"{which} will no longer be in the record.")
    elif plan.had.seq:
        lines.append("No entry is lost.")
    lines.append("What is replaced is kept in a folder beside it. shop.yaml and procedures stay as they are.")
    return lines


def _typed() -> bool:
    if not sys.stdin.isatty():
        raise Misused("nothing was changed: there is nobody to ask", "add --yes when it is meant")
    try:
        return input(f"Type {WORD} to do it: ").strip() == WORD
    except EOFError:
        return False


def _carry_out(plan: Plan) -> int:
    from kiosk.record.restoring import carry_out

    folder = plan.record.parent
    kept = carry_out(plan, datetime.now().astimezone(), _builder(folder))
    if kept is not None:
        print(f"What was replaced is in {kept}.")
    print(f"Done. Go on with: kiosk open {folder}")
    _say_unguarded(folder)
    return OK


def _say_unguarded(folder: Path) -> None:
    """A PIN is kept in the record, so another record may be without it; nobody shall take it for granted."""
    from kiosk.commands.read_shop import read_shop
    from kiosk.shop.faults import ShopFaults

    try:
        with read_shop(folder) as bench:
            builder, guarded = bench.builder, bench.has_pin(bench.builder.id)
    except ShopFaults:
        return
    if not guarded:
        print(
            f"No PIN guards {builder.name}'s name in this record: kiosk pin {folder} {builder.id} sets one."
        )


def _builder(folder: Path) -> str:
    """Whoever can write to the shop's files acts for the builder; a shop file with faults names nobody."""
    from kiosk.record.context import NOBODY
    from kiosk.shop.faults import ShopFaults
    from kiosk.shop.kept import open_shop

    try:
        people = open_shop(folder).file.people
    except ShopFaults:
        return NOBODY
    return next(person.id for person in people if person.role == "builder")


COMMAND = Command(
    "restore",
    "put a copy of the record back; what it replaces is kept",
    _run,
    _add_arguments,
    "With a shop folder alone: shows its copies and what can be done, and changes nothing.",
)
