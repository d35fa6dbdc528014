"""One scrap on the board: drawn by clicked corners, mended, stained, stamped; the document hears of it once."""

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLineEdit

from app.heap.drawn import DrawnError, drawn_of, moved_image, scrap_from
from app.heap.open import open_scrap
from layout.formats.project_file import parse_project, project_bytes
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.project import Image, Scrap

LEFT = Qt.MouseButton.LeftButton
ODD = [(0.0, 0.0), (80.0, 0.0), (80.0, 40.0), (40.0, 40.0), (40.0, 90.0), (0.0, 90.0)]


@pytest.fixture
def editor(planned, qtbot):
    """Return the board for a new scrap."""
    return shown(planned, qtbot, None)


def shown(window, qtbot, at):
    made = open_scrap(window, at)
    qtbot.waitExposed(made)
    made.board.fit()
    return made


def at(editor, point):
    return editor.board.viewing.to_screen(QPointF(*point)).toPoint()


def click(qtbot, editor, *points):
    for point in points:
        qtbot.mouseClick(editor.board, LEFT, pos=at(editor, point))


def drag(qtbot, editor, start, end):
    qtbot.mousePress(editor.board, LEFT, pos=at(editor, start))
    qtbot.mouseMove(editor.board, at(editor, ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)))
    qtbot.mouseMove(editor.board, at(editor, end))
    qtbot.mouseRelease(editor.board, LEFT, pos=at(editor, end))


def test_an_odd_scrap_by_clicked_corners(planned, editor, qtbot):
    steps = planned.document.undo.count()
    click(qtbot, editor, *ODD, ODD[0])
    editor.name.setText("corner piece")
    qtbot.mouseClick(next(b for b in editor.findChildren(QAbstractButton) if b.text() == "Save"), LEFT)
    scrap = planned.document.project.scraps[-1]
    assert scrap.outline.outer == tuple(ODD)
    assert (scrap.id, scrap.paper, scrap.extra["name"]) == ("corner-piece", "cream", "corner piece")
    assert planned.document.undo.count() == steps + 1
    assert planned.document.undo.undoText() == "Addition of corner piece"
    assert parse_project(project_bytes(planned.document.project), "again").scraps[-1] == scrap


def test_the_same_by_typed_places_alone(planned, editor, qtbot):
    for x, y in (("0", "0"), ("3 in", "0"), ("76,2", "5 cm"), ("0", "50 mm")):
        for field, text in ((editor.left, x), (editor.near, y)):
            field.setFocus()
            field.selectAll()
            qtbot.keyClicks(field, text)
            qtbot.keyClick(field, Qt.Key.Key_Return)
    editor.board.setFocus()
    qtbot.keyClick(editor.board, Qt.Key.Key_Return)
    editor.save()
    assert planned.document.project.scraps[-1].outline.bounds == pytest.approx((0.0, 0.0, 76.2, 50.0))


def test_a_corner_is_mended_by_drag_keys_and_typing_and_each_can_be_undone(editor, qtbot):
    click(qtbot, editor, *ODD, ODD[0])
    drag(qtbot, editor, ODD[3], (50.0, 30.0))
    assert editor.board.drawn.rings[0][3] == (50.0, 30.0)
    qtbot.keyClick(editor.board, Qt.Key.Key_Right)
    assert editor.board.drawn.rings[0][3] == (51.0, 30.0)
    editor.table.setData(editor.table.index(3, 2), "35 mm")
    assert editor.board.drawn.rings[0][3] == (51.0, 35.0)
    for _ in range(3):
        editor.undo()
    assert editor.board.drawn.rings[0] == tuple(ODD)
    editor.redo()
    assert editor.board.drawn.rings[0][3] == (50.0, 30.0)


def test_a_double_click_on_an_edge_gives_one_more_corner_and_del_takes_it_out(editor, qtbot):
    click(qtbot, editor, *ODD, ODD[0])
    qtbot.mouseDClick(editor.board, LEFT, pos=at(editor, (60.0, 0.0)))
    assert editor.board.drawn.rings[0][1] == (60.0, 0.0)
    editor.board.pick(0, 1)
    qtbot.keyClick(editor.board, Qt.Key.Key_Delete)
    assert editor.board.drawn.rings[0] == tuple(ODD)


def test_edges_that_cross_are_refused_in_words(planned, editor, qtbot):
    before = planned.document.project
    click(qtbot, editor, (0, 0), (80, 80), (80, 0), (0, 60), (0, 0))
    editor.save()
    assert editor.isVisible()
    assert "no edges cross" in editor.told.text()
    assert planned.document.project is before


def test_nothing_drawn_is_no_scrap(editor):
    editor.save()
    assert "no border yet" in editor.told.text()


def test_stains_by_corners_and_by_a_pulled_rectangle(planned, qtbot):
    editor = shown(planned, qtbot, 0)
    editor.use("stain")
    drag(qtbot, editor, (10.0, 10.0), (20.0, 16.0))
    click(qtbot, editor, (40, 5), (50, 5), (45, 15), (40, 5))
    editor.save()
    stains = planned.document.project.scraps[0].spoiled
    assert [stain.bounds for stain in stains] == [(10.0, 10.0, 20.0, 16.0), (40.0, 5.0, 50.0, 15.0)]
    assert any("stain" in f.what.lower() or "spoiled" in f.what.lower() for f in planned.faults.findings)


def test_an_image_is_framed_by_its_die_moved_turned_and_wanted(planned, qtbot):
    editor = shown(planned, qtbot, 0)
    editor.use("image")
    for field, text in ((editor.left, "39"), (editor.near, "13")):
        field.setText(text)
    editor.add_typed()
    drag(qtbot, editor, (39.0, 13.0), (41.0, 14.0))
    image = editor.board.drawn.images[0]
    assert (image.pose.x, image.pose.y) == pytest.approx((41.0, 14.0), abs=0.6)
    editor.board.setFocus()
    qtbot.keyClick(editor.board, Qt.Key.Key_BracketLeft)
    assert editor.board.drawn.images[0].pose.turn == pytest.approx(15.0)
    editor.save()
    saved = planned.document.project.scraps[0].images[0]
    assert saved.image == "flower 1 image"
    assert saved.outline.polygon.centroid.x == pytest.approx(41.0, abs=0.8)
    table = planned.needs.view("wanted").model()
    way = [column.title for column in table.columns].index("Way")
    table.setData(table.index(0, way), "image:flower 1 image")
    assert planned.document.project.wanted[0].image == "flower 1 image"
    assert table.data(table.index(0, way)) == "image: flower 1 image"
    assert "cut round the stamped image “flower 1 image”" in table.data(
        table.index(0, way), Qt.ItemDataRole.ToolTipRole
    )


def test_nothing_changed_is_no_step(planned, qtbot):
    steps = planned.document.undo.count()
    named = replace(planned.document.project.scraps[0], extra={"name": "sheet 1"})
    assert scrap_from(drawn_of(named), named) == named
    editor = shown(planned, qtbot, 0)
    editor.reject()
    assert planned.document.undo.count() == steps


def test_windows_in_a_scrap_and_ink_stay_what_they_were():
    hole = ((10.0, 10.0), (20.0, 10.0), (20.0, 20.0))
    ink = Image("moth", Pose(5.0, 5.0, 30.0), Outline.rectangle(4.0, 4.0, x=3.0, y=3.0))
    old = Scrap("s", "cream", Outline(tuple(ODD), (hole,)), images=(ink,))
    after = scrap_from(drawn_of(old).with_corner(0, 1, (90.0, 0.0)), old)
    assert after.outline.holes == (hole,)
    back = moved_image(moved_image(ink, Pose(9.0, 1.0, 77.0)), ink.pose)
    assert back.outline.bounds == pytest.approx(ink.outline.bounds)
    with pytest.raises(DrawnError):
        scrap_from(drawn_of(old).with_ring(0, ()), old)


def test_the_heap_opens_the_board_and_every_control_has_a_name(planned, qtbot):
    planned.needs.view("scraps")
    leaf = planned.needs.currentWidget()
    press = {b.text(): b for b in leaf.findChildren(QAbstractButton)}
    press["Mend…"].click()
    assert planned.bar.text == "Pick the scrap to mend first."
    editor = shown(planned, qtbot, 1)
    nameless = [
        w
        for kind in (QAbstractButton, QLineEdit, QComboBox)
        for w in editor.findChildren(kind)
        if not (w.accessibleName() or (isinstance(w, QAbstractButton) and w.text()))
        and not w.objectName().startswith("qt_")
        and type(w).__name__ != "QTableCornerButton"
    ]
    assert nameless == []


def test_a_new_paper_is_named_on_the_board(planned, editor, qtbot):
    click(qtbot, editor, *ODD, ODD[0])
    editor.paper.setFocus()
    editor.paper.lineEdit().selectAll()
    qtbot.keyClicks(editor.paper.lineEdit(), "moss")
    editor.save()
    project = planned.document.project
    assert [p.name for p in project.papers] == ["cream", "moss"]
    assert project.scraps[-1].paper == "moss"
    planned.document.undo.undo()
    assert [p.name for p in planned.document.project.papers] == ["cream"]
