"""The bar above the plate: the project's name, undo, the plan button and how planning goes."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QAction, QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QProgressBar, QPushButton, QSizePolicy, QToolButton, QWidget

from app.document.document import Document
from app.look.eliding import ShortLabel
from app.look.flowing import Flow
from app.look.icons import icon
from app.look.tokens import GAP, ROOM, SPACE, Look
from app.planner.planning import Planning

NAME_LETTERS, SHORT_LETTERS = 30, 15
GUIDE, SHORT_GUIDE = "Placement guide", "Guide"
LEFT = ("open", "save", "undo", "redo")
VIEWS = ("fit", "closer", "farther", "true_size", "mirror")


class Header(QFrame):
    """Listens to document and planning; its buttons are the window's commands."""

    def __init__(
        self, document: Document, planning: Planning, actions: dict[str, QAction], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setProperty("bar", True)
        self._document, self._planning, self._actions = document, planning, actions
        self._name = ShortLabel(NAME_LETTERS, grows=False)
        self._name.setProperty("rank", "large")
        self._kits = QLabel()
        self._kits.setProperty("tone", "quiet")
        self._told = ShortLabel(12)
        self._told.setProperty("tone", "quiet")
        self._told.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self._going = QProgressBar()
        self._going.setRange(0, 1000)
        self._going.setTextVisible(False)
        self._going.setFixedWidth(140)
        self._going.setAccessibleName("Time used by planning")
        self.plan_button = QPushButton("Plan")
        self.plan_button.setProperty("role", "main")
        self.plan_button.setAccessibleName("Plan")
        self.plan_button.clicked.connect(self._press)
        self.guide_button = QPushButton(GUIDE)
        self.guide_button.setAccessibleName(GUIDE)
        self.guide_button.clicked.connect(actions["print"].trigger)
        self._tools = [self._tool(actions[name]) for name in (*LEFT, *VIEWS)]
        self._terse = 0
        self._lay_out()
        document.replaced.connect(self.refresh)
        document.project_changed.connect(self.refresh)
        document.title_changed.connect(self.refresh)
        planning.changed.connect(self.refresh)
        self.refresh()

    def set_look(self, look: Look, text_scale: float) -> None:
        """Show the bar in a look at a text size."""
        self._look = look
        side = round(20 * max(1.0, text_scale * 0.8))
        for tool in self._tools:
            tool.setIconSize(QSize(side, side))
        for button in (self.guide_button, self.plan_button):
            button.setIconSize(QSize(side, side))
        self.guide_button.setIcon(icon("guide", look.text))
        self.refresh()

    def refresh(self) -> None:
        """Read document and planning again."""
        self._name.setText(self._document.name)
        kits = self._document.project.kits
        self._kits.setText(f"{kits} kits" if kits != 1 else "1 kit")
        running = self._planning.running
        self.plan_button.setText("Stop" if running else "Plan")
        self.plan_button.setToolTip(
            "Stop and keep the best (F6)" if running else "Find how few passes do, and where each die lies (F5)"
        )
        self._going.setVisible(running)
        self._going.setValue(round(self._planning.share * 1000))
        self._told.setText(self._planning.words)
        if hasattr(self, "_look"):
            self.plan_button.setIcon(icon("stop" if running else "plan", self._look.on_accent))
        if self.isVisible():  # before, each change would be reckoned anew; the first size does it for all
            self._say_less()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 (Qt's name)
        super().resizeEvent(event)
        self._say_less()

    def _say_less(self) -> None:
        """Leave out what there is no room for in one row: first words, then the views, which the menu has too."""
        room = self.width() - 2 * ROOM
        terse = next((t for t in (0, 1) if self._row_width(t) <= room), 2)
        if terse != self._terse:
            self._terse = terse
            self._kits.setVisible(not terse)
            self._name.set_letters(SHORT_LETTERS if terse else NAME_LETTERS)
            self.guide_button.setText(SHORT_GUIDE if terse else GUIDE)
            self.guide_button.setToolTip(GUIDE if terse else "")
            self._views.setVisible(terse < 2)

    def _row_width(self, terse: int) -> int:
        """Return how wide one row is with all its words, or with fewer."""
        button, metrics = self.guide_button, self.guide_button.fontMetrics()
        letters = self._name.fontMetrics().averageCharWidth() * (SHORT_LETTERS if terse else NAME_LETTERS)
        name = min(letters, self._name.fontMetrics().horizontalAdvance(self._name.whole) + 2)
        guide = button.sizeHint().width() - metrics.horizontalAdvance(button.text())
        guide += metrics.horizontalAdvance(SHORT_GUIDE if terse else GUIDE)
        kits = 0 if terse else self._kits.sizeHint().width() + SPACE
        tools = sum(tool.sizeHint().width() for tool in self._tools) + GAP * (len(self._tools) - 2)
        rest = sum(part.sizeHint().width() for part in (self._told, self._going, self.plan_button))
        return name + kits + tools + guide + rest + 3 * (SPACE + ROOM)

    def _press(self) -> None:
        self._actions["stop" if self._planning.running else "plan"].trigger()

    def _tool(self, action: QAction) -> QToolButton:
        tool = QToolButton()
        tool.setDefaultAction(action)
        tool.setProperty("flat", True)
        tool.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonIconOnly)
        tool.setAccessibleName(action.text())
        tool.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        return tool

    def _lay_out(self) -> None:
        """Lay four groups: in one row where there is room, which keeps its room for what planning will say."""
        row = Flow(self, gap=ROOM)
        row.setContentsMargins(ROOM, SPACE, ROOM, SPACE)
        tools, last = self._tools, _group(self._told, self._going, self.guide_button, self.plan_button, gap=SPACE)
        keep = self._going.sizePolicy()
        keep.setRetainSizeWhenHidden(True)
        self._going.setSizePolicy(keep)
        last.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self._views = _group(*tools[len(LEFT) :], gap=GAP)
        left = _group(*tools[: len(LEFT)], gap=GAP)
        for group in (_group(self._name, self._kits, gap=SPACE), left, self._views, last):
            row.addWidget(group)


def _group(*parts: QWidget, gap: int) -> QWidget:
    group = QWidget()
    group.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
    row = QHBoxLayout(group)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(gap)
    for part in parts:
        row.addWidget(part)
    return group
