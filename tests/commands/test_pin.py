"""``kiosk pin``: typed on a terminal, unseen, and kept as a hash; a PIN in a file is a fault."""

import os
import pty
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.commands import main
from kiosk.commands import pin as pin_module
from kiosk.record import pins
from tests.driver import set_pins


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """What is typed at the prompts, one after another."""
    typed: list[str] = []
    monkeypatch.setattr(pin_module, "getpass", lambda prompt: typed.pop(0))
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
    yield typed
    assert not typed, "a prompt that was expected did not come"


def _fits(shop: Path, person: str, pin: str) -> bool:
    bench = Bench(shop)
    secret = bench.state.secret_of(person)
    bench.close()
    return pins.fits(secret, pin)


def _run(shop: Path, typed: list[str], keys: Sequence[str], *more: str) -> int:
    typed += keys
    return main(["pin", str(shop), *more])


def test_a_pin_is_set_changed_and_taken_away(
    new_shop: Path, terminal: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert _run(new_shop, terminal, ("2468", "2468"), "wren") == 0
    assert _fits(new_shop, "wren", "2468")
    assert _run(new_shop, terminal, ("2468", "8642", "8642"), "wren") == 0
    assert _fits(new_shop, "wren", "8642") and not _fits(new_shop, "wren", "2468")
    assert _run(new_shop, terminal, ("8642", "2906", "2906"), "odile") == 0  # the builder's, for a first one
    assert _fits(new_shop, "odile", "2906")
    assert _run(new_shop, terminal, ("8642",), "wren", "--remove") == 0
    assert not _fits(new_shop, "wren", "8642")
    assert _run(new_shop, terminal, (), "wren", "--remove") == 0
    said = capsys.readouterr()
    assert "Wren has no PIN." in said.out
    for pin in ("2468", "8642", "2906"):
        assert pin not in said.out + said.err


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (("1111", "8642", "8642"), "Wren's PIN is not right"),
        (("2468", "86"), "4 to 12 digits"),
        (("2468", "8642", "8643"), "not the same"),
    ],
)
def test_what_is_not_right_changes_nothing(
    new_shop: Path,
    terminal: list[str],
    capsys: pytest.CaptureFixture[str],
    keys: Sequence[str],
    said: str,
) -> None:
    set_pins(new_shop, wren="2468")
    assert _run(new_shop, terminal, keys, "wren") == 1
    errors = capsys.readouterr().err
    assert said in errors and errors.count("\n") == 1
    assert not any(key in errors for key in keys)
    assert _fits(new_shop, "wren", "2468")


def test_where_nothing_more_can_be_typed_one_line_says_so(
    terminal: list[str], new_shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ctrl-D at the question was a fault of the kiosk's own."""

    def ended(prompt: str) -> str:
        raise EOFError

    monkeypatch.setattr(pin_module, "getpass", ended)
    assert main(["pin", str(new_shop), "wren"]) == 1
    assert capsys.readouterr().err == "kiosk: no PIN was typed; nothing is changed\n"
    assert not (new_shop / "crash.txt").exists()


def test_wrong_ones_have_to_wait_here_too(
    new_shop: Path, terminal: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    set_pins(new_shop, wren="2468")
    for _ in range(3):
        assert _run(new_shop, terminal, ("1111",), "wren", "--remove") == 1
    capsys.readouterr()
    assert _run(new_shop, terminal, ("2468",), "wren", "--remove") == 1
    assert "Wren's PIN was wrong 3 times; wait 5 s" in capsys.readouterr().err


def test_it_is_typed_on_a_terminal_by_somebody_of_the_shop(
    new_shop: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stdin, "isatty", lambda: False)
    assert main(["pin", str(new_shop), "wren"]) == 2
    assert "a PIN is typed on a terminal" in capsys.readouterr().err
    assert main(["pin", str(new_shop), "wern"]) == 2
    assert "nobody is called 'wern'" in capsys.readouterr().err


def test_nothing_is_shown_on_a_real_terminal(new_shop: Path) -> None:
    command = [sys.executable, "-m", "kiosk", "pin", str(new_shop), "wren"]
    ours, theirs = pty.openpty()
    process = subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True)
    os.close(theirs)
    seen = b""
    for prompt in (b"New PIN of Wren: ", b"The same once more: "):
        while prompt not in seen:
            seen += os.read(ours, 1000)
        os.write(ours, b"97531\n")
    while b"Saved." not in seen:
        seen += os.read(ours, 1000)
    assert process.wait(60) == 0
    os.close(ours)
    assert b"97531" not in seen
    assert _fits(new_shop, "wren", "97531")


def test_a_pin_in_the_shop_file_is_a_fault_that_says_what_to_do(
    new_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = new_shop / "shop.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("role: builder}", 'role: builder, pin: "97531"}', 1), encoding="utf-8")
    assert main(["check", str(new_shop)]) == 1
    said = capsys.readouterr()
    line = next(number for number, row in enumerate(text.splitlines(), 1) if "role: builder}" in row)
    assert f"shop.yaml:{line}" in said.out + said.err
    assert "take pin: out and run: kiosk pin SHOP wren" in said.out + said.err
    assert "97531" not in said.out + said.err
