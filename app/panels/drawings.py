"""Dies out of drawings: every outline of an SVG or DXF becomes a die in the drawer, with metal about its cut."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from app.document.asking import ask, free_id
from app.document.document import Document
from app.messages.channel import Messages
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.model.errors import FileError
from layout.model.project import Die, Project

DRAWINGS = "Drawings (*.svg *.dxf)"
MOST_ASKED = 4  # sizes offered where a drawing does not say its unit


def ask_for_drawing(parent: QWidget, document: Document, messages: Messages) -> None:
    """Ask for a drawing and take its dies in."""
    path, _ = QFileDialog.getOpenFileName(parent, "Dies from a drawing", "", DRAWINGS)
    if path:
        take_in(document, messages, Path(path))


def take_in(document: Document, messages: Messages, path: Path, unit: str | None = None) -> None:
    """Add the dies of a drawing as one step; where it does not say its unit, ask by showing the sizes."""
    from layout.formats.import_command import read_drawing

    try:
        got = read_drawing(path, unit)
    except FileError as error:
        messages.fault(str(error))
        return
    if got.unit_mm is None:
        sizes = [
            (f"{s.width:.0f} × {s.height:.0f} mm", _again(document, messages, path, s.unit))
            for s in got.likely[:MOST_ASKED]
        ]
        messages.news(f"{path.name} does not say its unit. Which size is right?", *sizes)
        return
    project = with_dies(document.project, path.stem, got.outlines)
    added = len(project.dies) - len(document.project.dies)
    ask(document, f"Addition of {added} dies from {path.name}" if added != 1 else f"Addition of {path.stem}", project)
    noticed = f" {got.findings[0]}." if got.findings else ""
    messages.news(f"{added} {'die' if added == 1 else 'dies'} from {path.name} in the drawer.{noticed}")


def with_dies(project: Project, name: str, outlines: tuple[Outline, ...]) -> Project:
    """Return the project with a die for each outline, its cut centred in its own frame."""
    from layout.geometry.rim import metal_about

    dies = list(project.dies)
    taken = [s.id for s in (*project.dies, *project.punches, *project.panels)]
    for at, outline in enumerate(outlines):
        called = name if len(outlines) == 1 else f"{name} {at + 1}"
        cut = centred(outline)
        die = Die(free_id(taken, called), called, metal_about(cut), cut)
        taken.append(die.id)
        dies.append(die)
    return replace(project, dies=tuple(dies))


def centred(outline: Outline) -> Outline:
    """Return the outline with the middle of its box at the origin."""
    left, low, right, high = outline.bounds
    return Pose(-(left + right) / 2, -(low + high) / 2).outline(outline)


def _again(document: Document, messages: Messages, path: Path, unit: str) -> Callable[[], None]:
    return partial(take_in, document, messages, path, unit)
