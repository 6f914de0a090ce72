"""The forecast in words: hours left, dates with their chances, what could be changed, how past ones did."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from kiosk.planning.forecast.past_forecasts import BackTest
from kiosk.planning.forecast.simulation import (
    FEWEST_PIECES,
    FEWEST_WEEKS,
    ClockDoubted,
    FewPieces,
    FewWeeks,
    Forecast,
    NothingDone,
    TooShort,
    WhatIf,
)

FEW_WEEKS = 5  # of past forecasts, before their hits say anything

WHAT_IFS: tuple[tuple[str, WhatIf], ...] = (
    ("as it goes now", WhatIf()),
    ("two more half hours a week", WhatIf(half_hours_a_week=2)),
    ("a helper on Saturdays", WhatIf(helper_saturdays=True)),
    ("one part in ten made again", WhatIf(scrap_percent=10.0)),
)


def day(at: date) -> str:
    """A date as the screen shows it: ``Fri 7 Apr 2028``."""
    return f"{at.strftime('%a')} {short(at)}"


def short(at: date) -> str:
    """A date without the day of the week: ``7 Apr 2028``."""
    return f"{at.day} {at.strftime('%b %Y')}"


@dataclass(frozen=True)
class ForecastWords:
    """A forecast in its parts, each a line or more."""

    scope: str  # what it is for, and how much of that is open
    hours: str = ""  # empty when nothing is left
    dates: tuple[str, ...] = ()  # or why there are none
    without_dates: tuple[str, ...] = ()  # weeks at some paces, when no date can be given
    rests_on: tuple[str, ...] = ()

    @property
    def lines(self) -> list[str]:
        """All of it in lines."""
        parts = (self.scope, self.hours, *self.dates, *(f"  {text}" for text in self.without_dates))
        return [text for text in (*parts, *self.rests_on) if text]


def forecast_words(one: Forecast) -> ForecastWords:
    """Hours left and finish date with their chances, and what they rest on."""
    scope = f"{one.scope}: {one.open_parts} of {one.parts} parts open, {one.steps_left} steps to do"
    if not one.steps_left:
        return ForecastWords(scope, dates=("Nothing is left to do but to complete the parts.",))
    hours = f"Hours left: about {one.hours.p50:.0f}; 8 times in 10 no more than {one.hours.p80:.0f}."
    if one.days is None:
        why = too_short_words(one.too_short) if one.too_short is not None else ""
        paces = tuple(
            f"at {hours_a_week} h a week: about {one.hours.p50 / hours_a_week:.0f} weeks"
            for hours_a_week in (1, 2, 4)
        )
        return ForecastWords(scope, hours, (f"No date can be given: {why}.",), paces)
    dates = tuple(
        f"Finished {words}: {day(one.date_at(days))}"
        for words, days in (
            ("as likely before as after", one.days.p50),
            ("8 times in 10 by", one.days.p80),
            ("19 times in 20 by", one.days.p95),
        )
    )
    rests_on = (
        f"Rests on {one.weeks_seen} weeks of {one.minutes_a_week / 60:.1f} h at the bench.",
        f"Takes for granted: {assumed_words(one)}; {one.scrap_percent:.0f} % of parts made again.",
    )
    return ForecastWords(scope, hours, dates, rests_on=rests_on)


def too_short_words(too_short: TooShort) -> str:
    """Why the record is too short for a date."""
    match too_short:
        case FewWeeks(weeks):
            return f"only {weeks} whole weeks are on record; {FEWEST_WEEKS} are needed for a date"
        case FewPieces(pieces):
            return f"only {pieces} timed pieces are on record; {FEWEST_PIECES} are needed for a date"
        case NothingDone(weeks):
            return f"nothing was done in the last {weeks} weeks"
        case ClockDoubted():
            return "the clock is not believed"


def assumed_words(one: Forecast) -> str:
    """What a forecast takes for granted, but for the scrap rate that the record shows."""
    parts = [f"the last {one.weeks_seen} weeks go on as they were"]
    if not one.whole:
        parts.append("nothing else is worked on")
    if one.what_if.half_hours_a_week:
        parts.append(f"{one.what_if.half_hours_a_week} more half hours a week")
    if one.what_if.helper_saturdays:
        parts.append(
            f"a helper on Saturdays, who may do {one.helped_share:.0%} of it"
            if one.helped_share
            else "no helper may do any of it"
        )
    if one.what_if.scrap_percent is not None:
        parts.append(f"{one.what_if.scrap_percent:g} % of parts made again")
    return "; ".join(parts)


def forecast_lines(one: Forecast) -> list[str]:
    """The forecast as lines, for a printout."""
    return forecast_words(one).lines


@dataclass(frozen=True)
class WhatIfWords:
    """One what-if: its name, its dates, and how many weeks it gains or costs."""

    name: str
    likely: str  # as likely before as after
    nearly_sure: str  # 8 times in 10 by then
    gain: str  # empty when it is less than half a week

    @property
    def brief(self) -> str:
        """In one line without the later date."""
        return ", ".join(text for text in (f"{self.name}: {self.likely}", self.gain) if text)

    @property
    def line(self) -> str:
        """In one line."""
        dates = f"{self.name}: {self.likely}, 8 in 10 by {self.nearly_sure}"
        return ", ".join(text for text in (dates, self.gain) if text)


def what_if_words(table: Sequence[tuple[str, Forecast]]) -> list[WhatIfWords]:
    """Each what-if with its dates and how many weeks it gains or costs against the first, which comes too."""
    found = []
    first = table[0][1].days if table else None
    for name, one in table:
        if one.days is None or first is None:
            continue
        weeks = (first.p50 - one.days.p50) / 7
        gain = f"{abs(weeks):.0f} weeks {'sooner' if weeks > 0 else 'later'}" if abs(weeks) >= 0.5 else ""
        likely, sure = one.date_at(one.days.p50), one.date_at(one.days.p80)
        found.append(WhatIfWords(name, short(likely), short(sure), gain))
    return found


def what_if_lines(table: Sequence[tuple[str, Forecast]]) -> list[str]:
    """The what-ifs as lines, for a printout."""
    return [one.line for one in what_if_words(table)]


def back_test_lines(test: BackTest) -> list[str]:
    """How past forecasts did, week by week, the newest first."""
    if not test.forecasts:
        return ["No past week can be checked yet: five whole weeks on record are needed."]
    count = len(test.forecasts)
    if count < FEW_WEEKS:
        judged = f"too few to judge by; {FEW_WEEKS} are needed"
    elif test.as_expected:
        judged = f"as a right forecaster would ({test.fewest} to {test.most})"
    else:
        judged = f"NOT as a right forecaster would ({test.fewest} to {test.most})"
    lines = [f"Of {count} week{'s' * (count != 1)} called 8 in 10, {test.hits} came as said: {judged}."]
    for one in reversed(test.forecasts):
        lines.append(
            f"week from {day(one.made_on)}: said {one.low:.1f} to {one.high:.1f} h of planned work,"
            f" came {one.came:.1f} {'[x]' if one.held else '[!] outside'}"
        )
    return lines
