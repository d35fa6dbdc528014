"""Where the names of the sheets stand: on the bare paper, else on a tag beside it with a line that leads there."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QPainterPath

from app.canvas.cells import Bits, Cells, Spot
from layout.geometry.value import Value

STEP, FARTHEST = 4, 15
"""A tag is looked for in rings of so many cells round its sheet, and in so many rings."""
RIM = 6.0
"""A tag is so many pixels wider than its words, a name on bare paper half of that."""
DOT = 2.5

Size = tuple[float, float]


class Label(Value, frozen=True):
    """Words in a box of pixels; beside the sheet with a line to it, from the tag's border to a spot on bare paper."""

    spot: QRectF
    text: str
    ground: str = ""
    line: QLineF | None = None

    @property
    def room(self) -> QRectF:
        """The pixels that it takes."""
        if self.line is None:
            return self.spot
        reach = QRectF(self.line.p1(), self.line.p2()).normalized().adjusted(-DOT, -DOT, DOT, DOT)
        return self.spot.united(reach).adjusted(-1, -1, 1, 1)


class Sheet(Value, frozen=True, eq=False):
    """A sheet to be named: its border in pixels, its whole name, what will do on the paper at need, its colour."""

    shape: QPainterPath
    name: str
    short: str
    ground: str


class Tagging:
    """Finds the places one by one; each is taken for the next."""

    def __init__(
        self, room: QRectF, sheets: Sequence[Sheet], dies: Sequence[QPainterPath], words: Sequence[QRectF]
    ) -> None:
        self._cells, self._sheets = Cells(room), sheets
        self._metal = self._cells.covered(dies)
        self._free = self._cells.every & ~(self._metal | self._cells.under(words))

    def labels(self, size: Callable[[str], Size]) -> Iterator[Label]:
        """Give the label of every sheet that is in sight, those on bare paper first."""
        left = []
        for sheet in self._sheets:
            own = self._cells.inside(sheet.shape)
            label = self._on_paper(own, sheet.name, size)
            if label is not None:
                yield label
            elif own:
                left.append((sheet, own))
        paper = self._cells.covered(sheet.shape for sheet in self._sheets) if left else 0
        for sheet, own in left:
            label = self._beside(sheet, own, paper, size) or self._on_paper(own, sheet.short, size)
            if label is not None:
                yield label

    def _on_paper(self, own: Bits, text: str, size: Callable[[str], Size]) -> Label | None:
        wide, high = size(text)
        every = self._cells.every
        spot = self._cells.first(self._cells.fitting(self._free & own, wide + RIM / 2, high), every)
        return None if spot is None else self._taken(Label(self._box(spot, wide + RIM / 2, high), text))

    def _beside(self, sheet: Sheet, own: Bits, paper: Bits, size: Callable[[str], Size]) -> Label | None:
        """Return a tag as near to its sheet as can be: off all paper, else on another sheet."""
        wide, high = size(sheet.name)
        goal = own & ~self._metal or own
        for taken in (paper, self._cells.covered([sheet.shape])):
            spot = self._nearest(self._free & ~taken, goal, wide + RIM, high)
            if spot is not None:
                return self._taken(self._led(self._box(spot, wide + RIM, high), sheet, goal))
        return None

    def _nearest(self, free: Bits, goal: Bits, wide: float, high: float) -> Spot | None:
        """Return the place for a box of pixels that is nearest to a goal."""
        places = self._cells.fitting(free, wide, high)
        near = self._cells.touching(goal, wide, high) if places else 0
        for _ in range(FARTHEST if near else 0):
            spot = self._cells.first(places, near)
            if spot is not None:
                return spot
            near = self._cells.grown(near, STEP)
        return None

    def _led(self, spot: QRectF, sheet: Sheet, goal: Bits) -> Label:
        """Return a tag with the shortest line from it to the sheet's goal."""
        near = self._cells.under([spot])
        while (end := self._cells.first(near, goal)) is None:
            near = self._cells.grown(near, 1)
        at = self._cells.point(end)
        start = QPointF(min(max(at.x(), spot.left()), spot.right()), min(max(at.y(), spot.top()), spot.bottom()))
        return Label(spot, sheet.name, sheet.ground, QLineF(start, at))

    def _box(self, spot: Spot, wide: float, high: float) -> QRectF:
        corner = self._cells.point(spot)
        return QRectF(corner.x(), corner.y(), wide, high)

    def _taken(self, label: Label) -> Label:
        self._free &= ~self._cells.under([label.room])
        return label
