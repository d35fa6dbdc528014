"""One small right project and plan, made of squares whose distances can be counted on the fingers."""

from __future__ import annotations

from typing import Any

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Cut, LaidScrap, Layout, PlacedDie, Plan, Punched, Run
from layout.model.project import Die, Machine, Paper, Project, Punch, Scrap, Wanted


def square(side: float, hole: float = 0.0) -> Outline:
    """Return a square about the origin, with a square opening where `hole` is its side."""
    h = side / 2
    outer = Outline.rectangle(side, side, x=-h, y=-h)
    inner = Outline.rectangle(hole, hole, x=-hole / 2, y=-hole / 2) if hole else None
    return Outline(outer.outer, (inner.outer,) if inner else ())


def simple_project(**changes: Any) -> Project:
    """Return a project of two squares and a dot, all of which two scraps of 100 mm hold."""
    project = Project(
        machine=Machine("small crank", 150.0, 210.0, bed_margin=3.0, overhang_across=5.0, overhang_along=20.0),
        dies=(
            Die("leaf", "fern leaf", square(24), square(20)),
            Die("star", "star", square(34), square(30)),
            Die("frame", "window frame", square(70, hole=50), square(66, hole=54)),
        ),
        punches=(Punch("dot", "dot", square(6), reach=10.0, mouth=30.0),),
        papers=(Paper("moss", "moss", layers=2), Paper("cream", "cream")),
        scraps=(
            Scrap("s", "moss", Outline.rectangle(100, 100), count=3),
            Scrap("t", "cream", Outline.rectangle(100, 100)),
        ),
        wanted=(Wanted("w-leaf", "leaf"), Wanted("w-star", "star"), Wanted("w-dot", "dot")),
    )
    return replace(project, **changes)


def simple_plan(**changes: Any) -> Plan:
    """Return a right plan: leaf at (30, 50) and star at (70, 50) off sheet 0 of scrap s, the dot at its upper edge."""
    dies = (PlacedDie("leaf", Pose(30, 50)), PlacedDie("star", Pose(70, 50)))
    run = Run((LaidScrap("s", Pose(0, 0)),), (Cut(0, 0, "w-leaf"), Cut(1, 0, "w-star")))
    # The punch reaches 10 mm beyond its middle; the sheet's upper edge lies 8 mm beyond it.
    plan = Plan(layouts=(Layout("A", dies, (run,)),), punched=(Punched("w-dot", "dot", "s", Pose(50, 92)),))
    return replace(plan, **changes)


def with_dies(plan: Plan, *dies: PlacedDie) -> Plan:
    """Return the plan with other dies in its first layout."""
    return replace(plan, layouts=(replace(plan.layouts[0], dies=dies), *plan.layouts[1:]))


def with_run(plan: Plan, **changes: Any) -> Plan:
    """Return the plan with its first run changed."""
    layout = plan.layouts[0]
    runs = (replace(layout.runs[0], **changes), *layout.runs[1:])
    return replace(plan, layouts=(replace(layout, runs=runs), *plan.layouts[1:]))
