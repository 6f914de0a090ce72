"""``kiosk trial``: trial strips, and what they say of a brake and a sheet."""

import argparse
from contextlib import closing

from kiosk.commands.command import OK, Command, Misused
from kiosk.commands.shop_argument import add_shop, existing_shop

USUAL_ALLOY = "2024-T3"
FIGURES = {  # every strip has all of them
    "thickness": "of the sheet",
    "radius": "inside radius of the bar",
    "flat": "length of the strip before bending",
    "leg-a": "one leg, outside",
    "leg-b": "the other leg, outside",
    "angle": "angle after release",
    "set": "angle the brake was set to",
    "grain": "how the bend lies to the grain: along or across",
}


def _add_arguments(parser: argparse.ArgumentParser) -> None:
    add_shop(parser)
    parser.add_argument("--alloy", default=USUAL_ALLOY, help=f"of the sheet (default: {USUAL_ALLOY})")
    for name, text in FIGURES.items():
        parser.add_argument(f"--{name}", dest=name, help=text)
    parser.add_argument(
        "--retract", metavar="N", help="count strip N of the list no longer; it stays in the record"
    )
    parser.add_argument("--why", help="why it no longer counts")


def _strip_number(text: str) -> int:
    """The number of a strip in the list. Raises Misused."""
    if not text.strip().isdecimal():
        raise Misused(f"{text!r} is no number of a strip", "give the whole number that the list shows")
    return int(text)


def _run(arguments: argparse.Namespace) -> int:
    from kiosk.bench import Bench
    from kiosk.drawing.plot import trial_plot
    from kiosk.numbers.units import parse_length_in
    from kiosk.record.events import TrialBent
    from kiosk.record.rows import made
    from kiosk.record.strips import strip_of
    from kiosk.shop.measures import read_number
    from kiosk.views.text import trial_text
    from kiosk.views.trial import told_on_command_line, trial_fit, trial_lines, trials_by_sheet

    given: dict[str, str] = {name: text for name in FIGURES if (text := getattr(arguments, name)) is not None}
    missing = ", ".join(f"--{name}" for name in FIGURES if name not in given)
    if given and missing:
        raise Misused("a strip needs all its figures", f"add {missing}")
    if arguments.retract is not None and (given or not arguments.why):
        raise Misused("a strip is retracted by its number and a reason", "give --retract N --why REASON")
    if arguments.why and arguments.retract is None:
        raise Misused("--why goes with --retract", "add --retract N")
    retracted = _strip_number(arguments.retract) if arguments.retract is not None else 0
    # Without figures nothing is recorded, and it opens where nothing can be.
    with closing(
        Bench(existing_shop(arguments.shop), reading=not given and arguments.retract is None)
    ) as bench:
        if given or arguments.retract is not None:
            bench.doer_id = bench.builder.id  # whoever can write to the shop's files needs no PIN
        if arguments.retract is not None:
            bench.retract_trial(retracted, arguments.why)
            print(f"Strip {retracted} no longer counts. It stays in the record.")
        if given:
            bench.add_trial(
                made(
                    TrialBent,
                    {
                        "alloy": arguments.alloy,
                        "thickness_in": parse_length_in(given["thickness"]),
                        "inside_radius_in": parse_length_in(given["radius"]),
                        "flat_length_in": parse_length_in(given["flat"]),
                        "leg_a_in": parse_length_in(given["leg-a"]),
                        "leg_b_in": parse_length_in(given["leg-b"]),
                        "angle_deg": read_number(given["angle"], "deg"),
                        "set_angle_deg": read_number(given["set"], "deg"),
                        "grain": given["grain"].strip().lower(),
                    },
                )
            )
            print("Saved.")
        groups, listed = trials_by_sheet(bench.state), trial_lines(bench.state)
        odd = told_on_command_line(bench.state)
    for line in listed:
        print(line)
    for line in odd:
        print(line)
    if not listed:
        print("No trial strip is recorded yet. Bend one, measure it, and give its figures.")
    for (alloy, thickness, radius, grain), strips in groups.items():
        fitted = trial_fit(strips)
        print(trial_text(alloy, thickness, radius, grain, fitted))
        print(trial_plot([strip_of(one) for one in strips], fitted))
    return OK


COMMAND = Command(
    "trial",
    "record trial strips and see what they say of this brake and sheet",
    _run,
    _add_arguments,
    "Without figures: every strip by its number, and the fit of those that count. Angles are degrees from"
    " flat. A mistyped strip is retracted and given again.",
)
