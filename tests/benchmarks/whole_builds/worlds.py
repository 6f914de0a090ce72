"""The worlds that whole builds are made in: shop folders frozen as data, laid over one another."""

import contextlib
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

WORLDS_FOLDER = Path(__file__).parent.parent / "worlds"


@dataclass(frozen=True)
class World:
    """One world: its folders, each laid over the one before; and what keeps up the builder's spirits."""

    name: str
    folders: tuple[str, ...]
    proud_of: tuple[str, ...]  # part kinds: the day on which the first of these is finished is told
    most_sittings: int = 1500


_RIBS = ("nose-rib", "main-rib", "trailing-rib", "tailplane-rib")
WORLDS: Mapping[str, World] = {
    "a": World("a", ("a",), _RIBS, 700),
    "b": World("b", ("a", "b"), _RIBS),
    "c": World("c", ("c",), ("frame",)),
}


@contextlib.contextmanager
def shop_folder_of(world: World) -> Iterator[Path]:
    """A shop folder of a world, for as long as it is wanted."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / world.name
        for one in world.folders:
            shutil.copytree(WORLDS_FOLDER / one, folder, dirs_exist_ok=True)
        yield folder
