"""The cheapest way round a closed strip of prices: one column a row, moving one column a row at most."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from layout.geometry.compiled import compiled


def cheapest_path(prices: NDArray[Any], bend: float) -> NDArray[np.int64]:
    """Return a column for each row of `prices` (rows x columns, closed) with the least sum; a step aside costs `bend`.

    Dynamic programming over the strip laid out twice; the middle half is kept, so that the ends meet.
    """
    rows = len(prices)
    twice = np.concatenate([prices[rows // 2 :], prices, prices[: rows // 2]]).astype(np.float64)
    path = np.zeros(len(twice), np.int64)
    _follow(twice, bend, np.zeros(twice.shape, np.int8), path)
    return path[rows - rows // 2 : 2 * rows - rows // 2]


@compiled
def _follow(prices: NDArray[np.float64], bend: float, back: NDArray[np.int8], path: NDArray[np.int64]) -> None:
    rows, columns = prices.shape
    total, before = prices[0].copy(), prices[0].copy()
    for i in range(1, rows):
        for j in range(columns):
            before[j] = total[j]
        for j in range(columns):
            best, way = before[j], 0
            if j > 0 and before[j - 1] + bend < best:
                best, way = before[j - 1] + bend, -1
            if j < columns - 1 and before[j + 1] + bend < best:
                best, way = before[j + 1] + bend, 1
            total[j] = best + prices[i, j]
            back[i, j] = way
    path[rows - 1] = np.argmin(total)
    for i in range(rows - 1, 0, -1):
        path[i - 1] = path[i] + back[i, path[i]]
