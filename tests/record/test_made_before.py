"""A block or a brake that was made to the formula keeps it, and `kiosk check` says so once strips count."""

from pathlib import Path

import pytest

from kiosk.bench import Bench
from kiosk.commands import main
from tests.conftest import SteadyClocks
from tests.shop.test_strips_at_every_bend import strip


def checked(folder: Path, capsys: pytest.CaptureFixture[str]) -> list[str]:
    main(["check", str(folder)])
    return capsys.readouterr().out.splitlines()


def test_tooling_that_strips_have_outgrown_is_named_with_both_figures(
    demo_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bench = Bench(demo_shop, SteadyClocks())
    kept = {mark: dict(bench.state.part(mark).measured) for mark in ("FB-NR", "BR-01")}
    for thickness_in in (0.025, 0.032):
        for angle_deg in (90.0, 89.0, 91.0):
            bench.add_trial(strip(thickness_in, angle_deg))
    lines = [line for line in checked(demo_shop, capsys) if "made before trial strips" in line]
    (block,) = (line for line in lines if "FB-NR" in line)
    assert "shop.yaml:144" in block and "relief" in block and "is 84.2 deg" in block and "77 to 79.5" in block
    (brake,) = (line for line in lines if "BR-01" in line)
    assert "stop" in brake and "is 94 deg" in brake and "100." in brake
    assert {mark: dict(bench.state.part(mark).measured) for mark in kept} == kept


def test_tooling_is_not_named_while_strips_do_not_count(
    demo_shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bench = Bench(demo_shop, SteadyClocks())
    for angle_deg in (90.0, 89.0):
        bench.add_trial(strip(0.032, angle_deg))
    assert not [line for line in checked(demo_shop, capsys) if "made before" in line]
