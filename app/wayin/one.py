"""What is said of the picked thing: name, copies, what it is, how far in its blade lies, which openings it cuts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QWidget,
)

from app.document.document import Document
from app.look.tokens import GAP, SPACE
from app.panels.lengths import LengthField
from app.wayin.found import KINDS, Found
from app.wayin.tray import Tray
from layout.geometry.units import format_sides

KIND_NAMES = {"die": "a die", "punch": "a hand punch", "scrap": "a scrap"}
MOST_WINDOWS = 12
MOST_COPIES = 999


class One(QFrame):
    """Reads the picked thing and asks the tray for changes; Enter in the name goes on to the next."""

    refused = Signal(str)
    ended = Signal()  # Enter in the last name
    inset_chosen = Signal(float)

    def __init__(self, tray: Tray, document: Document) -> None:
        super().__init__()
        self.setProperty("card", True)
        self.tray, self.document = tray, document
        self.name, self.copies = QLineEdit(), QLineEdit()
        self.kind, self.traced, self.paper = QComboBox(), QComboBox(), QComboBox()
        self.inset = LengthField("Blade inside its metal by", lambda: document.unit)
        self.reach = LengthField("Reach of the punch", lambda: document.unit)
        self.up = QLineEdit()
        self.discard = QPushButton("&Discard")
        self.size = QLabel()
        self.size.setProperty("tone", "quiet")
        self.windows = QWidget()
        self._boxes: list[QCheckBox] = []
        self._shown: Found | None = None
        self._at = -1
        self._another = True
        self._fill()
        self._lay_out()
        self._listen()
        self.refresh()

    def begin_naming(self) -> None:
        """Put the hand on the name, ready to be typed over."""
        self.name.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.name.selectAll()

    def refresh(self) -> None:
        """Read the picked thing again."""
        thing, self._another = self.tray.thing, self.tray.at != self._at
        self._shown, self._at = thing, self.tray.at
        self.setEnabled(thing is not None)
        if thing is None:
            self.name.clear()
            self.size.clear()
            return
        self._say(self.name, thing.name)
        self._say(self.copies, str(thing.copies))
        self._say(self.up, f"{thing.up:g}°")
        self.kind.setCurrentIndex(KINDS.index(thing.kind))
        self.traced.setCurrentIndex(0 if thing.metal else 1)
        self.inset.show_length(thing.inset)
        self.reach.show_length(thing.reach)
        if not self.paper.hasFocus():
            self.paper.setCurrentText(thing.paper)
        self.discard.setText("&Discard" if thing.kept else "&Keep after all")
        left, low, right, high = thing.outline.bounds
        self.size.setText(format_sides(right - left, high - low, self.document.unit))
        self._show_windows(thing)
        self._show_rows(thing)

    def toggle(self) -> None:
        """Discard the picked thing, or keep it after all, and go on to the next."""
        thing = self.tray.thing
        if thing is not None:
            self.tray.alter(kept=not thing.kept)
            if thing.kept and (self.tray.step(1) or self.tray.step(-1)):
                self.begin_naming()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 (Qt's name)
        """Let Enter and the page keys go from name to name."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            back = event.key() == Qt.Key.Key_PageUp or bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_PageDown, Qt.Key.Key_PageUp):
                if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
                    return False
                if self.tray.step(-1 if back else 1):
                    self.begin_naming()
                elif not back:
                    self.ended.emit()
                return True
        return super().eventFilter(watched, event)

    # ---- making -------------------------------------------------------------------------------------------------

    def _fill(self) -> None:
        for kind in KINDS:
            self.kind.addItem(KIND_NAMES[kind], kind)
        self.traced.addItems(["its metal", "the shape it cuts"])
        self.paper.setEditable(True)
        self.paper.addItems([p.name for p in self.document.project.papers])
        for name, widget in (
            ("Name", self.name),
            ("Copies", self.copies),
            ("It is", self.kind),
            ("The outline is", self.traced),
            ("Paper", self.paper),
            ("Up on the print, degrees", self.up),
            ("Openings that it cuts too", self.windows),
        ):
            widget.setAccessibleName(name)
        self.name.installEventFilter(self)
        self.inset.setToolTip("How far the blade lies inside the metal's edge: measure it once on the die")
        self.discard.setToolTip("Leave this one out, or keep it after all (Ctrl+D, or Delete in the picture)")
        self.traced.setToolTip("The metal of the die itself was scanned or drawn, or a piece that it cut")
        self.up.setToolTip("Where the print's up points: 90° is up in the picture, 0° to the right")

    def _lay_out(self) -> None:
        form = self.form = QFormLayout(self)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.setContentsMargins(SPACE, SPACE, SPACE, SPACE)
        form.setSpacing(GAP + 2)
        form.addRow("&Name", self.name)
        row = QHBoxLayout()
        row.addWidget(self.size, 1)
        row.addWidget(self.discard)
        form.addRow("Size", row)
        form.addRow("It &is", self.kind)
        form.addRow("&Copies", self.copies)
        form.addRow("The &outline is", self.traced)
        form.addRow("&Blade inside by", self.inset)
        form.addRow("It also cuts", self.windows)
        form.addRow("&Reach", self.reach)
        form.addRow("&Paper", self.paper)
        form.addRow("&Up points", self.up)
        box = QHBoxLayout(self.windows)
        box.setContentsMargins(0, 0, 0, 0)

    def _listen(self) -> None:
        self.tray.changed.connect(self.refresh)
        self.tray.picked.connect(self.refresh)
        self.name.textEdited.connect(self._rename)
        self.copies.editingFinished.connect(self._read(self.copies, self._copies))
        self.up.editingFinished.connect(self._read(self.up, self._up))
        self.kind.activated.connect(lambda at: self.tray.alter(kind=KINDS[at]))
        self.traced.activated.connect(self._trace)
        self.inset.entered.connect(self._inset)
        self.reach.entered.connect(lambda mm: self.tray.alter(reach=mm))
        self.inset.refused.connect(self.refused)
        self.reach.refused.connect(self.refused)
        self.paper.editTextChanged.connect(self._paper)
        self.discard.clicked.connect(self.toggle)

    # ---- reading ------------------------------------------------------------------------------------------------

    def _rename(self, text: str) -> None:
        if text.strip():
            self.tray.alter("name", name=text.strip())

    def _paper(self, text: str) -> None:
        if self.paper.hasFocus() and self._shown is not None and text != self._shown.paper:
            self.tray.alter("paper", paper=text)

    def _trace(self, at: int) -> None:
        thing = self.tray.thing
        if thing is not None:
            # A scanned piece is cut all round, its openings too; of a die's metal most openings are only open.
            windows = frozenset(range(len(thing.outline.holes))) if at else frozenset()
            self.tray.alter(metal=at == 0, windows=windows)

    def _inset(self, mm: float) -> None:
        if mm < 0:
            self.refused.emit("A blade lies inside its metal: the distance cannot be below 0.")
            self.refresh()
            return
        self.tray.alter(inset=mm)
        self.inset_chosen.emit(mm)

    def _read(self, field: QLineEdit, read: Callable[[str], dict[str, Any]]) -> Callable[[], None]:
        def finish() -> None:
            try:
                self.tray.alter(**read(field.text().strip()))
            except ValueError as error:
                self.refused.emit(str(error))
            field.setModified(False)
            self.refresh()

        return finish

    def _copies(self, text: str) -> dict[str, Any]:
        if not text.isdigit() or not 1 <= int(text) <= MOST_COPIES:
            raise ValueError(f"“{text}” is no number of copies: write a whole number from 1.")
        return {"copies": int(text)}

    def _up(self, text: str) -> dict[str, Any]:
        try:
            return {"up": float(text.rstrip("° ").replace(",", ".")) % 360}
        except ValueError as error:
            raise ValueError(f"“{text}” is no angle: write degrees, such as 90.") from error

    def _say(self, field: QLineEdit, text: str) -> None:
        writing = field.hasFocus() and field.isModified() and not self._another
        if field.text().strip() != text and not writing:
            field.setText(text)

    # ---- showing ------------------------------------------------------------------------------------------------

    def _show_rows(self, thing: Found) -> None:
        die, punch, scrap = (thing.kind == kind for kind in KINDS)
        for widget, on in (
            (self.traced, die),
            (self.inset, die and thing.body is None),
            (self.windows, not scrap and bool(thing.outline.holes)),
            (self.reach, punch),
            (self.paper, scrap),
            (self.up, scrap),
        ):
            self.form.setRowVisible(widget, on)

    def _show_windows(self, thing: Found) -> None:
        count = min(len(thing.outline.holes), MOST_WINDOWS)
        while len(self._boxes) < count:
            box = QCheckBox(f"{len(self._boxes) + 1}")
            box.setAccessibleName(f"Opening {len(self._boxes) + 1} is cut too")
            at = len(self._boxes)
            box.clicked.connect(lambda on, at=at: self._window(at, on))
            self._boxes.append(box)
            self.windows.layout().addWidget(box)
        for at, box in enumerate(self._boxes):
            box.setVisible(at < count)
            box.setChecked(at in thing.windows)
            box.setText(f"{at + 1}" if count > 1 else "the opening")

    def _window(self, at: int, on: bool) -> None:
        if self.tray.thing is not None:
            windows = self.tray.thing.windows
            self.tray.alter(windows=windows | {at} if on else windows - {at})
