"""The learned look: metal whose shine is as light as its ground is whole, bare ground holds none."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Point

from layout.formats.pictures import learned
from layout.formats.pictures.ground import ground_of
from layout.formats.pictures.scan import trace_scan
from layout.model.errors import FileError
from tests.support.border_distance import border_distance
from tests.support.picture_maker import Look, scan

SHINY = Look(
    ground=(225, 226, 224), metal=150, metal_tint=(1, 1, 1), sheen=225, streaks=60, shadow=0.3, bevel=30, jpeg=85
)
PLAIN = Look(ground=(225, 226, 224), metal=140, metal_tint=(1, 1, 1), shadow=0.2)
RING = Point(25, 25).buffer(17, 64).difference(Point(25, 25).buffer(12, 64))
MM = 25.4 / 300


def test_shine_as_light_as_the_ground_leaves_a_ring_whole() -> None:
    for seed in range(3):
        made = scan(np.random.default_rng(seed), 50, 50, look=SHINY, bodies=[RING])
        (outline,) = trace_scan(made.pixels, made.dpi).outlines
        # the bound for the worst die is 0.30 mm; shine hides part of these borders
        assert border_distance(outline.polygon, RING)[0] < 0.8
        assert len(outline.holes) == 1


@pytest.mark.parametrize("dpi", [150, 300, 400])
def test_metal_is_told_from_ground_at_any_resolution(dpi: int) -> None:
    made = scan(np.random.default_rng(4), 50, 50, dpi=dpi, look=PLAIN, bodies=[RING])
    mm = 25.4 / dpi
    sure = learned.metalness(made.pixels, ground_of(made.pixels, mm, to_rim=True), mm)
    assert sure.shape == made.pixels.shape[:2]
    assert float((sure > 0.5).sum()) * mm * mm == pytest.approx(RING.area, rel=0.05)


def test_what_looks_like_an_opening_but_fades_in_is_metal() -> None:
    y, x = np.mgrid[0:200, 0:200]
    disc = np.hypot(x - 100, y - 100) < 80
    opening = np.hypot(x - 70, y - 100) < 15
    shine = np.clip((np.hypot(x - 135, y - 100) - 4) / 36, 0, 1)
    sure = np.where(disc & ~opening, shine, 0).astype(np.float32)
    metal = learned._without_haze((sure > 0.5).astype(np.uint8), sure, MM)
    assert metal[100, 135] == 1
    assert metal[100, 70] == 0
    assert metal[5, 5] == 0


def test_bare_ground_holds_no_metal() -> None:
    made = scan(np.random.default_rng(5), 60, 50, look=Look(ground=(220, 221, 222), metal=0, texture=3), bodies=[])
    assert learned.metalness(made.pixels, ground_of(made.pixels, MM), MM).max() < 0.5


def test_a_missing_network_is_said_in_one_sentence(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(learned, "TAUGHT", tmp_path / "gone.onnx")
    learned._network.cache_clear()
    made = scan(np.random.default_rng(5), 40, 40, look=SHINY, bodies=[Point(20, 20).buffer(12)])
    with pytest.raises(FileError, match="install the program anew"):
        learned.metalness(made.pixels, ground_of(made.pixels, MM), MM)
    learned._network.cache_clear()
