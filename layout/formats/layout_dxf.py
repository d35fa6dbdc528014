"""A layout as DXF in millimetres: closed polylines on the layers BED, PAPER, METAL and CUT."""

from __future__ import annotations

import io
from collections.abc import Iterable

from ezdxf import units
from ezdxf.filemanagement import new

from layout.formats.plate_shapes import LAYERS, Layer, PlateShape

COLOURS: dict[Layer, int] = {"bed": 8, "paper": 3, "metal": 7, "cut": 1}


def layout_dxf(shapes: Iterable[PlateShape]) -> bytes:
    """Return a DXF R2010 drawing of shapes in the plate frame (mm, y along the feed)."""
    drawing = new("R2010", units=units.MM)
    for layer in LAYERS:
        drawing.layers.add(layer.upper(), color=COLOURS[layer])
    space = drawing.modelspace()
    for shape in shapes:
        for ring in shape.rings:
            space.add_lwpolyline(ring, close=True, dxfattribs={"layer": shape.layer.upper()})
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue().encode(drawing.output_encoding, errors="dxfreplace")
