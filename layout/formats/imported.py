"""What a drawing yields: outlines in mm, the unit it was in, what was noticed, and what each contour may be."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from layout.formats import writing
from layout.formats.contours import Chain, Contours, carry_chain, contours_of, sound_outline
from layout.formats.reading import one_line, read_bytes
from layout.geometry.curve import Arc, Cubic, Segment
from layout.geometry.outline import Outline, OutlineError, Ring
from layout.model.errors import FileError

Role = Literal["body", "cut", "window"]
WIDEST_RIM = 6.0
"""A contour that runs evenly outside another, no farther off (mm), is taken for a die's metal edge."""
FARTHEST = 1e7
MOST_MEGABYTES = 16
"""What is read in a bearable time; a drawer of dies is a hundredth of it."""
MOST_CONTOURS = 20_000
MOST_MEETINGS = 20_000_000
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
        raise OutlineError("no outline is drawn in it; export the shapes as lines or curves")
    rings = _without_doubles(found)
    inside, nested = _nest(rings, found)
    outlines = _outlines(rings, _apart(rings, nested, found), found)
    contours = tuple(
        Contour(r, inside[k], role) for k, (r, role) in enumerate(zip(rings, _roles(rings, inside), strict=True))
    )
    likely = () if unit_mm is not None else _likely(found, guesses)
    said = [*findings, *found.findings]
    if len(said) > _MOST_FINDINGS:
        said = [*said[:_MOST_FINDINGS], f"and {len(said) - _MOST_FINDINGS} more remarks of the kind"]
    return Imported(tuple(outlines), unit_mm, tuple(said), contours, tuple(found.open_lines), likely)


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


def _without_doubles(found: Contours) -> list[Ring]:
    """Drop contours drawn twice in the same place."""
    kept: dict[tuple[tuple[float, float], ...], Ring] = {}
    for ring in found.rings:
        kept.setdefault(tuple(sorted((round(x, 3), round(y, 3)) for x, y in ring)), ring)
    if len(kept) < len(found.rings):
        found.findings.append(f"{len(found.rings) - len(kept)} of the contours were drawn twice; each was taken once")
    if len(kept) > MOST_CONTOURS:
        raise OutlineError(f"it has more than {MOST_CONTOURS:,} contours; export the shapes alone")
    return list(kept.values())


def _nest(rings: list[Ring], found: Contours) -> tuple[list[int | None], list[tuple[int, list[int]]]]:
    """Return for each ring the one directly about it, and the rings of even depth with those directly in them."""
    if not rings:
        return [], []
    solids = [shapely.make_valid(Polygon(r)) for r in rings]
    depth = [0] * len(rings)
    inside: list[int | None] = [None] * len(rings)
    tree = shapely.STRtree(solids)
    _refuse_tangle(solids, tree)
    for a, b in tree.query(solids, predicate="within").T.tolist():  # a lies in b
        if a == b:
            continue
        depth[a] += 1
        at = inside[a]
        if at is None or solids[b].area < solids[at].area:
            inside[a] = b
    crossing = {(min(a, b), max(a, b)) for a, b in tree.query(solids, predicate="overlaps").T.tolist()}
    if crossing:
        said = f"{len(crossing)} pairs of contours cross each other"
        found.findings.append(f"{said}; each was taken as a shape of its own")
    return inside, _nested(inside, depth)


def _refuse_tangle(solids: list[BaseGeometry], tree: shapely.STRtree) -> None:
    """Refuse what would take minutes to sort out: the corners met when each is held against those it overlaps."""
    corners = shapely.get_num_coordinates(solids)
    met = 0
    for start in range(0, len(solids), 100):
        a, b = tree.query(solids[start : start + 100])
        met += int((corners[a + start] + corners[b]).sum())
        if met > MOST_MEETINGS:
            raise OutlineError("too many of its contours lie over one another; export the shapes alone")


def _nested(inside: list[int | None], depth: list[int]) -> list[tuple[int, list[int]]]:
    """Return the contours of even depth, each with those directly in it."""
    held: dict[int, list[int]] = {k: [] for k, d in enumerate(depth) if d % 2 == 0}
    for k, at in enumerate(inside):
        if at is not None and depth[k] % 2:
            held[at].append(k)
    return list(held.items())


def _apart(rings: list[Ring], nested: list[tuple[int, list[int]]], found: Contours) -> list[tuple[int, list[int]]]:
    """Make a contour that shares a side with the one about it a shape of its own: no window could be there."""
    made = []
    for outer, holes in nested:
        windows = [h for h in holes if not Polygon(rings[outer]).is_valid or Polygon(rings[outer], [rings[h]]).is_valid]
        made += [(outer, windows), *((h, []) for h in holes if h not in windows)]
    if len(made) > len(nested):
        said = f"{len(made) - len(nested)} contours share a side with the one they lie in"
        found.findings.append(f"{said}; each was taken as a shape of its own")
    return made


def _outlines(rings: list[Ring], nested: list[tuple[int, list[int]]], found: Contours) -> list[Outline]:
    made = []
    for outer, holes in nested:
        try:
            outline, mended = sound_outline(rings[outer], [rings[h] for h in holes])
        except OutlineError as error:
            x, y = rings[outer][0]
            found.findings.append(f"the contour at ({x:.2f}, {y:.2f}) was left out: {error}")
            continue
        made.append(outline)
        if mended:
            x, y = rings[outer][0]
            found.findings.append(f"the contour at ({x:.2f}, {y:.2f}) touched itself; it was parted there")
    return made


def _roles(rings: list[Ring], inside: list[int | None]) -> list[Role]:
    """Propose: an outermost contour close about a single other one is metal, that one the cut; else it is the cut."""
    children: dict[int, list[int]] = {}
    for k, at in enumerate(inside):
        if at is not None:
            children.setdefault(at, []).append(k)
    roles: list[Role] = ["window"] * len(rings)
    for k, at in enumerate(inside):
        if at is not None:
            continue
        held = children.get(k, [])
        if len(held) == 1 and _runs_along(rings[k], rings[held[0]]):
            roles[k], roles[held[0]] = "body", "cut"
        else:
            roles[k] = "cut"
    return roles


def _runs_along(outer: Ring, inner: Ring) -> bool:
    gap = shapely.hausdorff_distance(shapely.LinearRing(outer), shapely.LinearRing(inner))
    return bool(gap <= WIDEST_RIM * math.sqrt(2))  # a square corner is that much farther off than the sides


def _likely(found: Contours, guesses: Mapping[str, float]) -> tuple[LikelySize, ...]:
    points = [p for r in (*found.rings, *found.open_lines) for p in r]
    if not points:
        return ()
    width = max(p[0] for p in points) - min(p[0] for p in points)
    height = max(p[1] for p in points) - min(p[1] for p in points)
    return tuple(LikelySize(u, mm, width * mm, height * mm) for u, mm in guesses.items())
