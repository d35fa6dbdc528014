"""What is said of the images stamped on the picked scrap: which one, what frames it, a search, one more by hand."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QFormLayout, QFrame, QLabel, QPushButton

from app.document.document import Document
from app.look.tokens import GAP, SPACE
from app.wayin.stamping import OTHERS, StampHold
from app.wayin.tray import Tray

HINT = "Drag the frame in the picture, or pick it there with the key I; arrows move it, [ and ] turn it, Shift finely."
NO_DIES = "Images are matched to dies: take the dies in first."


class ImageCard(QFrame):
    """Reads the held image and asks `hold` for changes; `search` asks for the picture to be looked over."""

    search = Signal()
    shown = Signal()
    refused = Signal(str)

    def __init__(self, tray: Tray, document: Document) -> None:
        super().__init__()
        self.setProperty("card", True)
        self.tray, self.document = tray, document
        self.hold = StampHold(tray, document, self.refresh)
        self.searchable = False
        self.which, self.die, self.told, self.hint = QComboBox(), QComboBox(), QLabel(), QLabel(HINT)
        self.find, self.add = QPushButton("Find stamped &images"), QPushButton("Add one by &hand")
        for die in document.project.dies:
            self.die.addItem(die.name, die.id)
        for value, words in OTHERS.items():
            self.die.addItem(words, value)
        for box in (self.which, self.die):
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self._lay_out()
        self.which.activated.connect(lambda at: self.hold.pick(at, active=True))
        self.die.activated.connect(lambda at: self.hold.frame(self.die.itemData(at)))
        self.find.clicked.connect(self.search)
        self.add.clicked.connect(self._add)
        tray.changed.connect(self._changed)
        tray.picked.connect(lambda: self.hold.pick(0))
        self.refresh()

    def refresh(self) -> None:
        """Read the picked scrap's images again."""
        thing, stamps = self.tray.thing, self.hold.stamps
        self.setVisible(thing is not None and thing.kind == "scrap" and thing.kept)
        self.which.clear()
        for at, stamp in enumerate(stamps):
            self.which.addItem(f"{at + 1}: {self.hold.words(stamp)}")
        held = self.hold.held
        self.which.setCurrentIndex(self.hold.at)
        self.die.setCurrentIndex(-1 if held is None else self.die.findData(held.die))
        self.form.setRowVisible(self.which, len(stamps) > 1)
        self.form.setRowVisible(self.die, held is not None)
        self.form.setRowVisible(self.hint, held is not None)
        self.told.setText(_counted(len(stamps)) if self.document.project.dies else NO_DIES)
        self.find.setVisible(self.searchable)
        for button in (self.find, self.add):
            button.setEnabled(bool(self.document.project.dies))
        self.shown.emit()

    def _changed(self) -> None:
        self.hold.refresh()
        if self.hold.at < 0 and self.hold.stamps:
            self.hold.pick(0)
        self.refresh()

    def _add(self) -> None:
        if not self.hold.add(self.document.project.dies[0].id):
            self.refused.emit("Pick a scrap first.")

    def _lay_out(self) -> None:
        form = self.form = QFormLayout(self)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.setContentsMargins(SPACE, SPACE, SPACE, SPACE)
        form.setSpacing(GAP + 2)
        form.addRow(self.told)
        form.addRow("Ima&ge", self.which)
        form.addRow("&Framed by", self.die)
        form.addRow(self.hint)
        form.addRow(self.find)
        form.addRow(self.add)
        self.which.setAccessibleName("Image on this scrap")
        self.die.setAccessibleName("The die that frames the image")
        for label in (self.told, self.hint):
            label.setWordWrap(True)
            label.setProperty("tone", "quiet")


def _counted(count: int) -> str:
    return {0: "No stamped image on this scrap.", 1: "1 stamped image on this scrap."}.get(
        count, f"{count} stamped images on this scrap."
    )
