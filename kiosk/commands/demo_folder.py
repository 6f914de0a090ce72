"""Where the demo shop is kept between runs, and how it is made."""

import os
from pathlib import Path

from kiosk.commands.make_shop import make_shop

DEMO = "brambling"


def demo_folder() -> Path:
    """Where the demo shop is kept between runs."""
    base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "bench-kiosk" / "demo"


def make_demo(folder: Path) -> None:
    """Make the demo shop where there is none yet. Raises Misused when it cannot be made."""
    if not (folder / "shop.yaml").exists():
        make_shop(folder, DEMO, with_history=True)
