"""Embossing turns: cut pieces laid into folders, in rows from the hinge, as few turns as simple rows need.

Rows of falling height, each piece into the first turn and row with room (first fit, decreasing height: Coffman, Garey,
Johnson, Tarjan 1980, from memory). Pieces lie upright, or a quarter turned where only that fits.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from shapely.geometry import box

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.model.embossing import Embossed, Folder, Turn, folder_of, folders, turns, with_turns
from layout.model.plan import Plan
from layout.model.project import Project

GAP = 1.0
"""Between two pieces in one folder (mm): they must not lie on each other."""
SLACK = 0.005


def embossed(project: Project, plan: Plan) -> Plan:
    """Return the plan with the embossing turns that its pieces need; kept as they are where they still fit."""
    if not embossing_faults(project, plan):
        return plan
    return with_turns(plan, (turn for folder in folders(project) for turn in _turns(project, plan, folder)))


def due(project: Project, plan: Plan, folder: Folder) -> Counter[str]:
    """Return how many of each wanted piece are made and can be embossed in a folder."""
    short, shapes = Counter({entry.wanted: entry.count for entry in plan.unplaced}), _shapes(project)
    asked = [w for w in project.wanted if folder_of(w) == folder.id and _lying(shapes.get(w.shape), folder) is not None]
    return Counter({w.id: made for w in asked if (made := project.due(w) - short[w.id]) > 0})


def too_large(project: Project) -> list[tuple[str, Folder]]:
    """Return the wanted pieces that do not fit into the folder they are wanted in."""
    owned, shapes = {folder.id: folder for folder in folders(project)}, _shapes(project)
    asked = [(w, owned[name]) for w in project.wanted if (name := folder_of(w)) in owned]
    return [(w.id, folder) for w, folder in asked if _lying(shapes.get(w.shape), folder) is None]


def embossing_faults(project: Project, plan: Plan) -> list[str]:
    """Say what is wrong with a plan's embossing turns: pieces outside, on each other, too many or too few."""
    owned = {folder.id: folder for folder in folders(project)}
    shapes, made = _shapes(project), {w.id: w.shape for w in project.wanted}
    faults, seen = [], Counter[tuple[str, str]]()
    for number, turn in enumerate(turns(plan), 1):
        if turn.folder not in owned or any(made.get(piece.wanted) not in shapes for piece in turn.pieces):
            faults.append(f"embossing turn {number} is of a folder or a piece that the project does not have")
            continue
        laid = [piece.pose.outline(shapes[made[piece.wanted]]).solid.polygon for piece in turn.pieces]
        area = box(0, 0, owned[turn.folder].width, owned[turn.folder].length).buffer(SLACK)
        if not all(area.contains(shape) for shape in laid):
            faults.append(f"in embossing turn {number} a piece lies outside the folder's usable area")
        if any(a.distance(b) < GAP - SLACK for n, a in enumerate(laid) for b in laid[:n]):
            faults.append(f"in embossing turn {number} two pieces are less than {GAP:g} mm apart")
        seen.update((turn.folder, piece.wanted) for piece in turn.pieces)
    needed = Counter({(f.id, name): n for f in owned.values() for name, n in due(project, plan, f).items()})
    return faults if seen == needed else [*faults, "the embossing turns do not hold each piece once"]


@dataclass
class _Row:
    """Pieces side by side, `high` at most, below `top`."""

    top: float
    high: float
    used: float = 0.0


@dataclass
class _Filling:
    """A folder being filled."""

    rows: list[_Row] = field(default_factory=list)
    pieces: list[Embossed] = field(default_factory=list)

    def take(self, folder: Folder, wide: float, high: float) -> tuple[float, float] | None:
        """Return the lower left corner for a piece, None where there is no room left."""
        for row in self.rows:
            if high <= row.high + SLACK and row.used + wide <= folder.width + SLACK:
                return self._into(row, wide, high)
        top = self.rows[-1].top - self.rows[-1].high - GAP if self.rows else folder.length
        if top - high < -SLACK:
            return None
        self.rows.append(_Row(top, high))
        return self._into(self.rows[-1], wide, high)

    def _into(self, row: _Row, wide: float, high: float) -> tuple[float, float]:
        x, row.used = row.used, row.used + wide + GAP
        return x, row.top - high


def _turns(project: Project, plan: Plan, folder: Folder) -> Iterator[Turn]:
    outlines = _shapes(project)
    lying = {w.id: _lying(outlines.get(w.shape), folder) for w in project.wanted if folder_of(w) == folder.id}
    pieces = [(name, lying[name]) for name in due(project, plan, folder).elements()]
    fillings: list[_Filling] = []
    for name, way in sorted(pieces, key=lambda one: -_high(one[1])):
        assert way is not None  # `due` counts only what fits
        turn, (x0, y0, x1, y1) = way
        spots = ((f, f.take(folder, x1 - x0, y1 - y0)) for f in (*fillings, _Filling()))
        filling, at = next((f, spot) for f, spot in spots if spot is not None)
        if filling not in fillings:
            fillings.append(filling)
        filling.pieces.append(Embossed(name, Pose(at[0] - x0, at[1] - y0, turn)))
    yield from (Turn(folder.id, tuple(filling.pieces)) for filling in fillings)


Lying = tuple[float, tuple[float, float, float, float]]


def _high(lying: Lying | None) -> float:
    return lying[1][3] - lying[1][1] if lying is not None else 0.0


def _lying(outline: Outline | None, folder: Folder) -> Lying | None:
    """Return the turn in which a shape fits a folder, and its bounds then; None where it does not."""
    if outline is None:
        return None
    for turn in (0.0, 90.0):
        x0, y0, x1, y1 = bounds = Pose(0.0, 0.0, turn).outline(outline).bounds
        if x1 - x0 <= folder.width + SLACK and y1 - y0 <= folder.length + SLACK:
            return turn, bounds
    return None


def _shapes(project: Project) -> dict[str, Outline]:
    cutters = {die.id: die.cut for die in project.dies} | {punch.id: punch.cut for punch in project.punches}
    return cutters | {panel.id: panel.outline for panel in project.panels}
