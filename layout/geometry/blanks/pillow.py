"""A pillow box: two panels that bend, and at each end two curved flaps that close it. Sizes are inner sizes in mm.

A crease that lies in a plane reflects one side of the paper into the other (Huffman, IEEE Transactions on Computers
C-25, 1976, 1010-1019). Here the panel bends to a profile z(s), the crease is the arc that far inside the panel's end,
and its plane is at 45 degrees, so that the flap stands upright; twice z(s) long, it ends on the other panel's crease.
The arc is kept as short straight pieces, and so are panels and flaps: they fold exactly, piece by piece.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from layout.geometry.blanks.faces import Blank, BlankError, Drawing, Segment
from layout.geometry.outline import Point

_CHORD = 0.04  # mm between the arc and its pieces
_DEEPEST = 0.2  # a panel's rise by its flat width: at tan(22.5 deg) / 2 the paper would stand upright at its edges
STRIP = " strip "
"""Between a panel's name and the number of one of its narrow pieces."""


def pillow(width: float, depth: float, height: float, thickness: float = 0.0, tab: float = 12.7) -> Blank:
    """Draw a pillow box, `width` and `height` as it lies, `depth` thick in the middle; raises BlankError."""
    for name, value in (("width", width), ("depth", depth), ("height", height), ("glue tab", tab)):
        if not value > 0.0:
            raise BlankError(f"the {name} must be more than nothing, it is {value:g} mm")
    rise = (depth + thickness) / 2
    if height <= depth + 2 * thickness:
        raise BlankError(
            f"a pillow box {depth:g} mm thick must be taller than that: its ends draw in by half of it each"
        )
    flat = flat_width(width + thickness, rise)
    return _Pillow(flat, rise, height + thickness, min(tab, flat / 2, height / 3)).blank()


def flat_width(width: float, rise: float) -> float:
    """Return how wide (mm) a panel must be to bend up by `rise` and still cover `width`; raises BlankError."""
    low, high = max(width, rise / _DEEPEST), 1.5 * width + rise / _DEEPEST
    if _covered(low, rise) > width:
        raise BlankError(f"a pillow box {2 * rise:g} mm thick must be wider: {_covered(low, rise):.0f} mm or more")
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if _covered(middle, rise) > width else (middle, high)
    return high


def _covered(flat: float, rise: float) -> float:
    """Return the width that a bent panel covers."""
    ends = _profile(flat, rise)
    return sum(math.sqrt((b[0] - a[0]) ** 2 - (b[1] - a[1]) ** 2) for a, b in pairwise(ends))


def _profile(flat: float, rise: float) -> list[Point]:
    """Return points of the arc over the flat width: distance from the left edge, height; an even number of pieces."""
    radius = (flat * flat / 4 + rise * rise) / (2 * rise)
    half = math.asin(flat / 2 / radius)
    pieces = 2 * math.ceil(half / math.acos(1 - min(0.9, _CHORD / radius)) / 2) + 2
    angles = [half * (2 * k / pieces - 1) for k in range(pieces + 1)]
    arc = [(flat / 2 + radius * math.sin(a), radius * (math.cos(a) - math.cos(half))) for a in angles]
    return [(0.0, 0.0), *arc[1:-1], (flat, 0.0)]


class _Pillow:
    """The blank while it is drawn: glue tab, front, back, each of narrow strips with a flap's piece at both ends."""

    def __init__(self, flat: float, rise: float, height: float, tab: float) -> None:
        self.flat, self.rise, self.height, self.tab = flat, rise, height, tab
        self.profile = _profile(flat, rise)
        self.drawing = Drawing()
        ends = pairwise(self.profile)
        self.steep = [math.degrees(math.asin((b[1] - a[1]) / (b[0] - a[0]))) for a, b in ends]

    def blank(self) -> Blank:
        """Return it whole."""
        self._panel("front", self.tab, None)
        self._panel("back", self.tab + self.flat, f"front{STRIP}{len(self.steep)}")
        self._glue_tab()
        self._meetings()
        return self.drawing.blank(())

    def _panel(self, name: str, x: float, before: str | None) -> None:
        """Draw a panel's strips from the left; the first hangs on what is before it, by a score, the others bend."""
        for k, ((a, up_a), (b, up_b)) in enumerate(pairwise(self.profile)):
            low, high = self.rise, self.rise + self.height
            ring = ((x + a, low + up_a), (x + b, low + up_b), (x + b, high - up_b), (x + a, high - up_a))
            hinge = ((x + a, low + up_a), (x + a, high - up_a)) if before else None
            fold = self.steep[k - 1] - self.steep[k] if k else 180.0 - 2 * self.steep[0]
            strip = self.drawing.add(f"{name}{STRIP}{k + 1}", ring, before, hinge, fold, scored=k == 0)
            before = strip
            self._flap(f"{name} lower", k, strip, ((x + b, low + up_b), (x + a, low + up_a)), (-up_b, -up_a))
            self._flap(f"{name} upper", k, strip, ((x + a, high - up_a), (x + b, high - up_b)), (up_a, up_b))

    def _flap(self, name: str, k: int, strip: str, crease: Segment, high: tuple[float, float]) -> None:
        """Draw the flap's piece beyond a strip's crease: twice as long as the profile is high at both ends."""
        tips = [(x, y + 2 * up) for (x, y), up in zip(crease, high, strict=True)]
        ring = _without_doubles([crease[0], crease[1], tips[1], tips[0]])
        self.drawing.add(f"{name} flap{STRIP}{k + 1}", ring, strip, crease, self._crease_fold(k))

    def _crease_fold(self, k: int) -> float:
        """Return the angle about a strip's crease from the panel carried on to the flap, which stands upright."""
        steep = math.radians(self.steep[k])
        # along the crease: x draws in as z rises; across: the box's length is x, up is z
        along = _unit((-math.sin(steep), math.cos(steep), math.sin(steep)))
        on, down = _across((1.0, 0.0, 0.0), along), _across((0.0, 0.0, -1.0), along)
        return math.degrees(math.acos(max(-1.0, min(1.0, _dot(_unit(on), _unit(down))))))

    def _glue_tab(self) -> None:
        """Draw the tab left of the front, bent like the back's last strips, on which it is glued."""
        before, x, count = f"front{STRIP}1", self.tab, len(self.steep)
        for k in range(count):
            a, b = (min(self.profile[j][0], self.tab) for j in (k, k + 1))
            if b - a < 1e-6:
                return
            (low_a, high_a), (low_b, high_b) = self._drawn_in(a), self._drawn_in(b)
            hinge = ((x - a, low_a), (x - a, high_a))
            ring = (*hinge, (x - b, high_b), (x - b, low_b))
            fold = self.steep[k - 1] - self.steep[k] if k else 180.0 - 2 * self.steep[0]
            before = self.drawing.add(f"glue tab{STRIP}{k + 1}", ring, before, hinge, fold, scored=k == 0)
            self.drawing.glued.append((before, f"back{STRIP}{count - k}"))

    def _drawn_in(self, off: float) -> tuple[float, float]:
        """Return where the tab ends so far from its score: aslant as steeply as any arc, so that it lies within."""
        return self.rise + off, self.rise + self.height - off

    def _meetings(self) -> None:
        """Say what must meet: the tip of a flap and the crease of the other panel, and the two far edges."""
        count = len(self.steep)
        low, high = self.rise, self.rise + self.height
        for x, other, away in ((self.tab, "back", self.flat), (self.tab + self.flat, "front", -self.flat)):
            name = "front" if other == "back" else "back"
            for k, ((a, up_a), (b, up_b)) in enumerate(pairwise(self.profile)):
                partner = f"{other}{STRIP}{count - k}"
                # the other panel lies the other way round: its left edge over this one's right edge
                (c, d) = (x + away + self.flat - a, x + away + self.flat - b)
                tip, crease = ((x + a, low - up_a), (x + b, low - up_b)), ((c, low + up_a), (d, low + up_b))
                self.drawing.meet(f"{name} lower flap{STRIP}{k + 1}", tip, partner, crease)
                tip, crease = ((x + a, high + up_a), (x + b, high + up_b)), ((c, high - up_a), (d, high - up_b))
                self.drawing.meet(f"{name} upper flap{STRIP}{k + 1}", tip, partner, crease)
        right, left = self.tab + 2 * self.flat, self.tab
        edge, first = ((right, low), (right, high)), ((left, low), (left, high))
        self.drawing.meet(f"back{STRIP}{count}", edge, f"front{STRIP}1", first)


def _without_doubles(ring: Sequence[Point]) -> tuple[Point, ...]:
    kept = [p for k, p in enumerate(ring) if math.dist(p, ring[k - 1]) > 1e-9]
    return tuple(kept)


Vector = tuple[float, float, float]


def _dot(a: Vector, b: Vector) -> float:
    return sum(x * y for x, y in zip(a, b, strict=True))


def _unit(a: Vector) -> Vector:
    length = math.sqrt(_dot(a, a))
    return (a[0] / length, a[1] / length, a[2] / length)


def _across(a: Vector, axis: Vector) -> Vector:
    along = _dot(a, axis)
    return (a[0] - along * axis[0], a[1] - along * axis[1], a[2] - along * axis[2])
