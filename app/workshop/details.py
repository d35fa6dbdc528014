"""What is picked in the workshop: its picture, name, tags and note, to be read and changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.look.tokens import GAP, ROOM

if TYPE_CHECKING:
    from layout.workshop import Thing

PICTURE = 132


class Details(QFrame):
    """Shows one thing; tells what was written when a field is left."""

    renamed = Signal(str)
    tagged = Signal(str)
    noted = Signal(str)
    photo_asked = Signal()
    photo_gone = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.picture, self.told, self.source = QLabel(), _wrapped(), _wrapped()
        self.name, self.tags, self.note = QLineEdit(), QLineEdit(), QLineEdit()
        self.tags.setPlaceholderText("evening class, christmas")
        self._thing: Thing | None = None
        box = QVBoxLayout(self)
        box.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        box.setSpacing(GAP)
        self.picture.setAlignment(Qt.AlignmentFlag.AlignCenter)
        box.addWidget(self.picture)
        self.photo, self.no_photo = QPushButton("Photo…"), QPushButton("No photo")
        self.photo.setToolTip("Choose a photo to be shown in place of the outline")
        self.no_photo.setToolTip("Show the outline again")
        photos = QHBoxLayout()
        for button, told in ((self.photo, self.photo_asked), (self.no_photo, self.photo_gone)):
            button.setAutoDefault(False)
            button.clicked.connect(told)
            photos.addWidget(button)
        box.addLayout(photos)
        for title, field in (("Name", self.name), ("Tags", self.tags), ("Note", self.note)):
            label = QLabel(title)
            label.setBuddy(field)
            label.setProperty("tone", "quiet")
            field.setAccessibleName(title)
            box.addWidget(label)
            box.addWidget(field)
        box.addWidget(self.told)
        box.addWidget(self.source)
        box.addStretch(1)
        self.name.editingFinished.connect(self._name_left)
        self.tags.editingFinished.connect(self._tags_left)
        self.note.editingFinished.connect(self._note_left)
        self.say("Nothing is picked.")

    def say(self, words: str) -> None:
        """Show a sentence in place of a thing."""
        self._thing = None
        self.told.setText(words)
        self.source.setText("")
        self.picture.clear()
        for field in (self.name, self.tags, self.note):
            field.clear()
            field.setEnabled(False)
        self.photo.setEnabled(False)
        self.no_photo.setEnabled(False)

    def show_thing(self, thing: Thing, words: str, picture: QIcon, *, photo: bool = False) -> None:
        """Show one thing."""
        self._thing = thing
        self.picture.setPixmap(picture.pixmap(PICTURE, PICTURE))
        self.photo.setEnabled(True)
        self.no_photo.setEnabled(photo)
        self.told.setText(words)
        self.source.setText(f"From {thing.source}" if thing.source else "")
        for field, text in ((self.name, thing.name), (self.tags, ", ".join(thing.tags)), (self.note, thing.note)):
            field.setEnabled(True)
            field.setText(text)

    def _name_left(self) -> None:
        if self._thing is not None and self.name.text().strip() not in ("", self._thing.name):
            self.renamed.emit(self.name.text().strip())

    def _tags_left(self) -> None:
        if self._thing is not None and self.tags.text() != ", ".join(self._thing.tags):
            self.tagged.emit(self.tags.text())

    def _note_left(self) -> None:
        if self._thing is not None and self.note.text() != self._thing.note:
            self.noted.emit(self.note.text())


def _wrapped() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setProperty("tone", "quiet")
    return label
