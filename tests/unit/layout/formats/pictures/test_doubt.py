"""What cannot be seen adds to a border's stated error."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import Point

from layout.formats.pictures.doubt import combined, dark_share
from layout.formats.pictures.ground import Ground


@pytest.mark.parametrize(("metal", "share"), [(160, 0.0), (60, 1.0)])
def test_metal_darker_than_its_ground_is_told_from_brighter(metal: int, share: float) -> None:
    y, x = np.mgrid[0:80, 0:80]
    ring = (np.hypot(x - 40, y - 40) < 30)[..., None]
    picture = np.where(ring, metal, 110).astype(np.uint8).repeat(3, axis=2)
    ground = Ground(np.full((10, 10, 3), 110, np.float32), np.ones((10, 10), bool), 80, 80, 1.5, 1.0)
    assert dark_share(picture, ground, Point(40, 40).buffer(30), 25.4 / 300) == pytest.approx(share, abs=0.02)


def test_doubt_grows_with_what_is_unseen_and_more_so_in_shadow() -> None:
    assert combined(0.0, 1.0) == 0.0
    assert 0 < combined(0.02, 0.0) < combined(0.05, 0.0)
    assert combined(0.02, 1.0) > combined(0.02, 0.0)
