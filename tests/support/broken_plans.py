"""Ways to break a plan or its project in one place, for holding two judges of a plan together."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from typing import Any

from shapely import affinity
from shapely.geometry import Polygon

Dice = random.Random
Tree = dict[str, Any]
Way = Callable[[Dice, Tree, Tree], None]


def broken(seed: int, project: Tree, plan: Tree, ways: Sequence[Way]) -> str | None:
    """Break one thing in place, chosen by the seed from what can be broken here, and say which; None: nothing can."""
    dice = Dice(seed)
    for way in dice.sample(ways, len(ways)):
        try:
            way(dice, project, plan)
        except (IndexError, ValueError, KeyError):
            continue
        return way.__name__
    return None


# Each takes dice, the project's tree and the plan's tree, and changes one thing in them; it gives up with IndexError.


def shift_a_die(dice: Dice, _: Tree, plan: Tree) -> None:
    """Push a die a little or far."""
    pose = any_die(dice, plan)["pose"]
    far = dice.choice((0.3, 2.0, 10.0, 60.0))
    pose["x"] += dice.uniform(-far, far)
    pose["y"] += dice.uniform(-far, far)


def turn_a_die(dice: Dice, _: Tree, plan: Tree) -> None:
    """Turn a die a little or far."""
    any_die(dice, plan)["pose"]["turn"] += dice.choice((0.02, 0.7, 3.0, 40.0, 180.0)) * dice.choice((-1, 1))


def tape_a_die_twice(dice: Dice, _: Tree, plan: Tree) -> None:
    """Tape a die down a second time, somewhere else."""
    layout = dice.choice(plan["layouts"])
    die = dice.choice(layout["dies"])
    pose = {**die["pose"], "x": die["pose"]["x"] + dice.uniform(-50, 50)}
    layout["dies"].append({"die": die["die"], "pose": pose})


def cut_twice(dice: Dice, _: Tree, plan: Tree) -> None:
    """Let a die cut twice in one run."""
    cuts = any_run(dice, plan)["cuts"]
    cuts.append(dict(dice.choice(cuts)))


def lift_a_die(dice: Dice, _: Tree, plan: Tree) -> None:
    """Lift a die off for a run that it was to cut in."""
    cuts = any_run(dice, plan)["cuts"]
    cuts.remove(dice.choice(cuts))


def cut_for_another(dice: Dice, project: Tree, plan: Tree) -> None:
    """Take a piece for somebody else's."""
    dice.choice(any_run(dice, plan)["cuts"])["wanted"] = dice.choice(project["wanted"])["id"]


def cut_for_nobody(dice: Dice, _: Tree, plan: Tree) -> None:
    """Take a piece that nobody asked for."""
    dice.choice(any_run(dice, plan)["cuts"])["wanted"] = "nobody"


def shift_a_scrap(dice: Dice, _: Tree, plan: Tree) -> None:
    """Push a sheet a little or far."""
    pose = any_laid(dice, plan)["pose"]
    far = dice.choice((0.3, 2.0, 10.0, 60.0))
    pose["x"] += dice.uniform(-far, far)
    pose["y"] += dice.uniform(-far, far)


def turn_a_scrap(dice: Dice, _: Tree, plan: Tree) -> None:
    """Turn a sheet a little or far."""
    any_laid(dice, plan)["pose"]["turn"] += dice.choice((0.02, 0.7, 3.0, 90.0)) * dice.choice((-1, 1))


def swap_scraps(dice: Dice, project: Tree, plan: Tree) -> None:
    """Lay another scrap where one lay."""
    any_laid(dice, plan)["scrap"] = dice.choice(project["scraps"])["id"]


def lay_two_scraps(dice: Dice, project: Tree, plan: Tree) -> None:
    """Lay a second scrap into a run, mostly over the first."""
    scraps = any_run(dice, plan)["scraps"]
    pose = {**scraps[0]["pose"], "x": scraps[0]["pose"]["x"] + dice.uniform(-200, 200)}
    scraps.append({"scrap": dice.choice(project["scraps"])["id"], "copies": [0], "pose": pose})


def stack_higher(dice: Dice, project: Tree, plan: Tree) -> None:
    """Add sheets to a stack, more than one pass may cut or than there are."""
    laid = any_laid(dice, plan)
    dice.choice(project["scraps"])["count"] = dice.randint(1, 6)
    laid["copies"] = laid.get("copies", [0]) + [dice.randint(0, 5) for _ in range(dice.randint(1, 3))]


def take_another_sheet(dice: Dice, _: Tree, plan: Tree) -> None:
    """Take other sheets of the same scrap."""
    any_laid(dice, plan)["copies"] = [dice.randint(0, 3)]


def run_twice(dice: Dice, _: Tree, plan: Tree) -> None:
    """Put the same sheets through the rollers again."""
    layout = dice.choice(plan["layouts"])
    run = dice.choice(layout["runs"])
    layout["runs"].append({"scraps": list(run["scraps"]), "cuts": list(run["cuts"])})
    plan["passes"] += 1
    plan["proven"] = False


def say_other_passes(dice: Dice, _: Tree, plan: Tree) -> None:
    """Count the passes wrong."""
    plan["passes"] += dice.choice((1, 2)) if plan["passes"] < 3 else dice.choice((-1, 1))


def say_other_status(_: Dice, __: Tree, plan: Tree) -> None:
    """Call a complete plan partial, or the other way round."""
    plan["status"] = "partial" if plan["status"] == "complete" else "complete"


def say_higher_bound(dice: Dice, _: Tree, plan: Tree) -> None:
    """Claim that fewer passes are impossible when they are not."""
    plan["lower_bound"] += dice.randint(1, 3)
    plan["proven"] = plan["lower_bound"] == plan["passes"]


def say_proven(_: Dice, __: Tree, plan: Tree) -> None:
    """Call proven what is not."""
    plan["lower_bound"] = max(0, plan["passes"] - 1)
    plan["proven"] = True


def say_one_more_is_missing(dice: Dice, project: Tree, plan: Tree) -> None:
    """Name a piece as not placed that is there."""
    wanted = dice.choice(project["wanted"])["id"]
    plan["unplaced"].append({"wanted": wanted, "count": dice.randint(1, 3), "reason": "no room"})
    plan["status"] = "partial"


def hide_what_is_missing(dice: Dice, _: Tree, plan: Tree) -> None:
    """Leave a missing piece unsaid."""
    plan["unplaced"].remove(dice.choice(plan["unplaced"]))
    plan["status"] = "partial" if plan["unplaced"] else "complete"


def give_no_reason(dice: Dice, _: Tree, plan: Tree) -> None:
    """Leave out why a piece is missing."""
    dice.choice(plan["unplaced"])["reason"] = ""


def shift_a_punch(dice: Dice, _: Tree, plan: Tree) -> None:
    """Punch somewhere else."""
    pose = dice.choice(plan["punched"])["pose"]
    far = dice.choice((0.5, 4.0, 20.0))
    pose["x"] += dice.uniform(-far, far)
    pose["y"] += dice.uniform(-far, far)


def turn_a_punch(dice: Dice, _: Tree, plan: Tree) -> None:
    """Come in from another side."""
    dice.choice(plan["punched"])["pose"]["turn"] += dice.choice((1.0, 30.0, 90.0, 180.0))


def punch_twice(dice: Dice, _: Tree, plan: Tree) -> None:
    """Punch the same hole again, perhaps into another sheet."""
    entry = dice.choice(plan["punched"])
    plan["punched"].append({**entry, "copy": dice.choice((0, 1))})


def rename_a_tool(dice: Dice, _: Tree, plan: Tree) -> None:
    """Name a die, a scrap or a punch that the project does not have."""
    thing = dice.choice([any_die(dice, plan), any_laid(dice, plan), *plan.get("punched", [])])
    thing["punch" if "punch" in thing else "die" if "die" in thing else "scrap"] = "elsewhere"


def shorten_the_reach(dice: Dice, project: Tree, _: Tree) -> None:
    """Make a punch's throat shallower."""
    punch = dice.choice(project["punches"])
    punch["reach"] -= dice.uniform(0, 20)


def widen_the_mouth(dice: Dice, project: Tree, _: Tree) -> None:
    """Make a punch's throat wider."""
    dice.choice(project["punches"])["mouth"] = dice.uniform(10, 100)


def ask_more_room(dice: Dice, project: Tree, _: Tree) -> None:
    """Ask for wider gaps."""
    key = dice.choice(("body_gap", "paper_edge", "web"))
    project.setdefault("clearances", {})[key] = dice.uniform(1, 6)


def ask_exact_images(dice: Dice, project: Tree, _: Tree) -> None:
    """Ask for dies exactly round their images."""
    if not any(s.get("images") for s in project["scraps"]):
        raise IndexError
    project.setdefault("clearances", {})["image_tolerance"] = dice.uniform(0, 0.1)


def shrink_the_machine(dice: Dice, project: Tree, _: Tree) -> None:
    """Take a smaller machine."""
    machine = project["machine"]
    key = dice.choice(("width", "length", "bed_margin", "overhang_across", "overhang_along"))
    if key in ("width", "length"):
        machine["bed"][key] *= dice.uniform(0.6, 1.0)
    elif key == "bed_margin":
        machine[key] = machine.get(key, 0) + dice.uniform(0, 6)
    else:
        machine[key] = dice.uniform(0, min(machine.get(key, 50), 50))


def want_upright(dice: Dice, project: Tree, _: Tree) -> None:
    """Ask for a piece to stand upright, or nearly, or for another turn."""
    wanted = dice.choice(project["wanted"])
    wanted["turn"] = dice.choice(("upright", [0, 90, 180, 270], [dice.uniform(0, 360)]))
    wanted["turn_tolerance"] = dice.choice((0, 2, 30, 100))


def turn_a_print(dice: Dice, project: Tree, _: Tree) -> None:
    """Turn the print of a scrap."""
    dice.choice(project["scraps"])["up"] = dice.uniform(0, 360)


def want_other_paper(dice: Dice, project: Tree, _: Tree) -> None:
    """Ask for a piece in another paper."""
    dice.choice(project["wanted"])["paper"] = dice.choice(project["papers"])["id"]


def want_other_count(dice: Dice, project: Tree, _: Tree) -> None:
    """Ask for more or fewer pieces."""
    wanted = dice.choice(project["wanted"])
    wanted["count"] = wanted.get("count", 1) + dice.choice((-1, 1))


def spoil_a_scrap(dice: Dice, project: Tree, _: Tree) -> None:
    """Stain a scrap."""
    scrap = dice.choice(project["scraps"])
    scrap.setdefault("spoiled", []).append(_patch(dice, scrap))


def stamp_a_scrap(dice: Dice, project: Tree, _: Tree) -> None:
    """Stamp somebody else's image onto a scrap."""
    scrap = dice.choice(project["scraps"])
    image = {"image": "a stranger", "pose": {"x": 0, "y": 0, "turn": 0}, "outline": _patch(dice, scrap)}
    scrap.setdefault("images", []).append(image)


def want_an_image(dice: Dice, project: Tree, _: Tree) -> None:
    """Ask for a piece round an image that is not there."""
    dice.choice(project["wanted"])["image"] = "a stranger"


def know_better(_: Dice, project: Tree, plan: Tree) -> None:
    """Know a plan with fewer passes than the bound says."""
    if plan["lower_bound"] < 1:
        raise IndexError
    project["known_passes"] = plan["lower_bound"] - 1


def cut_a_sheet_down(dice: Dice, project: Tree, plan: Tree) -> None:
    """Cut a sheet down through its middle, and perhaps name the right part where it lies."""
    laid = any_laid(dice, plan)
    scrap = next(s for s in project["scraps"] if s["id"] == laid["scrap"])
    at = Polygon(scrap["outline"]["outer"]).centroid
    line = [[at.x, at.y], [at.x + dice.uniform(-9, 9), at.y + dice.uniform(1, 9)]]
    copy = dice.choice(laid.get("copies", [0]))
    plan.setdefault("cut_downs", []).append({"scrap": scrap["id"], "copy": copy, "cuts": [{"part": 0, "line": line}]})
    laid["part"] = dice.choice((0, 1, 2, None))


WAYS = (
    shift_a_die, turn_a_die, tape_a_die_twice, cut_twice, lift_a_die, cut_for_another, cut_for_nobody,
    shift_a_scrap, turn_a_scrap, swap_scraps, lay_two_scraps, stack_higher, take_another_sheet, run_twice,
    say_other_passes, say_other_status, say_higher_bound, say_proven, say_one_more_is_missing,
    hide_what_is_missing, give_no_reason, shift_a_punch, turn_a_punch, punch_twice, rename_a_tool,
    shorten_the_reach, widen_the_mouth, ask_more_room, ask_exact_images, shrink_the_machine, want_upright,
    turn_a_print, want_other_paper, want_other_count, spoil_a_scrap, stamp_a_scrap, want_an_image, know_better,
    cut_a_sheet_down,
)  # fmt: skip


def any_run(dice: Dice, plan: Tree) -> Tree:
    return dice.choice(dice.choice(plan["layouts"])["runs"])


def any_laid(dice: Dice, plan: Tree) -> Tree:
    return dice.choice(any_run(dice, plan)["scraps"])


def any_die(dice: Dice, plan: Tree) -> Tree:
    return dice.choice(dice.choice(plan["layouts"])["dies"])


def _patch(dice: Dice, scrap: Tree) -> Tree:
    sheet = Polygon(scrap["outline"]["outer"])
    x0, y0, x1, y1 = sheet.bounds
    patch = affinity.translate(
        Polygon([(-4, -4), (4, -4), (4, 4), (-4, 4)]), dice.uniform(x0, x1), dice.uniform(y0, y1)
    )
    return {"outer": [list(p) for p in patch.exterior.coords[:-1]]}
