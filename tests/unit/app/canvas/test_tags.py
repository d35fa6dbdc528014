"""Every sheet in sight has its name on the plate, over no die and no other name."""

from pathlib import Path

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter, QPainterPath

from app.canvas.layers import ALL
from app.canvas.painting import PlatePainter, label_of
from app.canvas.scene import scene_of
from app.canvas.tags import Sheet, Tagging
from app.canvas.viewing import Viewing, fitted
from app.guide.command import read
from app.look.fonts import font
from app.look.tokens import LIGHT, SMALL

DEMO = Path(__file__).parents[4] / "resources" / "demo"
ROOM = QRectF(20, 20, 600, 400)


@pytest.fixture(scope="module")
def demo():
    return read(DEMO / "night-garden.json", DEMO / "night-garden.plan.json")


def painted(scene, scale):
    image = QImage(700, 620, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    try:
        bed = QRectF(0, 0, scene.machine.bed_width, scene.machine.bed_length)
        view = fitted(bed, QRectF(80, 60, 540, 500), mirrored=False)
        plate = PlatePainter(painter, view, LIGHT, font(SMALL, text_scale=scale), ALL, "mm")
        plate.paint(scene)
    finally:
        painter.end()
    return plate


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_every_scrap_of_every_pass_of_the_demo_is_named(qapp, demo, scale):  # noqa: ARG001
    project, plan = demo
    for i, layout in enumerate(plan.layouts):
        for j in range(len(layout.runs)):
            scene = scene_of(project, plan, i, j)
            plate = painted(scene, scale)
            assert sorted(label.text for label in plate.labels) == sorted(map(label_of, scene.scraps))
            boxes = [label.spot for label in plate.labels]
            for k, box in enumerate(boxes):
                assert not any(box.intersects(other) for other in boxes[:k])
                assert not any(plate.to_screen.map(die.body).intersects(box) for die in scene.dies)


def square(x, y, side):
    path = QPainterPath()
    path.addRect(QRectF(x, y, side, side))
    return path


def told(sheets, dies=()):
    return list(Tagging(ROOM, sheets, dies, ()).labels(lambda text: (7.0 * len(text), 12.0)))


def test_a_name_stands_on_bare_paper_where_there_is_room():
    (label,) = told([Sheet(square(100, 100, 120), "moss strip", "moss", "#8a9")])
    assert label.line is None
    assert QRectF(100, 100, 120, 120).contains(label.spot)


def test_a_covered_sheet_has_a_tag_beside_it_with_a_line_to_what_is_bare_of_it():
    sheet = Sheet(square(100, 100, 120), "moss strip", "moss", "#8a9")
    (label,) = told([sheet], [square(112, 112, 100)])
    assert label.line is not None
    assert not label.spot.intersects(QRectF(100, 100, 120, 120))
    end = label.line.p2()
    assert sheet.shape.contains(end)
    assert not QRectF(112, 112, 100, 100).contains(end)
    assert label.spot.adjusted(-1, -1, 1, 1).contains(label.line.p1())
    assert label.line.length() < 20
    assert label.room.contains(end)


def test_a_tag_keeps_off_other_sheets_while_there_is_bare_plate():
    left, right = square(100, 100, 120), square(222, 100, 120)
    sheets = [Sheet(left, "moss strip", "moss", "#8a9"), Sheet(right, "silver strip", "silver", "#bbb")]
    for label in told(sheets, [square(105, 105, 110), square(227, 105, 110)]):
        assert not left.intersects(label.spot)
        assert not right.intersects(label.spot)


def test_what_is_out_of_sight_is_not_named():
    assert told([Sheet(square(900, 100, 120), "moss strip", "moss", "#8a9")]) == []


def test_the_numbers_on_dies_are_those_of_the_drawer_and_of_the_guide(demo):
    project, plan = demo
    scene = scene_of(project, plan, 0, 0)
    assert [project.dies[die.number - 1] for die in scene.dies] == [die.die for die in scene.dies]


def test_a_view_that_is_too_small_for_any_name_is_painted_all_the_same(qapp, demo):  # noqa: ARG001
    image = QImage(8, 8, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    try:
        plate = PlatePainter(painter, Viewing(1.0, 0.0, 8.0), LIGHT, font(SMALL), ALL, "mm")
        plate.paint(scene_of(*demo, 0, 0))
    finally:
        painter.end()
    assert plate.labels == []
