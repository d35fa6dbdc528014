"""How drawn pictures look: grounds, metals and spoilers, chosen by chance."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Random = np.random.Generator
GROUNDS = ("dark", "mid", "light", "coloured", "gradient", "textured")
# BGR factors on a grey of the same level: steel, bluish steel, rose, brass, copper (chosen by eye, no source)
METALS = ((1, 1, 1), (1.06, 1.0, 0.95), (0.92, 0.9, 1.12), (0.7, 0.98, 1.08), (0.72, 0.88, 1.15))


@dataclass(frozen=True)
class Look:
    """How a picture is spoilt; lengths in mm, blur in pixels."""

    ground: tuple[float, float, float]
    metal: float
    texture: float = 0.0
    gradient: float = 0.0
    streaks: float = 0.0
    brushed: float = 4.0
    ridge: float = 0.0
    shadow: float = 0.3
    shadow_reach: float = 0.5
    shadow_soft: float = 0.35
    shadow_side: float = 0.8
    vignette: float = 0.0
    dust: int = 0
    hairs: int = 0
    blur: float = 0.8
    noise: float = 2.0
    gamma: float = 1.0
    jpeg: int = 90
    # what only varied looks set
    metal_tint: tuple[float, float, float] | None = None
    streak_sharp: float = 0.0
    ramp: float = 0.0
    sheen: float | None = None
    ridge_at: float = 1.0
    ridge_wide: float = 0.25
    bevel: float = 0.0
    bevel_wide: float = 0.2
    scratches: int = 0
    marks: int = 0
    grain: float = 0.0
    contact: float = 0.0
    contact_soft: float = 0.3
    edge_bands: int = 0
    stripes: float = 0.0
    sharpen: float = 0.0
    # what tests/support/shine.py adds
    shine_kind: str = ""
    shine_power: float = 0.0
    pattern: str = ""
    pattern_power: float = 0.0


def random_look(rng: Random, photo: bool = False) -> Look:
    """A ground, a metal and a set of spoilers as varied as kitchens are."""
    level = rng.choice([rng.uniform(20, 70), rng.uniform(90, 150), rng.uniform(195, 245)])
    tint = rng.normal(0, rng.choice([1.0, 12.0]), 3)
    contrast = rng.uniform(40, 110) * (1 if level < 80 else -1 if level > 190 else rng.choice([-1, 1]))
    return Look(
        ground=tuple(float(v) for v in np.clip(level + tint, 8, 250)),
        metal=float(np.clip(level + contrast, 25, 235)),
        texture=float(rng.choice([0.0, 2.0, 6.0 if level < 190 else 3.0])),
        gradient=float(rng.uniform(0, 0.15)),
        streaks=float(rng.choice([0, 40, 90])),
        brushed=float(rng.uniform(1, 8)),
        ridge=float(rng.choice([0, -45, 45])),
        shadow=float(rng.uniform(0.0, 0.55)),
        shadow_reach=float(rng.uniform(0.2, 0.9)),
        shadow_soft=float(rng.uniform(0.25, 0.6)),
        shadow_side=float(rng.uniform(0, 2 * math.pi)),
        vignette=float(rng.uniform(0.1, 0.35) if photo else rng.uniform(0, 0.1)),
        dust=int(rng.integers(0, 40)),
        hairs=int(rng.integers(0, 4)),
        blur=float(rng.uniform(0.5, 1.5)),
        noise=float(rng.uniform(1, 4)),
        gamma=float(rng.uniform(0.85, 1.2)),
        jpeg=int(rng.integers(60, 96)),
    )


def varied_look(rng: Random, ground: str | None = None, kind: str | None = None) -> Look:
    """A ground of one kind (GROUNDS) under things of one kind ('metal' or 'paper'), spoilt in every way.

    What is chosen is chosen independently, so that nothing tuned to one kitchen does well on all.
    """
    ground = ground or str(rng.choice(GROUNDS))
    level = {"dark": rng.uniform(12, 70), "light": rng.uniform(195, 252)}.get(ground, rng.uniform(70, 200))
    tint = rng.normal(0, {"coloured": 30.0, "dark": 3.0, "light": 3.0}.get(ground, 6.0), 3)
    bare = np.clip(level + tint, 5, 253)
    level = float(bare.mean())
    spoilt = _spoilt(rng, ground, level)
    if (kind or rng.choice(["metal", "metal", "metal", "metal", "paper"])) == "paper":
        return _paper(rng, spoilt, bare, level)
    way = -1 if level > 170 and rng.random() < 0.85 else 1 if level < 75 else rng.choice([-1, 1])
    metal = float(np.clip(level + way * rng.uniform(18, 120), 25, 240))
    return replace(
        spoilt,
        ground=tuple(float(v) for v in bare),
        metal=metal,
        metal_tint=tuple(float(v) for v in METALS[_one_of(rng, (0.45, 0.2, 0.15, 0.1, 0.1))]),
        streaks=float(rng.choice([0, 30, 60, 110]) * rng.choice([-0.5, 1, 1])),
        streak_sharp=float(rng.uniform(0, 1)),
        ramp=float(rng.choice([0, rng.uniform(20, 120)])),
        sheen=float(level + rng.normal(0, 6)) if rng.random() < 0.35 else None,
        brushed=float(rng.choice([0, rng.uniform(0.5, 8)])),
        ridge=float(rng.choice([0, -60, -30, 30, 60])),
        ridge_at=float(rng.uniform(0.4, 2.2)),
        ridge_wide=float(rng.uniform(0.12, 0.5)),
        bevel=float(rng.choice([0, rng.uniform(10, 90)])),
        bevel_wide=float(rng.uniform(0.1, 0.5)),
        scratches=int(rng.choice([0, 0, rng.integers(1, 6)])),
        marks=int(rng.choice([0, 0, rng.integers(1, 5)])),
    )


def _one_of(rng: Random, shares: tuple[float, ...]) -> int:
    return int(rng.choice(len(shares), p=shares))


def _spoilt(rng: Random, ground: str, level: float) -> Look:
    deepest = 0.6 if level < 90 else 0.5
    return Look(
        ground=(0, 0, 0),
        metal=0,
        texture=float(rng.uniform(3, 9) if ground == "textured" else rng.choice([0.0, 1.5, 3.0])),
        grain=float(rng.uniform(5, 25) if ground == "textured" and rng.random() < 0.5 else 0.0),
        gradient=float(rng.uniform(0.2, 0.6) if ground == "gradient" else rng.uniform(0, 0.12)),
        shadow=float(rng.uniform(0, deepest)),
        shadow_reach=float(rng.uniform(0.0, 1.2)),
        shadow_soft=float(rng.choice([rng.uniform(0.15, 0.6), rng.uniform(0.5, 1.4)])),
        shadow_side=float(rng.uniform(0, 2 * math.pi)),
        contact=float(rng.choice([0, rng.uniform(0.05, 0.4)])),
        contact_soft=float(rng.uniform(0.1, 0.5)),
        vignette=float(rng.choice([rng.uniform(0, 0.08), rng.uniform(0, 0.35)])),
        edge_bands=int(rng.choice([0, 0, 0, 1, 2])),
        stripes=float(rng.choice([0, rng.uniform(0.3, 1.5)])),
        dust=int(rng.integers(0, 60)),
        hairs=int(rng.integers(0, 5)),
        blur=float(rng.uniform(0.45, 1.7)),
        sharpen=float(rng.choice([0, rng.uniform(0.2, 1.5)])),
        noise=float(rng.uniform(0.6, 5)),
        gamma=float(rng.uniform(0.8, 1.25)),
        jpeg=int(rng.integers(55, 98)),
    )


def _paper(rng: Random, spoilt: Look, bare: NDArray[np.float64], level: float) -> Look:
    """Flat things of any colour that differ from their ground by something a person would see."""
    paper = level
    while abs(paper - level) < 18:
        paper = float(rng.uniform(30, 250))
    tint = np.clip(1 + rng.normal(0, rng.choice([0.02, 0.2]), 3), 0.5, 1.6)
    return replace(
        spoilt,
        ground=tuple(float(v) for v in bare),
        metal=paper,
        metal_tint=tuple(float(v) for v in tint),
        brushed=0.0,
        shadow=spoilt.shadow * 0.6,
        marks=int(rng.choice([0, rng.integers(1, 8)])),
    )
