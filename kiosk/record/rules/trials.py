"""Acts on trial strips: record one by itself, take one from a step in hand, count one no longer."""

from kiosk.record import events as e
from kiosk.record.context import Context
from kiosk.record.rules.door import Bodies, Refused, act
from kiosk.record.rules.steps import live_work, require_read, step_of
from kiosk.record.strips import check_trial, trial_of_step


@act("an adult")
def record_trial(context: Context, strip: e.TrialBent) -> Bodies:
    """A trial strip was bent and measured."""
    check_trial(context.shop, strip)
    return [strip]


@act("whoever may do the step")
def another_trial(context: Context, work_id: str, mark: str) -> Bodies:
    """What was measured on the step is one trial, and the next one follows on the same step."""
    work = live_work(context, work_id)
    if work.piece(mark) is None:
        raise Refused(f"{mark} is already done at this step", "take the next piece")
    procedure, step = step_of(context.shop, work)
    require_read(context, step)
    if step.trial is None:
        raise Refused("this step is no trial", "press done when it is done")
    return [trial_of_step(context, work, mark, procedure, step, again=True)]


@act("an adult")
def retract_trial(context: Context, number: int, why: str) -> Bodies:
    """A trial no longer counts: it was mistyped, or is of another sheet. It stays in the record."""
    trial = next((one for one in context.state.trials if one.number == number), None)
    if trial is None:
        last = len(context.state.trials)
        raise Refused(
            f"there is no trial strip {number}", f"give 1 to {last}" if last else "none is recorded"
        )
    if trial.retracted_by:
        raise Refused(f"trial strip {number} is no longer counted: {trial.why}", "leave it")
    if not why.strip():
        raise Refused("no reason is given", "say why it no longer counts")
    return [e.TrialRetracted(trial=trial.event, number=number, why=why.strip())]
