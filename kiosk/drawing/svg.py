"""A drawing as full-size SVG: one user unit is one inch, and the page says so in inches."""

from xml.etree import ElementTree as ET

from kiosk.drawing.marks import Circle, Drawing, Line, bounds

MARGIN_IN = 0.5
COLOURS = {
    "WEB": "#000000",
    "BLOCK": "#8a5a00",
    "BLANK": "#005a9c",
    "FLUTES": "#b00020",
    "RIVETS": "#444444",
    "HOLES": "#000000",
    "CUTOUTS": "#000000",
    "SCALE": "#000000",
}
DASHES = {"BLOCK": "0.12 0.08", "BLANK": "0.3 0.1"}  # told apart on paper without colour


def to_svg(drawing: Drawing) -> str:
    """The drawing as an SVG document that prints at full size."""
    left, bottom, right, top = bounds(drawing)
    width, height = right - left + 2 * MARGIN_IN, top - bottom + 2 * MARGIN_IN
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{width:.4f}in",
            "height": f"{height:.4f}in",
            "viewBox": f"0 0 {width:.4f} {height:.4f}",
        },
    )
    ET.SubElement(root, "rect", {"width": "100%", "height": "100%", "fill": "#ffffff"})

    def place(x: float, y: float) -> tuple[float, float]:
        return x - left + MARGIN_IN, top - y + MARGIN_IN

    for mark in drawing:
        style = {"stroke": COLOURS[mark.layer], "stroke-width": "0.015", "fill": "none"}
        if mark.layer in DASHES:
            style["stroke-dasharray"] = DASHES[mark.layer]
        if isinstance(mark, Line):
            points = " ".join(f"{px:.5f},{py:.5f}" for px, py in (place(*point) for point in mark.points))
            name = "polygon" if mark.closed else "polyline"
            ET.SubElement(root, name, {"class": mark.layer, "points": points, **style})
        elif isinstance(mark, Circle):
            cx, cy = place(*mark.centre)
            where = {"cx": f"{cx:.5f}", "cy": f"{cy:.5f}", "r": f"{mark.radius_in:.5f}"}
            ET.SubElement(root, "circle", {"class": mark.layer, **where, **style})
        else:
            x, y = place(*mark.at)
            text = ET.SubElement(
                root,
                "text",
                {
                    "x": f"{x:.4f}",
                    "y": f"{y:.4f}",
                    "font-size": f"{mark.height_in}",
                    "font-family": "sans-serif",
                },
            )
            text.text = mark.text
    return ET.tostring(root, encoding="unicode")
