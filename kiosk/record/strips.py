"""Trial strips: as the arithmetic takes one, as a step's checks give one, and of which sheet one can be."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any

from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.record.events import TrialBent, TrialRetracted
from kiosk.record.rows import made
from kiosk.shop.procedure import CheckRef, Procedure, Step, StepRef
from kiosk.shop.trial_sheets import require_alloy, require_thickness, sheets_of_shop

if TYPE_CHECKING:  # rarely wanted, and all of bends behind it
    from kiosk.numbers.trial import TrialStrip
    from kiosk.record.context import Context
    from kiosk.record.state import State, Trial, Work
    from kiosk.shop.shop import Shop


class NoTrial(KioskError):
    """A trial's figures are not all there, or one of them cannot be."""


def strip_of(trial: TrialBent) -> TrialStrip:
    """A recorded strip as the fit takes it: the record's fields have the same names."""
    from kiosk.numbers.trial import TrialStrip

    return TrialStrip(**{one.name: getattr(trial, one.name) for one in fields(TrialStrip)})


def with_figure(strip: TrialBent, field: str, value: float) -> TrialBent:
    """A strip one of whose figures was mistyped. No end of a step takes it back: an undo of the correction
    does."""
    now: dict[str, Any] = {field: value, "work": ""}
    return replace(strip, **now)


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
    trial = made(
        TrialBent,
        {
            **found,
            "work": work.id,
            "mark": mark,
            "procedure": procedure.id,
            "step": step.id,
            "fed_by": tuple(sorted(fed_by)),
            "again": again,
        },
    )
    check_trial(shop, trial)
    return trial


def _measured(
    state: State, work: Work, mark: str, procedure: Procedure, step: Step, check: CheckRef
) -> float:
    """What was measured at a check, on the step in hand or on one before it. Raises NoTrial."""
    piece = work.piece(mark)
    if check.step == step.id:
        given = piece.answer_on(step, check.check) if piece is not None else None
        value = given.value if given is not None else None
    else:
        value = state.part(mark).measured.get(StepRef(procedure.id, check.step), {}).get(check.check)
    if value is None:
        on = procedure.step(check.step)
        asked = next((one.ask for one in on.checks if one.id == check.check), "") if on is not None else ""
        raise NoTrial(f"not measured yet: {asked or check}", "measure it first")
    return value


@dataclass(frozen=True)
class StripFigure:
    """A figure that was measured of a strip: its name in a trial, its unit, and what asked for it."""

    name: str
    unit: str
    ask: str

    def of(self, strip: TrialBent) -> float:
        """What is on record of a strip."""
        value: float = getattr(strip, self.field)
        return value

    @property
    def field(self) -> str:
        """What the record calls it."""
        return f"{self.name}_{self.unit}"


def measured_of(shop: Shop, strip: TrialBent) -> list[StripFigure]:
    """The figures of a strip that were typed with it: all of one that was typed by itself, else those that
    its own step asks for. What the shop's files give, or a step before, is corrected there."""
    from kiosk.numbers.trial import TRIAL_FIGURES

    figures = {name: unit for name, unit in TRIAL_FIGURES.items() if unit}
    if not strip.step:
        return [
            StripFigure(name, unit, f"{name[:1].upper()}{name[1:].replace('_', ' ')}")
            for name, unit in figures.items()
        ]
    procedure = shop.procedures.get(strip.procedure)
    step = procedure.step(strip.step) if procedure is not None else None
    if step is None or step.trial is None:
        return []
    asked = {check.id: check.ask for check in step.checks}
    found = []
    for name, unit in figures.items():
        check = step.trial.check_of(name, step)
        if check is not None and check.step == step.id and check.check in asked:
            found.append(StripFigure(name, unit, asked[check.check]))
    return found


def strips_of_step(state: State, marks: Collection[str], ref: StepRef) -> list[Trial]:
    """The strips that were bent on a step of some parts, in the order of recording, counted or not."""
    return [
        trial
        for trial in state.trials
        if trial.strip.mark in marks
        and (trial.strip.procedure, trial.strip.step) == (ref.procedure, ref.step)
    ]


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
