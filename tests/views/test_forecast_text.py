"""The forecast in words: what it takes for granted, and why there is no date."""

from dataclasses import replace
from datetime import date

from kiosk.planning.forecast.past_forecasts import BackTest, PastDate, PastForecast, PastHours
from kiosk.planning.forecast.rhythm import Break
from kiosk.planning.forecast.simulation import (
    AsWeeks,
    FewPieces,
    FewWeeks,
    Forecast,
    HeldUp,
    Largest,
    LongWait,
    NothingDone,
    ShortSittings,
    Spread,
    TakesTwo,
    TooLong,
    ToOrder,
    WhatIf,
)
from kiosk.views.forecast_text import (
    assumed_words,
    back_test_lines,
    forecast_lines,
    forecast_words,
    kind_lines,
    too_short_words,
    what_if_words,
)

HOURS = Spread(80.0, 100.0, 120.0, 130.0, 140.0)
ONE = Forecast(
    scope="Brambling",
    whole=True,
    what_if=WhatIf(),
    made_on=date(2027, 5, 8),
    counted_from=date(2027, 5, 7),
    parts=10,
    open_parts=8,
    steps_left=50,
    hours=HOURS,
    days=None,
    days_drawn=(),
    weeks_seen=9,
    minutes_a_week=120.0,
    scrap_percent=2.0,
    helped_share=0.0,
    too_short=FewWeeks(3),
)


def test_a_little_that_is_left_is_not_told_as_none() -> None:
    """Eighteen minutes of work were "about 0" hours, and about 0 weeks of one hour."""
    little = replace(ONE, hours=Spread(0.2, 0.3, 0.4, 0.4, 0.5), open_parts=1, steps_left=2)
    told = " ".join(forecast_lines(little))
    assert "Hours left: about 0.3; 8 times in 10 no more than 0.4." in told
    assert "at 1 h a week: about 0.3 weeks" in told and "at 4 h a week: about 0.1 weeks" in told
    nearly = replace(little, hours=Spread(0.01, 0.01, 0.02, 0.02, 0.02))
    assert "about 0.1;" in " ".join(forecast_lines(nearly))
    assert "about 100;" in " ".join(forecast_lines(ONE))


def test_what_is_complete_is_said_to_be() -> None:
    done = replace(ONE, open_parts=0, steps_left=0)
    assert forecast_lines(done)[-1] == "All are complete."
    assert "complete the parts" in forecast_lines(replace(done, open_parts=2))[-1]


def test_what_a_what_if_gains_is_said_in_weeks() -> None:
    """One week was "1 weeks later"."""

    def done_in(days: float) -> Forecast:
        return replace(ONE, days=Spread(days, days, days, days, days))

    table = [
        (name, done_in(days)) for name, days in (("a", 100), ("b", 107), ("c", 93), ("d", 79), ("e", 102))
    ]
    gains = [one.gain for one in what_if_words(table)]
    assert gains == ["", "1 week later", "1 week sooner", "3 weeks sooner", ""]


def test_what_is_assumed_is_said() -> None:
    assert assumed_words(ONE) == "your days and breaks go on as on record"
    asked = replace(ONE, whole=False, what_if=WhatIf(2, True, 12.5), helped_share=0.25)
    assert assumed_words(asked) == (
        "your days and breaks go on as on record; nothing else is worked on; 2 more half hours a week;"
        " a helper on Saturdays, who may do 25% of it; 12.5 % of parts made again"
    )
    dated = replace(asked, days=Spread(100, 100, 100, 100, 100))
    (granted,) = [line for line in forecast_words(dated).rests_on if "granted" in line]
    assert granted.count("made again") == 1  # it was said twice
    alone = replace(asked, what_if=WhatIf(helper_saturdays=True), helped_share=0.0)
    assert assumed_words(alone).endswith("; no helper may do any of it")


def test_why_there_is_no_date_is_said() -> None:
    assert too_short_words(FewPieces(4)) == "only 4 timed pieces are on record; 10 are needed for a date"
    assert too_short_words(NothingDone(9)) == "nothing was done in the last 9 weeks"
    assert too_short_words(ShortSittings()) == "no sitting on record is as long as 4 minutes"
    assert forecast_lines(ONE)[2:4] == [
        "No date can be given: only 3 whole weeks are on record; 4 are needed for a date.",
        "  at 1 h a week: about 100 weeks",
    ]


DAYS = Spread(80.0, 100.0, 120.0, 130.0, 140.0)
DATED = replace(ONE, days=DAYS, days_drawn=(80, 100, 120), too_short=None)


def test_what_holds_it_up_is_said_in_nights_and_days() -> None:
    said = forecast_lines(
        replace(
            DATED,
            held_up=(HeldUp("rib jig", 1, 14, 1), HeldUp("clamps", 4, 3, 14), HeldUp("press", 1, 3, 1)),
            long_wait=LongWait("the glue cures", 14.0),
            too_long=TooLong("front spar", "Bend the channel.", 95.0),
            idle_sittings=8.6,
            to_order=(ToOrder("glue", 21),),
        )
    )
    assert "Holds it up: 14 nights on the one rib jig." in said
    assert "Holds it up: 3 times 14 days on 4 of clamps." in said
    assert "Holds it up: 14 days, the glue cures." in said
    assert "Holds it up: glue has to be ordered, 21 days to come." in said
    assert "Too long for your sittings, 95 min in one go: front spar, Bend the channel." in said
    assert "In about 9 sittings to come there is nothing to do but wait." in said
    assert not any("press" in text for text in said)  # three nights are no news
    nothing = forecast_lines(replace(DATED, largest=Largest("nose rib", 61.4)))
    assert not any("Holds" in text or "wait" in text for text in nothing)
    assert "Nothing holds it up but the hours." in nothing
    assert "Most of the hours: nose rib, about 61." in nothing


def test_what_takes_two_is_said() -> None:
    two = TakesTwo(4, "spar", True, 0.25)
    said = forecast_lines(replace(DATED, takes_two=two))
    assert "Takes two: 4 times, such as on the spar; a second was there in 25% of your sittings." in said
    nobody = forecast_lines(replace(DATED, takes_two=replace(two, pieces=1, anybody=False)))
    assert any(text.startswith("Takes two: 1 time,") and "is taken to come" in text for text in nobody)


def test_the_hours_and_the_date_add_up() -> None:
    """346 h of work are 400 at the bench; at 5 h a week 80 weeks, and 10 of breaks make the 90."""
    likely = replace(DAYS, p50=630.0)
    one = replace(
        DATED,
        hours=replace(HOURS, p50=346.0),
        days=likely,
        as_weeks=AsWeeks(400.0, 90.0, 10.0),
        breaks=(Break(date(2026, 12, 12), date(2027, 2, 12)),),
        minutes_a_week=300.0,
        minutes_a_week_with_breaks=250.0,
        weeks_seen=52,
    )
    said = forecast_lines(one)
    assert "346 h of work take 400 h at the bench: 80 weeks of 5.0 h and 10 of breaks." in said
    assert "Rests on 52 weeks on record; now 5.0 h a week at the bench, 4.2 with the breaks." in said
    steady = forecast_lines(replace(one, breaks=(), as_weeks=AsWeeks(400.0, 90.0, 0.2), weeks_seen=9))
    assert "346 h of work take 400 h at the bench: 90 weeks of 4.5 h." in steady
    assert (
        "Rests on 9 weeks on record; now 5.0 h a week at the bench; 4.5 expected, as so short a"
        " record is drawn towards what is usual." in steady
    )
    helped = replace(one, what_if=WhatIf(helper_saturdays=True), helped_share=0.3)
    assert any(
        "346 h of work, the helper's too, take 400 h of yours:" in text for text in forecast_lines(helped)
    )


def test_a_break_is_said() -> None:
    past = Break(date(2026, 12, 12), date(2027, 2, 12))
    said = forecast_lines(replace(DATED, breaks=(past,), away_since=date(2027, 3, 1)))
    assert "In a break since 1 Mar 2027: it is taken to end as breaks do." in said
    assert "Breaks on record: 1, the last from 12 Dec 2026, 9 weeks; more like them are counted in." in said
    assert not any("reak since" in text or "on record:" in text for text in forecast_lines(DATED))


def test_a_kind_says_when_it_is_done_alone_and_along_with_the_rest() -> None:
    said = forecast_lines(replace(DATED, whole=False, along=Spread(200.0, 220.0, 250.0, 260.0, 270.0)))
    assert any(text.startswith("Along with all the rest: 13 Dec 2027") for text in said)
    kinds = kind_lines(replace(DATED, kinds={"b": DAYS, "a": replace(DAYS, p50=50.0)}), {"a": "A", "b": "B"})
    assert [text.split(":")[0] for text in kinds] == ["A", "B"]


def test_past_forecasts_are_judged_or_it_is_said_why_not() -> None:
    nothing = back_test_lines(BackTest(()))
    assert nothing[0].startswith("No finish date can be judged yet")
    assert nothing[-1].startswith("No past week can be checked yet")
    made = (date(2027, 1, 1),)
    undecided = back_test_lines(BackTest((), undecided=3, made=made))
    assert undecided[0] == "No finish date can be judged yet: of 3 kinds none is finished or overdue."
    right = PastDate(made[0], "nose rib", date(2027, 2, 1), date(2027, 3, 1), date(2027, 2, 9))
    late = PastDate(made[0], "spar", date(2027, 2, 1), date(2027, 3, 1), None)
    hours = PastHours(made[0], 90.0, 120.0, 130.0)
    said = back_test_lines(BackTest((), dates=(right, late), hours=(hours,), made=made))
    assert said[0].startswith("Of 2 finish dates called 8 in 10, 1 came as said: too few to judge by")
    assert said[1] == "nose rib, said on 1 Jan 2027: 1 Feb 2027 to 1 Mar 2027, came 9 Feb 2027 [x]"
    assert said[2].endswith("came still open [!] outside")
    assert said[3] == "hours left, said on 1 Jan 2027: 90 to 120 h, now it looks like 130 [!] outside"
    weeks = tuple(PastForecast(made[0], 1.0, 2.0, 3.0, came) for came in (9.0,) * 6)
    assert "NOT as a right forecaster would" in back_test_lines(BackTest(weeks))[1]
