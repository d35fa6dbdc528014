"""Blanks with a base and four walls: trays and their lids. Sizes are inner sizes in mm."""

from __future__ import annotations

from layout.geometry.blanks.faces import Blank, BlankError, Drawing, Segment, rectangle, tapered


def tray(width: float, length: float, height: float, thickness: float = 0.0, taper: float = 1.5) -> Blank:
    """Draw a tray: four walls about a base, tabs on the long walls glued inside the short ones; raises BlankError."""
    for name, value in (("width", width), ("length", length), ("height", height)):
        if not value > 0.0:
            raise BlankError(f"the {name} must be more than nothing, it is {value:g} mm")
    w, h, high = width + thickness, length + thickness, height + thickness
    drawing = Drawing()
    drawing.add("base", rectangle(high, high, w, h))
    x0, y0, x1, y1 = high, high, high + w, high + h
    _wall(drawing, "front", ((x1, y0), (x0, y0)), high)
    _wall(drawing, "back", ((x0, y1), (x1, y1)), high)
    _wall(drawing, "left", ((x0, y0), (x0, y1)), high)
    _wall(drawing, "right", ((x1, y1), (x1, y0)), high)
    tab = min(high, w / 2)
    for wall, partner, corner, out in (
        ("left", "front", (x0, y0), -1.0),
        ("left", "back", (x0, y1), 1.0),
        ("right", "front", (x1, y0), -1.0),
        ("right", "back", (x1, y1), 1.0),
    ):
        _corner(drawing, wall, partner, corner, out, high, tab, taper)
    return drawing.blank(("front", "back", "left", "right", "base"))


def lid(width: float, length: float, height: float, thickness: float = 0.0, ease: float = 1.0) -> Blank:
    """Draw a lid over a tray of these inner sizes: larger by the tray's walls and by `ease` mm on each side."""
    more = 2 * (thickness + ease)
    return tray(width + more, length + more, height, thickness)


def _wall(drawing: Drawing, name: str, base: Segment, high: float) -> None:
    drawing.add(name, tapered(base, high, 0.0), "base", base)


def _corner(
    drawing: Drawing,
    wall: str,
    partner: str,
    corner: tuple[float, float],
    out: float,
    high: float,
    tab: float,
    taper: float,
) -> None:
    """Draw a tab on the end of a long wall, glued inside the short wall that comes up beside it."""
    x, y = corner
    away = -1.0 if wall == "left" else 1.0
    end: Segment = ((x, y), (x + away * high, y))
    base = end if (away > 0) == (out > 0) else (end[1], end[0])
    name = drawing.add(f"{wall} {partner} tab", tapered(base, tab, taper), wall, base)
    drawing.meet(wall, end, partner, ((x, y), (x, y + out * high)))
    drawing.glued.append((name, partner))
