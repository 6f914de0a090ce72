"""``kiosk check``: every fault in procedures and a shop."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.command import FAILED, OK, Command
from kiosk.commands.shop_argument import existing_shop

if TYPE_CHECKING:
    from kiosk.shop.faults import Fault
    from kiosk.shop.load import Loaded

FIRST_DAY = date(2026, 1, 1)  # before this kiosk was made, no day is today


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "shop",
        type=Path,
        metavar="SHOP",
        nargs="?",
        help="the shop folder (default: only the procedures that came with the kiosk)",
    )
    parser.add_argument("--strict", action="store_true", help="count warnings as faults")


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.drawing.step_drawings import STEP_DRAWINGS
    from kiosk.plural import so_many
    from kiosk.shop.load import check_shipped_procedures, load

    faults = check_shipped_procedures(STEP_DRAWINGS)
    if arguments.shop is not None:
        folder = existing_shop(arguments.shop)
        loaded = load(folder, lint=True, today=_today(), drawings=STEP_DRAWINGS)
        faults = sorted({*faults, *loaded.faults, *_against_the_record(folder, loaded)})
    for fault in faults:
        print(fault)
    errors = sum(1 for fault in faults if fault.severity == "error")
    warnings = len(faults) - errors
    print(f"{so_many(errors, 'fault', 'faults')}, {so_many(warnings, 'warning', 'warnings')}")
    return FAILED if errors or (arguments.strict and warnings) else OK


def _today() -> date | None:
    """The machine's day; None where its clock has plainly not been set since it was switched on."""
    today = date.today()
    return today if today >= FIRST_DAY else None


def _against_the_record(folder: Path, loaded: Loaded) -> Iterator[Fault]:
    """What the files no longer have a place for, texts that changed under one revision, outgrown work."""
    from kiosk.bench import RECORD_FILE
    from kiosk.record.made_before import made_by_other_figures
    from kiosk.record.read_only import read_record
    from kiosk.record.since import changed_words, parts_without_a_place
    from kiosk.record.stopped import RecordingStopped
    from kiosk.shop.faults import Fault
    from kiosk.views.trial import fits_of

    path = folder / RECORD_FILE
    if loaded.errors or loaded.shop is None or not path.exists():
        return
    try:
        seen = read_record(path)
    except RecordingStopped as error:
        yield Fault(str(path), 1, 1, f"not compared with the files: {error.wrong}", error.mend, "warning")
        return
    found = [
        *parts_without_a_place(loaded.shop, seen.state),
        *changed_words(loaded.shop.procedures.values(), seen.kept),
        *made_by_other_figures(loaded.shop, seen.state, partial(fits_of, seen.state.strips())),
    ]
    for one in found:
        document = loaded.documents[one.file]
        yield document.fault(one.location, one.wrong, one.mend, key=True, warning=True)


COMMAND = Command("check", "check procedures and a shop: file, line and how to mend it", _run, _add_arguments)
