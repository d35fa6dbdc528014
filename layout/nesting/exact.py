"""The last word on a bed: every clearance on the true outlines."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import Polygon

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose

ROUNDING = 0.003

LaidDie = tuple[Outline, Outline, Pose, int]
LaidSheet = tuple[Outline, float, Sequence[tuple[Outline, float]], Pose]


def faults(
    bed: tuple[float, float, float, float],
    rollers: tuple[float, float, float, float],
    gap: float,
    dies: Sequence[LaidDie],
    sheets: Sequence[LaidSheet],
) -> list[str]:
    """Say what is wrong on a bed; an empty list where every clearance holds to within 0.003 mm."""
    found: list[str] = []
    metals = [pose.outline(metal).polygon for metal, _, pose, _ in dies]
    papers = [pose.outline(outline).polygon for outline, _, _, pose in sheets]
    found += [f"die {k} leaves the bed" for k, m in enumerate(metals) if not within(m.bounds, bed)]
    found += [f"sheet {k} leaves the rollers" for k, p in enumerate(papers) if not within(p.bounds, rollers)]
    found += [f"dies {i} and {j} are too close" for i, j in _close(metals, gap)]
    found += [f"sheets {i} and {j} overlap" for i, j in _overlapping(papers)]
    for number, (outline, edge, marks, pose) in enumerate(sheets):
        found += _on_sheet(number, outline, edge, marks, pose, dies)
    return found


def within(bounds: Sequence[float], limits: Sequence[float]) -> bool:
    """Whether bounds (x0, y0, x1, y1) lie within limits."""
    low = bounds[0] >= limits[0] - ROUNDING and bounds[1] >= limits[1] - ROUNDING
    return low and bounds[2] <= limits[2] + ROUNDING and bounds[3] <= limits[3] + ROUNDING


def _close(shapes: list[Polygon], gap: float) -> list[tuple[int, int]]:
    pairs = [(i, j) for i in range(len(shapes)) for j in range(i) if _near(shapes[i].bounds, shapes[j].bounds, gap)]
    return [
        (i, j) for i, j in pairs if shapes[i].distance(shapes[j]) < gap - ROUNDING or shapes[i].intersects(shapes[j])
    ]


def _overlapping(papers: list[Polygon]) -> list[tuple[int, int]]:
    pairs = [(i, j) for i in range(len(papers)) for j in range(i)]
    return [(i, j) for i, j in pairs if papers[i].intersection(papers[j]).area > 0.01]


def _near(a: tuple[float, ...], b: tuple[float, ...], gap: float) -> bool:
    return a[0] - gap < b[2] and b[0] - gap < a[2] and a[1] - gap < b[3] and b[1] - gap < a[3]


def _on_sheet(
    number: int,
    outline: Outline,
    edge: float,
    marks: Sequence[tuple[Outline, float]],
    pose: Pose,
    dies: Sequence[LaidDie],
) -> list[str]:
    mine = [(k, at.seen_from(pose).outline(cut)) for k, (_, cut, at, host) in enumerate(dies) if host == number]
    if not mine:
        return []
    inner = outline.polygon.buffer(-edge + ROUNDING)
    found = [
        f"die {k} cuts too near the edge of sheet {number}" for k, cut in mine if not inner.covers(cut.solid.polygon)
    ]
    for mark, gap in marks:
        found += [
            f"die {k} cuts a mark of sheet {number}" for k, cut in mine if _touches(cut.polygon, mark.polygon, gap)
        ]
    return found


def _touches(cut: Polygon, mark: Polygon, gap: float) -> bool:
    if gap > 0.0:
        return bool(cut.distance(mark) < gap - ROUNDING)
    return bool(cut.intersection(mark).area > 0.01)
