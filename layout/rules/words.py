"""How numbers stand in a finding's sentence. They are cut off, not rounded: 0.996 mm must not read as 1.0 mm."""

from __future__ import annotations

import math

from layout.geometry.units import MM_PER, Unit

PLACES: dict[Unit, int] = {"mm": 2, "cm": 3, "in": 3}


def length(mm: float, unit: Unit) -> str:
    """Write a length with its unit."""
    return f"{number(mm, unit)} {unit}"


def number(mm: float, unit: Unit) -> str:
    """Write a length without its unit, at least one place after the point."""
    return cut_off(mm / MM_PER[unit], PLACES[unit])


def cut_off(value: float, places: int) -> str:
    """Write a number with at most `places` (one at least) after the point, the rest cut off towards zero."""
    scale = 10**places
    # A hair is added first, for 0.29 * 100 is 28.999…
    text = f"{math.trunc(value * scale + math.copysign(1e-6, value)) / scale:.{places}f}".rstrip("0")
    return text + "0" if text.endswith(".") else text


def pieces(count: int) -> str:
    """Write a number of pieces."""
    return "1 piece" if count == 1 else f"{count} pieces"


def angle(degrees: float) -> str:
    """Write an angle with its sign of degrees."""
    return f"{degrees:.1f}°".replace(".0°", "°")
