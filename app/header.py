"""The bar above the plate: the project's name, undo, the plan button and how planning goes."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QProgressBar, QPushButton, QToolButton, QWidget

from app.document.document import Document
from app.look.icons import icon
from app.look.tokens import GAP, ROOM, SPACE, Look
from app.planner.planning import Planning

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
        self._name = QLabel()
        self._name.setTextFormat(Qt.TextFormat.PlainText)
        self._name.setProperty("rank", "large")
        self._kits = QLabel()
        self._kits.setProperty("tone", "quiet")
        self._told = QLabel()
        self._told.setProperty("tone", "quiet")
        self._told.setAccessibleName("How planning goes")
        self._going = QProgressBar()
        self._going.setRange(0, 1000)
        self._going.setTextVisible(False)
        self._going.setFixedWidth(140)
        self._going.setAccessibleName("Time used by planning")
        self.plan_button = QPushButton("Plan")
        self.plan_button.setProperty("role", "main")
        self.plan_button.setAccessibleName("Plan")
        self.plan_button.clicked.connect(self._press)
        self.guide_button = QPushButton("Placement guide")
        self.guide_button.clicked.connect(actions["print"].trigger)
        self._tools = [self._tool(actions[name]) for name in (*LEFT, *VIEWS)]
        self._lay_out()
        document.replaced.connect(self.refresh)
        document.project_changed.connect(self.refresh)
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
        self._told.setVisible(bool(self._planning.words))
        if hasattr(self, "_look"):
            self.plan_button.setIcon(icon("stop" if running else "plan", self._look.on_accent))

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
        row = QHBoxLayout(self)
        row.setContentsMargins(ROOM, SPACE, ROOM, SPACE)
        row.setSpacing(GAP)
        row.addWidget(self._name)
        row.addSpacing(GAP)
        row.addWidget(self._kits)
        row.addSpacing(ROOM)
        for tool in self._tools[: len(LEFT)]:
            row.addWidget(tool)
        row.addSpacing(ROOM)
        for tool in self._tools[len(LEFT) :]:
            row.addWidget(tool)
        row.addStretch(1)
        row.addWidget(self._told)
        row.addSpacing(GAP)
        row.addWidget(self._going)
        row.addSpacing(GAP)
        row.addWidget(self.guide_button)
        row.addSpacing(GAP)
        row.addWidget(self.plan_button)
