"""How much blade lies under the rollers at each point of a plate's travel.

Blade lines are taken from dies in the plate frame: x lies along the rollers, y along the feed. No force is claimed:
the length in the contact band is what compares one arrangement with another. Closed forms: a circle has
2/sqrt(1-(y/r)^2) of line per mm of feed, a straight edge 1/|sin t| at t degrees to the rollers (all at once at 0).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.geometry.outline import Outline, Ring
from layout.model.plan import Layout, Run
from layout.model.project import Die

Floats = NDArray[np.float64]

BAND = 2.0
"""How much of the feed the rollers press at once, in mm: an assumption, to be set by who knows the machine better."""
ATOM = 1e-9
"""An edge that rises less than this (mm) comes under the rollers all at once."""


@dataclass(frozen=True, slots=True)
class Peak:
    """The hardest place of a travel: the band from `at` to `at` + band (mm of feed) holds `length` mm of blade."""

    at: float
    length: float


class Profile:
    """The blade length under the rollers along the feed, exact for straight edges."""

    def __init__(self, segments: Floats) -> None:
        """Take edges as rows of x1, y1, x2, y2 in mm."""
        rows = np.asarray(segments, dtype=np.float64).reshape(-1, 4)
        length = np.hypot(rows[:, 2] - rows[:, 0], rows[:, 3] - rows[:, 1])
        low, high = np.minimum(rows[:, 1], rows[:, 3]), np.maximum(rows[:, 1], rows[:, 3])
        flat = high - low < ATOM
        self.total = float(length.sum())
        self._flat_at, self._flat_sum = _running(low[flat], length[flat])
        self._at, self._sum = _ramp(low[~flat], high[~flat], length[~flat])

    @classmethod
    def of(cls, rings: Iterable[Ring]) -> Profile:
        """Make the profile of closed rings (mm)."""
        edges = [_edges(np.asarray(ring, dtype=np.float64)) for ring in rings]
        return cls(np.concatenate(edges) if edges else np.empty((0, 4)))

    def load(self, at: Floats | Sequence[float] | float, band: float = BAND) -> Floats:
        """Return the blade length (mm) in the closed bands that begin at the given places of the feed."""
        start = np.atleast_1d(np.asarray(at, dtype=np.float64))
        slanted = self._until(start + band) - self._until(start)
        return slanted + self._flat_until(start + band, "right") - self._flat_until(start, "left")

    def peak(self, band: float = BAND) -> Peak:
        """Return the greatest load of all bands; of equals the first."""
        # Between these places the load is a straight line, so none between can be greater.
        places = np.concatenate([self._at, self._at - band, self._flat_at, self._flat_at - band])
        if len(places) == 0:
            return Peak(0.0, 0.0)
        places = np.unique(places)
        loads = self.load(places, band)
        best = int(np.argmax(loads >= loads.max() - 1e-9))
        return Peak(float(places[best]), float(loads[best]))

    def curve(self, low: float, high: float, step: float = 1.0, band: float = BAND) -> tuple[Floats, Floats]:
        """Return middles of bands from `low` to `high` every `step` mm, and the load in each: for drawing."""
        middles = np.arange(low, high + step / 2, step)
        return middles, self.load(middles - band / 2, band)

    def _until(self, at: Floats) -> Floats:
        """Length of all slanted blade below a place."""
        if len(self._at) == 0:
            return np.zeros_like(at)
        found: Floats = np.interp(at, self._at, self._sum, left=0.0, right=float(self._sum[-1]))
        return found

    def _flat_until(self, at: Floats, side: str) -> Floats:
        place = np.searchsorted(self._flat_at, at + (1e-9 if side == "right" else -1e-9), side="right")
        sums: Floats = np.concatenate([[0.0], self._flat_sum])
        found: Floats = sums[place]
        return found


def run_profile(dies: dict[str, Die], layout: Layout, run: Run) -> Profile:
    """Return the profile of one pass: of the dies that cut in it."""
    return Profile.of(ring for number in sorted({c.die for c in run.cuts}) for ring in blade(dies, layout, number))


def blade(dies: dict[str, Die], layout: Layout, number: int) -> tuple[Ring, ...]:
    """Return the blade lines of a taped die, in the plate frame."""
    placed = layout.dies[number]
    return rings(placed.pose.outline(dies[placed.die].cut))


def rings(outline: Outline) -> tuple[Ring, ...]:
    """Return an outline's border and its openings' borders."""
    return (outline.outer, *outline.holes)


def _edges(ring: Floats) -> Floats:
    return np.hstack([ring, np.roll(ring, -1, axis=0)])


def _running(at: Floats, length: Floats) -> tuple[Floats, Floats]:
    """Sort lengths by place and add them up."""
    order = np.argsort(at, kind="stable")
    return at[order], np.cumsum(length[order])


def _ramp(low: Floats, high: Floats, length: Floats) -> tuple[Floats, Floats]:
    """Return the corners of the running total of edges, each spread evenly from its low to its high end."""
    if len(low) == 0:
        return np.empty(0), np.empty(0)
    density = length / (high - low)
    at, place = np.unique(np.concatenate([low, high]), return_inverse=True)
    change = np.bincount(place, weights=np.concatenate([density, -density]), minlength=len(at))
    slope = np.cumsum(change)[:-1]
    return at, np.concatenate([[0.0], np.cumsum(slope * np.diff(at))])
