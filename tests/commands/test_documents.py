"""README.md and DEVELOPERS.md say the same of the commands as the command line itself."""

import argparse
import re
import shlex
from pathlib import Path

import pytest

from kiosk.commands.command import Command
from kiosk.commands.command_line import find_commands, make_parser

ROOT = Path(__file__).parent.parent.parent
COMMANDS = {command.name: command for command in find_commands()}
ROW = re.compile(r"^\| `kiosk (?P<usage>[^`|]+)` \| (?P<what>[^|]*)\|(?P<options>[^|]*)\|$", re.MULTILINE)
OPTION = re.compile(r"--[a-z][a-z-]*")
INLINE = re.compile(r"`(?:\.venv/bin/)?kiosk ([^`]+)`")
ON_A_LINE = re.compile(r"^    (?:.*&& )?(?:\.venv/bin/)?kiosk ([^#>\n']+)", re.MULTILINE)


def _readme() -> str:
    return (ROOT / "README.md").read_text(encoding="utf-8")


def _rows() -> dict[str, tuple[str, set[str]]]:
    """README's table of commands: what each does, and its options."""
    return {
        found["usage"].split()[0]: (found["what"].strip(), set(OPTION.findall(found["options"])))
        for found in ROW.finditer(_readme())
    }


def _options(command: Command) -> set[str]:
    """The options that the command takes, without the help."""
    parser = argparse.ArgumentParser(add_help=False)
    command.add_arguments(parser)
    return set(OPTION.findall(parser.format_usage()))


def test_the_readme_has_every_command_in_the_order_of_the_help() -> None:
    assert list(_rows()) == list(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_the_readme_says_of_a_command_what_the_help_says(name: str) -> None:
    assert _rows()[name][0] == COMMANDS[name].help


@pytest.mark.parametrize("name", COMMANDS)
def test_the_readme_has_every_option_of_a_command_and_no_other(name: str) -> None:
    assert _rows()[name][1] == _options(COMMANDS[name])


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md", ".project/RELEASING.md"])
def test_every_command_that_a_document_shows_can_be_given(document: str) -> None:
    text = (ROOT / document).read_text(encoding="utf-8")
    shown = [*INLINE.findall(text), *ON_A_LINE.findall(text)]
    assert shown
    for line in shown:
        if line.startswith("COMMAND"):
            continue
        words = [word for word in shlex.split(line.split(">")[0]) if word != "…"]
        try:
            make_parser().parse_args(words)
        except SystemExit as refused:
            assert refused.code == 0, f"{document} shows: kiosk {line}"  # --help and --version leave with 0


@pytest.mark.parametrize("name", COMMANDS)
def test_every_argument_says_what_it_is(name: str) -> None:
    parser = argparse.ArgumentParser()
    COMMANDS[name].add_arguments(parser)
    assert all(action.help for action in parser._actions)
