"""Outlines out as SVG and as DXF, at true size, so that they read back as they were."""

from __future__ import annotations

import io
from collections.abc import Sequence
from xml.sax.saxutils import quoteattr

from ezdxf import units
from ezdxf.filemanagement import new

from layout.geometry.outline import Outline, Ring


def outlines_to_svg(outlines: Sequence[Outline], names: Sequence[str] = ()) -> bytes:
    """Return an SVG drawing in mm whose page is the bounds of the outlines (y up in them, y down in the file)."""
    x0, y0, x1, y1 = _bounds(outlines)
    lines = [
        f'<path id={quoteattr(n)} d="{_data(o, y0 + y1)}"/>'
        for n, o in zip(_names(outlines, names), outlines, strict=True)
    ]
    size = f'width="{x1 - x0:.6f}mm" height="{y1 - y0:.6f}mm" viewBox="{x0:.6f} {y0:.6f} {x1 - x0:.6f} {y1 - y0:.6f}"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} fill="none" stroke="black" stroke-width="0.1">'
    return "\n".join(['<?xml version="1.0" encoding="UTF-8"?>', head, *lines, "</svg>", ""]).encode()


def outlines_to_dxf(outlines: Sequence[Outline], names: Sequence[str] = ()) -> bytes:
    """Return a DXF drawing in mm, each outline on a layer of its own, every border a closed polyline."""
    document = new("R2000", units=units.MM)
    space = document.modelspace()
    for name, outline in zip(_names(outlines, names), outlines, strict=True):
        for ring in (outline.outer, *outline.holes):
            space.add_lwpolyline(ring, close=True, dxfattribs={"layer": _layer(name)})
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode("utf-8", "replace")


def _names(outlines: Sequence[Outline], names: Sequence[str]) -> list[str]:
    return [names[k] if k < len(names) else f"outline-{k + 1}" for k in range(len(outlines))]


def _layer(name: str) -> str:
    """Make a layer name of a name: the signs that DXF forbids in one become dashes."""
    return "".join("-" if c in '<>/\\":;?*|=`,' or not c.isprintable() else c for c in name)[:200] or "outline"


def _bounds(outlines: Sequence[Outline]) -> tuple[float, float, float, float]:
    if not outlines:
        return 0.0, 0.0, 1.0, 1.0
    each = [o.bounds for o in outlines]
    return (
        min(b[0] for b in each),
        min(b[1] for b in each),
        max(b[2] for b in each),
        max(b[3] for b in each),
    )


def _data(outline: Outline, flip: float) -> str:
    return " ".join(_ring(r, flip) for r in (outline.outer, *outline.holes))


def _ring(ring: Ring, flip: float) -> str:
    return "M" + " L".join(f"{x:.6f},{flip - y:.6f}" for x, y in ring) + " Z"
