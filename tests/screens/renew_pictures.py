"""Renew the kept pictures: ``python -m tests.screens.renew_pictures [scene …]``. Then read the diff."""

import sys
import tempfile
from pathlib import Path

from tests.screens.moment import fixed_zone, make_played_shop
from tests.screens.scenes import SCENES, picture
from tests.screens.test_pictures import KEPT, kept


def main(names: list[str]) -> None:
    """Make the pictures of some scenes again, or of all, and drop those of scenes that are no more."""
    unknown = set(names) - {scene.name for scene in SCENES}
    if unknown:
        sys.exit(f"there is no scene {', '.join(sorted(unknown))}; use one of the names in scenes.py")
    KEPT.mkdir(exist_ok=True)
    with fixed_zone(), tempfile.TemporaryDirectory() as folder:
        shop = Path(folder) / "shop"
        make_played_shop(shop)
        for scene in SCENES:
            if names and scene.name not in names:
                continue
            into = Path(folder) / scene.name
            into.mkdir()
            kept(scene.name).write_text(picture(scene, shop, into), encoding="utf-8")
    for path in KEPT.glob("*.txt"):
        if path.stem not in {scene.name for scene in SCENES}:
            path.unlink()


if __name__ == "__main__":
    main(sys.argv[1:])
