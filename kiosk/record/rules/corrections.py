"""Corrections: a figure, the minutes or the date of a finished step was mistyped.

What was recorded stays as it was written. The correction says what it counts as from now on, and why.
"""

import math
import uuid
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from typing import Literal

from kiosk.errors import KioskError
from kiosk.record import events as e
from kiosk.record.context import Context
from kiosk.record.past_step import PastFigure, PastStep
from kiosk.record.rules.door import Bodies, NotAllowed, Refused, act
from kiosk.record.rules.own_words import are_words
from kiosk.record.rules.snags import others_go_on
from kiosk.record.rules.steps import check_of, judge, limits_of, wanted_words
from kiosk.record.rules.things import LONGEST_SLOT
from kiosk.record.state import PartState, StepDone, Trial
from kiosk.record.strips import check_trial, with_figure
from kiosk.record.waits import waits_of
from kiosk.shop.checked import FieldFault
from kiosk.shop.fields import parse_date
from kiosk.shop.lots import lot_words
from kiosk.shop.measures import MeasureLimits, read_number
from kiosk.shop.procedure import CheckRef, LotCheck, StepRef, YesNoCheck
from kiosk.shop.shop import Person

LONGEST_MINUTES = 24 * 60.0
SHORTEST_MINUTES = 0.1

Corrects = Literal["figure", "minutes", "day"]


@act("whoever is here")
def correct(
    context: Context, past: PastStep, mark: str, what: Corrects, text: str, reason: str, check_id: str = ""
) -> Bodies:
    """What was recorded of a finished step on a part was mistyped; it counts as ``text`` from now on.

    The builder may; a helper only what they did themselves, until the builder has looked it over. A figure is
    judged by the limits of then; one that does not keep them holds its parts by a snag.
    """
    figure = past.figure(check_id) if what == "figure" else None
    if what == "figure" and figure is None:
        raise Refused("this figure is not on record", "look at the part's page")
    _may_correct(context, past, figure)
    _require_standing(context, past, mark)
    past = _where_it_stands(context, past)
    figure = past.figure(check_id) if what == "figure" else None
    if not are_words(context.shop, reason):
        raise Refused("a correction needs its reason", "say why, in words")
    if figure is not None:
        return _figure(context, past, mark, figure, text.strip(), reason.strip())
    if what == "minutes":
        return [_minutes(past, text, reason.strip())]
    return [_day(context, past, text, reason.strip())]


def may_correct_step(doer: Person, part: PartState, ref: StepRef) -> bool:
    """True for the builder, and for a helper on what they did and nobody has looked over: what a screen
    offers. The rule asks more closely."""
    done = part.passes.get(ref.procedure, {}).get(ref.step)
    own = done is not None and done.by == doer.id and ref in part.wants_look
    return doer.role == "builder" or own


def _may_correct(context: Context, past: PastStep, figure: PastFigure | None) -> None:
    """Refuse a helper what is not their own, or was looked over. Raises NotAllowed."""
    doer = context.doer
    if doer.role == "builder":
        return
    if past.by != doer.id or (figure is not None and figure.by != doer.id):
        raise NotAllowed("it was not you who did it", "ask the builder")
    if any(past.ref not in context.state.part(mark).wants_look for mark in past.marks):
        raise NotAllowed("the builder has looked it over", "ask the builder")


def _require_standing(context: Context, past: PastStep, mark: str) -> None:
    """Refuse a step that is to do again meanwhile. Raises Refused."""
    done = _done_on(context, mark, past.ref)
    if done is None or done.skipped or done.at != past.at:
        raise Refused(f"{past.ref.step} does not stand on {mark} any more", "look at the part's page")


def _where_it_stands(context: Context, past: PastStep) -> PastStep:
    """The same of those parts alone on which this very end of the step still stands.

    One that was sent back since, done anew or made anew keeps what was recorded of it later.
    """

    def standing(marks: tuple[str, ...]) -> tuple[str, ...]:
        done = {mark: _done_on(context, mark, past.ref) for mark in marks}
        return tuple(mark for mark, one in done.items() if one is not None and one.at == past.at)

    figures = tuple(replace(one, marks=standing(one.marks)) for one in past.figures)
    return replace(past, marks=standing(past.marks), figures=figures)


def _done_on(context: Context, mark: str, ref: StepRef) -> StepDone | None:
    return context.state.part(mark).passes.get(ref.procedure, {}).get(ref.step)


def _body(past: PastStep, what: Corrects, text: str, was: str, reason: str) -> e.Corrected:
    return e.Corrected(
        finished=past.event,
        work=past.work,
        marks=past.marks,
        given_on=past.marks[0],
        procedure=past.ref.procedure,
        step=past.ref.step,
        what=what,
        text=text,
        was=was,
        reason=reason,
    )


# The minutes


def minutes_text(minutes: float) -> str:
    """Minutes in words, to a tenth."""
    return f"{round(minutes, 1):g} min"


def _minutes(past: PastStep, text: str, reason: str) -> e.Corrected:
    minutes = read_number(text, "min")
    if not SHORTEST_MINUTES <= minutes <= LONGEST_MINUTES:
        raise Refused(f"{text.strip()} is no time for a step", "give 0.1 to 1440 minutes")
    most = _most_minutes(past)
    if minutes > most:
        raise Refused(
            f"{minutes_text(minutes)} is longer than it can have taken",
            f"give up to {math.floor(most)} minutes, or correct its day first if it was done another day",
        )
    if abs(minutes - past.minutes) < SHORTEST_MINUTES / 2:
        raise Refused(f"it is on record with {minutes_text(past.minutes)} already", "leave it")
    body = _body(past, "minutes", minutes_text(minutes), minutes_text(past.minutes), reason)
    return replace(body, value=minutes)


def _most_minutes(past: PastStep) -> float:
    """No longer than from the beginning of its sitting to its end, pauses within, and a slot before that:
    who works first and taps late is at the bench before the record knows. Where the clocks cannot tell, it
    went on over a start, or was done another day than it was tapped on, any time can be true."""
    if past.sat_minutes is None or not past.exact or not past.day or past.day_was:
        return LONGEST_MINUTES
    return max(past.sat_minutes + LONGEST_SLOT, past.minutes)


# The date


def read_day(text: str) -> date:
    """A day as it is typed. Raises Refused."""
    try:
        return parse_date(text.strip())
    except FieldFault as error:
        raise Refused(error.wrong, error.mend) from None


def _day(context: Context, past: PastStep, text: str, reason: str) -> e.Corrected:
    day = read_day(text)
    if day > context.today:
        raise Refused(f"{day} is still to come", f"give a day up to {context.today}")
    if day.isoformat() == past.day:
        raise Refused(f"it is on record for {past.day} already", "leave it")
    for mark in past.marks:
        before, after = _days_around(context, mark, past)
        if day.isoformat() < before:
            raise Refused(
                f"it could not be done yet: {mark} stood at the step before until {before}",
                f"give {before} or later",
            )
        if after and day.isoformat() > after:
            raise Refused(f"the step after it was done on {mark} on {after}", f"give {after} or earlier")
    return _body(past, "day", day.isoformat(), past.day, reason)


def _days_around(context: Context, mark: str, past: PastStep) -> tuple[str, str]:
    """The newest day of what was recorded on a part before a step, and the oldest of what came after it."""
    done = [one for steps in context.state.part(mark).passes.values() for one in steps.values()]
    before = [one.on for one in done if one.at < past.at and not one.skipped]
    after = [one.on for one in done if one.at > past.at and not one.skipped]
    return max(before, default=""), min(after, default="")


# A figure


def _figure(
    context: Context, past: PastStep, mark: str, figure: PastFigure, text: str, reason: str
) -> Bodies:
    judged = _judged(context, past, mark, figure, text)
    if judged.text == figure.text:
        raise Refused(f"{figure.text} is on record already", "leave it")
    old, new = figure.value, judged.value
    body = replace(
        _body(past, "figure", judged.text, figure.text, reason),
        marks=figure.marks,
        given_on=figure.given_on,
        check=figure.check,
        value=new,
        passed=judged.passed,
        ask=judged.ask,
        wanted=judged.wanted,
        lot=judged.lot,
        unit=judged.unit,
        low=judged.low,
        high=judged.high,
    )
    if old is not None and new is not None:
        check = CheckRef(past.ref.step, figure.check)
        rest = [trial for trial in context.state.trials if _rests_on(trial, figure, past.ref)]
        rest = [trial for trial in rest if _may_rest(context, trial, check, old)]
        body = replace(
            body,
            retracts=tuple((trial.number, trial.event) for trial in rest),
            strips=tuple(_strips(context, rest, check, new)),
            clocks=tuple(_clocks(context, mark, past.ref, check, new)),
        )
    if judged.passed:
        return [body]
    held = [_snag(context, one, past, judged) for one in figure.marks]
    # The snags before it, so that the undo key takes back the correction first and no snag of it alone.
    return [*held, *others_go_on(context, figure.marks), body]


def _judged(context: Context, past: PastStep, mark: str, figure: PastFigure, text: str) -> PastFigure:
    """The figure as it is with this text: by the limits of then, where an older kiosk recorded none by
    today's. Raises Refused for what cannot be read."""
    if not text:
        raise Refused("nothing is typed yet", "type the figure")
    if figure.unit:
        value = read_number(text, figure.unit)
        passed = MeasureLimits(figure.low, figure.high).within(value)
        return PastFigure(**{**vars(figure), "text": text, "value": value, "passed": passed})
    _, step = context.shop.find_step(past.ref.procedure, past.ref.step, mark)
    if step is None:
        raise Refused("its step is no longer in the procedure", "raise a snag, or reopen the part")
    check = check_of(step, figure.check)
    if isinstance(check, YesNoCheck):
        raise Refused("yes and no are no figures", "open the step again where it is not so")
    number, passed = judge(context.shop, check, mark, text)
    kind = context.shop.kind_of(mark)
    unit, low, high = limits_of(context.shop, kind, check)
    is_lot = isinstance(check, LotCheck)
    shown = text.upper() if is_lot else text
    found = {
        "text": shown,
        "value": number,
        "passed": passed,
        "ask": figure.ask or check.ask,
        "wanted": figure.wanted or wanted_words(context.shop, kind, check),
        "lot": lot_words(context.shop, shown) if is_lot else "",
        "unit": unit,
        "low": low,
        "high": high,
    }
    return PastFigure(**{**vars(figure), **found})


def _snag(context: Context, mark: str, past: PastStep, figure: PastFigure) -> e.SnagRaised:
    wanted = f" ({figure.wanted})" if figure.wanted else ""
    text = f"Corrected to {figure.text}, not as wanted{wanted}: {figure.ask}"
    return e.SnagRaised(
        snag=uuid.uuid4().hex[:12], mark=mark, text=text, procedure=past.ref.procedure, step=past.ref.step
    )


# What rests on a figure


def _rests_on(trial: Trial, figure: PastFigure, ref: StepRef) -> bool:
    """True for a strip that counts and took a figure from this step on one of these parts.

    Of several strips bent on one step each had answers of its own, of which the last strip's are corrected.
    """
    strip = trial.strip
    return not (strip.again and strip.step == ref.step) and (
        not trial.retracted_by
        and strip.mark in figure.marks
        and strip.procedure == ref.procedure
        and ref.step in (strip.step, *strip.fed_by)
    )


def _field_of(context: Context, trial: Trial, check: CheckRef) -> str | None:
    """The strip's field that a check gives; empty where the step is no trial any more, None where it gives
    none."""
    from kiosk.numbers.trial import TRIAL_FIGURES

    procedure = context.shop.procedures.get(trial.strip.procedure)
    step = procedure.step(trial.strip.step) if procedure is not None else None
    if step is None or step.trial is None:
        return ""
    for name, unit in TRIAL_FIGURES.items():
        if step.trial.check_of(name, step) == check:
            return f"{name}_{unit}"
    return None


def _may_rest(context: Context, trial: Trial, check: CheckRef, old: float) -> bool:
    """True unless it is known that a strip has not the old figure: in doubt it counts no more."""
    field = _field_of(context, trial, check)
    return field is not None and (not field or getattr(trial.strip, field) == old)


def _strips(context: Context, trials: list[Trial], check: CheckRef, value: float) -> Iterator[e.TrialBent]:
    """The strips with the corrected figure; one that cannot be so, or of which it is not known, has none."""
    for trial in trials:
        field = _field_of(context, trial, check)
        if not field:
            continue
        strip = with_figure(trial.strip, field, value)
        try:
            check_trial(context.shop, strip)
        except KioskError:
            continue
        yield strip


def _clocks(
    context: Context, mark: str, ref: StepRef, check: CheckRef, minutes: float
) -> Iterator[e.ClockSet]:
    """The clocks on a part that took their minutes from a check, as they run with the corrected figure: those
    too that the beginning of the step in hand ended, which run on while nothing comes of it."""
    part = context.state.part(mark)
    work = context.state.works.get(part.work or "")
    ended = [clock for of, clock in work.stopped if of == mark] if work is not None else []
    for clock in (*part.clocks, *ended):
        _, set_by = context.shop.find_step(clock.procedure, clock.set_by, mark)
        if set_by is None or clock.procedure != ref.procedure or minutes < 0:
            continue
        if any(wait.from_check == check for wait in waits_of(set_by, clock)):
            until = clock.until + timedelta(minutes=minutes - clock.minutes)
            yield replace(clock, minutes=minutes, until=until)
