"""Paper weight between grams per square metre and pounds of a US basis size, exact by definition.

A pound is 0.45359237 kg and an inch 25.4 mm; a basis weight is that of 500 sheets of the paper's own basis size, so
that 110 lb index (198.9 g/m2) is a thinner card than 110 lb cover (297.5 g/m2).
"""

from __future__ import annotations

import re
from typing import Literal

Basis = Literal["cover", "text", "bristol", "index", "bond", "tag"]

SIZES: dict[Basis, tuple[float, float]] = {
    "cover": (20.0, 26.0),
    "text": (25.0, 38.0),
    "bristol": (22.5, 28.5),
    "index": (25.5, 30.5),
    "bond": (17.0, 22.0),
    "tag": (24.0, 36.0),
}
"""Basis sizes in inches."""

GRAMS_PER_POUND = 453.59237
SHEETS = 500
SQUARE_METRES_PER_SQUARE_INCH = 0.0254**2
BULK = (1.0, 1.25, 1.4)
"""Specific volume of board in cm3/g, least, usual, most (Babic et al., Tiskarstvo 04; wider range: common practice)."""


def grammage(pounds: float, basis: Basis) -> float:
    """Return the g/m2 of a paper of so many pounds."""
    return pounds * grams_per_pound(basis)


def grams_per_pound(basis: Basis) -> float:
    """Return how many g/m2 one pound of a basis size is."""
    width, height = SIZES[basis]
    return GRAMS_PER_POUND / (SHEETS * width * height * SQUARE_METRES_PER_SQUARE_INCH)


def guessed_caliper(grams: float) -> tuple[float, float, float]:
    """Return the least, usual and greatest thickness (mm) of a card of so many g/m2: measuring beats it."""
    low, usual, high = (grams * bulk / 1000.0 for bulk in BULK)
    return low, usual, high


class WeightError(ValueError):
    """A paper weight or caliper that cannot be read; the message says what would be understood."""


_WEIGHT = re.compile(r"(?P<number>\d+(?:[.,]\d+)?)\s*(?P<unit>lbs?\.?|#|g(?:sm|/m2|/m²)?)?\s*(?P<basis>[a-z]*)")
_CALIPER = re.compile(r"(?P<number>\d*[.,]?\d+)\s*(?P<unit>pt|mm|in|\")?")
_CALIPER_MM = {"": 1.0, "mm": 1.0, "pt": 0.0254, "in": 25.4, '"': 25.4}
MOST_GRAMS, MOST_CALIPER = 2000.0, 10.0


def parse_weight(text: str) -> float:
    """Read a paper weight and return g/m2: '216', '216 g/m2', '110 lb index', '80# text'; raises WeightError.

    Pounds need the kind of paper, for 110 lb index and 110 lb cover are different cards.
    """
    match = _WEIGHT.fullmatch(text.strip().lower())
    if match is None:
        raise WeightError(f'"{text.strip()}" is no paper weight: write for example 216 or 80 lb cover')
    number, unit, kind = float(match["number"].replace(",", ".")), match["unit"] or "", match["basis"]
    grams = number if unit[:1] in ("", "g") and not kind else _from_pounds(number, unit, kind, text)
    if grams > MOST_GRAMS:
        raise WeightError(f'"{text.strip()}" is heavier than {MOST_GRAMS:g} g/m²: check the number')
    return grams


def parse_caliper(text: str) -> float:
    """Read a caliper and return mm: '0.25', '12 pt' (thousandths of an inch), '0.012 in'; raises WeightError."""
    match = _CALIPER.fullmatch(text.strip().lower())
    if match is None:
        raise WeightError(f'"{text.strip()}" is no caliper: write for example 0.25, 12 pt or 0.012 in')
    caliper = float(match["number"].replace(",", ".")) * _CALIPER_MM[match["unit"] or ""]
    if caliper > MOST_CALIPER:
        raise WeightError(f'"{text.strip()}" is thicker than {MOST_CALIPER:g} mm: check the number and its unit')
    return caliper


def _from_pounds(number: float, unit: str, kind: str, text: str) -> float:
    for basis in SIZES:
        if kind == basis and (unit.startswith("lb") or unit == "#"):
            return grammage(number, basis)
    kinds = ", ".join(SIZES)
    raise WeightError(f'"{text.strip()}": pounds need the kind of paper ({kinds}), as in 80 lb cover')
