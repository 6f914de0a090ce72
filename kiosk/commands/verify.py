"""``kiosk verify``: whether the record is whole, and what that does and does not prove."""

import argparse

from kiosk.commands.command import FAILED, OK, Command
from kiosk.commands.shop_argument import add_shop_or_demo, shop_or_demo


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.bench import RECORD_FILE
    from kiosk.record.checking import check_copies, check_record
    from kiosk.views.verify_text import verify_lines

    record = shop_or_demo(arguments.shop) / RECORD_FILE
    checked = check_record(record)
    copies = check_copies(record)
    print("\n".join(verify_lines(record, checked, copies)))
    return OK if checked.whole and not any(copy.wrong for copy in copies) else FAILED


COMMAND = Command(
    "verify",
    "check that the record is whole, from its first entry to its last, and its copies",
    _run,
    add_shop_or_demo,
    "Says what is proved and what is not. The exit code is 1 when something is wrong.",
)
