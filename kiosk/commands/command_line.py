"""Reads the command line, runs one command, and says in one line what went wrong."""

import argparse
import atexit
import gc
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from pathlib import Path

from kiosk import __version__
from kiosk.commands.command import FAILED, MISUSED, OK, SET_UTF_8, Command, Misused
from kiosk.commands.printed import printed_visibly
from kiosk.errors import KioskError
from kiosk.shop.faults import ShopFaults

# Every command, in the order of the help. Each is a module of this package that holds a ``COMMAND``.
COMMAND_MODULES = (
    "demo",
    "new",
    "open",
    "serve",
    "where",
    "spare",
    "check",
    "schema",
    "numbers",
    "rib",
    "flat",
    "cut",
    "logbook",
    "forecast",
    "trial",
    "verify",
    "backup",
    "restore",
    "pin",
    "picture",
    "wall",
)


def find_commands(names: Sequence[str] = COMMAND_MODULES) -> tuple[Command, ...]:
    """The commands of these names; every one, in the order of the help, when none are given."""
    return tuple(import_module(f"kiosk.commands.{name}").COMMAND for name in names)


def make_parser(argv: Sequence[str] = ()) -> argparse.ArgumentParser:
    """The parser of the command line; it puts the chosen command into ``arguments.command``.

    When ``argv`` begins with a command's name, only that command is loaded.
    """
    named = [name for name in argv[:1] if name in COMMAND_MODULES]
    parser = argparse.ArgumentParser(
        prog="kiosk",
        description="A wall kiosk for the bench of a home-built metal aeroplane. It keeps your place.",
        epilog="Begin with: kiosk demo. Then: kiosk new MyShop --from brambling.",
    )
    parser.add_argument("--version", action="version", version=f"kiosk {__version__}")
    parser.set_defaults(command=None)
    chosen = parser.add_subparsers(metavar="COMMAND")
    for command in find_commands(named or COMMAND_MODULES):
        own = chosen.add_parser(
            command.name, help=command.help, description=command.description or command.help
        )
        command.add_arguments(own)
        own.set_defaults(command=command)
    return parser


OBJECTS_OF_A_START = 200_000  # made before the first look for garbage


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; gives the exit code: 0 done, 1 failed or faults found, 2 misused."""
    # A start loads much and drops next to nothing: looking through it for garbage is a tenth of its time.
    gc.set_threshold(OBJECTS_OF_A_START)
    # Nor is it looked through at the end, which takes a fifth of a short command: whatever holds a file open
    # closes it in a ``with``, and all memory goes with the process.
    atexit.register(gc.freeze)
    with printed_visibly():
        return _said(sys.argv[1:] if argv is None else argv)


def _said(argv: Sequence[str]) -> int:
    """Run it; whatever goes wrong is one line."""
    try:
        return _run(argv)
    except Misused as error:
        print(f"kiosk: {error}", file=sys.stderr)
        return MISUSED
    except ShopFaults as error:
        for fault in error.faults:
            print(fault, file=sys.stderr)
        print("kiosk: the shop cannot be opened until these are mended", file=sys.stderr)
        return FAILED
    except KioskError as error:
        print(f"kiosk: {error}", file=sys.stderr)
        return FAILED
    except UnicodeEncodeError as error:  # a terminal or a pipe that is not in UTF-8
        character = error.object[error.start]
        print(f"kiosk: {error.encoding} output has no {character!a}; {SET_UTF_8}", file=sys.stderr)
        return FAILED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FAILED
    except KeyboardInterrupt:
        return FAILED
    except Exception as error:  # a fault of the kiosk's own: never a traceback with what stood in memory
        from kiosk.crash import crash_line, keep_crash  # loaded when it is wanted

        print(crash_line(keep_crash(error, _shop_in(argv))), file=sys.stderr)
        return FAILED


def _shop_in(argv: Sequence[str]) -> Path | None:
    """The shop folder that was named, if one was."""
    for argument in argv:
        with suppress(OSError, ValueError):
            if (Path(argument) / "shop.yaml").is_file():
                return Path(argument)
    return None


def _run(argv: Sequence[str]) -> int:
    for argument in argv:
        if not _is_text(argument):
            read_as = sys.getfilesystemencoding()
            raise Misused(f"{argument!a} cannot be read as {read_as} text", f"write it in UTF-8; {SET_UTF_8}")
    parser = make_parser(argv)
    arguments = parser.parse_args(argv)
    command: Command | None = arguments.command
    if command is None:
        parser.print_help()
        return OK
    try:
        return command.run(arguments)
    except ShopFaults:
        if getattr(arguments, "shop", "") is not None:
            raise
        from kiosk.commands.demo_folder import demo_does_not_fit, demo_folder  # no shop was named

        raise demo_does_not_fit(demo_folder()) from None


def _is_text(argument: str) -> bool:
    """False when Python could not read the argument's bytes, and carries them as they came."""
    return not any("\udc80" <= character <= "\udcff" for character in argument)
