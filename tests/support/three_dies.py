"""A project of three dies whose best plan is known by counting: six passes."""

from __future__ import annotations

from layout.geometry.outline import Outline
from layout.model.project import Die, Machine, Paper, Project, Scrap, Wanted


def three_of_which_two_share_a_bed() -> Project:
    """Pairs fit a bed, three do not: four pieces of each are twelve cuts, two a pass."""
    body, cut = Outline.rectangle(42, 80), Outline.rectangle(36, 74, x=3, y=3)
    return Project(
        machine=Machine("", 100, 90, overhang_across=10.0),
        dies=tuple(Die(name, name, body, cut) for name in ("moth", "leaf", "star")),
        papers=(Paper("cream", "cream"),),
        scraps=(Scrap("sheet", "cream", Outline.rectangle(116, 116), count=12),),
        wanted=tuple(Wanted(f"{name}s", name, 1, "cream") for name in ("moth", "leaf", "star")),
        kits=4,
    )
