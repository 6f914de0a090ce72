"""``kiosk pin``: set a person's PIN, change it, or take it away. It is typed on the terminal, unseen."""

from __future__ import annotations

import argparse
import sys
from contextlib import closing
from getpass import getpass
from typing import TYPE_CHECKING

from kiosk.commands.command import FAILED, OK, Command, Misused
from kiosk.commands.shop_argument import add_shop, existing_shop
from kiosk.errors import KioskError
from kiosk.shop.faults import nearest

if TYPE_CHECKING:  # a shop is loaded by the command that runs, not by the help
    from kiosk.bench import Bench
    from kiosk.shop.shop import Person


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    add_shop(parser)
    parser.add_argument("person", metavar="PERSON", help="the id of somebody under people: in shop.yaml")
    parser.add_argument("--remove", action="store_true", help="take the PIN away, with the old one")


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.bench import Bench

    with closing(Bench(existing_shop(arguments.shop))) as bench:
        person = bench.shop.people.get(arguments.person)
        if person is None:
            raise Misused(
                f"nobody is called {arguments.person!r}", nearest(arguments.person, bench.shop.people)
            )
        if not sys.stdin.isatty():  # where it could be seen, or come from a file that keeps it
            raise Misused("a PIN is typed on a terminal", "run this command on one")
        return _remove(bench, person) if arguments.remove else _set(bench, person)


def _set(bench: Bench, person: Person) -> int:
    from kiosk.record.pins import check_pin

    old = _old(bench, person)
    new = _typed(f"New PIN of {person.name}: ")
    check_pin(new)
    if _typed("The same once more: ") != new:
        print("kiosk: the two were not the same; nothing is changed", file=sys.stderr)
        return FAILED
    bench.set_pin(person.id, old, new)
    print(f"Saved. {person.name}'s PIN guards their hands on every screen from now on.")
    return OK


def _remove(bench: Bench, person: Person) -> int:
    if not bench.has_pin(person.id):
        print(f"{person.name} has no PIN.")
        return OK
    bench.set_pin(person.id, _old(bench, person), "")
    print(f"Saved. {person.name} has no PIN any more.")
    return OK


def _old(bench: Bench, person: Person) -> str:
    """The PIN that has to be known first: the person's old one, or the builder's for a helper's first."""
    says = bench.who_says_pin(person)
    if says is None:
        return ""
    which = "Old PIN" if says.id == person.id else "PIN"
    return _typed(f"{which} of {says.name}: ")


def _typed(prompt: str) -> str:
    """What is typed unseen. Raises KioskError where nothing more can be typed."""
    try:
        return getpass(prompt)
    except EOFError:
        raise KioskError("no PIN was typed; nothing is changed") from None


COMMAND = Command(
    "pin",
    "set a person's PIN, or take it away; it is typed unseen and only its hash is kept",
    _run,
    _add_arguments,
    "The PIN is asked for twice, after the old one where there is one. 4 to 12 digits.",
)
