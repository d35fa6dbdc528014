"""Teaches the network behind layout/formats/pictures/learned.py: `python -m tests.support.learn_metal FOLDER OUT.onnx`.

Needs PyTorch and onnx, which nothing else here does. Pictures are drawn by picture_maker; about 800 of them (a
fifth by random_look) and 3600 s of two shared cores, in two goes, made resources/tracing/metal.onnx.
"""

from __future__ import annotations

import random
import sys
import time
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import nn
from torch.nn import functional

from layout.formats.pictures.ground import ground_of
from tests.support.die_shapes import scatter
from tests.support.looks import GROUNDS, random_look, varied_look
from tests.support.picture_maker import coverage, scan
from tests.support.shine import TAUGHT, odder

PIECE, SHOWN, BATCH = 320, 288, 8
WIDTHS = (16, 24, 32, 48, 64)
BANDS = (None, None, (1.5, 3.0), (2.0, 5.0))


def pieces(seed: int, count: int = 14) -> list[np.ndarray]:
    """Draw one picture; its pieces as pixels, ground and how much of each pixel metal covers (all 8 bit)."""
    rng = np.random.default_rng(10**6 + seed)
    varied = varied_look(rng, GROUNDS[seed % 6] if rng.random() < 0.6 else "light")
    look = random_look(rng) if seed % 4 == 0 else varied
    look = odder(rng, look, TAUGHT) if seed % 3 == 0 else look
    dpi = float(rng.uniform(210, 390))
    half_sizes = (5, 12) if seed % 7 == 0 else (9, 26)
    bodies = scatter(
        rng, 6, 85, 70, float(rng.uniform(0.8, 4)), band=BANDS[int(rng.integers(4))], half_sizes=half_sizes
    )
    made = scan(rng, 85, 70, dpi, look=look, bodies=bodies)
    level = np.clip(ground_of(made.pixels, 25.4 / dpi, to_rim=True).level(), 0, 255).round().astype(np.uint8)
    metal = np.zeros(level.shape[:2], np.float32)
    for body in bodies:
        window, mask = coverage(body, metal.shape, made.to_pixels)
        metal[window] = np.maximum(metal[window], mask)
    found: list[tuple[np.ndarray, ...]] = []
    while len(found) < count:
        y, x = (int(rng.integers(0, n - PIECE + 1)) for n in metal.shape)
        part = np.s_[y : y + PIECE, x : x + PIECE]
        if metal[part].mean() > 0.03 or rng.random() < 0.15:
            found.append((made.pixels[part], level[part], (metal[part] * 255).round().astype(np.uint8)))
    return [np.stack(kind) for kind in zip(*found, strict=True)]


def layer(inward: int, outward: int, stride: int = 1) -> nn.Module:
    """A convolution and its rectifier."""
    return nn.Sequential(nn.Conv2d(inward, outward, 3, stride=stride, padding=1), nn.ReLU(inplace=True))


class Network(nn.Module):
    """A small U-Net on pictures folded to half their size: 20 channels in, 4 out (one for each pixel of a square)."""

    def __init__(self) -> None:
        super().__init__()
        self.stem = layer(20, WIDTHS[0])
        pairs = list(pairwise(WIDTHS))
        self.down = nn.ModuleList([nn.Sequential(layer(a, b, 2), layer(b, b)) for a, b in pairs])
        self.middle = layer(WIDTHS[-1], WIDTHS[-1])
        self.up = nn.ModuleList([layer(a + b, a) for a, b in pairs])
        self.out = nn.Conv2d(WIDTHS[0], 4, 3, padding=1)

    def forward(self, told: Any) -> Any:
        """Return logits of metal."""
        seen, kept = self.stem(told), []
        for down in self.down:
            kept.append(seen)
            seen = down(seen)
        seen = self.middle(seen)
        for up, fine in zip(reversed(self.up), reversed(kept), strict=True):
            seen = up(torch.cat([fine, functional.interpolate(seen, scale_factor=2, mode="nearest")], 1))
        return self.out(seen)


def told(pixels: Any, level: Any) -> Any:
    """What learned.py tells the network, not yet folded."""
    pixels, level = (v.permute(0, 3, 1, 2).float() for v in (pixels, level))
    off, lit = pixels - level, level.mean(1, keepdim=True)
    return torch.cat([off / 64, lit / 255, off.mean(1, keepdim=True) / (lit + 10)], 1)


def batch(pool: list[list[np.ndarray]]) -> tuple[Any, Any]:
    """Pieces at random, turned, mirrored, made fainter or stronger, and with their colours exchanged."""
    rows = []
    for _ in range(BATCH):
        picture = random.choice(pool)
        number, turns = random.randrange(len(picture[0])), random.randrange(4)
        parts = [np.rot90(kind[number], turns) for kind in picture]
        parts = [p[:, ::-1] for p in parts] if random.random() < 0.5 else parts
        y, x = (random.randrange(0, PIECE - SHOWN + 1) for _ in range(2))
        rows.append([np.ascontiguousarray(p[y : y + SHOWN, x : x + SHOWN]) for p in parts])
    pixels, level, metal = (torch.from_numpy(np.stack(kind)) for kind in zip(*rows, strict=True))
    seen = told(pixels, level)
    gain = torch.empty(BATCH, 1, 1, 1).uniform_(0.8, 1.2)
    seen[:, :3] *= gain
    seen[:, 4:] *= gain
    if random.random() < 0.3:
        seen[:, :3] = seen[:, :3][:, torch.randperm(3)]
    return functional.pixel_unshuffle(seen, 2), metal.float()[:, None] / 255


def loss(logits: Any, metal: Any) -> Any:
    """Cross entropy; borders and their neighbourhood count more."""
    near = functional.max_pool2d(metal, 13, 1, 6) + functional.max_pool2d(-metal, 13, 1, 6)
    off = functional.binary_cross_entropy_with_logits(functional.pixel_shuffle(logits, 2), metal, reduction="none")
    return (off * (0.5 + 1.5 * near)).mean()


def taught(pool: list[list[np.ndarray]], seconds: float) -> Network:
    """Teach a network for a time, with ever smaller steps."""
    torch.manual_seed(0)
    net = Network()
    steps = torch.optim.Adam(net.parameters(), 2.5e-3)
    begun, number = time.time(), 0
    while (done := (time.time() - begun) / seconds) < 1:
        for group in steps.param_groups:
            group["lr"] = 2.5e-3 * min(1, (number + 20) / 120) * (0.51 + 0.5 * float(np.cos(np.pi * done)))
        seen, metal = batch(pool)
        steps.zero_grad()
        loss(net(seen), metal).backward()
        nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        steps.step()
        number += 1
    return net


def main(folder: Path, out: Path, pictures: int = 500, seconds: float = 1400) -> None:
    """Draw the pictures that `folder` does not hold yet, teach, and write the network."""
    folder.mkdir(parents=True, exist_ok=True)
    for seed in range(pictures):
        path = folder / f"{seed}.npz"
        if not path.exists():
            np.savez(path, *pieces(seed))
    pool = [list(np.load(path).values()) for path in sorted(folder.glob("*.npz"))]
    net = taught(pool, seconds).eval()
    names = {"input_names": ["seen"], "output_names": ["metal"]}
    torch.onnx.export(net, torch.zeros(1, 20, 224, 224), str(out), dynamo=False, opset_version=13, **names)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
