"""What a drawing yields: outlines in mm, the unit it was in, what was noticed, and what each contour may be."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from layout.formats import writing
from layout.formats.contour_tree import Role, apart, nest, outlines_of, propose_roles, without_doubles
from layout.formats.contours import Chain, Contours, carry_chain, contours_of
from layout.formats.reading import one_line, read_bytes
from layout.geometry.curve import Arc, Cubic, Segment
from layout.geometry.outline import Outline, OutlineError, Ring
from layout.model.errors import FileError

FARTHEST = 1e7
MOST_MEGABYTES = 16
"""What is read in a bearable time; a drawer of dies is a hundredth of it."""
LEAST_LIKELY, MOST_LIKELY = 1.0, 3000.0
"""Sizes (mm) of a whole drawing beyond which its unit is doubted in words."""
_MOST_FINDINGS = 50


@dataclass(frozen=True, slots=True)
class LikelySize:
    """How large a drawing without a unit would be (mm) if its unit were this one."""

    unit: str
    unit_mm: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Contour:
    """A closed line, the contour it lies directly in (by number), and what it is proposed to be."""

    ring: Ring
    inside: int | None
    role: Role


@dataclass(frozen=True, slots=True)
class Imported:
    """Outlines in mm, y up; while `unit_mm` is None they are in the drawing's own unit and a unit must be chosen."""

    outlines: tuple[Outline, ...]
    unit_mm: float | None
    findings: tuple[str, ...]
    contours: tuple[Contour, ...] = ()
    open_lines: tuple[Ring, ...] = ()
    likely: tuple[LikelySize, ...] = ()


def imported(
    chains: Sequence[Chain], unit_mm: float | None, findings: Sequence[str], guesses: Mapping[str, float]
) -> Imported:
    """Make outlines of the chains of a drawing (its own unit, y up). `guesses`: mm of each likely unit."""
    chains = _sensible(chains, unit_mm or 1.0, findings := list(findings))
    if unit_mm is None:
        found = contours_of(chains, "units", None)
    else:
        scale = (unit_mm, 0.0, 0.0, unit_mm, 0.0, 0.0)
        found = contours_of([carry_chain(scale, c) for c in chains] if unit_mm != 1.0 else chains)
    if not found.rings and not found.open_lines:
        raise OutlineError(_nothing(findings))
    if unit_mm is not None:
        findings += _unlikely(found, unit_mm)
    rings = without_doubles(found)
    inside, nested = nest(rings, found)
    outlines = outlines_of(rings, apart(rings, nested, found), found)
    contours = tuple(map(Contour, rings, inside, propose_roles(rings, inside)))
    likely = () if unit_mm is not None else _likely(found, guesses)
    said = [*findings, *found.findings]
    if len(said) > _MOST_FINDINGS:
        said = [*said[:_MOST_FINDINGS], f"and {len(said) - _MOST_FINDINGS} more remarks of the kind"]
    return Imported(tuple(outlines), unit_mm, tuple(said), contours, tuple(found.open_lines), likely)


def _nothing(findings: Sequence[str]) -> str:
    beyond = [f for f in findings if "coordinates beyond" in f]
    said = f"no outline is drawn in it ({beyond[0]}: is its unit right?)" if beyond else "no outline is drawn in it"
    return f"{said}; export the shapes as lines or curves"


def drawing_bytes(path: Path) -> bytes:
    """Read a drawing's file; one that is too large is refused before it is opened. Raises FileError."""
    try:
        size = path.stat().st_size
    except (OSError, ValueError):
        size = 0  # read_bytes says what is wrong with it
    if size > MOST_MEGABYTES * 2**20:
        said = f"{size / 2**20:.0f} MB, at most {MOST_MEGABYTES} are read"
        raise FileError(f"{one_line(str(path))}: {said}; export the outlines alone")
    return read_bytes(path)


def imported_bytes(got: Imported) -> bytes:
    """Return the outline file of an imported drawing: outlines, unit, findings, lines left open, roles proposed."""
    tree: dict[str, Any] = {
        "outlines": [writing.outline(o) | {"holes": [writing.points(h) for h in o.holes]} for o in got.outlines],
        "unit_mm": got.unit_mm,
        "findings": list(got.findings),
        "open": [writing.points(line) for line in got.open_lines],
        "roles": [{"ring": writing.points(c.ring), "inside": c.inside, "role": c.role} for c in got.contours],
    }
    return writing.to_bytes(tree)


def question(got: Imported) -> str:
    """Return the question a drawing without a unit raises, with the sizes it would have."""
    sizes = "; ".join(f"{s.unit}: {s.width:.1f} × {s.height:.1f} mm" for s in got.likely)
    return f"the drawing does not say its unit; which size is right? {sizes}"


def _sensible(chains: Sequence[Chain], unit_mm: float, findings: list[str]) -> list[Chain]:
    """Leave out what reaches farther than any paper: broken or endless numbers."""
    kept = [c for c in chains if all(_reach(s) * unit_mm <= FARTHEST for s in c.segments)]
    if len(kept) < len(chains):
        findings.append(f"{len(chains) - len(kept)} lines with coordinates beyond {FARTHEST / 1000:g} m were left out")
    return kept


def _reach(segment: Segment) -> float:
    parts: list[float] = []
    if isinstance(segment, Arc):
        parts += (*segment.centre, *segment.u, *segment.v, segment.sweep)
    else:
        parts += (*segment.start, *segment.end)
    if isinstance(segment, Cubic):
        parts += (*segment.first, *segment.second)
    return max(abs(v) for v in parts) if all(map(math.isfinite, parts)) else math.inf


def _likely(found: Contours, guesses: Mapping[str, float]) -> tuple[LikelySize, ...]:
    width, height = _size(found)
    return tuple(LikelySize(u, mm, width * mm, height * mm) for u, mm in guesses.items())


def _unlikely(found: Contours, unit_mm: float) -> list[str]:
    """Say so where the unit makes the drawing larger than any table or smaller than any die."""
    sides = _size(found)
    if LEAST_LIKELY <= max(sides) <= MOST_LIKELY:
        return []
    size = " × ".join(f"{side:,.4g}" for side in sides)
    return [f"with a unit of {unit_mm:.6g} mm the drawing is {size} mm large; name another unit if that is wrong"]


def _size(found: Contours) -> tuple[float, float]:
    xs, ys = zip(*(p for r in (*found.rings, *found.open_lines) for p in r), strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)
