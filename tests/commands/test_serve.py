"""``kiosk serve``: what it refuses in one line before anything is served, and its pass-phrase."""

import builtins
import importlib.util
import os
import pty
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator, Sequence
from importlib.machinery import ModuleSpec
from pathlib import Path

import pytest

from kiosk.commands import main
from kiosk.commands import serve as serve_module
from kiosk.tablet.pass_phrase import PASS_PHRASE_FILE, kept_pass_phrase, opens, set_pass_phrase

PHRASE = "four flutes and a rib"


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """What is typed at the prompts, one after another."""
    keys: list[str] = []
    monkeypatch.setattr(serve_module, "getpass", lambda prompt: keys.pop(0))
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
    yield keys
    assert not keys, "a prompt that was expected did not come"


def _refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """The one line with which this is refused."""
    assert main(["serve", *arguments]) in (1, 2)
    said = capsys.readouterr()
    assert said.out == "" and said.err.count("\n") == 1 and said.err.startswith("kiosk: ")
    return said.err


def test_other_machines_are_not_served_without_a_pass_phrase(
    new_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for options in (["--address", "0.0.0.0"], ["--address", "::"], ["--public", "https://bench.example"]):
        said = _refused(capsys, str(new_shop), *options)
        assert "this shop has no pass-phrase" in said
        assert f"set one with: kiosk serve {new_shop} --set-pass-phrase" in said


def test_a_damaged_pass_phrase_opens_nothing(new_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (new_shop / PASS_PHRASE_FILE).write_text("scrypt:\n")
    for options in ([], ["--address", "0.0.0.0"]):
        assert "holds no pass-phrase; set it anew" in _refused(capsys, str(new_shop), *options)


def test_a_pass_phrase_that_others_can_reach_is_told(
    new_shop: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("aiohttp")
    from kiosk.tablet import server

    monkeypatch.setattr(server, "serve", lambda shown, tell: None)
    set_pass_phrase(new_shop, PHRASE)
    assert main(["serve", str(new_shop)]) == 0
    assert capsys.readouterr().err == ""
    for mode in (0o644, 0o666, 0o620):  # as a copy that was brought back may be
        (new_shop / PASS_PHRASE_FILE).chmod(mode)
        assert main(["serve", str(new_shop)]) == 0
        assert capsys.readouterr().err.strip().endswith("mend it with chmod 600")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--address", "bench.local"], "'bench.local' is no address of this machine"),
        (["--port", "0"], "there is no port 0"),
        (["--public", "bench"], "'bench' is no address of a page"),
        (["--letters", "3"], "letters of 3 px cannot be read; take 8 to 100"),
        (["--letters", "-20"], "letters of -20 px cannot be read"),
        (["--address", "192.0.2.1"], "this machine has no address 192.0.2.1"),  # RFC 5737: nobody's
    ],
)
def test_what_cannot_be_served_is_one_line(
    new_shop: Path, capsys: pytest.CaptureFixture[str], options: Sequence[str], said: str
) -> None:
    set_pass_phrase(new_shop, PHRASE)
    assert said in _refused(capsys, str(new_shop), *options)


def test_a_port_that_is_taken_is_one_line(new_shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        said = _refused(capsys, str(new_shop), "--port", str(port))
    assert f"port {port} is taken; give another with --port" in said


def test_a_folder_that_is_no_shop_and_a_shop_with_faults_are_told_at_once(
    new_shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "no shop folder" in _refused(capsys, str(tmp_path))
    broken = tmp_path / "broken"
    shutil.copytree(new_shop, broken)
    with (broken / "shop.yaml").open("a", encoding="utf-8") as file:
        file.write("nonsense: 1\n")
    assert main(["serve", str(broken)]) == 1
    assert "shop.yaml:" in capsys.readouterr().err


def test_without_the_extra_it_says_how_to_install_it(
    new_shop: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    found = importlib.util.find_spec

    def find_spec(name: str, package: str | None = None) -> ModuleSpec | None:
        return None if name == "textual_serve" else found(name, package)

    monkeypatch.setattr(importlib.util, "find_spec", find_spec)
    said = _refused(capsys, str(new_shop))
    assert "the tablet needs more packages (textual_serve)" in said
    assert "pip install 'bench-kiosk[tablet]'" in said and "'.[tablet]'" in said


def test_the_help_and_the_pass_phrase_need_no_extra(
    new_shop: Path, typed: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    real = builtins.__import__

    def without(name: str, *rest: object) -> object:
        assert name.split(".")[0] not in serve_module.PACKAGES, name
        return real(name, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(builtins, "__import__", without)
    typed += [PHRASE, PHRASE]
    assert main(["serve", str(new_shop), "--set-pass-phrase"]) == 0
    with pytest.raises(SystemExit) as shown:
        main(["serve", "--help"])
    assert shown.value.code == 0


def test_a_pass_phrase_is_set_and_taken_away(
    new_shop: Path, typed: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    typed += [PHRASE, f"{PHRASE} "]
    assert main(["serve", str(new_shop), "--set-pass-phrase"]) == 0
    kept = kept_pass_phrase(new_shop)
    assert kept is not None and opens(kept, PHRASE)
    assert main(["serve", str(new_shop), "--remove-pass-phrase"]) == 0
    assert kept_pass_phrase(new_shop) is None
    assert main(["serve", str(new_shop), "--remove-pass-phrase"]) == 0
    said = capsys.readouterr()
    assert "No pass-phrase was set." in said.out and PHRASE not in said.out + said.err


@pytest.mark.parametrize(
    ("keys", "said"), [((PHRASE, PHRASE[:-1]), "not the same"), (("too short",) * 2, "12 to 200 characters")]
)
def test_what_is_not_right_changes_nothing(
    new_shop: Path,
    typed: list[str],
    capsys: pytest.CaptureFixture[str],
    keys: Sequence[str],
    said: str,
) -> None:
    typed += keys
    refused = _refused(capsys, str(new_shop), "--set-pass-phrase")
    assert said in refused and not any(key in refused for key in keys)
    assert kept_pass_phrase(new_shop) is None


def test_it_is_typed_on_a_terminal(
    new_shop: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stdin, "isatty", lambda: False)
    assert "typed on a terminal" in _refused(capsys, str(new_shop), "--set-pass-phrase")


def test_nothing_is_shown_on_a_real_terminal(new_shop: Path) -> None:
    command = [sys.executable, "-m", "kiosk", "serve", str(new_shop), "--set-pass-phrase"]
    ours, theirs = pty.openpty()
    process = subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True)
    os.close(theirs)
    seen = b""
    for prompt in (b"New pass-phrase: ", b"The same once more: "):
        while prompt not in seen:
            seen += os.read(ours, 1000)
        os.write(ours, PHRASE.encode() + b"\n")
    while b"Saved." not in seen:
        seen += os.read(ours, 1000)
    assert process.wait(60) == 0
    os.close(ours)
    assert PHRASE.encode() not in seen
    kept = kept_pass_phrase(new_shop)
    assert kept is not None and opens(kept, PHRASE)
