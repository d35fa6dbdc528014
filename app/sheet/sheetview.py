"""One sheet that is cut down, to size: its parts, panels and pieces, the cuts numbered; a cut is dragged or nudged."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget
from shapely.geometry import LineString, Point
from shapely.geometry import box as rectangle

from app.document.document import Document
from app.guide.hatching import hatch
from app.guide.ink import WHITE, Ink
from app.guide.pictures import Scaled, outline
from app.guide.sheet import Box
from app.look.papers import paper_looks
from app.sheet.cutting import parts_before, sheet_of
from app.sheet.template import Face
from layout.model.parting import FAR
from layout.model.plan import CutDown, Plan
from layout.rules.book import Book, Shape, posed
from layout.rules.cutting_down import Sheets, across
from layout.rules.laid import pieces_of, punched_of, runs_of

XY = tuple[float, float]
GRAB = 3.0  # units of the drawing: as near as this to a cut, it is taken hold of
NAME = 2.8  # units of the drawing
PANEL = QColor(255, 255, 255, 150)


class SheetView(QWidget):
    """Shows a sheet of the plan and says where a cut was dragged to; changes nothing itself."""

    picked = Signal(int)
    dragged = Signal(float)
    let_go = Signal()
    left_alone = Signal()
    nudged = Signal(float)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.plan: Plan = document.plan
        self.at, self.cut = 0, 0
        self._from: XY | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(QSize(320, 300))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("The sheet with its cuts")

    @property
    def entry(self) -> CutDown | None:
        """The sheet shown."""
        return self.plan.cut_downs[self.at] if self.at < len(self.plan.cut_downs) else None

    def show_sheet(self, plan: Plan, at: int, cut: int) -> None:
        """Show a sheet of a plan, one of its cuts picked."""
        self.plan, self.at, self.cut = plan, at, cut
        self.update()

    # ---- drawing ---------------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 (Qt's name)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), WHITE)
        if self.entry is not None:
            painter.scale(self._unit, self._unit)
            self._paint(Ink(painter), self.entry)
        painter.end()

    @property
    def _unit(self) -> float:
        """Pixels of one unit of the drawing: its names are as large as the person's text."""
        return max(1.0, self.fontInfo().pixelSize() / NAME)

    def _scaled(self, entry: CutDown) -> Scaled:
        width, height = self.width() / self._unit, self.height() / self._unit
        bounds = sheet_of(self._document.project, entry).bounds
        return Scaled.fit(bounds, Box(6.0, 6.0, width - 12.0, height - 12.0), most=99.0)

    def _paint(self, ink: Ink, entry: CutDown) -> None:
        scaled, whole = self._scaled(entry), sheet_of(self._document.project, entry)
        scrap = next(s for s in self._document.project.scraps if s.id == entry.scrap)
        looks = paper_looks(self._document.project.papers)
        ground = QColor(looks[scrap.paper].ground) if scrap.paper in looks else WHITE
        ink.area(scaled.shape(whole), ground)
        for stain in scrap.spoiled:
            ink.strokes(hatch(scaled.shape(stain.polygon), 45, 1.2), 0.15)
        for name, shape in self._panels(entry):
            ink.area(scaled.shape(shape), PANEL)
            outline(ink, scaled.shape(shape), 0.35)
            Face(name, shape).write(ink, scaled.shape(shape), NAME)
        for shape in self._pieces(entry):
            outline(ink, scaled.shape(shape), 0.2, (1.0, 0.6))
        outline(ink, scaled.shape(whole), 0.4)
        lines = {k: e for k in range(len(entry.cuts)) if (e := self.ends(entry, k)) is not None}
        for number, (a, b) in lines.items():
            picked = number == self.cut
            ink.line([scaled.point(a), scaled.point(b)], 0.9 if picked else 0.3, () if picked else (1.8, 0.9))
        for number, (a, b) in lines.items():
            self._number(ink, scaled.point(a), scaled.point(b), number)

    def _number(self, ink: Ink, a: XY, b: XY, number: int) -> None:
        """Write a cut's number on it, near one end, where few other cuts cross it."""
        picked = number == self.cut
        x, y = a[0] * 0.9 + b[0] * 0.1, a[1] * 0.9 + b[1] * 0.1
        ink.circle((x, y), 2.6, 0.6 if picked else 0.2, fill=WHITE)
        ink.text((x, y + 1.1), str(number + 1), 2.9, bold=picked, align="middle")

    def ends(self, entry: CutDown, number: int) -> tuple[XY, XY] | None:
        """Return where a cut enters and leaves the part that it divides; None where it misses it."""
        straight = entry.cuts[number]
        nx, ny = across(straight.line)
        x, y = straight.line[0]
        far = LineString([(x - ny * FAR, y + nx * FAR), (x + ny * FAR, y - nx * FAR)])
        part = parts_before(self._document.project, entry, number)[straight.part]
        seen = [far.project(Point(p)) for piece in _lines(far.intersection(part)) for p in piece.coords]
        if not seen:
            return None
        a, b = far.interpolate(min(seen)), far.interpolate(max(seen))
        return (a.x, a.y), (b.x, b.y)

    def _panels(self, entry: CutDown) -> Iterator[tuple[str, Shape]]:
        panels = {p.id: p for p in self._document.project.panels}
        for made in self.plan.panels:
            if (made.scrap, made.copy) == (entry.scrap, entry.copy) and made.panel in panels:
                panel = panels[made.panel]
                yield panel.name or panel.id, posed(rectangle(*panel.outline.bounds), made.pose)

    def _pieces(self, entry: CutDown) -> Iterator[Shape]:
        """Give what dies and punches cut out of this sheet."""
        book = Book(self._document.project, self._document.unit)
        sheets = Sheets(book, self.plan.cut_downs)
        found = [punched_of(book, sheets, p, k) for k, p in enumerate(self.plan.punched)]
        pieces = [p for p in found if p is not None]
        for layout, run, where, path in runs_of(self.plan):
            if any(s.scrap == entry.scrap for s in run.scraps):
                pieces += pieces_of(book, sheets, layout, run, where, path)
        yield from (p.shape for p in pieces if p.scrap == entry.scrap and entry.copy in p.copies)

    # ---- mouse and keys --------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        number = self._cut_at(event.position()) if event.button() == Qt.MouseButton.LeftButton else None
        if number is not None:
            self._from = self._at(event.position())
            self.picked.emit(number)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        if self._from is None or self.entry is None:
            near = self._cut_at(event.position()) is not None
            self.setCursor(Qt.CursorShape.OpenHandCursor if near else Qt.CursorShape.ArrowCursor)
            return
        x, y = self._at(event.position())
        nx, ny = across(self.entry.cuts[self.cut].line)
        self.dragged.emit((x - self._from[0]) * nx + (y - self._from[1]) * ny)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: ARG002, N802 (Qt's name)
        if self._from is not None:
            self._from = None
            self.let_go.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 (Qt's name)
        if event.key() == Qt.Key.Key_Escape and self._from is not None:
            self._from = None
            self.left_alone.emit()
            return
        way = _WAYS.get(Qt.Key(event.key()))
        if way is None or self.entry is None or not self.entry.cuts:
            super().keyPressEvent(event)
            return
        nx, ny = across(self.entry.cuts[self.cut].line)
        along = way[0] * nx + way[1] * ny
        if abs(along) > 0.5:
            step = self.step / (5.0 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1.0)
            self.nudged.emit(step if along > 0 else -step)

    @property
    def step(self) -> float:
        """How far an arrow key moves a cut, in mm: a sixteenth, or a millimetre."""
        return 25.4 / 16 if self._document.unit == "in" else 1.0

    def _at(self, position: QPointF) -> XY:
        assert self.entry is not None
        scaled = self._scaled(self.entry)
        x, y = position.x() / self._unit, position.y() / self._unit
        return (x - scaled.dx) / scaled.scale, (scaled.dy - y) / scaled.scale

    def _cut_at(self, position: QPointF) -> int | None:
        if self.entry is None:
            return None
        x, y = self._at(position)
        reach = GRAB / self._scaled(self.entry).scale
        found: list[tuple[float, int]] = []
        for number in range(len(self.entry.cuts)):
            ends = self.ends(self.entry, number)
            if ends is not None:
                found.append((_distance((x, y), *ends), number))
        near = min(found, default=(reach + 1, 0))
        return near[1] if near[0] <= reach else None


_WAYS = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, 1.0),
    Qt.Key.Key_Down: (0.0, -1.0),
}


def _lines(shape: object) -> list[LineString]:
    return [p for p in getattr(shape, "geoms", [shape]) if isinstance(p, LineString) and not p.is_empty]


def _distance(p: XY, a: XY, b: XY) -> float:
    square = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2
    along = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / (square or 1.0)
    t = min(1.0, max(0.0, along))
    return hypot(p[0] - a[0] - t * (b[0] - a[0]), p[1] - a[1] - t * (b[1] - a[1]))
