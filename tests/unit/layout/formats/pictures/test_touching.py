"""Two dies that touch on the glass are told with the remedy; single dies are not."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union

from layout.formats.pictures.scan import trace_scan
from layout.formats.pictures.touching import joined
from tests.support.die_shapes import die_body
from tests.support.picture_maker import Look, scan

DARK = Look(ground=(45, 47, 46), metal=150, texture=3, streaks=60, shadow=0.4, dust=15, jpeg=80)


def ring(x: float, radius: float = 11.0) -> Polygon:
    return Point(x, 22).buffer(radius, 64).difference(Point(x, 22).buffer(radius - 3, 64))


@pytest.mark.parametrize(("gap", "said"), [(-0.4, True), (4.0, False)])
def test_two_rings_that_touch_on_the_glass_are_told_with_the_remedy(gap: float, said: bool) -> None:
    rings = [ring(18), ring(40 + gap)]
    bodies = [unary_union(rings)] if said else rings
    made = scan(np.random.default_rng(1), 62, 44, look=DARK, bodies=bodies)
    findings = trace_scan(made.pixels, made.dpi).findings
    assert any("two dies seem to touch" in f and "lay them apart and scan again" in f for f in findings) == said


def test_no_single_die_is_taken_for_two() -> None:
    rng = np.random.default_rng(0)
    assert not any(joined(die_body(rng, rng.uniform(9, 26))) for _ in range(60))


def test_most_pairs_that_touch_are_noticed() -> None:
    rng = np.random.default_rng(2)
    pairs = [touching_pair(rng) for _ in range(20)]
    assert sum(joined(p) for p in pairs) >= 10


def touching_pair(rng: np.random.Generator) -> Polygon:
    """Two dies side by side, the second pushed against the first until 0.4 mm of them overlap."""
    a, b = (die_body(rng, rng.uniform(12, 20)) for _ in range(2))
    near, far = 0.0, 120.0
    for _ in range(30):
        middle = (near + far) / 2
        meets = Polygon(a.exterior).intersects(affinity.translate(b, middle))
        near, far = (middle, far) if meets else (near, middle)
    both = unary_union([a, affinity.translate(b, far - 0.4)]).buffer(0.2).buffer(-0.2)
    return max(getattr(both, "geoms", [both]), key=lambda g: g.area)
