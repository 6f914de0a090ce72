"""The forecast as a page of its own: it is for the builder, and no part of the record."""

from collections.abc import Sequence
from io import TextIOWrapper

from kiosk.logbook.chart import forecast_chart
from kiosk.logbook.sheet import Sheet
from kiosk.planning.forecast.past_forecasts import BackTest
from kiosk.planning.forecast.simulation import Forecast
from kiosk.views.forecast_text import back_test_lines, forecast_lines, what_if_lines


def write_forecast(
    out: TextIOWrapper, title: str, table: Sequence[tuple[str, Forecast]], past: BackTest
) -> None:
    """Hours left, the chances of each date, what-ifs, and how past forecasts did."""
    sheet = Sheet(out, title, title)
    sheet.say("h1", title)
    sheet.say("p", "For the builder alone: this is no part of the record.")
    for text in forecast_lines(table[0][1]):
        sheet.say("p", text)
    chart = forecast_chart(table)
    if chart is not None:
        sheet.picture(chart)
    with sheet.within("ul"):
        for text in what_if_lines(table)[1:]:
            sheet.say("li", f"What if {text}")
    sheet.say("h2", "How past forecasts did")
    with sheet.within("ul"):
        for text in back_test_lines(past):
            sheet.say("li", text)
    sheet.end()
