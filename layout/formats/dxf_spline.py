"""Splines of DXF drawings as ezdxf can draw them: beginning and ending at their outermost control points."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from ezdxf.entities.spline import Spline
from ezdxf.math import BSpline, fit_points_to_cad_cv
from ezdxf.path.path import Path
from ezdxf.path.tools import add_spline
from numpy.typing import NDArray

Homogeneous = NDArray[np.float64]


def spline_path(entity: Spline, level: int) -> Path:
    """Return the path of a spline; one closed by its flag runs back to its first fit point."""
    fit = [] if entity.control_point_count() else list(entity.fit_points)
    if entity.closed and len(fit) > 2 and not np.allclose(fit[0], fit[-1]):
        spline = fit_points_to_cad_cv([*fit, fit[0]])
    else:
        spline = entity.construction_tool()
    path = Path()
    add_spline(path, clamped(spline), level=level)
    return path


def clamped(spline: BSpline) -> BSpline:
    """Return the same curve with knots that begin at 0 and are repeated at both ends, as ezdxf draws it right.

    Periodic splines have plain knots all through, and only the middle of these is drawn. The new control points are
    the blossoms of the new knots (Ramshaw, 'Blossoms are polar forms', 1989), taken in homogeneous coordinates.
    """
    degree, knots = spline.degree, list(spline.knots())
    first, last = knots[degree], knots[-degree - 1]
    if first >= last:
        raise ValueError("a spline without any length")
    wanted = [first] * (degree + 1) + [k for k in knots if first < k < last] + [last] * (degree + 1)
    points = _homogeneous(spline)
    if wanted != knots:
        points = np.array([_blossom(points, knots, wanted, k, degree) for k in range(len(wanted) - degree - 1)])
    plain, weights = points[:, :3] / points[:, 3:], points[:, 3]
    rational = weights.tolist() if spline.is_rational else None
    return BSpline(plain.tolist(), degree + 1, [k - first for k in wanted], rational)


def _homogeneous(spline: BSpline) -> Homogeneous:
    weights = np.asarray(spline.weights() if spline.is_rational else [1.0] * spline.count, np.float64)
    points = np.array([tuple(p) for p in spline.control_points], np.float64)
    return np.column_stack([points * weights[:, None], weights])


def _blossom(
    points: Homogeneous, knots: Sequence[float], wanted: Sequence[float], which: int, degree: int
) -> Homogeneous:
    """Return new control point `which`: the polar form of a piece of its reach at the knots within that reach."""
    reach = wanted[which : which + degree + 2]
    begin = next(a for a, b in pairwise(reach) if a < b)
    span = max(k for k in range(degree, len(knots) - degree - 1) if knots[k] <= begin)
    level: dict[int, Homogeneous] = {k: points[k] for k in range(span - degree, span + 1)}
    for r, at in enumerate(reach[1 : degree + 1], 1):
        lower = range(span - degree + r, span + 1)
        shares = {k: (at - knots[k]) / (knots[k + degree - r + 1] - knots[k]) for k in lower}
        level = {k: (1 - share) * level[k - 1] + share * level[k] for k, share in shares.items()}
    return level[span]
