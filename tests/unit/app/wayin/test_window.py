"""The way in as a person goes it: files in, names typed, corners mended, a ruler held, taken in as one step."""

import re
from math import dist

import numpy as np
import pytest
from PIL import Image, ImageDraw
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from app.wayin.mending import longest
from app.wayin.scaling import how_true
from app.wayin.window import WayIn
from layout.geometry.units import format_length
from tests.support import picture_maker
from tests.support.border_distance import border_distance

GROUND = picture_maker.Look(ground=(40, 38, 45), metal=150, shadow=0.1, noise=2)
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 100 60">'
    '<rect x="10" y="10" width="40" height="30"/><circle cx="75" cy="30" r="12"/></svg>'
)
PATIENCE = 120_000  # ms: a busy machine is slow
KEY = Qt.Key


def ring(shape, width=3.0):
    return shape.difference(shape.buffer(-width))


def dies(count):
    """Rings of different shapes on a grid of 45 mm, row by row from the top, as a page is read."""
    shapes = [Point(0, 0).buffer(14 + k, 64) if k % 2 else box(-12 - k, -10, 12 + k, 10) for k in range(count)]
    return [affinity.translate(ring(s), 26 + 45 * (k % 3), 70 - 45 * (k // 3)) for k, s in enumerate(shapes)]


def write_scan(path, bodies, dpi=200, stated=True):
    made = picture_maker.scan(np.random.default_rng(1), 145, 100, dpi, look=GROUND, bodies=bodies)
    Image.fromarray(made.pixels[..., ::-1]).save(path, **({"dpi": (dpi, dpi)} if stated else {}))
    return path


@pytest.fixture
def way_in(window, qtbot):
    def go(*paths, by_size=False):
        window.commands.way_in([str(p) for p in paths], by_size=by_size)
        found = next(w for w in window.findChildren(WayIn) if w.isVisible())
        if paths:
            settle(qtbot, found)
        return found

    yield go
    for left in window.findChildren(WayIn):
        left.reader.stop()


def settle(qtbot, found):
    qtbot.waitUntil(lambda: not found.reader.running, timeout=PATIENCE)


def type_over(qtbot, field, text):
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)


def test_twelve_dies_of_two_scans_are_named_and_taken_in_with_two_actions_a_die(window, way_in, qtbot, tmp_path):
    files = [write_scan(tmp_path / f"scan {n}.png", dies(6)) for n in (1, 2)]
    found = way_in(*files)
    actions = 0
    for scan in range(2):
        settle(qtbot, found)
        assert len(found.tray.things) == 6
        for k in range(6):
            assert found.parts.one.name.selectedText() == found.tray.thing.name != ""
            qtbot.keyClicks(found.parts.one.name, f"own {scan} {k}")
            qtbot.keyClick(found.parts.one.name, KEY.Key_Return)
            actions += 2
        assert found.parts.take.text() == "Take in 6 dies"
        assert found.focusWidget() is found.parts.take
        qtbot.keyClick(found.parts.take, KEY.Key_Return)
        actions += 1
    assert [d.name for d in window.document.project.dies] == [f"own {s} {k}" for s in range(2) for k in range(6)]
    assert actions / 12 <= 4
    assert window.document.undo.count() == 2
    assert window.document.undo.undoText() == "Addition of 6 dies"
    # the truth is what was drawn: borders within the worst that a scan may be off
    for die, body in zip(window.document.project.dies, dies(6) * 2, strict=True):
        middle = Polygon(body.exterior).centroid
        drawn = affinity.translate(body, -middle.x, -middle.y)
        assert border_distance(die.body.polygon, drawn)[0] < 0.3
        inset = 2.0
        assert border_distance(die.cut.polygon, Polygon(drawn.exterior).buffer(-inset))[0] < 0.3
    window.document.undo.undo()
    assert len(window.document.project.dies) == 6


def test_keep_discard_copies_and_kind_count(window, way_in, qtbot, tmp_path):
    found = way_in(write_scan(tmp_path / "scan.png", dies(3)))
    one = found.parts.one
    qtbot.keyClick(one.name, KEY.Key_D, Qt.KeyboardModifier.ControlModifier)
    assert not found.tray.things[0].kept
    assert found.tray.at == 1
    type_over(qtbot, one.copies, "3")
    qtbot.keyClick(one.copies, KEY.Key_Tab)
    found.tray.step(1)
    one.kind.setFocus()
    qtbot.keyClick(one.kind, KEY.Key_Down)
    one.kind.activated.emit(one.kind.currentIndex())
    assert found.parts.take.text() == "Take in 1 die and 1 punch"
    assert found.parts.count.text() == "1 discarded"
    found.take_in()
    project = window.document.project
    assert [d.copies for d in project.dies] == [3]
    assert len(project.punches) == 1
    assert project.punches[0].cut.bounds[2] > 10


def test_a_picture_without_a_scale_asks_and_obeys(way_in, qtbot, tmp_path):
    found = way_in(write_scan(tmp_path / "scan.png", dies(2), stated=False))
    assert "say what its scale rests on" in found.parts.bar.text
    assert found.tray.things == ()
    scaling = found.parts.scaling
    scaling.way.setCurrentIndex(scaling.way.findData("dpi"))
    scaling.way.activated.emit(scaling.way.currentIndex())
    type_over(qtbot, scaling.value, "200")
    qtbot.keyClick(scaling.value, KEY.Key_Return)
    settle(qtbot, found)
    left, _, right, _ = found.tray.things[0].outline.bounds
    assert right - left == pytest.approx(24, abs=0.4)


def test_four_corners_marked_by_hand_give_the_scale(way_in, qtbot, tmp_path):
    card = box(60, 5, 60 + 85.6 / 2, 5 + 53.98 / 2)  # a plain rectangle drawn beside the dies
    found = way_in(write_scan(tmp_path / "scan.png", [*dies(2), card], stated=False))
    scaling = found.parts.scaling
    scaling.show_way("corners", "42.8 × 26.99 mm")
    view = found.parts.view
    pixels = [(x * 200 / 25.4, y * 200 / 25.4) for x, y in card.exterior.coords[:4]]
    view.marks = [QPointF(x * 0.1, y * 0.1) for x, y in pixels]
    scaling.find.click()
    settle(qtbot, found)
    widths = sorted(dist(*longest(t.outline)) for t in found.tray.things)
    assert len(widths) == 2
    assert widths == pytest.approx([30, np.hypot(24, 20)], abs=0.5)
    assert "corners marked by hand" in scaling.told.text()


def test_a_ruler_that_says_otherwise_corrects_the_scale(way_in, qtbot, tmp_path):
    found = way_in(write_scan(tmp_path / "scan.png", dies(2)))
    check = found.parts.check
    found.tray.pick(1)  # a circle of 30 mm
    assert "30" in check.words.text()
    type_over(qtbot, check.measured, "30")
    qtbot.keyClick(check.measured, KEY.Key_Return)
    assert "agrees" in check.answer.text()
    assert check.correct.isHidden()
    type_over(qtbot, check.measured, "31")
    qtbot.keyClick(check.measured, KEY.Key_Return)
    assert re.match(r"That is 3\.\d % more, as if the scan had 19\d dots per inch", check.answer.text())
    before = found.tray.things[0].outline.bounds
    check.correct.click()
    left, _, right, _ = found.tray.things[1].outline.bounds
    assert right - left == pytest.approx(31, abs=0.1)
    assert found.tray.things[0].outline.bounds[2] / before[2] == pytest.approx(31 / 30, abs=0.005)
    found.tray.undo()
    assert found.tray.things[0].outline.bounds == before


def test_a_corner_is_dragged_added_and_taken_away(way_in, qtbot, tmp_path):
    found = way_in(write_scan(tmp_path / "scan.png", dies(1)))
    view = found.parts.view
    view.resize(700, 500)
    view.fit()
    corner, place = max(view.hold.places(), key=lambda c: c[1][0] + c[1][1] if c[0][0] == 0 else -1e9)
    start = view.viewing.to_screen(QPointF(*place)).toPoint()
    area = found.tray.thing.outline.solid.area
    qtbot.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    qtbot.mouseMove(view, start + QPointF(30, -30).toPoint())
    qtbot.mouseRelease(view, Qt.MouseButton.LeftButton, pos=start + QPointF(30, -30).toPoint())
    assert found.tray.thing.outline.solid.area > area + 1  # a spike: how wide depends on how near the next corners lie
    count = len(view.hold.places())
    view.hold.step(0)
    qtbot.keyClick(view, KEY.Key_Insert)
    assert len(view.hold.places()) >= count + 1
    qtbot.keyClick(view, KEY.Key_Delete)
    assert len(view.hold.places()) <= count + 1
    while found.tray.thing.outline.solid.area != area:
        found.tray.undo()
    assert corner is not None


def test_a_drawing_comes_in_at_its_sizes_and_asks_for_its_unit(window, way_in, qtbot, tmp_path):
    path = tmp_path / "ticket.svg"
    path.write_text(SVG.format(size='width="100mm" height="60mm"'))
    found = way_in(path)
    found.take_in()
    boxes = sorted((round(d.cut.bounds[2] * 2), round(d.cut.bounds[3] * 2)) for d in window.document.project.dies)
    assert boxes == [(24, 24), (40, 30)]
    for die in window.document.project.dies:
        assert die.body.solid.polygon.contains(die.cut.solid.polygon)
    path.write_text(SVG.format(size=""))
    again = way_in(path)
    assert "does not say its unit" in again.parts.bar.text
    button = next(b for b in again.parts.scaling.sizes.children() if hasattr(b, "click") and "drawn in mm" in b.text())
    assert (f"{format_length(77.0, again.document.unit, with_unit=False)} × ") in button.text()
    button.click()
    settle(qtbot, again)
    assert len(again.tray.things) == 2


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_how_true_borders_are_is_said_in_the_unit_and_a_bad_one_says_what_to_do(unit):
    assert how_true(None, unit) == ""
    assert how_true(0.33, unit) == ("Borders are true to 0.3 mm." if unit == "mm" else "Borders are true to 0.013 in.")
    bad = how_true(4.51, unit)
    assert bad.startswith("Borders may be 4.5 mm off" if unit == "mm" else "Borders may be 0.178 in off")
    assert "scan again" in bad


def test_a_file_that_shows_nothing_offers_no_scale(way_in, tmp_path):
    whole = write_scan(tmp_path / "whole.png", dies(1)).read_bytes()
    (tmp_path / "cut.png").write_bytes(whole[: len(whole) // 3])
    found = way_in(tmp_path / "cut.png")
    assert "cut.png" in found.parts.bar.text
    assert found.parts.scaling.isHidden()


@pytest.mark.parametrize(
    ("name", "content"), [("broken.svg", b"<svg"), ("broken.png", b"no picture"), ("broken.dxf", b"0\nnothing")]
)
def test_bad_input_is_one_sentence_and_the_window_stays(way_in, tmp_path, name, content):
    (tmp_path / name).write_bytes(content)
    found = way_in(tmp_path / name)
    assert name in found.parts.bar.text
    assert found.parts.bar.text.count("\n") == 0
    assert found.isVisible()
    assert not found.parts.take.isEnabled()


def test_return_in_a_field_takes_the_shape_in_and_says_what_is_missing_before(window, way_in, qtbot):
    found = way_in(by_size=True)
    form = found.parts.by_size
    form.kind.setCurrentText("circle")
    before = len(window.document.project.dies)
    qtbot.keyClick(form.size, KEY.Key_Enter)
    assert found.isVisible()
    assert "how large" in found.parts.bar.text
    form.size.setFocus()
    qtbot.keyClicks(form.size, "30")
    qtbot.keyClicks(form.border, "50")
    qtbot.keyClick(form.border, KEY.Key_Enter)
    assert found.isVisible()
    assert found.parts.bar.text.startswith(form.told.text()[:1].upper())
    form.border.clear()
    form.make()
    qtbot.keyClick(form.count, KEY.Key_Enter)
    assert len(window.document.project.dies) == before + 1
    assert not found.isVisible()


def write_ovals(qtbot, form, count, larger):
    form.kind.setCurrentText("oval")
    type_over(qtbot, form.size, "2 x 1 1/2 in")
    type_over(qtbot, form.count, count)
    type_over(qtbot, form.larger, larger)


def test_six_ovals_in_steps_and_a_frame_by_size(window, way_in, qtbot):
    found = way_in(by_size=True)
    write_ovals(qtbot, found.parts.by_size, "6", "1/4 in")
    assert len(found.tray.things) == 6
    found.take_in()
    assert window.bar.text == "Taken in: 6 dies, in the drawer now."
    window.bar.buttons[0].click()
    assert window.bar.isHidden(), "nothing is said of things that were taken back"
    window.document.undo.redo()
    assert window.needs.tabText(window.needs.currentIndex()) == "Drawer"
    widths = [d.cut.bounds[2] * 2 / 25.4 for d in window.document.project.dies]
    assert widths == pytest.approx([2, 2.25, 2.5, 2.75, 3, 3.25], abs=1e-6)
    again = way_in(by_size=True)
    form = again.parts.by_size
    form.kind.setCurrentText("circle")
    type_over(qtbot, form.size, "50")
    type_over(qtbot, form.border, "5")
    again.take_in()
    frame = window.document.project.dies[-1]
    assert frame.cut.area == pytest.approx(np.pi * (25**2 - 20**2), rel=0.002)


def test_files_dropped_on_the_main_window_come_in_one_after_another(window, qtbot, tmp_path):
    files = [write_scan(tmp_path / f"{n}.png", dies(1)) for n in (1, 2)]
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(f)) for f in files])
    window.dropEvent(
        QDropEvent(QPointF(), Qt.DropAction.CopyAction, data, Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier)
    )
    found = window.findChild(WayIn)
    settle(qtbot, found)
    assert "1 more after this" in found.windowTitle()
    found.take_in()
    settle(qtbot, found)
    assert found.path == files[1]


def test_stop_ends_the_reading_and_leaving_asks_what_becomes_of_the_found(window, qtbot, tmp_path):
    path = write_scan(tmp_path / "scan.png", dies(2))
    window.commands.way_in([str(path)])
    found = window.findChild(WayIn)
    found.stop()
    assert not found.reader.running
    assert "Stopped" in found.parts.bar.text
    found.parts.scaling.find.click()
    settle(qtbot, found)
    qtbot.keyClick(found, KEY.Key_Escape)
    assert found.isVisible()
    assert "not taken in yet" in found.parts.bar.text
    found.parts.bar.buttons[1].click()
    assert window.document.project.dies == ()


def test_a_scrap_brings_its_paper(window, way_in, qtbot, tmp_path):
    found = way_in(write_scan(tmp_path / "scan.png", [box(20, 20, 90, 60)]))
    found.parts.kind.setCurrentIndex(2)
    found.parts.kind.activated.emit(2)
    type_over(qtbot, found.parts.one.paper.lineEdit(), "moss")
    type_over(qtbot, found.parts.one.up, "0")
    qtbot.keyClick(found.parts.one.up, KEY.Key_Tab)
    found.take_in()
    scrap = window.document.project.scraps[0]
    assert scrap.paper == window.document.project.papers[0].id
    assert window.document.project.papers[0].name == "moss"
    assert scrap.up == 0
    assert scrap.outline.area == pytest.approx(70 * 40, rel=0.03)  # a hair on the glass lies against its border


def test_a_picture_that_takes_long_tells_its_size_and_time_and_can_be_stopped(window, way_in, qtbot, tmp_path):
    path = tmp_path / "large.png"
    picture = Image.fromarray(np.random.default_rng(1).integers(20, 60, (4000, 3000, 3), np.uint8))
    ring = ImageDraw.Draw(picture)
    for k in range(20):  # each is looked at again and again for how true its border is
        left, top = 100 + 700 * (k % 4), 100 + 750 * (k // 4)
        ring.ellipse((left, top, left + 600, top + 600), outline=(205, 205, 210), width=110)
    picture.save(path, dpi=(600, 600))
    found = way_in()
    found.add_files([path])
    qtbot.waitUntil(lambda: "12 million points" in found.parts.doing.text(), timeout=PATIENCE)
    qtbot.waitUntil(lambda: found.parts.doing.text().endswith(" s"), timeout=PATIENCE)
    assert found.parts.stop.isVisible()
    qtbot.mouseClick(found.parts.stop, Qt.MouseButton.LeftButton)
    assert not found.reader.running
    assert not found.parts.stop.isVisible()
    assert "Stopped" in found.parts.bar.text
    assert window.document.project.dies == ()


def test_at_twice_the_text_nothing_beside_the_picture_is_cut_off(window, way_in, qtbot, tmp_path):
    window.settings.text_scale = 2.0
    window.set_look()
    found = way_in(write_scan(tmp_path / "scan.png", dies(2)))
    found.resize(1180, 780)
    qtbot.wait(50)
    side = found.parts.one.parentWidget()
    assert side.width() >= side.minimumSizeHint().width()
    assert side.width() <= side.parentWidget().width()
    for part in (found.parts.one.discard, found.parts.one.name, found.parts.scaling.way):
        right = part.mapTo(side, part.rect().topRight()).x()
        assert right <= side.parentWidget().width(), part.accessibleName()


def test_what_was_taken_in_is_in_sight_in_a_long_drawer(window, way_in, qtbot):
    window.resize(1100, 650)
    found = way_in(by_size=True)
    write_ovals(qtbot, found.parts.by_size, "20", "1/16 in")
    found.take_in()
    bar = window.needs.view("dies").verticalScrollBar()
    qtbot.waitUntil(lambda: bar.maximum() > 0)
    qtbot.waitUntil(lambda: bar.value() == bar.maximum(), timeout=2000)
