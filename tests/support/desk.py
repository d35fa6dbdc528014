"""Dies, scraps and plans made up for tests of the window: sizes chosen, nothing measured."""

from __future__ import annotations

import math

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.model.plan import Cut, LaidScrap, Layout, PlacedDie, Plan, Run
from layout.model.project import Die, Machine, Paper, Project, Scrap, Wanted

RIM = 2.0


def wavy(radius: float, corners: int, waves: int = 6) -> tuple[tuple[float, float], ...]:
    """Return a ring with waves, of so many corners."""
    ring = []
    for k in range(corners):
        angle = 2 * math.pi * k / corners
        r = radius * (1 + 0.12 * math.sin(waves * angle))
        ring.append((r * math.cos(angle), r * math.sin(angle)))
    return tuple(ring)


def flower_die(name: str, radius: float, corners: int, copies: int = 1) -> Die:
    """Return a die that cuts a wavy round shape, with a rim of metal each side of the cut."""
    cut = Outline(wavy(radius, corners))
    body = Outline(wavy(radius + RIM, corners), (wavy(radius - RIM, corners),))
    return Die(name, name, body, cut, copies)


def grid(columns: int, rows: int, *, corners: int = 300, pitch: float = 26.0, sheets: int = 1) -> tuple[Project, Plan]:
    """Return a project whose plan lays columns x rows dies on one bed, over a row of sheets across."""
    count = columns * rows
    dies = tuple(flower_die(f"flower {k + 1}", pitch / 2 - 5.0, corners) for k in range(count))
    width, length = columns * pitch, rows * pitch
    scraps = tuple(
        Scrap(f"sheet {k + 1}", "cream", Outline.rectangle(width, length / sheets - 0.2)) for k in range(sheets)
    )
    wanted = tuple(Wanted(f"w {die.id}", die.id, 1, "cream") for die in dies)
    project = Project(
        machine=Machine("machine", width, length, 0.0, 4.0, 40.0),
        dies=dies,
        papers=(Paper("cream", "cream", 216.0, 0.25),),
        scraps=scraps,
        wanted=wanted,
        name="grid",
    )
    placed = tuple(
        PlacedDie(die.id, Pose((k % columns + 0.5) * pitch, (k // columns + 0.5) * pitch)) for k, die in enumerate(dies)
    )
    laid = tuple(LaidScrap(s.id, Pose(0.0, k * length / sheets)) for k, s in enumerate(scraps))
    cuts = tuple(Cut(k, int(p.pose.y / (length / sheets)), wanted[k].id) for k, p in enumerate(placed))
    return project, Plan((Layout("A", placed, (Run(laid, cuts),)),), lower_bound=1)
