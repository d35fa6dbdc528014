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


# columns of `Scene.frames`
MOVES, STANDS_ON, HOST, METAL, CUT, SHEET, TURNS0, TURNS1, HOSTS0, HOSTS1, AROUND0, AROUND1 = range(12)
# columns of `Scene.shapes`
POINT0, POINT1, HULL0, HULL1, FIELD, COLUMNS, ROWS, GRID_X, GRID_Y, STEP, MID_X, MID_Y, REACH = range(13)
# columns of `Scene.sheets`
CARRIER, EDGE, MARKS0, MARKS1 = range(4)
# columns of `Scene.demands`
KIND, FIRST, SECOND, GAP = range(4)
# rows of `Scene.boxes`
BED, ROLLERS = 0, 1


class Scene(NamedTuple):
    """Everything the compiled loops read: few arrays, since each costs time at every call and compile.

    `frames`: what moves, on which frame it stands and which it cuts at the start, its metal (what keeps clear of other
    metal, or of other paper), its cut (what must lie on the sheet) and the sheet it carries (NONE: a die), and ranges
    in `lists` of its turns, its hosts and the demands about it. `sheets`: the frame that carries it, how far inside a
    cut must stay, and a range in `lists` of marks (shape, gap). `shapes`: ranges in `points`, offset and size of its
    field in `fields`, the grid's corner and step, its circle. `blocks`: a circle about each block of samples.
    """

    frames: Ints
    shapes: Floats
    sheets: Floats
    demands: Floats
    lists: Floats
    points: Floats
    blocks: Floats
    fields: NDArray[np.float32]
    boxes: Floats

    def stands(self) -> Ints:
        """For each frame the frame it stands on and the one it cuts, as at the start; shape (n, 2)."""
        return np.ascontiguousarray(self.frames[:, STANDS_ON : HOST + 1])


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
        lists: list[float] = []
        around: list[list[int]] = [[] for _ in self.frames]
        for number, (_, first, second, _) in enumerate(self.kinds):
            around[first].append(number)
            if second != NONE:
                around[second].append(number)
        frames = [self._frame_row(f, a, lists) for f, a in zip(self.frames, around, strict=True)]
        sheets = [(s["frame"], s["edge"], *_listed(lists, [v for m in s["marks"] for v in m])) for s in self.sheets]
        shapes, points = self._shape_rows()
        return Scene(
            frames=np.asarray(frames, dtype=np.int64).reshape(-1, 12),
            shapes=shapes,
            sheets=np.asarray(sheets, dtype=np.float64).reshape(-1, 4),
            demands=np.asarray(self.kinds, dtype=np.float64).reshape(-1, 4),
            lists=np.asarray(lists, dtype=np.float64),
            points=points,
            blocks=np.concatenate([s.blocks for s in self.shapes]),
            fields=np.concatenate([s.field.values.ravel() for s in self.shapes]),
            boxes=np.asarray([self.bed, self.rollers], dtype=np.float64),
        )

    def _frame_row(self, f: dict[str, Any], around: list[int], lists: list[float]) -> tuple[int, ...]:
        ranges = (*_listed(lists, f["turns"]), *_listed(lists, f["hosts"]), *_listed(lists, around))
        return (f["moves"], f["below"], f["host"], f["metal"], f["cut"], f["sheet"], *ranges)

    def _shape_rows(self) -> tuple[Floats, Floats]:
        """The table of shapes, and their samples (x, y, share) followed by their hulls' corners."""
        samples = [np.column_stack([s.points, s.shares]) for s in self.shapes]
        hulls = [np.column_stack([s.hull, np.zeros(len(s.hull))]) for s in self.shapes]
        ends = np.cumsum([0, *map(len, samples), *map(len, hulls)])
        offsets = np.cumsum([0, *(s.field.values.size for s in self.shapes)])
        n = len(self.shapes)
        rows = [
            (
                *(ends[k], ends[k + 1], ends[n + k], ends[n + k + 1]),
                *(offsets[k], s.field.values.shape[1], s.field.values.shape[0]),
                *(s.field.x0, s.field.y0, s.field.step),
                *s.circle,
            )
            for k, s in enumerate(self.shapes)
        ]
        return np.asarray(rows, dtype=np.float64), np.concatenate([*samples, *hulls])


def _listed(lists: list[float], values: Any) -> tuple[int, int]:
    """Append values to the list of lists; return the range they take."""
    start = len(lists)
    lists.extend(float(v) for v in values)
    return start, len(lists)
