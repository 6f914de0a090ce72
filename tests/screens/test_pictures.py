"""Every screen and dialog looks as it did, at three sizes. Renew what is meant to look otherwise:

``python -m tests.screens.renew_pictures``, then read the difference before it is committed.

The way there is the same for whatever is held of every scene, so it is gone once: in accented letters, which
are as wide as those of English, with scans at its end.
"""

import difflib
from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from kiosk.screens.app import KioskApp
from tests.driver import send_scan
from tests.screens.left_in_english import left_in_english, recorded_in, watch_shown
from tests.screens.scenes import SCENES, Scene, picture
from tests.translated import in_accented_letters, plain

KEPT = Path(__file__).parent / "pictures"


def kept(name: str) -> Path:
    """Where the picture of a scene is kept."""
    return KEPT / f"{name}.txt"


@pytest.fixture(scope="module")
def accented_letters(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with in_accented_letters(tmp_path_factory.mktemp("language")):
        yield


@pytest.mark.usefixtures("accented_letters")
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.name)
def test_the_screen_looks_as_it_did_leaves_nothing_in_english_and_records_no_scan(
    scene: Scene, shop_at_the_moment: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = kept(scene.name)
    before = path.read_text(encoding="utf-8") if path.exists() else ""
    shown = watch_shown(monkeypatch)
    scans: list[tuple[str, str, int, str]] = []

    async def scan(app: KioskApp, pilot: Pilot[None]) -> None:
        at = app.bench.state.seq
        for text in ("NR-04", "1/64", "SH-032-A", "no such part", "2468"):
            for how in ("enter", "nothing", "paste"):
                await send_scan(app, pilot, text, how)
                scans.append((text, how, app.bench.state.seq - at, app.typed))

    now = picture(scene, shop_at_the_moment, tmp_path, scan)
    assert plain(before) == before, "this scene has accented letters of its own"
    changed = difflib.unified_diff(
        before.splitlines(), plain(now).splitlines(), "as it was", "as it is", lineterm="", n=4
    )
    assert before == plain(now), "\n".join(
        [
            f"{scene.name} looks otherwise:",
            *changed,
            f"Meant? python -m tests.screens.renew_pictures {scene.name}",
        ]
    )

    assert any(plain(text) != text for text in shown)
    recorded = "\n".join(recorded_in(folder) for folder in tmp_path.iterdir())
    left = {
        text: phrases
        for text in sorted(shown)
        if (phrases := [one for one in left_in_english(text) if one not in recorded])
    }
    assert not left

    assert len(scans) == 15
    assert not [one for one in scans if one[2] or one[3]]


def test_no_picture_is_kept_of_a_scene_that_is_no_more() -> None:
    assert {path.stem for path in KEPT.iterdir()} == {scene.name for scene in SCENES}
