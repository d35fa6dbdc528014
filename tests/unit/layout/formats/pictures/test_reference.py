"""The thing of known size on a photo."""

from __future__ import annotations

import cv2
import numpy as np

from layout.formats.pictures.reference import CARD, find_card

SCALE = 7.0  # pixels a mm


def test_a_card_is_found_within_a_wide_soft_shadow() -> None:
    turned = cv2.boxPoints(((600, 450), (CARD[0] * SCALE, CARD[1] * SCALE), 8.0))
    card = np.zeros((1000, 1300), np.float32)
    cv2.fillPoly(card, [np.round((turned - 0.5) * 256).astype(np.int32)], 1.0, cv2.LINE_AA, 8)
    moved = np.roll(card, (round(0.8 * SCALE), round(0.4 * SCALE)), (0, 1))
    ground = 235 * (1 - 0.5 * cv2.GaussianBlur(moved, (0, 0), 0.9 * SCALE))
    picture = ground + card * (90 - ground) + np.random.default_rng(1).normal(0, 2, card.shape)
    found = find_card(cv2.GaussianBlur(picture, (0, 0), 0.8).clip(0, 255).astype(np.uint8)[..., None].repeat(3, 2))
    assert found is not None
    assert found.fit.misfit < 0.3
