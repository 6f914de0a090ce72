"""A rib that begins at the nose has no front end to measure, and is asked of none."""

from pathlib import Path

from kiosk.shop.load import load, load_shop
from tests.shop.test_words_of_a_finish import shop_file


def test_a_rib_from_the_nose_is_asked_no_front_height(tmp_path: Path) -> None:
    path = shop_file(tmp_path / "shop")
    text = path.read_text()
    at = text.index("front_station: .025", text.index("- id: nose-rib\n"))
    path.write_text(f"{text[:at]}front_station: nose{text[at + len('front_station: .025') :]}")
    assert [str(fault) for fault in load(path.parent, lint=True).errors] == []
    shop = load_shop(path.parent)
    asked = {}
    for mark in ("NR-01", "MR-01"):
        _, step = shop.find_step("rib-check", "outline", mark)
        assert step is not None
        asked[mark] = [check.id for check in step.checks]
    assert "front-height" not in asked["NR-01"] and "rear-height" in asked["NR-01"]
    assert "front-height" in asked["MR-01"]
    assert shop.figures.number(shop.kinds["nose-rib"], "front_height", "in") == 0
