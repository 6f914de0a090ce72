"""The command line. Screens are imported only when one is opened, so that the rest starts quickly."""

from __future__ import annotations

import argparse
import gc
import json
import os
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk import __version__
from kiosk.errors import KioskError
from kiosk.shop.data import data_folder
from kiosk.shop.faults import Fault, ShopFaults, nearest

if TYPE_CHECKING:
    from kiosk.shop.parts import PartKind
    from kiosk.shop.shop import Shop

DEMO = "brambling"
OK, FAILED, MISUSED = 0, 1, 2
OBJECTS_OF_A_START = 200_000  # made before the first look for garbage


class Misused(KioskError):
    """The command was given something it cannot take."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; gives the exit code: 0 done, 1 failed or faults found, 2 misused."""
    # A start loads much and drops next to nothing: looking through it for garbage is a tenth of its time.
    gc.set_threshold(OBJECTS_OF_A_START)
    parser = _parser()
    arguments = parser.parse_args(argv)
    if arguments.command is None:
        parser.print_help()
        return OK
    try:
        return int(arguments.run(arguments))
    except Misused as error:
        print(f"kiosk: {error}", file=sys.stderr)
        return MISUSED
    except ShopFaults as error:
        for fault in error.faults:
            print(fault, file=sys.stderr)
        print("kiosk: the shop cannot be opened until these are mended", file=sys.stderr)
        return FAILED
    except KioskError as error:
        print(f"kiosk: {error}", file=sys.stderr)
        return FAILED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FAILED
    except KeyboardInterrupt:
        return FAILED


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="kiosk",
        description="A wall kiosk for the bench of a home-built metal aeroplane. It keeps your place.",
        epilog="Begin with: kiosk demo. Then: kiosk new MyShop --from brambling.",
    )
    parser.add_argument("--version", action="version", version=f"kiosk {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")

    demo = commands.add_parser("demo", help="open the example shop, in the middle of its work")
    demo.add_argument("--folder", type=Path, help="where to keep it (default: your data folder)")
    demo.add_argument("--fresh", action="store_true", help="throw the last demo away and begin again")
    demo.set_defaults(run=_demo)

    new = commands.add_parser("new", help="make a shop folder of your own")
    new.add_argument("shop", type=Path, metavar="SHOP", help="the folder to make")
    new.add_argument(
        "--from", dest="scenario", default=DEMO, metavar="SCENARIO", help="the scenario to begin with"
    )
    new.add_argument("--with-history", action="store_true", help="take the scenario's example history too")
    new.set_defaults(run=_new)

    opened = commands.add_parser("open", help="fill the screen with the place where you left off")
    _shop_argument(opened)
    opened.set_defaults(run=_open)

    where = commands.add_parser("where", help="print where every part stands")
    _shop_argument(where)
    where.add_argument("--kind", help="one part kind only")
    where.add_argument("--mark", help="one part only")
    where.set_defaults(run=_where)

    spare = commands.add_parser("spare", help="print what fits in a few minutes, and why")
    spare.add_argument("minutes", type=int, metavar="N", help="minutes to spare, 3 to 120")
    _shop_argument(spare, optional=True)
    spare.set_defaults(run=_spare)

    check = commands.add_parser("check", help="check procedures and a shop, with file and line")
    _shop_argument(check, optional=True)
    check.add_argument("--strict", action="store_true", help="count warnings as faults")
    check.set_defaults(run=_check)

    schema = commands.add_parser("schema", help="print the JSON Schema of a file, for your editor")
    schema.add_argument("name", choices=["procedure", "shop"], nargs="?", default="procedure")
    schema.set_defaults(run=_schema)

    numbers = commands.add_parser(
        "numbers", help="bench arithmetic alone", description="Bench arithmetic. Without a name: the list."
    )
    numbers.add_argument("name", nargs="?", help="the calculator, or a subject")
    numbers.add_argument("inputs", nargs="*", metavar="input=value", help="such as thickness=.025")
    numbers.add_argument("--json", action="store_true", help="print the whole result as JSON")
    numbers.set_defaults(run=_numbers)

    rib = commands.add_parser("rib", help="lay out a rib full size: plot, SVG, DXF")
    rib.add_argument("kind", help="the part kind, such as nose-rib")
    _shop_argument(rib, optional=True)
    rib.add_argument("--svg", type=Path, help="write a full-size SVG")
    rib.add_argument("--dxf", type=Path, help="write a DXF in inches")
    rib.set_defaults(run=_rib)

    cut = commands.add_parser("cut", help="the cutting list of the roster, with the least sheets possible")
    _shop_argument(cut, optional=True)
    cut.add_argument("--sheet", default="144x48", help="sheet length x width in inches (default 144x48)")
    cut.add_argument("--kerf", default="0", help="what each cut loses: 0 for a shear, a router its bit")
    cut.add_argument("--trim", default="0", help="lost at each edge of the sheet")
    cut.add_argument("--all", action="store_true", help="the whole roster, parts already begun too")
    cut.set_defaults(run=_cut)

    logbook = commands.add_parser(
        "logbook", help="print the record: a page that stands alone, and a table for a spreadsheet"
    )
    _shop_argument(logbook)
    logbook.add_argument("--into", type=Path, help="folder (default: logbook/ in the shop folder)")
    logbook.set_defaults(run=_logbook)

    forecast = commands.add_parser(
        "forecast", help="hours left and finish date, what could change them, and how past forecasts did"
    )
    _shop_argument(forecast, optional=True)
    forecast.add_argument("--kind", help="one part kind with all it needs (default: the aeroplane)")
    forecast.add_argument("--half-hours", type=int, metavar="N", help="what if: N more half hours a week")
    forecast.add_argument("--helper-saturdays", action="store_true", help="what if: a helper on Saturdays")
    forecast.add_argument("--scrap", type=float, metavar="PERCENT", help="what if: so many parts made again")
    forecast.set_defaults(run=_forecast)

    trial = commands.add_parser(
        "trial",
        help="record trial strips and see what they say of this brake and sheet",
        description="Without figures: the fit of the strips recorded so far. Angles are degrees from flat.",
    )
    _shop_argument(trial)
    trial.add_argument("--alloy", default="2024-T3")
    for name, text in (
        ("thickness", "of the sheet"),
        ("radius", "inside radius of the bar"),
        ("flat", "length of the strip before bending"),
        ("leg-a", "one leg, outside"),
        ("leg-b", "the other leg, outside"),
        ("angle", "angle after release"),
        ("set", "angle the brake was set to"),
    ):
        trial.add_argument(f"--{name}", help=text)
    trial.set_defaults(run=_trial)

    picture = commands.add_parser("picture", help="save pictures of the screens as SVG")
    _shop_argument(picture, optional=True)
    picture.add_argument("--into", type=Path, default=Path(".pictures"), help="folder for the pictures")
    picture.add_argument("--size", default="80x24", help="columns x rows (default 80x24)")
    picture.set_defaults(run=_picture)
    return parser


def _shop_argument(parser: argparse.ArgumentParser, *, optional: bool = False) -> None:
    if optional:
        parser.add_argument(
            "shop", type=Path, metavar="SHOP", nargs="?", help="the shop folder (default: the demo)"
        )
    else:
        parser.add_argument("shop", type=Path, metavar="SHOP", help="the shop folder")


def demo_folder() -> Path:
    """Where the demo shop is kept between runs."""
    base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "bench-kiosk" / "demo"


def _existing(folder: Path) -> Path:
    if not (folder / "shop.yaml").exists():
        raise Misused(f"{folder} is no shop folder: it has no shop.yaml", "make one with: kiosk new SHOP")
    return folder


def make_shop(folder: Path, scenario: str, *, with_history: bool) -> None:
    """Copy a scenario into a new folder and play its history. Raises Misused when it cannot be made."""
    from kiosk.demo_player import HISTORY_FILE, play

    source = data_folder("scenarios") / scenario
    known = sorted(path.name for path in data_folder("scenarios").iterdir() if path.is_dir())
    if scenario not in known:
        raise Misused(f"there is no scenario {scenario!r}", f"use one of {', '.join(known)}")
    if folder.exists() and any(folder.iterdir()):
        raise Misused(f"{folder} is not empty", "choose a new folder; nothing was changed")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        shutil.copytree(source, folder, dirs_exist_ok=True)
        for name in ("procedures", "photos", "logbook"):
            (folder / name).mkdir(exist_ok=True)
    except OSError as error:
        raise Misused(f"{folder} cannot be made ({error.strerror})", "choose another folder") from None
    if with_history:
        play(folder)
    (folder / HISTORY_FILE).unlink(missing_ok=True)


def _demo(arguments: argparse.Namespace) -> int:
    folder = arguments.folder or demo_folder()
    if arguments.fresh and (folder / "shop.yaml").exists():
        shutil.rmtree(folder)
    if not (folder / "shop.yaml").exists():
        make_shop(folder, DEMO, with_history=True)
    return _open_folder(folder)


def _new(arguments: argparse.Namespace) -> int:
    make_shop(arguments.shop, arguments.scenario, with_history=arguments.with_history)
    print(f"Made {arguments.shop}. Change shop.yaml to your aeroplane, then: kiosk open {arguments.shop}")
    return OK


def _open(arguments: argparse.Namespace) -> int:
    return _open_folder(_existing(arguments.shop))


def _open_folder(folder: Path) -> int:
    on_terminal = sys.stdin.isatty() and sys.stdout.isatty()
    if not on_terminal and "TEXTUAL_DRIVER" not in os.environ:
        from kiosk.bench import Bench
        from kiosk.views.text import place_card_text, spare_text

        bench = Bench(folder)
        try:
            print(place_card_text(bench.place_card()))
            print()
            print(spare_text(bench.spare(15)))
        finally:
            bench.close()
        return OK
    from kiosk.screens.app import run

    return run(folder)


def _bench_for(folder: Path | None) -> Path:
    if folder is not None:
        return _existing(folder)
    demo = demo_folder()
    if not (demo / "shop.yaml").exists():
        make_shop(demo, DEMO, with_history=True)
    return demo


def _known_kind(shop: Shop, kind: str) -> PartKind:
    """The part kind of this id. Raises Misused with the nearest one."""
    if kind not in shop.kinds:
        raise Misused(f"there is no part kind {kind!r}", nearest(kind, shop.kinds))
    return shop.kinds[kind]


def _where(arguments: argparse.Namespace) -> int:
    from kiosk.bench import Bench
    from kiosk.views.text import board_text, part_text

    bench = Bench(_existing(arguments.shop))
    try:
        if arguments.mark:
            mark = bench.shop.find_part(arguments.mark)
            if mark is None:
                raise Misused(
                    f"no part is marked {arguments.mark!r}", nearest(arguments.mark.upper(), bench.shop.parts)
                )
            row = next(row for row in bench.board() if row.mark == mark)
            print(part_text(bench.shop, bench.state, row))
            return OK
        if arguments.kind:
            _known_kind(bench.shop, arguments.kind)
        print(board_text(bench.board(arguments.kind), bench.kind_counts()))
    finally:
        bench.close()
    return OK


def _spare(arguments: argparse.Namespace) -> int:
    from kiosk.bench import Bench
    from kiosk.planning.spare import LONGEST_MINUTES, SHORTEST_MINUTES
    from kiosk.views.text import spare_text

    if not SHORTEST_MINUTES <= arguments.minutes <= LONGEST_MINUTES:
        raise Misused(
            f"{arguments.minutes} minutes is outside {SHORTEST_MINUTES} to {LONGEST_MINUTES}",
            "give a number in between",
        )
    bench = Bench(_bench_for(arguments.shop))
    try:
        print(spare_text(bench.spare(arguments.minutes)))
    finally:
        bench.close()
    return OK


def _check(arguments: argparse.Namespace) -> int:
    from kiosk.shop.load import check_shipped_procedures, load

    faults: list[Fault] = check_shipped_procedures()
    if arguments.shop is not None:
        faults = sorted({*faults, *load(_existing(arguments.shop), lint=True).faults})
    for fault in faults:
        print(fault)
    errors = sum(1 for fault in faults if fault.severity == "error")
    warnings = len(faults) - errors
    print(f"{errors} fault{'s' * (errors != 1)}, {warnings} warning{'s' * (warnings != 1)}")
    return FAILED if errors or (arguments.strict and warnings) else OK


def _schema(arguments: argparse.Namespace) -> int:
    from kiosk.shop.schema import json_schema

    print(json.dumps(json_schema(arguments.name), indent=2))
    return OK


def _picture(arguments: argparse.Namespace) -> int:
    from kiosk.screens.pictures import save_pictures

    columns, _, rows = arguments.size.partition("x")
    if not (columns.isdigit() and rows.isdigit()):
        raise Misused(f"{arguments.size!r} is no size", "write it like 80x24")
    for path in save_pictures(_bench_for(arguments.shop), arguments.into, int(columns), int(rows)):
        print(path)
    return OK


def _numbers(arguments: argparse.Namespace) -> int:
    from kiosk.numbers.catalogue import CALCULATORS
    from kiosk.numbers.result import OutOfRange
    from kiosk.views.text import calculators_text, result_text

    subjects = {calculator.subject for calculator in CALCULATORS.values()}
    if arguments.name is None or arguments.name in subjects:
        print(calculators_text(arguments.name))
        return OK
    calculator = CALCULATORS.get(arguments.name)
    if calculator is None:
        raise Misused(f"there is no calculator {arguments.name!r}", nearest(arguments.name, CALCULATORS))
    written: dict[str, str] = {}
    for text in arguments.inputs:
        name, equals, value = text.partition("=")
        if not equals:
            raise Misused(f"{text!r} is no input", "write it like thickness=.025")
        written[name] = value
    try:
        result = calculator.work_out(written)
    except OutOfRange as error:
        raise Misused(error.wrong, error.mend) from None
    print(result.model_dump_json(indent=2) if arguments.json else result_text(result))
    return OK


def _rib(arguments: argparse.Namespace) -> int:
    from kiosk.drawing.dxf import save_dxf
    from kiosk.drawing.marks import draw_rib
    from kiosk.drawing.plot import rib_plot
    from kiosk.drawing.svg import to_svg
    from kiosk.shop.load import load_shop
    from kiosk.shop.rib_of_kind import rib_of_kind
    from kiosk.views.text import rib_text

    folder = _bench_for(arguments.shop)
    shop = load_shop(folder)
    kind = _known_kind(shop, arguments.kind)
    rib = rib_of_kind(kind, folder)
    print(rib_plot(rib))
    print(rib_text(rib))
    drawing = draw_rib(rib, f"{shop.file.aeroplane.name} {kind.name} {kind.drawing}")
    try:
        if arguments.svg:
            arguments.svg.write_text(to_svg(drawing), encoding="utf-8")
            print(f"Wrote {arguments.svg}. Print it at 100 % and measure the 10 in bar.")
        if arguments.dxf:
            save_dxf(drawing, arguments.dxf)
            print(f"Wrote {arguments.dxf}, in inches.")
    except OSError as error:
        raise Misused(f"cannot write ({error})", "choose another folder") from None
    return OK


def _cut(arguments: argparse.Namespace) -> int:
    from kiosk.bench import Bench
    from kiosk.numbers.cutting import Sheet
    from kiosk.numbers.units import parse_length_in
    from kiosk.views.cutting import cutting_plans
    from kiosk.views.text import cutting_text

    length, _, width = arguments.sheet.partition("x")
    sheet = Sheet(parse_length_in(length), parse_length_in(width), parse_length_in(arguments.trim))
    bench = Bench(_bench_for(arguments.shop))
    try:
        plans = cutting_plans(
            bench.shop, bench.state, sheet, parse_length_in(arguments.kerf), whole_roster=arguments.all
        )
    finally:
        bench.close()
    print(cutting_text(plans))
    return OK


def _logbook(arguments: argparse.Namespace) -> int:
    from kiosk.bench import Bench

    bench = Bench(_existing(arguments.shop))
    try:
        for path in bench.write_logbook(arguments.into):
            print(path)
    finally:
        bench.close()
    return OK


def _forecast(arguments: argparse.Namespace) -> int:
    from kiosk.bench import Bench
    from kiosk.drawing.plot import forecast_plot
    from kiosk.planning.forecast.simulation import WhatIf
    from kiosk.views.forecast_text import back_test_lines, forecast_lines, what_if_lines

    half_hours, scrap = arguments.half_hours or 0, arguments.scrap
    if not 0 <= half_hours <= 40:
        raise Misused(f"{half_hours} half hours a week are outside 0 to 40", "give a number in between")
    if scrap is not None and not 0 <= scrap <= 80:
        raise Misused(f"{scrap:g} % of parts made again is outside 0 to 80", "give a number in between")
    bench = Bench(_bench_for(arguments.shop))
    try:
        if arguments.kind is not None:
            _known_kind(bench.shop, arguments.kind)
        if half_hours or arguments.helper_saturdays or scrap is not None:
            what_if = WhatIf(half_hours, arguments.helper_saturdays, scrap)
            table = [("as asked", bench.forecast(arguments.kind, what_if))]
        else:
            table = bench.forecasts(arguments.kind)
        print("\n".join(forecast_lines(table[0][1])))
        if table[0][1].days is not None:
            print("\n".join(["", "What if", *what_if_lines(table)] if len(table) > 1 else []))
            print(forecast_plot(table))
        print("\n".join(["Past forecasts", *back_test_lines(bench.back_test())]))
    finally:
        bench.close()
    return OK


def _trial(arguments: argparse.Namespace) -> int:
    from kiosk.bench import Bench
    from kiosk.drawing.plot import trial_plot
    from kiosk.numbers.units import parse_length_in
    from kiosk.record.events import TrialBent
    from kiosk.shop.values import read_number
    from kiosk.views.text import trial_text
    from kiosk.views.trial import strip_of, trial_fit, trials_by_sheet

    figures = ("thickness", "radius", "flat", "leg_a", "leg_b", "angle", "set")
    given = [name for name in figures if getattr(arguments, name) is not None]
    if given and len(given) < len(figures):
        missing = ", ".join("--" + name.replace("_", "-") for name in figures if name not in given)
        raise Misused("a strip needs all its figures", f"add {missing}")
    bench = Bench(_existing(arguments.shop))
    try:
        if given:
            bench.add_trial(
                TrialBent(
                    alloy=arguments.alloy,
                    thickness_in=parse_length_in(arguments.thickness),
                    inside_radius_in=parse_length_in(arguments.radius),
                    flat_length_in=parse_length_in(arguments.flat),
                    leg_a_in=parse_length_in(arguments.leg_a),
                    leg_b_in=parse_length_in(arguments.leg_b),
                    angle_deg=read_number(arguments.angle, "deg"),
                    set_angle_deg=read_number(arguments.set, "deg"),
                )
            )
            print("Saved.")
        groups = trials_by_sheet(bench.state)
        if not groups:
            print("No trial strip is recorded yet. Bend one, measure it, and give its figures.")
        for (alloy, thickness, radius), strips in groups.items():
            fitted = trial_fit(strips)
            print(trial_text(alloy, thickness, radius, fitted))
            print(trial_plot([strip_of(one) for one in strips], fitted))
    finally:
        bench.close()
    return OK
