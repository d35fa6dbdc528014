"""One bed as flat arrays: frames that move, shapes riding on them, and what must hold between them.

A frame is a die, or the sheets of a scrap; a die's frame stands on the frame of the scrap it cuts, so that moving
a scrap takes along what lies on it. Poses are (x, y, turn in radians) against the frame below.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from layout.geometry.field import Floats
from layout.nesting.solid import Solid

Ints = NDArray[np.int64]

APART, ON_SHEET, IN_BED, IN_ROLLERS = 0, 1, 2, 3
FIXED, SLIDES, TURNS = 0, 1, 2
NONE = -1


class Scene(NamedTuple):
    """Everything the compiled loops read; see the module's head. One row a frame, shape, sheet or demand."""

    frame_moves: Ints  # FIXED, SLIDES or TURNS
    frame_stands: (
        Ints  # (n, 2): the frame it stands on (NONE: the plate) and the frame of the sheet it cuts, at the start
    )
    frame_turns: Ints  # (n, 2): range of allowed turns in `turns`, empty: any
    frame_hosts: Ints  # (n, 2): range of sheets in `hosts` that it may be cut from
    frame_metal: Ints  # its shape that keeps clear of other metal (or of other paper)
    frame_cut: Ints  # its shape that must lie on the sheet; NONE where the sheet does not matter
    frame_sheet: Ints  # the sheet that this frame carries; NONE for a die
    turns: Floats
    hosts: Ints
    sheet_frame: Ints
    sheet_edge: Floats  # how far inside the border a cut must stay, mm
    sheet_marks: Ints  # (n, 2): range in `mark_shape`: what no cut may touch
    mark_shape: Ints
    mark_gap: Floats
    shape_points: Ints  # (n, 2): range in `points`
    shape_hull: Ints  # (n, 2): range in `hulls`
    shape_field: Ints  # (n, 3): offset in `fields`, columns, rows
    shape_grid: Floats  # (n, 3): x0, y0, step
    shape_circle: Floats  # (n, 3): centre and radius
    points: Floats
    shares: Floats
    blocks: Floats  # (n / BLOCK, 3): centre and radius of each block of samples
    hulls: Floats
    fields: NDArray[np.float32]
    kind: Ints  # what each demand is: APART, ON_SHEET, IN_BED, IN_ROLLERS
    first: Ints  # the frame it is about
    second: Ints  # the other frame
    gap: Floats  # mm
    around: Ints  # (n, 2): range in `demands` for each frame
    demands: Ints
    bed: Floats  # x0, y0, x1, y1: where metal may be
    rollers: Floats  # x0, y0, x1, y1: where paper may be


class SceneBuilder:
    """Collects frames, shapes and demands, and lays them out flat."""

    def __init__(self, bed: tuple[float, float, float, float], rollers: tuple[float, float, float, float]) -> None:
        self.bed, self.rollers = bed, rollers
        self.shapes: list[Solid] = []
        self._shape_ids: dict[int, int] = {}
        self.frames: list[dict[str, Any]] = []
        self.sheets: list[dict[str, Any]] = []
        self.kinds: list[tuple[int, int, int, float]] = []

    def shape(self, solid: Solid) -> int:
        """Add a shape once; return its number."""
        known = self._shape_ids.get(id(solid))
        if known is None:
            known = self._shape_ids[id(solid)] = len(self.shapes)
            self.shapes.append(solid)
        return known

    def sheet(self, frame: int, edge: float, marks: list[tuple[Solid, float]]) -> int:
        """Say that a frame carries a sheet with marks that no cut may touch; return the sheet's number."""
        number = len(self.sheets)
        self.sheets.append({"frame": frame, "edge": edge, "marks": [(self.shape(s), g) for s, g in marks]})
        self.frames[frame]["sheet"] = number
        return number

    def frame(
        self,
        moves: int,
        metal: Solid | None,
        cut: Solid | None = None,
        below: int = NONE,
        host: int = NONE,
        turns: tuple[float, ...] = (),
        hosts: tuple[int, ...] = (),
    ) -> int:
        """Add a frame; return its number."""
        self.frames.append(
            {
                "moves": moves,
                "metal": NONE if metal is None else self.shape(metal),
                "cut": NONE if cut is None else self.shape(cut),
                "below": below,
                "host": host if host != NONE else below,
                "turns": turns,
                "hosts": hosts,
                "sheet": NONE,
            }
        )
        return len(self.frames) - 1

    def demand(self, kind: int, first: int, second: int = NONE, gap: float = 0.0) -> None:
        """Ask that two frames keep apart, or that one stays on its sheet, in the bed or in the rollers."""
        self.kinds.append((kind, first, second, gap))

    def build(self) -> Scene:
        """Lay everything out flat."""
        frames, shapes = self.frames, self.shapes
        around: list[list[int]] = [[] for _ in frames]
        for number, (_, first, second, _) in enumerate(self.kinds):
            around[first].append(number)
            if second != NONE:
                around[second].append(number)
        points = np.concatenate([s.points for s in shapes])
        marks = [m for s in self.sheets for m in s["marks"]]
        return Scene(
            frame_moves=_ints([f["moves"] for f in frames]),
            frame_stands=np.asarray([(f["below"], f["host"]) for f in frames], dtype=np.int64),
            frame_turns=_ranges([len(f["turns"]) for f in frames]),
            frame_hosts=_ranges([len(f["hosts"]) for f in frames]),
            frame_metal=_ints([f["metal"] for f in frames]),
            frame_cut=_ints([f["cut"] for f in frames]),
            frame_sheet=_ints([f["sheet"] for f in frames]),
            turns=_floats([t for f in frames for t in f["turns"]]),
            hosts=_ints([h for f in frames for h in f["hosts"]]),
            sheet_frame=_ints([s["frame"] for s in self.sheets]),
            sheet_edge=_floats([s["edge"] for s in self.sheets]),
            sheet_marks=_ranges([len(s["marks"]) for s in self.sheets]),
            mark_shape=_ints([m[0] for m in marks]),
            mark_gap=_floats([m[1] for m in marks]),
            shape_points=_ranges([len(s.points) for s in shapes]),
            shape_hull=_ranges([len(s.hull) for s in shapes]),
            shape_field=_field_rows(shapes),
            shape_grid=np.asarray([(s.field.x0, s.field.y0, s.field.step) for s in shapes]),
            shape_circle=np.asarray([_circle(s.hull) for s in shapes]),
            points=points,
            shares=np.concatenate([s.shares for s in shapes]),
            blocks=np.asarray([_circle(b) for s in shapes for b in _blocks(s.points)]),
            hulls=np.concatenate([s.hull for s in shapes]),
            fields=np.concatenate([s.field.values.ravel() for s in shapes]),
            kind=_ints([k[0] for k in self.kinds]),
            first=_ints([k[1] for k in self.kinds]),
            second=_ints([k[2] for k in self.kinds]),
            gap=_floats([k[3] for k in self.kinds]),
            around=_ranges([len(a) for a in around]),
            demands=_ints([d for a in around for d in a]),
            bed=_floats(self.bed),
            rollers=_floats(self.rollers),
        )


def _ints(values: Any) -> Ints:
    return np.asarray(values, dtype=np.int64).reshape(-1)


def _floats(values: Any) -> Floats:
    return np.asarray(values, dtype=np.float64).reshape(-1)


def _ranges(lengths: list[int]) -> Ints:
    ends = np.cumsum(np.asarray([0, *lengths], dtype=np.int64))
    return np.stack([ends[:-1], ends[1:]], axis=1) if lengths else np.empty((0, 2), dtype=np.int64)


def _field_rows(shapes: list[Solid]) -> Ints:
    sizes = [s.field.values.size for s in shapes]
    starts = np.cumsum([0, *sizes[:-1]])
    return np.asarray(
        [(b, s.field.values.shape[1], s.field.values.shape[0]) for b, s in zip(starts, shapes, strict=True)],
        dtype=np.int64,
    )


def _blocks(points: Floats) -> list[Floats]:
    from layout.nesting.solid import BLOCK

    return [points[k : k + BLOCK] for k in range(0, len(points), BLOCK)]


def _circle(points: Floats) -> tuple[float, float, float]:
    centre = (points.min(axis=0) + points.max(axis=0)) / 2
    return float(centre[0]), float(centre[1]), float(np.max(np.hypot(*(points - centre).T)))
