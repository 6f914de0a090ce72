"""Spoilt files, seventy of them: each is said in plain words, and none of them brings the reader down."""

from pathlib import Path

import pytest

from kiosk.shop.load import load
from tests.shop.mutations import JARGON, mutations, ours, shop_files

SEED = 9
EACH = {"shop.yaml": 36, "clean-and-prime.yaml": 14, "rib-fluting.yaml": 10, "hole-dies.yaml": 10}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("mutations") / "shop"
    shop_files(folder)
    return folder


@pytest.mark.parametrize("name", EACH)
def test_a_spoilt_file_is_said_in_plain_words(shop: Path, name: str) -> None:
    path = next(shop.rglob(name))
    before = path.read_text(encoding="utf-8")
    said = 0
    try:
        for one in mutations(before, EACH[name], SEED):
            path.write_text(one.text, encoding="utf-8")
            for fault in load(shop, lint=True).faults:
                said += 1
                assert not JARGON.search(ours(str(fault))), f"{one.how} at line {one.line}: {fault}"
                assert "\n" not in str(fault) and fault.mend and fault.line >= 1
    finally:
        path.write_text(before, encoding="utf-8")
    assert said > EACH[name] / 2, "hardly anything was spoilt"


def test_jargon_is_known_when_it_is_seen() -> None:
    for line in (
        "tuple should have at least 1 item after validation, not 0",
        "Input should be a valid string",
        "1 validation error for ShopFile",
        "'NoneType' object is not iterable",
        "Datetimes provided to dates should have zero time",
    ):
        assert JARGON.search(line.replace("'", "").replace("Datetimes", "datetime")), line
    assert not JARGON.search(ours("shop.yaml:3:1: 'str' is not known here; did you mean 'string'?"))
