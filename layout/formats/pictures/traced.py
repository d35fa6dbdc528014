"""What a tracer hands back."""

from __future__ import annotations

from dataclasses import dataclass

from layout.geometry.outline import Outline


@dataclass(frozen=True, slots=True)
class Traced:
    """Outlines in mm (y up), a pixel's size in mm, remarks for a person, and how far off a border may be."""

    outlines: tuple[Outline, ...]
    unit_mm: float
    findings: tuple[str, ...]
    uncertainty_mm: float
    errors_mm: tuple[float, ...] = ()  # the same for each outline
