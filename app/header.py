"""The bar above the plate: the project's name, undo, the plan button and how planning goes."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QProgressBar, QPushButton, QSizePolicy, QToolButton, QWidget

from app.document.document import Document
from app.look.eliding import ShortLabel
from app.look.flowing import Flow
from app.look.icons import icon
from app.look.tokens import GAP, ROOM, SPACE, Look
from app.planner.planning import Planning

LEFT = ("open", "save", "undo", "redo")
GUIDE = "Placement guide"
TOLD, GOING = {False: 12, True: 6}, {False: 140, True: 70}  # letters and pixels kept for planning; less where it is low
VIEWS = ("fit", "closer", "farther", "true_size", "mirror")


class Header(QFrame):
    """Listens to document and planning; its buttons are the window's commands."""

    def __init__(
        self, document: Document, planning: Planning, actions: dict[str, QAction], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setProperty("bar", True)
        self._document, self._planning, self._actions = document, planning, actions
        self._name = ShortLabel(30, grows=False)
        self._name.setProperty("rank", "large")
        self._kits = QLabel()
        self._kits.setProperty("tone", "quiet")
        self._told = ShortLabel(TOLD[False])
        self._told.setProperty("tone", "quiet")
        self._told.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self._going = QProgressBar()
        self._going.setRange(0, 1000)
        self._going.setTextVisible(False)
        self._going.setFixedWidth(GOING[False])
        self._going.setAccessibleName("Time used by planning")
        self.plan_button = QPushButton("Plan")
        self.plan_button.setProperty("role", "main")
        self.plan_button.setAccessibleName("Plan")
        self.plan_button.clicked.connect(self._press)
        self.guide_button = QPushButton(GUIDE)
        self.guide_button.setAccessibleName(GUIDE)
        self.guide_button.clicked.connect(actions["print"].trigger)
        self._tools = [self._tool(actions[name]) for name in (*LEFT, *VIEWS)]
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

    def set_low(self, low: bool) -> None:
        """Ask for less width where the window is low, so that one row is enough: the guide's button says no word."""
        self._told.ask_for(TOLD[low])
        self._going.setFixedWidth(GOING[low])
        self.guide_button.setText("" if low else GUIDE)
        self.guide_button.setToolTip(f"{GUIDE} ({self._actions['print'].shortcut().toString()})")

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
        for group in (
            _group(self._name, self._kits, gap=SPACE),
            _group(*tools[: len(LEFT)], gap=GAP),
            _group(*tools[len(LEFT) :], gap=GAP),
            last,
        ):
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
