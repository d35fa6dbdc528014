"""The least closed cut: parts cells into ground and metal so that borders run where they are cheap.

A weighted total variation with bounds, solved by Chambolle and Pock's primal-dual steps (J. Math. Imaging Vision 40,
2011); Chan, Esedoglu and Nikolova (SIAM J. Appl. Math. 66, 2006) show that its half level is a least cut.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from layout.geometry.compiled import compiled

Cells = NDArray[Any]  # float32
STEP = 0.35  # both steps of the iteration; their product times 8 must stay below 1


def least_cut(price: Cells, gain: Cells, start: Cells, rounds: int = 250) -> Cells:
    """Return 0 (ground) to 1 (metal) a cell: `price` of a border through a cell, `gain` of calling the cell metal."""
    metal = np.clip(start, 0, 1).astype(np.float32)
    work = np.zeros((4, *metal.shape), np.float32)
    work[0] = metal
    _iterate(np.ascontiguousarray(price, np.float32), np.ascontiguousarray(gain, np.float32), metal, work, rounds)
    return metal


@compiled
def _iterate(
    price: NDArray[np.float32], gain: NDArray[np.float32], metal: NDArray[np.float32], work: NDArray[np.float32],
    rounds: int,
) -> None:  # fmt: skip
    ahead, right, down = work[0], work[1], work[2]
    rows, columns = metal.shape
    step = np.float32(STEP)
    one, zero, two = np.float32(1.0), np.float32(0.0), np.float32(2.0)
    for _ in range(rounds):
        for i in range(rows - 1):
            for j in range(columns - 1):
                x = right[i, j] + step * (ahead[i, j + 1] - ahead[i, j])
                y = down[i, j] + step * (ahead[i + 1, j] - ahead[i, j])
                scale = price[i, j] / max(price[i, j], np.sqrt(x * x + y * y))
                right[i, j] = x * scale
                down[i, j] = y * scale
        for i in range(1, rows):
            for j in range(1, columns):
                flow = right[i, j] - right[i, j - 1] + down[i, j] - down[i - 1, j]
                before = metal[i, j]
                now = min(one, max(zero, before + step * (flow + gain[i, j])))
                metal[i, j] = now
                ahead[i, j] = two * now - before
