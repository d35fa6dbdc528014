"""The project sheet read as pages: it is enough for the box, its numbers stand on a ruler."""

from __future__ import annotations

import base64
import re
from dataclasses import asdict, replace
from pathlib import Path

import pymupdf
import pytest
from PySide6.QtCore import QBuffer, QIODevice
from PySide6.QtGui import QImage
from shapely.geometry import LineString, box
from shapely.geometry.base import BaseGeometry

from app.guide.handout import picture
from app.guide.pdf import titled_pdf
from app.guide.sheet import A4, LETTER, Sheet
from app.sheet.book import sheet_pages, write_pdf, write_pictures
from app.sheet.job import OWN_STEPS, SheetJob
from app.sheet.template import true_pages
from layout.formats.plan_file import read_plan
from layout.formats.project_file import read_project
from layout.geometry.blanks.kinds import KINDS, Sizes
from layout.geometry.value import replace as changed
from layout.model.errors import FileError
from layout.model.plan import Plan
from layout.model.project import Panel, Project, Wanted
from tests.unit.app.guide.test_true_size import DEMO

pytestmark = pytest.mark.usefixtures("qapp")
INCH = 25.4
POINT = 72 / 25.4


def demo(sheet: Sheet = A4, **more: object) -> SheetJob:
    project, plan = read_project(DEMO / "night-garden.json"), read_plan(DEMO / "night-garden.plan.json")
    return SheetJob(project, plan, sheet, unit="in", **more)


def read(job: SheetJob, path: Path) -> pymupdf.Document:
    write_pdf(job, sheet_pages(job), path)
    return pymupdf.open(path)


def words(job: SheetJob, path: Path) -> str:
    with read(job, path) as file:
        told = " ".join(" ".join(page.get_text().split()) for page in file)
    return told.replace("\u02ba", "\u2033")  # readers take the one sign of the typeface for the other


@pytest.mark.parametrize("sheet", [A4, LETTER])
def test_the_demo_takes_two_pages_and_says_all_that_the_box_needs(sheet: Sheet, tmp_path: Path) -> None:
    with read(demo(sheet), tmp_path / "s.pdf") as file:
        assert len(file) == 2
        assert (file[0].rect.width, file[0].rect.height) == pytest.approx((sheet.width * POINT, sheet.height * POINT))
    told = words(demo(sheet), tmp_path / "s.pdf")
    for said in (
        "favour box, trimmed to 7 1/2 × 6″",
        "2 1/2 × 1 × 4″ inside",
        "left edge at the stop 1/2, 3, 4, 6 1/2",
        "a quarter turn: lower edge at the stop 1, 5, 5 1/2",
        "mat for the front, print upright trimmed 2 3/8 × 3 7/8″ dusk print 1 8",
        "night blue, 216 g/m² 1 8 4 × night sheet (12 × 12″)",
        "dewdrop punch hand punch 1/2 × 1/2″ silver 3 24",
        "Trim the panels: 8 × favour box",
        "Glue the tab",
        "glue tab",
    ):
        assert said in told, said


def test_every_piece_and_every_layout_is_named(tmp_path: Path) -> None:
    job = demo()
    told = words(job, tmp_path / "s.pdf")
    for wanted in job.project.wanted:
        assert job.wanted_name(wanted.id) in told
    for layout in job.plan.layouts:
        assert f"{layout.id}: pass" in told


def test_inches_stand_on_sixteenths_and_never_have_a_decimal_point(tmp_path: Path) -> None:
    told = words(demo(), tmp_path / "s.pdf")
    assert not re.findall(r"\d\.\d", told)
    assert {int(n) for n in re.findall(r"\d/(\d+)", told)} <= {2, 4, 8, 16}


def test_millimetres_have_at_most_tenths(tmp_path: Path) -> None:
    told = words(replace(demo(), unit="mm"), tmp_path / "s.pdf")
    assert "190.5 × 152.4 mm" in told
    assert not re.findall(r"\d\.\d\d", told)


def test_the_template_is_true_to_a_tenth_and_tiled_where_it_has_to_be(tmp_path: Path) -> None:
    with read(demo(template=True), tmp_path / "s.pdf") as file:
        pages = [page for page in file if "true size" in page.get_text()[:60]]
        assert len(pages) == 1  # 190.5 x 152.4 mm goes on one page that lies on its side
        assert pages[0].rect.width > pages[0].rect.height
    large = Sizes("straight", 90, 40, 160, tab=10)
    with read(replace(one_box(large), template=True), tmp_path / "l.pdf") as file:
        assert sum("true size" in page.get_text()[:60] for page in file) == 4  # 270 x 240 mm
    box = Sizes("straight", 40, 20, 60, tab=10)
    with read(replace(one_box(box), template=True), tmp_path / "t.pdf") as file:
        drawn = [d for d in file[-1].get_drawings() if d["rect"].width / POINT == pytest.approx(130.0, abs=0.1)]
        assert any(d["rect"].height / POINT == pytest.approx(100.0, abs=0.1) for d in drawn)


def one_box(sizes: Sizes) -> SheetJob:
    blank = sizes.blank()
    panel = Panel("box", "little box", blank.outline, blank.scores, extra={"blank": sizes.kept()})
    return SheetJob(Project(panels=(panel,), wanted=(Wanted("w", "box"),), name="One box"), Plan(), A4)


def test_the_worked_example_of_the_trade(tmp_path: Path) -> None:
    # Common practice in the trade: a 4 x 4 3/4 in blank scored at 1/2, 1 3/4, 2 1/4, 3 1/2 and 1/2, 4, 4 1/4 is a
    # box of 1 1/4 x 1/2 x 3 1/2 in.
    sizes = Sizes("pinched", 1.25 * INCH, INCH / 2, 3.5 * INCH, tab=INCH / 2, seam=INCH / 2)
    told = words(replace(one_box(sizes), unit="in"), tmp_path / "s.pdf")
    assert "trimmed to 4 × 4 3/4″" in told
    assert "1 1/4 × 1/2 × 3 1/2″ inside" in told
    assert "1/2, 1 3/4, 2 1/4, 3 1/2" in told
    assert "1/2, 4, 4 1/4" in told


def test_an_own_step_stands_in_its_place_with_its_picture(tmp_path: Path) -> None:
    image = QImage(30, 20, QImage.Format.Format_RGB32)
    image.fill(0xFFCC0000)
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, "PNG")
    address = "data:image/png;base64," + base64.b64encode(bytes(buffer.data().data())).decode()
    job = demo()
    steps = [{"words": "Tie the ribbon twice.", "picture": address}, {"words": "Done.", "picture": "data:image/x,!!"}]
    own = replace(job, project=changed(job.project, extra={**job.project.extra, OWN_STEPS: steps}))
    with read(own, tmp_path / "s.pdf") as file:
        told = " ".join(" ".join(p.get_text().split()) for p in file)
        assert "7 Tie the ribbon twice. 8 Done." in told
        assert sum(len(page.get_images()) for page in file) == 1


def test_grey_pages_have_no_colour_and_colour_pages_do(tmp_path: Path) -> None:
    for colour in (True, False):
        pages = sheet_pages(demo(colour=colour))
        made = write_pictures(pages, tmp_path / str(colour))
        assert len(made) == len(pages)
        drawn = picture(pages, 0, 40, colour=True)
        seen = [drawn.pixelColor(x, y) for x in range(drawn.width()) for y in range(drawn.height())]
        assert any(c.saturation() > 20 for c in seen) is colour


def test_an_empty_project_and_a_place_that_cannot_be_written(tmp_path: Path) -> None:
    job = SheetJob(Project(), Plan(), A4)
    assert "Untitled project" in words(job, tmp_path / "s.pdf")
    (tmp_path / "file").write_text("")
    with pytest.raises(FileError, match="choose another"):
        write_pictures(sheet_pages(job), tmp_path / "file" / "in")


@pytest.mark.parametrize("kind", sorted(KINDS))
@pytest.mark.parametrize("large", [False, True], ids=["small", "tiled"])
def test_every_name_of_a_template_stands_clear_of_its_lines(kind: str, large: bool) -> None:
    """'right bottom flap' was wider than the slanting flap that it names, and names were cut off between sheets."""
    sides = (
        {"width": 150.0, "depth": 40.0, "height": 160.0} if large else {"width": 70.0, "depth": 20.0, "height": 80.0}
    )
    sizes = Sizes(kind, **sides)
    blank = sizes.blank()
    panel = Panel("blank", "blank", blank.outline, blank.scores, extra={"blank": asdict(sizes)})
    project = Project(panels=(panel,), wanted=(Wanted("blank", "blank"),))
    template = SheetJob(project, Plan(), A4, template=True)
    with pymupdf.open(stream=titled_pdf("blank", list(true_pages(template))), filetype="pdf") as file:
        assert large or "front" in file[0].get_text() or "base" in file[0].get_text()
        for page in file:
            window = pymupdf.Rect(18, 50, page.rect.width - 18, page.rect.height - 70)
            words = [(word[4], pymupdf.Rect(word[:4])) for word in page.get_text("words")]
            names = [rect for name, rect in words if rect in window and name.isalpha() and name not in ("mm", "along")]
            for drawing in page.get_drawings():
                for item in drawing["items"]:
                    if item[0] == "l":
                        line = LineString([(point.x, point.y) for point in item[1:3]])
                        assert not [rect for rect in names if line.intersects(inner(rect))], drawing["rect"]


def inner(rect: pymupdf.Rect) -> BaseGeometry:
    """Return the box of a word's letters, without the air above and below."""
    return box(rect.x0, rect.y0 + 0.3 * rect.height, rect.x1, rect.y1 - 0.25 * rect.height)
