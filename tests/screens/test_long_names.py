"""However long the names of parts and people are: each row stands whole, or ends in an ellipsis."""

import asyncio
import re
import shutil
import textwrap
from pathlib import Path

import pytest
from rich.cells import cell_len
from textual.pilot import Pilot
from textual.widgets import Static

from kiosk.bench import Bench
from kiosk.screens.app import KioskApp
from kiosk.screens.page_text import Lines, Runs
from kiosk.screens.strip import Strip
from kiosk.screens.target import Target
from kiosk.views.alarms import Alarm, strip_words
from kiosk.views.one_row import one_row, told_apart
from tests.conftest import SteadyClocks
from tests.driver import TapsClock, press, running, screen_text, settled
from tests.screens.moment import NOW, with_app
from tests.screens.scenes import CARRY_ON, SCENES, Scene, do_before, rows_of

LONG_NAMES = {
    "name: Brambling": "name: Brambling of the long evenings in the unheated garage behind the house",
    "name: Wren,": "name: Wren Featherstone-Haythornthwaite of Lower Bramblingham,",
    "name: Pip,": "name: Pip Featherstone-Haythornthwaite the younger of the two,",
    "name: Odile,": "name: Odile 鋼材担当の鋼材担当の鋼材担当の鋼材担当の鋼材担当,",
}
LONG_KIND = "that is pressed over its own block and fluted by hand to be true"
TRIED = (
    "place", "place-limit-near", "part-too-late", "cautions-paged", "step-counting", "piece-dialog", "board",
    "board-held", "minutes", "minutes-helpers", "minutes-asked", "people", "life", "look-over-dialog",
    "second-look-dialog", "close-up-must-not", "forecast", "calm-clocks", "mark-unknown", "stock",
)  # fmt: skip


def with_long_names(shop: Path, into: Path) -> None:
    """The shop with other names of people and kinds, of the longest that are sensible."""
    shutil.copytree(shop, into)
    file = into / "shop.yaml"
    text = file.read_text(encoding="utf-8")
    for was, now in LONG_NAMES.items():
        assert was in text
        text = text.replace(was, now)
    text, kinds = re.subn(r"^(    name: [^\n]+)$", rf"\1 {LONG_KIND}", text, flags=re.MULTILINE)
    assert kinds > 5
    file.write_text(text, encoding="utf-8")


def over_its_edge(target: Target) -> str:
    """What stands on a target that has no room for all of it; empty for any other."""
    words = str(target.content)
    wide, high = target.content_size
    if target.action is None or not target.display or not wide:
        return ""
    rows = [row for line in words.split("\n") for row in textwrap.wrap(line, wide)]
    return words if len(rows) > high else ""


@pytest.mark.parametrize("scene", [one for one in SCENES if one.name in TRIED], ids=lambda one: one.name)
def test_nothing_is_cut_without_an_end_mark(
    scene: Scene, shop_at_the_moment: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cut: list[str] = []
    as_it_is = Lines.raw

    def raw(self: Lines, line: str, *args: object, **named: object) -> None:
        if cell_len(line) > self.width:
            cut.append(line)
        as_it_is(self, line, *args, **named)  # type: ignore[arg-type]

    all_rows = Lines.whole_rows

    def whole_rows(self: Lines, height: int) -> list[Runs]:
        rows = all_rows(self, height)
        kept = [paragraph for paragraph in self.paragraphs if paragraph.importance == 0]
        needed = [row for paragraph in kept for row in paragraph.lines]
        if len(needed) > height:
            cut.extend("".join(run for run, _ in row) for row in needed[height:])
        return rows

    monkeypatch.setattr(Lines, "raw", raw)
    monkeypatch.setattr(Lines, "whole_rows", whole_rows)
    shop, clocks = tmp_path / "shop", SteadyClocks(NOW)
    with_long_names(shop_at_the_moment, shop)
    do_before(scene.before, shop, clocks)
    bench = Bench(shop, clocks, watch=True)
    app = KioskApp(bench, taps_clock=TapsClock(), wall=scene.wall)

    async def look() -> None:
        async with running(app, (73, 20)) as pilot:
            await press(app, pilot, *scene.keys)
            if scene.then is not None:
                scene.then(app)
            await settled(app, pilot)
            for one in (*app.screen.query("#head, #foot").results(Static), *app.screen.query(Strip)):
                words = str(one.content) if not isinstance(one, Strip) else one.said
                if cell_len(words) > one.content_size.width * max(1, one.content_size.height):
                    cut.append(words)
            cut.extend(words for one in app.screen.query(Target) if (words := over_its_edge(one)))

    asyncio.run(look())
    bench.close()
    assert cut == []


def test_the_board_of_a_kind_with_a_long_name_says_which_page_it_is(
    shop_at_the_moment: Path, tmp_path: Path
) -> None:
    shop = tmp_path / "shop"
    with_long_names(shop_at_the_moment, shop)
    rows = asyncio.run(rows_of(Scene("board", ("f3", "f7", *["down"] * 8, "enter")), shop, ((73, 20),)))[0]
    assert any(re.search(r"…: .* in all   page 1 of \d+$", row.rstrip()) for row in rows), rows


@pytest.mark.parametrize("size", [(64, 20), (80, 24), (120, 36)])
def test_the_hand_stands_over_the_board_whatever_the_kind_is_called(
    demo_shop: Path, size: tuple[int, int]
) -> None:
    file = demo_shop / "shop.yaml"
    text = file.read_text(encoding="utf-8")
    left = f"nose rib {LONG_KIND}, LH"
    assert "    name: nose rib\n" in text and "    name: main rib\n" in text
    text = text.replace("    name: nose rib\n", f"    name: {left}\n")
    text = text.replace("    name: main rib\n", f"    name: nose rib {LONG_KIND}, RH\n")
    file.write_text(text, encoding="utf-8")

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        names = [one.name for one in app.bench.kind_counts()]
        for name in (left, f"nose rib {LONG_KIND}, RH"):
            await press(app, pilot, "f3", "f7", *["down"] * (5 + names.index(name)), "enter")
            head = next(row for row in screen_text(app) if "in all" in row)
            assert re.search(
                rf"nose .*… {name[-2:]}: \d+ complete, \d+ begun, \d+ in all   page 1 of", head
            ), head

    with_app(demo_shop, walk, size)


def test_a_row_is_whole_or_ends_in_an_ellipsis_between_words_and_its_end_stands() -> None:
    assert one_row("Nose rib", 8) == "Nose rib"
    assert one_row("Nose rib, left hand", 18) == "Nose rib, left …"
    assert one_row("Nose rib, left hand", 20, "  page 2 of 3") == "Nose …  page 2 of 3"
    wide = one_row("鋼材担当 鋼材担当 鋼材担当", 20)
    assert wide.endswith(" …") and cell_len(wide) <= 20
    assert one_row("NR-01 and NR-12", 12) == "NR-01 and …", "half a mark is another part"


def test_the_strip_says_how_many_more_there_are_and_is_cut_between_words() -> None:
    alarm = Alarm(
        ("a",), "missed", "TOO LATE since 12:10: NR-01, NR-02, NR-03, NR-04, primer 鋼材担当鋼材担当"
    )
    for width in range(40, 120):
        words = strip_words([alarm, alarm], width)
        assert cell_len(words) <= width and words.endswith("  (and 1 more)")
        shown = words.removesuffix("  (and 1 more)")
        assert shown == alarm.words or shown.removesuffix(" …").rstrip(",") in alarm.words
        assert shown == alarm.words or shown.endswith("…")


NAMES = (
    "main wing nose rib of the outer panel between the spars, LH",
    "main wing nose rib of the outer panel between the spars, RH",
    "main wing nose rib, LH, of the inner panel between the spars",
    "main wing nose rib, RH, of the inner panel between the spars",
    "tailplane rib that is pressed over its own block and fluted",
)


def test_what_tells_two_kinds_apart_stays_where_a_name_is_cut() -> None:
    for name, cut in (
        (NAMES[0], "main wing nose rib of the … LH"),
        (NAMES[1], "main wing nose rib of the … RH"),
        (NAMES[2], "main wing nose … inner panel"),
        (NAMES[4], "tailplane rib that is pressed …"),
    ):
        for width in (32, 36, 40, 48):
            short = told_apart(name, width, NAMES)
            assert cell_len(short) <= width
            assert sum(told_apart(one, width, NAMES) == short for one in NAMES) == 1, short
        if name in NAMES[:2]:
            assert told_apart(name, 31, NAMES) == cut
    assert told_apart(NAMES[0], 80, NAMES) == NAMES[0]


def test_the_hand_stands_on_the_step_whatever_the_kind_is_called(demo_shop: Path) -> None:
    file = demo_shop / "shop.yaml"
    text = file.read_text(encoding="utf-8")
    assert "    name: nose rib\n" in text
    file.write_text(
        text.replace("    name: nose rib\n", f"    name: nose rib {LONG_KIND}\n"), encoding="utf-8"
    )

    async def walk(app: KioskApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, *CARRY_ON)
        head = next(row for row in screen_text(app) if "nose rib" in row)
        assert re.search(r"(left|right) hand", head), head

    with_app(demo_shop, walk, size=(73, 20))
