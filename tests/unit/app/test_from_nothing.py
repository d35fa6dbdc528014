"""A project from an empty window with keys and clicks alone: said, planned, moved, held, planned again, printed."""

import pymupdf
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt, QTimer
from PySide6.QtWidgets import QAbstractButton, QApplication, QFileDialog, QLineEdit

from layout.rules import check

PLANNING_MS = 240_000  # the first plan on a new computer waits until the engine's loops are compiled
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def hand(window, qtbot):
    return Hand(window, qtbot)


class Hand:
    """Clicks and types; knows the window only by what is written on it."""

    def __init__(self, window, qtbot):
        self.window, self.qtbot = window, qtbot

    def leaf(self, title):
        bar = self.window.needs.tabBar()
        at = next(i for i in range(bar.count()) if bar.tabText(i) == title)
        bar.setFocus()
        for _ in range(bar.count()):
            self.key(bar, Qt.Key.Key_Left)
        for _ in range(at):
            self.key(bar, Qt.Key.Key_Right)
        QApplication.processEvents()
        return self.window.needs.currentWidget()

    def press(self, parent, text):
        found = [b for b in parent.findChildren(QAbstractButton) if b.text() == text and b.isVisible()]
        self.qtbot.mouseClick(found[0], LEFT)

    def write(self, parent, name, text):
        field = next(f for f in parent.findChildren(QLineEdit) if f.accessibleName() == name)
        self.qtbot.mouseClick(field, LEFT)
        self.key(field, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
        self.qtbot.keyClicks(field, text)
        self.key(field, Qt.Key.Key_Tab)

    def key(self, widget, key, modifiers=Qt.KeyboardModifier.NoModifier):
        self.qtbot.keyClick(widget, key, modifiers)

    def plan(self, modifiers=Qt.KeyboardModifier.NoModifier):
        with self.qtbot.waitSignal(self.window.planning.ended, timeout=PLANNING_MS):
            self.key(self.window, Qt.Key.Key_F5, modifiers)

    def middle_of(self, die):
        """Return a point of the screen on a die's metal."""
        canvas = self.window.canvas
        path = canvas.scene.dies[die].body
        return canvas.viewing.to_screen(path.pointAtPercent(0.0) * 0.99 + path.boundingRect().center() * 0.01).toPoint()

    def drag(self, start, by):
        canvas = self.window.canvas
        self.qtbot.mousePress(canvas, LEFT, pos=start)
        for share in (0.4, 0.8, 1.0):
            self.qtbot.mouseMove(canvas, (QPointF(start) + by * share).toPoint())
        self.qtbot.mouseRelease(canvas, LEFT, pos=(QPointF(start) + by).toPoint())

    def save_as(self, path, tries=30):
        """Answer the next question for a file by typing its name; once more where the dialog was not ready for it."""

        def answer(left=tries, seen=False):
            asked = QApplication.activeModalWidget()
            if isinstance(asked, QFileDialog):
                seen = True
                self._type_name(asked, path) if left else asked.reject()  # a test that waits for ever says nothing
            elif seen:
                return
            if left:
                QTimer.singleShot(100, lambda: answer(left - 1, seen))

        QTimer.singleShot(50, answer)

    def _type_name(self, asked, path):
        field = asked.findChild(QLineEdit, "fileNameEdit")
        field.setCompleter(None)  # where many files lie about, its list would take the Return
        self.key(field, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
        self.qtbot.keyClicks(field, str(path))
        self.key(field, Qt.Key.Key_Return)


@pytest.fixture
def plain_file_dialog(monkeypatch):
    """The system's own file dialog cannot be typed into by a test; Qt's asks the same."""
    ask = QFileDialog.getSaveFileName
    plain = QFileDialog.Option.DontUseNativeDialog
    monkeypatch.setattr(
        QFileDialog, "getSaveFileName", lambda parent, title, at, kinds: ask(parent, title, at, kinds, "", plain)
    )


@pytest.mark.usefixtures("plain_file_dialog")
def test_from_nothing_to_the_printed_guide_with_keys_and_clicks(hand, tmp_path):
    window = hand.window
    say_the_project(hand)
    hand.plan()
    assert (window.document.plan.passes, window.document.plan.unplaced) == (1, ())
    assert window.answers.cards[0].accessibleName().startswith("Passes: 1 pass")

    move_and_hold_the_first(hand)
    held = window.document.plan.layouts[0].dies[0]
    steps = window.document.undo.count()
    hand.plan(Qt.KeyboardModifier.ShiftModifier)
    document = window.document
    assert document.undo.count() <= steps + 1
    assert held in document.plan.layouts[0].dies
    assert document.plan.unplaced == ()
    assert check(document.project, document.plan) == []

    hand.key(window, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    preview = QApplication.activeModalWidget()
    hand.save_as(tmp_path / "guide.pdf")
    hand.press(preview, "&Save as PDF…")
    with pymupdf.open(tmp_path / "guide.pdf") as pdf:
        words = " ".join(page.get_text() for page in pdf)
    assert "ticket" in words
    assert "mark" in words
    hand.press(preview, "&Close")


def say_the_project(hand):
    """Two label dies, a paper, one sheet, and two pieces a kit; everything written or chosen."""
    window = hand.window
    papers = hand.leaf("Papers")
    hand.press(papers, "Add a paper")
    editor = QApplication.focusWidget()
    hand.qtbot.keyClicks(editor, "cream")
    hand.key(editor, Qt.Key.Key_Return)
    for name, sides in (("ticket", "2 1/4 x 1 1/2 in"), ("mark", "60 x 20")):
        drawer = hand.leaf("Drawer")
        hand.write(drawer, "New label die", name)
        hand.write(drawer, "Cuts two sides", sides)
        hand.press(drawer, "Add")
    heap = hand.leaf("Heap")
    hand.write(heap, "Two sides", "105 x 148 mm")
    hand.press(heap, "Add")
    for at in range(2):
        needed = hand.leaf("Needed")
        choose(hand, needed, "Shape", at)
        hand.press(needed, "Add")
    project = window.document.project
    assert [w.shape for w in project.wanted] == ["ticket", "mark"]
    assert project.papers[0].name == "cream"
    assert project.scraps[0].outline.bounds[2:] == (105.0, 148.0)


def choose(hand, parent, name, at):
    from PySide6.QtWidgets import QComboBox

    box = next(b for b in parent.findChildren(QComboBox) if b.accessibleName() == name)
    box.setFocus()
    hand.key(box, Qt.Key.Key_Home)
    for _ in range(at):
        hand.key(box, Qt.Key.Key_Down)


def move_and_hold_the_first(hand):
    """Drag the first die a little, push it with the arrow keys to where it may lie, and hold it there."""
    window = hand.window
    before = window.document.plan.layouts[0].dies[0].pose
    hand.drag(hand.middle_of(0), QPointF(14.0, 9.0))
    assert window.document.plan.layouts[0].dies[0].pose != before
    hand.key(window.canvas, Qt.Key.Key_Right)
    hand.key(window.canvas, Qt.Key.Key_C)
    assert check(window.document.project, window.document.plan) == []
    hand.key(window.canvas, Qt.Key.Key_H)
    assert window.document.plan.layouts[0].dies[0].extra.get("held")
    assert window.document.undo.undoText().startswith("Hold ")
    hand.qtbot.mouseClick(window.canvas, LEFT, pos=QPoint(30, 30))
