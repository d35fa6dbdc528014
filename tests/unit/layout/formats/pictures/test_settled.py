"""A border near a learned line: on a sharp step beside it, on the line itself where there is none."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from layout.formats.pictures.border import Points
from layout.formats.pictures.settled import settle

MM = 25.4 / 300
MIDDLE, LEVELS = 60, (1.0, 4.0)


def seen(told: float, metal: float | None) -> np.ndarray:
    """A disc of metal of radius `metal` on white, and how sure of metal a look is that has it end at `told`."""
    y, x = np.mgrid[0:120, 0:120]
    far = np.hypot(x - MIDDLE, y - MIDDLE)
    grey = np.full(far.shape, 240.0) if metal is None else np.where(far < metal, 120.0, 240.0)
    soft = cv2.GaussianBlur(grey, (0, 0), 0.9)
    return np.dstack([soft, soft, soft, np.clip(told + 0.5 - far, 0, 1)]).astype(np.float32)


def circle(radius: float) -> Points:
    turn = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    return MIDDLE + radius * np.column_stack([np.cos(turn), np.sin(turn)])


def radius(points: Points) -> float:
    return float(np.hypot(*(points - MIDDLE).T).mean())


def test_a_sharp_step_near_the_learned_line_counts_more_than_the_line() -> None:
    border = settle(seen(told=38.5, metal=40.0), circle(38.5), LEVELS, MM)
    assert border.clear.min() > 0.9
    assert radius(border.points) == pytest.approx(39.5, abs=0.2)


def test_without_a_step_the_learned_line_stays() -> None:
    border = settle(seen(told=38.5, metal=None), circle(37.0), LEVELS, MM)
    assert border.clear.max() < 0.1
    assert radius(border.points) == pytest.approx(38.5, abs=0.15)


def test_a_step_farther_off_is_another_ones() -> None:
    border = settle(seen(told=38.5, metal=47.0), circle(38.5), LEVELS, MM)
    assert radius(border.points) == pytest.approx(38.5, abs=0.4)
