"""From the window to files for others: a layout as SVG or DXF, the passes as CSV, a plate page as a picture."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QStandardPaths
from PySide6.QtWidgets import QFileDialog

from layout.model.errors import FileError

if TYPE_CHECKING:
    from app.window import Window

FOLDER = "files/export_folder"
NO_PLAN = "There is no plan to write out yet: press Plan first."


@dataclass(frozen=True, slots=True)
class Kind:
    """What is written: the ending, what the dialog asks and offers, and whether it is of one layout."""

    ending: str
    asks: str
    files: str
    of_layout: bool = True


KINDS = {
    "svg": Kind(".svg", "Write the layout as SVG", "SVG drawings (*.svg)"),
    "dxf": Kind(".dxf", "Write the layout as DXF", "DXF drawings (*.dxf)"),
    "csv": Kind(".csv", "Write the list of passes as CSV", "Tables (*.csv)", of_layout=False),
    "png": Kind(".png", "Write the plate page as a picture", "Pictures (*.png)"),
}


def ask_and_export(window: Window, name: str) -> None:
    """Ask where to, in the folder of the last time, and write what the window shows; say so, or why not."""
    kind = KINDS[name]
    if not window.document.plan.layouts:
        window.messages.fault(NO_PLAN)
        return
    start = last_folder(window) / usual_name(window, kind)
    path, _ = QFileDialog.getSaveFileName(window, kind.asks, str(start), kind.files)
    if path:
        export_to(window, name, Path(path if path.lower().endswith(kind.ending) else f"{path}{kind.ending}"))


def export_to(window: Window, name: str, path: Path) -> None:
    """Write what the window shows to a file, whole or not at all, and say so, or why not."""
    from layout.formats.writing import write_bytes

    try:
        write_bytes(WRITERS[name](window, path), path)
    except FileError as error:
        window.messages.fault(str(error))
        return
    window.settings.set_value(FOLDER, str(path.parent))
    window.messages.news(f"{path.name} is written, in {path.parent}.")


def last_folder(window: Window) -> Path:
    """Return the folder written to last, else the project's own."""
    remembered = window.settings.value(FOLDER)
    return Path(remembered) if remembered and Path(remembered).is_dir() else own_folder(window)


def own_folder(window: Window) -> Path:
    """Return the project's folder; of one that has none yet, the last project's, else the person's documents."""
    from app.start import DEMO

    paths = [window.document.path] if window.document.path else list(window.settings.recent)
    # The demo lies among the program's own files, where nobody looks for theirs.
    folders = [path.parent for path in paths if path != DEMO and path.parent.is_dir()]
    documents = Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation))
    return folders[0] if folders else documents if documents.is_dir() else Path.home()


def usual_name(window: Window, kind: Kind) -> str:
    """Return the name to start from: the project's, with the layout's where it is of one."""
    from layout.formats.writing import file_stem

    document = window.document
    layout = f" layout {document.plan.layouts[window.selection.layout].id}" if kind.of_layout else " passes"
    return file_stem(f"{document.project.name or 'project'}{layout}") + kind.ending


def _drawing(window: Window, path: Path) -> bytes:
    from layout.planning.export_command import exported

    document, shown = window.document, window.selection
    return exported(document.project, document.plan, path, document.plan.layouts[shown.layout].id, shown.run + 1)


def _picture(window: Window, path: Path) -> bytes:
    from app.guide.book import guide_pages
    from app.guide.handout import picture_bytes
    from app.guide.job import Job
    from app.guide.platepage import PlatePage
    from app.guide.sheet import usual_sheet

    document, shown = window.document, window.selection
    job = Job(document.named_project, document.plan, usual_sheet(), window.canvas.viewing.mirrored, document.unit)
    pages, layout = guide_pages(job), document.plan.layouts[shown.layout]
    plates = [n for n, page in enumerate(pages) if isinstance(page, PlatePage) and page.layout is layout]
    own = [n for n in plates if shown.run in pages[n].places] or plates  # type: ignore[attr-defined]
    if not own:
        raise FileError(f"{path}: layout {layout.id} has no pass yet, so there is no page to show; lay a scrap first")
    return picture_bytes(pages, own[0])


WRITERS: dict[str, Callable[[Window, Path], bytes]] = {
    "svg": _drawing,
    "dxf": _drawing,
    "csv": _drawing,
    "png": _picture,
}
