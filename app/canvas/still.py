"""The picture of all that is not in hand: kept, mended where little has changed, else painted anew between events."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from time import thread_time
from typing import TYPE_CHECKING

from PySide6.QtCore import QRect, QRectF, QSize
from PySide6.QtGui import QFont, QPainter, QPixmap, QRegion

from app.canvas.layers import Layers
from app.canvas.painting import Numbers, PlatePainter
from app.canvas.rulers import Rulers, ruler_thickness
from app.canvas.scene import DieItem, Scene, ScrapItem
from app.canvas.tags import Label
from app.canvas.viewing import Viewing
from app.look.tokens import Look
from layout.geometry.units import Unit
from layout.geometry.value import Value, replace

if TYPE_CHECKING:
    from app.chores import Chores

PAINTING = "still picture"
AT_ONCE_MS = 12.0  # a picture that takes no longer is painted at once
MOST_MENDED = 6  # things: where more have changed, the picture is painted anew
PER_THING = 60  # corners that a thing's shadow, hatch and words cost as much as


class Shot(Value, frozen=True):
    """All that a still picture depends on."""

    scene: Scene
    left_out: tuple[Numbers, Numbers]
    viewing: Viewing
    look: Look
    font: QFont
    layers: Layers
    unit: Unit
    size: QSize
    ratio: float

    @property
    def room(self) -> QRectF:
        """Where the plate is seen: all but the rulers."""
        thick = ruler_thickness(self.font)
        return QRectF(thick, thick, self.size.width() - thick, self.size.height() - thick)

    @property
    def dies(self) -> dict[object, DieItem]:
        """The dies in the picture, by all that tells one look of a die from another."""
        there = (d for d in self.scene.dies if d.index not in self.left_out[0])
        return {(d.index, id(d.die), d.pose, d.cut_from is None, d.held): d for d in there}

    @property
    def scraps(self) -> dict[object, ScrapItem]:
        """The scraps in the picture, likewise."""
        there = (s for s in self.scene.scraps if s.index not in self.left_out[1])
        return {(s.index, id(s.scrap), s.pose, s.sheets, s.look, s.held): s for s in there}

    def painter(self, painter: QPainter) -> PlatePainter:
        """Return the strokes for this picture."""
        made = PlatePainter(painter, self.viewing, self.look, self.font, self.layers, self.unit)
        made.room = self.room
        return made

    def paint_rulers(self, painter: QPainter) -> None:
        """Paint the rulers along the picture's edges."""
        painter.setClipping(False)
        Rulers(painter, self.viewing, self.look, self.font, self.unit).paint(QRectF(0, 0, *self.size.toTuple()))


class Still:
    """Gives a picture for a shot. With `chores`, one that takes long is painted meanwhile, and the old one shown."""

    def __init__(self, painted: Callable[[], None]) -> None:
        self._painted = painted
        self.chores: Chores | None = None
        self._pixmap = QPixmap()
        self._shot: Shot | None = None
        self._labels: list[Label] = []
        self._coming: Shot | None = None
        self._rate = 0.0  # ms a corner

    def shown(self, wanted: Shot) -> tuple[QPixmap, Shot]:
        """Return the picture to show now, and what it was taken of."""
        if wanted != self._shot:
            self._renew(wanted)
        assert self._shot is not None
        return self._pixmap, self._shot

    def _renew(self, wanted: Shot) -> None:
        changed = self._changed(wanted)
        if self.chores is None or self._shot is None:
            self._paint_now(wanted)
        elif changed is not None:
            self._mend(wanted, *changed)
        elif self._rate * _corners(wanted.scene) <= AT_ONCE_MS:
            self._paint_now(wanted)
        elif self._coming != wanted:
            self._coming = wanted
            self.chores.add(PAINTING, self._paint(wanted), first=True)

    def _paint_now(self, wanted: Shot) -> None:
        for _ in self._paint(wanted):
            pass

    def _paint(self, shot: Shot) -> Iterator[None]:
        """Paint a picture anew, thing by thing; it takes the old one's place when it is done."""
        spent, began = 0.0, thread_time()
        pixmap = QPixmap(shot.size * shot.ratio)
        pixmap.setDevicePixelRatio(shot.ratio)
        pixmap.fill(shot.look.table)
        painter = QPainter(pixmap)
        try:
            painter.setClipRect(shot.room)
            plate = shot.painter(painter)
            for _ in plate.paint_in_steps(shot.scene, leave_out=shot.left_out):
                spent += thread_time() - began
                yield
                began = thread_time()
            shot.paint_rulers(painter)
        finally:
            painter.end()
        self._rate = 1000 * (spent + thread_time() - began) / _corners(shot.scene)
        self._take(pixmap, shot, plate.labels)
        self._painted()

    def _take(self, pixmap: QPixmap, shot: Shot, labels: list[Label]) -> None:
        self._pixmap, self._shot, self._labels, self._coming = pixmap, shot, labels, None
        if self.chores is not None:
            self.chores.drop(PAINTING)

    def _changed(self, wanted: Shot) -> tuple[list[DieItem], list[ScrapItem]] | None:
        """Return the things that look otherwise, as they were and as they are; None where mending is not worth it."""
        old = self._shot
        if old is None or replace(old, scene=wanted.scene, left_out=wanted.left_out) != wanted:
            return None
        if old.scene.machine is not wanted.scene.machine:
            return None
        dies, scraps = _differing(old.dies, wanted.dies), _differing(old.scraps, wanted.scraps)
        return (dies, scraps) if len(dies) + len(scraps) <= MOST_MENDED else None

    def _labels_of(self, shot: Shot, plate: PlatePainter) -> list[Label]:
        """Return the sheets' labels; a die that is only taken up leaves them where they are."""
        assert self._shot is not None
        if self._shot.scene is shot.scene and self._shot.left_out[1] == shot.left_out[1]:
            return self._labels
        return list(plate.placed_labels(shot.scraps.values(), shot.scene.dies))

    def _mend(self, shot: Shot, dies: list[DieItem], scraps: list[ScrapItem]) -> None:
        """Paint again only where something looks otherwise."""
        pixmap = QPixmap(self._pixmap)
        painter = QPainter(pixmap)
        try:
            plate = shot.painter(painter)
            rooms = [plate.die_room(d) for d in dies] + [plate.scrap_room(s) for s in scraps]
            labels = self._labels_of(shot, plate)
            old, new = (dict(_told(plate.lines_on(list(taken.dies.values())))) for taken in (self._shot, shot))
            rooms += [plate.die_room(d) for d in shot.dies.values() if old.get(d.index, new[d.index]) != new[d.index]]
            rooms += [label.room for label in _either(self._labels, labels)]
            region = QRegion()
            for room in rooms:
                region = region.united(room.intersected(shot.room).toAlignedRect())
            edge = math.floor(shot.room.left()) + 1  # the line of the rulers, which are not painted here, stays
            painter.setClipRegion(region.intersected(QRect(edge, edge, shot.size.width(), shot.size.height())))
            painter.fillRect(shot.room, shot.look.table)
            for _ in plate.paint_in_steps(shot.scene, leave_out=shot.left_out, within=region, placed=labels):
                pass
        finally:
            painter.end()
        self._take(pixmap, shot, labels)


def _told(lines: list[tuple[DieItem, list[str]]]) -> Iterator[tuple[int, list[str]]]:
    return ((die.index, words) for die, words in lines)


def _differing(old: dict[object, object], new: dict[object, object]) -> list:
    gone, come = old.keys() - new.keys(), new.keys() - old.keys()
    return [old[k] for k in gone] + [new[k] for k in come]


def _either(old: list[Label], new: list[Label]) -> list[Label]:
    return [label for label in old if label not in new] + [label for label in new if label not in old]


def _corners(scene: Scene) -> int:
    paths = [p for d in scene.dies for p in (d.body, d.cut)] + [s.shape for s in scene.scraps]
    return sum(path.elementCount() + PER_THING for path in paths) + PER_THING
