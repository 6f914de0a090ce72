"""How commands are found, and what they load."""

import subprocess
import sys
from pathlib import Path

import pytest

from kiosk.commands.command_line import COMMAND_MODULES, find_commands, main

HEAVY = ("textual", "rich", "pydantic", "yaml", "ezdxf", "plotext", "sqlite3")


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


def test_every_command_is_in_the_list() -> None:
    folder = Path(__file__).parent.parent.parent / "kiosk" / "commands"
    made = {path.stem for path in folder.glob("*.py") if "COMMAND = Command(" in path.read_text("utf-8")}
    assert made == set(COMMAND_MODULES)


def test_the_help_loads_no_more_than_its_words() -> None:
    code = "from kiosk.commands.command_line import make_parser\nmake_parser().format_help()"
    assert set(_loaded(code)) == {"commands", "errors", "shop"}


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
