"""Checks what a step's trial takes from values and dimensions, before a strip is bent."""

import re
from collections.abc import Collection
from contextlib import suppress
from functools import partial

from kiosk.errors import KioskError
from kiosk.numbers.bends import LARGEST_ANGLE_DEG, arc_allowance_in, check_bend, setback_in
from kiosk.numbers.trial import ALLOWANCE_SLACK_IN, LONGEST_STRIP_IN, TRIAL_FIGURES
from kiosk.shop.cross_check import Procedures
from kiosk.shop.faults import nearest
from kiosk.shop.figure_check import note_fault
from kiosk.shop.figures import FigureFault, Figures, UnknownDimension
from kiosk.shop.fitted import SAME_IN, plain_alloy
from kiosk.shop.on_route import Routes
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import MeasureCheck, Step
from kiosk.shop.reader import Document, Location
from kiosk.shop.shop import ShopFile
from kiosk.shop.trial_sheets import Sheets, require_alloy, require_thickness, sheets_of_shop

_A_NAME = re.compile(r"^[a-z][a-z0-9_]*$")
_GRAINS = ("along", "across")


def check_trials(
    file: ShopFile,
    figures: Figures,
    document: Document,
    routes: Routes,
    own: Collection[str],
    *,
    ribs: bool,
) -> None:
    """Note each figure of a trial that is no check's, and that no strip of this shop could have.

    ``own`` are the ids of the shop's own procedures; a shipped one that is on no route asks nothing of it.
    Without ``ribs``, what needs a rib laid out is left to `kiosk check`.
    """
    kinds = {kind.id: kind for kind in file.part_kinds}
    sheets = sheets_of_shop(file.lots, file.part_kinds)
    warned: set[tuple[str, Location]] = set()
    unnamed = _note_unknown_names(kinds.values(), routes.procedures, own)
    for number, kind in enumerate(file.part_kinds):
        for on_route in routes.steps_of(kind):
            if ribs and on_route.step.trial is not None:
                of_trial = (on_route.source, (*on_route.location, "trial", "figures"))
                for require in (_require_springback, _require_a_strip):
                    note_fault(
                        partial(require, figures, kind, on_route.step),
                        (document, ("part_kinds", number)),
                        kinds,
                        of_trial,
                    )
            for name, source in _not_measured(on_route.step):
                if source in unnamed or (not ribs and figures.needs_rib(kind, source)):
                    continue
                note_fault(
                    partial(_require_can_be, figures, kind, on_route.step, name, sheets),
                    (document, ("part_kinds", number)),
                    kinds,
                    (on_route.source, (*on_route.location, "trial", "figures", name)),
                    used_by=f", which {on_route.procedure!r} step {on_route.step.id!r} uses",
                )
            if ribs and on_route.step.trial is not None:
                at: Location = (*on_route.location, "trial", "figures")
                _warn_of_no_help(figures, kind, on_route.step, on_route.source, at, warned)


def _require_springback(figures: Figures, kind: PartKind, step: Step) -> None:
    """Refuse a trial whose bend is to be more than it was set to: the two are exchanged. Raises FigureFault.

    Metal springs back: after release a bend is always less than the brake made it.
    """
    ends = {name: _ends_of(figures, kind, step, name) for name in ("set_angle", "angle")}
    set_to, bent = ends["set_angle"], ends["angle"]
    if set_to is None or bent is None:
        return
    if sum(set_to) < sum(bent):
        raise FigureFault(
            f"set_angle is about {sum(set_to) / 2:g} and angle about {sum(bent) / 2:g}, but a bend "
            "springs back to less than was set",
            "exchange the two checks",
            place=("set_angle",),
        )


def _ends_of(figures: Figures, kind: PartKind, step: Step, name: str) -> tuple[float, float] | None:
    """The limits of the step's own check behind a figure of its trial; None where it is open or none."""
    assert step.trial is not None
    told = step.trial.check_of(name, step) if name in step.trial.figures else None
    check = next((one for one in step.checks if told is not None and one.id == told.check), None)
    if told is None or told.step != step.id or not isinstance(check, MeasureCheck):
        return None
    limits = figures.limits(kind, check)
    return None if limits.low is None or limits.high is None else (limits.low, limits.high)


def _require_a_strip(figures: Figures, kind: PartKind, step: Step) -> None:
    """Refuse a trial whose limits no bent strip can meet: its lengths are exchanged. Raises FigureFault.

    Whatever is measured within them, the flat length less both legs has to leave what a bend takes.
    """
    assert step.trial is not None
    found = {name: _ends_of(figures, kind, step, name) for name in ("flat_length", "leg_a", "leg_b", "angle")}
    flat, leg_a, leg_b, angle = found.values()
    if flat is None or leg_a is None or leg_b is None or angle is None:
        return
    sheet = {}
    for name in ("thickness", "inside_radius"):
        if step.trial.check_of(name, step) is not None:
            return
        try:
            sheet[name] = figures.number(kind, step.trial.figures[name], "in")
            for one in angle:
                check_bend(sheet["thickness"], sheet.get("inside_radius", 0.0), one)
        except KioskError:  # named at that figure
            return
    shown, taken = [], []
    for one in angle:
        bend = (sheet["thickness"], sheet["inside_radius"], one)
        back = 2 * setback_in(*bend)
        shown += [flat[0] - leg_a[1] - leg_b[1] + back, flat[1] - leg_a[0] - leg_b[0] + back]
        taken += [arc_allowance_in(*bend, 0.0), arc_allowance_in(*bend, 1.0)]
    if max(shown) < min(taken) - ALLOWANCE_SLACK_IN or min(shown) > max(taken) + ALLOWANCE_SLACK_IN:
        raise FigureFault(
            f"a flat length of about {sum(flat) / 2:.4g} in does not bend to legs of about "
            f"{sum(leg_a) / 2:.4g} and {sum(leg_b) / 2:.4g}: every strip would be refused",
            "exchange the checks of flat_length and the leg, or correct their limits",
            place=("flat_length",),
        )


def _warn_of_no_help(
    figures: Figures,
    kind: PartKind,
    step: Step,
    source: Document,
    location: Location,
    warned: set[tuple[str, Location]],
) -> None:
    """Warn of strips that are asked for and speak for no bend of the kind: of another sheet, bar or grain.

    ``location`` is that of the trial's figures. Once a place, which is added to ``warned``. Tooling has no
    sheet of its own, and is left alone.
    """
    assert step.trial is not None
    if kind.written("alloy") is None:
        return
    for name, own in _bend_of(figures, kind).items():
        written = step.trial.figures.get(name, "")
        if not written or step.trial.check_of(name, step) is not None:
            continue
        try:
            if name in ("alloy", "grain"):
                of_strip = figures.trial_text(kind, name, written)
                is_like = plain_alloy(of_strip) == plain_alloy(str(own))
            else:
                value = figures.number(kind, written, "in")
                is_like = abs(value - float(own)) < SAME_IN
                of_strip = f"{value:g} in"
        except KioskError:  # named at that figure
            continue
        at: Location = (*location, name)
        if not is_like and not source.told(at) and (source.file, at) not in warned:
            warned.add((source.file, at))
            shown = own if isinstance(own, str) else f"{own:g} in"
            source.fault(
                at,
                f"a strip of {name.replace('_', ' ')} {of_strip} speaks for no bend of {kind.id!r}, which "
                f"has {shown}",
                f"write {name}: {_USUAL_NAMES[name]}, or leave the trial out",
                warning=True,
            )


_USUAL_NAMES = {
    "alloy": "alloy",
    "grain": "grain",
    "thickness": "thickness",
    "inside_radius": "bend_radius",
}


def _bend_of(figures: Figures, kind: PartKind) -> dict[str, str | float]:
    """What a strip has to share with the bends of a kind, as far as its dimensions say it."""
    found: dict[str, str | float] = {}
    with suppress(KioskError):
        found["alloy"] = figures.text(kind, "alloy")
    with suppress(KioskError):
        if figures.bend_grain(kind) in _GRAINS:
            found["grain"] = figures.bend_grain(kind)
    for name in ("thickness", "inside_radius"):
        if kind.written(_USUAL_NAMES[name]) is not None:
            with suppress(KioskError):
                found[name] = figures.number(kind, _USUAL_NAMES[name], "in")
    return found


def _not_measured(step: Step) -> list[tuple[str, str]]:
    """Each figure of a step's trial that comes from no check, and what it is written as."""
    if step.trial is None:
        return []
    return [
        (name, source)
        for name, source in step.trial.figures.items()
        if name in TRIAL_FIGURES and step.trial.check_of(name, step) is None
    ]


def _note_unknown_names(
    kinds: Collection[PartKind], procedures: Procedures, own: Collection[str]
) -> set[str]:
    """Note a name that is neither a check nor a dimension of any kind, once and where it is written."""
    looked_at = {*own, *(name for kind in kinds for name in kind.procedures)}
    known = list(dict.fromkeys(name for kind in kinds for name in kind.names))
    unnamed = set()
    for procedure, source in procedures.values():
        for number, step in enumerate(procedure.steps if procedure.id in looked_at else ()):
            for name, written in _not_measured(step):
                a_word = name == "grain" and written in _GRAINS
                if a_word or not _A_NAME.match(written):
                    continue
                if not any(kind.written(written) is not None for kind in kinds):
                    unnamed.add(written)
                    at: Location = ("steps", number, "trial", "figures", name)
                    source.fault(
                        at,
                        f"{name}: no part kind has a dimension {written!r}, and this step no such check",
                        nearest(written, [*(check.id for check in step.checks), *known]),
                    )
    return unnamed


def _require_can_be(figures: Figures, kind: PartKind, step: Step, name: str, sheets: Sheets) -> None:
    """Refuse a figure of a trial that no strip of the kind's sheet could have. Raises FigureFault."""
    assert step.trial is not None
    source = step.trial.figures[name]
    if name == "grain":
        _require_grain(figures, kind, source)
    elif name == "alloy":
        _blame(partial(require_alloy, sheets, _word(figures, kind, name, source)), kind, name, source)
    else:
        _require_size(figures, kind, name, source)
    if name == "thickness":
        alloy = step.trial.figures.get("alloy", "")
        try:
            require_alloy(sheets, _word(figures, kind, "alloy", alloy))
        except KioskError:  # named at the alloy
            return
        thickness_in = figures.number(kind, source, "in")
        of_sheet = partial(require_thickness, sheets, _word(figures, kind, "alloy", alloy), thickness_in)
        _blame(of_sheet, kind, name, source)


def _blame(refuse: partial[None], kind: PartKind, name: str, source: str) -> None:
    """Have what is refused blamed on the kind's dimension where one is named. Raises FigureFault.

    A dimension that is called otherwise, such as a bend radius for the thickness, is in order: the trial
    names the wrong one.
    """
    try:
        refuse()
    except KioskError as error:
        own = source in kind.dimensions and name in source
        raise FigureFault(
            error.wrong, error.mend, kind=kind.id if own else "", dimension=source if own else ""
        ) from None


def _word(figures: Figures, kind: PartKind, name: str, source: str) -> str:
    if kind.written(source) is None and _A_NAME.match(source):
        raise UnknownDimension(source, kind)
    return figures.trial_text(kind, name, source)


def _require_grain(figures: Figures, kind: PartKind, source: str) -> None:
    text = figures.trial_text(kind, "grain", source)
    if text in _GRAINS:
        return
    named = kind.written(source) is not None
    if not named and text == source and _A_NAME.match(source):
        raise UnknownDimension(source, kind)
    raise FigureFault(
        f"the bends of {kind.id!r} lie {text!r} to the grain, so no trial strip can speak for them",
        "write along or across",
        kind=kind.id if named else "",
        dimension=source if named else "",
    )


def _require_size(figures: Figures, kind: PartKind, name: str, source: str) -> None:
    unit = TRIAL_FIGURES[name]
    value = figures.number(kind, source, unit)
    most = LARGEST_ANGLE_DEG if unit == "deg" else LONGEST_STRIP_IN
    if value >= most or value < 0 or (value == 0 and name != "inside_radius"):
        home, guilty = figures.home_of(kind, source)
        given = home.written(guilty) is not None  # in the shop file, its material included; else in the step
        raise FigureFault(
            f"no trial strip has {name} {value:g} {unit}",
            f"give more than 0 and less than {most:g}",
            kind=home.id if given else "",
            dimension=guilty if given else "",
        )
