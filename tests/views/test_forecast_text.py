"""The forecast in words: what it takes for granted, and why there is no date."""

from dataclasses import replace
from datetime import date

from kiosk.planning.forecast.simulation import FewPieces, FewWeeks, Forecast, NothingDone, Spread, WhatIf
from kiosk.views.forecast_text import assumed_words, forecast_lines, too_short_words

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


def test_what_is_assumed_is_said() -> None:
    assert assumed_words(ONE) == "the last 9 weeks go on as they were"
    asked = replace(ONE, whole=False, what_if=WhatIf(2, True, 12.5), helped_share=0.25)
    assert assumed_words(asked) == (
        "the last 9 weeks go on as they were; nothing else is worked on; 2 more half hours a week;"
        " a helper on Saturdays, who may do 25% of it; 12.5 % of parts made again"
    )
    alone = replace(asked, what_if=WhatIf(helper_saturdays=True), helped_share=0.0)
    assert assumed_words(alone).endswith("; no helper may do any of it")


def test_why_there_is_no_date_is_said() -> None:
    assert too_short_words(FewPieces(4)) == "only 4 timed pieces are on record; 10 are needed for a date"
    assert too_short_words(NothingDone(9)) == "nothing was done in the last 9 weeks"
    assert forecast_lines(ONE)[2:4] == [
        "No date can be given: only 3 whole weeks are on record; 4 are needed for a date.",
        "  at 1 h a week: about 100 weeks",
    ]
