"""From the start of the headless process to its first plan, warm; told apart: the start alone, the planning alone.

    python tests/bench/first_plan.py [--cases kits] [--rounds 3] [--out first.json]

Whole process: `python -m layout plan CASE --stream`, until its first line; every first plan is checked. One uncounted
start goes before, so that the compiled loops are on disk. Without options one case is started once: does it still run?
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support import shared

Row = dict[str, Any]


def main() -> int:
    """Measure, print, write; 0 where every first plan is valid (an invalid one raises)."""
    options = _options()
    cases = [p for p in shared.case_projects() if options.cases in p.name]
    cases = cases if options.cases or options.rounds > 1 else cases[:1]
    if cases:
        first_line(cases[0])
    rows = [_measured(case, options.rounds) for case in cases]
    if options.out:
        options.out.write_text(json.dumps(rows), "utf-8")
    return 0


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Process start to first plan.")
    parser.add_argument("--cases", default="", help="only cases with this in their name")
    parser.add_argument("--rounds", type=int, default=1, help="starts of each case (1)")
    parser.add_argument("--out", type=Path, help="write figures and placements there as JSON")
    parser.add_argument("--once", action="store_true", help="what it does anyway without options: does it still run?")
    return parser.parse_args()


def _measured(case: Path, rounds: int) -> Row:
    tries = [first_line(case) for _ in range(rounds)]
    whole = statistics.median(seconds for seconds, _ in tries)
    inside = statistics.median(line["seconds"] for _, line in tries)
    print(f"{case.stem:<20} whole process {whole:.2f} s, from the reading of the file on {inside:.2f} s", flush=True)
    return {"case": case.stem, "whole": whole, "inside": inside, "plans": [line["plan"] for _, line in tries]}


def first_line(case: Path) -> tuple[float, Row]:
    """Seconds until a fresh process tells its first plan, and what it tells."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "layout", "plan", str(case), "--out", f"{folder}/plan.json", "--stream"]
        begun = time.perf_counter()
        pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True}
        with subprocess.Popen(command, cwd=shared.ROOT, **pipes) as child:
            assert child.stdout is not None
            line = json.loads(child.stdout.readline())
            seconds = time.perf_counter() - begun
            child.communicate("")
    faults = shared.independent_faults(shared.load(case), line["plan"])
    assert not faults, faults
    return seconds, line


if __name__ == "__main__":
    sys.exit(main())
