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
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QImage, QPainter, QPainterPath, QPen, QPolygonF
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
    """Draws in mm, x to the right and y down from the page's upper left corner, on a painter whose unit is 1 mm.

    What reaches the painter is whole hundredths of a mm, to which it is set: nothing that a ruler sees, a file of half
    the size, and words need no scale of their own.
    """

    def __init__(self, painter: QPainter) -> None:
        painter.scale(1 / UNITS_PER_MM, 1 / UNITS_PER_MM)
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
        self.painter.drawRoundedRect(_rect(box), radius * UNITS_PER_MM, radius * UNITS_PER_MM)

    def area(self, shape: BaseGeometry, colour: QColor = WHITE) -> None:
        """Fill a polygon or several (openings stay open), without a border."""
        self.painter.fillPath(path_of(shape), QBrush(colour))

    def patch(self, points: Points, colour: QColor = WHITE) -> None:
        """Fill a ring of few corners, without a border."""
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(QBrush(colour))
        self.painter.drawPolygon(_polygon(points))

    def blank(self, box: Box) -> None:
        """Fill a rectangle with white."""
        self.painter.fillRect(_rect(box), WHITE)

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
        self.painter.drawEllipse(_at(centre), radius * UNITS_PER_MM, radius * UNITS_PER_MM)

    def strokes(self, lines: Strokes | QPainterPath, width: float = 0.1) -> None:
        """Draw many straight strokes as one path, which keeps a hatched page small."""
        path = lines if isinstance(lines, QPainterPath) else path_of_strokes(lines)
        self.painter.strokePath(path, _pen(width, ()))

    def text(
        self, at: XY, words: str, size: float = 3.2, *, bold: bool = False, align: str = "left", colour: QColor = BLACK
    ) -> None:
        """Write one line; `at` is the left end (or middle, or right end) of its baseline."""
        shift = {"left": 0.0, "middle": 0.5, "right": 1.0}[align]
        left = at[0] - shift * width_of(words, size, bold) if shift else at[0]
        self.painter.setFont(font(size, bold))
        self.painter.setPen(colour)
        self.painter.drawText(_at((left, at[1])), words)

    def turned_text(self, at: XY, words: str, size: float, turn: float) -> None:
        """Write one line centred on `at`, turned clockwise by `turn` degrees."""
        self.painter.save()
        self.painter.translate(_at(at))
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

    def image(self, box: Box, image: QImage) -> None:
        """Draw a picture into a box."""
        self.painter.drawImage(_rect(box), image)

    @contextmanager
    def moved(self, by: XY) -> Iterator[None]:
        """Draw what follows so far (mm) to the right and down."""
        self.painter.save()
        self.painter.translate(_at(by))
        yield
        self.painter.restore()

    @contextmanager
    def within(self, box: Box) -> Iterator[None]:
        """Clip what is drawn to a box."""
        self.painter.save()
        self.painter.setClipRect(_rect(box))
        yield
        self.painter.restore()


@lru_cache(maxsize=8192)
def width_of(words: str, size: float, bold: bool = False) -> float:
    """Return how wide a line of words is, in mm."""
    return QFontMetricsF(font(size, bold)).horizontalAdvance(words) / UNITS_PER_MM


@lru_cache(maxsize=8192)
def wrap(words: str, width: float, size: float, bold: bool = False) -> tuple[str, ...]:
    """Break words into lines no wider than `width` mm; a single longer word is broken where the line ends."""
    rows: list[str] = []
    for word in filter(None, words.split(" ")):  # other blanks hold words together
        longer = f"{rows[-1]} {word}" if rows else word
        if rows and width_of(longer, size, bold) <= width:
            rows[-1] = longer
        else:
            rows += _pieces(word, width, size, bold)
    return tuple(rows)


def shortened(words: str, width: float, size: float, bold: bool = False) -> str:
    """Return words that are no wider than `width` mm, their end left out where need be."""
    while words and width_of(words, size, bold) > width:
        words = f"{words.rstrip('…')[:-1].rstrip()}…" if len(words) > 1 else ""
    return words


def _pieces(word: str, width: float, size: float, bold: bool) -> Iterator[str]:
    while len(word) > 1 and width_of(word, size, bold) > width:
        end = next((n for n in range(len(word) - 1, 1, -1) if width_of(word[:n], size, bold) <= width), 1)
        yield word[:end]
        word = word[end:]
    yield word


@lru_cache(maxsize=256)
def _pen(width: float, dash: Sequence[float]) -> QPen:
    pen = QPen(BLACK, width * UNITS_PER_MM)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if dash:
        pen.setDashPattern([length / width for length in dash])
    return pen


def path_of(shape: BaseGeometry) -> QPainterPath:
    """Return the borders of a polygon or several as one path."""
    parts = shapely.get_parts(shape)
    rings = shapely.get_rings(parts[shapely.get_dimensions(parts) == 2])
    points, ring = shapely.get_coordinates(rings, return_index=True)
    starts = np.ones(len(points), dtype=bool)
    starts[1:] = ring[1:] != ring[:-1]
    return _path(points, starts)


def path_of_strokes(lines: Strokes) -> QPainterPath:
    """Return straight strokes as one path."""
    return _path(lines.reshape(-1, 2), np.tile([True, False], len(lines)))


def _path(points: NDArray[np.float64], starts: NDArray[np.bool_]) -> QPainterPath:
    """Hand lines over in one piece, as Qt's own stream format: count, elements, where the last begins, fill.

    A line whose last point is its first is closed.
    """
    path = QPainterPath()
    if len(points):
        elements = np.empty(len(points), dtype=[("kind", ">i4"), ("x", ">f8"), ("y", ">f8")])
        elements["kind"] = ~starts  # move to 0, line to 1
        elements["x"], elements["y"] = (points * UNITS_PER_MM).round().T
        ends = struct.pack(">ii", int(np.flatnonzero(starts)[-1]), 0)
        QDataStream(QByteArray(struct.pack(">i", len(elements)) + elements.tobytes() + ends)) >> path
    return path


def _polygon(points: Points) -> QPolygonF:
    if isinstance(points, np.ndarray):
        return _read_polygon(points)
    return QPolygonF([_at(point) for point in points])


def _read_polygon(points: NDArray[np.float64]) -> QPolygonF:
    """Hand many points over in one piece, as Qt's own stream format: a count, then big-endian doubles."""
    made = QPolygonF()
    numbers = (points * UNITS_PER_MM).round().astype(">f8").tobytes()
    QDataStream(QByteArray(struct.pack(">I", len(points)) + numbers)) >> made
    return made


def _at(point: XY) -> QPointF:
    return QPointF(round(point[0] * UNITS_PER_MM), round(point[1] * UNITS_PER_MM))


def _rect(box: Box) -> QRectF:
    return QRectF(box.x * UNITS_PER_MM, box.y * UNITS_PER_MM, box.width * UNITS_PER_MM, box.height * UNITS_PER_MM)
