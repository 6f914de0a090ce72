"""Every way round that somebody tried is answered in words, and records nothing but a PIN's try."""

import shutil
from pathlib import Path

import pytest

from kiosk.bench import Bench
from tests.record.ways_round import BUILDER, PIN, WAYS, Way, answered, make


@pytest.fixture(scope="module")
def guarded_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shop that all try, made once."""
    return make(tmp_path_factory.mktemp("guarded") / "shop")


@pytest.mark.parametrize("way", WAYS, ids=lambda way: f"{way.guards}: {way.tried} ({way.when.split()[0]})")
def test_a_way_round_is_refused(way: Way, guarded_shop: Path, tmp_path: Path) -> None:
    assert way.refused
    assert way.refused in answered(way, _copy(guarded_shop, tmp_path / "shop"))


def _copy(shop: Path, folder: Path) -> Path:
    return Path(shutil.copytree(shop, folder))


def test_what_is_as_it_should_be_is_let_through(guarded_shop: Path, tmp_path: Path) -> None:
    def looked(bench: Bench) -> None:
        bench.come("odile")
        bench.hold_look(["FB-NR"], "odile", "the lines agree")
        bench.start(["FB-NR"], "form-block", "measure-pattern")

    way = Way("hold", BUILDER, "Another adult looks", looked, "")
    assert answered(way, _copy(guarded_shop, tmp_path / "shop")) == ""
    with_pin = Way("PIN", BUILDER, "The right PIN", lambda bench: bench.hand_over("wren", PIN), "")
    assert answered(with_pin, _copy(guarded_shop, tmp_path / "other")) == ""
