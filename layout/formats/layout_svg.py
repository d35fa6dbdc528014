"""A layout as SVG at true size: one group each for bed, paper, metal and cut; one user unit is one millimetre."""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import quoteattr

from layout.formats.plate_shapes import LAYERS, Layer, PlateShape
from layout.geometry.outline import Ring

WIDTHS: dict[Layer, float] = {"bed": 0.5, "paper": 0.3, "metal": 0.2, "cut": 0.15}


def layout_svg(shapes: Iterable[PlateShape], title: str) -> bytes:
    """Return an SVG drawing of shapes in the plate frame (mm); the feed's far end is at the top."""
    found = list(shapes)
    corners = [point for shape in found for point in shape.outline.outer]
    x0, x1 = min(x for x, _ in corners) - 1.0, max(x for x, _ in corners) + 1.0
    y0, y1 = min(y for _, y in corners) - 1.0, max(y for _, y in corners) + 1.0
    width, height = x1 - x0, y1 - y0
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.4f}mm" height="{height:.4f}mm" '
        f'viewBox="{x0:.4f} {-y1:.4f} {width:.4f} {height:.4f}">',
        f"<title>{_text(title)}</title>",
    ]
    for layer in LAYERS:
        lines.append(f'<g id="{layer}" fill="none" stroke="black" stroke-width="{WIDTHS[layer]}">')
        lines += [_path(shape) for shape in found if shape.layer == layer]
        lines.append("</g>")
    return "\n".join([*lines, "</svg>", ""]).encode()


def _path(shape: PlateShape) -> str:
    data = " ".join(_ring(ring) for ring in shape.rings)
    return f'<path fill-rule="evenodd" d="{data}"><title>{_text(shape.name)}</title></path>'


def _ring(ring: Ring) -> str:
    return "M" + " L".join(f"{x:.4f},{-y:.4f}" for x, y in ring) + " Z"


def _text(words: str) -> str:
    # XML 1.0 knows no control signs, escaped or not.
    plain = "".join(c for c in words if c.isprintable())
    return quoteattr(plain)[1:-1].replace("<", "&lt;")
