"""The project sheet's preview: what is set shows at once, own steps are kept as one undo step, faults are sentences."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtGui import QImage

from app.document import files
from app.document.document import Document
from app.sheet.job import OWN_STEPS
from app.sheet.preview import SheetPreview
from tests.unit.app.guide.test_true_size import DEMO

pytestmark = pytest.mark.usefixtures("qapp")


@pytest.fixture
def preview() -> SheetPreview:
    document = Document()
    files.open_into(document, DEMO / "night-garden.json")
    return SheetPreview(document)


def test_paper_and_template_make_the_pages_anew(preview: SheetPreview) -> None:
    before = len(preview._pages)
    preview.template.setChecked(True)
    assert len(preview._pages) > before
    preview.paper.setCurrentText("Letter")
    assert preview.job.sheet.name == "Letter"
    preview.turn_to(99)
    assert preview.view.index == len(preview._pages) - 1
    preview.colour.setChecked(False)
    assert not preview.job.colour
    preview.grab()


def test_own_steps_with_a_picture_are_one_undo_step(preview: SheetPreview, tmp_path: Path) -> None:
    document, image = preview._document, QImage(8, 6, QImage.Format.Format_RGB32)
    image.fill(0)
    image.save(str(tmp_path / "knot.png"))
    preview.steps.setPlainText("Tie the ribbon.\n\nAdd the tag.")
    preview.add_picture(tmp_path / "knot.png")
    preview.accept()
    steps = document.project.extra[OWN_STEPS]
    assert [s["words"] for s in steps] == ["Tie the ribbon.", "Add the tag."]
    assert [bool(s["picture"]) for s in steps] == [True, False]
    assert SheetPreview(document).steps.toPlainText() == "Tie the ribbon.\nAdd the tag."
    document.undo.undo()
    assert OWN_STEPS not in document.project.extra


def test_closing_without_a_word_changes_nothing(preview: SheetPreview) -> None:
    preview.accept()
    assert not preview._document.undo.canUndo()


def test_pdf_pictures_and_faults(preview: SheetPreview, tmp_path: Path) -> None:
    said: list[str] = []
    preview.written.connect(said.append)
    preview.refused.connect(said.append)
    preview.save_to(tmp_path / "sheet")
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")
    preview.save_to(tmp_path / "pages.png", "Pictures (*.png)")
    assert len(list((tmp_path / "pages").iterdir())) == 2
    preview.save_to(tmp_path / "no" / "folder.pdf")
    (tmp_path / "words.png").write_text("no picture")
    preview.add_picture(tmp_path / "words.png")
    preview.add_picture(tmp_path / "none.png")
    assert len(said) == 5
    assert "choose another picture" in said[-1]
