"""What is left outside the line is on the cutting list, on every side of the blank."""

from pathlib import Path

import pytest

from kiosk.shop.blanks import blank_of
from kiosk.shop.figures import Figures
from kiosk.shop.load import load
from kiosk.shop.parts import PartKind
from tests.record.moments import brambling
from tests.shop.test_words_of_a_finish import shop_file


def with_margin(margin: str | None, name: str = "rib-clip") -> tuple[Figures, PartKind]:
    """The example shop's figures with another margin at one kind."""
    shop = brambling()
    own = {key: value for key, value in shop.kinds[name].dimensions.items() if key != "cut_margin"}
    own |= {} if margin is None else {"cut_margin": margin}
    kind = shop.kinds[name].model_copy(update={"dimensions": own})
    return Figures({**shop.kinds, name: kind}, shop.folder), kind


@pytest.mark.parametrize(
    ("margin", "inches"), [("1/32", 1 / 32), (".1", 0.1), ("2 mm", 2 / 25.4), ("0", 0.0)]
)
def test_it_is_added_on_every_side(margin: str, inches: float) -> None:
    bare, wide = blank_of(*with_margin(None)), blank_of(*with_margin(margin))
    assert wide.length_in - bare.length_in == pytest.approx(2 * inches)
    assert wide.width_in - bare.width_in == pytest.approx(2 * inches)
    assert (wide.alloy, wide.thickness_in, wide.grain) == (bare.alloy, bare.thickness_in, bare.grain)


def test_a_rib_has_its_trim_on_the_list() -> None:
    """A strip of the bare blank's width would leave nothing to trim along both flanges."""
    shop = brambling()
    for name in ("nose-rib", "main-rib", "trailing-rib", "tailplane-rib"):
        kind = shop.kinds[name]
        blank = blank_of(shop.figures, kind)
        for size, laid_out in ((blank.length_in, "blank_length"), (blank.width_in, "blank_width")):
            assert size == pytest.approx(shop.figures.number(kind, laid_out, "in") + 1 / 16), (name, laid_out)


@pytest.mark.parametrize("margin", ["-1/32", "1.5", "wide"])
def test_a_margin_that_cannot_be_is_a_fault_where_it_is_given(tmp_path: Path, margin: str) -> None:
    path = shop_file(tmp_path / "shop")
    text = path.read_text()
    at = text.index("cut_margin: 1/32", text.index("- id: nose-rib\n"))
    path.write_text(f"{text[:at]}cut_margin: {margin}{text[at + len('cut_margin: 1/32') :]}")
    faults = [str(fault) for fault in load(path.parent, lint=True).errors]
    assert faults and all(f"shop.yaml:{text[:at].count(chr(10)) + 1}:" in one for one in faults), faults
