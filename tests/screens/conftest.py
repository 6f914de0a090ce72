"""The screens are tried at one moment in one time zone."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.conftest import shops_read_once
from tests.driver import painted_when_asked, stylesheets_parsed_once
from tests.screens.moment import fixed_zone, forecasts_kept, make_played_shop


@pytest.fixture(autouse=True)
def zone() -> Iterator[None]:
    """The fixed time zone."""
    with fixed_zone():
        yield


@pytest.fixture(autouse=True, scope="package")
def shops() -> Iterator[None]:
    """Shops that were changed alike are read once."""
    with shops_read_once():
        yield


@pytest.fixture(autouse=True)
def painting() -> Iterator[None]:
    """What nobody looks at is not painted. What is painted at a press, ``test_repaint.py`` tries, and whether
    it can be, whatever is pressed, ``tests/faults/test_random_input.py``."""
    with painted_when_asked():
        yield


@pytest.fixture(autouse=True, scope="package")
def style_sheets() -> Iterator[None]:
    """Style sheets are parsed once."""
    with stylesheets_parsed_once():
        yield


@pytest.fixture(autouse=True)
def forecasts() -> Iterator[None]:
    """The forecast of the example's 217 parts is worked out once: whole, where the first screen wants it."""
    with forecasts_kept():
        yield


@pytest.fixture(scope="session")
def shop_at_the_moment(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example shop as its history leaves it at the moment, made once."""
    folder = tmp_path_factory.mktemp("moment") / "shop"
    with fixed_zone():
        make_played_shop(folder)
    return folder


@pytest.fixture
def demo_shop(shop_at_the_moment: Path, tmp_path: Path) -> Path:
    """A copy of the example shop in mid-work."""
    folder = tmp_path / "shop"
    shutil.copytree(shop_at_the_moment, folder)
    return folder
