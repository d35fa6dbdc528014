"""All dies in one pass: our planner against spyrrow, a general packing library, at equal seconds and threads, in turn.

    python tests/bench/onepass.py [--seconds 10 | 2] [--seeds 3] [--cases onepass-05] [--out onepass.json] [--once]

The one-pass cases of `../shared/benchmarks` (SS in their names: the bed is so many per cent longer than a packing that
is known). Both use two threads. Ours plans the whole project: sheets, edges, prints; solved when its plan is complete
in one pass, which both judges of plans must call valid. spyrrow packs the bare outlines of the bodies, half the gap
apart from the rim of a strip as wide as the bed less its margins; solved when its strip is no longer than the bed.
Ours is warmed first; its seconds run from the call to the first plan that solves. spyrrow's are those of its whole run.
"""

from __future__ import annotations

import argparse
import json
import math
import statistics
import sys
import time
from pathlib import Path
from typing import Any

import spyrrow
from shapely.geometry import Polygon

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from layout.formats.plan_file import plan_bytes
from layout.formats.project_file import read_project
from layout.model.plan import Plan
from layout.model.project import Project
from layout.planning.planner import Limits, make_plan
from tests.support import shared
from tests.support.checked import assert_good

THREADS = 2
TURN_STEP = 2  # degrees between the turns that spyrrow may use: it takes a list
Row = dict[str, Any]


def main() -> int:
    """Measure, print, write; 0 where every plan is valid (an invalid one raises)."""
    options = _options()
    cases = [p for p in shared.case_projects("onepass-*.json") if options.cases in p.name]
    if options.once:
        cases, options.seeds, options.seconds = cases[:1], 1, min(options.seconds, 2)
    if not cases:
        print(f"no such case in {shared.CASES}")
        return 0
    make_plan(read_project(cases[0]), Limits(60.0, attempts=2))
    rows = [_both(p, options.seconds, seed) for p in cases for seed in range(options.seeds)]
    print("\n".join(_summary(rows)))
    if options.out:
        options.out.write_text(json.dumps({"seconds": options.seconds, "threads": THREADS, "rows": rows}), "utf-8")
    return 0


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="All dies in one pass: ours against spyrrow.")
    parser.add_argument("--seconds", type=int, default=10, help="for each, whole seconds (10)")
    parser.add_argument("--seeds", type=int, default=3, help="runs of each case (3)")
    parser.add_argument("--cases", default="", help="only cases with this in their name")
    parser.add_argument("--out", type=Path, help="write figures and placements there as JSON")
    parser.add_argument("--once", action="store_true", help="one case and seed, two seconds: does it still run?")
    return parser.parse_args()


def _both(path: Path, seconds: int, seed: int) -> Row:
    project = read_project(path)
    row = {"case": path.stem, "seed": seed}
    row |= {"ours": ours(project, seconds, seed), "spyrrow": theirs(project, seconds, seed)}
    said = "  ".join(f"{who} {_told(row[who])}" for who in ("ours", "spyrrow"))
    print(f"  {path.stem} seed {seed}: {said}", flush=True)
    return row


def ours(project: Project, seconds: float, seed: int) -> Row:
    """Plan; every plan reported is checked after the clock has stopped."""
    found: list[tuple[float, Plan]] = []
    begun = time.perf_counter()
    plan = make_plan(project, Limits(seconds, 10**6, seed), lambda p: found.append((time.perf_counter() - begun, p)))
    took = time.perf_counter() - begun
    for reported in (*(p for _, p in found), plan):
        assert_good(project, reported)
    when = next((t for t, p in found if not p.unplaced and p.passes == 1), None)
    first = found[0][0] if found else None
    return {"solved": when, "first": first, "took": took, "plan": json.loads(plan_bytes(plan))}


def theirs(project: Project, seconds: int, seed: int) -> Row:
    """Pack bare bodies on a strip; the margin of half a gap round each takes the place of the gap between them."""
    gap, machine = project.clearances.body_gap, project.machine
    # A body half a gap inside the strip's rim may lie at the very rim of the bed, so the strip is a gap larger.
    width = machine.bed_width - 2 * machine.bed_margin + gap
    length = machine.bed_length - 2 * machine.bed_margin + gap
    due = {d.id: max(project.due(w) for w in project.wanted if w.shape == d.id) for d in project.dies}
    turns = [float(t) for t in range(0, 360, TURN_STEP)]
    items = [spyrrow.Item(d.id, _grown(d.body.outer, gap / 2), due[d.id], turns) for d in project.dies]
    config = spyrrow.StripPackingConfig(
        early_termination=False, total_computation_time=seconds, num_workers=THREADS, seed=seed
    )
    begun = time.perf_counter()
    answer = spyrrow.StripPackingInstance(project.name or "case", width, items).solve(config)
    took = time.perf_counter() - begun
    placed = [{"id": p.id, "at": list(p.translation), "turn": p.rotation} for p in answer.placed_items]
    assert len(placed) == sum(due.values())
    solved = took if answer.width <= length else None
    return {"solved": solved, "length": answer.width, "bed": length, "took": took, "placed": placed}


def _grown(ring: Any, by: float) -> list[tuple[float, float]]:
    return [(x, y) for x, y in Polygon(ring).buffer(by, quad_segs=2).simplify(0.02).exterior.coords]


def _told(result: Row) -> str:
    return f"not in {result['took']:.1f} s" if result["solved"] is None else f"solved in {result['solved']:.2f} s"


def _summary(rows: list[Row]) -> list[str]:
    """Per slack: how many cases the median seed solves, and the median seconds."""
    said = []
    for slack in sorted({r["case"].split("-")[2] for r in rows}):
        mine = [r for r in rows if r["case"].split("-")[2] == slack]
        cases = sorted({r["case"] for r in mine})
        for who in ("ours", "spyrrow"):
            medians = [_median([r[who]["solved"] for r in mine if r["case"] == c]) for c in cases]
            solved = [m for m in medians if math.isfinite(m)]
            speed = f", median {statistics.median(solved):.2f} s" if solved else ""
            said.append(f"slack {slack} %: {who:<8} {len(solved)}/{len(cases)} solved by the median seed{speed}")
    return said


def _median(seconds: list[float | None]) -> float:
    return statistics.median_high([math.inf if s is None else s for s in seconds])


if __name__ == "__main__":
    sys.exit(main())
