"""Paper weight between grams per square metre and pounds of a US basis size, exact by definition.

A pound is 0.45359237 kg and an inch 25.4 mm; a basis weight is that of 500 sheets of the paper's own basis size, so
that 110 lb index (198.9 g/m2) is a thinner card than 110 lb cover (297.5 g/m2).
"""

from __future__ import annotations

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


def pounds(grams: float, basis: Basis) -> float:
    """Return the pounds of a paper of so many g/m2."""
    return grams / grams_per_pound(basis)


def grams_per_pound(basis: Basis) -> float:
    """Return how many g/m2 one pound of a basis size is."""
    width, height = SIZES[basis]
    return GRAMS_PER_POUND / (SHEETS * width * height * SQUARE_METRES_PER_SQUARE_INCH)


def guessed_caliper(grams: float) -> tuple[float, float, float]:
    """Return the least, usual and greatest thickness (mm) of a card of so many g/m2: measuring beats it."""
    low, usual, high = (grams * bulk / 1000.0 for bulk in BULK)
    return low, usual, high
