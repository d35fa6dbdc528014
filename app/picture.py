"""`python -m app picture`: every pass of a plan as the window shows it, in one picture, without a screen."""

from __future__ import annotations

import argparse
import math
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from layout.model.errors import FileError, PlatefulError
from layout.model.plan import Plan
from layout.model.project import Project

if TYPE_CHECKING:
    from PySide6.QtCore import QRectF
    from PySide6.QtGui import QImage, QPainter

    from app.canvas.scene import Scene

COMPLETE, REFUSED, PARTIAL = 0, 2, 3
LONGER_SIDE = 660  # pixels of a plate's longer side
EDGE = 30  # pixels round each plate, where paper may stick out
CAPTION = 60  # pixels under each plate
MOST_WIDTH = 2800


def add_parser(subparsers: Any) -> None:
    """Add the subcommand `picture`."""
    parser = subparsers.add_parser("picture", help="write a picture of the plate in every pass, without a window")
    parser.add_argument("project", type=Path, metavar="PROJECT.json")
    parser.add_argument("plan", type=Path, nargs="?", metavar="PLAN.json", help="planned first where it is left out")
    parser.add_argument("--out", type=Path, required=True, metavar="PLATE.png")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the picture; return 0 where every piece is planned, 3 where some are missing, 2 with one line on stderr."""
    # Set before Qt starts: a picture needs no screen, and there may be none.
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    try:
        plan = _write(args)
    except PlatefulError as error:
        print(error, file=sys.stderr)
        return REFUSED
    print(f"{args.out}: {plan.passes} passes, {len(plan.layouts)} layouts")
    return COMPLETE if plan.status == "complete" else PARTIAL


def plate_picture(project: Project, plan: Plan) -> QImage:
    """Return every pass side by side, an empty plate where there is none; needs a QGuiApplication."""
    from PySide6.QtGui import QImage, QPainter

    from app.look.tokens import LIGHT

    scenes = list(_scenes(project, plan))
    wide, high = _tile(project)
    across = min(max(1, MOST_WIDTH // wide), len(scenes))
    picture = QImage(wide * across, high * math.ceil(len(scenes) / across), QImage.Format.Format_RGB32)
    picture.fill(LIGHT.table)
    painter = QPainter(picture)
    for index, (name, scene) in enumerate(scenes):
        painter.save()
        painter.translate(wide * (index % across), high * (index // across))
        _paint_tile(painter, scene, name, wide, high)
        painter.restore()
    painter.end()
    return picture


def _write(args: argparse.Namespace) -> Plan:
    from PySide6.QtGui import QGuiApplication

    from app.guide.command import read
    from app.look.fonts import load_fonts

    project, plan = read(args.project, args.plan)
    application = QGuiApplication.instance() or QGuiApplication(["plateful"])
    load_fonts()
    if not plate_picture(project, plan).save(str(args.out), "PNG"):
        raise FileError(f"{args.out}: the picture cannot be written there; check the folder and its rights")
    del application
    return plan


def _scenes(project: Project, plan: Plan) -> Iterator[tuple[str, Scene]]:
    from app.canvas.scene import Scene, scene_of

    if not plan.passes:
        yield "Nothing to cut in the machine", Scene(project.machine)
    number = 0
    for i, layout in enumerate(plan.layouts):
        for j in range(len(layout.runs)):
            number += 1
            yield f"Pass {number} · {layout.id}", scene_of(project, plan, i, j)


def _tile(project: Project) -> tuple[int, int]:
    bed = project.machine.bed_width, project.machine.bed_length
    width, length = (round(LONGER_SIDE * side / max(bed)) for side in bed)
    return width + 2 * EDGE, length + 2 * EDGE + CAPTION


def _paint_tile(painter: QPainter, scene: Scene, name: str, wide: int, high: int) -> None:
    from PySide6.QtCore import QRectF, Qt
    from PySide6.QtGui import QColor

    from app.canvas.painting import PlatePainter
    from app.canvas.viewing import fitted
    from app.look.fonts import font
    from app.look.tokens import LARGE, LIGHT

    tile = QRectF(0, 0, wide, high)
    painter.setClipRect(tile.adjusted(1, 1, -1, -1))
    bed = QRectF(0, 0, scene.machine.bed_width, scene.machine.bed_length)
    room = tile.adjusted(EDGE, EDGE, -EDGE, -EDGE - CAPTION)
    plate = PlatePainter(painter, fitted(bed, room, mirrored=False), LIGHT, font(LARGE))
    plate.room = tile.adjusted(1, 1, -1, -CAPTION)
    plate.paint(scene)
    numbered = ", ".join(
        f"{die.number} {die.name}" for die, lines in plate.lines_on(scene.dies) if die.name not in lines
    )
    # Over the paper, which may stick out of the bed for its whole length.
    caption = tile.adjusted(0, high - CAPTION, 0, 0)
    painter.fillRect(caption, QColor(LIGHT.table))
    painter.setPen(QColor(LIGHT.text))
    for text, bold, place in ((name, True, _half(caption, 0)), (numbered, False, _half(caption, 1))):
        painter.setFont(font(LARGE, bold=bold))
        painter.drawText(place, Qt.AlignmentFlag.AlignCenter, text)


def _half(place: QRectF, which: int) -> QRectF:
    return place.adjusted(0, which * place.height() / 2, 0, (which - 1) * place.height() / 2)
