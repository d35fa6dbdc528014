"""Drawing in millimetres: lines, rings, hatches and words, the same on screen, printer and PDF."""

from __future__ import annotations

import struct
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from PySide6.QtCore import QByteArray, QDataStream, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from app.guide.hatching import Strokes
from app.guide.sheet import Box
from app.guide.typeface import UNITS_PER_MM, font

XY = Sequence[float]
Points = Iterable[XY] | NDArray[np.float64]
BLACK = QColor(0, 0, 0)
WHITE = QColor(255, 255, 255)
GREY = QColor(225, 225, 225)


class Ink:
    """A painter whose unit is 1 mm, x to the right and y down from the page's upper left corner."""

    def __init__(self, painter: QPainter) -> None:
        self.painter = painter

    def line(self, points: Points, width: float = 0.2, dash: Sequence[float] = ()) -> None:
        """Draw an open line through points (mm); `dash` holds on and off lengths in mm."""
        self.painter.setPen(_pen(width, dash))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawPolyline(_polygon(points))

    def ring(self, points: Points, width: float = 0.2, dash: Sequence[float] = (), fill: QColor | None = None) -> None:
        """Draw a closed line through points (mm), filled where a colour is given."""
        self.painter.setPen(_pen(width, dash))
        self.painter.setBrush(QBrush(fill) if fill is not None else Qt.BrushStyle.NoBrush)
        self.painter.drawPolygon(_polygon(points))

    def box(self, box: Box, width: float = 0.2, dash: Sequence[float] = (), fill: QColor | None = None) -> None:
        """Draw a rectangle."""
        corners = [(box.x, box.y), (box.right, box.y), (box.right, box.bottom), (box.x, box.bottom)]
        self.ring(corners, width, dash, fill)

    def rounded(self, box: Box, radius: float, width: float = 0.2) -> None:
        """Draw a rectangle with rounded corners."""
        self.painter.setPen(_pen(width, ()))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawRoundedRect(QRectF(box.x, box.y, box.width, box.height), radius, radius)

    def area(self, shape: BaseGeometry, colour: QColor = WHITE) -> None:
        """Fill a polygon or several (openings stay open), without a border."""
        self.painter.fillPath(path_of(shape), QBrush(colour))

    def plate(
        self,
        shape: BaseGeometry | QPainterPath,
        width: float = 0.2,
        dash: Sequence[float] = (),
        fill: QColor | None = WHITE,
    ) -> None:
        """Draw all borders of a polygon or several as one path, filled where a colour is given."""
        self.painter.setPen(_pen(width, dash))
        self.painter.setBrush(QBrush(fill) if fill is not None else Qt.BrushStyle.NoBrush)
        self.painter.drawPath(shape if isinstance(shape, QPainterPath) else path_of(shape))

    def circle(self, centre: XY, radius: float, width: float = 0.2, fill: QColor | None = None) -> None:
        """Draw a circle."""
        self.painter.setPen(_pen(width, ()) if width else QPen(Qt.PenStyle.NoPen))
        self.painter.setBrush(QBrush(fill) if fill is not None else Qt.BrushStyle.NoBrush)
        self.painter.drawEllipse(QPointF(centre[0], centre[1]), radius, radius)

    def strokes(self, lines: Strokes, width: float = 0.1) -> None:
        """Draw many straight strokes as one path, which keeps a hatched page small."""
        self.painter.strokePath(_path_of_strokes(lines), _pen(width, ()))

    def text(
        self, at: XY, words: str, size: float = 3.2, *, bold: bool = False, align: str = "left", colour: QColor = BLACK
    ) -> None:
        """Write one line; `at` is the left end (or middle, or right end) of its baseline."""
        shift = {"left": 0.0, "middle": 0.5, "right": 1.0}[align]
        self.painter.save()
        self.painter.translate(at[0] - shift * width_of(words, size, bold), at[1])
        self.painter.scale(1 / UNITS_PER_MM, 1 / UNITS_PER_MM)
        self.painter.setFont(font(size, bold))
        self.painter.setPen(colour)
        self.painter.drawText(QPointF(0, 0), words)
        self.painter.restore()

    def turned_text(self, at: XY, words: str, size: float, turn: float) -> None:
        """Write one line centred on `at`, turned clockwise by `turn` degrees."""
        self.painter.save()
        self.painter.translate(at[0], at[1])
        self.painter.rotate(turn)
        self.text((0, size * 0.35), words, size, align="middle")
        self.painter.restore()

    def paragraph(self, box: Box, words: str, size: float = 3.2, *, bold: bool = False) -> float:
        """Write words broken to the box's width; return the y (mm) below the last line."""
        y = box.y
        for row in wrap(words, box.width, size, bold):
            y += size * 1.3
            self.text((box.x, y - size * 0.3), row, size, bold=bold)
        return y

    @contextmanager
    def within(self, box: Box) -> Iterator[None]:
        """Clip what is drawn to a box."""
        self.painter.save()
        self.painter.setClipRect(QRectF(box.x, box.y, box.width, box.height))
        yield
        self.painter.restore()


@lru_cache(maxsize=8192)
def width_of(words: str, size: float, bold: bool = False) -> float:
    """Return how wide a line of words is, in mm."""
    return QFontMetricsF(font(size, bold)).horizontalAdvance(words) / UNITS_PER_MM


@lru_cache(maxsize=8192)
def wrap(words: str, width: float, size: float, bold: bool = False) -> tuple[str, ...]:
    """Break words into lines no wider than `width` mm; a single longer word stays whole."""
    rows: list[str] = []
    for word in filter(None, words.split(" ")):  # other blanks hold words together
        longer = f"{rows[-1]} {word}" if rows else word
        if rows and width_of(longer, size, bold) <= width:
            rows[-1] = longer
        else:
            rows.append(word)
    return tuple(rows)


@lru_cache(maxsize=256)
def _pen(width: float, dash: Sequence[float]) -> QPen:
    pen = QPen(BLACK, width)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if dash:
        pen.setDashPattern([length / width for length in dash])
    return pen


def path_of(shape: BaseGeometry) -> QPainterPath:
    """Return the borders of a polygon or several as one path."""
    path = QPainterPath()
    for polygon in _polygons(shape):
        for ring in shapely.get_rings(polygon):
            path.addPolygon(_polygon(shapely.get_coordinates(ring)[:-1]))
            path.closeSubpath()
    return path


def _path_of_strokes(lines: Strokes) -> QPainterPath:
    """Hand many strokes over in one piece, as Qt's own stream format: count, elements, where the last begins, fill."""
    path = QPainterPath()
    if len(lines):
        elements = np.empty(2 * len(lines), dtype=[("kind", ">i4"), ("x", ">f8"), ("y", ">f8")])
        elements["kind"] = np.tile([0, 1], len(lines))  # move to, line to
        elements["x"], elements["y"] = lines.round(2).reshape(-1, 2).T
        ends = struct.pack(">ii", len(elements) - 2, 0)
        QDataStream(QByteArray(struct.pack(">i", len(elements)) + elements.tobytes() + ends)) >> path
    return path


def _polygon(points: Points) -> QPolygonF:
    """Round to a hundredth of a mm: nothing that a ruler sees, and half the size of the file."""
    if isinstance(points, np.ndarray):
        return _read_polygon(points)
    return QPolygonF([QPointF(round(x, 2), round(y, 2)) for x, y in points])


def _read_polygon(points: NDArray[np.float64]) -> QPolygonF:
    """Hand many points over in one piece, as Qt's own stream format: a count, then big-endian doubles."""
    made = QPolygonF()
    numbers = points.round(2).astype(">f8").tobytes()
    QDataStream(QByteArray(struct.pack(">I", len(points)) + numbers)) >> made
    return made


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    if isinstance(shape, Polygon):
        return [shape] if not shape.is_empty else []
    return [part for part in getattr(shape, "geoms", ()) if isinstance(part, Polygon)]
