"""Every screen and dialog looks as it did, at three sizes. Renew what is meant to look otherwise:

``python -m tests.screens.renew_pictures``, then read the difference before it is committed.
"""

import difflib
from pathlib import Path

import pytest

from tests.screens.scenes import SCENES, Scene, picture

KEPT = Path(__file__).parent / "pictures"


def kept(name: str) -> Path:
    """Where the picture of a scene is kept."""
    return KEPT / f"{name}.txt"


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.name)
def test_the_screen_looks_as_it_did(scene: Scene, shop_at_the_moment: Path, tmp_path: Path) -> None:
    path = kept(scene.name)
    before = path.read_text(encoding="utf-8") if path.exists() else ""
    now = picture(scene, shop_at_the_moment, tmp_path)
    changed = difflib.unified_diff(
        before.splitlines(), now.splitlines(), "as it was", "as it is", lineterm="", n=4
    )
    assert before == now, "\n".join(
        [
            f"{scene.name} looks otherwise:",
            *changed,
            f"Meant? python -m tests.screens.renew_pictures {scene.name}",
        ]
    )


def test_no_picture_is_kept_of_a_scene_that_is_no_more() -> None:
    assert {path.stem for path in KEPT.iterdir()} == {scene.name for scene in SCENES}
