"""The window as a person uses it: with mouse and keys, all the way to the model and back."""

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLineEdit, QTableView

from app.document.files import save
from app.document.state import State
from layout.formats.project_file import project_bytes
from layout.geometry.value import replace
from layout.model.plan import Plan
from layout.model.project import Project
from tests.support.desk import grid


def on_screen(window, die):
    """A point on the metal of a die."""
    canvas = window.canvas
    body = canvas.scene.dies[die].body
    return canvas.viewing.to_screen(body.pointAtPercent(0.0) * 0.97 + body.boundingRect().center() * 0.03)


def drag(qtbot, window, start, by):
    qtbot.mousePress(window.canvas, Qt.MouseButton.LeftButton, pos=start.toPoint())
    for step in (0.3, 0.7, 1.0):
        qtbot.mouseMove(window.canvas, (start + by * step).toPoint())
    qtbot.mouseRelease(window.canvas, Qt.MouseButton.LeftButton, pos=(start + by).toPoint())


def test_the_three_answers_are_in_words(planned):
    figures = [card.accessibleName() for card in planned.answers.cards]
    assert figures[0].startswith("Passes: 1 pass. 1 layout to tape down. Fewer is impossible")
    assert figures[1].startswith("Missing: Nothing is missing")
    assert figures[2].startswith("Faults: Nothing is wrong")


def test_an_empty_project_says_what_to_do(window):
    assert "Say what the project needs" in window.answers.cards[0].accessibleName()
    assert window.passes.isHidden()


def test_a_drag_is_one_step_and_undo_takes_it_back(planned, qtbot):
    before = planned.document.plan
    drag(qtbot, planned, on_screen(planned, 0), QPointF(-30, 12))
    assert planned.document.plan.layouts[0].dies[0].pose != before.layouts[0].dies[0].pose
    assert planned.document.undo.count() == 1
    assert planned.actions_by_id["undo"].text() == "Undo move of flower 1"
    planned.actions_by_id["undo"].trigger()
    assert planned.document.plan == before


def test_escape_lets_go_without_moving(planned, qtbot):
    before = planned.document.plan
    start = on_screen(planned, 0)
    qtbot.mousePress(planned.canvas, Qt.MouseButton.LeftButton, pos=start.toPoint())
    qtbot.mouseMove(planned.canvas, (start + QPointF(40, 0)).toPoint())
    qtbot.keyClick(planned.canvas, Qt.Key.Key_Escape)
    qtbot.mouseRelease(planned.canvas, Qt.MouseButton.LeftButton, pos=(start + QPointF(40, 0)).toPoint())
    assert planned.document.plan is before


def test_a_die_in_the_way_is_named_with_the_number_while_it_moves(planned, qtbot):
    canvas = planned.canvas
    start = on_screen(planned, 0)
    qtbot.mousePress(canvas, Qt.MouseButton.LeftButton, pos=start.toPoint())
    qtbot.mouseMove(canvas, (start + QPointF(20, 0)).toPoint())
    qtbot.mouseMove(canvas, (start + QPointF(9 * canvas.viewing.scale, 0)).toPoint())
    words = canvas.fault_words()
    assert any("flower 1" in w and "flower 2" in w and "a gap of 1.0 mm is needed" in w for w in words), words
    canvas.drop_gesture()
    assert canvas.fault_words() == []


def test_the_keys_nudge_by_a_step_and_a_fine_step_of_the_unit(planned, qtbot):
    planned.selection.pick(dies=frozenset({0}))
    x = planned.document.plan.layouts[0].dies[0].pose.x
    qtbot.keyClick(planned.canvas, Qt.Key.Key_Right)
    qtbot.keyClick(planned.canvas, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert planned.document.plan.layouts[0].dies[0].pose.x == pytest.approx(x + 1.1)
    planned.actions_by_id["inches"].trigger()
    planned.selection.pick(dies=frozenset({1}))
    x = planned.document.plan.layouts[0].dies[1].pose.x
    qtbot.keyClick(planned.canvas, Qt.Key.Key_Left)
    assert planned.document.plan.layouts[0].dies[1].pose.x == pytest.approx(x - 25.4 / 16)


def test_place_and_angle_can_be_typed(planned, qtbot):
    planned.selection.pick(dies=frozenset({0}))
    qtbot.keyClick(planned.canvas, Qt.Key.Key_Return)
    picked = planned.picked
    assert picked.x_field.hasFocus()
    for field, text in ((picked.x_field, "1/2 in"), (picked.y_field, "14"), (picked.angle_field, "30")):
        field.setFocus()
        field.selectAll()
        qtbot.keyClicks(field, text)
        qtbot.keyClick(field, Qt.Key.Key_Return)
    box = planned.canvas.picked_bounds()
    assert planned.document.plan.layouts[0].dies[0].pose.turn == pytest.approx(30)
    assert box.center().x() == pytest.approx(12.7, abs=0.2)  # a turned shape's box has another middle
    assert planned.document.undo.undoText() == "Turn of flower 1"


def test_what_is_no_length_is_refused_in_words(planned, qtbot):
    planned.selection.pick(dies=frozenset({0}))
    field = planned.picked.x_field
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "soon")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert '"soon" is no length' in planned.bar.text or '"soon" is no unit' in planned.bar.text
    assert planned.document.undo.count() == 0


def test_what_is_held_does_not_move(planned, qtbot):
    planned.selection.pick(dies=frozenset({0}))
    planned.actions_by_id["hold"].trigger()
    held = planned.document.plan
    drag(qtbot, planned, on_screen(planned, 0), QPointF(40, 0))
    qtbot.keyClick(planned.canvas, Qt.Key.Key_Right)
    assert planned.document.plan == held
    assert "held in place" in planned.bar.text


def test_back_in_the_drawer_and_out_again(planned):
    planned.selection.pick(dies=frozenset({5}))
    planned.actions_by_id["put_back"].trigger()
    assert "1 piece missing" in planned.answers.cards[1].accessibleName()
    view = planned.needs.view("dies")
    view.selectRow(5)
    planned.needs.put_on_asked.emit("flower 6")
    assert len(planned.document.plan.layouts[0].dies) == 6
    assert planned.document.undo.undoText() == "Put flower 6 on the plate"


def test_a_die_that_is_owned_once_is_laid_once(planned):
    planned.hands.put_on("flower 1", (10.0, 10.0))
    assert planned.bar.text == "flower 1 is already on the plate; you own 1."


def test_a_die_dragged_from_the_drawer_lies_where_it_was_dropped(planned):
    planned.selection.pick(dies=frozenset({5}))
    planned.actions_by_id["put_back"].trigger()
    data = QMimeData()
    data.setData("application/x-plateful-die", b"flower 6")
    at = planned.canvas.viewing.to_screen(QPointF(30.0, 20.0))
    drop = QDropEvent(at, Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
    planned.canvas.dropEvent(drop)
    pose = planned.document.plan.layouts[0].dies[5].pose
    assert (pose.x, pose.y) == pytest.approx((30.0, 20.0), abs=0.5)


def test_a_file_dropped_on_the_window_is_opened(planned, tmp_path):
    save(planned.document, tmp_path / "kept.json")
    planned.document.start_with(State(Project(name="other")), None)
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(tmp_path / "kept.json"))])
    planned.dropEvent(
        QDropEvent(QPointF(), Qt.DropAction.CopyAction, data, Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier)
    )
    assert planned.document.path == tmp_path / "kept.json"
    assert planned.settings.recent[0] == tmp_path / "kept.json"


def test_unsaved_changes_come_back_after_leaving(planned, tmp_path, qtbot):
    from app.window import Window

    path = tmp_path / "kept.json"
    save(planned.document, path)
    planned.document.change("Rename", State(replace(planned.document.project, name="changed"), Plan()))
    planned.close()
    again = Window(planned.settings)
    qtbot.addWidget(again)
    again.commands.open_path(str(path))
    assert again.document.name == "changed"
    assert not again.document.saved
    assert "are back" in again.bar.text
    again.document.undo.undo()
    assert again.document.saved
    again.keeping.keep()
    again.commands.open_path(str(path))
    assert again.document.name == "grid"


def test_a_whole_project_from_an_empty_window_with_keys_alone(window, qtbot):
    needs = window.needs
    needs.setCurrentIndex(3)
    add = next(b for b in needs.widget(3).findChildren(QAbstractButton) if b.text() == "Add a paper")
    qtbot.mouseClick(add, Qt.MouseButton.LeftButton)
    needs.setCurrentIndex(1)
    _fill(qtbot, needs.widget(1), {"New label die": "ticket", "Cuts two sides": "2 1/4 x 1 1/2 in"})
    needs.setCurrentIndex(2)
    _fill(qtbot, needs.widget(2), {"Sheets": "2", "Two sides": "105 x 148"})
    needs.setCurrentIndex(0)
    _fill(qtbot, needs.widget(0), {"A kit": "2"})
    project = window.document.project
    assert project.dies[0].cut.bounds == pytest.approx((0, 0, 57.15, 38.1))
    assert (project.scraps[0].count, project.scraps[0].outline.bounds[2:]) == (2, (105.0, 148.0))
    assert (project.wanted[0].shape, project.wanted[0].count) == ("ticket", 2)
    for _ in range(window.document.undo.count()):
        window.document.undo.undo()
    assert project_bytes(window.document.project) == project_bytes(Project())


def _fill(qtbot, leaf, texts):
    for field in leaf.findChildren(QLineEdit):
        if field.accessibleName() in texts:
            field.setFocus()
            field.selectAll()
            qtbot.keyClicks(field, texts[field.accessibleName()])
    add = next(b for b in leaf.findChildren(QAbstractButton) if b.text() == "Add")
    qtbot.mouseClick(add, Qt.MouseButton.LeftButton)


def test_every_control_has_a_name(planned):
    for leaf in range(planned.needs.count()):
        planned.needs.setCurrentIndex(leaf)
    nameless = [
        (type(w).__name__, w.objectName(), w.parent())
        for kind in (QAbstractButton, QLineEdit, QComboBox, QTableView)
        for w in planned.findChildren(kind)
        if not w.accessibleName()
        and not (isinstance(w, QAbstractButton) and w.text())
        and not w.objectName().startswith("qt_")
        and type(w).__name__ not in ("QTableCornerButton", "CloseButton")
        and not isinstance(w.parent(), QComboBox)
    ]
    assert nameless == []


@pytest.mark.parametrize("scale", [1.0, 2.0])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_every_look_and_size_can_be_put_on(planned, theme, scale):
    planned.settings.theme = theme
    planned.settings.text_scale = scale
    assert planned.canvas.look.name == theme
    assert planned.canvas.grab().width() > 0
    assert planned.header.plan_button.fontMetrics().height() >= 12 * scale


def test_in_a_low_window_at_large_text_the_plate_has_the_larger_part_of_the_height(planned, qapp):
    planned.settings.text_scale = 2.0
    planned.resize(1366, 700)
    qapp.processEvents()
    least_row = planned.header.plan_button.height()
    assert planned.header.height() < 2 * least_row  # one row
    assert planned.header.guide_button.accessibleName() == "Placement guide"
    assert planned.canvas.height() > 0.4 * planned.height()
    bed = planned.document.project.machine.bed_length * planned.canvas.viewing.scale
    assert bed > 0.5 * planned.canvas.height()
    planned.settings.text_scale = 1.0
    qapp.processEvents()
    assert planned.header.guide_button.text() == "Placement guide"


def test_the_view_zooms_about_the_pointer(planned):
    canvas = planned.canvas
    at = QPointF(200, 300)
    before = canvas.viewing.to_plate(at)
    canvas.viewing = canvas.viewing.zoomed(2.5, at)
    after = canvas.viewing.to_plate(at)
    assert (after.x(), after.y()) == pytest.approx((before.x(), before.y()))


def test_seen_from_below_left_is_right(planned):
    planned.actions_by_id["mirror"].trigger()
    a, b = (planned.canvas.viewing.to_screen(QPointF(x, 0.0)).x() for x in (0.0, 10.0))
    assert b < a


def test_measured_in_inches_is_one_step_of_the_project(planned):
    planned.actions_by_id["inches"].trigger()
    assert planned.document.unit == "in"
    planned.document.undo.undo()
    assert planned.document.unit == "mm"
    assert not planned.actions_by_id["inches"].isChecked()


def test_sixty_dies_are_shown(window):
    window.document.start_with(State(*grid(6, 10, corners=60, sheets=5)), None)
    assert len(window.canvas.scene.dies) == 60
    assert window.canvas.grab().height() > 0
    assert window.faults.findings == ()


def test_layers_can_be_put_aside_and_come_back(planned):
    canvas = planned.canvas
    whole = canvas.grab().toImage()
    for name in ("paper", "metal", "cuts", "grid"):
        action = planned.actions_by_id[f"layer_{name}"]
        action.trigger()
        assert canvas.grab().toImage() != whole, name
        action.trigger()
        assert canvas.grab().toImage() == whole, name


def test_a_click_on_one_of_several_picked_leaves_that_one(planned, qtbot):
    planned.selection.pick(dies=frozenset({0, 1, 2}))
    at = on_screen(planned, 1).toPoint()
    qtbot.mouseClick(planned.canvas, Qt.MouseButton.LeftButton, pos=at)
    assert planned.selection.dies == frozenset({1})


def test_a_plan_that_comes_in_ends_a_drag_without_harm(planned, qtbot):
    start = on_screen(planned, 5)
    qtbot.mousePress(planned.canvas, Qt.MouseButton.LeftButton, pos=start.toPoint())
    qtbot.mouseMove(planned.canvas, (start + QPointF(40, 0)).toPoint())
    planned.document.change_plan("Plan", Plan())
    qtbot.mouseMove(planned.canvas, (start + QPointF(60, 0)).toPoint())
    qtbot.mouseRelease(planned.canvas, Qt.MouseButton.LeftButton, pos=(start + QPointF(60, 0)).toPoint())
    assert planned.document.plan == Plan()


def test_the_guide_is_shown_from_the_window(planned):
    from app.guiding import offer_guide

    preview = offer_guide(planned)
    assert preview is not None
    assert preview.isVisible()
    preview.close()


def test_a_guide_without_a_plan_is_refused_in_words(window):
    window.actions_by_id["print"].trigger()
    assert window.bar.text == "There is no plan to print yet: press Plan first."


def test_menus_hold_every_command_once_opened(planned):
    from PySide6.QtWidgets import QMenu

    texts = set()
    for menu in planned.menuBar().findChildren(QMenu):
        menu.aboutToShow.emit()
    for menu in planned.menuBar().findChildren(QMenu):
        texts |= {action.text() for action in menu.actions()}
    assert {a.text() for a in planned.actions_by_id.values()} <= texts


def test_a_die_with_a_fault_put_back_is_drawn_no_more(planned):
    planned.hands.place({5: planned.document.plan.layouts[0].dies[4].pose}, {}, "Move")
    assert planned.faults.findings
    planned.selection.pick(dies=frozenset({5}))
    planned.hands.put_back()
    planned.canvas.repaint()  # before the findings are read afresh
    assert planned.canvas.faulty()[0] <= frozenset(range(5))
    assert planned.faults.findings == ()


def test_a_sheet_can_be_laid_under_dies_that_have_no_pass(planned):
    from app.document.asking import ask

    project = planned.document.project
    ask(planned.document, "Removal", replace(project, scraps=()))
    assert planned.document.plan.layouts[0].runs == ()
    ask(planned.document, "Addition", project)
    planned.hands.lay_scrap("sheet 1", (39.0, 13.0))
    run = planned.document.plan.layouts[0].runs[0]
    assert len(run.scraps) == 1
    assert len(run.cuts) == 3


def test_what_was_refused_is_told_until_the_next_step(planned):
    planned.selection.pick(dies=frozenset({0}))
    planned.hands.swap()
    assert planned.bar.text.startswith("Pick two dies to swap them")
    planned.selection.pick(dies=frozenset({0, 1}))
    planned.hands.swap()
    assert planned.bar.text == ""


def test_two_dies_of_which_one_is_held_are_not_swapped_and_it_is_said_why(planned):
    planned.selection.pick(dies=frozenset({0}))
    planned.actions_by_id["hold"].trigger()
    planned.selection.pick(dies=frozenset({0, 1}))
    before = planned.document.plan
    planned.hands.swap()
    assert planned.document.plan == before
    assert planned.bar.text.startswith("One of the two dies is held in place")


def test_a_guide_of_a_plan_with_faults_says_so(planned):
    from app.guiding import offer_guide

    planned.hands.place({5: planned.document.plan.layouts[0].dies[4].pose}, {}, "Move")
    assert planned.faults.findings
    preview = offer_guide(planned)
    assert preview.said.text().endswith("Mend that before you cut.")
    preview.close()
