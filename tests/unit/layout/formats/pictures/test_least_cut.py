"""The least cut on cells whose answer is known by arithmetic."""

from __future__ import annotations

import numpy as np
import pytest

from layout.formats.pictures.least_cut import least_cut


@pytest.mark.parametrize(("gain", "metal"), [(0.30, True), (0.10, False)])
def test_a_disc_is_kept_just_where_its_area_outweighs_its_border(gain: float, metal: bool) -> None:
    # a disc of radius r gains g * pi r^2 and pays 2 pi r: metal where g > 2 / r = 0.2 for r = 10
    y, x = np.mgrid[-20:21, -20:21]
    gains = np.where(x * x + y * y <= 100, gain, -1.0)
    found = least_cut(np.ones((41, 41)), gains, np.zeros((41, 41)), 600)
    assert (found[20, 20] > 0.5) == metal
    assert found[2, 2] < 0.5


def test_a_streak_that_looks_like_ground_is_bridged_along_clear_edges() -> None:
    price, gain = np.ones((30, 60)), np.full((30, 60), -0.3)
    gain[10:20, 5:55] = 0.8
    gain[10:20, 27:31] = -0.3
    price[9], price[19], price[9:20, 4], price[9:20, 54] = 0.03, 0.03, 0.03, 0.03
    found = least_cut(price, gain, np.zeros((30, 60)), 600)
    assert (found[11:18, 8:52] > 0.5).all()
    assert (found[:8] < 0.5).all()
