"""How commands are found, what they load, and what a terminal without UTF-8 is told."""

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from kiosk.commands.command_line import COMMAND_MODULES, find_commands, main

HEAVY = ("textual", "rich", "pydantic", "yaml", "ezdxf", "plotext", "plotille", "sqlite3")


def _loaded(code: str) -> list[str]:
    """What a fresh Python has loaded after the code: the heavy libraries, and the kiosk's own packages."""
    ask = (
        f"import sys, io, contextlib\n{code}\n"
        f"heavy = [name for name in {HEAVY!r} if name in sys.modules]\n"
        "own = sorted({name.split('.')[1] for name in sys.modules if name.startswith('kiosk.')})\n"
        "print(*heavy, *own)"
    )
    done = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True)
    return done.stdout.splitlines()[-1].split()


def test_every_module_of_the_list_is_the_command_of_its_name() -> None:
    assert tuple(command.name for command in find_commands()) == COMMAND_MODULES


def test_only_the_command_that_is_named_is_loaded() -> None:
    code = (
        "import sys\nfrom kiosk.commands.command_line import main\nmain(['spare', '12', 'nowhere'])\n"
        "assert 'kiosk.commands.spare' in sys.modules and 'kiosk.commands.logbook' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, stderr=subprocess.DEVNULL)


def test_every_command_is_in_the_list() -> None:
    folder = Path(__file__).parent.parent.parent / "kiosk" / "commands"
    made = {path.stem for path in folder.glob("*.py") if "COMMAND = Command(" in path.read_text("utf-8")}
    assert made == set(COMMAND_MODULES)


def test_the_help_loads_no_more_than_its_words() -> None:
    code = "from kiosk.commands.command_line import make_parser\nmake_parser().format_help()"
    assert set(_loaded(code)) == {"commands", "dataclass", "errors", "shop"}


@pytest.mark.parametrize(
    ("arguments", "never"),
    [
        (["check"], {"textual", "rich", "sqlite3", "planning", "record", "screens"}),
        (["schema"], {"textual", "rich", "sqlite3", "planning", "record", "screens"}),
        (["new", "SHOP"], {"textual", "rich", "ezdxf", "plotext", "screens"}),
        (["where", "SHOP"], {"textual", "rich", "ezdxf", "plotext", "screens"}),
        (["spare", "12", "SHOP"], {"textual", "rich", "ezdxf", "plotext", "screens"}),
    ],
)
def test_a_command_loads_only_what_it_needs(
    arguments: list[str], never: set[str], demo_shop: Path, tmp_path: Path
) -> None:
    shop = tmp_path / "made" if arguments[0] == "new" else demo_shop
    given = [str(shop) if word == "SHOP" else word for word in arguments]
    code = (
        "from kiosk.commands import main\n"
        f"with contextlib.redirect_stdout(io.StringIO()):\n    assert main({given!r}) == 0"
    )
    assert not never & set(_loaded(code))


def test_the_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as done:
        main(["--help"])
    assert done.value.code == 0
    out = " ".join(capsys.readouterr().out.split())
    for command in find_commands():
        assert f"{command.name} {command.help}" in out


def test_without_a_command_the_help_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 0
    assert "COMMAND" in capsys.readouterr().out


ASCII_ONLY = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}


def _kiosk(*arguments: bytes | str, at: Path, **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "kiosk", *arguments],
        capture_output=True,
        cwd=at,
        env={**os.environ, **environment},
        check=False,
    )


@pytest.mark.parametrize(
    "arguments",
    [
        (b"where", b"caf\xe9"),
        (b"new", b"caf\xe9"),
        (b"numbers", b"\xe9"),
        (b"\xe9",),
        (b"trial", b"SHOP", b"--alloy", b"\xe9"),
    ],
)
def test_an_argument_that_is_not_utf_8_is_said_in_one_line(
    arguments: tuple[bytes, ...], demo_shop: Path
) -> None:
    done = _kiosk(*(os.fsencode(demo_shop) if word == b"SHOP" else word for word in arguments), at=demo_shop)
    assert done.returncode == 2 and not done.stdout
    assert done.stderr.count(b"\n") == 1 and b"\\udce9" in done.stderr and b"UTF-8" in done.stderr


@pytest.mark.parametrize("command", ["spare", "forecast", "open"])
def test_output_without_utf_8_is_said_in_one_line(command: str, demo_shop: Path) -> None:
    more = {"spare": ["12"], "forecast": ["--kind", "nose-rib"]}.get(command, [])
    done = _kiosk(command, *more, str(demo_shop), at=demo_shop, **ASCII_ONLY)
    assert done.returncode == 1
    assert done.stderr.count(b"\n") == 1 and b"LC_ALL=C.UTF-8" in done.stderr


def test_plain_output_needs_no_utf_8(demo_shop: Path) -> None:
    assert (
        _kiosk(
            "numbers", "setback", "thickness=.064", "inside_radius=1/4", at=demo_shop, **ASCII_ONLY
        ).returncode
        == 0
    )
    assert _kiosk("check", str(demo_shop), at=demo_shop, **ASCII_ONLY).returncode == 0


def test_the_screen_is_not_drawn_on_a_terminal_without_utf_8(demo_shop: Path) -> None:
    terminal, its_end = pty.openpty()
    command = [sys.executable, "-m", "kiosk", "open", str(demo_shop)]
    environment = {**os.environ, **ASCII_ONLY, "TERM": "xterm"}
    done = subprocess.run(
        command, stdin=its_end, stdout=its_end, stderr=its_end, env=environment, timeout=60, check=False
    )
    os.close(its_end)
    said = os.read(terminal, 4096)
    os.close(terminal)
    assert done.returncode == 2
    assert said.count(b"\n") == 1 and b"LC_ALL=C.UTF-8" in said
