"""Draws the demo project 'Night garden': `python -m tests.support.night_garden` writes it to resources/demo.

Everything in it is invented and drawn here; the same run always writes the same bytes.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from layout.geometry import ornaments, shapes
from layout.geometry.blanks.kinds import Sizes
from layout.geometry.blanks.scoring import mats
from layout.geometry.outline import Outline, Point, Ring, from_polygon
from layout.geometry.pose import Pose
from layout.geometry.rim import frame, metal_about, offset, parts

DEMO = Path(__file__).parents[2] / "resources" / "demo" / "night-garden.json"
Json = dict[str, Any]

INCH = 25.4
BOX = Sizes("pinched", 2.5 * INCH, INCH, 4 * INCH, tab=INCH / 2, seam=INCH / 2)
LOWER_MOTH = ornaments.moth(60)
UPPER_MOTH = ornaments.moth(52)


def project() -> Json:
    """Return the whole project as the contract's JSON."""
    return {
        "format": "plateful-project",
        "version": 1,
        "name": "Night garden",
        "units": "in",
        "kits": 8,
        "spares": {"star": 2, "tag": 1},
        "machine": {
            "name": "hand-crank roller machine",
            "bed": {"width": 152, "length": 220},
            "bed_margin": 3,
            "overhang_across": 4,
            "overhang_along": 70,
        },
        "clearances": {"body_gap": 1.0, "paper_edge": 2.0, "web": 1.5, "image_tolerance": 0.5},
        "papers": papers(),
        "dies": dies(),
        "punches": [punch()],
        "scraps": scraps(),
        "panels": panels(),
        "wanted": wanted(),
    }


def papers() -> list[Json]:
    """Return the five papers; calipers are ordinary ones for the grammage (common practice)."""
    return [
        {"id": "dusk", "name": "dusk print", "grammage": 216, "caliper": 0.26, "layers": 1},
        {"id": "moss", "name": "moss", "grammage": 216, "caliper": 0.28, "layers": 1},
        {"id": "cream", "name": "cream", "grammage": 270, "caliper": 0.34, "layers": 1},
        {"id": "silver", "name": "silver", "grammage": 120, "caliper": 0.13, "layers": 2},
        {"id": "night", "name": "night blue", "grammage": 216, "caliper": 0.27, "layers": 1},
    ]


def dies() -> list[Json]:
    """Return the drawer of thin dies, one of each."""
    window = frame(shapes.arch(60, 78), 10)
    return [
        die("moth-lower", "moth, lower wings", LOWER_MOTH),
        die("moth-upper", "moth, upper wings", UPPER_MOTH),
        die("moon", "crescent moon", shapes.crescent(27, 36)),
        die("star", "five-point star", shapes.star(28)),
        die("fern", "fern leaf", ornaments.fern_leaf(24, 66)),
        die("flower", "night flower", ornaments.night_flower(40)),
        die("label", "label", shapes.label(57.15, 38.1)),
        die("tag", "tie-on tag", shapes.tag(28.575, 53.975, hole=4.5)),
        die("window", "window frame", window),
    ]


def die(name_id: str, name: str, cut: Outline) -> Json:
    """Return a die: what it cuts, and the metal about it."""
    return {"id": name_id, "name": name, "copies": 1, "body": rings(metal_about(cut)), "cut": rings(cut)}


def punch() -> Json:
    """Return the one hand punch: a half-inch circle, reaching an inch and a quarter."""
    return {
        "id": "dot-punch",
        "name": "dewdrop punch",
        "cut": rings(shapes.circle(12.7)),
        "reach": 31.75,
        "mouth": 60,
    }


def panels() -> list[Json]:
    """Return what is cut by hand: the favour box, and the mat on its front, an eighth of an inch smaller."""
    blank = BOX.blank()
    mat = mats(blank, INCH / 16, ("front",))[0]
    scores = [[[round(x, 3), round(y, 3)] for x, y in line] for line in blank.scores]
    box = {"id": "box", "name": "favour box", "outline": rings(blank.outline), "scores": scores, "blank": BOX.kept()}
    front = Outline.rectangle(mat.width, mat.length)
    return [box, {"id": "mat", "name": "mat for the front", "outline": rings(front), "scores": []}]


def wanted() -> list[Json]:
    """Return what one favour box needs."""
    return [
        want("box", "box", "night"),
        want("mat", "mat", "dusk", turn="upright"),
        want("lower-wings", "moth-lower", "dusk", turn="upright"),
        want("upper-wings", "moth-upper", "cream", image="moth"),
        want("window", "window", "dusk", turn="upright"),
        want("moon", "moon", "silver"),
        want("flower", "flower", "silver"),
        want("star", "star", None),
        want("fern", "fern", "moss"),
        want("tag", "tag", "moss"),
        want("label", "label", "cream"),
        want("dewdrop", "dot-punch", "silver", count=3),
    ]


def want(name_id: str, shape: str, paper: str | None, *, count: int = 1, **more: Any) -> Json:
    """Return one line of the list of pieces."""
    return {"id": name_id, "shape": shape, "count": count, "paper": paper, "turn": "any", **more}


def scraps() -> list[Json]:
    """Return the heap: a dozen odd forms, three of them stamped with moths, one stained."""
    return [
        scrap("dusk-offcut", "dusk", [(0, 0), (68, 0), (69, 112), (56, 127), (0, 126)], count=8),
        scrap("dusk-half", "dusk", [(0, 0), (136, 0), (138, 122), (70, 128), (0, 124)]),
        scrap("dusk-strip", "dusk", [(0, 6), (40, 0), (46, 90), (28, 112), (3, 106)], up=0.0),
        scrap("stamped-card", "cream", [(0, 0), (66, 0), (66, 85), (0, 87)], count=4, images=[(33, 64)]),
        scrap("stamped-pair", "cream", [(0, 0), (65, 2), (67, 78), (2, 74)], images=[(33, 22, 2), (34, 57, -2)]),
        scrap("stamped-bit", "cream", [(0, 0), (62, 0), (66, 40), (30, 48), (0, 44)], count=2, images=[(32, 22)]),
        scrap("cream-offcut", "cream", [(0, 0), (66, 0), (64, 118), (40, 134), (0, 126)], count=4),
        scrap("cream-stained", "cream", [(0, 0), (124, 4), (122, 92), (0, 88)], spoiled=[STAIN]),
        scrap("moss-strip", "moss", [(0, 0), (64, 0), (63, 66), (50, 78), (0, 77)], count=8),
        scrap("moss-quarter", "moss", [(0, 0), (104, 0), (104, 88), (72, 92), (68, 140), (0, 142)]),
        scrap("silver-corner", "silver", [(0, 0), (94, 0), (92, 22), (64, 74), (0, 78)], count=4),
        scrap("dusk-sheet", "dusk", SQUARE_FOOT),
        scrap("night-sheet", "night", SQUARE_FOOT, count=4),
        scrap("silver-strip", "silver", [(0, 0), (56, 0), (54, 136), (30, 146), (1, 140)], count=6),
    ]


SQUARE_FOOT: list[Point] = [(0.0, 0.0), (304.8, 0.0), (304.8, 304.8), (0.0, 304.8)]
STAIN = Outline(Pose(98, 66).ring(shapes.oval(30, 24).outer))


def scrap(
    name_id: str,
    paper: str,
    corners: list[Point],
    *,
    count: int = 1,
    up: float = 90.0,
    spoiled: Iterable[Outline] = (),
    images: Iterable[tuple[float, ...]] = (),
) -> Json:
    """Return a scrap of the heap; images are (x, y, turn) of the stamped moth."""
    made: Json = {"id": name_id, "name": name_id.replace("-", " "), "paper": paper, "count": count, "up": up}
    made["outline"] = rings(Outline.of(corners))
    made["spoiled"] = [rings(s) for s in spoiled]
    made["images"] = [image(Pose(*at)) for at in images]
    return made


def image(pose: Pose) -> Json:
    """Return a stamped moth: its ink stays 2 mm inside the upper wings."""
    inside = max(parts(offset(UPPER_MOTH.polygon, -2.0)), key=lambda p: float(p.area))
    ink = pose.outline(from_polygon(inside.simplify(0.05)))
    return {"image": "moth", "pose": {"x": pose.x, "y": pose.y, "turn": pose.turn}, "outline": rings(ink)}


def rings(outline: Outline) -> Json:
    """Return an outline in the contract's form, to a thousandth of a millimetre."""
    return {"outer": _ring(outline.outer), "holes": [_ring(h) for h in outline.holes]}


def _ring(ring: Ring) -> list[list[float]]:
    return [[round(x, 3) + 0.0, round(y, 3) + 0.0] for x, y in ring]


def text() -> str:
    """Return the file's text: one line for each thing, so that changes read well."""
    lines = []
    for key, value in project().items():
        if isinstance(value, list):
            items = ",\n  ".join(json.dumps(v) for v in value)
            lines.append(f' "{key}": [\n  {items}\n ]')
        else:
            lines.append(f' "{key}": {json.dumps(value)}')
    return "{\n" + ",\n".join(lines) + "\n}\n"


if __name__ == "__main__":
    DEMO.write_text(text(), encoding="utf-8")
    print(f"wrote {DEMO}")
