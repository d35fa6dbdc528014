"""Images are matched to the die that frames them; the truth is the pose that the image was laid by."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Polygon

from layout.formats.pictures.cut_line import cut_line
from layout.formats.pictures.stamped import framed
from layout.geometry.outline import Outline, from_polygon
from layout.geometry.pose import Pose, angle_between
from layout.model.errors import PlatefulError
from tests.support.die_shapes import heart, moth, star


def outline(shape: Polygon, size: float) -> Outline:
    return from_polygon(affinity.scale(shape, size, size, origin=(0, 0)).simplify(0.01))


def test_the_right_die_is_found_with_its_pose() -> None:
    rng = np.random.default_rng(1)
    cuts = [outline(make(rng), 20) for make in (heart, moth, star)]
    at = Pose(140.0, -35.0, 203.0)
    ink = from_polygon(at.outline(cuts[1]).polygon.buffer(-1.5).simplify(0.02))
    found = framed(ink, cuts)
    assert found is not None
    assert found.die == 1
    assert np.hypot(found.pose.x - at.x, found.pose.y - at.y) < 0.3
    assert angle_between(found.pose.turn, at.turn) < 1.0


def test_an_image_of_none_of_the_dies_is_left_alone() -> None:
    rng = np.random.default_rng(2)
    assert framed(Outline.rectangle(60, 4), [outline(heart(rng), 20), outline(star(rng), 20)]) is None


def test_the_cut_lies_inside_the_metal_by_the_inset() -> None:
    body = Outline.rectangle(40, 30)
    assert cut_line(body, 1.5).bounds == pytest.approx((1.5, 1.5, 38.5, 28.5), abs=0.02)


def test_an_inset_that_leaves_nothing_is_refused_in_words() -> None:
    with pytest.raises(PlatefulError, match="leaves no whole shape"):
        cut_line(Outline.rectangle(10, 10), 6.0)
