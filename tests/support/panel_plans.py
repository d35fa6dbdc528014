"""A project with a blank cut by hand, a right plan for it, and ways to break that."""

from __future__ import annotations

from tests.support.broken_plans import (
    Dice,
    Tree,
    any_laid,
    lift_a_die,
    shift_a_die,
    shift_a_scrap,
    spoil_a_scrap,
    stamp_a_scrap,
    take_another_sheet,
    turn_a_print,
    want_other_paper,
    want_upright,
)


def panel_case(seed: int) -> tuple[Tree, Tree]:
    """Return a project and a right plan: a sheet cut down into a panel and a part that a die cuts into."""
    dice = Dice(seed)
    width, length = dice.uniform(25, 60), dice.uniform(25, 60)
    sheet_width, sheet_length = width + dice.uniform(40, 80), length + dice.uniform(5, 40)
    layers = dice.choice((1, 2))
    copies = list(range(layers))
    square = {"outer": [[-10, -10], [10, -10], [10, 10], [-10, 10]]}
    project: Tree = {
        "format": "plateful-project",
        "version": 1,
        "machine": {"name": "m", "bed": {"width": 160, "length": 220}, "overhang_across": 5, "overhang_along": 20},
        "dies": [{"id": "square", "name": "square", "body": square, "cut": square}],
        "papers": [{"id": "cream", "name": "cream", "layers": layers}],
        "scraps": [{"id": "s", "paper": "cream", "outline": _box(sheet_width, sheet_length), "count": layers}],
        "panels": [{"id": "side", "name": "box side", "outline": _box(width, length), "scores": []}],
        "wanted": [{"id": f"w-{shape}", "shape": shape, "count": layers} for shape in ("side", "square")],
    }
    downwards = [[width, 50.0], [width, -50.0]]  # right of its direction lies the panel's side: it becomes part 1
    forward = [[0.0, length], [1.0, length]]  # right of its direction lies the panel: it becomes part 2
    cuts = [{"part": 0, "line": downwards}, {"part": 1, "line": forward}]
    laid = {"scrap": "s", "copies": copies, "part": 0, "pose": {"x": 0, "y": 0, "turn": 0}}
    die = {"die": "square", "pose": {"x": width + dice.uniform(13, 27), "y": length / 2, "turn": 0}}
    runs = [{"scraps": [laid], "cuts": [{"die": 0, "scrap": 0, "wanted": "w-square"}]}]
    plan: Tree = {
        "format": "plateful-plan",
        "version": 1,
        "status": "complete",
        "passes": 1,
        "lower_bound": 1,
        "proven": True,
        "layouts": [{"id": "A", "dies": [die], "runs": runs}],
        "punched": [],
        "cut_downs": [{"scrap": "s", "copy": copy, "cuts": [dict(cut) for cut in cuts]} for copy in copies],
        "panels": [_panel(copy) for copy in copies],
        "unplaced": [],
    }
    return project, plan


def _panel(copy: int) -> Tree:
    return {
        "wanted": "w-side",
        "panel": "side",
        "scrap": "s",
        "copy": copy,
        "part": 2,
        "pose": {"x": 0, "y": 0, "turn": 0},
    }


def _box(width: float, length: float) -> Tree:
    return {"outer": [[0, 0], [width, 0], [width, length], [0, length]]}


def shift_a_cut(dice: Dice, _: Tree, plan: Tree) -> None:
    """Cut a sheet down along another line."""
    cut = dice.choice(dice.choice(plan["cut_downs"])["cuts"])
    by = dice.choice((0.004, 0.5, 3.0, 30.0)) * dice.choice((-1, 1))
    cut["line"] = [[x + by, y + by] for x, y in cut["line"]]


def turn_a_cut_round(dice: Dice, _: Tree, plan: Tree) -> None:
    """Swap what is left and what is right of a cut."""
    cut = dice.choice(dice.choice(plan["cut_downs"])["cuts"])
    cut["line"] = cut["line"][::-1]


def forget_a_cut_down(dice: Dice, _: Tree, plan: Tree) -> None:
    """Leave a sheet whole."""
    plan["cut_downs"].remove(dice.choice(plan["cut_downs"]))


def name_another_part(dice: Dice, _: Tree, plan: Tree) -> None:
    """Take another part of a sheet."""
    dice.choice([*plan["panels"], any_laid(dice, plan)])["part"] = dice.choice((0, 1, 2, 3, None))


def shift_a_panel(dice: Dice, _: Tree, plan: Tree) -> None:
    """Take a panel from elsewhere on its sheet, or turned."""
    pose = dice.choice(plan["panels"])["pose"]
    pose["x"] += dice.choice((0.0, 0.004, 0.03, 2.0, 30.0))
    pose["turn"] += dice.choice((0.0, 0.0, 90.0, 180.0, 1.0))


def take_a_panel_twice(dice: Dice, _: Tree, plan: Tree) -> None:
    """Take the same panel again."""
    plan["panels"].append(dict(dice.choice(plan["panels"])))


def take_another_panel(dice: Dice, _: Tree, plan: Tree) -> None:
    """Take a panel for something else."""
    dice.choice(plan["panels"])[dice.choice(("wanted", "scrap", "panel"))] = dice.choice(("w-square", "nothing"))


PANEL_WAYS = (
    shift_a_cut, turn_a_cut_round, forget_a_cut_down, name_another_part, shift_a_panel, take_a_panel_twice,
    take_another_panel, shift_a_die, shift_a_scrap, spoil_a_scrap, stamp_a_scrap, want_upright, want_other_paper,
    take_another_sheet, lift_a_die, turn_a_print,
)  # fmt: skip
