"""Scraps from a picture: stamped images are found, matched to dies, nudged, undone, and taken in where they lie."""

import cv2
import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import QPointF, Qt
from shapely import affinity
from shapely.geometry import Polygon

from app.document.asking import ask
from app.wayin.stamps import PLAIN, STAIN
from app.wayin.window import WayIn
from layout.geometry.outline import from_polygon
from layout.geometry.pose import Pose, angle_between
from layout.geometry.rim import metal_about
from layout.geometry.value import replace
from layout.model.project import Die
from tests.support.border_distance import border_distance
from tests.support.die_shapes import heart, moth, star

DPI = 200.0
MM = 25.4 / DPI
KEY = Qt.Key
LEFT = Qt.MouseButton.LeftButton
PATIENCE = 120_000
SCRAP = Polygon([(10, 12), (88, 9), (92, 80), (14, 86)])
AT = Pose(50.0, 47.0, 37.0)


def cut(make):
    shape = affinity.scale(make(np.random.default_rng(1)), 20, 20, origin=(0, 0)).simplify(0.01)
    return from_polygon(shape)


def write_scrap(path, *inks):
    """A scrap of cream card on a dark felt, each image stamped as a line."""
    picture = np.full((760, 800, 3), (48, 52, 50), np.uint8)
    for shape, colour, thick in ((SCRAP, (206, 224, 230), -1), *((ink, (90, 60, 40), 3) for ink in inks)):
        ring = np.asarray(shape.exterior.coords) / MM
        at = np.round(np.column_stack([ring[:, 0] - 0.5, 760 - ring[:, 1] - 0.5]) * 256).astype(np.int32)
        if thick < 0:
            cv2.fillPoly(picture, [at], colour, cv2.LINE_AA, 8)
        else:
            cv2.polylines(picture, [at], True, colour, thick, cv2.LINE_AA, 8)
    grain = np.random.default_rng(1).normal(0, 2, picture.shape)
    made = np.clip(cv2.GaussianBlur(picture, (0, 0), 0.8) + grain, 0, 255).astype(np.uint8)
    Image.fromarray(made[..., ::-1]).save(path, dpi=(DPI, DPI))
    return path


@pytest.fixture
def way_in(window, qtbot):
    dies = tuple(Die(m.__name__, m.__name__, metal_about(cut(m), 2.0, 2.0), cut(m)) for m in (heart, moth, star))
    ask(window.document, "Addition of dies", replace(window.document.project, dies=dies))

    def go(path):
        window.commands.way_in([str(path)])
        found = next(w for w in window.findChildren(WayIn) if w.isVisible())
        settle(qtbot, found)
        found.parts.kind.setCurrentIndex(2)
        found.parts.kind.activated.emit(2)
        settle(qtbot, found)
        return found

    yield go
    for left in window.findChildren(WayIn):
        left.reader.stop()


def settle(qtbot, found):
    qtbot.waitUntil(lambda: not found.reader.running, timeout=PATIENCE)


def test_scraps_come_in_with_their_images_where_they_lie(window, way_in, tmp_path):
    ink = AT.outline(cut(moth)).polygon.buffer(-1.5)
    found = way_in(write_scrap(tmp_path / "scraps.png", ink))
    assert "1 stamped image was found" in found.parts.bar.text
    (stamp,) = found.tray.thing.stamps
    assert stamp.die == "moth"
    # half a millimetre and a degree: what a hand nudges anyway
    assert np.hypot(stamp.pose.x - AT.x, stamp.pose.y - AT.y) < 0.5
    assert angle_between(stamp.pose.turn, AT.turn) < 1.0
    assert found.parts.images.die.currentText() == "moth"
    found.take_in()
    (scrap,) = window.document.project.scraps
    (image,) = scrap.images
    assert image.image == "moth image"
    # the frame lies on the scrap as it lay on the picture, whatever the scrap's own frame is
    left, low, _, _ = SCRAP.bounds
    assert np.hypot(image.pose.x + left - AT.x, image.pose.y + low - AT.y) < 0.7
    assert border_distance(affinity.translate(image.outline.polygon, left, low), ink)[0] < 0.7
    assert scrap.outline.polygon.contains(image.outline.polygon)
    window.document.undo.undo()
    assert window.document.project.scraps == ()


def test_a_frame_is_nudged_turned_dragged_and_each_is_undone(way_in, qtbot, tmp_path):
    found = way_in(write_scrap(tmp_path / "scraps.png", AT.outline(cut(moth)).polygon.buffer(-1.5)))
    view, tray = found.parts.view, found.tray
    first = tray.thing.stamps[0].pose
    outline = tray.thing.outline
    view.setFocus()
    qtbot.keyClick(view, KEY.Key_I)
    assert view.images.active
    for _ in range(3):
        qtbot.keyClick(view, KEY.Key_Right)
    qtbot.keyClick(view, KEY.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    pose = tray.thing.stamps[0].pose
    assert (pose.x - first.x, pose.y - first.y) == pytest.approx((1.5, 0.1))
    qtbot.keyClick(view, KEY.Key_BracketLeft)
    assert angle_between(tray.thing.stamps[0].pose.turn, first.turn) == pytest.approx(5.0)
    middle = view.viewing.to_screen(QPointF(50, 47)).toPoint()
    qtbot.mousePress(view, LEFT, pos=middle)
    qtbot.mouseMove(view, middle + QPointF(40, 0).toPoint())
    qtbot.mouseRelease(view, LEFT, pos=middle + QPointF(40, 0).toPoint())
    dragged = tray.thing.stamps[0].pose
    assert dragged.x > pose.x + 1
    assert tray.thing.outline == outline
    tray.undo()  # the drag
    tray.undo()  # the turn
    assert tray.thing.stamps[0].pose == pose
    tray.undo()  # nudges in a row are one step
    assert tray.thing.stamps[0].pose == first
    tray.undo()  # what was found
    assert tray.thing.stamps == ()
    tray.redo()
    assert tray.thing.stamps[0].pose == first


def test_an_image_that_fits_no_die_is_kept_free_or_framed_by_hand(window, way_in, qtbot, tmp_path):
    found = way_in(write_scrap(tmp_path / "scraps.png", Polygon([(30, 40), (75, 40), (75, 46), (30, 46)])))
    card, tray = found.parts.images, found.tray
    assert "without a die that fits" in found.parts.bar.text
    assert tray.thing.stamps[0].die == STAIN
    card.die.setCurrentIndex(card.die.findData("star"))
    card.die.activated.emit(card.die.currentIndex())
    assert tray.thing.stamps[0].die == "star"
    left, low, right, high = card.hold.outline(tray.thing.stamps[0]).bounds
    assert ((left + right) / 2, (low + high) / 2) == pytest.approx((52.5, 43), abs=0.3)
    tray.undo()
    card.add.click()
    assert [s.die for s in tray.thing.stamps] == [STAIN, "heart"]
    found.parts.view.setFocus()
    qtbot.keyClick(found.parts.view, KEY.Key_Delete)
    assert [s.die for s in tray.thing.stamps] == [STAIN, PLAIN]
    assert tray.thing.kept
    found.take_in()
    (scrap,) = window.document.project.scraps
    assert scrap.images == ()
    left, low, right, high = scrap.spoiled[0].bounds
    assert (right - left, high - low) == pytest.approx((45, 6), abs=1.5)  # the pen is 0.4 mm wide, and blurred


def test_a_ruler_that_corrects_the_scale_stretches_picture_and_frames_alike(way_in, tmp_path):
    found = way_in(write_scrap(tmp_path / "scraps.png", AT.outline(cut(moth)).polygon.buffer(-1.5)))
    before, place = found.tray.thing.stamps[0], found.parts.view.place
    check = found.parts.check
    check.measured.show_length(check._longest() * 1.02)
    check._correct()
    assert found.parts.view.place.width() == pytest.approx(1.02 * place.width())
    assert found.tray.thing.stamps[0].pose.x == pytest.approx(1.02 * before.pose.x)
    found.tray.undo()
    assert found.parts.view.place == place
