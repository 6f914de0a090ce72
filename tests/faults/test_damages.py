"""One damage to a record at a time; by hand: ``python -m tests.faults.damages``."""

import random
from pathlib import Path

import pytest

from kiosk.record.head import HeadFile, head_path
from tests.faults.damages import (
    BESIDE,
    DB,
    FAMILIES,
    Bases,
    Family,
    beside,
    judge,
    make_bases,
    plan,
    read_bases,
)
from tests.faults.not_yet import CHAIN_ONLY, NOT_YET
from tests.faults.oracle import Read

DAMAGES = 200


@pytest.fixture(scope="module")
def bases(tmp_path_factory: pytest.TempPathFactory) -> Bases:
    return make_bases(tmp_path_factory.mktemp("bases"), seed=1)


@pytest.fixture(scope="module")
def right(bases: Bases, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Read]:
    return read_bases(bases, tmp_path_factory.mktemp("read"))


def told_or_not_yet(family: Family) -> object:
    """A family's damages are told, or known not to be: then each of them goes wrong, and the test says so."""
    if family.name not in NOT_YET:
        return pytest.param(family, id=family.name)
    known = pytest.mark.xfail(reason=NOT_YET[family.name], strict=True)
    return pytest.param(family, id=family.name, marks=known)


@pytest.mark.parametrize("family", [told_or_not_yet(one) for one in FAMILIES])
def test_a_damage_leaves_the_state_as_it_was_or_is_told_in_one_line(
    family: Family, bases: Bases, right: dict[str, Read], tmp_path: Path
) -> None:
    if family.name in BESIDE and not beside(bases.closed):
        pytest.skip("nothing is kept beside the record")
    luck = random.Random(family.name)
    for _ in range(plan(DAMAGES)[family]):
        judged = judge(family, bases, right[family.base], luck, tmp_path / "damaged")
        only_the_chain = judged.outcome == "chain" and family.name in CHAIN_ONLY
        assert not judged.wrong or only_the_chain, (judged.outcome, judged.said)


def test_the_head_stands_beside_what_is_damaged(bases: Bases, right: dict[str, Read]) -> None:
    head = HeadFile(head_path(bases.killed / DB)).read()
    assert head is not None
    assert head.seq == right["killed"].state.seq  # else a damage to the last event could be told by nothing


def test_two_hundred_damages_are_tried() -> None:
    assert sum(plan(DAMAGES).values()) >= 200
    names = [family.name for family in FAMILIES]
    assert len(set(names)) == len(names) and set(names) >= CHAIN_ONLY
