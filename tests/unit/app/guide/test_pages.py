"""What stands on the pages: each thing named once, no words over other words, the passes in their order."""

from __future__ import annotations

import copy
from itertools import combinations
from typing import Any

import pymupdf
import pytest

from app.guide.names import joined, span
from tests.support.shared import load
from tests.unit.app.guide.test_true_size import DEMO, case, made

pytestmark = pytest.mark.usefixtures("qapp")
NAMES = ("images-07-11", "frames-07-12", "onepass-14-02-11")


def opened(project: dict[str, Any], plan: dict[str, Any], mirrored: bool = False) -> pymupdf.Document:
    return pymupdf.open(stream=made(project, plan, "a4", mirrored), filetype="pdf")


def boxes(page: pymupdf.Page) -> list[tuple[str, pymupdf.Rect]]:
    """Return each line of words with the box of its letters, without the air above and below."""
    found = []
    for block in page.get_text("dict")["blocks"]:
        for line in block.get("lines", []):
            for piece in line["spans"]:
                x0, y0, x1, y1 = piece["bbox"]
                high = y1 - y0
                found.append((piece["text"], pymupdf.Rect(x0, y0 + 0.3 * high, x1, y1 - 0.25 * high)))
    return [(words, rect) for words, rect in found if words.strip()]


@pytest.mark.parametrize("name", NAMES)
def test_no_words_lie_over_others(name: str) -> None:
    with opened(*case(name)) as file:
        for page in file:
            for (a, first), (b, second) in combinations(boxes(page), 2):
                shared = pymupdf.Rect(first) & second
                assert shared.is_empty or shared.width * shared.height < 0.5, (a, b)


@pytest.mark.parametrize("name", NAMES)
def test_every_die_has_its_number_on_its_page(name: str) -> None:
    project, plan = case(name)
    with opened(project, plan) as file:
        plate = next(page for page in file if "BLADES" in page.get_text())
        window = project["machine"]["bed"]["width"] * 72 / 25.4 + 20 * 72 / 25.4
        shown = [words for words, rect in boxes(plate) if rect.x0 < window]
        for number in range(1, len(project["dies"]) + 1):
            assert str(number) in shown


def test_every_scrap_of_the_demo_is_named_on_the_plate_itself() -> None:
    project, plan = load(DEMO / "night-garden.json"), load(DEMO / "night-garden.plan.json")
    names = {scrap["id"]: scrap["name"] for scrap in project["scraps"]}
    runs = [run for layout in plan["layouts"] for run in layout["runs"]]
    window = (project["machine"]["bed"]["width"] + 20) * 72 / 25.4  # the list stands beside it
    with opened(project, plan) as file:
        plates = [page for page in file if "BLADES" in page.get_text()]
        assert plates
        for page in plates:
            shown = " ".join(words for words, rect in boxes(page) if rect.x0 < window)
            number = int(page.get_text().split("pass")[1].lstrip("es").split()[0].rstrip(","))
            for laid in runs[number - 1]["scraps"]:
                assert shown.replace("on " + names[laid["scrap"]], "").count(names[laid["scrap"]]), (number, laid)


def test_the_demo_tells_every_pass_and_every_sheet() -> None:
    project, plan = load(DEMO / "night-garden.json"), load(DEMO / "night-garden.plan.json")
    with opened(project, plan) as file:
        words = [page.get_text() for page in file]
    ticks = "".join(text for text in words if text.startswith("Tick list"))
    passes = sum(len(layout["runs"]) for layout in plan["layouts"])
    for number in range(1, passes + 1):
        assert f"pass {number} of {passes}" in ticks
    cover = "".join(text for text in words if text.startswith("Placement guide"))
    used = {laid["scrap"] for layout in plan["layouts"] for run in layout["runs"] for laid in run["scraps"]}
    used |= {panel["scrap"] for panel in plan["panels"]}
    for scrap in project["scraps"]:
        assert (scrap["name"] in cover) == (scrap["id"] in used), scrap["name"]


def test_a_die_that_is_lifted_off_is_told() -> None:
    project, plan = case("scraps-06-2-11")
    plan = copy.deepcopy(plan)
    lost = plan["layouts"][0]["runs"][0]["cuts"].pop()
    plan["unplaced"] = [{"wanted": lost["wanted"], "count": 1, "reason": "kept for another day"}]
    plan["status"] = "partial"
    with opened(project, plan) as file:
        text = "".join(page.get_text() for page in file)
    assert "lift off" in text
    assert "kept for another day" in text


@pytest.mark.parametrize("mirrored", [False, True])
def test_the_face_of_the_paper_is_said_in_words(mirrored: bool) -> None:
    with opened(*case("images-07-11"), mirrored) as file:
        plate = next(page.get_text() for page in file if "BLADES" in page.get_text())
    assert ("scraps good side DOWN" in plate) == mirrored
    assert ("scraps good side UP" in plate) == (not mirrored)
    assert ("MIRRORED" in plate) == mirrored


@pytest.mark.parametrize(
    ("numbers", "words"),
    [([3], "pass 3"), ([1, 2], "passes 1, 2"), ([1, 2, 3, 4], "passes 1–4"), ([1, 3, 7], "passes 1, 3, 7")],
)
def test_pass_numbers_in_words(numbers: list[int], words: str) -> None:
    assert span(numbers) == words
    assert joined(numbers, "+") in words.replace(", ", "+")


def test_long_names_stay_on_the_page_and_lie_over_nothing() -> None:
    """Names wider than a column ran over one another, and a long list ran into the foot of the page."""
    project, plan = load(DEMO / "night-garden.json"), load(DEMO / "night-garden.plan.json")
    project["name"] = "A project of a name that is far too long for the head of a page, and goes on and on and on"
    for thing in (*project["dies"], *project["scraps"], *project["punches"], *project["panels"]):
        name = thing.get("name", thing["id"])
        thing["name"] = f"large and rather elaborate {name} with Winterabendgartenlaternenlichterfensterrahmen"
    with opened(project, plan) as file:
        for page in file:
            for words, rect in boxes(page):
                assert rect.x0 >= 19, words
                assert rect.x1 <= page.rect.width - 19, words
                assert rect.y1 <= page.rect.height - 17, words
            for (a, first), (b, second) in combinations(boxes(page), 2):
                shared = pymupdf.Rect(first) & second
                assert shared.is_empty or shared.width * shared.height < 0.5, (a, b)


def test_no_words_of_the_plate_stand_on_the_line_to_cut_along() -> None:
    """A die's name stood on the line along which the sheets of a large bed are cut and joined."""
    project, plan = load(DEMO / "night-garden.json"), load(DEMO / "night-garden.plan.json")
    project["machine"]["bed"] = {"width": 152.0, "length": 300.0}
    for layout in plan["layouts"]:
        for placed in layout["dies"]:
            placed["pose"]["y"] += 40.0
        for run in layout["runs"]:
            for laid in run["scraps"]:
                laid["pose"]["y"] += 40.0
    seams = 0
    with opened(project, plan) as file:
        for page in file:
            for y in dotted(page):
                seams += 1
                assert not [
                    words for words, rect in boxes(page) if rect.y0 < y < rect.y1 and words not in ("AB1", "AB2")
                ]
    assert seams > 4


def dotted(page: pymupdf.Page) -> list[float]:
    """Return the heights of long dotted lines across the page."""
    lines = [(d["rect"], d["dashes"]) for d in page.get_drawings() if d["type"] == "s" and len(d["items"]) == 1]
    return [rect.y0 for rect, dashes in lines if rect.height < 0.1 and rect.width > 400 and dashes != "[] 0"]
