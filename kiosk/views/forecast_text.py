"""The forecast in words: hours left, dates with their chances, what could be changed, how past ones did."""

from collections.abc import Mapping, Sequence
from datetime import date

from kiosk.dataclass import dataclass
from kiosk.planning.forecast.past_forecasts import (
    INTERVAL,
    BackTest,
    Held,
    as_expected,
    expected_hits,
    hits,
)
from kiosk.planning.forecast.rhythm import SHORTEST_SLOT
from kiosk.planning.forecast.simulation import (
    FEWEST_PIECES,
    FEWEST_WEEKS,
    ClockDoubted,
    FewPieces,
    FewWeeks,
    Forecast,
    HeldUp,
    NothingDone,
    ShortSittings,
    TakesTwo,
    TooShort,
    WhatIf,
)
from kiosk.plural import so_many

FEW_TO_JUDGE = 5  # past forecasts, before their hits say anything
MANY_IDLE = 3  # sittings to come with nothing to do but to wait, before they are said
MOST_HELD_UP = 2  # tools said to hold things up
OTHERWISE_SHARE = 0.1  # other hours a week than now, before it is said why
SHORT_RECORD_WEEKS = 26
DAYS_SAID = 7  # a wait in all, before it is said to hold things up

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
    adds_up: str = ""  # how the hours become the date
    holds_up: tuple[str, ...] = ()  # waits, few tools, work that is too long for the sittings
    rests_on: tuple[str, ...] = ()

    @property
    def lines(self) -> list[str]:
        """All of it in lines."""
        parts = (self.scope, self.hours, *self.dates, *(f"  {text}" for text in self.without_dates))
        return [text for text in (*parts, self.adds_up, *self.holds_up, *self.rests_on) if text]


def forecast_words(one: Forecast) -> ForecastWords:
    """Hours left and finish date with their chances, and what they rest on."""
    scope = f"{one.scope}: {one.open_parts} of {so_many(one.parts, 'part', 'parts')} open"
    scope += f", {so_many(one.steps_left, 'step', 'steps')} to do"
    if not one.steps_left:
        return ForecastWords(scope, dates=("Nothing is left to do but to complete the parts.",))
    hours = f"Hours left: about {one.hours.p50:.0f}; 8 times in 10 no more than {one.hours.p80:.0f}."
    if one.days is None:
        why = too_short_words(one.too_short) if one.too_short is not None else ""
        paces = tuple(
            f"at {hours_a_week} h a week: about {one.hours.p50 / hours_a_week:.0f} weeks"
            for hours_a_week in (1, 2, 4)
        )
        return ForecastWords(scope, hours, (f"No date can be given: {why}.",), paces, holds_up=_holds_up(one))
    dates = tuple(
        f"Finished {words}: {day(one.date_at(days))}"
        for words, days in (
            ("as likely before as after", one.days.p50),
            ("8 times in 10 by", one.days.p80),
            ("19 times in 20 by", one.days.p95),
        )
    )
    if one.along is not None:
        likely, sure = (short(one.date_at(days)) for days in (one.along.p50, one.along.p80))
        dates = (*dates, f"Along with all the rest: {likely} as likely as not, 8 times in 10 by {sure}")
    hours_a_week = f"now {one.minutes_a_week / 60:.1f} h a week at the bench"
    if one.breaks or one.away_since is not None:
        hours_a_week += f", {one.minutes_a_week_with_breaks / 60:.1f} with the breaks"
    rests_on = (
        *_away_words(one),
        f"Rests on {so_many(one.weeks_seen, 'week', 'weeks')} on record; {hours_a_week}{_otherwise(one)}.",
        "Hours at the bench are whole sittings: closing up and minutes left over too.",
        f"Takes for granted: {assumed_words(one)}; {one.scrap_percent:.0f} % of parts made again.",
    )
    return ForecastWords(
        scope, hours, dates, adds_up=_adds_up(one), holds_up=_holds_up(one), rests_on=rests_on
    )


def _adds_up(one: Forecast) -> str:
    """How the hours left become the date: the figures shown give one another."""
    found = one.as_weeks
    if found is None:
        return ""
    away = round(found.away_weeks)
    at_work = max(1, round(found.weeks) - away)
    worked = f"{one.hours.p50:.0f} h of work"
    at_bench = f"{found.at_bench_hours:.0f} h at the bench"
    if one.what_if.helper_saturdays and one.helped_share:
        worked, at_bench = f"{worked}, the helper's too,", f"{found.at_bench_hours:.0f} h of yours"
    weeks = f"{_weeks(at_work)} of {found.hours_a_week:.1f} h"
    breaks = f" and {away} of breaks" if away else ""
    return f"{worked} take {at_bench}: {weeks}{breaks}."


def _otherwise(one: Forecast) -> str:
    """Why other hours a week are expected than those now."""
    if one.as_weeks is None or one.minutes_a_week <= 0:
        return ""
    expected = one.as_weeks.hours_a_week
    if abs(expected * 60 / one.minutes_a_week - 1) < OTHERWISE_SHARE:
        return ""
    if one.weeks_seen < SHORT_RECORD_WEEKS:
        return f"; {expected:.1f} expected, as so short a record is drawn towards what is usual"
    return f"; {expected:.1f} expected, as it goes on changing"


def _weeks(count: int) -> str:
    return so_many(count, "week", "weeks")


def _away_words(one: Forecast) -> tuple[str, ...]:
    """The break that holds now, and those before."""
    found = []
    if one.away_since is not None:
        found.append(f"In a break since {short(one.away_since)}: it is taken to end as breaks do.")
    if one.breaks:
        last = one.breaks[-1]
        weeks = f"the last from {short(last.first)}, {last.days / 7:.0f} weeks"
        found.append(f"Breaks on record: {len(one.breaks)}, {weeks}; more like them are counted in.")
    return tuple(found)


def _holds_up(one: Forecast) -> tuple[str, ...]:
    """What holds it up, in plain words."""
    found = [_held_words(held) for held in one.held_up if held.times * held.days >= DAYS_SAID][:MOST_HELD_UP]
    if one.long_wait is not None and one.long_wait.days >= DAYS_SAID:
        days = so_many(round(one.long_wait.days), "day", "days")
        found.append(f"Holds it up: {days}, {one.long_wait.what}.")
    found += [
        f"Holds it up: {order.name} has to be ordered, {so_many(order.days, 'day', 'days')} to come."
        for order in one.to_order
    ]
    if one.takes_two is not None:
        found.append(_two_words(one.takes_two))
    if one.days is not None and one.too_long is not None:  # without a date nothing is known of the sittings
        long = one.too_long
        found.append(
            f"Too long for your sittings, {long.minutes:.0f} min in one go: {long.kind}, {long.step}"
        )
    if one.days is not None and one.idle_sittings >= MANY_IDLE:
        sittings = so_many(round(one.idle_sittings), "sitting", "sittings")
        found.append(f"In about {sittings} to come there is nothing to do but wait.")
    if not found:
        found.append("Nothing holds it up but the hours.")
    if one.largest is not None:
        found.append(f"Most of the hours: {one.largest.kind}, about {one.largest.hours:.0f}.")
    return tuple(found)


def _two_words(two: TakesTwo) -> str:
    times = f"Takes two: {so_many(two.pieces, 'time', 'times')}, such as on the {two.kind}"
    if not two.anybody:
        return f"{times}; nobody is listed for it, so somebody is taken to come."
    return f"{times}; a second was there in {two.with_another:.0%} of your sittings."


def _held_words(held: HeldUp) -> str:
    often = so_many(held.times, "night", "nights")
    if held.days != 1:
        often = f"{so_many(held.times, 'time', 'times')} {so_many(held.days, 'day', 'days')}"
    tools = f"the one {held.tool}" if held.have == 1 else f"{held.have} of {held.tool}"
    return f"Holds it up: {often} on {tools}."


def too_short_words(too_short: TooShort) -> str:
    """Why the record is too short for a date."""
    match too_short:
        case FewWeeks(weeks):
            seen = so_many(weeks, "whole week is", "whole weeks are")
            return f"only {seen} on record; {FEWEST_WEEKS} are needed for a date"
        case FewPieces(pieces):
            seen = so_many(pieces, "timed piece is", "timed pieces are")
            return f"only {seen} on record; {FEWEST_PIECES} are needed for a date"
        case NothingDone(weeks):
            return f"nothing was done in the last {so_many(weeks, 'week', 'weeks')}"
        case ShortSittings():
            return f"no sitting on record is as long as {SHORTEST_SLOT:.0f} minutes"
        case ClockDoubted():
            return "the clock is not believed"


def assumed_words(one: Forecast) -> str:
    """What a forecast takes for granted, but for the scrap rate that the record shows."""
    parts = ["your days and breaks go on as on record"]
    if not one.whole:
        parts.append("nothing else is worked on")
    if one.what_if.half_hours_a_week:
        parts.append(f"{so_many(one.what_if.half_hours_a_week, 'more half hour', 'more half hours')} a week")
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


def kind_lines(one: Forecast, names: Mapping[str, str]) -> list[str]:
    """When each kind is finished, worked along with all the rest, the first to be finished first."""
    by_date = sorted(one.kinds.items(), key=lambda item: item[1].p50)
    return [
        f"{names[kind]}: {short(one.date_at(days.p50))}, 8 in 10 by {short(one.date_at(days.p80))}"
        for kind, days in by_date
    ]


def back_test_lines(test: BackTest) -> list[str]:
    """How past forecasts did: finish dates, hours left, and week by week, the newest first."""
    lines = [*_dates_lines(test), *_hours_lines(test)]
    if not test.forecasts:
        return [*lines, "No past week can be checked yet: five whole weeks on record are needed."]
    count = len(test.forecasts)
    lines.append(
        f"Of {so_many(count, 'week', 'weeks')} called 8 in 10, {hits(test.forecasts)} came as said:"
        f" {_judged(test.forecasts)}."
    )
    for one in reversed(test.forecasts):
        lines.append(
            f"week from {day(one.made_on)}: said {one.low:.1f} to {one.high:.1f} h at the bench,"
            f" came {one.came:.1f} {_mark(one)}"
        )
    return lines


def _judged(tests: Sequence[Held]) -> str:
    fewest, most = expected_hits(len(tests), INTERVAL)
    if len(tests) < FEW_TO_JUDGE:
        return f"too few to judge by; {FEW_TO_JUDGE} are needed"
    if as_expected(tests):
        return f"as a right forecaster would ({fewest} to {most})"
    return f"NOT as a right forecaster would ({fewest} to {most})"


def _mark(one: Held) -> str:
    return "[x]" if one.held else "[!] outside"


def _dates_lines(test: BackTest) -> list[str]:
    if not test.made:
        return ["No finish date can be judged yet: it takes a forecast that is some weeks old."]
    if not test.dates:
        return [f"No finish date can be judged yet: of {test.undecided} kinds none is finished or overdue."]
    count = len(test.dates)
    lines = [
        f"Of {so_many(count, 'finish date', 'finish dates')} called 8 in 10, {hits(test.dates)} came as said:"
        f" {_judged(test.dates)}."
    ]
    for one in test.dates:
        came = short(one.came) if one.came is not None else "still open"
        lines.append(
            f"{one.kind}, said on {short(one.made_on)}: {short(one.low)} to {short(one.high)},"
            f" came {came} {_mark(one)}"
        )
    return lines


def _hours_lines(test: BackTest) -> list[str]:
    return [
        f"hours left, said on {short(one.made_on)}: {one.low:.0f} to {one.high:.0f} h,"
        f" now it looks like {one.came:.0f} {_mark(one)}"
        for one in test.hours
    ]
