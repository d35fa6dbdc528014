"""Blanks that stay flat: envelopes and tag folders. Sizes are those of what goes in, ease included, in mm."""

from __future__ import annotations

from layout.geometry.blanks.faces import Blank, BlankError, Drawing, rectangle, tapered

_FLAT = 180.0


def envelope(width: float, length: float, flap: float, seam: float = 12.0, taper: float = 4.0) -> Blank:
    """Draw an envelope: side flaps of `seam`, the front glued on them, the top flap over it; raises BlankError."""
    _refuse(width, length)
    if flap <= 0.0 or flap > length:
        raise BlankError(f"the top flap of {flap:g} mm must be longer than nothing and no longer than {length:g} mm")
    if 2 * seam > width:
        raise BlankError(f"two side flaps of {seam:g} mm do not fit across {width:g} mm")
    front = length - min(flap / 2, length / 4)
    drawing = Drawing()
    x0, y0 = seam, front
    x1, y1 = seam + width, front + length
    drawing.add("back", rectangle(x0, y0, width, length))
    left = ((x0, y0), (x0, y1))
    right = ((x1, y1), (x1, y0))
    drawing.add("left flap", tapered(left, seam, taper), "back", left, _FLAT)
    drawing.add("right flap", tapered(right, seam, taper), "back", right, _FLAT)
    low, high = ((x1, y0), (x0, y0)), ((x0, y1), (x1, y1))
    drawing.add("front", tapered(low, front, 0.0), "back", low, _FLAT)
    drawing.add("top flap", tapered(high, flap, width / 8), "back", high, _FLAT)
    drawing.glued += [("front", "back"), ("left flap", "back"), ("right flap", "back"), ("top flap", "back")]
    return drawing.blank(("front", "back"))


def tag_folder(width: float, length: float, spine: float = 0.0) -> Blank:
    """Draw a folder of two leaves, hinged along their length, with a spine as thick as what lies between."""
    _refuse(width, length)
    drawing = Drawing()
    drawing.add("back", rectangle(0.0, 0.0, width, length))
    edge = ((width, 0.0), (width, length))
    if spine <= 0.0:
        drawing.add("front", rectangle(width, 0.0, width, length), "back", edge, _FLAT)
        drawing.glued.append(("front", "back"))
        return drawing.blank(("front", "back"))
    drawing.add("spine", rectangle(width, 0.0, spine, length), "back", edge)
    far = ((width + spine, 0.0), (width + spine, length))
    drawing.add("front", rectangle(width + spine, 0.0, width, length), "spine", far)
    return drawing.blank(("front", "back"))


def _refuse(width: float, length: float) -> None:
    for name, value in (("width", width), ("length", length)):
        if not value > 0.0:
            raise BlankError(f"the {name} must be more than nothing, it is {value:g} mm")
