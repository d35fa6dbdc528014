"""The parts of one sheet while it is cut down: left of a cut keeps the number, right of it becomes the next new one."""

from __future__ import annotations

from collections.abc import Iterator

from shapely.affinity import rotate
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from layout.geometry.outline import Outline, from_polygon
from layout.geometry.pose import Pose
from layout.model.plan import StraightCut
from layout.planning.cut_tree import Free, Leaf, Split, Tree
from layout.planning.stock import Pile

_NOTHING = 0.05  # square mm: less than this is no part
FAR = 1e5


class Parts:
    """A sheet's parts in a frame turned by `turn` degrees; the cuts are kept in the sheet's own frame."""

    def __init__(self, pile: Pile, turn: float) -> None:
        self.turn = turn
        self._shapes: list[BaseGeometry] = [rotate(pile.outline.polygon, -turn, origin=(0, 0))]
        self._cuts: list[StraightCut] = []

    @property
    def cuts(self) -> tuple[StraightCut, ...]:
        """The cuts so far, in order."""
        return tuple(self._cuts)

    def outlines(self) -> dict[int, Outline]:
        """Return the parts that are in one piece, in the sheet's own frame, by number."""
        turned = ((k, rotate(s, self.turn, origin=(0, 0))) for k, s in enumerate(self._shapes))
        return {k: from_polygon(s) for k, s in turned if isinstance(s, Polygon) and not s.is_empty}

    def carve(
        self, number: int, tree: Tree, corner: tuple[float, float], sides: tuple[float, float]
    ) -> Iterator[tuple[int, Leaf, tuple[float, float]]]:
        """Cut a rectangle out of a part, then make the tree's cuts in it; give part number, leaf and corner."""
        tree, (width, length) = _without_rest(tree, sides)
        x, y = corner
        number = self._split(number, True, x)[1]
        number = self._split(number, False, y)[1]
        number = self._split(number, True, x + width)[0]
        number = self._split(number, False, y + length)[0]
        yield from self._carve(tree, number, x, y)

    def _carve(self, tree: Tree, number: int, x: float, y: float) -> Iterator[tuple[int, Leaf, tuple[float, float]]]:
        """Make a tree's cuts level by level, equal settings of the trimmer's stop one after another."""
        level = [(tree, number, x, y)]
        while level:
            later: list[tuple[Tree, int, float, float]] = []
            for node, part, left, low in sorted(level, key=lambda entry: _setting(entry[0])):
                if isinstance(node, Leaf):
                    yield part, node, (left, low)
                elif isinstance(node, Split):
                    first, second = self._split(part, node.upright, (left if node.upright else low) + node.at)
                    after = (left + node.at, low) if node.upright else (left, low + node.at)
                    later += [(node.first, first, left, low), (node.second, second, *after)]
            level = later

    def _split(self, number: int, upright: bool, at: float) -> tuple[int, int]:
        """Cut a part at x or y; return the numbers of what lies before and beyond; no cut where one is nothing."""
        shape = self._shapes[number]
        low = (-FAR, -FAR, at, FAR) if upright else (-FAR, -FAR, FAR, at)
        before, beyond = shape.intersection(box(*low)), shape.difference(box(*low))
        if before.area <= _NOTHING or beyond.area <= _NOTHING:
            return number, number
        x0, y0, x1, y1 = shape.bounds
        ends = ((at, y0), (at, y1)) if upright else ((x1, at), (x0, at))
        back = Pose(0.0, 0.0, self.turn)
        self._cuts.append(StraightCut(number, (back.point(ends[0]), back.point(ends[1]))))
        self._shapes[number] = before
        self._shapes.append(beyond)
        return number, len(self._shapes) - 1


def _without_rest(tree: Tree, sides: tuple[float, float]) -> tuple[Tree, tuple[float, float]]:
    """Leave off the cuts that only part the panels from what remains: the sheet itself is cut there."""
    while isinstance(tree, Split) and isinstance(tree.second, Free):
        sides = (tree.at, sides[1]) if tree.upright else (sides[0], tree.at)
        tree = tree.first
    return tree, sides


def _setting(tree: Tree) -> tuple[bool, float]:
    """Return which way a cut runs, and where the trimmer's stop is set for it."""
    return (tree.upright, round(tree.at, 2)) if isinstance(tree, Split) else (False, 0.0)
