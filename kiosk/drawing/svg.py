"""A page as SVG at full size: one user unit is one inch, and the page says so in inches."""

from xml.etree import ElementTree as ET

from kiosk.drawing.layers import LAYERS
from kiosk.drawing.marks import FONT_SIZE, PRINTED_IN, Circle, Line, Mark
from kiosk.drawing.pages import Page


def to_svg(page: Page) -> str:
    """The page as an SVG document that prints at full size."""
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{page.width_in:.4f}in",
            "height": f"{page.height_in:.4f}in",
            "viewBox": f"0 0 {page.width_in:.4f} {page.height_in:.4f}",
        },
    )
    ET.SubElement(root, "title").text = page.name
    ET.SubElement(root, "rect", {"width": "100%", "height": "100%", "fill": "#ffffff"})
    beside = ET.SubElement(root, "g")
    for mark in page.beside:
        _add(beside, mark, page.height_in)
    picture = ET.SubElement(root, "g")
    if page.window is not None:
        box = page.window
        clip = ET.SubElement(root, "clipPath", {"id": "window"})
        ET.SubElement(
            clip,
            "rect",
            {
                "x": f"{box.left:.5f}",
                "y": f"{page.height_in - box.top:.5f}",
                "width": f"{box.width_in:.5f}",
                "height": f"{box.height_in:.5f}",
            },
        )
        picture.set("clip-path", "url(#window)")
    for mark in page.picture:
        _add(picture, mark, page.height_in)
    return ET.tostring(root, encoding="unicode")


def _add(group: ET.Element, mark: Mark, height_in: float) -> None:
    layer = LAYERS[mark.layer]
    style = {"stroke": layer.colour, "stroke-width": f"{layer.width_in}", "fill": "none"}
    if layer.dash_in:
        style["stroke-dasharray"] = " ".join(f"{one:g}" for one in layer.dash_in)
    if isinstance(mark, Line):
        points = " ".join(f"{x:.5f},{height_in - y:.5f}" for x, y in mark.points)
        name = "polygon" if mark.closed else "polyline"
        ET.SubElement(group, name, {"class": mark.layer, "points": points, **style})
    elif isinstance(mark, Circle):
        (x, y), radius = mark.centre, mark.radius_in
        where = {"cx": f"{x:.5f}", "cy": f"{height_in - y:.5f}", "r": f"{radius:.5f}"}
        ET.SubElement(group, "circle", {"class": mark.layer, **where, **style})
    else:
        text = ET.SubElement(
            group,
            "text",
            {
                "class": mark.layer,
                "x": f"{mark.at[0]:.4f}",
                "y": f"{height_in - mark.at[1]:.4f}",
                "font-size": f"{FONT_SIZE * mark.height_in:.4f}",
                "font-family": f"{PRINTED_IN}, Arial, sans-serif",  # the two are as wide as each other
                **({"text-anchor": "middle"} if mark.align == "middle" else {}),
            },
        )
        text.text = mark.text
