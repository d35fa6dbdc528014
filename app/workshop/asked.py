"""What the workshop asks before it does something: which piece, how many, another name."""

from __future__ import annotations

from PySide6.QtWidgets import QInputDialog, QWidget

from app.panels.words import piece_name
from layout.model.project import Project, Wanted


def asked_pieces(parent: QWidget, project: Project, fitting: tuple[Wanted, ...], held: int) -> tuple[str, int] | None:
    """Ask for which piece ready ones are taken, where several are due, and how many; None where none are."""
    names = [piece_name(project, w) for w in fitting]
    at = 0
    if len(names) > 1:
        name, agreed = QInputDialog.getItem(parent, "Take from the tin", "Which piece are they for?", names, 0, False)
        if not agreed:
            return None
        at = names.index(name)
    most = min(held, project.due(fitting[at]))
    if most == 1:
        return fitting[at].id, 1
    question = f"How many ready pieces of {names[at]} are taken? {most} can be used."
    count, agreed = QInputDialog.getInt(parent, "Take from the tin", question, most, 1, most)
    return (fitting[at].id, count) if agreed else None


def asked_name(parent: QWidget, title: str, question: str, now: str) -> str:
    """Ask for another name; empty where she does not want one."""
    name, agreed = QInputDialog.getText(parent, title, question, text=now)
    return " ".join(name.split()) if agreed and name.strip() != now else ""
