"""A placement guide read back as vectors by an independent reader, and held against the project and plan as plain JSON.

Nothing of the product is used here: poses, mirroring and page frame are worked out anew.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

import numpy as np
import pymupdf
from shapely.geometry import LineString, Polygon, box

MM = 25.4 / 72.0
EXACT = 0.05
EDGE = 6.0
HEAD_RULE = 18.4  # the line below the head lies so far from the upper edge, 7 mm from either side
SHEETS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; 8.5 x 11 in

Ring = list[tuple[float, float]]


@dataclass
class ReadPage:
    """One page: its words, its lines in mm from the upper left corner (y down), and the boxes it clips to."""

    width: float
    height: float
    words: str
    lines: list[Ring]
    clips: list[tuple[float, float, float, float]]
    edge_is_white: bool
    cards: list[tuple[float, float]]

    def __post_init__(self) -> None:
        """Work the bounds of all lines out once: most lines are told apart by them."""
        self._bounds = np.array([_bounds(line) for line in self.lines])

    def shows(self, ring: Ring) -> bool:
        """Whether one of the lines is this ring."""
        near = np.flatnonzero(np.abs(self._bounds - np.array(_bounds(ring))).max(axis=1) <= EXACT)
        return any(alike(ring, self.lines[n]) for n in near)


def read_pages(data: bytes) -> list[ReadPage]:
    """Read every page of a PDF."""
    with pymupdf.open(stream=data, filetype="pdf") as file:
        return [_read(page) for page in file]


def faults(data: bytes, project: dict[str, Any], plan: dict[str, Any], page: str, mirrored: bool) -> list[str]:
    """Return what is untrue about a guide's plate pages: sizes, bars, bed, every die ring; empty where all is true."""
    found: list[str] = []
    plates = [
        p for p in read_pages(data) if "Layout " in p.words and ("BLADES DOWN" in p.words or "BLADES UP" in p.words)
    ]
    shown = {re.search(r"Layout (\S+)", p.words)[1] for p in plates if _bed(p, project)}  # type: ignore[index]
    missing = {layout["id"] for layout in plan["layouts"]} - shown
    found += [f"layout {name} has no page with its bed at true size" for name in sorted(missing)]
    for number, read in enumerate(plates, 1):
        found += [f"plate page {number}: {fault}" for fault in page_faults(read, project, plan, page, mirrored)]
    return found


def page_faults(read: ReadPage, project: dict[str, Any], plan: dict[str, Any], page: str, mirrored: bool) -> list[str]:
    """Return what is untrue about one plate page."""
    found = sheet_faults(read, page) + bar_faults(read)
    if ("MIRRORED" in read.words, "BLADES UP" in read.words) != (mirrored, mirrored):
        found.append("the page does not say which way the blades point")
    layout_id = re.search(r"Layout (\S+)", read.words)[1]  # type: ignore[index]
    layout = next(entry for entry in plan["layouts"] if entry["id"] == layout_id)
    bed = _bed(read, project)
    if bed is None:
        return [*found, "no bed of true size"]
    for name, ring in expected_rings(project, layout, bed, mirrored, cutting(read, plan)):
        if not read.shows(ring):
            found.append(f"{name} is not where it belongs")
    return found


def sheet_faults(read: ReadPage, page: str) -> list[str]:
    """Return faults of the sheet: its size, its frame, ink in the edge that home printers do not reach."""
    found = []
    width, height = SHEETS[page]
    if read.width > read.height:
        width, height = height, width
    if abs(read.width - width) > 0.01 or abs(read.height - height) > 0.01:
        found.append(f"the sheet is {read.width:.2f} x {read.height:.2f}")
    rule = [(7.0, HEAD_RULE), (width - 7.0, HEAD_RULE)]
    if not any(_same_points(rule, line) for line in read.lines):
        found.append("the page's frame is off its place")
    if not read.edge_is_white:
        found.append("something lies in the unprintable edge")
    return found


def bar_faults(read: ReadPage) -> list[str]:
    """Return which of the check bars (100 mm, 4 in, 100 mm along) are missing."""
    straight = [(b[0] - a[0], b[1] - a[1]) for a, b in (line for line in read.lines if len(line) == 2)]
    wanted = {"100 mm bar": (100.0, 0.0), "4 in bar": (4 * 25.4, 0.0), "upright 100 mm bar": (0.0, 100.0)}
    near = {
        name: any(math.dist((abs(x), abs(y)), vector) <= EXACT for x, y in straight) for name, vector in wanted.items()
    }
    return [f"no true {name}" for name, there in near.items() if not there]


def expected_rings(
    project: dict[str, Any],
    layout: dict[str, Any],
    bed: tuple[float, float],
    mirrored: bool,
    used: set[int] | None = None,
) -> list[tuple[str, Ring]]:
    """Return every ring of every die of a layout as it must stand on the page; `bed` is the bed's lower left corner.

    Dies that are not `used` are lifted off: their blade is not drawn.
    """
    dies = {die["id"]: die for die in project["dies"]}
    width = project["machine"]["bed"]["width"]
    made = []
    for number, placed in enumerate(layout["dies"]):
        for part in ("body", "cut") if used is None or number in used else ("body",):
            outline = dies[placed["die"]][part]
            for ring in (outline["outer"], *outline.get("holes", [])):
                plate = [_posed(point, placed["pose"]) for point in ring]
                page = [(bed[0] + (width - x if mirrored else x), bed[1] - y) for x, y in plate]
                made.append((f"{placed['die']} {part}", page))
    return made


def cutting(read: ReadPage, plan: dict[str, Any]) -> set[int]:
    """Return which dies of its layout cut in the first pass that a page names."""
    number = int(re.search(r"pass(?:es)? (\d+)", read.words)[1])  # type: ignore[index]
    runs = [run for layout in plan["layouts"] for run in layout["runs"]]
    return {cut["die"] for cut in runs[number - 1]["cuts"]}


def alike(ring: Ring, line: Ring) -> bool:
    """Whether a drawn line is this ring, everywhere within the tolerance."""
    if len(line) < 3 or any(abs(a - b) > EXACT for a, b in zip(_bounds(ring), _bounds(line), strict=True)):
        return False
    true, drawn = LineString([*ring, ring[0]]), LineString(line)
    return drawn.hausdorff_distance(true) <= EXACT and true.hausdorff_distance(drawn) <= EXACT


def bed_corner(read: ReadPage, project: dict[str, Any]) -> tuple[float, float]:
    """Return where the bed's lower left corner lies on the page."""
    bed = _bed(read, project)
    assert bed is not None
    return bed


def window_on_plate(read: ReadPage, project: dict[str, Any]) -> Polygon:
    """Return the part of the plate that a tile shows, in the plate frame (not mirrored)."""
    left, bottom = bed_corner(read, project)
    x0, y0, x1, y1 = max(read.clips, key=lambda c: (c[2] - c[0]) * (c[3] - c[1]))
    return box(x0 - left, bottom - y1, x1 - left, bottom - y0)


def crosses(read: ReadPage, project: dict[str, Any]) -> list[tuple[float, float]]:
    """Return the join marks of a tile, as places on the plate (not mirrored)."""
    left, bottom = bed_corner(read, project)
    arms = [line for line in read.lines if len(line) == 2 and abs(math.dist(*line) - 6.0) < 0.001]
    flat = [((a[0] + b[0]) / 2, a[1]) for a, b in arms if abs(a[1] - b[1]) < 0.001]
    steep = [(a[0], (a[1] + b[1]) / 2) for a, b in arms if abs(a[0] - b[0]) < 0.001]
    return [(x - left, bottom - y) for x, y in flat if any(math.dist((x, y), other) < 0.001 for other in steep)]


def _read(page: pymupdf.Page) -> ReadPage:
    lines, clips, cards = [], [], []
    for drawing in page.get_drawings(extended=True):
        if drawing["type"] == "clip":
            clips.append(tuple(v * MM for v in drawing["scissor"]))
        elif drawing["type"] != "group":
            lines += _polylines(drawing["items"])
            if sum(item[0] == "c" for item in drawing["items"]) == 4 and drawing["rect"].width > 50 / MM:
                cards.append((drawing["rect"].width * MM, drawing["rect"].height * MM))  # four corners and four sides
    width, height = page.rect.width * MM, page.rect.height * MM
    return ReadPage(width, height, page.get_text(), lines, clips, _edge_is_white(page), cards)


def _polylines(items: list[tuple[Any, ...]]) -> list[Ring]:
    lines: list[Ring] = []
    for kind, *points in items:
        if kind in ("re", "qu"):
            corners = points[0].quad if kind == "re" else points[0]
            around = (corners.ul, corners.ur, corners.lr, corners.ll, corners.ul)
            lines.append([(p.x * MM, p.y * MM) for p in around])
        elif kind == "l":
            a, b = ((p.x * MM, p.y * MM) for p in points[:2])
            if lines and math.dist(lines[-1][-1], a) < 1e-6:
                lines[-1].append(b)
            else:
                lines.append([a, b])
    return lines


def _edge_is_white(page: pymupdf.Page) -> bool:
    dpi = 100
    picture = page.get_pixmap(dpi=dpi, colorspace=pymupdf.csGRAY)
    band = int(EDGE / 25.4 * dpi)
    dots = np.frombuffer(picture.samples, dtype=np.uint8).reshape(picture.height, picture.stride)[:, : picture.width]
    edges = (dots[:band], dots[-band:], dots[:, :band], dots[:, -band:])
    return all(int(edge.min()) == 255 for edge in edges)


def _bed(read: ReadPage, project: dict[str, Any]) -> tuple[float, float] | None:
    width, length = project["machine"]["bed"]["width"], project["machine"]["bed"]["length"]
    for line in read.lines:
        x0, y0, x1, y1 = _bounds(line)
        if len(line) == 5 and abs(x1 - x0 - width) <= EXACT and abs(y1 - y0 - length) <= EXACT:
            return (x0, y1)
    return None


def _bounds(line: Ring) -> tuple[float, float, float, float]:
    xs, ys = [p[0] for p in line], [p[1] for p in line]
    return min(xs), min(ys), max(xs), max(ys)


def _same_points(a: Ring, b: Ring) -> bool:
    return len(a) == len(b) and all(math.dist(p, q) <= EXACT for p, q in zip(a, b, strict=True))


def _posed(point: list[float], pose: dict[str, float]) -> tuple[float, float]:
    turn = math.radians(pose.get("turn", 0.0))
    c, s = math.cos(turn), math.sin(turn)
    return (point[0] * c - point[1] * s + pose["x"], point[0] * s + point[1] * c + pose["y"])
