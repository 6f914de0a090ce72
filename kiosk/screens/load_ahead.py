"""Loads, while nobody presses anything, what the start has left for later.

A start is quick because it loads no more than the first screen wants. Without this the first press that
begins a step would pay for it: a quarter of a second for its screen, the drawing and the layout of the rib.
"""

import gc
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import kiosk

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
        try:
            name = next(self._names, None)
            if name is not None:
                import_module(name)
                return True
        except Exception:
            # Half a file after a power cut, or another package's own settings: whoever wants it is told. Here
            # nobody does, and a screen that nobody touches is not to fall for it.
            return True
        gc.collect()
        gc.freeze()
        return False


def _names() -> Iterator[str]:
    yield from SOON
    for room in ROOMS:
        folder = Path(kiosk.__file__).parent.joinpath(*room.split(".")[1:])
        for file in sorted(folder.rglob("[a-z]*.py")):
            yield ".".join((room, *file.relative_to(folder).with_suffix("").parts))
