"""Loads, while nobody presses anything, what the start has left for later.

A start is quick because it loads no more than the first screen wants. Without this the first press that
begins a step would pay for it: a quarter of a second for its screen, the drawing and the layout of the rib,
and half as much for pydantic, by which entries of the record are read and written.
"""

import gc
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from threading import Thread

import kiosk

# What takes long, the last by looking for the machine's fonts where it has not done so yet: beside the
# screen, which hears presses meanwhile.
BESIDE = ("kiosk.record.rows:get_ready", "numpy", "shapely", "ezdxf")
SOON = (
    "kiosk.screens.walk",
    *BESIDE,
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
    """What is still to be loaded, a module at a time, or got ready by a function of one; the likeliest to be
    wanted first."""

    def __init__(self) -> None:
        self._names = _names()
        self._beside: Thread | None = None

    def load_one(self) -> bool:
        """Load the next module, unless one is still being loaded beside; False when there is none any more.

        What came in stays for good, so it is then left out of every later look for garbage.
        """
        if self._beside is not None and self._beside.is_alive():
            return True
        name = next(self._names, None)
        if name is None:
            gc.collect()
            gc.freeze()
            return False
        if name in BESIDE:
            self._beside = Thread(target=_load, args=(name,), daemon=True)
            self._beside.start()
        else:
            _load(name)
        return True


def _load(name: str) -> None:
    module, _, function = name.partition(":")
    try:
        loaded = import_module(module)
        if function:
            getattr(loaded, function)()
    except Exception:
        # Half a file after a power cut, or another package's own settings: whoever wants it is told. Here
        # nobody does, and a screen that nobody touches is not to fall for it.
        return


def _names() -> Iterator[str]:
    yield from SOON
    for room in ROOMS:
        folder = Path(kiosk.__file__).parent.joinpath(*room.split(".")[1:])
        for file in sorted(folder.rglob("[a-z]*.py")):
            yield ".".join((room, *file.relative_to(folder).with_suffix("").parts))
