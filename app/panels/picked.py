"""Under the plate: what is picked, where it lies, its angle, and what may be done with it; all without dragging."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QLineEdit, QSizePolicy, QStackedLayout, QToolButton, QWidget

from app.canvas.canvas import Canvas
from app.document.document import Document
from app.document.hands import Hands
from app.document.selection import Selection
from app.look.eliding import ShortLabel
from app.look.flowing import Flow
from app.look.tokens import GAP, ROOM, SPACE, Look
from app.panels.lengths import LengthField
from layout.geometry.units import format_length

HOLDING = {False: "hold", True: "release"}  # the command offered, by whether what is picked is held
SHORT = {"hold": "Hold in place", "release": "Let go", "put_back": "Put back"}
EMPTY_HINT = "The plate is empty. Plan lays dies and scraps on it, or drag them onto it from drawer and heap."
HINT = "Click a die or a scrap to pick it up. Drag it, turn it by its handle, or push it with the arrow keys."


class Picked(QFrame):
    """Follows selection and draft; asks `hands` for changes."""

    def __init__(
        self,
        document: Document,
        selection: Selection,
        hands: Hands,
        canvas: Canvas,
        actions: dict[str, QAction],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._selection, self._hands, self._canvas = document, selection, hands, canvas
        self._actions = actions
        self._name = ShortLabel(9)
        self._name.setProperty("rank", "name")
        self.x_field = LengthField("Middle from the left of the bed", lambda: document.unit)
        self.y_field = LengthField("Middle from the near end of the bed", lambda: document.unit)
        self.angle_field = QLineEdit()
        self.angle_field.setAccessibleName("Angle in degrees, counter-clockwise")
        self._naming = ""
        self.hint = QLabel(HINT)
        self.hint.setWordWrap(True)
        self.hint.setProperty("tone", "quiet")
        self.hint.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._name.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.hold_tool, self.back_tool = QToolButton(), QToolButton()
        self._lay_out()
        for signal in (document.replaced, document.plan_changed, document.project_changed, selection.changed):
            signal.connect(self.refresh)
        canvas.draft_changed.connect(self._show_place)
        self.x_field.entered.connect(self._moved)
        self.y_field.entered.connect(self._moved)
        self.x_field.refused.connect(hands.refused)
        self.y_field.refused.connect(hands.refused)
        self.angle_field.editingFinished.connect(self._turned)
        self.refresh()

    def begin(self) -> None:
        """Put the keyboard into the first field."""
        if self.x_field.isVisibleTo(self):
            self.x_field.setFocus()
            self.x_field.selectAll()

    def set_look(self, look: Look, text_scale: float) -> None:  # noqa: ARG002
        """Fit the fields to a text size."""
        for field in (self.x_field, self.y_field):
            field.setFixedWidth(round(84 * text_scale))
        self.angle_field.setFixedWidth(round(64 * text_scale))
        self._name.setMaximumWidth(round(260 * text_scale))
        # As wide for either word, so that holding something moves nothing in the row.
        self.hold_tool.setMinimumWidth(0)
        self.hold_tool.setMinimumWidth(max(self._hold_width(held) for held in (True, False)))
        self.refresh()

    def _hold_width(self, held: bool) -> int:
        self._offer_holding(held)
        return self.hold_tool.sizeHint().width()

    def refresh(self) -> None:
        """Read selection and document again."""
        self.hint.setText(HINT if self._document.plan.layouts else EMPTY_HINT)
        self._pages.setCurrentIndex(0 if self._selection.empty else 1)
        if self._selection.empty:
            return
        self._naming = self._hands.naming(self._selection.dies, self._selection.scraps)
        self._show_place()
        self._say_where_back()
        self._offer_holding(self._hands.all_held())

    def _offer_holding(self, held: bool) -> None:
        action = self._actions[HOLDING[held]]
        self.hold_tool.removeAction(self._actions[HOLDING[not held]])  # else the tool shows a mark for a menu
        self.hold_tool.setDefaultAction(action)
        self.hold_tool.setAccessibleName(action.text())

    def _say_where_back(self) -> None:
        """Name the command by where what is picked goes: dies into the drawer, scraps onto the heap."""
        action, picked = self._actions["put_back"], self._selection
        words = _back_words(bool(picked.dies), bool(picked.scraps))
        action.setText(words)
        action.setToolTip(f"{words} (Del)")
        self.back_tool.setAccessibleName(words)

    def _show_place(self) -> None:
        """Show where what is picked lies now, also while it is in the hand."""
        if self._selection.empty:
            return
        self._name.setText(self._change_words() or self._naming)
        box = self._canvas.picked_bounds()
        if box is not None:
            self.x_field.show_length(box.center().x())
            self.y_field.show_length(box.center().y())
        turn = self._canvas.picked_turn()
        if not (self.angle_field.hasFocus() and self.angle_field.isModified()):
            self.angle_field.setText("" if turn is None else f"{turn % 360:.1f}".rstrip("0").rstrip(".") + "°")
        self._name.setToolTip(f"{self._naming}\n{self._size_words()}".strip())

    def _change_words(self) -> str:
        """Say what letting go here would do to the number of missing pieces."""
        more = self._canvas.live.more_missing
        if self._canvas.draft.empty or not more:
            return ""
        return f"{abs(more)} {'more' if more > 0 else 'fewer'} missing"  # short: it must be read at any size of text

    def _size_words(self) -> str:
        box = self._canvas.picked_bounds()
        if box is None:
            return ""
        unit = self._document.unit
        return f"{format_length(box.width(), unit)} × {format_length(box.height(), unit)} as it lies"

    def _moved(self, _mm: float) -> None:
        box = self._canvas.picked_bounds()
        if box is not None:
            x = self.x_field.length if self.sender() is self.x_field else box.center().x()
            y = self.y_field.length if self.sender() is self.y_field else box.center().y()
            self._hands.move_to(x, y)
            self.refresh()  # what is held stays, and the field says so

    def _turned(self) -> None:
        if not self.angle_field.isModified():
            return
        self.angle_field.setModified(False)
        text = self.angle_field.text().strip().rstrip("°").strip().replace(",", ".")
        try:
            angle = float(text)
            if not -1e6 < angle < 1e6:
                raise ValueError
        except ValueError:
            self._hands.refused.emit(f'"{text}" is no angle: write degrees, for example 45 or 12.5')
            self.refresh()
            return
        self._hands.turn_to(angle % 360)
        self.refresh()

    def _lay_out(self) -> None:
        """Lay two pages, as high as the higher of them, so that picking something never moves the plate."""
        for name, text in SHORT.items():
            self._actions[name].setIconText(text)
        for tool in (self.hold_tool, self.back_tool):
            tool.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextOnly)
        self.back_tool.setDefaultAction(self._actions["put_back"])
        place = QWidget()
        row = Flow(place, gap=SPACE, centred=True)
        row.addWidget(self._name)
        for text, field in (("left", self.x_field), ("near end", self.y_field), ("turn", self.angle_field)):
            row.addWidget(_labelled(text, field))
        for tool in (self.hold_tool, self.back_tool):
            row.addWidget(tool)
        around = QHBoxLayout(self)
        around.setContentsMargins(ROOM, GAP, ROOM, GAP)
        self._pages = QStackedLayout()
        around.addLayout(self._pages)  # before it has pages: it shows the first at once, a window of its own otherwise
        self._pages.addWidget(self.hint)
        self._pages.addWidget(place)


def _labelled(text: str, field: QWidget) -> QWidget:
    both = QWidget()
    label = QLabel(text)
    label.setProperty("tone", "quiet")
    label.setBuddy(field)
    row = QHBoxLayout(both)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(GAP)
    row.addWidget(label)
    row.addWidget(field)
    both.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
    return both


def _back_words(dies: bool, scraps: bool) -> str:
    if dies and scraps:
        return "Put back in drawer and heap"
    return "Put back on the heap" if scraps else "Put back in the drawer"
