"""What is drawn on dies and sheets lies where it belongs."""

import pytest
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QImage, QPainter, QPainterPath

from app.canvas.layers import ALL
from app.canvas.painting import PlatePainter, label_of
from app.canvas.scene import DieItem, die_item, scene_of
from app.canvas.viewing import Viewing
from app.look.fonts import font
from app.look.tokens import LIGHT
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.project import Die
from tests.support.desk import grid


def taped(die):
    nothing = QPainterPath()
    return DieItem(0, 1, die, Pose(0.0, 0.0, 0.0), None, True, nothing, nothing, nothing)


@pytest.mark.parametrize("turn", [0.0, 45.0, 110.0])
def test_the_tape_of_what_is_held_lies_on_its_metal(qapp, monkeypatch, turn):  # noqa: ARG001
    die = Die("label", "label", Outline.rectangle(60, 40), Outline.rectangle(56, 36))
    image = QImage(400, 400, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    try:
        plate = PlatePainter(painter, Viewing(3.0, 200.0, 200.0), LIGHT, font(), ALL, "mm")
        strips: list[QPointF] = []
        monkeypatch.setattr(plate, "_strip", lambda middle, *_: strips.append(middle))
        held = die_item(taped(die), Pose(10.0, -5.0, turn))
        plate.tape(held)
        metal = plate.to_screen.map(held.solid)
    finally:
        painter.end()
    assert len(strips) == 2
    for middle in strips:
        assert metal.intersects(QRectF(middle.x() - 9, middle.y() - 9, 18, 18))


@pytest.mark.parametrize(
    ("name", "label"),
    [("cream", "cream"), ("cream 105 × 148", "cream 105 × 148"), ("odd-corner", "cream · odd corner")],
)
def test_a_sheet_names_its_paper_once(qapp, name, label):  # noqa: ARG001
    project, plan = grid(2, 1, corners=12)
    scraps = (replace(project.scraps[0], extra={"name": name}),)
    assert label_of(scene_of(replace(project, scraps=scraps), plan, 0, 0).scraps[0]) == label


def test_a_die_too_small_for_a_letter_of_its_name_has_no_plaque(qapp):  # noqa: ARG001
    image = QImage(200, 100, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFF)
    blank = image.copy()
    painter = QPainter(image)
    try:
        plate = PlatePainter(painter, Viewing(3.0, 200.0, 200.0), LIGHT, font(text_scale=2.0), ALL, "mm")
        plate.words(QPointF(100, 50), ["13"], 27.0)
    finally:
        painter.end()
    assert image == blank
