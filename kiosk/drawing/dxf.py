"""A drawing as DXF in inches, for a cutting service or a drawing program (written by ezdxf)."""

from pathlib import Path

import ezdxf
from ezdxf import units

from kiosk.drawing.marks import LAYERS, Circle, Drawing, Line


def save_dxf(drawing: Drawing, path: Path) -> None:
    """Write the drawing at full size, each kind of line on a layer of its own."""
    document = ezdxf.new("R2010", setup=True)
    document.units = units.IN
    for number, layer in enumerate(LAYERS, 1):
        document.layers.add(layer, color=number)
    space = document.modelspace()
    for mark in drawing:
        style = {"layer": mark.layer}
        if isinstance(mark, Line):
            space.add_lwpolyline(mark.points, close=mark.closed, dxfattribs=style)
        elif isinstance(mark, Circle):
            space.add_circle(mark.centre, mark.radius_in, dxfattribs=style)
        else:
            text = space.add_text(mark.text, height=mark.height_in, dxfattribs=style)
            text.set_placement(mark.at)
    document.saveas(path)
