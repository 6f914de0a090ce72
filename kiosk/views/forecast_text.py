"""The forecast in words: hours left, dates with their chances, what could be changed, how past ones did."""

from collections.abc import Mapping, Sequence
from datetime import date

from kiosk.catalogue import said, to_be_said
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
    (to_be_said("as it goes now"), WhatIf()),
    (to_be_said("two more half hours a week"), WhatIf(half_hours_a_week=2)),
    (to_be_said("a helper on Saturdays"), WhatIf(helper_saturdays=True)),
    (to_be_said("one part in ten made again"), WhatIf(scrap_percent=10.0)),
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


def _as_told(amount: float) -> str:
    """Hours or weeks: whole ones where there are many, and never none where something is left."""
    return f"{amount:.0f}" if amount >= 10 else f"{max(amount, 0.1):.1f}"


def forecast_words(one: Forecast) -> ForecastWords:
    """Hours left and finish date with their chances, and what they rest on."""
    scope = said(
        "{scope}: {open_parts} of {parts} open",
        scope=one.scope,
        open_parts=one.open_parts,
        parts=so_many(one.parts, "part", "parts"),
    )
    scope += said(", {steps} to do", steps=so_many(one.steps_left, "step", "steps"))
    if not one.steps_left:
        to_complete = said("Nothing is left to do but to complete the parts.")
        return ForecastWords(scope, dates=(to_complete if one.open_parts else said("All are complete."),))
    hours = said(
        "Hours left: about {p50}; 8 times in 10 no more than {p80}.",
        p50=_as_told(one.hours.p50),
        p80=_as_told(one.hours.p80),
    )
    if one.days is None:
        why = too_short_words(one.too_short) if one.too_short is not None else ""
        paces = tuple(
            said(
                "at {hours_a_week} h a week: about {p50} weeks",
                hours_a_week=hours_a_week,
                p50=_as_told(one.hours.p50 / hours_a_week),
            )
            for hours_a_week in (1, 2, 4)
        )
        return ForecastWords(
            scope, hours, (said("No date can be given: {why}.", why=why),), paces, holds_up=_holds_up(one)
        )
    dates = tuple(
        said("Finished {how_likely}: {day}", how_likely=how_likely, day=day(one.date_at(days)))
        for how_likely, days in (
            (said("as likely before as after"), one.days.p50),
            (said("8 times in 10 by"), one.days.p80),
            (said("19 times in 20 by"), one.days.p95),
        )
    )
    if one.along is not None:
        likely, sure = (short(one.date_at(days)) for days in (one.along.p50, one.along.p80))
        dates = (
            *dates,
            said(
                "Along with all the rest: {likely} as likely as not, 8 times in 10 by {sure}",
                likely=likely,
                sure=sure,
            ),
        )
    hours_a_week = said(
        "now {minutes_a_week} h a week at the bench", minutes_a_week=f"{one.minutes_a_week / 60:.1f}"
    )
    if one.breaks or one.away_since is not None:
        hours_a_week += said(
            ", {minutes_a_week_with_breaks} with the breaks",
            minutes_a_week_with_breaks=f"{one.minutes_a_week_with_breaks / 60:.1f}",
        )
    rests_on = (
        *_away_words(one),
        said(
            "Rests on {weeks} on record; {hours_a_week}{otherwise}.",
            weeks=so_many(one.weeks_seen, "week", "weeks"),
            hours_a_week=hours_a_week,
            otherwise=_otherwise(one),
        ),
        said("Hours at the bench are whole sittings: closing up and minutes left over too."),
        said("Takes for granted: {what}.", what=assumed_words(one))
        if one.what_if.scrap_percent is not None  # it is among the assumptions then
        else said(
            "Takes for granted: {what}; {scrap_percent} % of parts made again.",
            what=assumed_words(one),
            scrap_percent=f"{one.scrap_percent:.0f}",
        ),
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
    worked = said("{p50} h of work", p50=f"{one.hours.p50:.0f}")
    at_bench = said("{at_bench_hours} h at the bench", at_bench_hours=f"{found.at_bench_hours:.0f}")
    if one.what_if.helper_saturdays and one.helped_share:
        worked, at_bench = (
            said("{worked}, the helper's too,", worked=worked),
            said("{at_bench_hours} h of yours", at_bench_hours=f"{found.at_bench_hours:.0f}"),
        )
    weeks = said(
        "{weeks} of {hours_a_week} h", weeks=_weeks(at_work), hours_a_week=f"{found.hours_a_week:.1f}"
    )
    breaks = (" " + said("and {away} of breaks", away=away)) if away else ""
    return said(
        "{worked} take {at_bench}: {weeks}{breaks}.",
        worked=worked,
        at_bench=at_bench,
        weeks=weeks,
        breaks=breaks,
    )


def _otherwise(one: Forecast) -> str:
    """Why other hours a week are expected than those now."""
    if one.as_weeks is None or one.minutes_a_week <= 0:
        return ""
    expected = one.as_weeks.hours_a_week
    if abs(expected * 60 / one.minutes_a_week - 1) < OTHERWISE_SHARE:
        return ""
    if one.weeks_seen < SHORT_RECORD_WEEKS:
        return said(
            "; {expected} expected, as so short a record is drawn towards what is usual",
            expected=f"{expected:.1f}",
        )
    return said("; {expected} expected, as it goes on changing", expected=f"{expected:.1f}")


def _weeks(count: int) -> str:
    return so_many(count, "week", "weeks")


def _away_words(one: Forecast) -> tuple[str, ...]:
    """The break that holds now, and those before."""
    found = []
    if one.away_since is not None:
        found.append(
            said("In a break since {short}: it is taken to end as breaks do.", short=short(one.away_since))
        )
    if one.breaks:
        last = one.breaks[-1]
        weeks = said(
            "the last from {short}, {days} weeks", short=short(last.first), days=f"{last.days / 7:.0f}"
        )
        found.append(
            said(
                "Breaks on record: {number}, {weeks}; more like them are counted in.",
                number=len(one.breaks),
                weeks=weeks,
            )
        )
    return tuple(found)


def _holds_up(one: Forecast) -> tuple[str, ...]:
    """What holds it up, in plain words."""
    found = [_held_words(held) for held in one.held_up if held.times * held.days >= DAYS_SAID][:MOST_HELD_UP]
    if one.long_wait is not None and one.long_wait.days >= DAYS_SAID:
        days = so_many(round(one.long_wait.days), "day", "days")
        found.append(said("Holds it up: {days}, {what}.", days=days, what=one.long_wait.what))
    found += [
        said(
            "Holds it up: {name} has to be ordered, {days} to come.",
            name=order.name,
            days=so_many(order.days, "day", "days"),
        )
        for order in one.to_order
    ]
    if one.takes_two is not None:
        found.append(_two_words(one.takes_two))
    if one.days is not None and one.too_long is not None:  # without a date nothing is known of the sittings
        long = one.too_long
        found.append(
            said(
                "Too long for your sittings, {minutes} min in one go: {kind}, {step}",
                minutes=f"{long.minutes:.0f}",
                kind=long.kind,
                step=long.step,
            )
        )
    if one.days is not None and one.idle_sittings >= MANY_IDLE:
        sittings = so_many(round(one.idle_sittings), "sitting", "sittings")
        found.append(said("In about {sittings} to come there is nothing to do but wait.", sittings=sittings))
    if not found:
        found.append(said("Nothing holds it up but the hours."))
    if one.largest is not None:
        found.append(
            said(
                "Most of the hours: {kind}, about {hours}.",
                kind=one.largest.kind,
                hours=f"{one.largest.hours:.0f}",
            )
        )
    return tuple(found)


def _two_words(two: TakesTwo) -> str:
    times = said(
        "Takes two: {times}, such as on the {kind}", times=so_many(two.pieces, "time", "times"), kind=two.kind
    )
    if not two.anybody:
        return said("{times}; nobody is listed for it, so somebody is taken to come.", times=times)
    return said(
        "{times}; a second was there in {with_another} of your sittings.",
        times=times,
        with_another=f"{two.with_another:.0%}",
    )


def _held_words(held: HeldUp) -> str:
    often = so_many(held.times, "night", "nights")
    if held.days != 1:
        often = f"{so_many(held.times, 'time', 'times')} {so_many(held.days, 'day', 'days')}"
    tools = (
        said("the one {tool}", tool=held.tool)
        if held.have == 1
        else said("{have} of {tool}", have=held.have, tool=held.tool)
    )
    return said("Holds it up: {often} on {tools}.", often=often, tools=tools)


def too_short_words(too_short: TooShort) -> str:
    """Why the record is too short for a date."""
    match too_short:
        case FewWeeks(weeks):
            seen = so_many(weeks, "whole week is", "whole weeks are")
            return said(
                "only {seen} on record; {fewest_weeks} are needed for a date",
                seen=seen,
                fewest_weeks=FEWEST_WEEKS,
            )
        case FewPieces(pieces):
            seen = so_many(pieces, "timed piece is", "timed pieces are")
            return said(
                "only {seen} on record; {fewest_pieces} are needed for a date",
                seen=seen,
                fewest_pieces=FEWEST_PIECES,
            )
        case NothingDone(weeks):
            return said("nothing was done in the last {weeks}", weeks=so_many(weeks, "week", "weeks"))
        case ShortSittings():
            return said(
                "no sitting on record is as long as {shortest_slot} minutes",
                shortest_slot=f"{SHORTEST_SLOT:.0f}",
            )
        case ClockDoubted():
            return said("the clock is not believed")


def assumed_words(one: Forecast) -> str:
    """What a forecast takes for granted, but for the scrap rate that the record shows."""
    parts = [said("your days and breaks go on as on record")]
    if not one.whole:
        parts.append(said("nothing else is worked on"))
    if one.what_if.half_hours_a_week:
        parts.append(
            said(
                "{more_half_hours} a week",
                more_half_hours=so_many(one.what_if.half_hours_a_week, "more half hour", "more half hours"),
            )
        )
    if one.what_if.helper_saturdays:
        parts.append(
            said(
                "a helper on Saturdays, who may do {helped_share} of it",
                helped_share=f"{one.helped_share:.0%}",
            )
            if one.helped_share
            else said("no helper may do any of it")
        )
    if one.what_if.scrap_percent is not None:
        parts.append(
            said("{scrap_percent} % of parts made again", scrap_percent=f"{one.what_if.scrap_percent:g}")
        )
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
        dates = said(
            "{name}: {likely}, 8 in 10 by {nearly_sure}",
            name=self.name,
            likely=self.likely,
            nearly_sure=self.nearly_sure,
        )
        return ", ".join(text for text in (dates, self.gain) if text)


def what_if_words(table: Sequence[tuple[str, Forecast]]) -> list[WhatIfWords]:
    """Each what-if with its dates and how many weeks it gains or costs against the first, which comes too."""
    found = []
    first = table[0][1].days if table else None
    for name, one in table:
        if one.days is None or first is None:
            continue
        weeks = (first.p50 - one.days.p50) / 7
        gain = (
            ""
            if abs(weeks) < 0.5
            else so_many(round(weeks), "week sooner", "weeks sooner")
            if weeks > 0
            else so_many(round(-weeks), "week later", "weeks later")
        )
        likely, sure = one.date_at(one.days.p50), one.date_at(one.days.p80)
        found.append(WhatIfWords(said(name), short(likely), short(sure), gain))
    return found


def what_if_lines(table: Sequence[tuple[str, Forecast]]) -> list[str]:
    """The what-ifs as lines, for a printout."""
    return [one.line for one in what_if_words(table)]


def kind_lines(one: Forecast, names: Mapping[str, str]) -> list[str]:
    """When each kind is finished, worked along with all the rest, the first to be finished first."""
    by_date = sorted(one.kinds.items(), key=lambda item: item[1].p50)
    return [
        said(
            "{kind}: {likely}, 8 in 10 by {nearly_sure}",
            kind=names[kind],
            likely=short(one.date_at(days.p50)),
            nearly_sure=short(one.date_at(days.p80)),
        )
        for kind, days in by_date
    ]


def back_test_lines(test: BackTest) -> list[str]:
    """How past forecasts did: finish dates, hours left, and week by week, the newest first."""
    lines = [*_dates_lines(test), *_hours_lines(test)]
    if not test.forecasts:
        return [*lines, said("No past week can be checked yet: five whole weeks on record are needed.")]
    count = len(test.forecasts)
    lines.append(
        said(
            "Of {weeks} called 8 in 10, {hits} came as said: {judged}.",
            weeks=so_many(count, "week", "weeks"),
            hits=hits(test.forecasts),
            judged=_judged(test.forecasts),
        )
    )
    for one in reversed(test.forecasts):
        lines.append(
            said(
                "week from {day}: said {low} to {high} h, came {came} h {mark}",
                day=day(one.made_on),
                low=f"{one.low:.1f}",
                high=f"{one.high:.1f}",
                came=f"{one.came:.1f}",
                mark=_mark(one),
            )
        )
    return lines


def _judged(tests: Sequence[Held]) -> str:
    fewest, most = expected_hits(len(tests), INTERVAL)
    if len(tests) < FEW_TO_JUDGE:
        return said("too few to judge by; {few_to_judge} are needed", few_to_judge=FEW_TO_JUDGE)
    if as_expected(tests):
        return said("as a right forecaster would ({fewest} to {most})", fewest=fewest, most=most)
    return said("NOT as a right forecaster would ({fewest} to {most})", fewest=fewest, most=most)


def _mark(one: Held) -> str:
    return "[x]" if one.held else said("[!] outside")


def _dates_lines(test: BackTest) -> list[str]:
    if not test.made:
        return [said("No finish date can be judged yet: it takes a forecast that is some weeks old.")]
    if not test.dates:
        return [
            said(
                "No finish date can be judged yet: of {undecided} kinds none is finished or overdue.",
                undecided=test.undecided,
            )
        ]
    count = len(test.dates)
    lines = [
        said(
            "Of {finish_dates} called 8 in 10, {hits} came as said: {judged}.",
            finish_dates=so_many(count, "finish date", "finish dates"),
            hits=hits(test.dates),
            judged=_judged(test.dates),
        )
    ]
    for one in test.dates:
        came = short(one.came) if one.came is not None else said("still open")
        lines.append(
            said(
                "{kind}, said on {day}: {low} to {high}, came {came} {mark}",
                kind=one.kind,
                day=short(one.made_on),
                low=short(one.low),
                high=short(one.high),
                came=came,
                mark=_mark(one),
            )
        )
    return lines


def _hours_lines(test: BackTest) -> list[str]:
    return [
        said(
            "hours left, said on {day}: {low} to {high} h, now it looks like {came} {mark}",
            day=short(one.made_on),
            low=f"{one.low:.0f}",
            high=f"{one.high:.0f}",
            came=f"{one.came:.0f}",
            mark=_mark(one),
        )
        for one in test.hours
    ]
