"""The forecast as a picture in the logbook: the chance of being finished by each date, as SVG."""

from collections.abc import Sequence
from xml.etree import ElementTree as ET

from kiosk.planning.forecast.simulation import Forecast

WIDTH, HEIGHT = 720, 320
LEFT, RIGHT, TOP, BOTTOM = 50, 20, 20, 90
# Told apart without colour by their dashes.
DASHES = ("", "8 4", "2 4", "12 4 2 4")


def forecast_chart(table: Sequence[tuple[str, Forecast]]) -> ET.Element | None:
    """The chart as an SVG element; None when no forecast has a date."""
    dated = [(name, one) for name, one in table if one.days_drawn]
    if not dated:
        return None
    last = max(one.nearly_last_day for _, one in dated) or 1
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {WIDTH} {HEIGHT}",
            "width": str(WIDTH),
            "height": str(HEIGHT),
            "role": "img",
        },
    )
    ET.SubElement(root, "title").text = f"Chance that {dated[0][1].scope} is finished, by date"

    def place(days: float, chance: float) -> tuple[float, float]:
        x = LEFT + (WIDTH - LEFT - RIGHT) * days / last
        return x, TOP + (HEIGHT - TOP - BOTTOM) * (1 - chance)

    def words(x: float, y: float, text: str, anchor: str = "middle") -> None:
        made = ET.SubElement(
            root, "text", {"x": f"{x:.1f}", "y": f"{y:.1f}", "font-size": "12", "text-anchor": anchor}
        )
        made.text = text

    def line(points: Sequence[tuple[float, float]], width: str, dash: str = "") -> None:
        style = {"stroke-dasharray": dash} if dash else {}
        ET.SubElement(
            root,
            "polyline",
            {
                "points": " ".join(f"{x:.1f},{y:.1f}" for x, y in points),
                "fill": "none",
                "stroke": "#000000",
                "stroke-width": width,
                **style,
            },
        )

    for tenths in (0, 2, 5, 8, 10):
        line([place(0, tenths / 10), place(last, tenths / 10)], "0.3")
        words(LEFT - 6, place(0, tenths / 10)[1] + 4, f"{tenths} in 10", "end")
    for quarter in range(5):
        days = last * quarter / 4
        at = dated[0][1].date_at(days)
        anchor = "end" if quarter == 4 else "middle"
        words(place(days, 0)[0], HEIGHT - BOTTOM + 18, at.strftime("%b %Y"), anchor)
    for number, (name, one) in enumerate(dated):
        drawn = one.days_drawn
        steps = range(0, len(drawn), max(1, len(drawn) // 100))
        points = [place(drawn[n], (n + 1) / len(drawn)) for n in steps if drawn[n] <= last]
        dash = DASHES[number % len(DASHES)]
        line(points, "1.6", dash)
        x, y = LEFT + 330 * (number % 2), HEIGHT - BOTTOM + 42 + 20 * (number // 2)
        line([(x, y - 4), (x + 40, y - 4)], "1.6", dash)
        words(x + 48, y, name, "start")
    return root
