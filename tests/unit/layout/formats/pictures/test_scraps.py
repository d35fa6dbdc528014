"""Stamped scraps on drawn scans: border, image, die and pose are known from the drawing."""

from __future__ import annotations

import cv2
import numpy as np
from shapely import affinity
from shapely.geometry import Polygon

from layout.formats.pictures.scraps import find_scraps
from layout.geometry.outline import Outline, from_polygon
from layout.geometry.pose import Pose, angle_between
from tests.support.border_distance import border_distance
from tests.support.die_shapes import heart, moth, star

DPI = 200.0
MM = 25.4 / DPI


def drawn(scrap: Polygon, ink: Polygon) -> np.ndarray:
    """A scrap of cream card on a dark felt, the image stamped as a line with a filled middle."""
    picture = np.full((760, 800, 3), (48, 52, 50), np.uint8)
    for shape, colour, thick in ((scrap, (206, 224, 230), -1), (ink, (90, 60, 40), 3)):
        ring = np.asarray(shape.exterior.coords) / MM
        at = np.round(np.column_stack([ring[:, 0] - 0.5, 760 - ring[:, 1] - 0.5]) * 256).astype(np.int32)
        if thick < 0:
            cv2.fillPoly(picture, [at], colour, cv2.LINE_AA, 8)
        else:
            cv2.polylines(picture, [at], True, colour, thick, cv2.LINE_AA, 8)
    grain = np.random.default_rng(1).normal(0, 2, picture.shape)
    return np.clip(cv2.GaussianBlur(picture, (0, 0), 0.8) + grain, 0, 255).astype(np.uint8)


def dies() -> list[Outline]:
    rng = np.random.default_rng(1)
    return [from_polygon(affinity.scale(m(rng), 20, 20, origin=(0, 0)).simplify(0.01)) for m in (heart, moth, star)]


SCRAP = Polygon([(10, 12), (88, 9), (92, 80), (14, 86)])
AT = Pose(50.0, 47.0, 37.0)


def test_an_image_brings_its_die_and_pose() -> None:
    ink = AT.outline(dies()[1]).polygon.buffer(-1.5)
    found = find_scraps(drawn(SCRAP, ink), dies(), dpi=DPI)
    (scrap,) = found.scraps
    assert border_distance(scrap.outline.polygon, SCRAP)[0] <= max(0.25, found.uncertainty_mm)
    (image,) = scrap.images
    assert image.framed is not None
    assert image.framed.die == 1
    # half a millimetre and a degree: what a hand nudges anyway
    assert np.hypot(image.framed.pose.x - AT.x, image.framed.pose.y - AT.y) < 0.5
    assert angle_between(image.framed.pose.turn, AT.turn) < 1.0


def test_an_image_without_a_die_is_told_of() -> None:
    ink = Polygon([(30, 40), (75, 40), (75, 46), (30, 46)])
    found = find_scraps(drawn(SCRAP, ink), [dies()[0]], dpi=DPI)
    assert [image.framed for image in found.scraps[0].images] == [None]
    assert any("none of the dies" in f for f in found.findings)
