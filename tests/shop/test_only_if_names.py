"""A dimension that no part kind has, under ``only_if`` of a check or a number, is warned of at its line."""

from pathlib import Path

import pytest

from kiosk.shop.data import data_folder
from kiosk.shop.load import load
from tests.shop.test_words_of_a_finish import shop_file

PRIME = "clean-and-prime"


def warnings_with(tmp_path: Path, old: str, new: str) -> list[str]:
    """What `kiosk check` says of the example shop with one text of priming changed."""
    path = shop_file(tmp_path / "shop")
    (shipped,) = data_folder("procedures").rglob(f"{PRIME}.yaml")
    text = shipped.read_text()
    assert old in text
    own = path.parent / "procedures" / shipped.name
    own.parent.mkdir()
    own.write_text(text.replace(old, new, 1))
    return [str(fault) for fault in load(path.parent, lint=True).faults]


@pytest.mark.parametrize(
    ("old", "new", "name"),
    [
        ("only_if: chromate_to_read", "only_if: chromat_to_read", "chromat_to_read"),
        ("only_if: chromate_to_read", "only_if: yes", "yes"),
        ("{dimension: thinner, only_if: thinner}", "{dimension: thinner, only_if: thiner}", "thiner"),
        (
            "figure: pour_base, only_if: blank_length",
            "figure: pour_base, only_if: blank_lenght",
            "blank_lenght",
        ),
    ],
)
def test_a_check_or_a_number_that_can_never_be_shown_is_warned_of(
    tmp_path: Path, old: str, new: str, name: str
) -> None:
    """Else the question of the chromate is dropped by a slip of the finger, and nobody is told."""
    (warning,) = warnings_with(tmp_path, old, new)
    assert f"never shown: no part kind here has {name!r}" in warning and f"{PRIME}.yaml:" in warning


def test_what_some_kind_has_is_not_warned_of(tmp_path: Path) -> None:
    assert warnings_with(tmp_path, "only_if: chromate_to_read", "only_if: flutes") == []


def test_a_wait_for_a_step_that_a_kind_leaves_out_needs_one_after_it(tmp_path: Path) -> None:
    """The wait goes to the next step that the kind has; where there is none it would never end there."""
    last = "  - id: rewrite-mark\n"
    polished = last + "    only_if: polish\n"
    film = "  - id: film\n"
    (shipped,) = data_folder("procedures").rglob(f"{PRIME}.yaml")
    assert shipped.read_text().count(last) == shipped.read_text().count(film) == 1
    path = shop_file(tmp_path / "shop")
    own = path.parent / "procedures" / shipped.name
    own.parent.mkdir()

    def said_of(text: str) -> list[str]:
        own.write_text(text)
        faults = [str(fault) for fault in load(path.parent, lint=True).faults]
        return [fault for fault in faults if "nor any after it" in fault]

    text = shipped.read_text().replace(film, film + "    only_if: polish\n")
    assert said_of(text) == []  # the mark is written again on every kind, after it
    (warning,) = said_of(text.replace(last, polished))
    assert "has no step 'film', nor any after it, to end 'primer drying before handling'" in warning
    number = (
        text.replace(last, polished)
        .splitlines()
        .index(
            "      - {what: primer drying before handling, must_pass: dry_to_handle, before: film, "
            "from_check: read-data-sheet/dry}"
        )
    )
    assert f"{PRIME}.yaml:{number + 1}" in warning


def test_a_kind_that_leaves_the_waiting_step_out_too_is_not_warned_of(tmp_path: Path) -> None:
    last, leftovers = "  - id: rewrite-mark\n", "  - id: leftovers\n"
    film, polish = "  - id: film\n", "    only_if: polish\n"
    (shipped,) = data_folder("procedures").rglob(f"{PRIME}.yaml")
    path = shop_file(tmp_path / "shop")
    own = path.parent / "procedures" / shipped.name
    own.parent.mkdir()
    text = shipped.read_text()
    for step in (last, leftovers, film):
        assert text.count(step) == 1
        text = text.replace(step, step + polish)
    own.write_text(text)
    faults = [str(fault) for fault in load(path.parent, lint=True).faults]
    assert any("is never reached" in fault for fault in faults)
    assert not any("nor any after it" in fault for fault in faults)
