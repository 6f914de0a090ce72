"""A shipped procedure under a new id, and shops that name it by the old one."""

import shutil
from pathlib import Path

import pytest

from kiosk.record.rename import renamed_since
from kiosk.record.state import PartState, State
from kiosk.shop.data import data_folder
from kiosk.shop.faults import ShopFaults
from kiosk.shop.kept import KEPT_FILE, open_shop
from kiosk.shop.load import load, load_shop

SHIPPED = data_folder("procedures") / "assembly" / "rib-to-spar.yaml"
# The steps of nose-to-spar as it was last shipped: parts stand at them.
STEPS_BEFORE = (
    *("lay-out-row", "clamp-up", "drill-pilot", "drill-size", "take-apart", "deburr-holes"),
    *("touch-bare", "pin-again", "practice-rivet", "rivet-row"),
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The example with its routes written before the procedure got its new id."""
    made = tmp_path / "shop"
    shutil.copytree(data_folder("scenarios") / "brambling", made, ignore=shutil.ignore_patterns(".cache"))
    path = made / "shop.yaml"
    path.write_text(path.read_text().replace("procedure: rib-to-spar", "procedure: nose-to-spar", 1))
    return made


def started(mark: str) -> State:
    """A record in which a joint stands at a step of the procedure's former id."""
    return State(parts={mark: PartState(mark, placed={"nose-to-spar": "clamp-up"})})


def test_a_route_under_the_former_id_goes_on_and_check_says_what_to_write(folder: Path) -> None:
    shop = load_shop(folder)
    assert shop.kinds["nose-joint"].procedures == ("replace-rivet", "rib-to-spar")
    (warning,) = load(folder, lint=True).faults
    assert warning.severity == "warning"
    assert "'nose-to-spar' is called 'rib-to-spar' now; write rib-to-spar" in str(warning)
    line = (folder / "shop.yaml").read_text().splitlines()[warning.line - 1]
    assert "procedure: nose-to-spar" in line


def test_it_goes_on_at_the_second_start_too(folder: Path) -> None:
    first = open_shop(folder)
    assert (folder / KEPT_FILE).is_file()
    second = open_shop(folder)
    assert second.kinds == first.kinds
    assert second.kinds["nose-joint"].procedures == ("replace-rivet", "rib-to-spar")


def test_what_is_recorded_under_the_former_id_follows(folder: Path) -> None:
    for shop in (load_shop(folder), load_shop(data_folder("scenarios") / "brambling")):
        renamed = renamed_since(shop, started("NJ-01"))
        assert renamed is not None and renamed.procedures == {"nose-to-spar": "rib-to-spar"}
        now = {step.id for step in shop.procedures["rib-to-spar"].steps}
        assert now.issuperset(STEPS_BEFORE)


def test_a_shops_own_procedure_of_that_id_stays_its_own(folder: Path) -> None:
    own = SHIPPED.read_text().replace("id: rib-to-spar\nrenamed_from: [nose-to-spar]\n", "id: nose-to-spar\n")
    (folder / "procedures").mkdir(exist_ok=True)
    (folder / "procedures" / "nose-to-spar.yaml").write_text(own)
    assert load(folder, lint=True).faults == []
    for shop in (load_shop(folder), open_shop(folder), open_shop(folder)):
        assert shop.kinds["nose-joint"].procedures == ("replace-rivet", "nose-to-spar")
        assert shop.kinds["trailing-joint"].procedures == ("replace-rivet", "rib-to-spar")
        assert renamed_since(shop, started("NJ-01")) is None


def test_a_clip_of_one_leg_is_asked_for_its_second(folder: Path) -> None:
    path = folder / "shop.yaml"
    text = path.read_text().replace("      second_leg: 3/4\n", "").replace('"leg, second_leg"', '"leg, leg"')
    path.write_text(text)
    with pytest.raises(ShopFaults) as told:
        load_shop(folder)
    lines = str(told.value).splitlines()
    assert lines and all("add second_leg: … under its dimensions" in line for line in lines)
