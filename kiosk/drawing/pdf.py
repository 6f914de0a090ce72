"""Pages as PDF at full size (written by reportlab), marked so that a viewer does not scale them."""

from collections.abc import Sequence
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas

from kiosk.drawing.layers import LAYERS
from kiosk.drawing.marks import FONT_SIZE, PRINTED_IN, Circle, Line, Mark
from kiosk.drawing.pages import Page

POINTS_PER_INCH = 72.0  # ISO 32000-1, 8.3.2.3: default user space


def save_pdf(pages: Sequence[Page], path: Path) -> None:
    """Write the pages, one after the other. Raises OSError when the file cannot be written."""
    canvas = Canvas(str(path), invariant=True)
    canvas.setTitle(pages[0].name)
    canvas.setViewerPreference("PrintScaling", "None")
    for page in pages:
        canvas.setPageSize((page.width_in * POINTS_PER_INCH, page.height_in * POINTS_PER_INCH))
        canvas.scale(POINTS_PER_INCH, POINTS_PER_INCH)  # from here on, inches
        for mark in page.beside:
            _draw(canvas, mark)
        if page.window is not None:
            box = page.window
            clip = canvas.beginPath()
            clip.rect(box.left, box.bottom, box.width_in, box.height_in)
            canvas.clipPath(clip, stroke=0, fill=0)
        for mark in page.picture:
            _draw(canvas, mark)
        canvas.showPage()
    canvas.save()


def _draw(canvas: Canvas, mark: Mark) -> None:
    layer = LAYERS[mark.layer]
    canvas.setStrokeColor(layer.colour)
    canvas.setLineWidth(layer.width_in)
    canvas.setDash(list(layer.dash_in))
    if isinstance(mark, Line):
        path = canvas.beginPath()
        path.moveTo(*mark.points[0])
        for point in mark.points[1:]:
            path.lineTo(*point)
        if mark.closed:
            path.close()
        canvas.drawPath(path)
    elif isinstance(mark, Circle):
        canvas.circle(*mark.centre, mark.radius_in)
    else:
        canvas.setFont(PRINTED_IN, FONT_SIZE * mark.height_in)
        write = canvas.drawCentredString if mark.align == "middle" else canvas.drawString
        write(*mark.at, mark.text)
