"""Always in plain sight: how many passes and why not fewer, what is missing and why, what is wrong and by how much."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from app.document.document import Document
from app.document.faults import Faults, place_of
from app.look.icons import icon
from app.look.tokens import GAP, LIGHT, ROOM, SPACE, Look
from app.panels import words

if TYPE_CHECKING:
    from app.chores import Chores
    from layout.rules.finding import Finding

SIGN = 22
MOST_LINES = 12  # more than these are summed up: nobody reads them one by one, and each takes its time to lay out


class Card(QFrame):
    """One answer: a sign, the answer in large type, and lines that say why."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self._title = title
        self.sign_side = SIGN
        self._sign, self._figure, self._text = QLabel(), QLabel(), _wrapped()
        self._figure.setWordWrap(True)
        self._figure.setProperty("rank", "large")
        head = QHBoxLayout()
        head.setSpacing(SPACE)
        head.addWidget(self._sign, 0, Qt.AlignmentFlag.AlignTop)
        head.addWidget(self._figure, 1)
        self._lines = QVBoxLayout()
        self._lines.setSpacing(SPACE)
        box = QVBoxLayout(self)
        box.setContentsMargins(ROOM, ROOM - 2, ROOM, ROOM - 2)
        box.setSpacing(GAP)
        box.addLayout(head)
        box.addWidget(self._text)
        box.addLayout(self._lines)

    def set_terse(self, terse: bool) -> None:
        """Say the answer in plain type, where a window is too low for large type in every card."""
        rank = "name" if terse else "large"
        if self._figure.property("rank") != rank:
            self._figure.setProperty("rank", rank)
            self._figure.style().unpolish(self._figure)
            self._figure.style().polish(self._figure)

    def say(self, sign: str, ink: str, figure: str, text: str, lines: list[QWidget]) -> None:
        """Show the answer."""
        self._sign.setPixmap(icon(sign, ink).pixmap(self.sign_side, self.sign_side))
        self._figure.setText(figure)
        self._text.setText(text)
        self._text.setVisible(bool(text))
        self.setAccessibleName(f"{self._title}: {figure}. {text}")
        while (old := self._lines.takeAt(0)) is not None:
            old.widget().hide()
            old.widget().deleteLater()
        for line in lines:
            self._lines.addWidget(line)


class Answers(QScrollArea):
    """The three answers as cards."""

    shown = Signal(object)  # a Finding the person wants to see on the plate

    def __init__(self, document: Document, faults: Faults, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._faults, self._look = document, faults, LIGHT
        self.cards = self._passes, self._missing, self._wrong = Card("Passes"), Card("Missing"), Card("Faults")
        inside = QWidget()
        box = self._column = QVBoxLayout(inside)
        box.setContentsMargins(SPACE, SPACE, SPACE, SPACE)
        box.setSpacing(SPACE)
        for card in self.cards:
            box.addWidget(card)
        box.addStretch(1)
        self.setWidget(inside)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAccessibleName("Answers")
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)  # the arrow keys scroll it
        self.chores: Chores | None = None  # where the cards may be filled one by one
        for signal in (document.replaced, document.project_changed, document.plan_changed):
            signal.connect(self._changed)
        faults.changed.connect(self._faults_changed)

    def set_look(self, look: Look, text_scale: float) -> None:
        """Show the answers in a look at a text size."""
        self._look = look
        for card in self.cards:
            card.sign_side = round(SIGN * text_scale)
        self.refresh()

    def set_terse(self, terse: bool) -> None:
        """Take less height, so that all three answers are in sight in a low window."""
        for card in self.cards:
            card.set_terse(terse)

    def add_below(self, card: QWidget) -> None:
        """Put a card of another kind below the answers."""
        self._column.insertWidget(len(self.cards), card)

    def refresh(self) -> None:
        """Read the document again."""
        for card in (self._refresh_passes, self._refresh_missing, self._refresh_faults):
            card()

    def _changed(self) -> None:
        if self.chores is None:
            self.refresh()
        else:
            self.chores.call("passes in words", self._refresh_passes)
            self.chores.call("missing in words", self._refresh_missing)

    def _faults_changed(self) -> None:
        if self.chores is None:
            self._refresh_faults()
        else:
            self.chores.call("faults in words", self._refresh_faults)

    def _refresh_passes(self) -> None:
        project, plan, look = self._document.project, self._document.plan, self._look
        done = bool(plan.passes) and not plan.unplaced
        sign, ink = ("tick", look.good) if done and plan.proven else ("plan", look.accent)
        self._passes.say(sign, ink, words.passes_figure(project, plan), words.passes_words(project, plan), [])

    def _refresh_missing(self) -> None:
        project, plan, look = self._document.project, self._document.plan, self._look
        figure = words.missing_figure(project, plan)
        none = figure == "Nothing is missing"
        told = words.missing_lines(project, plan)
        lines = [_line(head, why) for head, why in told[:MOST_LINES]]
        if len(told) > MOST_LINES:
            lines.append(_line(f"and {len(told) - MOST_LINES} more", "The leaf Needed has them all."))
        self._missing.say("tick" if none else "missing", look.good if none else look.warn, figure, "", lines)

    def _refresh_faults(self) -> None:
        found = self._faults.known
        sign, ink = ("fault", self._look.fault) if found else ("tick", self._look.good)
        more = len(found) - MOST_LINES
        text = f"The first {MOST_LINES} of them:" if more > 0 else ""
        lines = [self._fault_line(finding) for finding in found[:MOST_LINES]]
        self._wrong.say(sign, ink, words.faults_figure(found), text, lines)

    def _fault_line(self, finding: Finding) -> QWidget:
        line = QWidget()
        box = QVBoxLayout(line)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(GAP)
        text = _wrapped()
        what, where = (
            words.in_passes(said, self._document.project, self._document.plan) for said in (finding.what, finding.where)
        )
        text.setText(what[:1].upper() + what[1:])
        box.addWidget(text)
        if place_of(finding) is not None:
            button = QPushButton(f"Show in {where}")
            button.setProperty("role", "link")
            button.setAccessibleName(f"Show on the plate: {what}")
            button.clicked.connect(partial(self.shown.emit, finding))
            box.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
        return line


def _line(head: str, why: str) -> QWidget:
    line = QWidget()
    box = QVBoxLayout(line)
    box.setContentsMargins(0, 0, 0, 0)
    box.setSpacing(1)
    name, reason = _wrapped(), _wrapped()
    name.setText(head)
    reason.setText(why)
    reason.setProperty("tone", "quiet")
    box.addWidget(name)
    box.addWidget(reason)
    return line


def _wrapped() -> QLabel:
    label = QLabel()
    label.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
    label.setWordWrap(True)  # after the policy, which would forget that the height hangs on the width
    label.setTextFormat(Qt.TextFormat.PlainText)
    return label
