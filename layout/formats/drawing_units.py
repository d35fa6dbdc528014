"""Units of length by the names people and files give them."""

from __future__ import annotations

import re

INCH = 25.4
UNITS: dict[str, float] = {
    "mm": 1.0,
    "cm": 10.0,
    "dm": 100.0,
    "m": 1000.0,
    "in": INCH,
    "ft": 12 * INCH,
    "mil": INCH / 1000,
    "pt": INCH / 72,
    "pc": INCH / 6,
    "px": INCH / 96,
    "q": 0.25,
}
_PER_INCH = re.compile(r"(\d+(?:\.\d+)?)\s*(?:/|per\s*)in(?:ch)?")


def unit_in_mm(name: str) -> float:
    """Return the mm of a unit called 'mm', 'in', … or '96/in' (so many to an inch); raises ValueError."""
    plain = name.strip().lower()
    match = _PER_INCH.fullmatch(plain)
    if match and float(match[1]) > 0:
        return INCH / float(match[1])
    if plain in UNITS:
        return UNITS[plain]
    raise ValueError(f"no unit is called '{name}'; there are {', '.join(UNITS)}, and 96/in for so many to an inch")
