"""The plans are tried on shops of which many are changed alike."""

from collections.abc import Iterator

import pytest

from tests.conftest import shops_read_once


@pytest.fixture(autouse=True, scope="package")
def shops() -> Iterator[None]:
    """Shops that were changed alike are read once."""
    with shops_read_once():
        yield
