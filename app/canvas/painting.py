"""How plate, paper and metal look: one set of strokes for the canvas, the thumbnails and the picture of a plate."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QFontMetricsF,
    QLinearGradient,
    QPainter,
    QPainterPath,
    QPen,
    QRegion,
    QTransform,
)

from app.canvas.hatching import hatch
from app.canvas.layers import ALL, Layers
from app.canvas.scene import DieItem, Scene, ScrapItem
from app.canvas.tags import DOT, Label, Sheet, Tagging
from app.canvas.viewing import Viewing
from app.look.tokens import PAPER_DIM, Look
from layout.geometry.units import MM_PER, Unit
from layout.model.project import Machine

SHADOW = 36
CORNER = 4.0  # mm, the plate's rounded corner
LEAST_LABEL = 20.0
PLAQUE = 8.0  # wider than its words
OVER = 1.15  # times its die a name may be wide or high
TAPE_ROOM, STACK_ROOM = 24.0, 10.0

Numbers = frozenset[int]
NONE: Numbers = frozenset()


class PlatePainter:
    """Paints one scene through one view; every length below is in pixels unless it says mm."""

    def __init__(
        self, painter: QPainter, viewing: Viewing, look: Look, font: QFont, layers: Layers = ALL, unit: Unit = "mm"
    ) -> None:
        self.painter = painter
        self.layers, self.unit = layers, unit
        self.labels: list[Label] = []  # what was written on the sheets, and where
        self.viewing = viewing
        self.look = look
        self.to_screen: QTransform = viewing.transform
        self.small = viewing.scale < 1.2
        self.room = QRectF(painter.viewport())  # where names of sheets may stand
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(font)
        self._metrics = QFontMetricsF(font)

    def paint(self, scene: Scene, *, labels: bool = True, leave_out: tuple[Numbers, Numbers] = (NONE, NONE)) -> None:
        """Paint the plate and all that lies on it, but for the dies and the scraps of these numbers."""
        for _ in self.paint_in_steps(scene, labels=labels, leave_out=leave_out):
            pass

    def paint_in_steps(
        self,
        scene: Scene,
        *,
        labels: bool = True,
        leave_out: tuple[Numbers, Numbers] = (NONE, NONE),
        within: QRegion | None = None,
        placed: Iterable[Label] | None = None,
    ) -> Iterator[None]:
        """Paint the same thing by thing, for a window that has other things to do in between; or only what lies there.

        `within` is a region of pixels, to which the painter is clipped; `placed` are the sheets' labels where they are
        known already.
        """
        dies = [d for d in scene.dies if d.index not in leave_out[0] and _touches(within, self.die_room(d))]
        scraps = [s for s in scene.scraps if s.index not in leave_out[1]]
        self.plate(scene.machine)
        for scrap in scraps:
            if _touches(within, self.scrap_room(scrap)):
                self.scrap(scrap)
                yield
        self.margin(scene.machine)
        if self.layers.grid:
            self.grid(scene.machine)
        if labels:
            for label in self.placed_labels(scraps, scene.dies) if placed is None else placed:
                self.scrap_label(label)
                yield
        for die in dies:
            self.die(die)
            yield
        if labels:
            for die, lines in self.lines_on([d for d in scene.dies if d.index not in leave_out[0]]):
                if _touches(within, self.die_room(die)):
                    self.die_label(die, lines)
                    yield

    # ---- plate --------------------------------------------------------------------------------------------------

    def plate(self, machine: Machine) -> None:
        """Paint the clear plate in the bed."""
        bed = self.to_screen.mapRect(QRectF(0, 0, machine.bed_width, machine.bed_length))
        radius = CORNER * self.viewing.scale
        shadow = QPainterPath()
        shadow.addRoundedRect(bed.translated(0, 3), radius, radius)
        self._shadow(shadow, SHADOW)
        self.painter.setPen(QPen(QColor(self.look.plate_edge), 1.4))
        self.painter.setBrush(QColor(self.look.plate))
        self.painter.drawRoundedRect(bed, radius, radius)

    def margin(self, machine: Machine) -> None:
        """Paint the line that no metal may cross, and the plate's edge over what sticks out."""
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        m, radius = machine.bed_margin, CORNER * self.viewing.scale
        bed = QRectF(0, 0, machine.bed_width, machine.bed_length)
        self.painter.setPen(QPen(_with_alpha(self.look.plate_edge, 150), 1.2))
        self.painter.drawRoundedRect(self.to_screen.mapRect(bed), radius, radius)
        if m > 0 and not self.small:
            self.painter.setPen(_dashed(self.look.margin, 1.0, (5, 4)))
            self.painter.drawRect(self.to_screen.mapRect(bed.adjusted(m, m, -m, -m)))

    def grid(self, machine: Machine) -> None:
        """Paint a grid of half inches or centimetres over the bed."""
        step = MM_PER["in"] / 2 if self.unit == "in" else 10.0
        wide, long = machine.bed_width, machine.bed_length
        lines = [QLineF(k * step, 0, k * step, long) for k in range(1, int(wide / step) + 1)]
        lines += [QLineF(0, k * step, wide, k * step) for k in range(1, int(long / step) + 1)]
        self.painter.setPen(QPen(_with_alpha(self.look.plate_edge, 90), 1.0))
        self.painter.drawLines([self.to_screen.map(line) for line in lines])

    # ---- paper --------------------------------------------------------------------------------------------------

    def scrap(self, item: ScrapItem) -> None:
        """Paint a sheet: a soft shadow, its ground and hatch, stains, stamped images, its border."""
        if not self.layers.paper:
            return
        shape = self.to_screen.map(item.shape)
        painter = self.painter
        lift = 1.0 + 1.2 * min(item.sheets, 4)
        self._shadow(shape.translated(0.6 * lift, lift), SHADOW)
        for under in range(min(item.sheets, 4) - 1, 0, -1):
            self._sheet(shape.translated(1.5 * under, 1.5 * under), item)
        self._sheet(shape, item)
        if not self.small:
            self._hatch(shape, item.look.hatch, 34)
        for stain in item.spoiled:
            self._stain(self.to_screen.map(stain))
        for image in item.images if self.layers.images else ():
            self._image(self.to_screen.map(image))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(self.look.paper_edge), 1.0))
        painter.drawPath(shape)

    def paper_colour(self, ground: str) -> QColor:
        """Return a paper's colour as this look shows it."""
        colour = QColor(ground)
        if self.look.name == "dark":
            h, s, v, a = colour.getHsvF()
            colour.setHsvF(h, s, v * PAPER_DIM, a)
        return colour

    def _sheet(self, shape: QPainterPath, item: ScrapItem) -> None:
        self.painter.setPen(QPen(_with_alpha(self.look.paper_edge, 150), 0.8))
        self.painter.setBrush(self.paper_colour(item.look.ground))
        self.painter.drawPath(shape)

    def _stain(self, shape: QPainterPath) -> None:
        self._fill(shape, QBrush(_with_alpha(self.look.paper_ink, 46)))
        self._hatch(shape, "crossed", 130)
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.setPen(_dashed(self.look.paper_ink, 1.2, (3, 2)))
        self.painter.drawPath(shape)

    def _image(self, shape: QPainterPath) -> None:
        self.painter.setBrush(_with_alpha(self.look.paper_ink, 60))
        self.painter.setPen(QPen(_with_alpha(self.look.paper_ink, 190), 1.0))
        self.painter.drawPath(shape)

    # ---- metal --------------------------------------------------------------------------------------------------

    def die(self, item: DieItem) -> None:
        """Paint a die's metal and its cut line; a die lifted off for this pass is a dashed ghost."""
        body, cut = self.to_screen.map(item.body), self.to_screen.map(item.cut)
        painter = self.painter
        if item.cut_from is None:
            painter.setBrush(_with_alpha(self.look.metal_light, 40))
            painter.setPen(_dashed(self.look.metal_edge, 1.1, (4, 3)))
            painter.drawPath(body)
            return
        if self.layers.metal:
            self._shadow(body.translated(0.8, 2.0), 60)
            self._fill(body, QBrush(self._metal(body.boundingRect())))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(self.look.metal_edge), 0.9))
            painter.drawPath(body)
        if self.layers.cuts:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(self.look.cut), 1.0 if self.small else 1.7))
            painter.drawPath(cut)
        if item.held:
            self.tape(item)

    def tape(self, item: DieItem) -> None:
        """Paint two strips of low-tack tape across the metal: this die is held in place."""
        path = self.to_screen.map(item.solid)
        border = [QPointF(path.elementAt(k)) for k in range(path.elementCount())]
        side = min(max(4.0 * self.viewing.scale, 3.0 if self.small else 9.0), 18.0)
        # The outermost points on two sides: corners of the box round a turned die lie beside it.
        for outermost in (min(border, key=_down_right), max(border, key=_down_right)):
            inward = outermost + (path.boundingRect().center() - outermost) * 0.1
            self._strip(inward, side * 2.2, side, -38.0)

    def _strip(self, middle: QPointF, length: float, width: float, turn: float) -> None:
        self.painter.save()
        self.painter.translate(middle)
        self.painter.rotate(turn)
        strip = QRectF(-length / 2, -width / 2, length, width)
        self.painter.setPen(QPen(_with_alpha(self.look.metal_edge, 170), 0.8))
        self.painter.setBrush(_with_alpha(self.look.tape, 225))
        self.painter.drawRect(strip)
        self.painter.restore()

    def _metal(self, around: QRectF) -> QLinearGradient:
        shine = QLinearGradient(around.topLeft(), around.bottomRight())
        shine.setColorAt(0.0, QColor(self.look.metal_light))
        shine.setColorAt(0.45, QColor(self.look.metal_dark).lighter(112))
        shine.setColorAt(0.62, QColor(self.look.metal_light))
        shine.setColorAt(1.0, QColor(self.look.metal_dark))
        return shine

    # ---- how areas are filled -----------------------------------------------------------------------------------

    def _shadow(self, shape: QPainterPath, alpha: int) -> None:
        self._fill(shape, QBrush(_with_alpha(self.look.shadow, alpha)))

    def _hatch(self, shape: QPainterPath, kind: str, alpha: int) -> None:
        density = self.painter.device().devicePixelRatio()
        self._fill(shape, hatch(kind, _with_alpha(self.look.paper_ink, alpha), density))

    def _fill(self, shape: QPainterPath, brush: QBrush) -> None:
        """Fill without smooth edges, which cost five times: a line runs along these, or they are too faint to see."""
        self.painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        self.painter.fillPath(shape, brush)
        self.painter.setRenderHint(QPainter.RenderHint.Antialiasing)

    # ---- words --------------------------------------------------------------------------------------------------

    def lines_on(self, dies: Sequence[DieItem]) -> list[tuple[DieItem, list[str]]]:
        """Return what is written on each die: its name, or its number where the name would lie over other words."""
        taken = [(die.index, self._plaque(self._label_middle(die), _number(die))) for die in dies]
        told = []
        for die in dies:
            lines = self._lines(die)
            plaque = self._plaque(self._label_middle(die), lines)
            if lines == _die_words(die):
                if any(n != die.index and plaque.intersects(other) for n, other in taken):
                    lines = _number(die) if self._fit(die, _number(die), PLAQUE) else []
                else:
                    taken.append((die.index, plaque))
            told.append((die, lines))
        return told

    def die_label(self, item: DieItem, lines: list[str] | None = None) -> None:
        """Write a die's name in its middle, and that it is lifted off where it is; or other lines."""
        lines = self._lines(item) if lines is None else lines
        if lines:
            wide = self.to_screen.mapRect(item.cut.boundingRect()).width() * OVER
            self.words(self._label_middle(item), lines, wide)

    def _label_middle(self, item: DieItem) -> QPointF:
        around = self.to_screen.mapRect(item.cut.boundingRect())
        middle = around.center()
        if item.die.body.holes and item.die.cut.holes:
            # A frame's middle belongs to the dies in its window, so its name goes on its upper rim.
            middle.setY(around.top() + self._metrics.height() / 2)
        return middle

    def _lines(self, item: DieItem) -> list[str]:
        """Return a die's name, its number where it has no room for it, or nothing: hovering tells it too."""
        if self._fit(item, _die_words(item)):
            return _die_words(item)
        return _number(item) if self._fit(item, _number(item), PLAQUE) else []

    def _fit(self, item: DieItem, lines: list[str], rim: float = 0.0) -> bool:
        around = self.to_screen.mapRect(item.cut.boundingRect())
        wide = max(self._metrics.horizontalAdvance(line) for line in lines) + rim
        return wide <= around.width() * OVER and self._metrics.height() * len(lines) <= around.height() * OVER

    def placed_labels(self, scraps: Iterable[ScrapItem], dies: Sequence[DieItem]) -> Iterator[Label]:
        """Give what is written on each sheet or on a tag beside it, where no die covers it."""
        if not self.layers.paper:
            return
        sheets = [Sheet(self.to_screen.map(s.shape), label_of(s), s.look.name, s.look.ground) for s in scraps]
        names = [self._plaque(self._label_middle(die), lines) for die, lines in self.lines_on(dies) if lines]
        tagging = Tagging(self.room, sheets, [self.to_screen.map(die.solid) for die in dies], names)
        yield from tagging.labels(lambda text: (self._metrics.horizontalAdvance(text), self._metrics.height()))

    def scrap_label(self, label: Label) -> None:
        """Write what a sheet is, on a tag of its paper where it stands beside the sheet."""
        self.labels.append(label)
        if label.line is not None:
            for ink, width in ((self.paper_colour(label.ground), 3.6), (QColor(self.look.paper_ink), 1.2)):
                self.painter.setPen(QPen(ink, width))  # seen on any ground
                self.painter.drawLine(label.line)
            self.painter.setBrush(QColor(self.look.paper_ink))
            self.painter.drawEllipse(label.line.p2(), DOT, DOT)
            self.painter.setBrush(self.paper_colour(label.ground))
            self.painter.drawRoundedRect(label.spot, 3, 3)
        self.painter.setPen(QColor(self.look.paper_ink))
        self.painter.drawText(label.spot, Qt.AlignmentFlag.AlignCenter, label.text)

    def die_room(self, item: DieItem) -> QRectF:
        """Return the pixels that a die may take, with its shadow, its tape and its words."""
        around = self.to_screen.mapRect(item.solid.boundingRect())
        aside, above = 0.1 * around.width() + TAPE_ROOM, max(TAPE_ROOM, 1.5 * self._metrics.height())
        return around.adjusted(-aside, -above, aside, above)

    def scrap_room(self, item: ScrapItem) -> QRectF:
        """Return the pixels that a sheet may take, with its shadow and what is stacked under it."""
        around = self.to_screen.mapRect(item.shape.boundingRect())
        return around.adjusted(-STACK_ROOM, -STACK_ROOM, STACK_ROOM, STACK_ROOM)

    def words(self, middle: QPointF, lines: list[str], width: float) -> None:
        """Write lines on a small plaque round a point, shortened to a width."""
        if width < LEAST_LABEL:
            return
        shown = [self._metrics.elidedText(line, Qt.TextElideMode.ElideRight, width) for line in lines]
        if not any(line.strip("…") for line in shown):
            return  # no letter of it would be left
        plaque = self._plaque(middle, shown)
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(_with_alpha(self.look.metal_light, 215))
        self.painter.drawRoundedRect(plaque, 4, 4)
        self.painter.setPen(QColor(self.look.metal_ink))
        self.painter.drawText(plaque, Qt.AlignmentFlag.AlignCenter, "\n".join(shown))

    def _plaque(self, middle: QPointF, lines: list[str]) -> QRectF:
        wide = max((self._metrics.horizontalAdvance(line) for line in lines), default=0.0) + PLAQUE
        plaque = QRectF(0, 0, wide, self._metrics.height() * len(lines) + 2)
        plaque.moveCenter(middle)
        return plaque


def label_of(item: ScrapItem) -> str:
    """Return what is written on a sheet: its paper, its own name where that says more, how many lie stacked."""
    own, paper = item.name.replace("-", " "), item.look.name
    text = own if own.lower().startswith(paper.lower()) else f"{paper} · {own}"
    return f"{text} ×{item.sheets}" if item.sheets > 1 else text


def _down_right(at: QPointF) -> float:
    return at.x() + at.y()


def _number(item: DieItem) -> list[str]:
    """Return the number that the list beside the plate has too."""
    return [str(item.number)]


def _die_words(item: DieItem) -> list[str]:
    return [item.name] if item.cut_from is not None else [item.name, "lifted off"]


def _touches(region: QRegion | None, box: QRectF) -> bool:
    return region is None or region.intersects(box.toAlignedRect())


def _with_alpha(colour: str, alpha: int) -> QColor:
    made = QColor(colour)
    made.setAlpha(alpha)
    return made


def _dashed(colour: str, width: float, pattern: tuple[float, float]) -> QPen:
    pen = QPen(QColor(colour), width)
    pen.setDashPattern(list(pattern))
    return pen
