"""The pass-phrase: kept as a hash alone, compared as letters, and never opened by a damaged file."""

import stat
import unicodedata
from pathlib import Path

import pytest

from kiosk.tablet.pass_phrase import (
    LONGEST,
    PASS_PHRASE_FILE,
    NoPassPhrase,
    kept_pass_phrase,
    opens,
    remove_pass_phrase,
    set_pass_phrase,
)

PHRASE = "fünf Rippen und ein Holm"


def test_only_its_hash_is_kept_and_only_its_owner_can_read_it(tmp_path: Path) -> None:
    assert kept_pass_phrase(tmp_path) is None
    set_pass_phrase(tmp_path, PHRASE)
    file = tmp_path / PASS_PHRASE_FILE
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert file.read_text().startswith("scrypt:") and "Rippen" not in file.read_text()
    assert [one.name for one in tmp_path.iterdir()] == [PASS_PHRASE_FILE]


def test_the_right_one_opens_and_no_other(tmp_path: Path) -> None:
    set_pass_phrase(tmp_path, PHRASE)
    kept = kept_pass_phrase(tmp_path)
    assert kept is not None
    assert opens(kept, PHRASE)
    assert opens(kept, f" {unicodedata.normalize('NFD', PHRASE)}\n")  # a keyboard that sends accents apart
    for wrong in ("", PHRASE[:-1], PHRASE.lower(), PHRASE + "s", "x" * 100_000, "\ud800"):
        assert not opens(kept, wrong)


def test_a_new_one_takes_the_place_of_the_old_one(tmp_path: Path) -> None:
    set_pass_phrase(tmp_path, PHRASE)
    first = kept_pass_phrase(tmp_path)
    set_pass_phrase(tmp_path, PHRASE)
    again = kept_pass_phrase(tmp_path)
    assert first is not None and again is not None and first != again  # another salt
    set_pass_phrase(tmp_path, "another one of them")
    now = kept_pass_phrase(tmp_path)
    assert now is not None and not opens(now, PHRASE)
    assert remove_pass_phrase(tmp_path) and not remove_pass_phrase(tmp_path)
    assert kept_pass_phrase(tmp_path) is None


@pytest.mark.parametrize("phrase", ["", "eleven char", "   eleven char   ", "x" * (LONGEST + 1)])
def test_one_that_is_too_short_or_too_long_is_refused_and_not_repeated(tmp_path: Path, phrase: str) -> None:
    with pytest.raises(NoPassPhrase) as refused:
        set_pass_phrase(tmp_path, phrase)
    assert "12 to 200 characters" in str(refused.value)
    assert not phrase.strip() or phrase.strip() not in str(refused.value)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("damaged", [b"", b"\x00" * 40, b"four flutes and a rib\n", b"scrypt:1:2\n"])
def test_a_damaged_file_opens_nothing_and_is_told(tmp_path: Path, damaged: bytes) -> None:
    (tmp_path / PASS_PHRASE_FILE).write_bytes(damaged)
    with pytest.raises(NoPassPhrase, match="holds no pass-phrase; set it anew"):
        kept_pass_phrase(tmp_path)


def test_one_that_lost_its_end_opens_nothing_either(tmp_path: Path) -> None:
    set_pass_phrase(tmp_path, PHRASE)
    file = tmp_path / PASS_PHRASE_FILE
    whole = file.read_text()
    for kept in (0, 5, 20, 70, len(whole) - 4, len(whole) - 2):
        file.write_text(whole[:kept])
        with pytest.raises(NoPassPhrase, match="holds no pass-phrase"):
            kept_pass_phrase(tmp_path)
    file.write_text(whole.strip() + "00\n")
    with pytest.raises(NoPassPhrase, match="holds no pass-phrase"):
        kept_pass_phrase(tmp_path)


def test_a_folder_in_its_place_is_one_line(tmp_path: Path) -> None:
    (tmp_path / PASS_PHRASE_FILE).mkdir()
    with pytest.raises(NoPassPhrase, match="cannot be read"):
        kept_pass_phrase(tmp_path)
    with pytest.raises(NoPassPhrase, match="cannot be removed"):
        remove_pass_phrase(tmp_path)
    with pytest.raises(NoPassPhrase, match="cannot be written"):
        set_pass_phrase(tmp_path, PHRASE)
    assert [one.name for one in tmp_path.iterdir()] == [PASS_PHRASE_FILE]
