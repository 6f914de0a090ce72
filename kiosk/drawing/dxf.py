"""A drawing as DXF in inches, for a cutting service or a drawing program (written by ezdxf)."""

from pathlib import Path

import ezdxf
from ezdxf import units
from ezdxf.enums import TextEntityAlignment

from kiosk.drawing.layers import LAYERS
from kiosk.drawing.marks import Circle, Drawing, Line, bounds_of, moved
from kiosk.drawing.scale_bar import SCALE_BAR_IN, scale_bar


def save_dxf(drawing: Drawing, path: Path) -> None:
    """Write the drawing at full size, each kind of line on a layer of its own, with the scale bar below.

    Raises OSError when the file cannot be written.
    """
    document = ezdxf.new("R2010")
    document.units = units.IN
    document.header["$MEASUREMENT"] = 0  # inches
    document.header["$LUNITS"] = 2  # decimal
    box = bounds_of(drawing.marks)
    bar = scale_bar((0.0, 0.0), SCALE_BAR_IN)
    marks = (*drawing.marks, *(moved(mark, box.left, box.bottom - 0.75) for mark in bar))
    for number, name in enumerate(sorted({mark.layer for mark in marks}), 1):
        layer = LAYERS[name]
        if layer.dash_in:
            pattern = [sum(layer.dash_in)]
            pattern += [length if n % 2 == 0 else -length for n, length in enumerate(layer.dash_in)]
            document.linetypes.add(f"{name}_LINE", pattern, description=layer.key)
        document.layers.add(
            name, color=number, linetype=f"{name}_LINE" if layer.dash_in else "Continuous"
        ).description = layer.key
    space = document.modelspace()
    for mark in marks:
        style = {"layer": mark.layer}
        if isinstance(mark, Line):
            space.add_lwpolyline(mark.points, close=mark.closed, dxfattribs=style)
        elif isinstance(mark, Circle):
            space.add_circle(mark.centre, mark.radius_in, dxfattribs=style)
        else:
            text = space.add_text(mark.text, height=mark.height_in, dxfattribs=style)
            middle = mark.align == "middle"
            text.set_placement(
                mark.at, align=TextEntityAlignment.CENTER if middle else TextEntityAlignment.LEFT
            )
    drawn = bounds_of(marks)
    space.reset_extents((drawn.left, drawn.bottom, 0), (drawn.right, drawn.top, 0))
    document.saveas(path)
