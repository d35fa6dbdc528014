"""What lies near is the same as a look through all boxes by an outside library's distance finds."""

import numpy as np
import pytest
from shapely import box

from layout.rules.near import MANY, Near


@pytest.mark.parametrize("count", [1, 2, MANY - 1, MANY + 1, 4 * MANY])
def test_near_things_are_those_that_shapely_finds_through_moves_and_removals(count):
    rng = np.random.default_rng(count)
    near, truth = Near(), {}

    def lay(key):
        x, y = rng.uniform(0, 300, 2)
        w, h = rng.uniform(1, 40, 2)
        truth[key] = (x, y, x + w, y + h)
        near.put(key, truth[key])

    for key in range(count):
        lay(key)
    for _ in range(60):
        key = int(rng.integers(count))
        if rng.random() < 0.2:
            near.remove(key)
            truth.pop(key, None)
        else:
            lay(key)
        gap = float(rng.uniform(0, 10))
        for asked in list(truth)[:: max(1, len(truth) // 5)]:
            x0, y0, x1, y1 = truth[asked]
            grown = box(x0 - gap, y0 - gap, x1 + gap, y1 + gap)
            expected = {k for k, b in truth.items() if k != asked and grown.intersects(box(*b))}
            found = list(near.around(asked, gap))
            assert set(found) == expected
            assert len(found) == len(expected)
