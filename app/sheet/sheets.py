"""The window on the sheets that are cut down: a cut is moved, what is wrong is said, the rest is planned anew."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.document.document import Document
from app.guide.names import Names
from app.look.tokens import ROOM, SPACE
from app.panels.lengths import LengthField
from app.sheet import cutting
from app.sheet.cutting import CutError
from app.sheet.sheetview import SheetView
from layout.geometry.pose import Pose
from layout.geometry.units import format_on_board
from layout.model.plan import LaidScrap, Plan

NONE = "No sheet of this plan is cut down. Add a panel or a box blank, or a sheet too big for the rollers, and plan."
FINE = "Nothing is wrong on this sheet."
HINT = "Drag a cut, or press an arrow key (Shift: a finer step). Light fields: panels. Dashed outlines: pieces."


class Sheets(QDialog):
    """Shows the document's sheets and asks it for every change."""

    plan_rest = Signal()

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Sheets and their cuts")
        self._document, self._numbers = document, count(7_000_000)
        self._nudge: tuple[int, int, int] | None = None
        self.view = SheetView(document)
        self.sheets, self.cuts = _list("Sheets that are cut down"), _list("Cuts in their order")
        self.stop = LengthField("Stop of the trimmer at", lambda: document.unit)
        self.held = QCheckBox("Hold this sheet as it is cut")
        self.told = QLabel()
        self.told.setWordWrap(True)
        self.told.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.told.setMinimumHeight(3 * self.fontMetrics().lineSpacing())  # so that the sheet stays put while one drags
        self.told.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByKeyboard)
        self._preview: Plan | None = None
        self._buttons: dict[str, QPushButton] = {}
        self._lay_out()
        self._listen()
        self.refresh()

    @property
    def at(self) -> int:
        """The number of the sheet shown."""
        return max(0, self.sheets.currentRow())

    @property
    def cut(self) -> int:
        """The number of the cut picked."""
        return max(0, self.cuts.currentRow())

    def refresh(self) -> None:
        """Show the document's plan as it is now; sheet and cut stay picked where they are still there."""
        self._preview = None
        plan, names = self._document.plan, Names.of(self._document.project)
        words = [names.laid(LaidScrap(c.scrap, Pose(), (c.copy,), None)) for c in plan.cut_downs]
        _fill(self.sheets, [w + (" · held" if cutting.is_held(plan, k) else "") for k, w in enumerate(words)])
        self._show_sheet()

    # ---- showing ---------------------------------------------------------------------------------------------------

    def _show_sheet(self) -> None:
        plan = self._document.plan
        there = bool(plan.cut_downs)
        cuts = plan.cut_downs[self.at].cuts if there else ()
        _fill(self.cuts, [self._cut_words(plan, number) for number in range(len(cuts))])
        self.held.blockSignals(True)
        self.held.setChecked(there and cutting.is_held(plan, self.at))
        self.held.blockSignals(False)
        for widget in (self.stop, self.held, *self._buttons.values()):
            widget.setEnabled(there)
        self._show_cut()

    def _show_cut(self) -> None:
        plan = self._preview or self._document.plan
        self.view.show_sheet(plan, self.at, self.cut)
        if not plan.cut_downs:
            self._say(NONE)
            return
        self.stop.show_length(cutting.stop_at(self._document.project, plan.cut_downs[self.at], self.cut))
        wrong = cutting.findings(self._document.project, plan, self.at, self._document.unit)
        self._say("\n".join(f"• {f.what[:1].upper()}{f.what[1:]}." for f in wrong) or FINE)

    def _say(self, words: str) -> None:
        self.told.setText(words)
        self.view.setAccessibleDescription(words)

    def _cut_words(self, plan: Plan, number: int) -> str:
        at = cutting.stop_at(self._document.project, plan.cut_downs[self.at], number)
        return f"{number + 1}: stop at {format_on_board(at, self._document.unit)}"

    # ---- changing --------------------------------------------------------------------------------------------------

    def drag_to(self, by: float) -> None:
        """Show the picked cut farther on by so many mm, without changing the plan yet."""
        now = cutting.stop_at(self._document.project, self._document.plan.cut_downs[self.at], self.cut)
        mark = round((now + by) / self.view.step) * self.view.step  # a stop is set to a mark of its ruler
        self._try(lambda plan: self._moved(plan, mark - now), show=True)

    def let_go(self) -> None:
        """Take over what was dragged, as one undo step."""
        plan, self._preview = self._preview, None
        if plan is not None and plan != self._document.plan:
            self._document.change_plan(f"Move of cut {self.cut + 1}", plan)
        else:
            self._show_cut()

    def leave(self) -> None:
        """Forget what was dragged."""
        self._preview = None
        self._show_cut()

    def nudge(self, by: float) -> None:
        """Move the picked cut by so many mm; steps of one cut in a row are one undo step."""
        if self._nudge is None or self._nudge[:2] != (self.at, self.cut):
            self._nudge = (self.at, self.cut, next(self._numbers))
        self._change(f"Move of cut {self.cut + 1}", lambda p: self._moved(p, by), merge=self._nudge[2])

    def type_stop(self, mm: float) -> None:
        """Set the picked cut to a distance from the edge at the stop."""
        now = cutting.stop_at(self._document.project, self._document.plan.cut_downs[self.at], self.cut)
        self._change(f"Move of cut {self.cut + 1}", lambda p: self._moved(p, mm - now))

    def hold(self, held: bool) -> None:
        """Hold the sheet's cuts and panels when the rest is planned, or let them go."""
        self._change(
            "Hold of a sheet" if held else "Letting go of a sheet", lambda p: cutting.hold_sheet(p, self.at, held)
        )

    def cut_again(self, upright: bool) -> None:
        """Cut the largest part that nothing is made of once more, through its middle."""
        part = self._free_part()
        if part is None:
            self._say("Every part of this sheet is a panel or holds pieces.")
            return
        add = cutting.add_cut
        self._change("One more cut", lambda p: add(self._document.project, p, self.at, part, upright=upright))

    def take_last(self) -> None:
        """Take the last cut away, where nothing depends on it."""
        self._change("Removal of a cut", lambda p: cutting.take_last(self._document.project, p, self.at))

    def _free_part(self) -> int | None:
        plan = self._document.plan
        entry = plan.cut_downs[self.at]
        used = set(cutting.used_parts(plan, entry.scrap, entry.copy))
        areas = [p.area for p in cutting.parts_before(self._document.project, entry, len(entry.cuts))]
        return max((k for k in range(len(areas)) if k not in used), key=lambda k: areas[k], default=None)

    def _moved(self, plan: Plan, by: float) -> Plan:
        return cutting.move_cut(self._document.project, plan, self.at, self.cut, by)

    def _try(self, change: Callable[[Plan], Plan], *, show: bool = False) -> Plan | None:
        try:
            plan = change(self._document.plan)
        except CutError as error:
            self._say(str(error))
            return None
        if show:
            self._preview = plan
            self._show_cut()
        return plan

    def _change(self, name: str, change: Callable[[Plan], Plan], *, merge: int | None = None) -> None:
        plan = self._try(change)
        if plan is None:
            return
        if merge is None:
            self._nudge = None
            self._document.change_plan(name, plan)
        else:
            self._document.change_plan(name, plan, merge=merge)

    # ---- putting together ------------------------------------------------------------------------------------------

    def _listen(self) -> None:
        self._document.plan_changed.connect(self.refresh)
        self._document.project_changed.connect(self.refresh)
        self._document.replaced.connect(self.refresh)
        self.sheets.currentRowChanged.connect(self._show_sheet)
        self.cuts.currentRowChanged.connect(self._show_cut)
        self.view.picked.connect(self.cuts.setCurrentRow)
        self.view.dragged.connect(self.drag_to)
        self.view.let_go.connect(self.let_go)
        self.view.left_alone.connect(self.leave)
        self.view.nudged.connect(self.nudge)
        self.stop.entered.connect(self.type_stop)
        self.stop.refused.connect(self._say)
        self.held.toggled.connect(self.hold)
        QShortcut(QKeySequence.StandardKey.Undo, self, self._document.undo.undo)
        QShortcut(QKeySequence.StandardKey.Redo, self, self._document.undo.redo)

    def _lay_out(self) -> None:
        left, right, row = QVBoxLayout(), QVBoxLayout(), QHBoxLayout(self)
        for name, widget in (("&Sheets", self.sheets), ("&Cuts in their order", self.cuts), ("S&top at", self.stop)):
            label = QLabel(name)
            label.setBuddy(widget)
            left.addWidget(label)
            left.addWidget(widget)
        left.addWidget(self.held)
        deeds: tuple[tuple[str, Callable[[], None]], ...] = (
            ("One more cut &upright", lambda: self.cut_again(True)),
            ("One more cut &level", lambda: self.cut_again(False)),
            ("Take the last cut a&way", self.take_last),
            ("&Plan the rest", self.plan_rest.emit),
        )
        for name, deed in deeds:
            self._buttons[name] = button = QPushButton(name)
            button.setAutoDefault(False)
            button.clicked.connect(deed)
            left.addWidget(button)
        close = QPushButton("Close")
        close.setAutoDefault(False)
        close.clicked.connect(self.accept)
        left.addWidget(close)
        hint = QLabel(HINT)
        hint.setWordWrap(True)
        right.addWidget(self.view, 1)
        right.addWidget(hint)
        right.addWidget(self.told)
        split = QSplitter()
        for layout in (left, right):
            side = QWidget()
            layout.setContentsMargins(SPACE, 0, SPACE, 0)
            side.setLayout(layout)
            split.addWidget(side)
        split.setChildrenCollapsible(False)
        split.setStretchFactor(1, 1)
        row.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        row.addWidget(split)


def _list(name: str) -> QListWidget:
    made = QListWidget()
    made.setAccessibleName(name)
    made.setMinimumHeight(60)
    return made


def _fill(made: QListWidget, words: list[str]) -> None:
    """Write a list afresh, the same row picked."""
    row = min(max(0, made.currentRow()), len(words) - 1)
    made.blockSignals(True)
    made.clear()
    made.addItems(words)
    made.setCurrentRow(row)
    made.blockSignals(False)
