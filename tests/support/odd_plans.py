"""Shapes at the edge of what an outline may be, thrown together without sense: for seeing that nothing crashes."""

from __future__ import annotations

import math
import random

from layout.geometry.outline import Outline, OutlineError
from layout.geometry.pose import Pose
from layout.model.plan import (
    Cut,
    CutDown,
    CutPanel,
    LaidScrap,
    Layout,
    Line,
    PlacedDie,
    Plan,
    Punched,
    Run,
    StraightCut,
)
from layout.model.project import Clearances, Die, Image, Machine, Panel, Paper, Project, Punch, Scrap, Wanted

Dice = random.Random
LEFT, RIGHT = -5e4, 5e4


def odd_project_and_plan(seed: int) -> tuple[Project, Plan]:
    """Return a project of odd shapes and a senseless plan that fits it in every name and number of a thing."""
    dice = Dice(seed)
    dies = tuple(Die(f"d{k}", f"shape {k}", odd_outline(dice), odd_outline(dice)) for k in range(4))
    punch = Punch("p", "dot", odd_outline(dice), dice.uniform(-20, 30), dice.choice((math.inf, 0.0, 20.0)))
    panel = Panel("q", "side", odd_outline(dice))
    project = Project(
        machine=Machine("", dice.uniform(1, 200), dice.uniform(1, 200), dice.uniform(0, 9)),
        clearances=Clearances(dice.choice((0.0, 1.0)), dice.choice((0.0, 2.0)), dice.choice((0.0, 1.5))),
        dies=dies,
        punches=(punch,),
        papers=(Paper("c", "cream"),),
        scraps=tuple(_scrap(dice, k) for k in range(3)),
        panels=(panel,),
        wanted=tuple(
            Wanted(f"w-{s.id}", s.id, turn=dice.choice(("any", "upright")), image=dice.choice((None, "ink")))
            for s in (*dies, punch, panel)
        ),
    )
    cuts = (StraightCut(0, _line(dice)), StraightCut(1, _line(dice)), StraightCut(0, _line(dice)))
    plan = Plan(
        layouts=tuple(_layout(dice, k) for k in range(2)),
        punched=(Punched("w-p", "p", "s1", _pose(dice)),),
        cut_downs=(CutDown("s0", cuts),),
        panels=(CutPanel("w-q", "q", "s0", _pose(dice), 0, 1),),
    )
    return project, plan


def odd_outline(dice: Dice) -> Outline:
    """Return a sliver, a shape with a spike, one too small or too large to be true, or one opened at its edge."""
    while True:
        try:
            return dice.choice((_sliver, _spiked, _tiny, _huge, _many_cornered, _opened))(dice)
        except OutlineError:
            continue


def _sliver(dice: Dice) -> Outline:
    e = 10 ** dice.uniform(-12, -3)
    return Outline.of([(0, 0), (dice.uniform(10, 90), e), (dice.uniform(10, 90), 3 * e)])


def _spiked(dice: Dice) -> Outline:
    e = 10 ** dice.uniform(-12, -2)
    return Outline.of([(0, 0), (50, 0), (50, 50), (25 + e, 50), (25, 90), (25 - e, 50), (0, 50)])


def _tiny(dice: Dice) -> Outline:
    e = 10 ** dice.uniform(-150, -3)
    return Outline.of([(0, 0), (e, 0), (0, e)])


def _huge(dice: Dice) -> Outline:
    return Outline.of([(LEFT, LEFT), (RIGHT, LEFT), (dice.uniform(LEFT, RIGHT), RIGHT)])


def _many_cornered(dice: Dice) -> Outline:
    n = dice.randint(3, 40)
    turns = [2 * math.pi * k / n for k in range(n)]
    return Outline.of([(50 * math.cos(t) * dice.uniform(0.999999, 1), 50 * math.sin(t)) for t in turns])


def _opened(dice: Dice) -> Outline:
    touching = [(0, 30), (20, dice.uniform(20, 29)), (20, 40)]
    return Outline.of([(0, 0), (60, 0), (60, 60), (0, 60)], [touching, [(30, 30), (40, 30), (40, 40)]])


def _scrap(dice: Dice, k: int) -> Scrap:
    image = Image("ink", _pose(dice), odd_outline(dice))
    return Scrap(f"s{k}", "c", odd_outline(dice), 2, spoiled=(odd_outline(dice),), images=(image,))


def _layout(dice: Dice, k: int) -> Layout:
    dies = tuple(PlacedDie(f"d{i}", _pose(dice)) for i in range(4))
    return Layout(f"L{k}", dies, (_run(dice), _run(dice)))


def _run(dice: Dice) -> Run:
    parts = (dice.choice((0, 1, 2, None)), None, None)
    laid = tuple(LaidScrap(f"s{i}", _pose(dice), (0,), part) for i, part in enumerate(parts))
    return Run(laid, tuple(Cut(i, dice.randrange(3), f"w-d{i}") for i in range(4)))


def _pose(dice: Dice) -> Pose:
    return Pose(dice.uniform(-100, 200), dice.uniform(-100, 200), dice.choice((0, 90, dice.uniform(0, 360), 1e-9)))


def _line(dice: Dice) -> Line:
    return (dice.uniform(-50, 50), dice.uniform(-50, 50)), (dice.uniform(-50, 50), dice.uniform(-50, 50))
