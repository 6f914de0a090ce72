"""Trial strips: as the arithmetic takes one, as a step's checks give one, and of which sheet one can be."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING

from kiosk.errors import KioskError
from kiosk.record.events import TrialBent, TrialRetracted
from kiosk.shop.procedure import CheckRef, Procedure, Step, StepRef
from kiosk.shop.trial_sheets import require_alloy, require_thickness, sheets_of_shop

if TYPE_CHECKING:  # rarely wanted, and all of bends behind it
    from kiosk.numbers.trial import TrialStrip
    from kiosk.record.context import Context
    from kiosk.record.state import State, Work
    from kiosk.shop.shop import Shop


class NoTrial(KioskError):
    """A trial's figures are not all there, or one of them cannot be."""


def strip_of(trial: TrialBent) -> TrialStrip:
    """A recorded strip as the fit takes it: the record's fields have the same names."""
    from kiosk.numbers.trial import TrialStrip

    return TrialStrip(**{one.name: getattr(trial, one.name) for one in fields(TrialStrip)})


def check_trial(shop: Shop, trial: TrialBent) -> None:
    """Refuse a strip that cannot be, or whose sheet the shop does not know.

    Raises KioskError that says which figure and how to mend it.
    """
    from kiosk.numbers.trial import check_strip

    if trial.grain not in ("along", "across"):
        said = f"the grain {trial.grain!r} is not known" if trial.grain else "the strip's grain is not said"
        raise NoTrial(said, "say how the bend lies to the grain: along or across")
    sheets = sheets_of_shop(shop.lots.values(), shop.kinds.values())
    require_alloy(sheets, trial.alloy)
    check_strip(strip_of(trial))
    require_thickness(sheets, trial.alloy, trial.thickness_in)


def trial_of_step(
    context: Context, work: Work, mark: str, procedure: Procedure, step: Step, *, again: bool = False
) -> TrialBent:
    """The trial that the checks of a step, and of steps before it, make of a part.

    Raises KioskError when a figure is not there yet, or cannot be.
    """
    from kiosk.numbers.trial import TRIAL_FIGURES

    assert step.trial is not None
    shop, kind = context.shop, context.shop.kind_of(mark)
    found: dict[str, float | str] = {}
    fed_by = {step.id}
    for name, unit in TRIAL_FIGURES.items():
        source = step.trial.figures[name]
        check = step.trial.check_of(name, step)
        if check is not None:
            fed_by.add(check.step)
            found[f"{name}_{unit}"] = _measured(context.state, work, mark, procedure, step, check)
        elif unit:
            found[f"{name}_{unit}"] = shop.figures.number(kind, source, unit)
        else:
            found[name] = shop.figures.trial_text(kind, name, source)
    trial = TrialBent.model_validate(
        {
            **found,
            "work": work.id,
            "mark": mark,
            "procedure": procedure.id,
            "step": step.id,
            "fed_by": tuple(sorted(fed_by)),
            "again": again,
        }
    )
    check_trial(shop, trial)
    return trial


def _measured(
    state: State, work: Work, mark: str, procedure: Procedure, step: Step, check: CheckRef
) -> float:
    """What was measured at a check, on the step in hand or on one before it. Raises NoTrial."""
    piece = work.piece(mark)
    if check.step == step.id:
        given = piece.answers.get(check.check) if piece is not None else None
        value = given.value if given is not None else None
    else:
        value = state.part(mark).measured.get(StepRef(procedure.id, check.step), {}).get(check.check)
    if value is None:
        on = procedure.step(check.step)
        asked = next((one.ask for one in on.checks if one.id == check.check), "") if on is not None else ""
        raise NoTrial(f"not measured yet: {asked or check}", "measure it first")
    return value


def retracted_by_reopening(shop: Shop, state: State, mark: str, ref: StepRef) -> list[TrialRetracted]:
    """The trials of a part that no longer count when a step is opened again, and all after it with it.

    A trial goes with its own step and with those that gave
    its figures; and with the sheet it was cut from, which a step before them chose.
    """
    procedure = shop.procedures.get(ref.procedure)
    ids = [step.id for step in procedure.steps] if procedure is not None else []
    done_again = ids[ids.index(ref.step) :] if ref.step in ids else [ref.step]
    return [
        TrialRetracted(trial=trial.event, number=trial.number, why=f"{ref.step} is done again")
        for trial in state.trials
        if not trial.retracted_by
        and trial.strip.mark == mark
        and trial.strip.procedure == ref.procedure
        and not {trial.strip.step, *trial.strip.fed_by}.isdisjoint(done_again)
    ]
