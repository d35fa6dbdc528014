"""Small random projects, the same for the same seed: odd scraps, stains, images, prints, windows, punches, kits."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from shapely import affinity
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.ops import unary_union

from layout.geometry.outline import Outline, from_polygon
from layout.geometry.pose import Pose
from layout.model.project import (
    Clearances,
    Die,
    Image,
    Machine,
    Panel,
    Paper,
    Project,
    Punch,
    Scrap,
    Turn,
    Wanted,
)

Dice = random.Random


def random_project(seed: int, *, panels: bool = False) -> Project:
    """Return a project that can be read and written; not all of its pieces need fit."""
    dice = Dice(seed)
    papers = tuple(_paper(dice, name) for name in ("cream", "moss", "dusk")[: dice.randint(1, 3)])
    dies = tuple(_die(dice, k) for k in range(dice.randint(1, 6)))
    punches = tuple(_punch(dice, k) for k in range(dice.choice((0, 0, 1, 2))))
    blanks = tuple(_panel(dice, k) for k in range(dice.randint(1, 2) if panels else 0))
    scraps = tuple(_scrap(dice, k, papers) for k in range(dice.randint(1, 5)))
    wanted = tuple(_wanted(dice, shape.id, papers) for shape in (*dies, *punches, *blanks))
    scraps, wanted = _stamped(dice, scraps, wanted, dies)
    return Project(
        machine=_machine(dice),
        clearances=_clearances(dice),
        dies=dies,
        punches=punches,
        papers=papers,
        scraps=scraps,
        panels=blanks,
        wanted=wanted,
        kits=dice.choice((1, 1, 2, 3)),
        spares={w.id: dice.randint(0, 2) for w in wanted if dice.random() < 0.2},
        name=f"random {seed}",
    )


def random_outline(dice: Dice, size: float) -> Polygon:
    """Return a closed shape about the origin that measures about `size` mm across."""
    make = dice.choice((_round, _blob, _star, _slip, _corner, _moon))
    shape = make(dice)
    x0, y0, x1, y1 = shape.bounds
    grow = size / max(x1 - x0, y1 - y0)
    return affinity.scale(affinity.translate(shape, -(x0 + x1) / 2, -(y0 + y1) / 2), grow, grow, origin=(0, 0))


# ---- shapes about 2 across ---------------------------------------------------------------------------------------


def _round(dice: Dice) -> Polygon:
    return affinity.scale(Point(0, 0).buffer(1, dice.randint(3, 8)), 1, dice.uniform(0.5, 1))


def _blob(dice: Dice) -> Polygon:
    corners = dice.randint(3, 9)
    radii = [dice.uniform(0.4, 1) for _ in range(corners)]
    return _spokes(radii)


def _star(dice: Dice) -> Polygon:
    inner = dice.uniform(0.4, 0.8)
    return _spokes([1, inner] * dice.randint(4, 7))


def _slip(dice: Dice) -> Polygon:
    return box(-1, -1, 1, 2 * dice.random() - 0.7)


def _corner(dice: Dice) -> Polygon:
    return box(-1, -1, 1, 1).difference(box(dice.uniform(-0.6, 0.6), dice.uniform(-0.6, 0.6), 2, 2))


def _moon(dice: Dice) -> Polygon:
    shape = Point(0, 0).buffer(1, 6).difference(Point(dice.uniform(0.5, 0.9), 0).buffer(0.8, 6))
    return _largest(shape)


def _spokes(radii: Sequence[float]) -> Polygon:
    step = 2 * math.pi / len(radii)
    return Polygon([(r * math.cos(k * step), r * math.sin(k * step)) for k, r in enumerate(radii)])


def _largest(shape: Polygon | MultiPolygon) -> Polygon:
    return max(shape.geoms, key=lambda part: part.area) if isinstance(shape, MultiPolygon) else shape


# ---- things ------------------------------------------------------------------------------------------------------


def _machine(dice: Dice) -> Machine:
    return Machine(
        name="small crank",
        bed_width=dice.choice((76.0, 103.0, 152.0)),
        bed_length=dice.uniform(70, 220),
        bed_margin=dice.choice((0.0, 3.0)),
        overhang_across=dice.choice((0.0, 3.0, 12.0)),
        overhang_along=dice.choice((math.inf, 0.0, 40.0)),
    )


def _clearances(dice: Dice) -> Clearances:
    if dice.random() < 0.6:
        return Clearances()
    return Clearances(dice.uniform(0, 2), dice.uniform(0, 4), dice.uniform(0, 3), dice.uniform(0.1, 1))


def _paper(dice: Dice, name: str) -> Paper:
    return Paper(name, f"{name} card", dice.uniform(120, 300), dice.uniform(0.15, 0.4), dice.choice((1, 1, 2, 3)))


def _die(dice: Dice, k: int) -> Die:
    size = dice.uniform(12, 55)
    cut = random_outline(dice, size)
    window = _largest(cut.buffer(-size / 8, join_style="mitre"))
    if dice.random() < 0.2 and window.area > 40:
        cut = Polygon(cut.exterior, [window.exterior])
    rim = dice.uniform(1.5, 3)
    metal = _largest(cut.buffer(rim, quad_segs=2))
    if dice.random() < 0.5:
        metal = _largest(metal.difference(cut.buffer(-rim, quad_segs=2)))
    copies = dice.choice((1, 1, 1, 2))
    return Die(f"die-{k}", f"shape {k}", from_polygon(metal), from_polygon(cut), copies)


def _punch(dice: Dice, k: int) -> Punch:
    size = dice.uniform(5, 16)
    cut = from_polygon(random_outline(dice, size))
    mouth = dice.choice((math.inf, size + dice.uniform(5, 30)))
    return Punch(f"punch-{k}", f"little {k}", cut, reach=size / 2 + dice.uniform(2, 25), mouth=mouth)


def _panel(dice: Dice, k: int) -> Panel:
    width, length = dice.uniform(20, 60), dice.uniform(20, 60)
    scores = tuple(((0.0, y), (width, y)) for y in (length / 3, 2 * length / 3)[: dice.randint(0, 2)])
    return Panel(f"panel-{k}", f"box side {k}", Outline.rectangle(width, length), scores)


def _scrap(dice: Dice, k: int, papers: Sequence[Paper]) -> Scrap:
    shape = box(0, 0, dice.uniform(40, 150), dice.uniform(40, 200))
    if dice.random() < 0.5:
        shape = affinity.translate(
            random_outline(dice, dice.uniform(40, 180)), dice.uniform(-50, 50), dice.uniform(0, 50)
        )
    spoiled = tuple(from_polygon(_spot(dice, shape, dice.uniform(3, 15))) for _ in range(dice.choice((0, 0, 0, 1, 2))))
    return Scrap(
        f"scrap-{k}",
        dice.choice(papers).id,
        from_polygon(shape),
        count=dice.choice((1, 1, 2, 4)),
        up=dice.choice((90.0, 90.0, 0.0, dice.uniform(0, 360))),
        spoiled=spoiled,
    )


def _spot(dice: Dice, sheet: Polygon, size: float) -> Polygon:
    x0, y0, x1, y1 = sheet.bounds
    return affinity.translate(random_outline(dice, size), dice.uniform(x0, x1), dice.uniform(y0, y1))


def _wanted(dice: Dice, shape: str, papers: Sequence[Paper]) -> Wanted:
    return Wanted(
        f"w-{shape}",
        shape,
        count=dice.choice((1, 1, 1, 2, 3)),
        paper=dice.choice((None, dice.choice(papers).id)),
        turn=_turn(dice),
        turn_tolerance=dice.choice((None, None, 0.0, 2.0, 15.0)),
        more_is_fine=dice.random() < 0.1,
    )


def _turn(dice: Dice) -> Turn:
    turns: tuple[Turn, ...] = ("any", "any", "any", "upright", (0.0, 180.0), (dice.uniform(0, 360),))
    return dice.choice(turns)


def _stamped(
    dice: Dice, scraps: tuple[Scrap, ...], wanted: tuple[Wanted, ...], dies: Sequence[Die]
) -> tuple[tuple[Scrap, ...], tuple[Wanted, ...]]:
    """Bind some dies to images stamped on the scraps; what is bound may turn as its image lies."""
    images: dict[str, list[Image]] = {s.id: [] for s in scraps}
    bound = {w.id: w for w in wanted}
    for die in dies:
        if dice.random() < 0.2:
            scrap = dice.choice(scraps)
            images[scrap.id].append(_image(dice, die, scrap))
            old = bound[f"w-{die.id}"]
            bound[old.id] = Wanted(old.id, old.shape, 1, dice.choice((None, scrap.paper)), image=f"ink of {die.id}")
    stamped = tuple(_with_images(s, tuple(images[s.id])) for s in scraps)
    return stamped, tuple(bound.values())


def _image(dice: Dice, die: Die, scrap: Scrap) -> Image:
    x0, y0, x1, y1 = scrap.outline.bounds
    at = scrap.outline.polygon.representative_point()
    pose = Pose(
        (at.x + dice.uniform(x0, x1)) / 2, (at.y + dice.uniform(y0, y1)) / 2, dice.choice((0.0, dice.uniform(0, 360)))
    )
    ink = _largest(unary_union(Polygon(die.cut.outer)).buffer(-1.0))
    outline = None if ink.is_empty or dice.random() < 0.2 else pose.outline(from_polygon(ink))
    return Image(f"ink of {die.id}", pose, outline)


def _with_images(scrap: Scrap, images: tuple[Image, ...]) -> Scrap:
    return Scrap(scrap.id, scrap.paper, scrap.outline, scrap.count, scrap.up, scrap.spoiled, images)
