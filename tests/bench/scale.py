"""Time and memory against the number of kits: kits of twelve shapes on a drawer of odd scraps.

    python tests/bench/scale.py [--kits 30 60 120] [--seconds 60] [--seed 0] [--out scale.json]

Each size is planned in a fresh process, so that its peak memory is its own. Told per size: seconds to the first plan,
to the first complete one and to the last better one, passes, lower bound, pieces missing, peak memory. The plans are
valid by both judges, or it raises. Without options three kits are planned: does it still run?
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import random
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import psutil
from shapely import affinity

from layout.formats.plan_file import plan_bytes
from layout.geometry.outline import from_polygon
from layout.model.plan import Plan
from layout.model.project import Die, Machine, Paper, Project, Scrap, Wanted
from layout.planning.planner import Limits, make_plan
from tests.support.checked import assert_good
from tests.support.random_projects import random_outline

SHAPES, SCRAPS_A_KIT = 12, 2
Row = dict[str, Any]


def main() -> int:
    """Measure, print, write; 0 where every plan is valid (an invalid one raises)."""
    options = _options()
    rows = [measured(kits, options.seconds, options.seed) for kits in options.kits]
    if options.out:
        options.out.write_text(json.dumps(rows), "utf-8")
    return 0


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Time and memory against the number of kits.")
    parser.add_argument("--kits", type=int, nargs="+", default=[3], help="sizes to plan (3)")
    parser.add_argument("--seconds", type=float, default=20.0, help="for each size (20)")
    parser.add_argument("--seed", type=int, default=0, help="of the drawer and of the search (0)")
    parser.add_argument("--out", type=Path, help="write figures and placements there as JSON")
    parser.add_argument("--once", action="store_true", help="what it does anyway without options: does it still run?")
    return parser.parse_args()


def measured(kits: int, seconds: float, seed: int) -> Row:
    """Plan one size in a process of its own and print what it took."""
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        row = pool.apply(planned, (kits, seconds, seed))
    times = "  ".join(f"{key} {row[key]:.2f} s" for key in ("first", "complete", "last") if row[key] is not None)
    counts = f"{row['passes']} passes (at least {row['bound']}), {row['missing']} missing, {row['memory']:.0f} MB"
    print(f"{kits:4} kits, {row['pieces']} pieces, {row['scraps']} scraps: {counts}  {times}", flush=True)
    return row


def planned(kits: int, seconds: float, seed: int) -> Row:
    """Plan one size, warm: a tiny project is planned first."""
    make_plan(drawer(1, seed), Limits(120.0, attempts=1))
    project = drawer(kits, seed)
    found: list[tuple[float, Plan]] = []
    begun = time.perf_counter()
    plan = make_plan(project, Limits(seconds, 10**6, seed), lambda p: found.append((time.perf_counter() - begun, p)))
    memory = peak_memory()
    assert_good(project, plan)
    row: Row = {"kits": kits, "pieces": kits * SHAPES, "scraps": sum(s.count for s in project.scraps), "memory": memory}
    row |= {"passes": plan.passes, "bound": plan.lower_bound, "missing": sum(u.count for u in plan.unplaced)}
    row |= {"first": found[0][0] if found else None, "last": found[-1][0] if found else None}
    row["complete"] = next((t for t, p in found if not p.unplaced), None)
    return {**row, "plan": json.loads(plan_bytes(plan))}


def peak_memory() -> float:
    """Peak memory of this process in MB, where the system tells it; else what it takes now."""
    info = psutil.Process().memory_info()
    if sys.platform == "win32":
        return float(info.peak_wset) / 2**20
    import resource

    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (2**20 if sys.platform == "darwin" else 2**10)


def drawer(kits: int, seed: int) -> Project:
    """Twelve shapes and odd scraps enough for so many kits, sixty scraps at least from thirty kits on."""
    dice = random.Random(seed)
    cuts = [random_outline(dice, dice.uniform(18, 42)) for _ in range(SHAPES)]
    dies = tuple(
        Die(f"die-{k}", f"shape {k}", from_polygon(c.buffer(2, quad_segs=2)), from_polygon(c))
        for k, c in enumerate(cuts)
    )
    scraps = tuple(_scrap(dice, k) for k in range(SCRAPS_A_KIT * kits))
    wanted = tuple(Wanted(f"w-{d.id}", d.id, 1, "cream") for d in dies)
    machine = Machine("small crank", 152.0, 220.0, 3.0, 10.0)
    return Project(machine, dies=dies, papers=(Paper("cream", "cream card"),), scraps=scraps, wanted=wanted, kits=kits)


def _scrap(dice: random.Random, k: int) -> Scrap:
    shape = random_outline(dice, dice.uniform(110, 190))
    if shape.area < 9000:  # a thin one is widened to a useful strip
        shape = affinity.scale(shape, *(2 * [(9000 / shape.area) ** 0.5]))
    return Scrap(f"scrap-{k}", "cream", from_polygon(shape))


if __name__ == "__main__":
    sys.exit(main())
