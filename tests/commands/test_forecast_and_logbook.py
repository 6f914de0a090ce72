"""The forecast and the logbook from the command line."""

import re
from pathlib import Path

import pytest

from kiosk.commands import main

Printed = pytest.CaptureFixture[str]


def hours(text: str) -> float:
    """The hours left that are said."""
    found = re.search(r"Hours left: about ([\d.]+)", text)
    assert found is not None, text
    return float(found[1])


def test_the_forecast_says_hours_dates_what_ifs_and_how_the_past_ones_did(
    demo_shop: Path, capsys: Printed
) -> None:
    assert main(["forecast", str(demo_shop)]) == 0
    out = capsys.readouterr().out
    assert "8 times in 10 by" in out and "Past forecasts" in out
    assert "What if\n" in out and "two more half hours a week" in out
    assert "chance in 100 that" in out  # the plot
    whole = hours(out)
    assert main(["forecast", str(demo_shop), "--kind", "nose-rib"]) == 0
    assert 0 < hours(capsys.readouterr().out) < whole


def test_a_what_if_is_asked_alone(demo_shop: Path, capsys: Printed) -> None:
    assert main(["forecast", str(demo_shop), "--scrap", "0"]) == 0
    out = capsys.readouterr().out
    assert "What if\n" not in out and "Hours left" in out
    none_again = hours(out)
    assert main(["forecast", str(demo_shop), "--scrap", "50"]) == 0
    assert hours(capsys.readouterr().out) > 1.1 * none_again
    assert main(["forecast", str(demo_shop), "--half-hours", "2", "--helper-saturdays"]) == 0
    assert "8 times in 10 by" in capsys.readouterr().out


def test_a_short_record_gives_hours_and_no_date(new_shop: Path, capsys: Printed) -> None:
    assert main(["forecast", str(new_shop)]) == 0
    out = capsys.readouterr().out
    assert hours(out) > 0 and "8 times in 10 by" not in out and "chance in 100" not in out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--kind", "nose-rip"], "did you mean 'nose-rib'?"),
        (["--half-hours", "-1"], "-1 half hours a week are outside 0 to"),
        (["--half-hours", "1000"], "give a number in between"),
        (["--scrap", "-1"], "-1 % of parts made again is outside 0 to"),
        (["--scrap", "nan"], "give a number in between"),
    ],
)
def test_what_cannot_be_forecast_is_said_in_one_line(
    demo_shop: Path, capsys: Printed, arguments: list[str], words: str
) -> None:
    assert main(["forecast", str(demo_shop), *arguments]) == 2
    err = capsys.readouterr().err
    assert words in err and err.count("\n") == 1


def test_the_logbook_is_written_where_it_is_wanted(new_shop: Path, tmp_path: Path, capsys: Printed) -> None:
    assert main(["logbook", str(new_shop)]) == 0
    names = ["index.html", "entries.csv", "answers.csv", "forecast.html"]
    assert capsys.readouterr().out.split() == [str(new_shop / "logbook" / name) for name in names]
    assert main(["logbook", str(new_shop), "--into", str(tmp_path / "for the inspector")]) == 0
    assert sorted(path.name for path in (tmp_path / "for the inspector").iterdir()) == sorted(names)
    assert main(["logbook", str(tmp_path)]) == 2
    assert "is no shop folder" in capsys.readouterr().err


def test_without_a_shop_it_is_the_demos(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Printed
) -> None:
    monkeypatch.setattr("kiosk.commands.demo_folder.demo_folder", lambda: tmp_path / "demo")
    monkeypatch.setattr("kiosk.demo_player.play", lambda folder: 0)  # not what is tried here
    assert main(["forecast"]) == 0
    assert "Brambling" in capsys.readouterr().out and (tmp_path / "demo" / "shop.yaml").exists()
