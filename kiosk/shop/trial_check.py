"""Checks what a step's trial takes from values and dimensions, before a strip is bent."""

import re
from collections.abc import Collection
from functools import partial

from kiosk.errors import KioskError
from kiosk.numbers.bends import LARGEST_ANGLE_DEG
from kiosk.numbers.trial import LONGEST_STRIP_IN, TRIAL_FIGURES
from kiosk.shop.cross_check import Procedures
from kiosk.shop.faults import nearest
from kiosk.shop.figure_check import note_fault, steps_on_route
from kiosk.shop.figures import FigureFault, Figures, UnknownDimension
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
    procedures: Procedures,
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
    unnamed = _note_unknown_names(kinds.values(), procedures, own)
    for number, kind in enumerate(file.part_kinds):
        for on_route in steps_on_route(kind, figures, procedures):
            if ribs and on_route.step.trial is not None:
                note_fault(
                    partial(_require_springback, figures, kind, on_route.step),
                    (document, ("part_kinds", number)),
                    kinds,
                    (on_route.source, (*on_route.location, "trial", "figures")),
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


def _require_springback(figures: Figures, kind: PartKind, step: Step) -> None:
    """Refuse a trial whose bend is to be more than it was set to: the two are exchanged. Raises FigureFault.

    Metal springs back: after release a bend is always less than the brake made it.
    """
    assert step.trial is not None
    middles = {}
    for name in ("set_angle", "angle"):
        told = step.trial.check_of(name, step) if name in step.trial.figures else None
        check = next((one for one in step.checks if told is not None and one.id == told.check), None)
        if told is None or told.step != step.id or not isinstance(check, MeasureCheck):
            return
        limits = figures.limits(kind, check)
        if limits.low is None or limits.high is None:
            return
        middles[name] = (limits.low + limits.high) / 2
    if middles["set_angle"] < middles["angle"]:
        raise FigureFault(
            f"set_angle is about {middles['set_angle']:g} and angle about {middles['angle']:g}, but a bend "
            "springs back to less than was set",
            "exchange the two checks",
            place=("set_angle",),
        )


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
        _blame(partial(require_alloy, sheets, _word(figures, kind, name, source)), kind, source)
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
        _blame(of_sheet, kind, source)


def _blame(refuse: partial[None], kind: PartKind, source: str) -> None:
    """Have what is refused blamed on the kind's dimension where one is named. Raises FigureFault."""
    try:
        refuse()
    except KioskError as error:
        own = source in kind.dimensions
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
        own = source in kind.dimensions
        raise FigureFault(
            f"no trial strip has {name} {value:g} {unit}",
            f"give more than 0 and less than {most:g}",
            kind=kind.id if own else "",
            dimension=source if own else "",
        )
