"""Of which lots of sheet the strips are that a bend goes by: said on the step where not all are of its own.

Sheets of one alloy and thickness bend nearly alike and not quite: strips of another lot are better than the
formula, and count. Whoever bends has to know, and where there are strips of both, how far the two are apart.
"""

from collections.abc import Sequence

from kiosk.catalogue import said
from kiosk.errors import KioskError
from kiosk.numbers.trial import LEAST_STRIPS
from kiosk.plural import so_many
from kiosk.record.context import Context
from kiosk.record.events import TrialBent
from kiosk.record.state import Trial
from kiosk.shop.fitted import Bent
from kiosk.shop.procedure import NumberWanted, Procedure, Step
from kiosk.shop.shop import Shop
from kiosk.views.trial import bent_of, can_be, trial_fit


def sheet_lot(shop: Shop, lots: Sequence[str]) -> str:
    """The lot of sheet that was named last; empty where none was, or the shop has it no longer."""
    found = [one for one in lots if one in shop.lots and shop.lots[one].of == "sheet"]
    return found[-1] if found else ""


def lots_line(context: Context, mark: str, procedure: Procedure, step: Step) -> str:
    """Of which lots the strips of a step's bend are; empty where all are of the part's own, or none says."""
    by_lot, own = _by_lot(context, mark, step), _own_lot(context, mark, procedure)
    named = [lot for lot in by_lot if lot]
    if not named or list(by_lot) == [own] or (not own and len(by_lot) == 1):
        return ""
    if len(by_lot) == 1:
        return said(
            "They are of {lot}, and this sheet is {own}: none of its strips is measured.",
            lot=named[0],
            own=own,
        )
    each = "; ".join(
        said(
            "{lot}: {strips}, neutral line at {factor}",
            lot=_called(lot, own),
            strips=so_many(len(strips), "strip", "strips"),
            factor=f"{trial_fit(strips).told_neutral.value:.3f}",
        )
        for lot, strips in by_lot.items()
    )
    return said("By lot: {each}.", each=each)


def trials_wanted(context: Context, mark: str, procedure: Procedure, step: Step) -> int:
    """How many strips of the part's own sheet are wanted after the one in hand; 0 on a step that tries
    nothing. A strip that names no lot may be of any."""
    if step.trial is None:
        return 0
    figures, kind, sources = context.shop.figures, context.shop.kind_of(mark), step.trial.figures
    try:
        thickness_in = figures.number(kind, sources["thickness"], "in")
        radius_in = figures.number(kind, sources["inside_radius"], "in")
        bend = figures.bend_of(kind, thickness_in, radius_in, {})
        fitted = figures.fit_of_bend(kind, thickness_in, radius_in)
    except KioskError:  # figures that `kiosk check` names, or that the step measures itself
        return 0
    own = _own_lot(context, mark, procedure)
    lots = [sheet_lot(context.shop, context.state.lots_of(one)) for one in _strips_like(context, bend)]
    of_own = sum(1 for lot in lots if not own or lot in ("", own))
    together = fitted.strips if fitted is not None else 0  # not all that are like it are fitted in one
    return max(0, LEAST_STRIPS - 1 - min(of_own, together))


def _own_lot(context: Context, mark: str, procedure: Procedure) -> str:
    """The lot of sheet that was named on the part in this procedure; empty where none was."""
    here = [
        lot
        for ref, named in context.state.part(mark).lots.items()
        if ref.procedure == procedure.id
        for lot in named.lots
    ]
    return sheet_lot(context.shop, here)


def _called(lot: str, own: str) -> str:
    if not lot:
        return said("no lot named")
    return said("{lot} (this sheet)", lot=lot) if lot == own else lot


def _by_lot(context: Context, mark: str, step: Step) -> dict[str, list[TrialBent]]:
    """The strips that speak for the step's bend, by the lot of sheet; empty for those that name none."""
    found: dict[str, list[TrialBent]] = {}
    for trial in _strips_for(context, mark, step):
        lot = sheet_lot(context.shop, context.state.lots_of(trial))
        found.setdefault(lot, []).append(trial.strip)
    return found


def _strips_for(context: Context, mark: str, step: Step) -> list[Trial]:
    figures, kind = context.shop.figures, context.shop.kind_of(mark)
    for wanted in step.numbers:
        if not isinstance(wanted, NumberWanted) or "inside_radius" not in wanted.inputs:
            continue
        try:
            thickness_in = figures.number(kind, wanted.inputs["thickness"], "in")
            radius_in = figures.number(kind, wanted.inputs["inside_radius"], "in")
            bend = figures.bend_of(kind, thickness_in, radius_in, wanted.inputs)
        except (KioskError, KeyError):
            continue  # figures that `kiosk check` names
        if bend is not None:
            return _strips_like(context, bend)
    return []


def _strips_like(context: Context, bend: Bent | None) -> list[Trial]:
    """The strips that count for a bend."""
    return [
        one
        for one in context.state.trials
        if bend is not None
        and not one.retracted_by
        and can_be(one.strip)
        and (of := bent_of(one.strip)) is not None
        and of.is_like(bend)
    ]
