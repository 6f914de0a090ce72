"""``kiosk serve``: the wall screen in the browser of a tablet."""

import argparse
import importlib.util
import sys
from getpass import getpass
from pathlib import Path

from kiosk.commands.command import FAILED, OK, Command, Misused
from kiosk.commands.shop_argument import add_shop, existing_shop

LOOPBACK, PORT = "127.0.0.1", 8642
LEAST_PX, MOST_PX = 8, 100
PACKAGES = ("aiohttp", "jinja2", "textual_serve")  # of the extra [tablet]


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    add_shop(parser)
    parser.add_argument(
        "--address",
        default=LOOPBACK,
        help=f"this machine's number on the network, such as 192.168.1.20, or 0.0.0.0 for all that it has "
        f"(default: {LOOPBACK}, which only this machine reaches); it needs a pass-phrase",
    )
    parser.add_argument("--port", type=int, default=PORT, help=f"the port (default: {PORT})")
    parser.add_argument(
        "--public", default="", help="the address of a server in front of it, such as https://bench.example"
    )
    parser.add_argument(
        "--letters",
        type=int,
        default=0,
        metavar="PX",
        help="the size of the letters in pixels (default: as large as 80 columns by 24 rows allow)",
    )
    parser.add_argument("--set-pass-phrase", action="store_true", help="set the pass-phrase, typed unseen")
    parser.add_argument(
        "--remove-pass-phrase", action="store_true", help="take it away: only this machine is served then"
    )


def _run(arguments: argparse.Namespace) -> int:
    folder = existing_shop(arguments.shop)
    if arguments.set_pass_phrase:
        return _set(folder)
    if arguments.remove_pass_phrase:
        return _remove(folder)
    if arguments.letters and not LEAST_PX <= arguments.letters <= MOST_PX:
        raise Misused(f"letters of {arguments.letters} px cannot be read", f"take {LEAST_PX} to {MOST_PX}")
    missing = [name for name in PACKAGES if importlib.util.find_spec(name) is None]
    if missing:
        raise Misused(
            f"the tablet needs more packages ({', '.join(missing)})",
            "install them with: pip install 'bench-kiosk[tablet]', or in a clone: pip install -e '.[tablet]'",
        )
    from kiosk.commands.read_shop import read_shop
    from kiosk.tablet import pass_phrase
    from kiosk.tablet.addresses import served_at
    from kiosk.tablet.server import Shown, serve

    served = served_at(arguments.address, arguments.port, arguments.public)
    kept = pass_phrase.kept_pass_phrase(folder)
    if kept is None and served.is_open:
        where = served.public or served.address
        raise Misused(
            f"{where} can be reached by others, and this shop has no pass-phrase",
            f"set one with: kiosk serve {folder} --set-pass-phrase",
        )
    if kept is not None and pass_phrase.is_open_to_others(folder):  # a copy brought back, or a USB stick
        secret = folder / pass_phrase.PASS_PHRASE_FILE
        print(f"kiosk: {secret} is open to others on this machine; mend it with chmod 600", file=sys.stderr)
    with read_shop(folder) as bench:  # a shop that cannot be opened is said here, and at once
        name = bench.shop.file.aeroplane.name
    serve(Shown(folder, name, served, kept, arguments.letters), _told)
    return OK


def _told(url: str) -> None:
    print(f"The shop is at {url} as long as this runs. Ctrl+C ends it.", flush=True)


def _typed_on_a_terminal() -> None:
    if not sys.stdin.isatty():  # where it could be seen, or come from a file that keeps it
        raise Misused("a pass-phrase is typed on a terminal", "run this command on one")


def _set(folder: Path) -> int:
    from kiosk.tablet.pass_phrase import set_pass_phrase

    _typed_on_a_terminal()
    new = getpass("New pass-phrase: ")
    if getpass("The same once more: ").strip() != new.strip():
        print("kiosk: the two were not the same; nothing is changed", file=sys.stderr)
        return FAILED
    set_pass_phrase(folder, new)
    print("Saved. A server that runs asks for the old one until it is started again.")
    return OK


def _remove(folder: Path) -> int:
    from kiosk.tablet.pass_phrase import remove_pass_phrase

    there = remove_pass_phrase(folder)
    print("Saved. Only this machine is served from now on." if there else "No pass-phrase was set.")
    return OK


COMMAND = Command(
    "serve",
    "show the wall screen in the browser of a tablet, on this machine alone or behind a pass-phrase",
    _run,
    _add_arguments,
    "Serves the shop's wall screen to browsers, each with a screen of its own, all in step.",
)
