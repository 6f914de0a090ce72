"""Acts on trial strips: record one, take one from a step in hand, correct one, count one no longer."""

from kiosk.record import events as e
from kiosk.record.context import Context
from kiosk.record.rules.door import Bodies, Refused, act
from kiosk.record.rules.own_words import are_words
from kiosk.record.rules.steps import live_work, piece_in_hand, require_read, step_of
from kiosk.record.state import Trial
from kiosk.record.strips import check_trial, measured_of, trial_of_step, with_figure
from kiosk.shop.measures import read_number


@act("an adult")
def record_trial(context: Context, strip: e.TrialBent) -> Bodies:
    """A trial strip was bent and measured."""
    check_trial(context.shop, strip)
    return [strip]


@act("whoever may do it on that part")
def another_trial(context: Context, work_id: str, mark: str) -> Bodies:
    """What was measured on the step is one trial, and the next one follows on the same step."""
    work = live_work(context, work_id)
    piece_in_hand(work, mark)
    procedure, step = step_of(context.shop, work, mark)
    require_read(context, step)
    if step.trial is None:
        raise Refused("this step is no trial", "press done when it is done")
    return [trial_of_step(context, work, mark, procedure, step, again=True)]


@act("an adult")
def retract_trial(context: Context, number: int, why: str) -> Bodies:
    """A trial no longer counts: it was mistyped, or is of another sheet. It stays in the record."""
    trial = _counted(context, number)
    if not why.strip():
        raise Refused("no reason is given", "say why it no longer counts")
    return [e.TrialRetracted(trial=trial.event, number=number, why=why.strip())]


@act("an adult")
def correct_trial(context: Context, number: int, figure: str, text: str, why: str) -> Bodies:
    """A figure of a trial strip was mistyped: the strip counts with ``text`` from now on.

    ``figure`` is its name among those of a trial. The strip as it was stays in the record and is struck. The
    last one of a finished step has the figures of the step, and is corrected with them.
    """
    trial = _counted(context, number)
    strip = trial.strip
    if strip.step and not strip.again:
        raise Refused(f"strip {number} has the figures of its step", "correct the step's own figure")
    known = {one.name: one for one in measured_of(context.shop, strip)}
    asked = known.get(figure)
    if asked is None:
        raise Refused(f"{figure!r} was not measured of strip {number}", f"give {', '.join(known) or 'none'}")
    value = read_number(text, asked.unit)
    if value == asked.of(strip):
        raise Refused(f"{text.strip()} is on record already", "leave it")
    if not are_words(context.shop, why):
        raise Refused("a correction needs its reason", "say why, in words")
    corrected = with_figure(strip, asked.field, value)
    check_trial(context.shop, corrected)
    return [e.TrialRetracted(trial=trial.event, number=number, why=why.strip(), corrected=corrected)]


def _counted(context: Context, number: int) -> Trial:
    """A strip that counts, by its number. Raises Refused."""
    trial = next((one for one in context.state.trials if one.number == number), None)
    if trial is None:
        last = len(context.state.trials)
        raise Refused(
            f"there is no trial strip {number}", f"give 1 to {last}" if last else "none is recorded"
        )
    if trial.retracted_by:
        raise Refused(f"trial strip {number} is no longer counted: {trial.why}", "leave it")
    return trial
