"""Plans for small projects, placed by luck: right by the product's own rules, but far from good."""

from __future__ import annotations

import random
from itertools import product

from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Cut, LaidScrap, Layout, PlacedDie, Plan, Punched, Run, Unplaced
from layout.model.project import Project, Scrap, Wanted
from layout.rules import check

Dice = random.Random


def lucky_plan(project: Project, seed: int, tries: int = 12) -> Plan:
    """Return a plan in which nothing is wrong by the product's own rules; what found no place is left over."""
    dice = Dice(seed)
    plan = Plan()
    for scrap in project.scraps:
        for copy in range(min(scrap.count, 2)):
            plan = _with_layout(project, plan, scrap, copy, dice, tries)
    plan = _punch(project, plan, dice, tries)
    return settled(project, plan)


def settled(project: Project, plan: Plan) -> Plan:
    """Return the plan with its leftovers named as they are."""
    made = plan.made
    left = ((w, project.due(w) - made[w.id]) for w in project.wanted)
    return replace(plan, unplaced=tuple(Unplaced(w.id, n, "no luck") for w, n in left if n > 0))


def _with_layout(project: Project, plan: Plan, scrap: Scrap, copy: int, dice: Dice, tries: int) -> Plan:
    base = plan.layouts
    for _ in range(tries):
        laid = _laid(project, scrap, copy, dice)
        layout = Layout(f"L{len(base)}", (), (Run((laid,), ()),))
        if not _faults(project, replace(plan, layouts=(*base, layout))):
            break
    else:
        return plan
    for wanted in project.wanted:
        for _ in range(tries):
            more = _one_more(project, layout, scrap, wanted, dice)
            candidate = replace(plan, layouts=(*base, more)) if more else None
            if candidate and not _faults(project, candidate):
                layout = more
                break
    return replace(plan, layouts=(*base, layout)) if layout.dies else plan


def _one_more(project: Project, layout: Layout, scrap: Scrap, wanted: Wanted, dice: Dice) -> Layout | None:
    if wanted.shape not in {d.id for d in project.dies}:
        return None
    run = layout.runs[0]
    pose = run.scraps[0].pose.after(_pose_on(scrap, wanted, dice))
    cut = Cut(len(layout.dies), 0, wanted.id)
    return replace(
        layout, dies=(*layout.dies, PlacedDie(wanted.shape, pose)), runs=(Run(run.scraps, (*run.cuts, cut)),)
    )


def _laid(project: Project, scrap: Scrap, copy: int, dice: Dice) -> LaidScrap:
    """Lay a sheet so that its middle is somewhere about the middle of the bed."""
    turn = dice.choice((0.0, 90.0, 180.0, dice.uniform(0, 360)))
    at = Pose(0, 0, turn).point(scrap.outline.polygon.centroid.coords[0])
    machine = project.machine
    x = machine.bed_width * dice.uniform(0.4, 0.6) - at[0]
    y = machine.bed_length * dice.uniform(0.4, 0.6) - at[1]
    layers = next(p.layers for p in project.papers if p.id == scrap.paper)
    stack = (copy, copy + 1) if layers > 1 and copy + 1 < scrap.count and dice.random() < 0.3 else (copy,)
    return LaidScrap(scrap.id, Pose(x, y, turn), stack)


def _pose_on(scrap: Scrap, wanted: Wanted, dice: Dice) -> Pose:
    for image in scrap.images:
        if image.image == wanted.image:
            return Pose(image.pose.x + dice.uniform(0, 0.2), image.pose.y, image.pose.turn + dice.uniform(0, 0.5))
    x0, y0, x1, y1 = scrap.outline.bounds
    turn = dice.uniform(0, 360)
    if wanted.angles is not None:
        turn = dice.choice(wanted.angles) + scrap.up - 90.0 + dice.uniform(-1, 1) * wanted.tolerance
    return Pose(dice.uniform(x0, x1), dice.uniform(y0, y1), turn)


def _punch(project: Project, plan: Plan, dice: Dice, tries: int) -> Plan:
    punches = {p.id for p in project.punches}
    for wanted, scrap, _ in product(project.wanted, project.scraps, range(tries)):
        if wanted.shape in punches:
            entry = Punched(wanted.id, wanted.shape, scrap.id, _pose_on(scrap, wanted, dice))
            candidate = replace(plan, punched=(*plan.punched, entry))
            plan = plan if _faults(project, candidate) else candidate
    return plan


def _faults(project: Project, plan: Plan) -> bool:
    return bool(check(project, settled(project, plan)))
