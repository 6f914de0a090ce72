"""Loads, while nobody presses anything, what the start has left for later.

A start is quick because it loads no more than the first screen wants. Without this the first press that
begins a step would pay for it: a quarter of a second for its screen, the drawing and the layout of the rib.
"""

import gc
import pkgutil
from collections.abc import Iterator
from contextlib import suppress
from importlib import import_module

SOON = (
    "kiosk.screens.walk",
    "numpy",  # these three are what takes long of the next, each in its turn
    "shapely",
    "ezdxf",
    "kiosk.numbers.rib",
    "kiosk.screens.part",
    "kiosk.screens.spare",
)
ROOMS = (
    "kiosk.screens",
    "kiosk.views",
    "kiosk.drawing",
    "kiosk.numbers",
    "kiosk.shop",
    "kiosk.record",
    "kiosk.planning",
)
QUIET_S = 0.5  # since the last press
EVERY_S = 0.05


class LoadAhead:
    """What is still to be loaded, a module at a time; the likeliest to be wanted first."""

    def __init__(self) -> None:
        self._names = _names()

    def load_one(self) -> bool:
        """Load the next module; False when there is none any more.

        What came in stays for good, so it is then left out of every later look for garbage.
        """
        for name in self._names:
            with suppress(ImportError):  # whoever wants it is told
                import_module(name)
            return True
        gc.collect()
        gc.freeze()
        return False


def _names() -> Iterator[str]:
    yield from SOON
    for room in ROOMS:
        for module in pkgutil.walk_packages(import_module(room).__path__, f"{room}."):
            yield module.name
