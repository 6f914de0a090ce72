"""What a command is: its name, its words in the help, its arguments, and what it does."""

import argparse
from collections.abc import Callable

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError

OK, FAILED, MISUSED = 0, 1, 2  # the exit codes

SET_UTF_8 = "set a UTF-8 locale, such as LC_ALL=C.UTF-8"


class Misused(KioskError):
    """The command was given something it cannot take."""


def _no_arguments(parser: argparse.ArgumentParser) -> None:
    """For a command that takes none."""


@dataclass(frozen=True)
class Command:
    """One command. Its module is imported for every help, so what ``run`` needs is imported inside ``run``.

    ``run`` gives the exit code, and raises KioskError (Misused for a wrong argument) with what is wrong and
    how to mend it.
    """

    name: str
    help: str  # its line in ``kiosk --help`` and in the README
    run: Callable[[argparse.Namespace], int]
    add_arguments: Callable[[argparse.ArgumentParser], None] = _no_arguments
    description: str = ""  # what its own help says above the arguments; the help line when empty
