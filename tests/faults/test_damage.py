"""Bytes of the record changed at random: it opens in the right state or says in one line that it cannot."""

import random
import shutil
from pathlib import Path

from kiosk.errors import KioskError
from kiosk.record.journal import Record

FLIPS = 150
FIRST_PAGE = 4096  # bytes: SQLite's header and the names of the tables (sqlite.org/fileformat2.html)


def opened_after(path: Path, seed: int, within: int | None = None) -> tuple[str, object]:
    """How the record opens with one bit wrong, among its first bytes if told: the state, or what is said."""
    random_numbers = random.Random(seed)
    damaged = bytearray(path.read_bytes())
    place = random_numbers.randrange(within or len(damaged))
    damaged[place] ^= 1 << random_numbers.randrange(8)
    copy = path.with_name(f"damaged-{seed}.db")
    copy.write_bytes(damaged)
    try:
        record = Record(copy)
    except KioskError as error:
        return "said", str(error)
    state = record.state
    record.close()
    return "opened", state


def test_one_wrong_bit_never_gives_another_state_and_never_a_traceback(
    demo_shop: Path, tmp_path: Path
) -> None:
    path = tmp_path / "record.db"
    shutil.copy(demo_shop / "record.db", path)
    whole = Record(path)
    right = whole.state
    whole.journal.write_snapshot(right)  # as it stands after every closing: all that follows is checked by it
    whole.journal.close()
    anywhere = [opened_after(path, seed) for seed in range(FLIPS)]
    in_the_tables = [opened_after(path, seed, FIRST_PAGE) for seed in range(FLIPS)]
    found = anywhere + in_the_tables
    assert all(state == right for how, state in found if how == "opened")
    said = [str(text) for how, text in found if how == "said"]
    assert said
    assert all("\n" not in text and text.endswith(("restore a copy", "copy of the record")) for text in said)
    # Most damage is in what the snapshot holds already.
    assert sum(how == "said" for how, _ in anywhere) < FLIPS // 3


def test_without_a_snapshot_damage_to_an_event_that_cannot_be_read_is_told_with_its_number(
    demo_shop: Path, tmp_path: Path
) -> None:
    path = tmp_path / "record.db"
    shutil.copy(demo_shop / "record.db", path)
    whole = Record(path)
    right = whole.state
    whole.journal.drop_snapshot()
    whole.journal.close()
    told = 0
    for seed in range(FLIPS):
        how, what = opened_after(path, seed)
        if how == "said":
            assert "newer kiosk" not in str(what), what
            told += "event " in str(what)
        elif what != right:
            # A wrong figure that still reads as one: only the chain of hashes can tell.
            damaged = Record(path.with_name(f"damaged-{seed}.db"))
            assert damaged.journal.first_bad_event() is not None
            damaged.close()
    assert told > 5
